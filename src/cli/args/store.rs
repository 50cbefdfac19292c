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
