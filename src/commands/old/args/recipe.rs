//! What was typed of how a finish was made.

use std::path::PathBuf;

use super::OutArgs;

#[derive(Debug, Default, clap::Args)]
pub(crate) struct RecipeArgs {
    /// The kept finish
    pub(crate) name: String,

    /// The technique, in your own words
    #[arg(long, value_name = "TEXT")]
    pub(crate) technique: Option<String>,

    /// A step, your word for it first, the rest in any order: "attack, 140 s, 30 ml, 21 C, rocked, dried with warm air"
    /// (repeatable)
    #[arg(long = "step", value_name = "TEXT")]
    pub(crate) steps: Vec<String>,

    /// What the back was painted or covered with
    #[arg(long, value_name = "TEXT")]
    pub(crate) backing: Option<String>,

    /// What you would change next time
    #[arg(long, value_name = "TEXT")]
    pub(crate) change: Option<String>,

    /// Read all of it from a text, with lines such as `step: attack, 140 s`
    #[arg(long, value_name = "FILE.txt", conflicts_with_all = ["technique", "steps", "backing", "change"])]
    pub(crate) file: Option<PathBuf>,

    /// Ask for it line by line, as is done at a terminal where nothing else is said
    #[arg(long, conflicts_with_all = ["technique", "steps", "backing", "change", "file"])]
    pub(crate) ask: bool,

    /// Show what is written, and ask nothing
    #[arg(long, conflicts_with_all = ["technique", "steps", "backing", "change", "file", "ask"])]
    pub(crate) show: bool,

    #[command(flatten)]
    pub(crate) out: OutArgs,
}
