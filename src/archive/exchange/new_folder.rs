//! A new folder that is there whole or not at all.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::super::part::Part;
use crate::error::{Error, Result};

/// A folder that is being written.
pub struct NewFolder {
    part: Part,
    to: PathBuf,
}

impl NewFolder {
    /// Begins a folder. A folder of that name may be there if it is empty.
    ///
    /// # Errors
    /// Something is there already; it cannot be written.
    pub fn begin(to: &Path) -> Result<Self> {
        let empty = || fs::read_dir(to).is_ok_and(|mut inside| inside.next().is_none());
        if fs::symlink_metadata(to).is_ok() && !empty() {
            return Err(Error::FileThere {
                path: to.to_owned(),
            });
        }
        // A path may end in a slash.
        let to: PathBuf = to.components().collect();
        Ok(NewFolder {
            part: Part::folder(&to)?,
            to,
        })
    }

    /// Writes files into a folder below, which is made. Several are written at once, because each waits for the disk.
    ///
    /// # Errors
    /// They cannot be written.
    pub fn write(&self, below: &Path, files: &[(String, Vec<u8>)]) -> Result<()> {
        let folder = self.part.path.join(below);
        fs::create_dir_all(&folder).map_err(|e| failed(&self.to, e))?;
        files.par_iter().try_for_each(|(name, bytes)| {
            let write = || {
                let mut file = File::create_new(folder.join(name))?;
                file.write_all(bytes)?;
                file.sync_all()
            };
            write().map_err(|e| failed(&self.to, e))
        })
    }

    /// Gives the folder its name.
    ///
    /// # Errors
    /// It cannot be renamed.
    pub fn finish(self) -> Result<()> {
        self.part.name(&self.to)
    }
}

fn failed(to: &Path, source: std::io::Error) -> Error {
    Error::Io {
        path: to.to_owned(),
        action: "written",
        source,
    }
}
