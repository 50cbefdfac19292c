//! A folder that the camera's photos come into, watched: each new photo is given out once it is whole.
//!
//! The system tells of changes where it can; the folder is looked at now and then besides, for a share on the network or a card
//! reader tells nothing.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver};
use std::time::{Duration, Instant, SystemTime};

use notify::{RecommendedWatcher, RecursiveMode, Watcher};

use super::folder::pictures_of;
use crate::error::Result;
use crate::intake::{self, Limits};

/// For how long a photo has to stay as it is before it counts as copied.
const STEADY: Duration = Duration::from_millis(300);

/// For how long one that cannot be decoded is waited for after it last changed; after that it is given out as it is, so that
/// somebody hears what is wrong with it.
const PATIENCE: Duration = Duration::from_secs(6);

/// How often the folder is looked at while nothing tells of changes, and while a photo is coming.
const LOOKS: [Duration; 2] = [Duration::from_millis(700), Duration::from_millis(100)];

/// What tells one state of a file from another.
type Stamp = (u64, Option<SystemTime>);

/// A watched folder.
pub struct Watch {
    folder: PathBuf,
    /// What was there at the beginning, or was given out.
    known: BTreeMap<PathBuf, Stamp>,
    /// What is coming: how it was last seen, and since when it has been so.
    coming: BTreeMap<PathBuf, (Stamp, Instant)>,
    told: Receiver<()>,
    stop: Arc<AtomicBool>,
    /// Dropped with the watch, which ends it.
    _watcher: Option<RecommendedWatcher>,
}

impl Watch {
    /// Begins to watch a folder. What lies in it is no longer new. Once `stop` is set nothing more is given out.
    ///
    /// # Errors
    /// There is no such folder, or it cannot be read.
    pub fn begin(folder: &Path, stop: Arc<AtomicBool>) -> Result<Watch> {
        let (tell, told) = mpsc::channel();
        // A folder that the system cannot tell of is looked at all the same.
        let watcher = notify::recommended_watcher(move |_| {
            let _ = tell.send(());
        });
        let watcher = watcher.ok().and_then(|mut watcher| {
            let begun = watcher.watch(folder, RecursiveMode::NonRecursive);
            begun.is_ok().then_some(watcher)
        });
        let mut watch = Watch {
            folder: folder.to_owned(),
            known: BTreeMap::new(),
            coming: BTreeMap::new(),
            told,
            stop,
            _watcher: watcher,
        };
        watch.known = watch.there()?;
        Ok(watch)
    }

    /// The next photo that has come and is whole, or has not become so; `None` once it was stopped.
    ///
    /// # Errors
    /// The folder cannot be read any more.
    pub fn next_photo(&mut self) -> Result<Option<PathBuf>> {
        while !self.stop.load(Ordering::Relaxed) {
            if let Some(photo) = self.ready()? {
                return Ok(Some(photo));
            }
            let wait = LOOKS[usize::from(!self.coming.is_empty())];
            match self.told.recv_timeout(wait) {
                // All that was told meanwhile is seen at one look.
                Ok(()) => while self.told.try_recv().is_ok() {},
                Err(mpsc::RecvTimeoutError::Timeout) => {}
                Err(mpsc::RecvTimeoutError::Disconnected) => std::thread::sleep(wait),
            }
        }
        Ok(None)
    }

    /// Looks at the folder once, and gives out a photo that is ready.
    fn ready(&mut self) -> Result<Option<PathBuf>> {
        let there = self.there()?;
        self.coming.retain(|photo, _| there.contains_key(photo));
        self.known.retain(|photo, _| there.contains_key(photo));
        let mut ready = Vec::new();
        for (photo, stamp) in &there {
            if self.known.get(photo) == Some(stamp) {
                continue;
            }
            let now = (*stamp, Instant::now());
            let seen = self.coming.entry(photo.clone()).or_insert(now);
            if seen.0 != *stamp {
                *seen = now;
            } else if seen.1.elapsed() >= STEADY {
                ready.push((stamp.1, photo.clone(), *stamp, seen.1.elapsed()));
            }
        }
        // In the order in which they were taken.
        ready.sort();
        for (_, photo, stamp, steady) in ready {
            if steady >= PATIENCE || intake::read(&photo, &Limits::default()).is_ok() {
                self.coming.remove(&photo);
                self.known.insert(photo.clone(), stamp);
                return Ok(Some(photo));
            }
        }
        Ok(None)
    }

    fn there(&self) -> Result<BTreeMap<PathBuf, Stamp>> {
        let pictures = pictures_of(&self.folder)?.0.into_iter();
        let stamped = pictures.filter_map(|photo| {
            let facts = std::fs::metadata(&photo).ok()?;
            Some((photo, (facts.len(), facts.modified().ok())))
        });
        Ok(stamped.collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(side: u32) -> Vec<u8> {
        let mut file = std::io::Cursor::new(Vec::new());
        let grey = image::RgbImage::from_pixel(side, side, image::Rgb([120, 90, 60]));
        grey.write_to(&mut file, image::ImageFormat::Jpeg).unwrap();
        file.into_inner()
    }

    #[test]
    fn a_photo_is_given_out_once_it_is_whole_and_what_was_there_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let whole = picture(900);
        std::fs::write(at("before.jpg"), &whole).unwrap();
        let stop = Arc::new(AtomicBool::new(false));
        let mut watch = Watch::begin(folder.path(), Arc::clone(&stop)).unwrap();
        std::fs::write(at("a.jpg"), &whole[..whole.len() / 2]).unwrap();
        std::fs::write(at("a.jpg.place.json"), "{}").unwrap();
        let rest = (at("a.jpg"), whole.clone());
        let copying = std::thread::spawn(move || {
            std::thread::sleep(Duration::from_millis(1200));
            std::fs::write(rest.0, rest.1).unwrap();
        });
        assert_eq!(watch.next_photo().unwrap(), Some(at("a.jpg")));
        assert_eq!(std::fs::read(at("a.jpg")).unwrap(), whole);
        copying.join().unwrap();
        std::fs::write(at("b.jpg"), &whole).unwrap();
        assert_eq!(watch.next_photo().unwrap(), Some(at("b.jpg")));
        stop.store(true, Ordering::Relaxed);
        assert_eq!(watch.next_photo().unwrap(), None);
    }

    #[test]
    fn a_folder_that_is_not_there_is_not_watched() {
        let stop = Arc::new(AtomicBool::new(false));
        assert!(Watch::begin(Path::new("gone/away"), stop).is_err());
    }
}
