//! Out: a finish, the rigs and the ladders as the files they become.

use std::collections::BTreeMap;

use serde_json::value::RawValue;

use super::super::{Archive, line, lines};
use super::finish_file::{DecisionFile, FileRef, FinishFile, ReadingFile, RecipeFile};
use super::{COLOUR, FINISH, PICTURE, SCHEMA, SILVER, plain};
use crate::error::Result;

/// Longest ending of a photo's file name that is kept.
const LONGEST_ENDING: usize = 5;

/// A finish as plain files.
pub struct Leaf {
    /// What is known of it.
    pub finish: FinishFile,
    /// The files by name, `finish.json` among them.
    pub files: Vec<(String, Vec<u8>)>,
    /// A photo was kept with it but stays in the archive.
    pub photo_stays: bool,
}

impl Archive {
    /// A finish as plain files.
    ///
    /// # Errors
    /// There is no such finish, or something of it is damaged; the archive cannot be read.
    pub fn leaf(&self, name: &str, with_photo: bool) -> Result<Leaf> {
        let mut files = Vec::new();
        let mut finish = self.finish_file(name)?;
        self.name_pictures(&mut finish, &mut files)?;
        let mut photo_stays = false;
        if let Some(photo) = &mut finish.photo {
            if with_photo {
                let file = photo_file(&finish.photo_name);
                files.push((file.clone(), self.bytes(&photo.digest, name)?));
                photo.file = Some(file);
            } else {
                photo_stays = true;
            }
        }
        let text = finish.text().map_err(|e| self.damaged(&e))?;
        files.push((FINISH.to_owned(), text));
        Ok(Leaf {
            finish,
            files,
            photo_stays,
        })
    }

    /// Gives each picture a file; one that several readings share is written once, under the latest one's name.
    fn name_pictures(
        &self,
        finish: &mut FinishFile,
        files: &mut Vec<(String, Vec<u8>)>,
    ) -> Result<()> {
        let readings = finish.readings.len();
        let mut named: BTreeMap<(&str, String), String> = BTreeMap::new();
        for (before, reading) in finish.readings.iter_mut().enumerate().rev() {
            let number = before + 1;
            let earlier = if number == readings {
                String::new()
            } else {
                format!("-{number}")
            };
            let pictures = [
                (Some(&mut reading.silver_map), SILVER),
                (Some(&mut reading.picture), PICTURE),
                (reading.colour.as_mut(), COLOUR),
            ];
            for (picture, what) in pictures {
                let Some(picture) = picture else { continue };
                let of = (what, picture.digest.clone());
                if !named.contains_key(&of) {
                    let file = format!("{what}{earlier}.png");
                    files.push((file.clone(), self.bytes(&picture.digest, &finish.name)?));
                    named.insert(of.clone(), file);
                }
                picture.file = named.get(&of).cloned();
            }
        }
        Ok(())
    }

    /// What is known of a finish; the files have no names yet.
    pub(super) fn finish_file(&self, name: &str) -> Result<FinishFile> {
        let row = self.row_of(name)?;
        if !row.unchanged {
            return Err(self.changed(name));
        }
        let readings = self.readings(name)?;
        let mut as_files = Vec::new();
        for reading in readings {
            if !reading.is_unchanged() {
                return Err(self.changed(name));
            }
            let digest_only = |digest| FileRef { file: None, digest };
            as_files.push(ReadingFile {
                read_at: reading.read_at,
                source: reading.source,
                silver_map: digest_only(reading.silver_map),
                picture: digest_only(reading.picture),
                colour: reading.colour.map(digest_only),
                fingerprint_digest: reading.fingerprint_digest,
                fingerprint: RawValue::from_string(reading.fingerprint)
                    .map_err(|e| self.damaged(&e))?,
            });
        }
        let decisions = self
            .overrulings_beside(name)?
            .into_iter()
            .map(|o| DecisionFile {
                made_at: o.made_at,
                panel: line(&o.panel),
                photo_digest: o.photo_digest,
                found: o.found,
                decided: o.decided,
                reason: lines(&o.reason),
                question: o.question,
            });
        let mut recipes = Vec::new();
        for recipe in self.kept_recipes(name)? {
            if !recipe.is_unchanged() {
                return Err(self.changed(name));
            }
            recipes.push(RecipeFile {
                recipe_digest: recipe.digest,
                recipe: RawValue::from_string(recipe.text).map_err(|e| self.damaged(&e))?,
            });
        }
        Ok(FinishFile {
            schema: SCHEMA,
            name: name.to_owned(),
            kept_at: row.kept_at,
            // An older archive may hold what cannot be shown, and would not be let back in.
            photo_name: line(&row.photo_name),
            photo_digest: row.photo_digest,
            photo: row.photo.map(|digest| FileRef { file: None, digest }),
            notes: lines(&row.notes),
            approval: self.approval(name)?.map(Into::into),
            decisions: decisions.collect(),
            recipes,
            readings: as_files,
        })
    }
}

/// The photo's file: what can be read of its name, with its ending.
fn photo_file(photo_name: &str) -> String {
    let (stem, ending) = photo_name.rsplit_once('.').unwrap_or((photo_name, ""));
    let stem = plain(stem, super::READABLE);
    if ending.is_empty() {
        format!("photo-{stem}")
    } else {
        format!("photo-{stem}.{}", plain(ending, LONGEST_ENDING))
    }
}
