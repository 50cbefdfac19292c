//! The world outside: where words go, what time it is, where the archive lies. The library knows none of it.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use anstyle::{AnsiColor, Style};

use super::args::OutArgs;
use super::exit::Exit;
use super::whole_file::write_whole;
use crate::archive::Archive;
use crate::error::{Error, Result};
use crate::fingerprint::Verdict;
use crate::report::{Report, csv, words};

/// What a command may use of the world.
pub(super) struct Context {
    out: Box<dyn Write>,
    err: Box<dyn Write>,
    archive: Option<PathBuf>,
    /// Words alone.
    words: bool,
    /// Something damaged was left out.
    incomplete: bool,
}

impl Context {
    /// The process's own streams; colour only where the terminal shows it and nobody has asked for none.
    pub(super) fn of_process(archive: Option<PathBuf>, words: bool) -> Self {
        Context {
            out: Box::new(anstream::stdout()),
            err: Box::new(anstream::stderr()),
            archive,
            words,
            incomplete: false,
        }
    }

    /// Gives an answer: as JSON, or in words and figures, and with it the file for a spreadsheet.
    pub(super) fn answer(&mut self, answer: &impl Report, out: &OutArgs) -> Result<()> {
        self.answers(std::slice::from_ref(answer), out)
    }

    /// Gives several answers of one kind.
    pub(super) fn answers(&mut self, answers: &[impl Report], out: &OutArgs) -> Result<()> {
        for answer in answers {
            if out.json {
                self.say(&answer.json().to_string())?;
            } else if self.words {
                self.say(&answer.spoken())?;
            } else {
                self.say(&coloured(answer))?;
            }
        }
        self.table(answers, out)
    }

    /// Writes the file for a spreadsheet where one was asked for; none, and over none, where there is no answer.
    pub(super) fn table(&self, answers: &[impl Report], out: &OutArgs) -> Result<()> {
        let Some(file) = out.csv.as_ref().filter(|_| !answers.is_empty()) else {
            return Ok(());
        };
        let table = csv::of(answers).map_err(|source| Error::Io {
            path: file.clone(),
            action: "written",
            source,
        })?;
        write_whole(file, &table)
    }

    /// Writes text that is the answer. Where the reader went away the work goes on unheard, and ends with the code it deserves.
    pub(super) fn say(&mut self, text: &str) -> Result<()> {
        let text = text.trim_end();
        let said = writeln!(self.out, "{text}").and_then(|()| self.out.flush());
        match said {
            Err(source) if source.kind() == io::ErrorKind::BrokenPipe => {
                self.out = Box::new(io::sink());
                Ok(())
            }
            said => said.map_err(|source| Error::Output { source }),
        }
    }

    /// Does something without saying its answers.
    pub(super) fn hushed<T>(&mut self, work: impl FnOnce(&mut Self) -> T) -> T {
        let out = std::mem::replace(&mut self.out, Box::new(io::sink()));
        let err = std::mem::replace(&mut self.err, Box::new(io::sink()));
        let done = work(self);
        (self.out, self.err) = (out, err);
        done
    }

    /// Writes text beside the answer. A closed stream for it stops nothing.
    pub(super) fn note(&mut self, text: &str) {
        let _ = writeln!(self.err, "{text}");
    }

    /// Says which of several photos is being read, to a person at a terminal only.
    pub(super) fn progress(&mut self, number: usize, of: usize, name: &str) {
        if of > 1 && io::stderr().is_terminal() {
            self.note(&format!("reading {number} of {of}: {name}"));
        }
    }

    /// Writes what went wrong and what to do next.
    pub(super) fn complain(&mut self, error: &Error) {
        let strong = Style::new().bold();
        let said = one_line(&error.to_string());
        self.note(&format!("{strong}paneprint:{strong:#} {said}"));
        self.note(&format!("  {}", error.hint()));
    }

    /// What was found, or nothing where it is damaged: that is said, the command goes on without it, and its exit code tells.
    pub(super) fn sound<T>(&mut self, found: Result<T>) -> Result<Option<T>> {
        match found {
            Err(error) if error.is_damage() => {
                self.left_out(&error);
                Ok(None)
            }
            other => other.map(Some),
        }
    }

    /// Says what is damaged, and remembers that something was left out for it.
    pub(super) fn left_out(&mut self, error: &Error) {
        self.complain(error);
        self.incomplete = true;
    }

    /// The archive to read, or to write beside what is kept: the one named, or the one in the platform's data folder. One that is
    /// not there reads as an empty one.
    pub(super) fn archive(&self) -> Result<Archive> {
        Archive::open_as_it_is(&self.archive_path()?)
    }

    /// The archive to keep something new in, made where there is none.
    pub(super) fn archive_or_new(&self) -> Result<Archive> {
        Archive::open(&self.archive_path()?)
    }

    /// Where the archive lies, or would.
    pub(super) fn archive_path(&self) -> Result<PathBuf> {
        match &self.archive {
            Some(path) => Ok(path.clone()),
            None => Ok(data_folder()?.join("archive.sqlite")),
        }
    }

    /// Goes on with another archive.
    pub(super) fn use_archive(&mut self, path: &Path) {
        self.archive = Some(path.to_owned());
    }

    /// Now, RFC 3339, UTC, to the second.
    pub(super) fn now() -> String {
        let now = jiff::Timestamp::now();
        jiff::Timestamp::from_second(now.as_second())
            .unwrap_or(now)
            .to_string()
    }

    /// Turns a command's end into an exit code, saying what went wrong.
    pub(super) fn finish(&mut self, done: Result<Exit>) -> Exit {
        match done {
            Ok(exit) if self.incomplete => exit.max(Exit::CouldNotRun),
            Ok(exit) => exit,
            Err(error) => {
                self.complain(&error);
                Exit::from(&error)
            }
        }
    }

    /// The program itself failed.
    pub(super) fn broken(&mut self) -> Exit {
        words::FAILED.iter().for_each(|line| self.note(line));
        Exit::CouldNotRun
    }
}

/// An answer for the terminal: its first line stands out, in a colour where it is a verdict. The word itself tells as much.
fn coloured(answer: &impl Report) -> String {
    let colour = answer.verdict().map(|verdict| match verdict {
        Verdict::Within => AnsiColor::Green,
        Verdict::Outside => AnsiColor::Red,
        Verdict::Unsure => AnsiColor::Yellow,
    });
    let style = Style::new().bold().fg_color(colour.map(Into::into));
    let text = answer.text();
    let (first, rest) = text.split_once('\n').unwrap_or((&text, ""));
    format!("{style}{first}{style:#}\n{rest}")
}

/// A file may be called anything; what is said of it stays one line and moves no cursor.
pub(super) fn one_line(text: &str) -> String {
    let shown = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    text.chars().map(shown).collect()
}

/// The platform's folder for this program's data.
pub(super) fn data_folder() -> Result<PathBuf> {
    directories::ProjectDirs::from("", "", "paneprint")
        .map(|dirs| dirs.data_dir().to_owned())
        .ok_or(Error::NoDataFolder)
}
