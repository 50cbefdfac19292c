//! `match`: is a panel inside what was signed?

use super::args::{MatchArgs, PlaceArgs, ReadArgs, SideArg, StageArg};
use super::context::Context;
use super::exit::Exit;
use super::panel::{self, Panel};
use super::place;
use super::terms::Signed;
use crate::archive::{Archive, Overruling};
use crate::compare::{self, Today, compare_today};
use crate::error::{Error, Result};
use crate::fingerprint::Verdict;
use crate::frame::placement::{Side, Stage};
use crate::report::words::keeping;
use crate::report::{json, text};

pub(super) fn run(args: &MatchArgs, context: &mut Context) -> Result<Exit> {
    let mut archive = context.archive()?;
    let signed = Signed::of(&args.to, &archive)?;
    let rig = place::rig(args.read.rig.as_deref(), context)?;
    let rig = rig.as_ref();
    let picture = args.picture.as_deref();
    let panel = panel::panel(&args.panel, &args.read, rig, picture, &archive)?;
    let again = args
        .sample_today
        .iter()
        .map(|photo| {
            Ok((
                place::shown(photo),
                panel::photo(photo, &args.read_as_sample(&signed), rig)?.fingerprint,
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
    let overruled = overrule(args, &panel, found.verdict, &mut archive)?;
    let verdict = overruled.as_ref().map_or(found.verdict, |o| o.decided);
    if args.json {
        let words = text::match_words(&args.to, &found);
        let mut object = json::matched(&args.to, &panel.name, &found, &words);
        object["overruled"] = json::overruled(overruled.as_ref());
        context.say(&object.to_string())?;
        return Ok(verdict.into());
    }
    context.say(&text::matched(&args.to, &found, &panel.fingerprint))?;
    match (&overruled, args.because.is_some()) {
        (Some(o), true) => context.say(&keeping::overruled(o.found, o.decided, &o.reason))?,
        (Some(o), false) => {
            context.say(&keeping::overruled_before(&o.made_at, o.decided, &o.reason))?
        }
        (None, _) => {}
    }
    Ok(verdict.into())
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

/// What the maker decides now, or decided before about this very photo beside this sample.
fn overrule(
    args: &MatchArgs,
    panel: &Panel,
    found: Verdict,
    archive: &mut Archive,
) -> Result<Option<Overruling>> {
    let photo_digest = panel.fingerprint.provenance.photo_digest.clone();
    let (Some(decided), Some(reason)) = (args.overrule, &args.because) else {
        return archive.overruled(&photo_digest, &args.to);
    };
    if reason.trim().is_empty() {
        return Err(Error::NoReason);
    }
    let overruling = Overruling {
        made_at: Context::now(),
        sample: args.to.clone(),
        panel: panel.name.clone(),
        photo_digest,
        found,
        decided: decided.into(),
        reason: reason.trim().to_owned(),
    };
    archive.overrule(&overruling)?;
    Ok(Some(overruling))
}
