//! The world outside: where words go, what time it is, where the archive lies. The library knows none of it.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use anstyle::Style;

use super::args::{OUTPUT, OutArgs};
use super::exit::Exit;
use super::hint::hint;
use super::own_file::{CSV, FileKind, HTML, own_name, stem, write_own};
use super::told::Told;
use crate::document::{Answer, csv, page, terminal};
use crate::error::{Error, Result};
use crate::studio::holds::Holds;
use crate::studio::reading::How;
use crate::studio::{Hear, News, Studio};
use crate::words::{self, day, line};

/// What a command may use of the world.
pub(super) struct Context {
    out: Box<dyn Write>,
    err: Box<dyn Write>,
    archive: Option<PathBuf>,
    /// Words alone.
    words: bool,
    /// Words go beside the output, which is a table or a page.
    words_beside: bool,
    /// The current job is left out.
    no_job: bool,
    /// What holds, once it was asked for.
    holds: Option<Holds>,
    /// The job was said above an answer.
    job_said: bool,
    /// Where the photo lies that the answer is about.
    beside: Option<PathBuf>,
    /// What the answers are at least worth: something was left out of them.
    least: Exit,
    /// What was said while it was not to be heard.
    overheard: Option<String>,
    /// The cautions that were told in full today.
    told: Told,
}

impl Context {
    /// The process's own streams; colour only where the terminal shows it and nobody has asked for none.
    pub(super) fn of_process(archive: Option<PathBuf>, words: bool, no_job: bool) -> Self {
        Context {
            out: Box::new(anstream::stdout()),
            err: Box::new(anstream::stderr()),
            archive,
            words,
            words_beside: false,
            no_job,
            holds: None,
            job_said: false,
            beside: None,
            least: Exit::Done,
            overheard: None,
            told: Told::on(day(&now()), data_folder().ok()),
        }
    }

    /// Gives an answer: as JSON, or in words and figures; with it the page and the file for a spreadsheet.
    pub(super) fn answer(&mut self, mut answer: Answer, out: &OutArgs) -> Result<()> {
        self.answers(std::slice::from_mut(&mut answer), out)
    }

    /// Gives several answers of one kind. Each is said to be of the current job: in its JSON, on its page, and above the first.
    pub(super) fn answers(&mut self, answers: &mut [Answer], out: &OutArgs) -> Result<()> {
        self.heed(out)?;
        for answer in &mut *answers {
            self.page(answer, out)?;
            if std::mem::replace(&mut self.job_said, true) {
                answer.document.job = None;
            }
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

    /// Writes the page where one was asked for, and opens it where that was. With the answer it is said to be of the current job.
    pub(super) fn page(&mut self, answer: &mut Answer, out: &OutArgs) -> Result<()> {
        self.heed(out)?;
        if let Some(job) = self.job() {
            answer.document.job = Some(job.to_owned());
            if let Some(object) = answer.json.as_object_mut() {
                object.insert("job".to_owned(), job.into());
            }
        }
        if let Some(photo) = answer.json.get("photo").and_then(|photo| photo.as_str()) {
            self.beside = Some(PathBuf::from(photo));
        }
        if !out.wants_page() {
            return Ok(());
        }
        let document = &answer.document;
        let content = page::page(document);
        let what = format!("{} {}", document.about, document.kind);
        let named = out.named_page();
        let file = self.write_beside(named, (&what, HTML), content.as_bytes(), out.replace_file)?;
        if out.open {
            // A sheet that is written and not shown stops nothing.
            if let Err(error) = open::that_detached(&file) {
                self.complain(&Error::NotOpened {
                    path: file,
                    detail: error.to_string(),
                });
            }
        }
        Ok(())
    }

    /// From here on words go beside the output where that is a table or a page.
    fn heed(&mut self, out: &OutArgs) -> Result<()> {
        self.words_beside |= out.takes_output()?;
        Ok(())
    }

    /// Writes the file for a spreadsheet where one was asked for; none, and over none, where there is no answer.
    pub(super) fn table(&mut self, answers: &[Answer], out: &OutArgs) -> Result<()> {
        let (Some(file), [first, others @ ..]) = (&out.csv, answers) else {
            return Ok(());
        };
        let named = file.as_deref();
        let about = &first.document.about;
        let what = match others.len() {
            0 => format!("{about} {}", first.document.kind),
            more => format!("{about} and {more} more {}", first.document.kind),
        };
        let table = csv::table(answers).map_err(|source| Error::Io {
            path: named.unwrap_or(Path::new(&what)).to_owned(),
            action: "written",
            source,
        })?;
        self.write_beside(named, (&what, CSV), &table, out.replace_file)?;
        Ok(())
    }

    /// Writes a file under the name given, else under one of its own: in the job's folder, else beside the photo, else here. A name
    /// of its own is told.
    pub(super) fn write_beside(
        &mut self,
        named: Option<&Path>,
        (what, kind): (&str, FileKind),
        content: &[u8],
        replace: bool,
    ) -> Result<PathBuf> {
        if let Some(file) = named {
            if kind.to_output && file == Path::new(OUTPUT) {
                self.put(content)?;
            } else {
                kind.is_ending_of(file)?;
                write_own(file, content, replace)?;
            }
            return Ok(file.to_owned());
        }
        let job = self.holds.as_ref().and_then(|holds| holds.job.as_ref());
        let of_job = job.and_then(|job| job.details.folder.as_ref());
        let folder = match (of_job, &self.beside) {
            (Some(folder), _) => {
                let folder = PathBuf::from(folder);
                std::fs::create_dir_all(&folder).map_err(|source| Error::Io {
                    path: folder.clone(),
                    action: "written",
                    source,
                })?;
                folder
            }
            (None, Some(photo)) => photo.parent().unwrap_or(Path::new("")).to_owned(),
            (None, None) => PathBuf::new(),
        };
        let file = own_name(&folder, &stem(what), kind.endings[0], content);
        write_own(&file, content, replace)?;
        self.note(&format!("Written: {}", file.display()));
        Ok(file)
    }

    /// Files without a name of their own are written beside this photo.
    pub(super) fn beside(&mut self, photo: Option<&Path>) {
        self.beside = photo.map(Path::to_owned);
    }

    /// What holds where nothing is typed: the current job, and what is usual.
    pub(super) fn holds(&mut self) -> Result<Holds> {
        if let Some(holds) = &self.holds {
            return Ok(holds.clone());
        }
        // A machine without a folder for data can still look at a photo.
        if self.archive_path().is_err() {
            return Ok(Holds::default());
        }
        let with_job = !self.no_job;
        let holds = Holds::now(&self.studio()?, with_job)?;
        self.holds = Some(holds.clone());
        Ok(holds)
    }

    /// How photos are read where so much is typed.
    pub(super) fn how(&mut self, typed: impl Into<How>) -> Result<How> {
        Ok(self.holds()?.how(typed.into()))
    }

    /// What holds has changed, or is to be said once more.
    pub(super) fn look_again(&mut self) {
        (self.holds, self.job_said) = (None, false);
    }

    /// The name of the current job; none where the archive cannot tell.
    pub(super) fn job(&mut self) -> Option<&str> {
        let _ = self.holds();
        let job = self.holds.as_ref()?.job.as_ref()?;
        Some(&job.name)
    }

    /// Writes text that is the answer below the line that names the current job.
    pub(super) fn say_in_job(&mut self, text: &str) -> Result<()> {
        let heading = self.job().map(words::job::heading);
        let said_before = std::mem::replace(&mut self.job_said, true);
        match heading.filter(|_| !said_before) {
            Some(heading) => self.say(&format!("{}\n{text}", line(&heading))),
            None => self.say(text),
        }
    }

    /// Writes text that is the answer. Where the reader went away the work goes on unheard, and ends with the code it deserves.
    pub(super) fn say(&mut self, text: &str) -> Result<()> {
        let text = text.trim_end();
        if let Some(overheard) = &mut self.overheard {
            overheard.extend([text, "\n"]);
            return Ok(());
        }
        if self.words_beside {
            self.note(text);
            return Ok(());
        }
        self.put(format!("{text}\n").as_bytes())
    }

    /// Writes to the standard output as it is.
    fn put(&mut self, content: &[u8]) -> Result<()> {
        let said = self.out.write_all(content).and_then(|()| self.out.flush());
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

    /// Asks a person at a terminal whether to go on. Where there is none the answer is no.
    pub(super) fn asks(&mut self, question: &str) -> bool {
        if !(io::stdin().is_terminal() && io::stderr().is_terminal()) {
            return false;
        }
        self.note(question);
        let mut answer = String::new();
        let read = io::stdin().read_line(&mut answer);
        read.is_ok() && matches!(answer.trim().to_lowercase().as_str(), "y" | "yes")
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
        self.look_again();
        self.words = true;
        self.told = Told::default();
    }

    /// Turns a command's end into an exit code, saying what went wrong.
    pub(super) fn finish(&mut self, done: Result<Exit>) -> Exit {
        match done {
            Ok(exit) => exit.max(self.least),
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
                self.least = Exit::CouldNotRun;
            }
            News::LeftOut(error) => {
                self.complain(error);
                self.least = self.least.max(Exit::from(error));
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
