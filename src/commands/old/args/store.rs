//! What was typed of the archive itself: looking after it, leaving it, coming back.

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
