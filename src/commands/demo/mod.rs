//! `demo`: the whole story on the bundled photos, told by the commands that a maker would type.

mod paint;
mod scenes;
mod story;

use std::path::{Path, PathBuf};

use super::context::{Context, data_folder};
use super::exit::Exit;
use crate::error::{Error, Result};
use story::Line;

/// Show the whole story on the bundled photos
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder for the demo's archive and pictures [default: in the platform's data folder]
    #[arg(long, value_name = "FOLDER")]
    into: Option<PathBuf>,

    /// Paint the demo photos again from their seeds into this folder, and stop
    #[arg(long, value_name = "FOLDER", hide = true)]
    repaint: Option<PathBuf>,
}

/// The demo's photos, beside the program's sources.
const PHOTOS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-images");

/// Where to read on.
const SEE: &str = "\nThe same, step by step, with every figure: see README.md.";

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    match &args.repaint {
        Some(folder) => paint::all(folder, context),
        None => tell(args.into.as_deref(), context),
    }
}

fn tell(into: Option<&Path>, context: &mut Context) -> Result<Exit> {
    let photos = photos()?;
    let folder = into.map_or_else(
        || data_folder().map(|d| d.join("demo")),
        |f| Ok(f.to_owned()),
    )?;
    std::fs::create_dir_all(&folder).map_err(|source| Error::Io {
        path: folder.clone(),
        action: "written",
        source,
    })?;
    let archive = new_archive(&folder);
    context.tell_in(&archive);
    for (number, chapter) in story::chapters(&photos, &folder).iter().enumerate() {
        context.say(&format!("\n{}. {}", number + 1, chapter.heading))?;
        context.say("")?;
        for line in &chapter.lines {
            say(line, context)?;
        }
    }
    context.say(&format!("\nArchive and pictures: {}", folder.display()))?;
    context.say(&format!("Archive: {}", archive.display()))?;
    context.say(SEE)?;
    Ok(Exit::Done)
}

/// Runs a line, and says it with its answer below it.
fn say(line: &Line, context: &mut Context) -> Result<()> {
    let (_, answer) = context.overheard(|context| super::typed(&line.words, context))?;
    context.say(&format!("   {}", line.shown()))?;
    if line.answered {
        let answer = answer.lines().filter(|l| !l.trim().is_empty());
        let answer: Vec<String> = answer.map(|l| format!("      {l}")).collect();
        context.say(&answer.join("\n"))?;
    }
    Ok(())
}

/// An archive of the demo's own, begun anew: the first name that is free, so that nothing there is touched.
fn new_archive(folder: &Path) -> PathBuf {
    let later = (2..).map(|n| folder.join(format!("demo-{n}.sqlite")));
    let mut names = std::iter::once(folder.join("demo.sqlite")).chain(later);
    names.find(|path| !path.exists()).unwrap_or_default()
}

/// The bundled photos: beside where the program was started, so that a line that is shown can be typed, or beside the sources.
fn photos() -> Result<PathBuf> {
    let places = [PathBuf::from("demo-images"), PathBuf::from(PHOTOS)];
    let found = places.iter().find(|p| p.join(scenes::PLAIN).is_file());
    found.cloned().ok_or_else(|| Error::NoDemo {
        path: PathBuf::from(PHOTOS),
    })
}
