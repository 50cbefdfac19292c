//! Checks everything in the archive: the file's pages, the references between rows, every digest, picture and reading. Nothing is
//! repaired: a damaged archive is left as it is.

use std::path::Path;

use rayon::prelude::*;

use super::connect::connect;
use super::disk::Disk;
use super::problem::Problem;
use super::reading::{Facts, fits_map};
use super::{Archive, checksum, file, picture, pragmas, refused, schema, there};
use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, VERSION};

/// Most lines of SQLite's own check that are reported.
const MOST_LINES: u32 = 100;

/// Bytes of waiting pictures at which they are opened.
const AT_ONCE: usize = 16 << 20;

/// How much was checked, and what is wrong.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Verified {
    /// Finishes, without those in the bin.
    pub finishes: usize,
    /// Finishes in the bin.
    pub in_bin: usize,
    /// Finishes that are approved samples.
    pub approved: usize,
    /// Readings, earlier ones too.
    pub readings: usize,
    /// Recipes, earlier ones too.
    pub recipes: usize,
    /// Photos.
    pub photos: usize,
    /// What is wrong.
    pub problems: Vec<Problem>,
}

/// Checks everything.
///
/// # Errors
/// There is no archive, or the file is another program's, of an unknown version, or cannot be opened at all.
pub fn verify(path: &Path) -> Result<Verified> {
    there(path)?;
    let disk = Disk::default();
    let problems = match disk.unread(path) {
        // Whatever SQLite said of it now would be called damage.
        Some(why) => vec![Problem::FileUnread(why.to_owned())],
        // A read that failed once looks like damage, which is there at a second look too.
        None => match disk.once_more(path, || check_file(path))? {
            found if found.is_empty() => found,
            _ => disk.once_more(path, || check_file(path))?,
        },
    };
    let mut found = Verified {
        problems,
        ..Verified::default()
    };
    match Archive::open(path) {
        Ok(archive) => {
            archive.check_all(&mut found)?;
            let mut said = Vec::new();
            found.problems.retain(|problem| {
                let new = !said.contains(problem);
                said.extend(new.then(|| problem.clone()));
                new
            });
        }
        // The problems of the file say it already.
        Err(_) if !found.problems.is_empty() => {}
        Err(error) => return Err(error),
    }
    Ok(found)
}

/// Checks the file's pages and the references between rows.
fn check_file(path: &Path) -> Result<Vec<Problem>> {
    let sql = |e: rusqlite::Error| refused(path, &e);
    let connection = connect(path)?;
    schema::version(&connection, path)?;
    pragmas::apply(&connection).map_err(sql)?;
    let lines = || -> rusqlite::Result<Vec<String>> {
        connection
            .prepare(&format!("PRAGMA integrity_check({MOST_LINES})"))?
            .query_map([], |row| row.get(0))?
            .collect()
    };
    let mut problems: Vec<Problem> = match lines() {
        Ok(lines) => lines
            .into_iter()
            .filter(|line| line != "ok")
            .map(|line| Problem::File(line.replace('\n', ": ").replace("*** ", "")))
            .collect(),
        Err(error) => vec![Problem::File(error.to_string())],
    };
    let references = || -> rusqlite::Result<Vec<Problem>> {
        connection
            .prepare("SELECT DISTINCT \"table\", parent FROM pragma_foreign_key_check")?
            .query_map([], |row| {
                Ok(Problem::Reference {
                    from: row.get(0)?,
                    to: row.get(1)?,
                })
            })?
            .collect()
    };
    match references() {
        Ok(found) => problems.extend(found),
        Err(error) if problems.is_empty() => problems.push(Problem::File(error.to_string())),
        Err(_) => {}
    }
    Ok(problems)
}

/// Pictures that wait to be opened in parallel.
#[derive(Default)]
struct Queue {
    waiting: Vec<Waiting>,
    bytes: usize,
}

/// A picture with the finish it belongs to, and what it must fit.
struct Waiting {
    finish: String,
    png: Vec<u8>,
    /// The fingerprint that a silver map must fit.
    map_of: Option<String>,
    /// The size of the silver map that a colour must fit.
    colour_of: Option<(u32, u32)>,
}

impl Queue {
    fn add(&mut self, waiting: Waiting) {
        self.bytes += waiting.png.len();
        self.waiting.push(waiting);
    }

    /// Opens all that wait.
    fn open(&mut self) -> Vec<Problem> {
        let Queue { waiting, .. } = std::mem::take(self);
        let open = |w: Waiting| {
            let fits = picture::check(&w.png).is_ok_and(|(width, height)| {
                w.map_of.is_none_or(|text| fits_map(&text, width, height))
                    && w.colour_of
                        .is_none_or(|map| picture::fits_colour(map, (width, height)))
            });
            (!fits).then_some(Problem::PictureUnreadable(w.finish))
        };
        waiting.into_par_iter().filter_map(open).collect()
    }
}

impl Archive {
    fn check_all(&self, found: &mut Verified) -> Result<()> {
        let both = self
            .names()
            .and_then(|names| Ok((names, self.names_and_bin()?)));
        let (kept, names) = match both {
            Ok(both) => both,
            Err(_) if !found.problems.is_empty() => return Ok(()),
            Err(error) => return Err(error),
        };
        found.finishes = kept.len();
        found.in_bin = names.len() - kept.len();
        let mut pictures = Queue::default();
        for name in &names {
            let problems = self.check_finish(name, found, &mut pictures);
            found.problems.extend(problems);
            if pictures.bytes > AT_ONCE {
                found.problems.extend(pictures.open());
            }
        }
        found.problems.extend(pictures.open());
        match self.read(checksum::broken) {
            Ok(problems) => found.problems.extend(problems),
            Err(Error::ArchiveDamaged { detail, .. }) => {
                found.problems.push(Problem::File(detail));
            }
            Err(error) => found.problems.push(Problem::FileUnread(error.to_string())),
        }
        match self.check_studio() {
            Ok(problems) => found.problems.extend(problems),
            Err(error) if error.is_unread() => found.problems.push(Problem::StudioUnread),
            Err(_) => found.problems.push(Problem::StudioUnreadable),
        }
        Ok(())
    }

    fn check_finish(&self, name: &str, found: &mut Verified, pictures: &mut Queue) -> Vec<Problem> {
        let mut problems = Vec::new();
        let named = || name.to_owned();
        // What the disk does not give back may be as it was kept.
        let wrong = |error: &Error, otherwise: fn(String) -> Problem| {
            let problem = if error.is_unread() {
                Problem::Unread
            } else {
                otherwise
            };
            problem(named())
        };
        match self.readings(name) {
            Ok(readings) => {
                let last = readings.last().filter(|r| r.is_unchanged());
                let says = last.and_then(|r| Facts::of(&r.fingerprint));
                let listed = self.facts(name);
                if says.is_some() && listed.is_ok_and(|listed| listed != says) {
                    problems.push(Problem::ListedOtherwise(named()));
                }
                for reading in readings {
                    found.readings += 1;
                    if !reading.is_unchanged() {
                        problems.push(Problem::ReadingChanged(named()));
                    } else if !reads(&reading.fingerprint) {
                        problems.push(Problem::ReadingUnreadable(named()));
                    }
                    let mut map = None;
                    for (which, picture) in reading.files().enumerate() {
                        match self.read(|archive| file::get(archive, &picture.digest)) {
                            Ok(Ok(png)) => {
                                if which == 0 {
                                    map = picture::size(&png);
                                }
                                pictures.add(Waiting {
                                    finish: named(),
                                    png,
                                    map_of: (which == 0).then(|| reading.fingerprint.clone()),
                                    colour_of: map.filter(|_| which == 2),
                                });
                            }
                            Ok(Err(_)) => problems.push(Problem::PictureChanged(named())),
                            Err(e) => problems.push(wrong(&e, Problem::PictureChanged)),
                        }
                    }
                }
            }
            Err(Error::ReadingUnreadable { .. }) => {
                problems.push(Problem::NoReading(named()));
            }
            Err(e) => problems.push(wrong(&e, Problem::ReadingUnreadable)),
        }
        match self.photo(name) {
            Ok(photo) => found.photos += usize::from(photo.is_some()),
            Err(e) => problems.push(wrong(&e, Problem::PhotoChanged)),
        }
        match self.approval(name) {
            Ok(approval) => found.approved += usize::from(approval.is_some()),
            // Its checksum is checked with all others.
            Err(Error::KeptChanged { .. }) => {}
            Err(e) => problems.push(wrong(&e, Problem::ApprovalUnreadable)),
        }
        match self.overrulings_beside(name) {
            // Their checksums are checked with all others.
            Ok(_) | Err(Error::KeptChanged { .. }) => {}
            Err(e) => problems.push(wrong(&e, Problem::DecisionUnreadable)),
        }
        match self.changes(name) {
            // Their checksums are checked with all others.
            Ok(_) | Err(Error::KeptChanged { .. }) => {}
            Err(_) => problems.push(Problem::ChangeUnreadable(named())),
        }
        match self.kept_recipes(name) {
            Ok(recipes) => {
                for recipe in recipes {
                    found.recipes += 1;
                    if !recipe.is_unchanged() {
                        problems.push(Problem::RecipeChanged(named()));
                    } else if recipe.read().is_none() {
                        problems.push(Problem::RecipeUnreadable(named()));
                    }
                }
            }
            Err(e) => problems.push(wrong(&e, Problem::RecipeUnreadable)),
        }
        problems.dedup();
        problems
    }

    /// Checks the rigs, the ladders, the jobs and what is usual.
    fn check_studio(&self) -> Result<Vec<Problem>> {
        let rigs = self.rigs()?.into_iter().chain(self.earlier_rigs()?);
        // A changed one is found by its checksum.
        let rigs = rigs.filter(|rig| rig.unchanged && !rig.is_sound());
        let mut problems: Vec<Problem> = rigs.map(|r| Problem::RigUnreadable(r.name)).collect();
        let ladders = self.ladders()?.into_iter();
        let torn = ladders.filter(|name| self.ladder(name).is_err());
        problems.extend(torn.map(Problem::LadderUnreadable));
        for job in self.jobs()? {
            if let Err(crate::Error::JobUnreadable { name, .. }) = job {
                problems.push(Problem::JobUnreadable(name));
            }
        }
        match self.current_job() {
            Ok(_) | Err(crate::Error::JobUnreadable { .. }) => {}
            Err(_) => problems.push(Problem::UsualUnreadable),
        }
        match self.other_changes() {
            // Their checksums are checked with all others.
            Ok(_) | Err(Error::KeptChanged { .. }) => {}
            Err(_) => problems.push(Problem::StudioUnreadable),
        }
        Ok(problems)
    }
}

/// Whether a text is a fingerprint: a whole one of this version, or of another version with what every version has.
fn reads(text: &str) -> bool {
    match Facts::of(text) {
        Some(facts) if facts.version == VERSION => {
            serde_json::from_str::<Fingerprint>(text).is_ok_and(|f| f.is_sound())
        }
        other => other.is_some(),
    }
}
