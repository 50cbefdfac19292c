//! Reading a finish of an export with its files, and checking all of it.

use std::collections::BTreeMap;
use std::path::Path;

use super::super::super::file::FileRef;
use super::super::super::kept::KeptFinish;
use super::super::super::reading::{self, Facts};
use super::super::super::recipe::Recipe;
use super::super::super::text::{fit_name, fits_line, fits_time, lines};
use super::super::super::{Change, KeptReading, Signature, digest, picture};
use super::super::FINISH;
use super::bounded::{
    MOST_NOTES, MOST_PHOTO, MOST_PICTURE, MOST_PICTURES, MOST_READINGS, MOST_RECIPES, inside, json,
    read, unfit,
};
use crate::error::{Result, Unfit};
use crate::fingerprint::metric::metric;
use crate::fingerprint::{Fingerprint, VERSION};

/// Longest file name of a photo, characters: more than any system has.
const LONGEST_FILE_NAME: usize = 1024;

/// A finish of an export with its files, all of it checked.
pub(super) struct Checked {
    pub(super) finish: KeptFinish,
    /// By file name.
    files: BTreeMap<String, Vec<u8>>,
}

impl Checked {
    pub(super) fn bytes(&self, file: &FileRef) -> &[u8] {
        let name = file.file.as_deref().unwrap_or_default();
        self.files.get(name).map_or(&[], Vec::as_slice)
    }
}

/// Reads a finish with its files, and refuses it where something is wrong with it.
pub(super) fn check(place: &Path) -> Result<Checked> {
    let is_folder = std::fs::symlink_metadata(place).is_ok_and(|facts| facts.is_dir());
    if !is_folder {
        return Err(unfit(place, Unfit::NotPlain));
    }
    let path = place.join(FINISH);
    let mut finish: KeptFinish = json(&path)?;
    for decision in &mut finish.decisions {
        decision.sample.clone_from(&finish.name);
    }
    let refuse = |why| Err(unfit(&path, why));
    if let Some(field) = unfit_text(&finish) {
        return refuse(Unfit::Text { field });
    }
    if finish.readings.is_empty() || finish.readings.len() > MOST_READINGS {
        return refuse(Unfit::Readings);
    }
    if finish.recipes.len() > MOST_RECIPES {
        return refuse(Unfit::Recipe);
    }
    for recipe in &finish.recipes {
        let text = &recipe.recipe;
        if digest(text.as_bytes()) != recipe.recipe_digest {
            return refuse(Unfit::Changed);
        }
        let sound = serde_json::from_str::<Recipe>(text).is_ok_and(|r| r.check().is_ok());
        if !sound {
            return refuse(Unfit::Recipe);
        }
    }
    let mut files = BTreeMap::new();
    for reading in &finish.readings {
        let text = &reading.fingerprint;
        if digest(text.as_bytes()) != reading.fingerprint_digest {
            return refuse(Unfit::Changed);
        }
        if !is_sound(reading, &finish) {
            return refuse(Unfit::Reading);
        }
        let mut map = (0, 0);
        for of in reading.files() {
            let (file, bytes) = beside(place, of, MOST_PICTURE)?;
            let no_picture = |detail| unfit(&place.join(&file), Unfit::NoPicture { detail });
            let (width, height) = picture::check(&bytes).map_err(|e| no_picture(e.to_string()))?;
            if !picture::ends(&bytes) {
                return Err(no_picture("something follows its end".to_owned()));
            }
            let fits = if of == &reading.silver_map {
                map = (width, height);
                reading::fits_map(text, width, height)
            } else {
                reading.colour.as_ref() != Some(of) || picture::fits_colour(map, (width, height))
            };
            if !fits {
                let found = format!("{width} x {height} pixels");
                return Err(unfit(&place.join(&file), Unfit::MapSize { found }));
            }
            files.insert(file, bytes);
            if files.values().map(|b| b.len() as u64).sum::<u64>() > MOST_PICTURES {
                let most = MOST_PICTURES;
                return refuse(Unfit::TooLarge { most });
            }
        }
    }
    if let Some(photo) = finish.photo_beside() {
        let (file, bytes) = beside(place, photo, MOST_PHOTO)?;
        if photo.digest != finish.photo_digest {
            return refuse(Unfit::Changed);
        }
        files.insert(file, bytes);
    }
    Ok(Checked { finish, files })
}

/// Whether a reading is sound and of the photo that the finish names; of another version, whether it has what every version has.
fn is_sound(reading: &KeptReading, finish: &KeptFinish) -> bool {
    let text = &reading.fingerprint;
    match Facts::of(text) {
        Some(facts) if facts.version == VERSION => serde_json::from_str::<Fingerprint>(text)
            .is_ok_and(|f| f.is_sound() && f.provenance.photo_digest == finish.photo_digest),
        facts => facts.is_some(),
    }
}

/// The name and the bytes of a file beside `finish.json`, checked against their digest.
fn beside(place: &Path, file: &FileRef, most: u64) -> Result<(String, Vec<u8>)> {
    let name = file.file.clone().unwrap_or_default();
    let path = inside(place, &name)?;
    let bytes = read(&path, most)?;
    if digest(&bytes) == file.digest {
        Ok((name, bytes))
    } else {
        Err(unfit(&path, Unfit::Changed))
    }
}

/// The key of the first text that cannot be used.
fn unfit_text(finish: &KeptFinish) -> Option<&'static str> {
    let line = |text: &str| fit_name(text).is_ok();
    let file_name = |text: &str| fits_line(text, LONGEST_FILE_NAME);
    let notes = |text: &str| text.chars().count() <= MOST_NOTES && lines(text) == text;
    let mut checks = vec![
        ("name", line(&finish.name)),
        ("kept_at", fits_time(&finish.kept_at)),
        ("photo_name", file_name(&finish.photo_name)),
        ("photo_digest", line(&finish.photo_digest)),
        ("notes", notes(&finish.notes)),
    ];
    for reading in &finish.readings {
        checks.push(("read_at", fits_time(&reading.read_at)));
    }
    for d in &finish.decisions {
        checks.push(("made_at", fits_time(&d.made_at)));
        checks.push(("panel", file_name(&d.panel)));
        checks.push(("photo_digest", line(&d.photo_digest)));
        checks.push(("reason", notes(&d.reason)));
        checks.push(("question", d.question.as_deref().is_none_or(line)));
    }
    for tag in &finish.tags {
        checks.push(("tags", line(tag)));
    }
    let tags = finish
        .tags
        .iter()
        .collect::<std::collections::BTreeSet<_>>();
    checks.push(("tags", tags.len() == finish.tags.len()));
    checks.push(("changes", finish.changes.iter().all(Change::is_sound)));
    if let Some(removed) = &finish.removed {
        checks.push((
            "removed",
            line(&removed.name) && fits_time(&removed.removed_at),
        ));
        // What is signed is never in the bin.
        checks.push(("removed", finish.approval.is_none()));
    }
    if let Some(a) = &finish.approval {
        let signature = |s: &Signature| line(&s.by) && fits_time(&s.at);
        checks.push(("signature", a.signature.as_ref().is_none_or(signature)));
        checks.push(("approved_at", fits_time(&a.approved_at)));
        let allowance = |(key, figure): (&String, &f64)| {
            metric(key).is_some() && figure.is_finite() && *figure > 0.0
        };
        checks.push(("allowances", a.allowances.iter().all(allowance)));
    }
    checks
        .into_iter()
        .find(|(_, fits)| !fits)
        .map(|(field, _)| field)
}
