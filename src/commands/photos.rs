//! The photos a command was given: files as they are named, folders as the photos in them; each read on, whatever became of
//! the one before, and all summed up at the end.

use std::path::{Path, PathBuf};

use super::context::Context;
use super::exit::Exit;
use crate::draw::picture;
use crate::error::{Error, Result};
use crate::pipeline::Reading;
use crate::settings::Settings;
use crate::silver;
use crate::studio::folder::photos_in;
use crate::studio::holds::NEWEST;
use crate::studio::several::{Heard, several};
use crate::studio::{Hear, News};
use crate::words::file_name;

/// The photos to read, in order.
pub(super) struct Photos {
    files: Vec<PathBuf>,
    /// Files in the folders that are no pictures and no placement files.
    left_alone: usize,
}

impl Photos {
    /// Files as named, and the pictures that lie in the folders named, by name. What lies deeper is left alone.
    ///
    /// # Errors
    /// A folder cannot be read, or holds no picture.
    pub(super) fn of(named: &[PathBuf], context: &mut Context) -> Result<Self> {
        let mut photos = Photos {
            files: Vec::new(),
            left_alone: 0,
        };
        for path in named {
            if path.is_dir() {
                let (pictures, others) = photos_in(path)?;
                photos.files.extend(pictures);
                photos.left_alone += others;
            } else if path == Path::new(NEWEST) {
                photos.files.push(context.holds()?.photo(path)?);
            } else {
                photos.files.push(path.clone());
            }
        }
        Ok(photos)
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.files.len()
    }

    /// Refuses files named that can show one photo only where there are several, and those that are the photo itself.
    ///
    /// # Errors
    /// One of them was asked for.
    pub(super) fn one_at_a_time(&self, files: &[Option<&Path>]) -> Result<()> {
        if self.len() > 1 && files.iter().any(|file| file.is_some()) {
            return Err(Error::OnePicture);
        }
        // A drawing must not take the place of the photo it is drawn from.
        let named = files.iter().copied().flatten();
        spare(named, self.files.iter().map(PathBuf::as_path))
    }

    /// Does `work` for every photo, several at once, and hands what it made to `then` in the order given. A photo that
    /// fails is complained of and the next one read.
    pub(super) fn each<T: Send>(
        &self,
        context: &mut Context,
        work: impl Fn(&Path) -> Result<T> + Sync,
        mut then: impl FnMut(&Path, T, &mut Context) -> Result<Exit>,
    ) -> Result<Vec<Exit>> {
        let mut ends = Vec::new();
        let hear = |heard: Heard<Result<T>>| {
            let made = match heard {
                Heard::Begun(i) => {
                    let name = file_name(&self.files[i]);
                    context.hear(News::Begun(i + 1, self.len(), &name));
                    return Ok(());
                }
                Heard::Done(made) => made,
            };
            match made.and_then(|made| then(&self.files[ends.len()], made, context)) {
                Ok(end) => ends.push(end),
                // With nobody to tell, there is no point in going on.
                Err(error @ Error::Output { .. }) => return Err(error),
                Err(error) => {
                    context.complain(&error);
                    ends.push(Exit::from(&error));
                }
            }
            Ok(())
        };
        several(&self.files, |photo| work(photo), hear)?;
        Ok(ends)
    }

    /// Says how several photos ended: after the answers, or where those are JSON beside them, if it is worth saying.
    /// The answer is the worst of all ends.
    pub(super) fn sum_up(
        &self,
        ends: &[Exit],
        as_json: bool,
        context: &mut Context,
    ) -> Result<Exit> {
        let worst = ends.iter().copied().max().unwrap_or(Exit::Done);
        match self.len() {
            0 | 1 => {}
            _ if !as_json => context.say(&self.summary(ends))?,
            _ if worst == Exit::Done => {}
            _ => context.note(&self.summary(ends)),
        }
        Ok(worst)
    }

    /// How many photos came to which end, and the names of those that want looking after.
    fn summary(&self, ends: &[Exit]) -> String {
        let of = |wanted: Exit| -> Vec<String> {
            let ended = self
                .files
                .iter()
                .zip(ends)
                .filter(|(_, end)| **end == wanted);
            ended.map(|(photo, _)| file_name(photo)).collect()
        };
        let (unfit, unread) = (of(Exit::PictureNotUsable), of(Exit::CouldNotRun));
        let good = ends.len() - unfit.len() - unread.len();
        summary(self.len(), good, &unfit, &unread, self.left_alone)
    }
}

/// Names of photos that a line of a terminal takes.
const MOST_NAMED: usize = 6;

/// How many photos came to which end, and the names of those that want looking after.
fn summary(
    photos: usize,
    good: usize,
    unfit: &[String],
    unread: &[String],
    left_alone: usize,
) -> String {
    let mut parts = vec![format!("{photos} photos: {good} good")];
    for (names, what) in [
        (unfit, "not fit to judge by"),
        (unread, "could not be read"),
    ] {
        if !names.is_empty() {
            parts.push(format!("{} {what} ({})", names.len(), some(names)));
        }
    }
    match left_alone {
        0 => {}
        1 => parts.push("1 other file left alone".to_owned()),
        n => parts.push(format!("{n} other files left alone")),
    }
    parts.join(", ") + "."
}

fn some(names: &[String]) -> String {
    let shown = names[..names.len().min(MOST_NAMED)].join(", ");
    match names.len().saturating_sub(MOST_NAMED) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// Refuses to write over a photo that the same command reads, however its path is written.
pub(super) fn spare<'a>(
    mut written: impl Iterator<Item = &'a Path>,
    photos: impl Iterator<Item = &'a Path>,
) -> Result<()> {
    let real = |path: &Path| std::fs::canonicalize(path).ok();
    let photos: Vec<PathBuf> = photos.filter_map(real).collect();
    match written.find(|file| real(file).is_some_and(|file| photos.contains(&file))) {
        Some(file) => Err(Error::FileThere {
            path: file.to_owned(),
        }),
        None => Ok(()),
    }
}

/// A picture of what was counted, as a file that says of which photo it is.
pub(super) fn counted(reading: &Reading, photo: &Path) -> Result<Vec<u8>> {
    let px_per_mm = reading.fingerprint.provenance.px_per_mm;
    let drawn = picture::draw(
        &reading.measured,
        reading.tints.as_ref(),
        px_per_mm,
        &Settings::default().measure,
    );
    Ok(silver::drawing(&silver::png(&drawn)?, &of(COUNTED, photo)))
}

/// What a picture of what was counted is.
pub(super) const COUNTED: &str = "counted";

/// A picture of a photo: what it shows, and of which.
pub(super) fn of(what: &str, photo: &Path) -> String {
    format!("{} {what}", file_name(photo))
}
