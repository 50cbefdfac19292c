//! `rig`: `make` teaches the program the studio's fixed corner, `study` what it repeats; `list` names the rigs, `rename` gives one
//! another name.

mod kept;
pub(super) mod sessions;
pub(super) mod study;
mod words;

use std::path::PathBuf;
use std::sync::Arc;

use serde_json::json;

use super::args::{OutArgs, PlaceArgs};
use super::context::Context;
use super::exit::Exit;
use crate::document::{Answer, Document, Lines};
use crate::error::{Error, Result};
use crate::frame::placement::{CardStep, PatchKind};
use crate::normalize::Rig;
use crate::placement::{FormError, Given};
use crate::studio::rig::{Learnt, Lesson, learn};
use crate::words::keeping::kept_in;

/// Teach the program the studio's fixed corner
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, clap::Subcommand)]
enum Command {
    Make(MakeArgs),
    Study(study::Args),
    List(kept::ListArgs),
    Rename(kept::RenameArgs),
}

/// Steps of a card, as one argument holds them
type Steps = Arc<[CardStep]>;

fn card(text: &str) -> std::result::Result<Steps, FormError> {
    text.split_whitespace().map(str::parse).collect()
}

/// Learn a rig from the photo of a plain, unaged mirror in the panel's place
#[derive(Debug, clap::Args)]
struct MakeArgs {
    /// The name for the rig
    name: String,

    /// Photo of a plain, unaged mirror in the panel's place
    #[arg(long, value_name = "PHOTO")]
    plain: PathBuf,

    /// A card of greys beside the mirror, dark to bright, to learn the phone's tones from (repeatable)
    #[arg(long, value_name = "\"0.03:x,y,w,h …\"", value_parser = card, allow_hyphen_values = true)]
    steps: Vec<Steps>,

    /// Photo of the card alone, in the same light and somewhat brighter; --steps then says where it lies there
    #[arg(long, value_name = "PHOTO")]
    steps_photo: Option<PathBuf>,

    #[command(flatten)]
    place: PlaceArgs,

    /// Take the place of the rig of this name; that one stays in the history, for what was read with it
    #[arg(long)]
    replace: bool,

    /// Write the rig as JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    match &args.command {
        Command::Make(args) => make(args, context),
        Command::Study(args) => study::run(args, context),
        Command::List(args) => kept::list(args, context),
        Command::Rename(args) => kept::rename(args, context),
    }
}

fn make(args: &MakeArgs, context: &mut Context) -> Result<Exit> {
    let lesson = Lesson {
        name: args.name.clone(),
        plain: args.plain.clone(),
        card: args.steps_photo.clone(),
        given: Given {
            steps: args.steps.iter().flat_map(|s| s.iter().copied()).collect(),
            ..Given::from(&args.place)
        },
        replace: args.replace,
    };
    let mut learnt = learn(&lesson, &context.studio()?);
    if matches!(learnt, Err(Error::RigThere { .. })) && context.asks(REPLACE) {
        let lesson = Lesson {
            replace: true,
            ..lesson
        };
        learnt = learn(&lesson, &context.studio()?);
    }
    let Learnt { rig, study_dropped } = learnt?;
    let mut document = Document::new("rig", &rig.name);
    document.say([format!("Rig `{}` made.", rig.name)]);
    document.say(study_dropped.then(|| STUDY_DROPPED.to_owned()));
    document.say([patches(&rig)]);
    document.say(rig.response.is_taught().then(|| TONES_LEARNT.to_owned()));
    document.say([kept_in(&context.archive_path()?)]);
    let mut json = json!(rig);
    json["study_dropped"] = study_dropped.into();
    let answer = Answer {
        document,
        json,
        lines: Lines::default(),
    };
    let out = OutArgs::json(args.json);
    context.answer(answer, &out)?;
    Ok(Exit::Done)
}

const REPLACE: &str = "There is a rig of this name. Is the new one to take its place? What was read with the old one still knows its light. [y/N]";

const STUDY_DROPPED: &str =
    "Its study was of the old corner and is dropped: study it again with `paneprint rig study`.";

const TONES_LEARNT: &str = "It knows the phone's tones from the grey card.";

/// What full silver reads beside the patches of the plain frame.
fn patches(rig: &Rig) -> String {
    let beside = |kind, patch| {
        let ratio = rig.silver_over(kind)?[1];
        Some(format!(
            "Full silver reads {ratio:.2} times the {patch} beside it."
        ))
    };
    beside(PatchKind::Grey, "grey card")
        .or_else(|| beside(PatchKind::Mirror, "mirror patch"))
        .unwrap_or_else(|| {
            "No patch in the plain frame: its light can be used only where a photo shows a mirror patch of its own.".to_owned()
        })
}
