//! What was typed of samples, matches and sets.

use std::num::NonZero;
use std::path::PathBuf;

use clap::{Subcommand, ValueEnum};

use super::{OutArgs, ReadArgs};
use crate::fingerprint::{Variety, Verdict};
use crate::units::{Metres, SizeMm};

#[derive(Debug, clap::Args)]
pub(crate) struct ApproveArgs {
    /// The kept finish
    pub(crate) name: String,

    /// The kept finish that is the lightest signed piece
    #[arg(long, value_name = "NAME")]
    pub(crate) light: Option<String>,

    /// The kept finish that is the darkest signed piece
    #[arg(long, value_name = "NAME")]
    pub(crate) dark: Option<String>,

    /// How far a measure may differ and still be alike, such as coverage=0.04; for specks a share, such as
    /// speckle_density=0.5 (repeatable)
    #[arg(long = "allow", value_name = "MEASURE=FIGURE")]
    pub(crate) allow: Vec<String>,

    /// How much the finish is meant to vary from place to place
    #[arg(long, value_enum)]
    pub(crate) variety: Option<VarietyArg>,

    /// Write what holds now as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// How much a finish is meant to vary
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum VarietyArg {
    /// The same all over
    Uniform,
    /// A little
    Slight,
    /// Plainly
    Moderate,
    /// No two places are alike
    Random,
}

impl From<VarietyArg> for Variety {
    fn from(variety: VarietyArg) -> Variety {
        match variety {
            VarietyArg::Uniform => Variety::Uniform,
            VarietyArg::Slight => Variety::Slight,
            VarietyArg::Moderate => Variety::Moderate,
            VarietyArg::Random => Variety::Random,
        }
    }
}

#[derive(Debug, Clone, Default, clap::Args)]
pub(crate) struct MatchArgs {
    /// A photo, or the name of a kept finish
    pub(crate) panel: String,

    /// The approved sample, or any kept finish
    #[arg(long, value_name = "NAME")]
    pub(crate) to: String,

    /// Two photos of the sample itself, taken at the start and at the end of today's session
    #[arg(long, num_args = 2, value_names = ["START", "END"])]
    pub(crate) sample_today: Vec<PathBuf>,

    /// Decide otherwise than the program; the reason is kept
    #[arg(long, value_enum, value_name = "VERDICT", requires = "because")]
    pub(crate) overrule: Option<VerdictArg>,

    /// Why you decide otherwise
    #[arg(long, value_name = "REASON", requires = "overrule")]
    pub(crate) because: Option<String>,

    #[command(flatten)]
    pub(crate) read: ReadArgs,

    #[command(flatten)]
    pub(crate) out: OutArgs,

    /// Write the straightened panel with what was counted drawn on it (a photo only)
    #[arg(long, value_name = "FILE.png")]
    pub(crate) picture: Option<PathBuf>,
}

/// What the maker decides
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum VerdictArg {
    /// It is inside what was signed
    Within,
    /// It is not
    Outside,
}

impl From<VerdictArg> for Verdict {
    fn from(verdict: VerdictArg) -> Verdict {
        match verdict {
            VerdictArg::Within => Verdict::Within,
            VerdictArg::Outside => Verdict::Outside,
        }
    }
}

#[derive(Debug, Clone, Default, clap::Args)]
pub(crate) struct SetArgs {
    /// The panels in the order of making: names of kept finishes, photos, or folders of photos
    #[arg(required = true, value_name = "NAME|PHOTO")]
    pub(crate) panels: Vec<String>,

    /// The approved sample that all must be within as well
    #[arg(long, value_name = "NAME")]
    pub(crate) to: Option<String>,

    /// How they will hang, panels across and down, such as 4x3 [default: one row]
    #[arg(long, value_name = "ACROSSxDOWN")]
    pub(crate) wall: Option<Grid>,

    /// From how far the wall is looked at
    #[arg(long, value_name = "DISTANCE", default_value_t)]
    pub(crate) viewed_from: Metres,

    /// Leave every panel the way up it is
    #[arg(long)]
    pub(crate) no_turning: bool,

    #[command(flatten)]
    pub(crate) read: ReadArgs,

    #[command(flatten)]
    pub(crate) out: OutArgs,

    /// Write a picture of the wall as it is to hang
    #[arg(long, value_name = "FILE.png")]
    pub(crate) picture: Option<PathBuf>,
}

/// Panels across and down
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Grid {
    pub(crate) across: usize,
    pub(crate) down: usize,
}

impl std::str::FromStr for Grid {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let read = || {
            let (across, down) = text.trim().split_once(['x', 'X', '×'])?;
            let side = |v: &str| {
                v.trim()
                    .parse::<usize>()
                    .ok()
                    .filter(|n| (1..=100).contains(n))
            };
            Some(Grid {
                across: side(across)?,
                down: side(down)?,
            })
        };
        read().ok_or_else(|| format!("`{text}` is no wall; write panels across and down like 4x3"))
    }
}

#[derive(Debug, clap::Args)]
pub(crate) struct LadderArgs {
    #[command(subcommand)]
    pub(crate) command: LadderCommand,
}

#[derive(Debug, Subcommand)]
pub(crate) enum LadderCommand {
    /// Name the steps, from light to heavy, each with the kept finish that shows it
    Make(LadderMakeArgs),
    /// Say between which steps a panel stands
    Place(Box<LadderPlaceArgs>),
    /// Show a ladder, or name them all
    Show(LadderShowArgs),
}

#[derive(Debug, clap::Args)]
pub(crate) struct LadderMakeArgs {
    /// The name for the ladder
    pub(crate) name: String,

    /// Steps from light to heavy: your name for each, and the kept finish that shows it
    #[arg(required = true, value_name = "STEP=FINISH")]
    pub(crate) steps: Vec<String>,

    /// Write the ladder as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct LadderPlaceArgs {
    /// A photo, or the name of a kept finish
    pub(crate) panel: String,

    /// The ladder
    #[arg(long, value_name = "LADDER")]
    pub(crate) on: String,

    #[command(flatten)]
    pub(crate) read: ReadArgs,

    #[command(flatten)]
    pub(crate) out: OutArgs,
}

#[derive(Debug, clap::Args)]
pub(crate) struct LadderShowArgs {
    /// The ladder [default: the names of all]
    pub(crate) name: Option<String>,

    /// Write JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct FindArgs {
    /// A photo, or the name of a kept finish
    pub(crate) panel: String,

    /// How many to name
    #[arg(long, value_name = "NUMBER", default_value = "5")]
    pub(crate) most: NonZero<usize>,

    #[command(flatten)]
    pub(crate) read: ReadArgs,

    #[command(flatten)]
    pub(crate) out: OutArgs,
}

#[derive(Debug, clap::Args)]
pub(crate) struct PromiseArgs {
    /// The kept sample
    pub(crate) name: String,

    /// The panel's real width and height, such as 900x600mm
    #[arg(long, value_name = "WxHmm", required_unless_present = "speckles")]
    pub(crate) size: Option<SizeMm>,

    /// How many specks there are to be on it: between what numbers may chance leave them
    #[arg(long, value_name = "NUMBER")]
    pub(crate) speckles: Option<NonZero<usize>>,

    #[command(flatten)]
    pub(crate) out: OutArgs,
}
