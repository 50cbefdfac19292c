//! In: an export comes back. Everything in it is taken for hostile until it was looked at.
//!
//! First every finish is read and looked at, and refused by itself where something is wrong with it. Then all that are left are
//! kept in one transaction: the program may be stopped at any moment, and the archive is as it was or has them all. What is kept
//! already is never overwritten.

mod look;
mod studio;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::super::overruling::{self, Overruling};
use super::super::{Archive, Signing, Writing, finish, reading, recipe};
use super::bounded::{MOST_FINISHES, folders, json, unfit};
use super::finish_file::{ApprovalFile, FileRef, FinishFile, ReadingFile};
use super::studio::{LADDERS, LaddersFile, RIGS, RigsFile};
use super::{FINISH, FINISHES};
use crate::error::{Error, Result, Unfit};
use look::{Looked, look};

/// What became of one thing.
#[derive(Debug)]
pub enum Outcome {
    /// It is kept now.
    New,
    /// It was kept already, just so.
    There,
    /// It was kept already; what was signed, decided or noted of it differs, and what is in the archive stays.
    ThereOtherwise,
    /// It was not taken.
    Refused(Error),
}

/// One thing that came.
#[derive(Debug)]
pub struct Came {
    /// Its name, or its folder's where the name is not known.
    pub name: String,
    /// What became of it.
    pub outcome: Outcome,
}

/// What became of everything.
#[derive(Debug, Default)]
pub struct Entered {
    /// Finishes.
    pub finishes: Vec<Came>,
    /// Names of the finishes that were kept already without their photos, which are kept now.
    pub photos: Vec<String>,
    /// Rigs, with their studies.
    pub rigs: Vec<Came>,
    /// Ladders.
    pub ladders: Vec<Came>,
}

impl Entered {
    /// Everything that was refused.
    pub fn refused(&self) -> impl Iterator<Item = &Error> {
        let all = [&self.finishes, &self.rigs, &self.ladders];
        all.into_iter()
            .flatten()
            .filter_map(|came| match &came.outcome {
                Outcome::Refused(error) => Some(error),
                _ => None,
            })
    }
}

/// A finish that comes.
struct Coming {
    place: PathBuf,
    name: String,
    kept_at: String,
    limit_pieces: Vec<String>,
    outcome: Outcome,
    /// It was kept already without its photo, which comes now.
    brings_photo: bool,
}

impl Coming {
    fn is_new(&self) -> bool {
        matches!(self.outcome, Outcome::New)
    }

    fn refuse(&mut self, why: Unfit) {
        self.outcome = Outcome::Refused(unfit(&self.place.join(FINISH), why));
    }
}

impl Archive {
    /// Takes in an export.
    ///
    /// # Errors
    /// The folder holds no export, or the archive cannot be written; nothing was taken then. What is wrong with a single finish
    /// is its outcome.
    pub fn enter(&mut self, folder: &Path) -> Result<Entered> {
        let came = self.look_through(folder)?;
        let rigs: Option<RigsFile> = optional(&folder.join(RIGS))?;
        let ladders: Option<LaddersFile> = optional(&folder.join(LADDERS))?;
        let mut entered = Entered::default();
        self.write(|writing| {
            for one in came.iter().filter(|one| one.is_new()) {
                // What was looked at is read once more: all of it does not fit into memory.
                let looked = look(&one.place)?;
                if looked.finish.name != one.name {
                    return Err(unfit(&one.place.join(FINISH), Unfit::Changed));
                }
                keep(writing, &looked)?;
            }
            // Limit pieces may name each other, so all must be there before what was signed.
            for one in came.iter().filter(|one| one.is_new()) {
                let finish: FinishFile = json(&one.place.join(FINISH))?;
                if let Some(approval) = finish.approval {
                    sign(writing, &one.name, approval)?;
                }
            }
            for one in came.iter().filter(|one| one.brings_photo) {
                let looked = look(&one.place)?;
                let id = writing.id_named(&one.name)?;
                keep_photo(writing, id, &looked)?;
                entered.photos.push(one.name.clone());
            }
            entered.rigs = rigs.map_or(Ok(Vec::new()), |file| {
                studio::keep_rigs(writing, folder, file)
            })?;
            entered.ladders = ladders.map_or(Ok(Vec::new()), |file| {
                studio::keep_ladders(writing, folder, file)
            })?;
            Ok(())
        })?;
        entered.finishes = came
            .into_iter()
            .map(|one| Came {
                name: one.name,
                outcome: one.outcome,
            })
            .collect();
        Ok(entered)
    }

    /// Looks at every finish, and says what is to become of it, in the order in which they were kept.
    fn look_through(&self, folder: &Path) -> Result<Vec<Coming>> {
        let mut came = Vec::new();
        let mut seen = BTreeSet::new();
        for place in folders(&folder.join(FINISHES), MOST_FINISHES)? {
            let mut one = Coming {
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
            match look(&one.place) {
                Err(error) => one.outcome = Outcome::Refused(error),
                Ok(Looked { finish, .. }) => {
                    one.limit_pieces = finish
                        .limit_pieces()
                        .into_iter()
                        .map(str::to_owned)
                        .collect();
                    if seen.insert(finish.name.clone()) {
                        (one.outcome, one.brings_photo) = self.outcome_of(&one.place, &finish)?;
                    } else {
                        one.refuse(Unfit::Twice);
                    }
                    (one.name, one.kept_at) = (finish.name, finish.kept_at);
                }
            }
            came.push(one);
        }
        came.sort_by(|a, b| (&a.kept_at, &a.name).cmp(&(&b.kept_at, &b.name)));
        refuse_without_limit_pieces(&mut came, &self.names()?);
        Ok(came)
    }

    /// What is to become of a finish that is sound by itself, and whether it brings the photo of one that is kept without.
    fn outcome_of(&self, place: &Path, new: &FinishFile) -> Result<(Outcome, bool)> {
        let there = match self.finish_file(&new.name) {
            Err(Error::NoSuchFinish { .. }) => return Ok((Outcome::New, false)),
            Err(error) if error.is_damage() => {
                return Ok((Outcome::Refused(error.of_finish(&new.name)), false));
            }
            other => other?,
        };
        let [kept, coming] = [&there, new].map(|f| f.readings.first().map(ReadingFile::identity));
        if kept != coming {
            let name = new.name.clone();
            let refused = unfit(&place.join(FINISH), Unfit::NameTaken { name });
            return Ok((Outcome::Refused(refused), false));
        }
        let comes = new.photo.as_ref().is_some_and(|p| p.file.is_some());
        let brings = comes && there.photo.is_none() && there.photo_digest == new.photo_digest;
        let bare = |f: &FinishFile| {
            let mut value = serde_json::to_value(f).unwrap_or_default();
            value["schema"].take();
            if let Some(photo) = value.get_mut("photo") {
                photo.take();
            }
            for reading in value["readings"].as_array_mut().into_iter().flatten() {
                for picture in ["silver_map", "picture", "colour"] {
                    if let Some(file) = reading.get_mut(picture).and_then(|p| p.get_mut("file")) {
                        file.take();
                    }
                }
            }
            value
        };
        let outcome = if bare(&there) == bare(new) {
            Outcome::There
        } else {
            Outcome::ThereOtherwise
        };
        Ok((outcome, brings))
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

/// A sample whose limit piece is refused cannot be what was signed; others may lean on it in turn.
fn refuse_without_limit_pieces(came: &mut [Coming], kept: &[String]) {
    let kept: BTreeSet<&String> = kept.iter().collect();
    loop {
        let coming: BTreeSet<String> = came
            .iter()
            .filter(|one| one.is_new())
            .map(|one| one.name.clone())
            .collect();
        let mut changed = false;
        for one in came.iter_mut().filter(|one| one.is_new()) {
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

/// Keeps the photo of a finish, where it came with it.
fn keep_photo(writing: &Writing<'_>, id: i64, looked: &Looked) -> Result<()> {
    match looked.finish.photo.as_ref().filter(|p| p.file.is_some()) {
        Some(photo) => finish::add_photo(writing, id, &looked.row(), looked.bytes(photo)),
        None => Ok(()),
    }
}

/// Keeps a finish that was looked at, all but what was signed.
fn keep(writing: &Writing<'_>, looked: &Looked) -> Result<()> {
    let f = &looked.finish;
    let id = finish::add(writing, &looked.row())?;
    let bytes = |file: &FileRef| looked.bytes(file);
    for r in &f.readings {
        let text = reading::Text {
            read_at: &r.read_at,
            source: r.source,
            fingerprint: r.fingerprint.get(),
            silver_map: bytes(&r.silver_map),
            picture: bytes(&r.picture),
            colour: r.colour.as_ref().map(bytes),
        };
        reading::add(writing, id, &f.name, &text)?;
    }
    keep_photo(writing, id, looked)?;
    for r in &f.recipes {
        recipe::add(writing, id, r.recipe.get())?;
    }
    for d in &f.decisions {
        overruling::add(
            writing,
            &Overruling {
                made_at: d.made_at.clone(),
                sample: f.name.clone(),
                panel: d.panel.clone(),
                photo_digest: d.photo_digest.clone(),
                found: d.found,
                decided: d.decided,
                reason: d.reason.clone(),
                question: d.question.clone(),
            },
        )?;
    }
    Ok(())
}

fn sign(writing: &Writing<'_>, name: &str, approval: ApprovalFile) -> Result<()> {
    finish::sign(
        writing,
        name,
        &approval.approved_at,
        &Signing {
            allowances: approval.allowances,
            light: approval.light,
            dark: approval.dark,
            variety: approval.variety,
        },
    )
}
