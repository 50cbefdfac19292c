//! The options that several commands share.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::error::{Error, Result};
use crate::frame::placement::{Patch, Side, Stage};
use crate::frame::quad::Quad;
use crate::placement::Given;
use crate::studio::reading::How;
use crate::units::{Proportions, SizeMm, share_typed};

/// Where things lie in the photo; what is not given here is taken from PHOTO.place.json
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct PlaceArgs {
    /// The panel's real width and height, such as 600x400mm, 60x40cm or "15 3/4 x 11 7/8 in"
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

    /// Reflectance of the grey patches, such as 0.18 or "18 %" [default: 0.18]
    #[arg(long, value_name = "SHARE", value_parser = share)]
    pub(crate) patch_reflectance: Option<f64>,

    /// The side that faced the camera [default: front]
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) side: Option<SideArg>,

    /// How far the work has gone
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) stage: Option<StageArg>,
}

/// Reads a share of one.
fn share(text: &str) -> Result<f64, String> {
    share_typed(text).ok_or_else(|| format!("`{text}` is no share; write it like 18 % or 0.18"))
}

impl From<&PlaceArgs> for Given {
    fn from(args: &PlaceArgs) -> Given {
        Given {
            size: args.size,
            proportions: args.proportions,
            corners: args.corners,
            patches: args.patches.clone(),
            patch_reflectance: args.patch_reflectance,
            side: args.side.map(Into::into),
            stage: args.stage.map(Into::into),
            steps: Vec::new(),
        }
    }
}

/// How a photo is read
#[derive(Debug, Clone, Default, Args)]
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

impl From<&ReadArgs> for How {
    fn from(args: &ReadArgs) -> How {
        How {
            given: Given::from(&args.place),
            otherwise: Given::default(),
            rig: args.rig.clone(),
            anyway: args.anyway,
            write_place: args.write_place,
        }
    }
}

/// The name that stands for the standard output.
pub(super) const OUTPUT: &str = "-";

/// In which forms an answer is given
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct OutArgs {
    /// Write JSON only, one object a line
    #[arg(long)]
    pub(crate) json: bool,

    /// Write the figures as a table for a spreadsheet [without a name: one of its own]; `-` is the standard output, and the words
    /// go beside it
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) csv: Option<Option<PathBuf>>,

    /// Write a sheet to look at and to print: one page that opens with no network [without a name: one of its own]; `-` is the
    /// standard output
    #[arg(long, value_name = "FILE.html")]
    pub(crate) page: Option<Option<PathBuf>>,

    /// Write the sheet and open it
    #[arg(long)]
    pub(crate) open: bool,

    /// Write over a page, a table or a picture that was not made for the same question
    #[arg(long)]
    pub(crate) replace_file: bool,
}

impl OutArgs {
    /// What goes to the standard output and is not the words: whether there is any.
    ///
    /// # Errors
    /// There are several.
    pub(super) fn takes_output(&self) -> Result<bool> {
        let named = |file: &Option<Option<PathBuf>>| *file == Some(Some(PathBuf::from(OUTPUT)));
        let files = [&self.csv, &self.page].into_iter().filter(|f| named(f));
        match (files.count(), self.json) {
            (0, _) => Ok(false),
            (1, false) => Ok(true),
            _ => Err(Error::OneOutput),
        }
    }

    /// A page is to be written.
    pub(super) fn wants_page(&self) -> bool {
        self.page.is_some() || self.open
    }

    /// The name that was given to the page.
    pub(super) fn named_page(&self) -> Option<&Path> {
        self.page.as_ref()?.as_deref()
    }

    /// JSON where that is wanted, and nothing else.
    pub(super) fn json(json: bool) -> Self {
        OutArgs {
            json,
            ..OutArgs::default()
        }
    }
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
