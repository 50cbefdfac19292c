//! What was typed of a rig.

use std::path::PathBuf;

use clap::Subcommand;

use super::{OutArgs, PlaceArgs};
use crate::cli::panels::Sessions;
use crate::frame::placement::CardStep;
use crate::placement::FormError;

#[derive(Debug, clap::Args)]
pub(crate) struct RigArgs {
    #[command(subcommand)]
    pub(crate) command: RigCommand,
}

#[derive(Debug, Subcommand)]
pub(crate) enum RigCommand {
    /// Learn a rig from the photo of a plain, unaged mirror in the panel's place
    Make(RigMakeArgs),
    /// Learn from repeated photos of the same panels how far readings in a rig lie apart
    Study(RigStudyArgs),
}

/// Steps of a card, as one argument holds them
pub(crate) type Steps = std::sync::Arc<[CardStep]>;

fn card(text: &str) -> Result<Steps, FormError> {
    text.split_whitespace().map(str::parse).collect()
}

#[derive(Debug, clap::Args)]
pub(crate) struct RigMakeArgs {
    /// The name for the rig
    pub(crate) name: String,

    /// Photo of a plain, unaged mirror in the panel's place
    #[arg(long, value_name = "PHOTO")]
    pub(crate) plain: PathBuf,

    /// A card of greys beside the mirror, dark to bright, to learn the phone's tones from (repeatable)
    #[arg(long, value_name = "\"0.03:x,y,w,h …\"", value_parser = card, allow_hyphen_values = true)]
    pub(crate) steps: Vec<Steps>,

    /// Photo of the card alone, in the same light and somewhat brighter; --steps then says where it lies there
    #[arg(long, value_name = "PHOTO")]
    pub(crate) steps_photo: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) place: PlaceArgs,

    /// Write the rig as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct RigStudyArgs {
    /// The rig
    pub(crate) name: String,

    #[command(flatten)]
    pub(crate) sessions: Sessions,

    #[command(flatten)]
    pub(crate) place: PlaceArgs,

    #[command(flatten)]
    pub(crate) out: OutArgs,
}
