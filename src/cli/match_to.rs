//! `match`: is a panel inside what was signed?

use std::path::Path;

use super::args::MatchArgs;
use super::context::Context;
use super::exit::Exit;
use super::place;
use crate::compare::{Side, compare};
use crate::error::{Error, Result};
use crate::fingerprint::Fingerprint;
use crate::report::{json, text};

pub(super) fn run(args: &MatchArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.archive()?;
    let sample = archive.finish_named(&args.to)?;
    let photo = Path::new(&args.panel);
    // A kept finish is named by its name; anything else is a photo.
    let (name, panel): (String, Fingerprint) = match archive.finish(&args.panel)? {
        Some(finish) if !photo.is_file() => {
            if args.picture.is_some() {
                return Err(Error::NothingToDraw { name: finish.name });
            }
            (finish.name, finish.fingerprint)
        }
        None if !photo.exists() => {
            return Err(Error::NoSuchPanel {
                name: args.panel.clone(),
                path: archive.path().to_owned(),
            });
        }
        _ => {
            let rig = place::rig(args.read.rig.as_deref(), context)?;
            let reading = place::read_fit(photo, &args.read, rig.as_ref())?;
            place::draw(&reading, args.picture.as_deref())?;
            (place::shown(photo), reading.fingerprint)
        }
    };
    let allowances = sample.approval.map(|a| a.allowances).unwrap_or_default();
    let side = |name, fingerprint| Side { name, fingerprint };
    let found = compare(
        side(&sample.name, &sample.fingerprint),
        side(&name, &panel),
        &allowances,
    )?;
    if args.json {
        let words = text::match_words(&sample.name, &found);
        context.say(&json::matched(&sample.name, &name, &found, &words).to_string())?;
    } else {
        context.say(&text::matched(&sample.name, &found, &panel))?;
    }
    Ok(found.verdict.into())
}
