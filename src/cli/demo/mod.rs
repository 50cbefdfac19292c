//! `demo`: the whole story on the bundled photos.

mod scenes;

use std::path::{Path, PathBuf};

use super::args::{DemoArgs, ReadArgs};
use super::context::{Context, data_folder};
use super::exit::Exit;
use super::keep::ToKeep;
use super::place;
use crate::archive::{Archive, Signing};
use crate::compare::{Side, Terms, compare};
use crate::error::{Error, Result};
use crate::placement::{Given, Sidecar, sidecar_path};
use crate::report::{check, text};
use crate::settings::Settings;
use crate::{pipeline, synth};

/// The demo's photos, beside the program's sources.
const PHOTOS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-images");

/// What the demo's rig and sample are called.
const RIG: &str = "bench corner";
const SAMPLE: &str = "alcove sample";

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
    context.with_archive(&new_archive(&folder));

    context.say(
        "1. A plain mirror in the panel's place teaches the program the light of this bench.\n",
    )?;
    let plain = photos.join(scenes::PLAIN);
    let rig = pipeline::learn_rig(RIG, &plain, Given::default(), &Settings::default())?;
    context.archive()?.store_rig(&rig, &Context::now())?;
    context.say(&format!(
        "   rig make \"{RIG}\" --plain {}\n",
        scenes::PLAIN
    ))?;

    context.say("2. A first photo of the signed sample: is it good enough to judge by? Only its size is given.\n")?;
    let first = photos.join(scenes::FIRST_TRY);
    let seen = pipeline::read(&first, Given::default(), Some(&rig), &Settings::default())?;
    let answer = check::text(scenes::FIRST_TRY, &seen.fingerprint.provenance);
    context.say(&indented(&answer))?;

    context.say("\n3. Taken again, it is measured, kept and approved.\n")?;
    let read = ReadArgs::default();
    let rig = place::rig(Some(RIG), context)?;
    let sample = place::read_fit(&photos.join(scenes::SAMPLE), &read, rig.as_ref())?;
    place::draw(&sample, Some(&picture(&folder, scenes::SAMPLE)))?;
    let mut archive = context.archive()?;
    let sample = ToKeep::of(sample)?;
    sample.keep(SAMPLE, scenes::SAMPLE, "", &mut archive)?;
    archive.approve(SAMPLE, &Context::now(), &Signing::default())?;
    let words = text::reading_words(scenes::SAMPLE, &sample.fingerprint);
    context.say(&indented(&words))?;

    context.say("\n4. Three panels made after it are matched, before their backs are painted.")?;
    for panel in scenes::PANELS {
        let reading = place::read_fit(&photos.join(panel), &read, rig.as_ref())?;
        place::draw(&reading, Some(&picture(&folder, panel)))?;
        let side = |name, fingerprint| Side { name, fingerprint };
        let found = compare(
            side(SAMPLE, &sample.fingerprint),
            side(panel, &reading.fingerprint),
            &Terms::default(),
        )?;
        context.say(&format!("\n   {panel}"))?;
        context.say(&indented(&text::matched_words(SAMPLE, &found)))?;
    }
    ending(&archive, &folder, context)
}

fn ending(archive: &Archive, folder: &Path, context: &mut Context) -> Result<Exit> {
    context.say("\nThe same, step by step, with every figure: see README.md.")?;
    context.say(&format!("Archive:  {}", archive.path().display()))?;
    context.say(&format!("Pictures: {}", picture(folder, "*.jpg").display()))?;
    Ok(Exit::Done)
}

fn indented(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(|l| format!("   {l}")).collect();
    lines.join("\n")
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
        place::write_whole(&file, &jpeg)?;
        // The first try is looked for: only its size is said.
        let said = if scene.photo == scenes::FIRST_TRY {
            Sidecar::of_size(scene.size)
        } else {
            Sidecar::from(&photo.placement)
        };
        place::write_whole(&sidecar_path(&file), &json(&said))?;
        context.say(&file.display().to_string())?;
    }
    place::write_whole(&folder.join("painted.json"), &json(&scenes))?;
    Ok(Exit::Done)
}

/// JSON to be read by people.
fn json(value: &impl serde::Serialize) -> Vec<u8> {
    // Plain structs of numbers and names always become JSON.
    let mut text = serde_json::to_vec_pretty(value).unwrap_or_default();
    text.push(b'\n');
    text
}
