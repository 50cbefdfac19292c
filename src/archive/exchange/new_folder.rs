//! A new folder that is there whole or not at all: it is written as `FOLDER.part`, brought to the disk and then renamed.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::super::sync_folder_of;
use crate::error::{Error, Result};

/// A folder that is being written.
pub struct NewFolder {
    part: PathBuf,
    to: PathBuf,
    done: bool,
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
        let mut name = to.components().collect::<PathBuf>().into_os_string();
        name.push(".part");
        let part = PathBuf::from(name);
        match fs::create_dir(&part) {
            Ok(()) => Ok(NewFolder {
                part,
                to: to.to_owned(),
                done: false,
            }),
            Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => {
                Err(Error::PartThere { path: part })
            }
            Err(source) => Err(failed(to, source)),
        }
    }

    /// Writes files into a folder below, which is made. Several are written at once, because each waits for the disk.
    ///
    /// # Errors
    /// They cannot be written.
    pub fn write(&self, below: &Path, files: &[(String, Vec<u8>)]) -> Result<()> {
        let folder = self.part.join(below);
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
    pub fn finish(mut self) -> Result<()> {
        let give = || {
            // An empty folder is removed; one that was filled meanwhile stays, and is an error.
            if self.to.exists() {
                fs::remove_dir(&self.to)?;
            }
            fs::rename(&self.part, &self.to)?;
            sync_folder_of(&self.to)
        };
        give().map_err(|e| failed(&self.to, e))?;
        self.done = true;
        Ok(())
    }
}

impl Drop for NewFolder {
    fn drop(&mut self) {
        if !self.done {
            let _ = fs::remove_dir_all(&self.part);
        }
    }
}

fn failed(to: &Path, source: std::io::Error) -> Error {
    Error::Io {
        path: to.to_owned(),
        action: "written",
        source,
    }
}
