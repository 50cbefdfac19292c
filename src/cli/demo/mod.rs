//! `demo`: the whole story on the bundled photos.

mod scenes;
mod sheets;

use std::path::{Path, PathBuf};

use super::args::{DemoArgs, ReadArgs, SetArgs};
use super::context::{Context, data_folder};
use super::exit::Exit;
use super::keep::ToKeep;
use super::whole_file::write_whole;
use super::{place, set};
use crate::archive::{Approval, Archive};
use crate::compare::ladder::{Rung, stand};
use crate::compare::promise::promise;
use crate::compare::{Side, Terms, Variety, compare};
use crate::error::{Error, Result};
use crate::pipeline::Reading;
use crate::placement::{Given, Sidecar, sidecar_path};
use crate::report::check::Looked;
use crate::report::promise::Asked;
use crate::report::words::{self, demo};
use crate::report::{Checked, Matched, Promised, Report};
use crate::settings::Settings;
use crate::{pipeline, synth};

/// The demo's photos, beside the program's sources.
const PHOTOS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-images");

/// What the demo's rig and sample are called.
const RIG: &str = "bench corner";
const SAMPLE: &str = "alcove sample";

/// The studio's own steps from light to heavy.
const STEPS: [&str; 3] = ["little", "usual", "much"];

/// The picture of the wall.
const WALL: &str = "wall.png";

pub(super) fn run(args: &DemoArgs, context: &mut Context) -> Result<Exit> {
    match &args.repaint {
        Some(folder) => repaint(folder, context),
        None => story(args.into.as_deref(), context),
    }
}

fn story(into: Option<&Path>, context: &mut Context) -> Result<Exit> {
    let photos = photos()?;
    let folder = into.map_or_else(
        || data_folder().map(|d| d.join("demo")),
        |f| Ok(f.to_owned()),
    )?;
    let failed = |source| Error::Io {
        path: folder.clone(),
        action: "written",
        source,
    };
    std::fs::create_dir_all(&folder).map_err(failed)?;
    context.use_archive(&new_archive(&folder));
    learn(&photos, context)?;
    let rig = place::rig(Some(RIG), context)?;
    let mut archive = context.archive_or_new()?;
    let read = |photo: &str| {
        let reading = place::read_fit(&photos.join(photo), &ReadArgs::default(), rig.as_ref())?;
        place::draw(&reading, Some(&picture(&folder, photo)))?;
        Ok(reading)
    };
    let sample = sign(read(scenes::SAMPLE)?, &mut archive, context)?;
    let panels = scenes::PANELS
        .map(|photo| Ok((photo, ToKeep::of(read(photo)?)?)))
        .into_iter()
        .collect::<Result<Vec<(&str, ToKeep)>>>()?;

    context.say(demo::PANELS)?;
    let side = |name, fingerprint| Side { name, fingerprint };
    let sample_side = side(SAMPLE, &sample.fingerprint);
    for (photo, panel) in &panels {
        let terms = Terms {
            variety: VARIETY,
            ..Terms::default()
        };
        let found = compare(sample_side, side(photo, &panel.fingerprint), &terms)?;
        context.say(&format!("\n   {photo}"))?;
        let report = Matched {
            sample: sample_side,
            panel: side(photo, &panel.fingerprint),
            found: &found,
            overruled: None,
            beside: None,
            just_now: false,
        };
        context.say(&indented(&report.in_short().join("\n")))?;
        panel.keep(&kept_name(photo), &Context::now(), photo, "", &mut archive)?;
    }
    step_by_step(&panels, sample_side, context)?;
    hang(&folder, context)?;
    let sheets = sheets::write(&photos, &folder, context)?;
    ending(&archive, &folder, &sheets, context)
}

/// The rig, and a first photo that is not fit to judge by.
fn learn(photos: &Path, context: &mut Context) -> Result<()> {
    context.say(demo::PLAIN)?;
    let plain = photos.join(scenes::PLAIN);
    let rig = pipeline::learn_rig(RIG, &plain, Given::default(), &Settings::default())?;
    context.archive_or_new()?.store_rig(&rig, &Context::now())?;
    context.say(&format!(
        "   rig make \"{RIG}\" --plain {}\n",
        scenes::PLAIN
    ))?;
    context.say(demo::FIRST_TRY)?;
    let first = photos.join(scenes::FIRST_TRY);
    let seen = pipeline::read(&first, Given::default(), Some(&rig), &Settings::default())?;
    let answer = Checked {
        title: scenes::FIRST_TRY.to_owned(),
        photo: scenes::FIRST_TRY.to_owned(),
        seen: Looked::Judged(&seen.fingerprint.provenance),
    };
    context.say(&indented(&answer.text()))
}

/// A finish of ridges and clouds is meant to vary a little from panel to panel.
const VARIETY: Option<Variety> = Some(Variety::Slight);

/// The sample, kept and approved, and what it can promise for the panels.
fn sign(sample: Reading, archive: &mut Archive, context: &mut Context) -> Result<ToKeep> {
    context.say(demo::SAMPLE)?;
    let sample = ToKeep::of(sample)?;
    sample.keep(SAMPLE, &Context::now(), scenes::SAMPLE, "", archive)?;
    let approval = Approval {
        approved_at: Context::now(),
        variety: VARIETY,
        ..Approval::default()
    };
    archive.approve(SAMPLE, &approval)?;
    let reading = place::report(Path::new(scenes::SAMPLE), &sample.fingerprint);
    context.say(&indented(&reading.words().join("\n")))?;

    context.say(demo::PROMISE)?;
    let asked = Asked {
        name: SAMPLE,
        sample: sample.fingerprint.provenance.placement.size,
        size: Some(scenes::PANEL_SIZE),
        speckles: None,
    };
    let found = promise(&sample.fingerprint, scenes::PANEL_SIZE, &Terms::default());
    let report = Promised {
        asked,
        found: Some(found),
    };
    context.say(&indented(&report.words().join("\n")))?;
    Ok(sample)
}

/// The panels as a ladder, and the sample on it.
fn step_by_step(panels: &[(&str, ToKeep)], sample: Side<'_>, context: &mut Context) -> Result<()> {
    context.say(demo::LADDER)?;
    let rungs: Vec<Rung<'_>> = scenes::LIGHT_TO_HEAVY
        .iter()
        .zip(STEPS)
        .map(|(panel, name)| Rung {
            name,
            side: Side {
                name: panels[*panel].0,
                fingerprint: &panels[*panel].1.fingerprint,
            },
        })
        .collect();
    context.say(&indented(&words::ladder::standing(
        &stand(sample, &rungs)?,
        &STEPS,
    )))
}

/// The panels as a set, by the command itself, with a picture of the wall.
fn hang(folder: &Path, context: &mut Context) -> Result<()> {
    context.say(demo::SET)?;
    let args = SetArgs {
        panels: scenes::PANELS.map(kept_name).to_vec(),
        to: Some(SAMPLE.to_owned()),
        picture: Some(folder.join(WALL)),
        ..SetArgs::default()
    };
    set::run(&args, context)?;
    Ok(())
}

fn ending(
    archive: &Archive,
    folder: &Path,
    sheets: &[PathBuf],
    context: &mut Context,
) -> Result<Exit> {
    context.say(demo::SHEETS)?;
    for sheet in sheets {
        context.say(&format!("   {}", sheet.display()))?;
    }
    context.say(demo::SEE)?;
    context.say(&format!("Archive:  {}", archive.path().display()))?;
    context.say(&format!(
        "Pictures: {} and {}",
        picture(folder, "*.jpg").display(),
        folder.join(WALL).display()
    ))?;
    Ok(Exit::Done)
}

fn indented(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(|l| format!("   {l}")).collect();
    lines.join("\n")
}

/// What the finish of a photo is kept as.
fn kept_name(photo: &str) -> String {
    photo.trim_end_matches(".jpg").to_owned()
}

/// Where the picture of a photo is written.
fn picture(folder: &Path, photo: &str) -> PathBuf {
    folder.join(photo).with_extension("counted.png")
}

/// An archive of the demo's own, begun anew: the first name that is free, so that nothing there is touched.
fn new_archive(folder: &Path) -> PathBuf {
    let named = |n: u32| match n {
        1 => folder.join("demo.sqlite"),
        n => folder.join(format!("demo-{n}.sqlite")),
    };
    let mut n = 1;
    while named(n).exists() {
        n += 1;
    }
    named(n)
}

/// The bundled photos: beside the sources, or beside where the program was started.
fn photos() -> Result<PathBuf> {
    let places = [PathBuf::from(PHOTOS), PathBuf::from("demo-images")];
    let found = places.iter().find(|p| p.join(scenes::PLAIN).is_file());
    found.cloned().ok_or_else(|| Error::NoDemo {
        path: PathBuf::from(PHOTOS),
    })
}

/// Paints the demo's photos from their seeds, with their placement files and the seeds beside them.
fn repaint(folder: &Path, context: &mut Context) -> Result<Exit> {
    let scenes = scenes::scenes();
    for scene in &scenes {
        let painted = scene.finish.paint(scene.size, scene.px_per_mm);
        let photo = synth::photograph(&painted, &scene.shot);
        let jpeg = photo.jpeg().map_err(|source| Error::PictureNotEncoded {
            width: photo.rgb8.width(),
            height: photo.rgb8.height(),
            source,
        })?;
        let file = folder.join(scene.photo);
        write_whole(&file, &jpeg)?;
        // The first try is looked for: only its size is said.
        let said = if scene.photo == scenes::FIRST_TRY {
            Sidecar::of_size(scene.size)
        } else {
            Sidecar::from(&photo.placement)
        };
        write_whole(&sidecar_path(&file), &json(&said))?;
        context.say(&file.display().to_string())?;
    }
    write_whole(&folder.join("painted.json"), &json(&scenes))?;
    Ok(Exit::Done)
}

/// JSON to be read by people.
fn json(value: &impl serde::Serialize) -> Vec<u8> {
    // Plain structs of numbers and names always become JSON.
    let mut text = serde_json::to_vec_pretty(value).unwrap_or_default();
    text.push(b'\n');
    text
}
