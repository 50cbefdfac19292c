//! The program is told to stop: a change that has begun is finished first, and what lies half written is taken away.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// Held while a change is under way that is to be whole or not there.
static CHANGE: Mutex<()> = Mutex::new(());

/// Parts that have no name yet.
static PARTS: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// Whether a change was finished.
static CHANGED: AtomicBool = AtomicBool::new(false);

/// How long a change is waited for: as often as this, a hundredth of a second each.
const PATIENCE: usize = 1000;

/// Until this is dropped the program does not stop.
pub(super) fn change() -> MutexGuard<'static, ()> {
    CHANGE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The change is finished.
pub(super) fn changed() {
    CHANGED.store(true, Ordering::Relaxed);
}

/// A part is being written.
pub(super) fn begun(part: &Path) {
    parts().push(part.to_owned());
}

/// A part has its name, or is gone.
pub(super) fn ended(part: &Path) {
    parts().retain(|known| known != part);
}

fn parts() -> MutexGuard<'static, Vec<PathBuf>> {
    PARTS.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Waits until the change that is under way is finished, lets none begin, and takes away what lies half written. Returns whether
/// anything was changed since the program began. The program must end now.
pub fn stop() -> bool {
    for _ in 0..PATIENCE {
        if let Ok(held) = CHANGE.try_lock() {
            std::mem::forget(held);
            break;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    for part in parts().iter() {
        // Another thread may still be writing into a folder.
        let gone = || !part.exists() || remove(part).is_ok();
        let _ = (0..3).any(|_| gone());
    }
    CHANGED.load(Ordering::Relaxed)
}

/// Takes a part away.
pub(super) fn remove(part: &Path) -> std::io::Result<()> {
    fs::remove_file(part).or_else(|_| fs::remove_dir_all(part))
}
