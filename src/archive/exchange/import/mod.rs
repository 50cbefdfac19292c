//! Import of an export. Everything in it is taken for hostile until it is checked.
//!
//! First every finish is read and checked by itself, and refused where something is wrong with it. Then all the others are kept in
//! one transaction, so that the archive is as it was or has them all whenever the program is stopped. What is kept already is
//! never overwritten.

mod bounded;
mod check;
mod jobs;
mod studio;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::super::kept::KeptFinish;
use super::super::{Archive, KeptReading, Writing, approval, file};
use super::jobs::{JOBS, JobsFile};
use super::studio::{HISTORY, HistoryFile, LADDERS, LaddersFile, RIGS, RigsFile};
use super::{FINISH, FINISHES};
use crate::error::{Error, Result, Unfit};
use bounded::{MOST_FINISHES, folders, json, unfit};
use check::{Checked, check};

/// What became of one thing.
#[derive(Debug)]
pub enum Outcome {
    /// It is kept now.
    New,
    /// It was kept already and is the same.
    There,
    /// It was kept already; what was signed, decided or noted of it differs, and what is in the archive stays.
    ThereOtherwise,
    /// It was not kept.
    Refused(Error),
}

/// One thing of an export.
#[derive(Debug)]
pub struct Imported {
    /// Its name, or that of its folder where it cannot be read.
    pub name: String,
    /// What became of it.
    pub outcome: Outcome,
}

/// What became of everything in an export.
#[derive(Debug, Default)]
pub struct Import {
    /// The finishes.
    pub finishes: Vec<Imported>,
    /// Names of the finishes that were kept already without their photos, which are kept now.
    pub photos: Vec<String>,
    /// The rigs, with their studies.
    pub rigs: Vec<Imported>,
    /// The ladders.
    pub ladders: Vec<Imported>,
    /// The jobs.
    pub jobs: Vec<Imported>,
}

impl Import {
    /// Everything that was refused.
    pub fn refused(&self) -> impl Iterator<Item = &Error> {
        let all = [&self.finishes, &self.rigs, &self.ladders, &self.jobs];
        all.into_iter()
            .flatten()
            .filter_map(|one| match &one.outcome {
                Outcome::Refused(error) => Some(error),
                _ => None,
            })
    }
}

/// A finish of an export, and what is to become of it.
struct Candidate {
    place: PathBuf,
    name: String,
    kept_at: String,
    limit_pieces: Vec<String>,
    outcome: Outcome,
    /// It was kept already without its photo, which comes now.
    brings_photo: bool,
}

impl Candidate {
    fn is_new(&self) -> bool {
        matches!(self.outcome, Outcome::New)
    }

    fn refuse(&mut self, why: Unfit) {
        self.outcome = Outcome::Refused(unfit(&self.place.join(FINISH), why));
    }
}

impl Archive {
    /// Imports an export.
    ///
    /// # Errors
    /// The folder holds no export, or the archive cannot be written; nothing was kept then. An error of a single finish is its
    /// outcome.
    pub fn import(&mut self, folder: &Path) -> Result<Import> {
        let candidates = self.candidates(folder)?;
        let rigs: Option<RigsFile> = optional(&folder.join(RIGS))?;
        let ladders: Option<LaddersFile> = optional(&folder.join(LADDERS))?;
        let jobs: Option<JobsFile> = optional(&folder.join(JOBS))?;
        let history: Option<HistoryFile> = optional(&folder.join(HISTORY))?;
        let mut import = self.write(|writing| {
            let mut import = Import::default();
            for one in candidates.iter().filter(|one| one.is_new()) {
                // Each is read and checked once more, because all of them do not fit into memory.
                let checked = check(&one.place)?;
                if checked.finish.name != one.name {
                    return Err(unfit(&one.place.join(FINISH), Unfit::Changed));
                }
                keep(writing, &checked)?;
            }
            // Samples may be limit pieces of each other, so all must be there before approvals are.
            for one in candidates.iter().filter(|one| one.is_new()) {
                let finish: KeptFinish = json(&one.place.join(FINISH))?;
                if let Some(approval) = &finish.approval {
                    approval::add(writing, &one.name, approval)?;
                }
            }
            for one in candidates.iter().filter(|one| one.brings_photo) {
                keep_photo(writing, &check(&one.place)?)?;
                import.photos.push(one.name.clone());
            }
            if let Some(file) = &rigs {
                import.rigs = studio::import_rigs(writing, folder, file)?;
            }
            if let Some(file) = &ladders {
                import.ladders = studio::import_ladders(writing, folder, file)?;
            }
            if let Some(file) = &jobs {
                import.jobs = jobs::import_jobs(writing, folder, file)?;
            }
            if let Some(file) = &history {
                studio::import_history(writing, folder, file)?;
            }
            Ok(import)
        })?;
        import.finishes = candidates
            .into_iter()
            .map(|Candidate { name, outcome, .. }| Imported { name, outcome })
            .collect();
        Ok(import)
    }

    /// Checks every finish and decides what is to become of it, in the order in which they were kept.
    fn candidates(&self, folder: &Path) -> Result<Vec<Candidate>> {
        let mut all = Vec::new();
        let mut seen = BTreeSet::new();
        for place in folders(&folder.join(FINISHES), MOST_FINISHES)? {
            let mut one = Candidate {
                name: place
                    .file_name()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned(),
                kept_at: String::new(),
                limit_pieces: Vec::new(),
                outcome: Outcome::New,
                brings_photo: false,
                place,
            };
            match check(&one.place) {
                Err(error) => one.outcome = Outcome::Refused(error),
                Ok(Checked { finish, .. }) => {
                    one.limit_pieces = finish.limit_pieces();
                    if seen.insert(finish.name.clone()) {
                        (one.outcome, one.brings_photo) = self.outcome_of(&one.place, &finish)?;
                    } else {
                        one.refuse(Unfit::Twice);
                    }
                    (one.name, one.kept_at) = (finish.name, finish.kept_at);
                }
            }
            all.push(one);
        }
        all.sort_by(|a, b| (&a.kept_at, &a.name).cmp(&(&b.kept_at, &b.name)));
        refuse_without_limit_pieces(&mut all, &self.names()?);
        Ok(all)
    }

    /// What is to become of a sound finish, and whether it brings the photo of one that is kept without.
    fn outcome_of(&self, place: &Path, new: &KeptFinish) -> Result<(Outcome, bool)> {
        let there = "SELECT id FROM finish WHERE name = ?1";
        let there = self.one(there, &new.name, |row| row.get::<_, i64>(0))?;
        if there.is_none() {
            return Ok((Outcome::New, false));
        }
        let there = match self.kept(&new.name) {
            Err(error) if error.is_loss() => {
                return Ok((Outcome::Refused(error.of_finish(&new.name)), false));
            }
            other => other?,
        };
        let [kept, coming] = [&there, new].map(|f| f.readings.first().map(KeptReading::identity));
        if kept != coming {
            let name = new.name.clone();
            let refused = unfit(&place.join(FINISH), Unfit::NameTaken { name });
            return Ok((Outcome::Refused(refused), false));
        }
        let brings_photo = new.photo_beside().is_some()
            && there.photo.is_none()
            && there.photo_digest == new.photo_digest;
        let outcome = if there.says_the_same(new) {
            Outcome::There
        } else {
            Outcome::ThereOtherwise
        };
        Ok((outcome, brings_photo))
    }
}

/// A file that may be left out.
fn optional<T: serde::de::DeserializeOwned>(path: &Path) -> Result<Option<T>> {
    match json(path) {
        Err(Error::ExportUnfit {
            why: Unfit::Missing,
            ..
        }) => Ok(None),
        other => other.map(Some),
    }
}

/// Refuses the samples whose limit pieces are neither here nor kept, and then those that they are limit pieces of.
fn refuse_without_limit_pieces(candidates: &mut [Candidate], kept: &[String]) {
    let kept: BTreeSet<&String> = kept.iter().collect();
    loop {
        let coming: BTreeSet<String> = candidates
            .iter()
            .filter(|one| one.is_new())
            .map(|one| one.name.clone())
            .collect();
        let mut changed = false;
        for one in candidates.iter_mut().filter(|one| one.is_new()) {
            let missing = |piece: &&String| !kept.contains(piece) && !coming.contains(*piece);
            if let Some(name) = one.limit_pieces.iter().find(missing).cloned() {
                one.refuse(Unfit::LimitPiece { name });
                changed = true;
            }
        }
        if !changed {
            return;
        }
    }
}

/// Keeps a finish that was checked, all but what was signed.
fn keep(writing: &Writing<'_>, checked: &Checked) -> Result<()> {
    let finish = &checked.finish;
    for picture in finish.readings.iter().flat_map(KeptReading::files) {
        file::add(writing, checked.bytes(picture), &finish.name)?;
    }
    finish.add(writing)?;
    keep_photo(writing, checked)
}

/// Keeps the photo of a finish, where it came with it.
fn keep_photo(writing: &Writing<'_>, checked: &Checked) -> Result<()> {
    let finish = &checked.finish;
    finish.photo_beside().map_or(Ok(()), |photo| {
        finish.add_photo(writing, checked.bytes(photo))
    })
}
