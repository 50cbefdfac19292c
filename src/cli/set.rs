//! `set`: which panels are odd, which to remake, and how to hang them.

use std::path::Path;

use image::RgbImage;

use super::args::{Grid, SetArgs};
use super::context::Context;
use super::exit::Exit;
use super::panel::{self, Source};
use super::photos::{Photos, spare};
use super::pictured;
use super::place;
use super::several::{Heard, several};
use super::terms::Signed;
use super::whole_file::write_whole;
use crate::archive::{Archive, Pictures};
use crate::compare::wall::joints::Seen;
use crate::compare::wall::{arrange, hang};
use crate::compare::{Side, set};
use crate::error::{Error, Result};
use crate::fingerprint::Fingerprint;
use crate::frame::Plane;
use crate::frame::panel::Tints;
use crate::judge::{self, About};
use crate::quality::Flag;
use crate::report::picture::{self, Hanging};
use crate::report::{Shown, page};

/// A panel of the set, and what a wall needs of it.
struct Member {
    name: String,
    fingerprint: Fingerprint,
    seen: Seen,
    small: RgbImage,
}

impl Member {
    fn of(
        name: String,
        fingerprint: Fingerprint,
        silver: &Plane,
        tints: Option<&Tints>,
        distance_m: f64,
    ) -> Self {
        Member {
            seen: Seen::of(
                silver,
                fingerprint.provenance.px_per_mm,
                &fingerprint.measurements,
                distance_m,
            ),
            small: picture::colour_sized(
                silver,
                tints,
                picture::brought_to(silver, picture::HUNG_PX),
            ),
            name,
            fingerprint,
        }
    }
}

/// Says which photos may have been turned or mirrored: hung so, their streaks would run another way.
fn say_what_stands_otherwise<'a>(
    photographed: impl Iterator<Item = &'a Member>,
    context: &mut Context,
) {
    let photographed: Vec<&Member> = photographed.collect();
    let about = |m: &&Member| About::from(&m.fingerprint.provenance.placement);
    let about: Vec<About> = photographed.iter().map(about).collect();
    let facts = Flag::StandsOtherwise.facts();
    for (member, otherwise) in photographed.iter().zip(judge::otherwise(&about)) {
        if otherwise {
            context.note(&format!(
                "{}: {} {}",
                member.name, facts.meaning, facts.remedy
            ));
        }
    }
}

/// Where a member comes from.
enum Named {
    Kept {
        name: String,
        fingerprint: Box<Fingerprint>,
        pictures: Pictures,
    },
    Photo(std::path::PathBuf),
}

pub(super) fn run(args: &SetArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.archive()?;
    let signed = args
        .to
        .as_deref()
        .map(|name| Signed::of(name, &archive))
        .transpose()?;
    let named = named(&args.panels, &archive)?;
    let grid = grid(args.wall, named.len())?;
    let photos = named.iter().filter_map(|from| match from {
        Named::Photo(photo) => Some(photo.as_path()),
        Named::Kept { .. } => None,
    });
    spare(args.picture.iter().map(|file| file.as_path()), photos)?;
    let members = read(&named, args, context)?;
    let photographed = named.iter().zip(&members);
    let photographed = photographed.filter(|(from, _)| matches!(from, Named::Photo(_)));
    say_what_stands_otherwise(photographed.map(|(_, member)| member), context);
    let sides: Vec<Side<'_>> = members
        .iter()
        .map(|m| Side {
            name: &m.name,
            fingerprint: &m.fingerprint,
        })
        .collect();
    let terms = signed.as_ref().map(|s| s.terms());
    let sample = signed.as_ref().map(Signed::side).zip(terms.as_ref());
    let found = set(&sides, sample)?;
    let seen: Vec<Seen> = members.iter().map(|m| m.seen.clone()).collect();
    let wall =
        hang(&seen, grid, !args.no_turning).ok_or_else(|| unlike(args.wall, members.len()))?;
    let shown = Shown {
        names: members.iter().map(|m| m.name.as_str()).collect(),
        sample: args.to.as_deref(),
        set: &found,
        wall: &wall,
        viewed_from_m: args.viewed_from.0,
    };
    if args.picture.is_some() || args.out.page.is_some() {
        let hanging: Vec<Hanging<'_>> = members
            .iter()
            .zip(&found.odd)
            .map(|(m, odd)| Hanging {
                name: &m.name,
                picture: &m.small,
                size: m.fingerprint.provenance.placement.size,
                odd: !odd.is_empty(),
            })
            .collect();
        if let Some(file) = &args.picture {
            write_whole(file, &picture::png(&picture::wall(&hanging, &wall))?)?;
        }
        if let Some(file) = &args.out.page {
            write_whole(file, page::set(&shown, &hanging)?.as_bytes())?;
        }
    }
    context.answer(&shown, &args.out)?;
    Ok(found.verdict.into())
}

/// Every panel named: kept finishes by their names, photos, and the photos in folders.
fn named(panels: &[String], archive: &Archive) -> Result<Vec<Named>> {
    let mut all = Vec::new();
    for name in panels {
        if Path::new(name).is_dir() {
            let photos = Photos::of(&[Path::new(name).to_owned()])?;
            all.extend(photos.files().iter().cloned().map(Named::Photo));
            continue;
        }
        all.push(match panel::source(name, archive)? {
            Source::Photo => Named::Photo(Path::new(name).to_owned()),
            Source::Kept(finish) => Named::Kept {
                pictures: archive.pictures(&finish.name)?,
                name: finish.name,
                fingerprint: Box::new(finish.fingerprint),
            },
        });
    }
    Ok(all)
}

/// How they hang: as asked, or in one row.
fn grid(wall: Option<Grid>, panels: usize) -> Result<arrange::Grid> {
    let grid = wall.map_or(
        arrange::Grid {
            rows: 1,
            cols: panels,
        },
        |g| arrange::Grid {
            rows: g.down,
            cols: g.across,
        },
    );
    if grid.rows * grid.cols == panels {
        Ok(grid)
    } else {
        Err(unlike(wall, panels))
    }
}

fn unlike(wall: Option<Grid>, panels: usize) -> Error {
    let (across, down) = wall.map_or((panels, 1), |g| (g.across, g.down));
    Error::WallUnlikeSet {
        across,
        down,
        panels,
    }
}

/// Reads the photos, several at once, and opens the maps of what is kept.
fn read(named: &[Named], args: &SetArgs, context: &mut Context) -> Result<Vec<Member>> {
    let rig = place::rig(args.read.rig.as_deref(), context)?;
    let distance_m = args.viewed_from.0;
    let work = |from: &Named| match from {
        Named::Photo(photo) => {
            let reading = place::read_fit(photo, &args.read, rig.as_ref())?;
            let silver = &reading.measured.silver;
            Ok(Member::of(
                place::shown(photo),
                reading.fingerprint,
                silver,
                reading.tints.as_ref(),
                distance_m,
            ))
        }
        Named::Kept {
            name,
            fingerprint,
            pictures,
        } => {
            let silver = pictured::opened(&pictures.silver_map, name)?;
            let tints = pictured::tints(pictures.colour.as_deref(), name)?;
            Ok(Member::of(
                name.clone(),
                (**fingerprint).clone(),
                &silver,
                tints.as_ref(),
                distance_m,
            ))
        }
    };
    let mut members = Vec::new();
    several(named, work, |heard| {
        match heard {
            Heard::Begun(i) => {
                let name = match &named[i] {
                    Named::Photo(photo) => place::shown(photo),
                    Named::Kept { name, .. } => name.clone(),
                };
                context.progress(i + 1, named.len(), &name);
            }
            Heard::Done(member) => members.push(member?),
        }
        Ok(())
    })?;
    Ok(members)
}
