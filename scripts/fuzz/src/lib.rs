//! What the fuzz targets share.
//!
//! A case fails by a panic that escapes, by an assertion of its target, by taking longer than 5 s or more than 1 GiB
//! (`scripts/fuzz/run` sets both). A panic of a decoder that intake catches is no failure; where it came from is printed
//! once.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// Replaces the hook that ends the program at a panic that will be caught: one that is not caught ends it all the same.
pub fn allow_caught_panics() {
    static SEEN: Mutex<BTreeSet<String>> = Mutex::new(BTreeSet::new());
    std::panic::set_hook(Box::new(|info| {
        let place = info.location().map(ToString::to_string).unwrap_or_default();
        if let Ok(mut seen) = SEEN.lock()
            && seen.insert(place.clone())
        {
            eprintln!("PANIC at {place}: {info}");
        }
    }));
}

/// A folder of its own in memory, emptied for each case.
pub struct Bench(tempfile::TempDir);

impl Bench {
    /// An empty one.
    pub fn new() -> Self {
        let memory = Path::new("/dev/shm");
        let parent = if memory.is_dir() {
            memory.to_owned()
        } else {
            std::env::temp_dir()
        };
        Bench(tempfile::tempdir_in(parent).expect("a folder"))
    }

    /// A path in it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Writes a file, with its folders.
    pub fn file(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.path(name);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).expect("a folder");
        }
        std::fs::write(&path, bytes).expect("a file");
        path
    }

    /// What lies in it.
    pub fn names(&self) -> BTreeSet<String> {
        let entries = std::fs::read_dir(self.0.path()).expect("a folder");
        entries
            .map(|e| {
                e.expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect()
    }
}

impl Default for Bench {
    fn default() -> Self {
        Bench::new()
    }
}
