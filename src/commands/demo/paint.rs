//! Paints the demo's photos from their seeds, with their placement files and the seeds beside them.

use std::path::Path;

use super::super::context::Context;
use super::super::exit::Exit;
use super::super::whole_file::write_whole;
use super::scenes::{FIRST_TRY, scenes};
use crate::error::{Error, Result};
use crate::placement::{Sidecar, sidecar_path};
use crate::synth;

/// Paints them into a folder.
pub(super) fn all(folder: &Path, context: &mut Context) -> Result<Exit> {
    let scenes = scenes();
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
        let said = if scene.photo == FIRST_TRY {
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
