//! What a studio does with the program, for any front end: typed requests in, typed answers out. Nothing here knows a terminal,
//! a page or an option; what time it is and who hears of the work is handed in.

pub mod approve;
pub mod backup;
pub mod check;
pub mod effect;
pub mod export;
pub mod find;
pub mod folder;
pub mod holds;
pub mod job;
pub mod keep;
pub mod ladder;
pub mod match_to;
pub mod panel;
pub mod promise;
pub mod reading;
pub mod recipe;
pub mod remeasure;
pub mod rig;
pub mod session;
pub mod set;
pub mod several;
pub mod signed;
pub mod watch;

use std::path::PathBuf;

use crate::archive::Archive;
use crate::error::{Error, Result};

/// What is heard of the work while it goes on.
pub enum News<'a> {
    /// A photo of several has been begun: its number from 1, how many there are, and its name.
    Begun(usize, usize, &'a str),
    /// Something kept is damaged, or could not be read, and is left out.
    Damaged(&'a Error),
    /// A picture that could not be used, and is left out.
    LeftOut(&'a Error),
    /// Something to know besides the answer.
    Note(String),
}

/// Who hears of it.
pub trait Hear {
    /// Takes in what is heard.
    fn hear(&mut self, news: News<'_>);
}

/// Where the work is done: an archive, a clock, and who hears of it.
pub struct Studio<'a> {
    /// Where the archive lies, or would.
    pub path: PathBuf,
    /// What time it is, RFC 3339, UTC, to the second.
    pub now: fn() -> String,
    /// Who hears of the work.
    pub hear: &'a mut dyn Hear,
}

impl Studio<'_> {
    /// The archive to read, or to write beside what is kept. One that is not there reads as an empty one.
    ///
    /// # Errors
    /// It is damaged, or no archive of this program.
    pub fn archive(&self) -> Result<Archive> {
        Archive::open_as_it_is(&self.path)
    }

    /// The archive to keep something new in, made where there is none.
    ///
    /// # Errors
    /// As for [`Studio::archive`], or it cannot be made.
    pub fn archive_or_new(&self) -> Result<Archive> {
        Archive::open(&self.path)
    }

    /// What was found, or nothing where it is damaged or could not be read: that is heard of, and the work goes on without it.
    ///
    /// # Errors
    /// All other errors.
    pub fn sound<T>(&mut self, found: Result<T>) -> Result<Option<T>> {
        match found {
            Err(error) if error.is_loss() => {
                self.hear.hear(News::Damaged(&error));
                Ok(None)
            }
            other => other.map(Some),
        }
    }

    /// Lets something be known besides the answer.
    pub fn note(&mut self, text: String) {
        self.hear.hear(News::Note(text));
    }
}
