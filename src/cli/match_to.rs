//! `match`: is a panel inside what was signed?

use std::path::{Path, PathBuf};

use super::args::{MatchArgs, PlaceArgs, ReadArgs, SideArg, StageArg};
use super::context::Context;
use super::exit::Exit;
use super::panel::{self, Panel, ToDraw};
use super::photos::spare;
use super::pictured::Pictured;
use super::place;
use super::terms::Signed;
use super::whole_file::write_whole;
use crate::archive::{Archive, Overruling, question};
use crate::compare::{self, Today, compare_today};
use crate::error::{Error, Result};
use crate::fingerprint::Verdict;
use crate::frame::placement::{Side, Stage};
use crate::pipeline::beside::Beside;
use crate::report::{Matched, page};

pub(super) fn run(args: &MatchArgs, context: &mut Context) -> Result<Exit> {
    let photos = args.sample_today.iter().map(PathBuf::as_path);
    spare(args.picture.iter().map(PathBuf::as_path), photos)?;
    let mut archive = context.archive()?;
    let signed = Signed::of(&args.to, &archive)?;
    let rig = place::rig(args.read.rig.as_deref(), context)?;
    let rig = rig.as_ref();
    let draw = ToDraw {
        picture: args.picture.as_deref(),
        sheet: args.out.page.is_some(),
    };
    let (panel, beside) = match panel::panel(&args.panel, &args.read, rig, draw, &archive) {
        Err(alone @ (Error::PanelsFound { .. } | Error::PlacementMissing { .. }))
            if rig.is_none() =>
        {
            beside_sample(args, &signed, draw, &archive, alone)?
        }
        alone => (alone?, None),
    };
    let again = args
        .sample_today
        .iter()
        .map(|photo| {
            Ok((
                place::shown(photo),
                place::read_fit(photo, &args.read_as_sample(&signed), rig)?.fingerprint,
            ))
        })
        .collect::<Result<Vec<_>>>()?;
    let sides: Vec<compare::Side<'_>> = again
        .iter()
        .map(|(name, fingerprint)| compare::Side { name, fingerprint })
        .collect();
    let today = match sides.as_slice() {
        [start, end] => Some(Today::of(signed.side(), *start, *end)?),
        _ => None,
    };
    let found = compare_today(signed.side(), panel.side(), &signed.terms(), today.as_ref())?;
    let overruled = overrule(args, &panel, found.verdict, &mut archive, context)?;
    let report = Matched {
        sample: signed.side(),
        panel: panel.side(),
        found: &found,
        overruled: overruled.as_ref(),
        beside,
        just_now: args.because.is_some(),
    };
    if let (Some(file), Some(pictured)) = (&args.out.page, &panel.pictured) {
        let sample = Pictured::of_kept(&signed.sample, &archive)?;
        let page = page::matched(&report, &sample.silver(), &pictured.silver())?;
        write_whole(file, page.as_bytes())?;
    }
    context.answer(&report, &args.out)?;
    Ok(report.holds().into())
}

/// The panel of a photo in which the sample lies too, and how alike that is to what was kept of it. Where there are no two panels
/// what was wrong with the photo of one stays wrong.
fn beside_sample(
    args: &MatchArgs,
    signed: &Signed,
    draw: ToDraw<'_>,
    archive: &Archive,
    alone: Error,
) -> Result<(Panel, Option<f64>)> {
    let sample = Pictured::of_kept(&signed.sample, archive)?;
    let kept = sample.kept(signed.sample.fingerprint.provenance.placement.size);
    let read = place::read_beside(
        Path::new(&args.panel),
        &args.read,
        &signed.sample.name,
        kept,
    );
    let Beside { reading, alike } = match read {
        Err(Error::NoTwoPanels { .. }) => return Err(alone),
        // Something else beside the panel is no sample: what is missing is the size.
        Err(Error::SampleNotSeen { .. }) if matches!(alone, Error::PlacementMissing { .. }) => {
            return Err(alone);
        }
        read => read?,
    };
    Ok((
        panel::of(Path::new(&args.panel), reading, draw)?,
        Some(alike),
    ))
}

impl MatchArgs {
    /// How the photos of the sample are read: they show the sample, of its own size and stage, each with its own placement
    /// file.
    fn read_as_sample(&self, signed: &Signed) -> ReadArgs {
        let kept = &signed.sample.fingerprint.provenance.placement;
        ReadArgs {
            place: PlaceArgs {
                size: Some(kept.size),
                patch_reflectance: Some(kept.patch_reflectance),
                side: Some(match kept.side {
                    Side::Front => SideArg::Front,
                    Side::Back => SideArg::Back,
                }),
                stage: kept.stage.map(|stage| match stage {
                    Stage::Wet => StageArg::Wet,
                    Stage::Dry => StageArg::Dry,
                    Stage::Backed => StageArg::Backed,
                }),
                ..PlaceArgs::default()
            },
            rig: self.read.rig.clone(),
            anyway: self.read.anyway,
            write_place: false,
        }
    }
}

/// What the maker decides now, or decided before on this very question.
fn overrule(
    args: &MatchArgs,
    panel: &Panel,
    found: Verdict,
    archive: &mut Archive,
    context: &mut Context,
) -> Result<Option<Overruling>> {
    let (Some(decided), Some(reason)) = (args.overrule, &args.because) else {
        let before = context.sound(archive.overruled(&panel.fingerprint, &args.to))?;
        return Ok(before.flatten());
    };
    if reason.trim().is_empty() {
        return Err(Error::NoReason);
    }
    let overruling = Overruling {
        made_at: Context::now(),
        sample: args.to.clone(),
        panel: panel.name.clone(),
        photo_digest: panel.fingerprint.provenance.photo_digest.clone(),
        found,
        decided: decided.into(),
        reason: reason.trim().to_owned(),
        question: Some(question(&panel.fingerprint)),
    };
    archive.overrule(&overruling)?;
    Ok(Some(overruling))
}
