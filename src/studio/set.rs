//! Panels that hang together: which are odd, which to remake, and how to hang them.

use std::path::{Path, PathBuf};

use image::RgbImage;

use super::Studio;
use super::folder::photos_in;
use super::panel::PanelSource;
use super::reading::{How, Reader, silver_of, silver_read};
use super::several::all;
use super::signed::Signed;
use crate::archive::{Archive, Finish, Pictures};
use crate::compare::wall::arrange::Grid;
use crate::compare::wall::joints::PanelView;
use crate::compare::wall::{Met, Wall, hang};
use crate::compare::{Set, Side, set};
use crate::error::{Error, Result};
use crate::fingerprint::Fingerprint;
use crate::judge::{About, otherwise};
use crate::quality::Flag;
use crate::units::Metres;
use crate::words::file_name;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Request {
    /// The panels in the order of making: names of kept finishes, photos, or folders of photos.
    pub panels: Vec<String>,
    /// The approved sample that all must be within as well.
    pub to: Option<String>,
    /// How they will hang; in one row where that is not said.
    pub wall: Option<Grid>,
    /// From how far the wall is looked at.
    pub viewed_from: Metres,
    /// Panels may hang the other way up.
    pub may_turn: bool,
    /// Long side of the panels' pictures, pixels.
    pub long_side_px: usize,
    /// How photos are read.
    pub how: How,
}

/// A panel of the set.
pub struct Member {
    /// Its name, or its photo's.
    pub name: String,
    /// What was read.
    pub fingerprint: Fingerprint,
    /// It in colour.
    pub picture: RgbImage,
    seen: PanelView,
}

/// A set and its wall.
pub struct HungSet {
    /// The panels in the order given.
    pub members: Vec<Member>,
    /// The sample that all were set beside.
    pub sample: Option<String>,
    /// What was found.
    pub set: Set,
    /// How they hang.
    pub wall: Wall,
    /// From how far the wall is looked at.
    pub viewed_from: Metres,
}

impl HungSet {
    /// The names of the panels, in the order given.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        self.members.iter().map(|m| m.name.as_str()).collect()
    }

    /// The names of two panels that meet.
    #[must_use]
    pub fn meeting(&self, met: &Met) -> [&str; 2] {
        let name = |place: usize| self.members[self.wall.hung[place].panel].name.as_str();
        met.places.map(name)
    }
}

/// Sets the panels against each other, and against the sample where one is named, and hangs them. Photos that may have been
/// turned or mirrored are noted: hung so, their streaks would run another way.
///
/// # Errors
/// A panel is not kept, cannot be read, or not be judged by or compared; there are not as many as places.
pub fn hang_together(request: &Request, studio: &mut Studio<'_>) -> Result<HungSet> {
    let archive = studio.archive()?;
    let signed = request.to.as_deref();
    let signed = signed.map(|name| Signed::named(name, &archive));
    let signed = signed.transpose()?;
    let sources = sources(&request.panels, &archive)?;
    let panels = sources.len();
    let grid = request.wall.unwrap_or(Grid {
        rows: 1,
        cols: panels,
    });
    let unlike = || Error::WallUnlikeSet {
        across: grid.cols,
        down: grid.rows,
        panels,
    };
    if grid.places() != panels {
        return Err(unlike());
    }
    let members = read(sources, request, &archive, studio)?;
    let sides: Vec<Side<'_>> = members
        .iter()
        .map(|m| Side {
            name: &m.name,
            fingerprint: &m.fingerprint,
        })
        .collect();
    let terms = signed.as_ref().map(Signed::terms);
    let sample = signed.as_ref().map(Signed::side).zip(terms.as_ref());
    let set = set(&sides, sample)?;
    let seen: Vec<PanelView> = members.iter().map(|m| m.seen.clone()).collect();
    let wall = hang(&seen, grid, request.may_turn).ok_or_else(unlike)?;
    Ok(HungSet {
        members,
        sample: request.to.clone(),
        set,
        wall,
        viewed_from: request.viewed_from,
    })
}

/// Where every panel named is to be had, and every photo of a folder.
///
/// # Errors
/// One is neither kept nor a file; a folder cannot be read, or holds no picture.
pub fn sources(panels: &[String], archive: &Archive) -> Result<Vec<PanelSource>> {
    let mut sources = Vec::new();
    for name in panels {
        let folder = Path::new(name);
        if folder.is_dir() {
            sources.extend(photos_in(folder)?.0.into_iter().map(PanelSource::Photo));
        } else {
            sources.push(PanelSource::named(name, archive)?);
        }
    }
    Ok(sources)
}

/// A panel that can be opened beside others at once.
enum Closed {
    Kept(Box<Finish>, Pictures),
    Photo(PathBuf),
}

/// Reads the photos, several at once, and opens the pictures of what is kept.
fn read(
    sources: Vec<PanelSource>,
    request: &Request,
    archive: &Archive,
    studio: &mut Studio<'_>,
) -> Result<Vec<Member>> {
    let closed = sources.into_iter().map(|source| {
        Ok(match source {
            PanelSource::Kept(finish) => {
                let pictures = archive.pictures(&finish.name)?;
                Closed::Kept(finish, pictures)
            }
            PanelSource::Photo(photo) => Closed::Photo(photo),
        })
    });
    let closed: Vec<Closed> = closed.collect::<Result<_>>()?;
    let reader = Reader::new(&request.how, archive)?;
    let name = |one: &Closed| match one {
        Closed::Kept(finish, _) => finish.name.clone(),
        Closed::Photo(photo) => file_name(photo),
    };
    let open = |one: &Closed| {
        let (fingerprint, silver) = match one {
            Closed::Kept(finish, pictures) => {
                (finish.fingerprint.clone(), silver_of(finish, pictures)?)
            }
            Closed::Photo(photo) => {
                let reading = reader.read_fit(photo)?;
                let silver = silver_read(&reading);
                (reading.fingerprint, silver)
            }
        };
        let (measured, from_m) = (&fingerprint.measurements, request.viewed_from.0);
        Ok(Member {
            name: name(one),
            seen: PanelView::of(&silver.plane, silver.px_per_mm, measured, from_m),
            picture: silver.brought_to(request.long_side_px),
            fingerprint,
        })
    };
    let members = all(&closed, name, open, studio.hear)?;
    let photographed = closed.iter().zip(&members);
    let photographed = photographed.filter(|(one, _)| matches!(one, Closed::Photo(_)));
    let photographed: Vec<&Member> = photographed.map(|(_, member)| member).collect();
    note_otherwise(&photographed, studio);
    Ok(members)
}

fn note_otherwise(photographed: &[&Member], studio: &mut Studio<'_>) {
    let place = |m: &&Member| About::from(&m.fingerprint.provenance.placement);
    let about: Vec<About> = photographed.iter().map(place).collect();
    let facts = Flag::StandsOtherwise.facts();
    for (member, otherwise) in photographed.iter().zip(otherwise(&about)) {
        if otherwise {
            let name = &member.name;
            studio.note(format!("{} {} ({name})", facts.meaning, facts.remedy));
        }
    }
}
