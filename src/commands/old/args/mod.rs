//! Exactly what was typed.

mod decide;
mod recipe;
mod rig;
mod sheet;
mod store;

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};

use crate::frame::placement::{Patch, Side, Stage};
use crate::frame::quad::Quad;
use crate::units::{Proportions, SizeMm};

pub(crate) use decide::{
    ApproveArgs, FindArgs, Grid, LadderArgs, LadderCommand, LadderMakeArgs,
    LadderPlaceArgs, LadderShowArgs, MatchArgs, PromiseArgs, SetArgs,
};
pub(crate) use rig::{RigArgs, RigCommand, RigMakeArgs, RigStudyArgs};
pub(crate) use sheet::{SheetArgs, SigningArgs};
pub(crate) use store::RemeasureArgs;

/// Reads photos of hand-aged mirror panels: how much silver is left and how it lies; and says whether a panel is inside
/// what was approved
#[derive(Debug, Parser)]
#[command(name = "paneprint", version, arg_required_else_help = true)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) command: Command,

    /// Say it in words alone, with no tables and no colour, for a voice that reads it out
    #[arg(long, global = true)]
    pub(crate) words: bool,

    /// The archive file [default: in the platform's data folder]
    #[arg(long, global = true, value_name = "FILE")]
    pub(crate) archive: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
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
    /// Say which panels of a set are odd, which to remake, and how to hang them
    Set(SetArgs),
    /// Place a panel on the studio's own ladder of named steps
    Ladder(LadderArgs),
    /// Find the kept finishes that look most like a panel
    Find(FindArgs),
    /// Say what a sample can promise for a panel of another size
    Promise(PromiseArgs),
    /// Say what a setting of your recipes did to a measure, from your own kept panels
    Effect(EffectArgs),
    /// Write down how a kept finish was made, in your own words, or show it
    Recipe(RecipeArgs),
    /// Teach the program the studio's fixed corner
    Rig(RigArgs),
    /// Print corner marks to lay around a panel, or with --for the page that a client signs
    Sheet(SheetArgs),
    /// List what is kept
    List(ListArgs),
    /// Show a kept finish
    Show(ShowArgs),
    /// Read kept finishes again by this version, and show what changes
    Remeasure(RemeasureArgs),
    /// Write finishes as plain files
    Export(ExportArgs),
    /// Take in what export wrote
    Import(ImportArgs),
    /// Copy the archive into one file, and check the copy
    Backup(BackupArgs),
    /// Look at everything that is kept, and say what is damaged
    Verify(VerifyArgs),
}

/// Where things lie in the photo; what is not given here is taken from PHOTO.place.json
#[derive(Debug, Clone, Default, clap::Args)]
pub(crate) struct PlaceArgs {
    /// The panel's real width and height, such as 600x400mm or 24x16in
    #[arg(long, value_name = "WxHmm")]
    pub(crate) size: Option<SizeMm>,

    /// Its proportions, where the size is not known: enough to find it, not to judge it
    #[arg(long, value_name = "W:H")]
    pub(crate) proportions: Option<Proportions>,

    /// Corners in pixels as the panel hangs: top left, top right, bottom right, bottom left
    #[arg(long, value_name = "\"x,y x,y x,y x,y\"", allow_hyphen_values = true)]
    pub(crate) corners: Option<Quad>,

    /// A reference patch in pixels: grey:x,y,w,h (or grey=0.09: for another card), mirror:x,y,w,h or bare:x,y,w,h
    /// (repeatable; grey if no kind is named)
    #[arg(
        long = "patch",
        value_name = "KIND:x,y,w,h",
        allow_hyphen_values = true
    )]
    pub(crate) patches: Vec<Patch>,

    /// Reflectance of the grey patches [default: 0.18]
    #[arg(long, value_name = "0..1")]
    pub(crate) patch_reflectance: Option<f64>,

    /// The side that faced the camera [default: front]
    #[arg(long, value_enum)]
    pub(crate) side: Option<SideArg>,

    /// How far the work has gone
    #[arg(long, value_enum)]
    pub(crate) stage: Option<StageArg>,
}

/// In which forms an answer is given
#[derive(Debug, Clone, Default, clap::Args)]
pub(crate) struct OutArgs {
    /// Write JSON only, one object a line
    #[arg(long)]
    pub(crate) json: bool,

    /// Write the figures as a table for a spreadsheet
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) csv: Option<PathBuf>,

    /// Write a sheet to look at and to print: one page that opens with no network
    #[arg(long, value_name = "FILE.html")]
    pub(crate) page: Option<PathBuf>,
}

/// How a photo is read
#[derive(Debug, Clone, Default, clap::Args)]
pub(crate) struct ReadArgs {
    #[command(flatten)]
    pub(crate) place: PlaceArgs,

    /// The rig the photo was taken in
    #[arg(long, value_name = "NAME")]
    pub(crate) rig: Option<String>,

    /// Go on with a picture that cannot be judged by; the reading remembers it
    #[arg(long)]
    pub(crate) anyway: bool,

    /// Write where the panel and the patches lie into PHOTO.place.json, where there is none yet
    #[arg(long)]
    pub(crate) write_place: bool,
}

#[derive(Debug, Clone, Default, clap::Args)]
pub(crate) struct CheckArgs {
    /// Photos, or folders of photos
    #[arg(required = true, value_name = "PHOTO")]
    pub(crate) photos: Vec<PathBuf>,

    #[command(flatten)]
    pub(crate) place: PlaceArgs,

    /// The rig the photos were taken in
    #[arg(long, value_name = "NAME")]
    pub(crate) rig: Option<String>,

    /// Write where the panel and the patches lie into PHOTO.place.json, where there is none yet
    #[arg(long)]
    pub(crate) write_place: bool,

    #[command(flatten)]
    pub(crate) out: OutArgs,

    /// Write the photo with what was found drawn on it
    #[arg(long, value_name = "FILE.png")]
    pub(crate) picture: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct MeasureArgs {
    /// Photos, or folders of photos
    #[arg(required = true, value_name = "PHOTO")]
    pub(crate) photos: Vec<PathBuf>,

    #[command(flatten)]
    pub(crate) read: ReadArgs,

    #[command(flatten)]
    pub(crate) out: OutArgs,

    /// Write the straightened panel with what was counted drawn on it
    #[arg(long, value_name = "FILE.png")]
    pub(crate) picture: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct KeepArgs {
    /// Photos, or folders of photos
    #[arg(required = true, value_name = "PHOTO")]
    pub(crate) photos: Vec<PathBuf>,

    /// The name to keep it under; of several photos the beginning of each name [default: the photo's own name]
    #[arg(long)]
    pub(crate) name: Option<String>,

    /// Anything worth remembering
    #[arg(long, default_value = "")]
    pub(crate) notes: String,

    /// Keep the photo's file too, so that it can be measured anew by a later version
    #[arg(long)]
    pub(crate) with_photo: bool,

    #[command(flatten)]
    pub(crate) read: ReadArgs,

    #[command(flatten)]
    pub(crate) out: OutArgs,

    /// Write the straightened panel with what was counted drawn on it
    #[arg(long, value_name = "FILE.png")]
    pub(crate) picture: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct ListArgs {
    /// Write one JSON object a line a finish
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct ShowArgs {
    /// The kept finish
    pub(crate) name: String,

    #[command(flatten)]
    pub(crate) out: OutArgs,
}

#[derive(Debug, clap::Args)]
pub(crate) struct DemoArgs {
    /// Folder for the demo's archive and pictures [default: in the platform's data folder]
    #[arg(long, value_name = "FOLDER")]
    pub(crate) into: Option<PathBuf>,

    /// Paint the demo photos anew from their seeds into this folder, and stop
    #[arg(long, value_name = "FOLDER", hide = true)]
    pub(crate) repaint: Option<PathBuf>,
}

/// The side that faced the camera
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum SideArg {
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
pub(crate) enum StageArg {
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
