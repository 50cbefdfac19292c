//! `sheet --for`: the page that a client signs.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::SigningArgs;
use super::context::Context;
use super::exit::Exit;
use super::pictured::Pictured;
use super::terms::Signed;
use super::whole_file::write_whole;
use crate::archive::exchange::folder_name;
use crate::archive::{Archive, Finish};
use crate::error::Result;
use crate::report::page::{Piece, Signing, signing};
use crate::report::words::day;
use crate::report::words::page::{self as say, signing as words};

pub(super) fn run(
    name: &str,
    args: &SigningArgs,
    as_json: bool,
    context: &mut Context,
) -> Result<Exit> {
    let archive = context.archive()?;
    let signed = Signed::of(name, &archive)?;
    let file = args.page.clone().unwrap_or_else(|| here(name));
    write_whole(&file, page(&signed, args, &archive)?.as_bytes())?;
    let shown = file.to_string_lossy();
    context.say(&if as_json {
        json!({"files": [shown], "sample": name}).to_string()
    } else {
        words::written(&shown)
    })?;
    Ok(Exit::Done)
}

/// Where the page of a sample is written when nobody says: one file for each.
fn here(name: &str) -> PathBuf {
    PathBuf::from(format!("paneprint-sign-off-{}.html", folder_name(name)))
}

fn page(signed: &Signed, args: &SigningArgs, archive: &Archive) -> Result<String> {
    let sample = Pictured::of_kept(&signed.sample, archive)?;
    let [light, dark] = signed.pieces();
    let [light_shown, dark_shown] = [light, dark].map(|piece| {
        let shown = piece.map(|finish| Pictured::of_kept(finish, archive));
        shown.transpose()
    });
    let (light_shown, dark_shown) = (light_shown?, dark_shown?);
    let text = |said: &Option<String>| said.clone().unwrap_or_default();
    let finish = args.finish.as_deref().unwrap_or(&signed.sample.name);
    signing(&Signing {
        finish,
        sample: piece(&signed.sample, &sample),
        approved: signed.sample.approval.is_some(),
        light: light.zip(light_shown.as_ref()).map(|(f, p)| piece(f, p)),
        dark: dark.zip(dark_shown.as_ref()).map(|(f, p)| piece(f, p)),
        job: vec![
            (words::JOB_NAME, text(&args.job)),
            (words::CLIENT, text(&args.client)),
            (words::ROOM, text(&args.room)),
            (words::FINISH, finish.to_owned()),
            (words::SAMPLE, sample_line(&signed.sample)),
            (words::PANELS, text(&args.panels)),
        ],
        agreed: vec![
            (words::LEVEL, text(&args.level)),
            (
                words::VARIETY,
                signed.variety().map_or("", words::variety).to_owned(),
            ),
            (words::FIXED, text(&args.fixed)),
            (words::MAY_VARY, text(&args.may_vary)),
            (words::GLASS, text(&args.glass)),
            (words::SAFETY, text(&args.safety_backing)),
        ],
        judged: vec![
            (
                words::DISTANCE,
                args.viewed_from
                    .map_or_else(String::new, |m| words::distance(m.0)),
            ),
            (words::LIGHTING, text(&args.lighting)),
            (words::PHOTO, photo_line(&signed.sample)),
            (words::HOLDS, text(&args.kept_by)),
        ],
    })
}

fn piece<'a>(finish: &'a Finish, pictured: &'a Pictured) -> Piece<'a> {
    Piece {
        name: &finish.name,
        silver: pictured.silver(),
    }
}

/// Size, stage and days of the sample.
fn sample_line(sample: &Finish) -> String {
    let placement = &sample.fingerprint.provenance.placement;
    let approved = sample.approval.as_ref().map(|a| day(&a.approved_at));
    words::sample(
        placement.size,
        placement.stage.map(|stage| say::stage(Some(stage))),
        day(&sample.kept_at),
        approved,
    )
}

/// How the sample was photographed.
fn photo_line(sample: &Finish) -> String {
    let provenance = &sample.fingerprint.provenance;
    words::photo(
        Path::new(&sample.photo_name),
        provenance.capture.model.as_deref(),
        provenance.rig.as_deref(),
    )
}
