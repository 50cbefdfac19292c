//! What all answers of a bench share: the archive, the clock, the photos and the sheets.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::queue::Queue;
use super::sheets::Sheets;
use crate::error::{Error, Result};
use crate::studio::{Hear, News, Studio};
use crate::words;

/// What they share.
pub(super) struct Desk {
    /// Where the archive lies, or would.
    pub(super) archive: PathBuf,
    /// What time it is.
    pub(super) now: fn() -> String,
    /// The photos.
    pub(super) queue: Queue,
    /// The sheets.
    pub(super) sheets: Sheets,
    /// The private folder.
    pub(super) private: PathBuf,
    /// The link for phones, with the key; only where they are let in.
    pub(super) for_phones: Option<String>,
}

/// The desk, in many hands.
pub(super) type Shared = Arc<Desk>;

impl Desk {
    /// Where the work is done.
    pub(super) fn studio<'a>(&self, hear: &'a mut Heard) -> Studio<'a> {
        Studio {
            path: self.archive.clone(),
            now: self.now,
            hear,
        }
    }

    /// A sheet, laid out.
    ///
    /// # Errors
    /// The private folder cannot be written.
    pub(super) fn lay(&self, html: &str) -> Result<super::sheets::Sheet> {
        let laid = self.sheets.lay(html);
        laid.map_err(|source| self.unwritten(&self.private, source))
    }

    /// A file of the private folder could not be written.
    pub(super) fn unwritten(&self, path: &Path, source: std::io::Error) -> Error {
        Error::Io {
            path: path.to_owned(),
            action: "written",
            source,
        }
    }
}

/// What was heard of the work besides the answer, to be shown with it.
#[derive(Default)]
pub(super) struct Heard(pub(super) Vec<String>);

impl Hear for Heard {
    fn hear(&mut self, news: News<'_>) {
        match news {
            News::Begun(..) => {}
            News::Damaged(error) | News::LeftOut(error) => {
                self.0.push(words::line(&error.to_string()))
            }
            News::Note(text) => self.0.push(words::line(&text)),
        }
    }
}
