//! Several panels beside one sample: which, and how they came out.

use std::path::Path;

use super::super::context::Context;
use super::super::exit::Exit;
use crate::error::Result;
use crate::studio::folder::photos_in;
use crate::words::file_name;

/// The panels named, and the photos of the folders named.
pub(super) fn panels(named: &[String], context: &mut Context) -> Result<Vec<String>> {
    let mut panels = Vec::new();
    for name in named {
        let path = Path::new(name);
        if path.is_dir() {
            let photos = photos_in(path)?.0.into_iter();
            panels.extend(photos.map(|photo| photo.to_string_lossy().into_owned()));
        } else {
            let holds = context.holds()?;
            panels.push(holds.panel(name, &context.studio()?.archive()?)?);
        }
    }
    Ok(panels)
}

/// How many of several panels came to which end, and which of them could not be used.
pub(super) fn summary(panels: &[String], ends: &[Exit]) -> String {
    let of = |wanted: &[Exit]| -> Vec<String> {
        let all = panels.iter().zip(ends);
        let ended = all.filter(|(_, end)| wanted.contains(end));
        ended
            .map(|(panel, _)| file_name(Path::new(panel)))
            .collect()
    };
    let mut parts = vec![format!("{} panels", panels.len())];
    for (ends, what) in [
        (&[Exit::Done][..], "within"),
        (&[Exit::Outside], "outside"),
        (&[Exit::Unsure], "too close to call"),
        (
            &[Exit::PictureNotUsable, Exit::CouldNotRun],
            "could not be used",
        ),
    ] {
        let names = of(ends);
        if !names.is_empty() {
            parts.push(format!("{} {what} ({})", names.len(), names.join(", ")));
        }
    }
    format!("{}.", parts.join("; "))
}
