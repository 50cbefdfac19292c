//! What is usual in the studio: what holds where neither a job nor anything typed says otherwise; and which job is current.

use rusqlite::Connection;
use serde::{Deserialize, Serialize};

use super::text::fits_line;
use super::{Archive, Writing};
use crate::error::{Error, Result};
use crate::frame::placement::{Side, Stage};

/// The key of the current job's name.
pub(super) const CURRENT: &str = "job";

/// Longest text of a default, characters.
const LONGEST_TEXT: usize = 1000;

/// What is usual; `None` where nothing was said.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Usual {
    /// Name of the rig that photos are taken in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rig: Option<String>,
    /// How far the work has gone when panels are photographed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stage: Option<Stage>,
    /// The side that faces the camera then.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// The paper that sheets are printed on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub paper: Option<UsualPaper>,
    /// What sizes are said in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub units: Option<LengthUnit>,
    /// The folder that the camera's photos come into.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub camera_folder: Option<String>,
}

/// Paper that sheets are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum UsualPaper {
    /// 210 x 297 mm.
    A4,
    /// 8.5 x 11 in.
    Letter,
}

/// What sizes are said in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LengthUnit {
    /// Millimetres.
    Mm,
    /// Inches.
    In,
}

impl Usual {
    /// Whether all of it can be shown and used.
    pub(super) fn is_sound(&self) -> bool {
        let texts = [&self.rig, &self.camera_folder];
        texts
            .into_iter()
            .flatten()
            .all(|text| fits_line(text, LONGEST_TEXT))
    }
}

/// All of it as it is kept.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Kept {
    pub(super) current: Option<String>,
    pub(super) usual: Usual,
}

impl Archive {
    /// What is usual in the studio.
    ///
    /// # Errors
    /// It is not what was kept; the archive cannot be read.
    pub fn usual(&self) -> Result<Usual> {
        Ok(self.kept_usual()?.usual)
    }

    /// Writes down what is usual from now on, in place of what was.
    ///
    /// # Errors
    /// A text cannot be shown in a line; the archive cannot be written.
    pub fn set_usual(&mut self, usual: &Usual) -> Result<()> {
        if !usual.is_sound() {
            return Err(Error::UsualUnfit);
        }
        self.write(|writing| store(writing, usual))
    }

    pub(super) fn current_name(&self) -> Result<Option<String>> {
        Ok(self.kept_usual()?.current)
    }

    pub(super) fn kept_usual(&self) -> Result<Kept> {
        let found = self.read(kept)?;
        found.ok_or_else(|| Error::UsualUnreadable {
            path: self.path.clone(),
        })
    }
}

/// What is kept; `None` where it is not what was written.
pub(super) fn kept(connection: &Connection) -> rusqlite::Result<Option<Kept>> {
    let row = |row: &rusqlite::Row<'_>| {
        let (key, value): (String, String) = (row.get("key")?, row.get("value")?);
        Ok((key, value, row.get::<_, bool>("unchanged")?))
    };
    let rows: Vec<(String, String, bool)> = connection
        .prepare_cached(include_str!("sql/get_defaults.sql"))?
        .query_map([], row)?
        .collect::<rusqlite::Result<_>>()?;
    let read = || {
        let mut kept = Kept::default();
        let mut all = serde_json::Map::new();
        for (key, value, unchanged) in rows {
            let value: serde_json::Value = unchanged
                .then(|| serde_json::from_str(&value).ok())
                .flatten()?;
            if key == CURRENT {
                kept.current = Some(value.as_str()?.to_owned());
            } else {
                all.insert(key, value);
            }
        }
        kept.usual = serde_json::from_value(all.into()).ok()?;
        kept.usual.is_sound().then_some(kept)
    };
    Ok(read())
}

/// Writes down what is usual; which job is current stays.
pub(super) fn store(writing: &Writing<'_>, usual: &Usual) -> Result<()> {
    writing.run("DELETE FROM studio_default WHERE key <> ?1", [CURRENT])?;
    let all = serde_json::to_value(usual).map_err(|e| super::damaged(writing.path, &e))?;
    for (key, value) in all.as_object().into_iter().flatten() {
        set(writing, key, value)?;
    }
    Ok(())
}

/// Gives the usual rig another name, where it is this one.
pub(super) fn name_rig(writing: &Writing<'_>, old: &str, new: &str) -> Result<()> {
    let there = kept(&writing.all).map_err(writing.sql())?;
    let Some(there) = there.filter(|kept| kept.usual.rig.as_deref() == Some(old)) else {
        return Ok(());
    };
    let rig = Some(new.to_owned());
    store(writing, &Usual { rig, ..there.usual })
}

/// Writes down one text.
pub(super) fn say(writing: &Writing<'_>, key: &str, text: &str) -> Result<()> {
    set(writing, key, &text.into())
}

fn set(writing: &Writing<'_>, key: &str, value: &serde_json::Value) -> Result<()> {
    writing.run(
        include_str!("sql/set_default.sql"),
        [key, &value.to_string()],
    )?;
    Ok(())
}

/// Takes one text away.
pub(super) fn forget(writing: &Writing<'_>, key: &str) -> Result<()> {
    writing.run("DELETE FROM studio_default WHERE key = ?1", [key])?;
    Ok(())
}
