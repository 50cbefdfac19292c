//! What is typed becomes a request, and the answer is said: one command, one file. An exit code goes back.

mod approve;
mod args;
mod backup;
mod bench;
mod check;
mod context;
mod demo;
mod effect;
mod exit;
mod export;
mod find;
mod hint;
mod import;
mod keep;
mod ladder;
mod list;
mod match_to;
mod measure;
mod photos;
mod promise;
mod recipe;
mod remeasure;
mod rig;
mod set;
mod sheet;
mod show;
mod verify;
mod whole_file;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::error::Result;
use context::Context;
use exit::Exit;

pub use hint::hint;

/// The commands: their name, and the file that has their options, what they run and what they say.
macro_rules! commands {
    ($($name:ident in $file:ident),* $(,)?) => {
        #[derive(Debug, Subcommand)]
        enum Command {
            $($name($file::Args)),*
        }

        fn run(command: &Command, context: &mut Context) -> Result<Exit> {
            match command {
                $(Command::$name(args) => $file::run(args, context)),*
            }
        }
    };
}

commands! {
    Demo in demo,
    Check in check,
    Measure in measure,
    Keep in keep,
    Approve in approve,
    Match in match_to,
    Set in set,
    Ladder in ladder,
    Find in find,
    Promise in promise,
    Recipe in recipe,
    Effect in effect,
    Rig in rig,
    Sheet in sheet,
    List in list,
    Show in show,
    Remeasure in remeasure,
    Export in export,
    Import in import,
    Backup in backup,
    Verify in verify,
    Bench in bench,
}

/// Reads photos of hand-aged mirror panels: how much silver is left and how it lies; and says whether a panel is inside
/// what was approved
#[derive(Debug, Parser)]
#[command(name = "paneprint", version, arg_required_else_help = true)]
struct Line {
    #[command(subcommand)]
    command: Command,

    /// Say it in words alone, with no tables and no colour, for a voice that reads it out
    #[arg(long, global = true)]
    words: bool,

    /// The archive file [default: in the platform's data folder]
    #[arg(long, global = true, value_name = "FILE")]
    archive: Option<PathBuf>,
}

impl Line {
    /// A command with nothing said beside it.
    fn of(command: Command) -> Self {
        Line {
            command,
            words: false,
            archive: None,
        }
    }
}

/// Runs the program on the arguments of the process.
#[must_use]
pub fn main() -> ExitCode {
    // A decoder that panics on a hostile file is caught where it is called; its own message would only confuse.
    std::panic::set_hook(Box::new(|_| {}));
    let line = if bench::is_meant(std::env::args_os()) {
        Line::of(Command::Bench(bench::Args::default()))
    } else {
        Line::parse()
    };
    let run = std::panic::AssertUnwindSafe(|| {
        let mut context = Context::of_process(line.archive.clone(), line.words);
        let done = run(&line.command, &mut context);
        context.finish(done)
    });
    std::panic::catch_unwind(run)
        .unwrap_or_else(|_| Context::of_process(None, true).broken())
        .into()
}

/// Runs words as if they had been typed after the program's name.
fn typed(words: &[String], context: &mut Context) -> Result<Exit> {
    let line = std::iter::once("paneprint").chain(words.iter().map(String::as_str));
    match Line::try_parse_from(line) {
        Ok(line) => run(&line.command, context),
        Err(refused) => {
            context.note(&refused.to_string());
            Ok(Exit::CouldNotRun)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_options_of_all_commands_fit_together() {
        Line::command().debug_assert();
    }
}
