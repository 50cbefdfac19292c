//! `find`: the kept finishes that look most like a panel.

use std::cmp::Ordering;
use std::num::NonZero;

use image::RgbImage;

use super::args::FindArgs;
use super::context::Context;
use super::exit::Exit;
use super::panel::{Panel, ToDraw, panel};
use super::pictured::small_named;
use super::place;
use super::whole_file::write_whole;
use crate::archive::Archive;
use crate::compare::near::{HowNear, LOOKED_AT, Near, nearest};
use crate::compare::{Side, Terms, compare};
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::fingerprint::look::Look;
use crate::report::near::Found;
use crate::report::{Nearest, page, words};

pub(super) fn run(args: &FindArgs, context: &mut Context) -> Result<Exit> {
    let mut archive = context.archive()?;
    let rig = place::rig(args.read.rig.as_deref(), context)?;
    let draw = ToDraw {
        sheet: args.out.page.is_some(),
        ..ToDraw::default()
    };
    let panel = panel(&args.panel, &args.read, rig.as_ref(), draw, &archive)?;
    let looks = archive.looks(&Look::kind_of(&panel.fingerprint))?;
    looks.damaged.iter().for_each(|e| context.left_out(e));
    let looks = looks.all;
    // More than are wanted, for those are put in order by a closer look; a kept finish is nearest to itself, and left out.
    let some = args.most.checked_add(LOOKED_AT).unwrap_or(args.most);
    let near = nearest(&looks, &Look::of(&panel.fingerprint), some);
    let searched = looks.len() - usize::from(panel.kept && !looks.is_empty());
    let found = described(&near, args.most, &panel, &archive, context)?;
    let report = Nearest {
        panel: &panel.name,
        found: &found,
        searched,
    };
    if let (Some(file), Some(pictured)) = (&args.out.page, &panel.pictured) {
        let mut pictures = Vec::new();
        for f in &found {
            let kept = context.sound(small_named(&f.name, &archive))?;
            pictures.push(kept.unwrap_or_else(|| RgbImage::new(1, 1)));
        }
        let page = page::near(&report, &pictured.small(), &pictures)?;
        write_whole(file, page.as_bytes())?;
    }
    context.answer(&report, &args.out)?;
    Ok(Exit::Done)
}

/// The wanted number of them in order, each with what differs, by the comparison that `match` makes.
fn described(
    near: &[Near],
    most: NonZero<usize>,
    panel: &Panel,
    archive: &Archive,
    context: &mut Context,
) -> Result<Vec<Found>> {
    let texture = |fingerprint: &Fingerprint| fingerprint.measurements.texture.clone();
    let own = texture(&panel.fingerprint);
    let mut finishes = Vec::new();
    for one in near {
        let Some(name) = context.sound(archive.name_of(one.id))? else {
            continue;
        };
        if panel.kept && name == panel.name {
            continue;
        }
        let Some(finish) = context.sound(archive.finish_named(&name))? else {
            continue;
        };
        let how_near = HowNear::of(one, &own, &texture(&finish.fingerprint));
        finishes.push((how_near, finish));
    }
    // Stable: of equally near ones the scan's order holds.
    finishes.sort_by(|a, b| a.0.partial_cmp(&b.0).unwrap_or(Ordering::Equal));
    let mut found = Vec::new();
    for (how_near, finish) in finishes.into_iter().take(most.get()) {
        let side = Side {
            name: &finish.name,
            fingerprint: &finish.fingerprint,
        };
        // What stands under a finish is said of the finish.
        let differs = words::differences(&compare(panel.side(), side, &Terms::default())?);
        found.push(Found {
            distance: how_near.in_allowances(),
            differs,
            approved: finish.approval.is_some(),
            kept_at: finish.kept_at,
            notes: finish.notes,
            recipe: context.sound(archive.recipe(&finish.name))?.flatten(),
            name: finish.name,
        });
    }
    Ok(found)
}
