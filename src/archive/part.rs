//! What is being written lies beside its place under a name of its own, and is held while it is written: a part that nobody holds
//! was left by a program that was stopped, and is taken away.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use super::stop;
use crate::error::{Error, Result};

/// In the part of a folder, what is held.
const HELD: &str = ".held";

/// The part of a file or a folder, held until it is dropped.
pub struct Part {
    /// Where it lies.
    pub path: PathBuf,
    held: Option<File>,
}

impl Part {
    /// The empty part of a file, for its owner alone.
    ///
    /// # Errors
    /// Another program is writing it; it cannot be written.
    pub fn file(to: &Path) -> Result<Self> {
        let path = beside(to);
        let held = private(File::options().write(true).create(true).truncate(false))
            .open(&path)
            .map_err(failed(to))?;
        hold(&held, &path)?;
        let part = Part::begun(path, held);
        let held = part.held.as_ref();
        held.map_or(Ok(()), |held| held.set_len(0))
            .map_err(failed(to))?;
        Ok(part)
    }

    /// The empty part of a folder.
    ///
    /// # Errors
    /// As for [`Part::file`].
    pub fn folder(to: &Path) -> Result<Self> {
        let path = beside(to);
        if let Ok(left) = File::open(path.join(HELD)) {
            hold(&left, &path)?;
        }
        match fs::remove_dir_all(&path) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(failed(to)(e)),
            _ => fs::create_dir(&path).map_err(failed(to))?,
        }
        let held = File::create(path.join(HELD)).map_err(failed(to))?;
        hold(&held, &path)?;
        Ok(Part::begun(path, held))
    }

    fn begun(path: PathBuf, held: File) -> Self {
        stop::begun(&path);
        Part {
            path,
            held: Some(held),
        }
    }

    /// Gives it the name it is for, on the disk. An empty folder makes room; one that was filled meanwhile does not.
    ///
    /// # Errors
    /// It cannot be moved there.
    pub fn name(self, to: &Path) -> Result<()> {
        self.name_after(to, || Ok(|| ()))
    }

    /// The same, once room is made for it; the program does not stop in between. `make_room` returns what undoes it.
    ///
    /// # Errors
    /// As for [`Part::name`], or there is no room to be made.
    pub fn name_after<U: FnOnce()>(
        mut self,
        to: &Path,
        make_room: impl FnOnce() -> Result<U>,
    ) -> Result<()> {
        let _under_way = stop::change();
        let ready = || {
            if !self.path.is_dir() {
                return File::open(&self.path)?.sync_all();
            }
            fs::remove_file(self.path.join(HELD))?;
            if to.exists() {
                fs::remove_dir(to)?;
            }
            Ok(())
        };
        ready().map_err(failed(to))?;
        let undo = make_room()?;
        fs::rename(&self.path, to).map_err(|error| {
            undo();
            failed(to)(error)
        })?;
        self.held = None;
        stop::ended(&self.path);
        stop::changed();
        super::sync_folder_of(to).map_err(|source| Error::Unconfirmed {
            path: to.to_owned(),
            source,
        })
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        if self.held.is_some() {
            let _ = stop::remove(&self.path);
            stop::ended(&self.path);
        }
    }
}

/// The name beside another.
fn beside(to: &Path) -> PathBuf {
    let name = to.file_name().unwrap_or_default().to_string_lossy();
    to.with_file_name(format!(".{name}.paneprint-part"))
}

fn hold(file: &File, part: &Path) -> Result<()> {
    file.try_lock().map_err(|_| Error::PartThere {
        path: part.to_owned(),
    })
}

/// With no rights for others.
pub(super) fn private(options: &mut fs::OpenOptions) -> &mut fs::OpenOptions {
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(options, 0o600);
    options
}

fn failed(to: &Path) -> impl Fn(io::Error) -> Error {
    let path = to.to_owned();
    move |source| Error::Io {
        path: path.clone(),
        action: "written",
        source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_stopped_program_left_is_in_nobodys_way() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at(".copy.paneprint-part"), "half of a longer copy").unwrap();
        let part = Part::file(&at("copy")).unwrap();
        fs::write(&part.path, "whole").unwrap();
        part.name(&at("copy")).unwrap();
        assert_eq!(fs::read(at("copy")).unwrap(), b"whole");
        fs::create_dir_all(at(".out.paneprint-part/finishes")).unwrap();
        let part = Part::folder(&at("out")).unwrap();
        fs::write(part.path.join("all"), "whole").unwrap();
        part.name(&at("out")).unwrap();
        assert_eq!(fs::read_dir(at("out")).unwrap().count(), 1);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn what_another_is_writing_is_not_touched_and_what_is_given_up_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let (file, whole) = (
            Part::file(&at("a")).unwrap(),
            Part::folder(&at("b")).unwrap(),
        );
        assert!(matches!(Part::file(&at("a")), Err(Error::PartThere { .. })));
        assert!(matches!(
            Part::folder(&at("b")),
            Err(Error::PartThere { .. })
        ));
        drop((file, whole));
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }
}
