//! The world outside: where words go, what time it is, where the archive lies. The library knows none of it.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use anstyle::Style;

use super::args::OutArgs;
use super::exit::Exit;
use super::hint::hint;
use super::told::Told;
use super::whole_file::write_whole;
use crate::document::{Answer, csv, page, terminal};
use crate::error::{Error, Result};
use crate::studio::{Hear, News, Studio};
use crate::words::{self, day, line};

/// What a command may use of the world.
pub(super) struct Context {
    out: Box<dyn Write>,
    err: Box<dyn Write>,
    archive: Option<PathBuf>,
    /// Words alone.
    words: bool,
    /// Something damaged was left out.
    incomplete: bool,
    /// What was said while it was not to be heard.
    overheard: Option<String>,
    /// The cautions that were told in full today.
    told: Told,
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
            overheard: None,
            told: Told::on(day(&now()), data_folder().ok()),
        }
    }

    /// Gives an answer: as JSON, or in words and figures; with it the page and the file for a spreadsheet.
    pub(super) fn answer(&mut self, answer: Answer, out: &OutArgs) -> Result<()> {
        self.answers(&[answer], out)
    }

    /// Gives several answers of one kind. A page shows one of them.
    pub(super) fn answers(&mut self, answers: &[Answer], out: &OutArgs) -> Result<()> {
        if let [answer] = answers {
            self.page(answer, out)?;
        }
        for (i, answer) in answers.iter().enumerate() {
            // What can be kept and read back has its cautions in full, and may be written where nobody sees it.
            let keeps = out.json || answer.document.reads_back;
            let told = if keeps {
                Vec::new()
            } else {
                self.told.cautions()
            };
            let said = if out.json {
                answer.json.to_string()
            } else if self.words {
                terminal::spoken(&answer.document, &told)
            } else {
                terminal::coloured(&answer.document, &told)
            };
            // What to do about one thing is not read as the end of what was said of another.
            let apart = i > 0 && !out.json && answer.document.headline.is_some();
            let said = if apart { format!("\n{said}") } else { said };
            // What was done stays done, and is told beside where it cannot be answered.
            if let Err(unsaid) = self.say(&said) {
                self.note(terminal::spoken(&answer.document, &[]).trim_end());
                return Err(unsaid);
            }
            if !keeps {
                self.told.add(&answer.document.cautions());
            }
        }
        self.table(answers, out)
    }

    /// Writes the page where one was asked for.
    pub(super) fn page(&self, answer: &Answer, out: &OutArgs) -> Result<()> {
        match &out.page {
            Some(file) => write_whole(file, page::page(&answer.document).as_bytes()),
            None => Ok(()),
        }
    }

    /// Writes the file for a spreadsheet where one was asked for; none, and over none, where there is no answer.
    pub(super) fn table(&self, answers: &[Answer], out: &OutArgs) -> Result<()> {
        let Some(file) = out.csv.as_ref().filter(|_| !answers.is_empty()) else {
            return Ok(());
        };
        let table = csv::table(answers).map_err(|source| Error::Io {
            path: file.clone(),
            action: "written",
            source,
        })?;
        write_whole(file, &table)
    }

    /// Writes text that is the answer. Where the reader went away the work goes on unheard, and ends with the code it deserves.
    pub(super) fn say(&mut self, text: &str) -> Result<()> {
        let text = text.trim_end();
        if let Some(overheard) = &mut self.overheard {
            overheard.extend([text, "\n"]);
            return Ok(());
        }
        let said = writeln!(self.out, "{text}").and_then(|()| self.out.flush());
        match said {
            Err(source) if source.kind() == io::ErrorKind::BrokenPipe => {
                self.out = Box::new(io::sink());
                Ok(())
            }
            said => said.map_err(|source| Error::Output { source }),
        }
    }

    /// Does something, and gives back what it would have said. What stands beside its answers is not heard.
    pub(super) fn overheard<T>(
        &mut self,
        work: impl FnOnce(&mut Self) -> Result<T>,
    ) -> Result<(T, String)> {
        let before = self.overheard.replace(String::new());
        let err = std::mem::replace(&mut self.err, Box::new(io::sink()));
        let done = work(self);
        self.err = err;
        let said = std::mem::replace(&mut self.overheard, before);
        Ok((done?, said.unwrap_or_default()))
    }

    /// Writes text beside the answer. A closed stream for it stops nothing.
    pub(super) fn note(&mut self, text: &str) {
        let _ = writeln!(self.err, "{text}");
    }

    /// Writes what went wrong and what to do next.
    pub(super) fn complain(&mut self, error: &Error) {
        let strong = Style::new().bold();
        let said = line(&error.to_string());
        self.note(&format!("{strong}paneprint:{strong:#} {said}"));
        self.note(&format!("  {}", hint(error)));
    }

    /// Where the work is done.
    pub(super) fn studio(&mut self) -> Result<Studio<'_>> {
        Ok(Studio {
            path: self.archive_path()?,
            now,
            hear: self,
        })
    }

    /// Where the archive lies, or would.
    pub(super) fn archive_path(&self) -> Result<PathBuf> {
        match &self.archive {
            Some(path) => Ok(path.clone()),
            None => Ok(data_folder()?.join("archive.sqlite")),
        }
    }

    /// Goes on in another archive, in words alone, as if nothing had been told today.
    pub(super) fn tell_in(&mut self, archive: &Path) {
        self.archive = Some(archive.to_owned());
        self.words = true;
        self.told = Told::default();
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

impl Hear for Context {
    fn hear(&mut self, news: News<'_>) {
        match news {
            // To a person at a terminal only.
            News::Begun(number, of, name) if of > 1 && io::stderr().is_terminal() => {
                self.note(&format!("reading {number} of {of}: {name}"));
            }
            News::Begun(..) => {}
            News::Damaged(error) => {
                self.complain(error);
                self.incomplete = true;
            }
            News::Note(text) => self.note(&line(&text)),
        }
    }
}

/// Now, RFC 3339, UTC, to the second.
fn now() -> String {
    let now = jiff::Timestamp::try_from(std::time::SystemTime::now());
    let now = now.unwrap_or(jiff::Timestamp::MAX);
    let second = jiff::Timestamp::from_second(now.as_second());
    second.unwrap_or(now).to_string()
}

/// The platform's folder for this program's data.
pub(super) fn data_folder() -> Result<PathBuf> {
    directories::ProjectDirs::from("", "", "paneprint")
        .map(|dirs| dirs.data_dir().to_owned())
        // A home that is not told from the root would make an archive wherever the program is started.
        .filter(|folder| folder.is_absolute())
        .ok_or(Error::NoDataFolder)
}
