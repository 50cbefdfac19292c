//! `--panel PHOTO PHOTO… --panel PHOTO PHOTO…`: photos, panel by panel. The parser's own lists run one into another, so
//! this one is told by hand where each begins.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches, value_parser};

const PANEL: &str = "panel";

/// The photos of each panel.
#[derive(Debug, Clone, Default)]
pub(super) struct Panels(pub(super) Vec<Vec<PathBuf>>);

impl Args for Panels {
    fn augment_args(command: Command) -> Command {
        command.arg(
            Arg::new(PANEL)
                .long(PANEL)
                .value_name("PHOTO")
                .num_args(1..)
                .action(ArgAction::Append)
                .required(true)
                .value_parser(value_parser!(PathBuf))
                .help("Photos of one and the same panel, taken out and put back between them; at least two (repeatable, once a panel)"),
        )
    }

    fn augment_args_for_update(command: Command) -> Command {
        Panels::augment_args(command)
    }
}

impl FromArgMatches for Panels {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let panels = matches.get_occurrences(PANEL).into_iter().flatten();
        Ok(Panels(
            panels.map(|photos| photos.cloned().collect()).collect(),
        ))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Panels::from_arg_matches(matches)?;
        Ok(())
    }
}
