//! What is typed becomes a request, and the answer is said: one command, one file. An exit code goes back.

mod approve;
mod args;
mod as_it_lies;
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
mod interrupt;
mod job;
mod keep;
mod ladder;
mod list;
mod match_to;
mod measure;
mod note;
mod own_file;
mod photos;
mod promise;
mod recipe;
mod remeasure;
mod remove;
mod rename;
mod restore;
mod rig;
mod set;
mod sheet;
mod show;
mod studio;
mod told;
mod verify;
mod watching;
mod whole_file;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::error::Result;
use as_it_lies::as_it_lies;
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
    Job in job,
    Match in match_to,
    Set in set,
    Ladder in ladder,
    Find in find,
    Promise in promise,
    Recipe in recipe,
    Effect in effect,
    Rig in rig,
    Studio in studio,
    Sheet in sheet,
    List in list,
    Show in show,
    Note in note,
    Rename in rename,
    Remove in remove,
    Restore in restore,
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

    /// Leave the current job out for once
    #[arg(long, global = true)]
    no_job: bool,
}

impl Line {
    /// A command with nothing said beside it.
    fn of(command: Command) -> Self {
        Line {
            command,
            words: false,
            archive: None,
            no_job: false,
        }
    }
}

/// Runs the program on the arguments of the process.
#[must_use]
pub fn main() -> ExitCode {
    // A decoder that panics on a hostile file is caught where it is called; its own message would only confuse.
    std::panic::set_hook(Box::new(|_| {}));
    interrupt::listen();
    let line = if bench::is_meant(std::env::args_os()) {
        Line::of(Command::Bench(bench::Args::default()))
    } else {
        Line::parse_from(as_meant(std::env::args_os().map(as_it_lies)))
    };
    let run = std::panic::AssertUnwindSafe(|| {
        let mut context = Context::of_process(line.archive.clone(), line.words, line.no_job);
        let done = run(&line.command, &mut context);
        context.finish(done)
    });
    std::panic::catch_unwind(run)
        .unwrap_or_else(|_| Context::of_process(None, true, true).broken())
        .into()
}

/// What was typed, with the command and the names of options in small letters: a phone's keyboard begins with a capital. What
/// belongs to an option stays as it is, and so does all that follows a bare `--`.
fn as_meant(typed: impl IntoIterator<Item = OsString>) -> impl Iterator<Item = OsString> {
    // The program's own name, and what belongs to `--archive`, come before a command.
    let (mut before, mut command, mut options) = (true, false, true);
    typed.into_iter().map(move |word| {
        let passed = std::mem::replace(&mut before, false);
        let Some(text) = word.to_str().filter(|_| options && !passed) else {
            return word;
        };
        options = text != "--";
        if !text.starts_with('-') {
            let first = !std::mem::replace(&mut command, true);
            return if first {
                text.to_lowercase().into()
            } else {
                word
            };
        }
        if !text.starts_with("--") {
            return word;
        }
        match text.split_once('=') {
            Some((name, value)) => format!("{}={value}", name.to_lowercase()).into(),
            None => {
                let name = text.to_lowercase();
                before = !command && name == "--archive";
                name.into()
            }
        }
    })
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
    fn commands_and_options_are_known_whatever_their_capitals() {
        let meant = |typed: &[&str]| -> Vec<String> {
            let typed = typed.iter().map(OsString::from);
            let meant = as_meant(std::iter::once("paneprint".into()).chain(typed));
            meant
                .skip(1)
                .map(|word| word.into_string().unwrap())
                .collect()
        };
        assert_eq!(
            meant(&[
                "Match",
                "Hall.JPG",
                "--TO",
                "Alcove",
                "--Stage=WET",
                "--",
                "--Odd"
            ]),
            [
                "match",
                "Hall.JPG",
                "--to",
                "Alcove",
                "--stage=WET",
                "--",
                "--Odd"
            ]
        );
        let line =
            |typed: &[&str]| Line::try_parse_from(as_meant(typed.iter().map(OsString::from)));
        assert!(
            line(&[
                "paneprint",
                "Check",
                "a.jpg",
                "--STAGE",
                "Wet",
                "--Side",
                "BACK"
            ])
            .is_ok()
        );
        assert!(line(&["paneprint", "--Words", "list"]).is_ok());
        assert!(line(&["paneprint", "--ARCHIVE", "Mine", "List"]).is_ok());
        assert_eq!(meant(&["--archive", "Mine", "List"])[1..], ["Mine", "list"]);
    }

    #[test]
    fn the_options_of_all_commands_fit_together() {
        Line::command().debug_assert();
    }
}
