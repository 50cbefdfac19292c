//! Exactly what was typed.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};

use super::panels::Panels;
use crate::frame::mark::MarkSize;
use crate::frame::placement::{CardStep, Patch, Side, Stage};
use crate::frame::quad::Quad;
use crate::placement::FormError;
use crate::report::sheet::Paper;
use crate::units::{Proportions, SizeMm};

/// Reads photos of hand-aged mirror panels: how much silver is left and how it lies; and says whether a panel is inside
/// what was approved
#[derive(Debug, Parser)]
#[command(name = "paneprint", version, arg_required_else_help = true)]
pub(super) struct Args {
    #[command(subcommand)]
    pub(super) command: Command,

    /// The archive file [default: in the platform's data folder]
    #[arg(long, global = true, value_name = "FILE")]
    pub(super) archive: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Show the whole story on the bundled photos
    Demo(DemoArgs),
    /// Say whether each picture is good enough to judge by, and what to mend first
    Check(CheckArgs),
    /// Take a reading of each photo
    Measure(MeasureArgs),
    /// Measure panels and keep each under a name
    Keep(KeepArgs),
    /// Mark a kept finish as the approved sample
    Approve(ApproveArgs),
    /// Say whether a panel is within, outside or too close to call
    Match(MatchArgs),
    /// Teach the program the studio's fixed corner
    Rig(RigArgs),
    /// Print corner marks to lay around a panel, so that its size and corners need not be typed
    Sheet(SheetArgs),
    /// List what is kept
    List(ListArgs),
    /// Show a kept finish
    Show(ShowArgs),
}

/// Where things lie in the photo; what is not given here is taken from PHOTO.place.json
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct PlaceArgs {
    /// The panel's real width and height, such as 600x400mm or 24x16in
    #[arg(long, value_name = "WxHmm")]
    pub(super) size: Option<SizeMm>,

    /// Its proportions, where the size is not known: enough to find it, not to judge it
    #[arg(long, value_name = "W:H")]
    pub(super) proportions: Option<Proportions>,

    /// Corners in pixels as the panel hangs: top left, top right, bottom right, bottom left
    #[arg(long, value_name = "\"x,y x,y x,y x,y\"", allow_hyphen_values = true)]
    pub(super) corners: Option<Quad>,

    /// A reference patch in pixels: grey:x,y,w,h (or grey=0.09: for another card), mirror:x,y,w,h or bare:x,y,w,h
    /// (repeatable; grey if no kind is named)
    #[arg(
        long = "patch",
        value_name = "KIND:x,y,w,h",
        allow_hyphen_values = true
    )]
    pub(super) patches: Vec<Patch>,

    /// Reflectance of the grey patches [default: 0.18]
    #[arg(long, value_name = "0..1")]
    pub(super) patch_reflectance: Option<f64>,

    /// The side that faced the camera [default: front]
    #[arg(long, value_enum)]
    pub(super) side: Option<SideArg>,

    /// How far the work has gone
    #[arg(long, value_enum)]
    pub(super) stage: Option<StageArg>,
}

/// How a photo is read
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct ReadArgs {
    #[command(flatten)]
    pub(super) place: PlaceArgs,

    /// The rig the photo was taken in
    #[arg(long, value_name = "NAME")]
    pub(super) rig: Option<String>,

    /// Go on with a picture that cannot be judged by; the reading remembers it
    #[arg(long)]
    pub(super) anyway: bool,

    /// Write where the panel and the patches lie into PHOTO.place.json, where there is none yet
    #[arg(long)]
    pub(super) write_place: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct CheckArgs {
    /// Photos, or folders of photos
    #[arg(required = true, value_name = "PHOTO")]
    pub(super) photos: Vec<PathBuf>,

    #[command(flatten)]
    pub(super) place: PlaceArgs,

    /// The rig the photos were taken in
    #[arg(long, value_name = "NAME")]
    pub(super) rig: Option<String>,

    /// Write where the panel and the patches lie into PHOTO.place.json, where there is none yet
    #[arg(long)]
    pub(super) write_place: bool,

    /// Write one JSON object a line a photo
    #[arg(long)]
    pub(super) json: bool,

    /// Write the photo with what was found drawn on it
    #[arg(long, value_name = "FILE.png")]
    pub(super) picture: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(super) struct MeasureArgs {
    /// Photos, or folders of photos
    #[arg(required = true, value_name = "PHOTO")]
    pub(super) photos: Vec<PathBuf>,

    #[command(flatten)]
    pub(super) read: ReadArgs,

    /// Write one JSON object a line a photo
    #[arg(long)]
    pub(super) json: bool,

    /// Write the straightened panel with what was counted drawn on it
    #[arg(long, value_name = "FILE.png")]
    pub(super) picture: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(super) struct KeepArgs {
    /// Photos, or folders of photos
    #[arg(required = true, value_name = "PHOTO")]
    pub(super) photos: Vec<PathBuf>,

    /// The name to keep it under; of several photos the beginning of each name [default: the photo's own name]
    #[arg(long)]
    pub(super) name: Option<String>,

    /// Anything worth remembering
    #[arg(long, default_value = "")]
    pub(super) notes: String,

    #[command(flatten)]
    pub(super) read: ReadArgs,

    /// Write one JSON object a line a photo
    #[arg(long)]
    pub(super) json: bool,

    /// Write the straightened panel with what was counted drawn on it
    #[arg(long, value_name = "FILE.png")]
    pub(super) picture: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(super) struct ApproveArgs {
    /// The kept finish
    pub(super) name: String,

    /// How far a measure may differ and still be alike, such as coverage=0.04; for specks a share, such as
    /// speckle_density=0.5 (repeatable)
    #[arg(long = "allow", value_name = "MEASURE=FIGURE")]
    pub(super) allow: Vec<String>,
}

#[derive(Debug, clap::Args)]
pub(super) struct MatchArgs {
    /// A photo, or the name of a kept finish
    pub(super) panel: String,

    /// The approved sample, or any kept finish
    #[arg(long, value_name = "NAME")]
    pub(super) to: String,

    #[command(flatten)]
    pub(super) read: ReadArgs,

    /// Write the match as JSON
    #[arg(long)]
    pub(super) json: bool,

    /// Write the straightened panel with what was counted drawn on it (a photo only)
    #[arg(long, value_name = "FILE.png")]
    pub(super) picture: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(super) struct RigArgs {
    #[command(subcommand)]
    pub(super) command: RigCommand,
}

#[derive(Debug, Subcommand)]
pub(super) enum RigCommand {
    /// Learn a rig from the photo of a plain, unaged mirror in the panel's place
    Make(RigMakeArgs),
    /// Learn from repeated photos of the same panels how far readings in a rig lie apart
    Study(RigStudyArgs),
}

/// Steps of a card, as one argument holds them
pub(super) type Steps = std::sync::Arc<[CardStep]>;

fn card(text: &str) -> Result<Steps, FormError> {
    text.split_whitespace().map(str::parse).collect()
}

#[derive(Debug, clap::Args)]
pub(super) struct RigMakeArgs {
    /// The name for the rig
    pub(super) name: String,

    /// Photo of a plain, unaged mirror in the panel's place
    #[arg(long, value_name = "PHOTO")]
    pub(super) plain: PathBuf,

    /// A card of greys beside the mirror, dark to bright, to learn the phone's tones from (repeatable)
    #[arg(long, value_name = "\"0.03:x,y,w,h …\"", value_parser = card, allow_hyphen_values = true)]
    pub(super) steps: Vec<Steps>,

    /// Photo of the card alone, in the same light and somewhat brighter; --steps then says where it lies there
    #[arg(long, value_name = "PHOTO")]
    pub(super) steps_photo: Option<PathBuf>,

    #[command(flatten)]
    pub(super) place: PlaceArgs,

    /// Write the rig as JSON
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct RigStudyArgs {
    /// The rig
    pub(super) name: String,

    #[command(flatten)]
    pub(super) panels: Panels,

    #[command(flatten)]
    pub(super) place: PlaceArgs,

    /// Write the study as JSON
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct SheetArgs {
    /// The paper it is printed on
    #[arg(long, value_enum, default_value_t)]
    pub(super) paper: PaperArg,

    /// Side of the marks' black frame: 20mm for panels up to 550 mm, 40mm up to 1100 mm, 64mm up to 1800 mm
    #[arg(long, value_name = "SIZE", default_value_t)]
    pub(super) mark: MarkSize,

    /// Where to write it, a .pdf or an .svg file (repeatable) [default: both, in this folder]
    #[arg(long, value_name = "FILE")]
    pub(super) to: Vec<PathBuf>,

    /// Write what was done as JSON
    #[arg(long)]
    pub(super) json: bool,
}

/// Paper to print on
#[derive(Debug, Clone, Copy, Default, ValueEnum)]
pub(super) enum PaperArg {
    /// 210 x 297 mm
    #[default]
    A4,
    /// 8.5 x 11 in
    Letter,
}

impl From<PaperArg> for Paper {
    fn from(paper: PaperArg) -> Paper {
        match paper {
            PaperArg::A4 => Paper::A4,
            PaperArg::Letter => Paper::Letter,
        }
    }
}

#[derive(Debug, clap::Args)]
pub(super) struct ListArgs {
    /// Write one JSON object a line a finish
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct ShowArgs {
    /// The kept finish
    pub(super) name: String,

    /// Write its reading as JSON
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct DemoArgs {
    /// Folder for the demo's archive and pictures [default: in the platform's data folder]
    #[arg(long, value_name = "FOLDER")]
    pub(super) into: Option<PathBuf>,

    /// Paint the demo photos anew from their seeds into this folder, and stop
    #[arg(long, value_name = "FOLDER", hide = true)]
    pub(super) repaint: Option<PathBuf>,
}

/// The side that faced the camera
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum SideArg {
    /// The glass side, as it hangs
    Front,
    /// The coated side
    Back,
}

impl From<SideArg> for Side {
    fn from(side: SideArg) -> Side {
        match side {
            SideArg::Front => Side::Front,
            SideArg::Back => Side::Back,
        }
    }
}

/// How far the work has gone
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum StageArg {
    /// Still wet
    Wet,
    /// Dry, the back not yet painted
    Dry,
    /// The back painted
    Backed,
}

impl From<StageArg> for Stage {
    fn from(stage: StageArg) -> Stage {
        match stage {
            StageArg::Wet => Stage::Wet,
            StageArg::Dry => Stage::Dry,
            StageArg::Backed => Stage::Backed,
        }
    }
}
