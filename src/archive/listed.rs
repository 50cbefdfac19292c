//! Lists of finishes of whatever version. No reading is opened, so that ten thousand are listed at once.

use rusqlite::Row;

use super::Archive;
use super::name::is_alike;
use super::text::Json;
use crate::error::Result;

/// A finish in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// The studio's name for it.
    pub name: String,
    /// When it was kept, RFC 3339.
    pub kept_at: String,
    /// When it was approved, where it is an approved sample.
    pub approved_at: Option<String>,
    /// File name of the photo.
    pub photo_name: String,
    /// Version of the measures its reading was made by.
    pub version: u32,
    /// Silver left, where that was measured.
    pub coverage: Option<f64>,
    /// Aggressiveness, where that was measured.
    pub aggressiveness: Option<f64>,
    /// Anything the maker wrote.
    pub notes: String,
    /// It has a recipe.
    pub has_recipe: bool,
    /// Words it is sorted by.
    pub tags: Vec<String>,
}

impl Listed {
    /// Whether it has a tag; capitals and spaces do not matter.
    #[must_use]
    pub fn has_tag(&self, tag: &str) -> bool {
        self.tags.iter().any(|own| is_alike(own, tag))
    }
}

impl Archive {
    /// All finishes but those in the bin, the oldest first.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn listed(&self) -> Result<Vec<Listed>> {
        let all = concat!(include_str!("sql/list_finishes.sql"), "ORDER BY finish.id");
        self.read(|file| file.prepare_cached(all)?.query_map([], listed)?.collect())
    }

    /// A finish as it is listed.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be read.
    pub fn listed_named(&self, name: &str) -> Result<Listed> {
        self.listed_as(name)?.ok_or_else(|| self.not_kept(name))
    }

    /// A finish as it is listed, where there is one of that name.
    pub(super) fn listed_as(&self, name: &str) -> Result<Option<Listed>> {
        let Some(name) = self.kept_as(name)? else {
            return Ok(None);
        };
        let one = concat!(
            include_str!("sql/list_finishes.sql"),
            "AND finish.name = ?1"
        );
        self.one(one, &name, listed)
    }
}

fn listed(row: &Row<'_>) -> rusqlite::Result<Listed> {
    let Json(tags) = row.get("tags")?;
    Ok(Listed {
        name: row.get("name")?,
        kept_at: row.get("kept_at")?,
        approved_at: row.get("approved_at")?,
        photo_name: row.get("photo_name")?,
        version: row.get("version")?,
        coverage: row.get("coverage")?,
        aggressiveness: row.get("aggressiveness")?,
        notes: row.get("notes")?,
        has_recipe: row.get("has_recipe")?,
        tags,
    })
}
