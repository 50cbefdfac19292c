//! Panels that hang together: which are odd, which to remake, and how to hang them.

use std::path::{Path, PathBuf};

use image::RgbImage;

use super::folder::photos_in;
use super::panel::PanelSource;
use super::reading::{How, Reader, silver_of, silver_read};
use super::several::all;
use super::signed::Signed;
use super::{News, Studio};
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
    /// How they will hang once all are made, where a job says so.
    pub wall_of_job: Option<Grid>,
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
    /// Places of the wall that is meant, where there are not as many panels: they are hung in one row for now.
    pub places_to_come: Option<usize>,
    /// Names of those that could not be used; what is wrong with each was heard.
    pub left_out: Vec<String>,
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
    if let Some(grid) = request.wall.filter(|grid| grid.places() != panels) {
        return Err(unlike(grid, panels));
    }
    let (members, left_out) = read(sources, request, &archive, studio)?;
    let wanted = request.wall.or(request.wall_of_job);
    let fits = wanted.filter(|grid| grid.places() == members.len());
    let places_to_come = wanted.filter(|_| fits.is_none()).map(Grid::places);
    let grid = fits.unwrap_or(Grid {
        rows: 1,
        cols: members.len(),
    });
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
    let wall = hang(&seen, grid, request.may_turn).ok_or_else(|| unlike(grid, panels))?;
    Ok(HungSet {
        members,
        sample: request.to.clone(),
        set,
        wall,
        places_to_come,
        left_out,
        viewed_from: request.viewed_from,
    })
}

fn unlike(grid: Grid, panels: usize) -> Error {
    Error::WallUnlikeSet {
        across: grid.cols,
        down: grid.rows,
        panels,
    }
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

/// Reads the photos, several at once, and opens the pictures of what is kept. What cannot be used is heard of and left out, and named.
fn read(
    sources: Vec<PanelSource>,
    request: &Request,
    archive: &Archive,
    studio: &mut Studio<'_>,
) -> Result<(Vec<Member>, Vec<String>)> {
    let (mut closed, mut left_out) = (Vec::new(), Vec::new());
    for source in sources {
        match source {
            PanelSource::Kept(finish) => match studio.sound(archive.pictures(&finish.name))? {
                Some(pictures) => closed.push(Closed::Kept(finish, pictures)),
                None => left_out.push(finish.name),
            },
            PanelSource::Photo(photo) => closed.push(Closed::Photo(photo)),
        }
    }
    let reader = Reader::new(&request.how, archive)?;
    let name = |one: &Closed| match one {
        Closed::Kept(finish, _) => finish.name.clone(),
        Closed::Photo(photo) => file_name(photo),
    };
    let open = |one: &Closed| -> Result<Member> {
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
    let made = all(&closed, name, |one| Ok(open(one)), studio.hear)?;
    let (mut members, mut from_photo) = (Vec::new(), Vec::new());
    for (one, member) in closed.iter().zip(made) {
        match member {
            Ok(member) => {
                members.push(member);
                from_photo.push(matches!(one, Closed::Photo(_)));
            }
            Err(error) => {
                studio.hear.hear(News::LeftOut(&error));
                left_out.push(name(one));
            }
        }
    }
    let photographed = members.iter().zip(from_photo).filter(|(_, photo)| *photo);
    let photographed: Vec<&Member> = photographed.map(|(member, _)| member).collect();
    note_otherwise(&photographed, studio);
    Ok((members, left_out))
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
