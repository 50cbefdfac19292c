//! Reading a finish that comes from elsewhere, and refusing what cannot be.

use std::collections::BTreeMap;
use std::path::Path;

use super::super::super::finish::Row;
use super::super::super::reading::{self, Facts};
use super::super::super::recipe::Recipe;
use super::super::super::{digest, fit_name, fits_line, fits_time, picture};
use super::super::bounded::{
    MOST_NOTES, MOST_PHOTO, MOST_PICTURE, MOST_PICTURES, MOST_READINGS, MOST_RECIPES, inside, json,
    read, unfit,
};
use super::super::finish_file::{FileRef, FinishFile, ReadingFile};
use super::super::{FINISH, SCHEMA};
use crate::error::{Result, Unfit};
use crate::fingerprint::metric::metric;
use crate::fingerprint::{Fingerprint, VERSION};

/// Longest file name of a photo, characters: more than any system has.
const LONGEST_FILE_NAME: usize = 1024;

/// A finish with its files, looked at.
pub(super) struct Looked {
    pub(super) finish: FinishFile,
    /// By file name.
    pub(super) files: BTreeMap<String, Vec<u8>>,
}

impl Looked {
    /// The finish without what belongs to it.
    pub(super) fn row(&self) -> Row<'_> {
        let f = &self.finish;
        Row {
            name: &f.name,
            kept_at: &f.kept_at,
            photo_name: &f.photo_name,
            photo_digest: &f.photo_digest,
            notes: &f.notes,
        }
    }

    /// The bytes of a file of it.
    pub(super) fn bytes(&self, file: &FileRef) -> &[u8] {
        let name = file.file.as_deref().unwrap_or_default();
        self.files.get(name).map_or(&[], Vec::as_slice)
    }
}

/// Reads a finish with its files, and refuses what cannot be.
pub(super) fn look(place: &Path) -> Result<Looked> {
    let is_folder = std::fs::symlink_metadata(place).is_ok_and(|facts| facts.is_dir());
    if !is_folder {
        return Err(unfit(place, Unfit::NotPlain));
    }
    let path = place.join(FINISH);
    let finish: FinishFile = json(&path)?;
    let refuse = |why| Err(unfit(&path, why));
    if finish.schema > SCHEMA {
        return refuse(Unfit::Newer {
            found: finish.schema,
            newest: SCHEMA,
        });
    }
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
        let text = recipe.recipe.get();
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
        let text = reading.fingerprint.get();
        if digest(text.as_bytes()) != reading.fingerprint_digest {
            return refuse(Unfit::Changed);
        }
        if !is_sound(reading, &finish) {
            return refuse(Unfit::Reading);
        }
        let mut map = (0, 0);
        for of in [&reading.silver_map, &reading.picture]
            .into_iter()
            .chain(&reading.colour)
        {
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
    if let Some(photo) = finish.photo.as_ref().filter(|p| p.file.is_some()) {
        let (file, bytes) = beside(place, photo, MOST_PHOTO)?;
        if photo.digest != finish.photo_digest {
            return refuse(Unfit::Changed);
        }
        files.insert(file, bytes);
    }
    Ok(Looked { finish, files })
}

/// The reading hangs together, and is of the photo that the finish names; of another version only what every version says.
fn is_sound(reading: &ReadingFile, finish: &FinishFile) -> bool {
    let text = reading.fingerprint.get();
    match Facts::of(text) {
        Some(facts) if facts.version == VERSION => serde_json::from_str::<Fingerprint>(text)
            .is_ok_and(|f| f.is_sound() && f.provenance.photo_digest == finish.photo_digest),
        facts => facts.is_some(),
    }
}

/// The bytes of a file beside, held against their digest.
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

/// The first text that cannot stand where it stands.
fn unfit_text(finish: &FinishFile) -> Option<&'static str> {
    let line = |text: &str| fit_name(text).is_ok();
    let file_name = |text: &str| fits_line(text, LONGEST_FILE_NAME);
    let notes = |text: &str| {
        text.chars().count() <= MOST_NOTES
            && text
                .chars()
                .all(|c| !c.is_control() || matches!(c, '\n' | '\r' | '\t'))
    };
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
    if let Some(a) = &finish.approval {
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
