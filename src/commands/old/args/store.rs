//! What was typed of the archive itself: looking after it, leaving it, coming back.

use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub(crate) struct VerifyArgs {
    /// Write what was found as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct BackupArgs {
    /// The file to write; nothing is overwritten
    pub(crate) file: PathBuf,

    /// Write what the copy holds as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct ExportArgs {
    /// The folder to write; it must be new or empty
    pub(crate) folder: PathBuf,

    /// The finishes to take, their limit pieces with them [default: all]
    #[arg(value_name = "NAME")]
    pub(crate) names: Vec<String>,

    /// Take the photos along that were kept
    #[arg(long)]
    pub(crate) with_photo: bool,

    /// Write what was done as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct ImportArgs {
    /// A folder that export wrote
    pub(crate) folder: PathBuf,

    /// Write what became of each as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct RemeasureArgs {
    /// The kept finishes
    #[arg(value_name = "NAME", required_unless_present = "all")]
    pub(crate) names: Vec<String>,

    /// Every kept finish
    #[arg(long, conflicts_with = "names")]
    pub(crate) all: bool,

    /// Write one JSON object a line a finish
    #[arg(long)]
    pub(crate) json: bool,
}
