//! The sheets that were laid out for pages: their pictures and stylesheets lie in the private folder, the oldest go first.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use super::lifted::Lifted;

/// As many are kept: a sheet takes about half a megabyte.
const MOST: u32 = 400;

/// The sheets.
pub(super) struct Sheets {
    folder: PathBuf,
    next: AtomicU32,
}

/// A sheet that was laid out.
#[derive(Clone)]
pub(super) struct Sheet {
    /// What stands within its page.
    pub(super) html: String,
    /// Where its stylesheet is.
    pub(super) look: String,
}

impl Sheets {
    /// None yet, in a private folder.
    pub(super) fn new(private: &Path) -> Self {
        Sheets {
            folder: private.join("sheets"),
            next: AtomicU32::new(1),
        }
    }

    /// Lays one out.
    ///
    /// # Errors
    /// The private folder cannot be written.
    pub(super) fn lay(&self, html: &str) -> io::Result<Sheet> {
        let number = self.next.fetch_add(1, Ordering::Relaxed);
        let under = format!("/sheet/{number}");
        let lifted = Lifted::of(html, &under);
        let folder = self.folder.join(number.to_string());
        fs::create_dir_all(&folder)?;
        for (i, picture) in lifted.pictures.iter().enumerate() {
            fs::write(folder.join(format!("{i}.jpg")), picture)?;
        }
        fs::write(folder.join("look.css"), lifted.look)?;
        if let Some(oldest) = number.checked_sub(MOST) {
            let _ = fs::remove_dir_all(self.folder.join(oldest.to_string()));
        }
        Ok(Sheet {
            html: lifted.html,
            look: format!("{under}/look.css"),
        })
    }

    /// A picture of a sheet, by numbers alone.
    ///
    /// # Errors
    /// It is not there, or no longer.
    pub(super) fn picture(&self, sheet: u32, picture: u32) -> io::Result<Vec<u8>> {
        fs::read(self.of(sheet).join(format!("{picture}.jpg")))
    }

    /// The stylesheet of a sheet.
    ///
    /// # Errors
    /// It is not there, or no longer.
    pub(super) fn look(&self, sheet: u32) -> io::Result<Vec<u8>> {
        fs::read(self.of(sheet).join("look.css"))
    }

    fn of(&self, sheet: u32) -> PathBuf {
        self.folder.join(sheet.to_string())
    }
}
