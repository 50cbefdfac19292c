//! The photos of a bench, where each stands, and the news of them.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tempfile::TempDir;
use tokio::sync::{Semaphore, broadcast};

use super::chosen::Chosen;
use super::sheets::Sheet;
use crate::compare::Verdict;
use crate::frame::placement::{Patch, Sighting};
use crate::frame::quad::Quad;

/// As many photos are held; the oldest that was answered goes first.
const MOST_HELD: usize = 300;

/// As much news may wait for a slow page; it then looks at everything anew.
const MOST_NEWS: usize = 64;

/// What the maker said of one photo.
#[derive(Debug, Clone, Default)]
pub(super) struct Said {
    /// The corners, set by hand.
    pub(super) corners: Option<Quad>,
    /// The patches, where they were set by hand too.
    pub(super) patches: Option<Vec<Patch>>,
    /// Go on with a picture that cannot be judged by.
    pub(super) anyway: bool,
    /// What the maker decides otherwise, and why; remembered by the archive once it was said.
    pub(super) decided: Option<(Verdict, String)>,
}

/// Where a photo stands.
#[derive(Clone)]
pub(super) enum Stand {
    /// Others are read first.
    Waiting,
    /// It is being read.
    Reading,
    /// It is answered.
    Answered(Arc<Answered>),
    /// Where the panel lies has to be set by hand.
    Unsure(Arc<Unsure>),
    /// It cannot be judged by.
    Unfit(Arc<Unfit>),
}

/// An answer.
pub(super) struct Answered {
    /// The verdict, where there is a sample.
    pub(super) verdict: Option<Verdict>,
    /// What to do, in one line.
    pub(super) headline: String,
    /// The whole of it.
    pub(super) sheet: Sheet,
    /// Where things were found.
    pub(super) sighting: Sighting,
}

/// A photo in which it is not sure where things lie.
pub(super) struct Unsure {
    /// Why, in words.
    pub(super) why: String,
    /// What was found, as far as anything was.
    pub(super) sighting: Option<Sighting>,
}

/// A photo that cannot be judged by.
pub(super) struct Unfit {
    /// What is wrong.
    pub(super) says: String,
    /// The one thing to change.
    pub(super) next: String,
    /// The size has to be typed first.
    pub(super) wants_size: bool,
    /// The maker may go on with it anyway.
    pub(super) may_go_on: bool,
}

/// A photo as it stands now.
#[derive(Clone)]
pub(super) struct Photo {
    /// Its number, from 1.
    pub(super) number: u32,
    /// What it is to be compared with, and how it was taken.
    pub(super) chosen: Chosen,
    /// What the maker said of it.
    pub(super) said: Said,
    /// Where it stands.
    pub(super) stand: Stand,
    /// Under which name it is kept, if it is.
    pub(super) kept: Option<String>,
    /// Where its files lie; the folder goes with the last who holds it.
    folder: Arc<TempDir>,
    /// Width and height of the photo, where it was shown in large.
    pub(super) size_px: Option<[usize; 2]>,
}

impl Photo {
    /// Its file. Its name is made here, never taken from whoever sent it.
    pub(super) fn file(&self) -> PathBuf {
        self.folder.path().join(self.name())
    }

    /// A picture that was made of it.
    pub(super) fn picture(&self, name: &'static str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// What it is called.
    pub(super) fn name(&self) -> String {
        name(self.number)
    }
}

/// What a photo of a number is called.
pub(super) fn name(number: u32) -> String {
    format!("photo {number}")
}

/// The photos of a bench.
pub(super) struct Queue {
    photos: Mutex<Photos>,
    news: broadcast::Sender<u32>,
    /// As many are read at once.
    at_work: Arc<Semaphore>,
    /// What is made beside the queue is made one at a time.
    beside: Semaphore,
}

#[derive(Default)]
struct Photos {
    last: u32,
    held: BTreeMap<u32, Photo>,
}

impl Queue {
    /// An empty one; so many photos are read at once.
    pub(super) fn new(at_once: usize) -> Self {
        Queue {
            photos: Mutex::default(),
            news: broadcast::channel(MOST_NEWS).0,
            at_work: Arc::new(Semaphore::new(at_once)),
            beside: Semaphore::new(1),
        }
    }

    fn photos(&self) -> MutexGuard<'_, Photos> {
        // Nothing is left half done under it.
        self.photos.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The number for the next photo.
    pub(super) fn number(&self) -> u32 {
        let mut photos = self.photos();
        photos.last += 1;
        photos.last
    }

    /// Takes a photo in; it waits.
    pub(super) fn take(&self, number: u32, chosen: Chosen, folder: TempDir) {
        let mut photos = self.photos();
        let photo = Photo {
            number,
            chosen,
            said: Said::default(),
            stand: Stand::Waiting,
            kept: None,
            folder: Arc::new(folder),
            size_px: None,
        };
        photos.held.insert(number, photo);
        if photos.held.len() > MOST_HELD {
            let at_rest = |photo: &Photo| !matches!(photo.stand, Stand::Waiting | Stand::Reading);
            let oldest = photos.held.values().find(|photo| at_rest(photo));
            let oldest = oldest.map(|photo| photo.number);
            oldest.map(|number| photos.held.remove(&number));
        }
        drop(photos);
        self.tell(number);
    }

    /// There is no room for more: all that are held still wait.
    pub(super) fn is_full(&self) -> bool {
        let photos = self.photos();
        let waits = |photo: &&Photo| matches!(photo.stand, Stand::Waiting | Stand::Reading);
        photos.held.values().filter(waits).count() >= MOST_HELD
    }

    /// A photo as it stands.
    pub(super) fn photo(&self, number: u32) -> Option<Photo> {
        self.photos().held.get(&number).cloned()
    }

    /// All photos, the newest first.
    pub(super) fn all(&self) -> Vec<Photo> {
        self.photos().held.values().rev().cloned().collect()
    }

    /// Changes a photo, and lets its pages know. Nothing where it is gone.
    pub(super) fn change(&self, number: u32, change: impl FnOnce(&mut Photo)) {
        if let Some(photo) = self.photos().held.get_mut(&number) {
            change(photo);
        }
        self.tell(number);
    }

    /// Throws a photo away, with all that was made of it.
    pub(super) fn throw_away(&self, number: u32) {
        self.photos().held.remove(&number);
        self.tell(number);
    }

    /// News from now on: the numbers of photos of which something has changed.
    pub(super) fn listen(&self) -> broadcast::Receiver<u32> {
        self.news.subscribe()
    }

    /// Waits for a turn to read.
    pub(super) async fn turn_to_read(&self) -> Option<tokio::sync::OwnedSemaphorePermit> {
        self.at_work.clone().acquire_owned().await.ok()
    }

    /// Waits for a turn beside the queue, to make what somebody waits for on a page.
    pub(super) async fn turn_beside(&self) -> Option<tokio::sync::SemaphorePermit<'_>> {
        self.beside.acquire().await.ok()
    }

    fn tell(&self, number: u32) {
        // Nobody may be listening.
        let _ = self.news.send(number);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn take(queue: &Queue) -> (u32, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let (number, path) = (queue.number(), folder.path().to_owned());
        queue.take(number, Chosen::default(), folder);
        (number, path)
    }

    #[test]
    fn files_go_with_the_photo_and_news_tells_of_it() {
        let queue = Queue::new(1);
        let mut news = queue.listen();
        let (number, folder) = take(&queue);
        assert!(folder.exists());
        assert!(queue.photo(number).unwrap().file().ends_with("photo 1"));
        queue.throw_away(number);
        assert!(!folder.exists());
        assert!(queue.photo(number).is_none());
        assert_eq!([news.try_recv(), news.try_recv()], [Ok(1), Ok(1)]);
    }

    #[test]
    fn the_oldest_that_was_answered_makes_room_and_none_that_waits() {
        let queue = Queue::new(1);
        for _ in 0..MOST_HELD {
            take(&queue);
        }
        assert!(queue.is_full());
        let unfit = || Unfit {
            says: String::new(),
            next: String::new(),
            wants_size: false,
            may_go_on: false,
        };
        queue.change(5, |photo| photo.stand = Stand::Unfit(Arc::new(unfit())));
        assert!(!queue.is_full());
        take(&queue);
        assert!(queue.photo(5).is_none() && queue.photo(1).is_some());
        assert_eq!(queue.all()[0].number as usize, MOST_HELD + 1);
    }
}
