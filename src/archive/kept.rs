//! A finish with all that belongs to it, as it is read from the archive, written to it, and exported as `finish.json`.

use rusqlite::{Row, params};
use serde::{Deserialize, Serialize};

use super::file::{self, FileRef};
use super::text::{line, lines};
use super::{Approval, Archive, Change, KeptReading, Overruling, Removed, Writing};
use super::{bin, change, note, overruling, reading, recipe};
use crate::error::{Error, Result};

/// Version of the form of exported files. Since 2 a finish may have recipes, since 3 a rig earlier ones, since 4 a reading its
/// colour and a decision its question, since 5 a finish its tags, its signature, its changes and its place in the bin; files of an
/// older form are imported as they are.
pub(super) const SCHEMA: u32 = 5;

/// A kept finish with all that belongs to it; its readings may be of any version.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptFinish {
    /// Version of the form.
    pub(super) schema: u32,
    /// The studio's name for the finish.
    pub name: String,
    /// When it was kept, RFC 3339.
    pub kept_at: String,
    /// File name of the photo.
    pub photo_name: String,
    /// Digest of the photo's file.
    pub(super) photo_digest: String,
    /// The photo's file, where it was kept.
    pub(super) photo: Option<FileRef>,
    /// Anything the maker wrote.
    pub notes: String,
    /// Words it is sorted by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) tags: Vec<String>,
    /// Where it is in the bin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub removed: Option<Removed>,
    /// What was changed of it, the oldest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) changes: Vec<Change>,
    /// What was signed, where it is an approved sample.
    pub(super) approval: Option<Approval>,
    /// What the maker decided about panels beside it, the oldest first.
    pub(super) decisions: Vec<Overruling>,
    /// Its recipes, the earliest first; the last one holds.
    #[serde(default)]
    pub(super) recipes: Vec<RecipeText>,
    /// Its readings, the earliest first; the last one holds.
    pub readings: Vec<KeptReading>,
}

/// A recipe as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RecipeText {
    /// Digest of the recipe's text.
    pub(super) recipe_digest: String,
    #[serde(with = "super::raw")]
    pub(super) recipe: String,
}

impl KeptFinish {
    /// The names of its limit pieces.
    #[must_use]
    pub fn limit_pieces(&self) -> Vec<String> {
        let pieces = self.approval.iter().flat_map(|a| [&a.light, &a.dark]);
        pieces.flatten().cloned().collect()
    }

    /// The text of the fingerprint that holds.
    #[must_use]
    pub fn fingerprint(&self) -> Option<&str> {
        self.readings.last().map(|r| r.fingerprint.as_str())
    }

    /// The photo's file, where it came with the finish.
    pub(super) fn photo_beside(&self) -> Option<&FileRef> {
        self.photo.as_ref().filter(|photo| photo.file.is_some())
    }

    /// Whether two forms of a finish say the same, however their files are named and whether or not the photo came with them.
    pub(super) fn says_the_same(&self, other: &Self) -> bool {
        let [own, others] = [self, other].map(|finish| {
            let mut finish = finish.clone();
            (finish.schema, finish.photo) = (SCHEMA, None);
            let files = finish.readings.iter_mut().flat_map(KeptReading::files_mut);
            files.for_each(|file| file.file = None);
            finish
        });
        own == others
    }

    /// Adds the finish, all but what was signed and the photo. The files of its pictures are kept already.
    pub(super) fn add(&self, writing: &Writing<'_>) -> Result<()> {
        if writing.id_of(&self.name)?.is_some() {
            return Err(Error::NameTaken {
                name: self.name.clone(),
                path: writing.path.to_owned(),
            });
        }
        writing.run(
            include_str!("sql/add_finish.sql"),
            params![
                self.name,
                self.kept_at,
                self.photo_name,
                self.photo_digest,
                self.notes
            ],
        )?;
        let id = writing.all.last_insert_rowid();
        for reading in &self.readings {
            reading::add(writing, id, &self.name, reading)?;
        }
        for recipe in &self.recipes {
            recipe::add(writing, id, &recipe.recipe)?;
        }
        for tag in &self.tags {
            note::add_tag(writing, id, tag)?;
        }
        for change in &self.changes {
            change::add(writing, Some(id), change)?;
        }
        if let Some(removed) = &self.removed {
            bin::add(writing, id, removed)?;
        }
        self.decisions
            .iter()
            .try_for_each(|decision| overruling::add(writing, decision))
    }

    /// Keeps the photo's file. It must be the very photo that was read.
    pub(super) fn add_photo(&self, writing: &Writing<'_>, bytes: &[u8]) -> Result<()> {
        let id = writing.id_named(&self.name)?;
        let photo = file::add(writing, bytes, &self.name)?;
        if photo.digest != self.photo_digest {
            return Err(Error::PhotoChanged {
                name: self.name.clone(),
            });
        }
        writing.run(
            "INSERT INTO photo (finish_id, digest) VALUES (?1, ?2)",
            params![id, photo.digest],
        )?;
        Ok(())
    }
}

impl Archive {
    /// A finish with all that belongs to it.
    ///
    /// # Errors
    /// There is no such finish, or something of it has changed; the archive cannot be read.
    pub(super) fn kept(&self, name: &str) -> Result<KeptFinish> {
        let (mut kept, unchanged) = self.row_of(name)?;
        let held = |unchanged: bool| unchanged.then_some(()).ok_or_else(|| self.changed(name));
        held(unchanged)?;
        kept.readings = self.readings(name)?;
        held(kept.readings.iter().all(KeptReading::is_unchanged))?;
        kept.decisions = self.overrulings_beside(name)?;
        for decision in &mut kept.decisions {
            decision.panel = line(&decision.panel);
            decision.reason = lines(&decision.reason);
        }
        for recipe in self.kept_recipes(name)? {
            held(recipe.is_unchanged())?;
            kept.recipes.push(RecipeText {
                recipe_digest: recipe.digest,
                recipe: recipe.text,
            });
        }
        kept.tags = self.tags(name)?;
        kept.changes = self.changes(name)?;
        kept.removed = self.removed(name)?;
        kept.approval = self.approval(name)?;
        Ok(kept)
    }

    /// The row of a finish, without what belongs to it, and whether it matches its checksum.
    pub(super) fn row_of(&self, name: &str) -> Result<(KeptFinish, bool)> {
        let row = |row: &Row<'_>| {
            let photo: Option<String> = row.get("photo")?;
            let kept = KeptFinish {
                schema: SCHEMA,
                name: name.to_owned(),
                kept_at: row.get("kept_at")?,
                // Another program may have written what cannot be shown; an import would refuse it.
                photo_name: line(&row.get::<_, String>("photo_name")?),
                photo_digest: row.get("photo_digest")?,
                photo: photo.map(FileRef::kept),
                notes: lines(&row.get::<_, String>("notes")?),
                ..KeptFinish::default()
            };
            Ok((kept, row.get("unchanged")?))
        };
        self.one(include_str!("sql/get_finish.sql"), name, row)?
            .ok_or_else(|| self.no_such(name))
    }

    /// Keeps the photo of a finish that is kept without. Whether it was not there yet.
    ///
    /// # Errors
    /// There is no such finish; it is not the very photo that was read; the archive cannot be written.
    pub fn add_photo(&mut self, finish: &str, bytes: &[u8]) -> Result<bool> {
        let (kept, _) = self.row_of(finish)?;
        if kept.photo.is_some() {
            return Ok(false);
        }
        self.write(|writing| kept.add_photo(writing, bytes))?;
        Ok(true)
    }

    /// How many bytes the photo of a finish has, where it was kept.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn photo_size(&self, finish: &str) -> Result<Option<u64>> {
        let size = include_str!("sql/get_photo_size.sql");
        let size: Option<i64> = self.one(size, finish, |row| row.get(0))?;
        Ok(size.and_then(|bytes| u64::try_from(bytes).ok()))
    }

    /// The photo's file of a finish, where it was kept.
    ///
    /// # Errors
    /// There is no such finish; the photo is no longer what was kept; the archive cannot be read.
    pub fn photo(&self, finish: &str) -> Result<Option<Vec<u8>>> {
        let (kept, _) = self.row_of(finish)?;
        kept.photo.map(|file| self.bytes(&file, finish)).transpose()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = r#"{
  "schema": 4,
  "name": "bar",
  "kept_at": "2026-01-02T03:04:05Z",
  "photo_name": "bar.jpg",
  "photo_digest": "d",
  "photo": {
    "file": "photo-bar.jpg",
    "digest": "d"
  },
  "notes": "mine",
  "approval": {
    "approved_at": "2026-01-03T03:04:05Z",
    "allowances": {
      "coverage": 0.04
    },
    "light": "pale",
    "dark": null,
    "variety": "slight"
  },
  "decisions": [
    {
      "made_at": "2026-01-04T03:04:05Z",
      "panel": "p.jpg",
      "photo_digest": "e",
      "found": "within",
      "decided": "outside",
      "reason": "so",
      "question": "q"
    }
  ],
  "recipes": [
    {
      "recipe_digest": "r",
      "recipe": {"steps":  []}
    }
  ],
  "readings": [
    {
      "read_at": "2026-01-02T03:04:05Z",
      "source": "photo",
      "silver_map": {
        "file": "silver.png",
        "digest": "m"
      },
      "picture": {
        "file": "picture.png",
        "digest": "t"
      },
      "colour": {
        "file": "colour.png",
        "digest": "c"
      },
      "fingerprint_digest": "f",
      "fingerprint": {"version":2, "coverage":0.750}
    }
  ]
}"#;

    #[test]
    fn a_finish_file_has_its_keys_and_its_raw_texts_byte_for_byte() {
        let kept: KeptFinish = serde_json::from_str(FILE).unwrap();
        assert_eq!(serde_json::to_string_pretty(&kept).unwrap(), FILE);
        assert_eq!(
            kept.fingerprint(),
            Some(r#"{"version":2, "coverage":0.750}"#)
        );
    }

    #[test]
    fn names_of_files_and_the_photo_change_nothing_of_what_a_finish_says() {
        let exported: KeptFinish = serde_json::from_str(FILE).unwrap();
        let mut kept = exported.clone();
        kept.photo = None;
        kept.readings[0].thumbnail.file = None;
        assert!(kept.says_the_same(&exported));
        kept.readings[0].thumbnail.digest.push('x');
        assert!(!kept.says_the_same(&exported));
        kept = exported.clone();
        kept.decisions[0].reason.clear();
        assert!(!kept.says_the_same(&exported));
    }
}
