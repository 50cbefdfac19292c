//! Recipes in the archive. One written again is one more; the latest holds.

use rusqlite::{Row, params};

use super::Recipe;
use crate::archive::{Archive, Writing, damaged, digest};
use crate::error::Result;

/// A recipe as it is kept.
#[derive(Debug, Clone)]
pub(in crate::archive) struct KeptRecipe {
    /// When it was written down, RFC 3339.
    pub(in crate::archive) written_at: String,
    /// Digest of its text when it was kept.
    pub(in crate::archive) digest: String,
    /// Its text, JSON.
    pub(in crate::archive) text: String,
}

impl KeptRecipe {
    /// It is what was kept.
    pub(in crate::archive) fn is_unchanged(&self) -> bool {
        digest(self.text.as_bytes()) == self.digest
    }

    /// The recipe, where the text is one and was written when it says.
    pub(in crate::archive) fn read(&self) -> Option<Recipe> {
        let recipe: Recipe = serde_json::from_str(&self.text).ok()?;
        (recipe.written_at == self.written_at && recipe.check().is_ok()).then_some(recipe)
    }
}

impl Archive {
    /// The recipe of a finish that holds, or none.
    ///
    /// # Errors
    /// There is no such finish; the recipe is no longer what was kept; the archive cannot be read.
    pub fn recipe(&self, finish: &str) -> Result<Option<Recipe>> {
        self.recipes_of(finish)?.pop().transpose()
    }

    /// All recipes of a finish, the earliest first: the last one holds. One that is no longer what was kept is an error.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be read.
    pub fn recipes_of(&self, finish: &str) -> Result<Vec<Result<Recipe>>> {
        let kept = self.kept_recipes(finish)?;
        Ok(kept.iter().map(|one| self.recipe_of(finish, one)).collect())
    }

    /// The recipe that holds of each finish that has one, with the finish's name, the oldest finish first. One that is no longer
    /// what was kept is an error.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn recipes(&self) -> Result<Vec<(String, Result<Recipe>)>> {
        let named = |row: &Row<'_>| Ok((row.get::<_, String>("name")?, kept(row)?));
        let all: Vec<(String, KeptRecipe)> = self.read(|file| {
            file.prepare_cached(include_str!("../sql/latest_recipes.sql"))?
                .query_map([], named)?
                .collect()
        })?;
        let read = |(name, one): (String, KeptRecipe)| {
            let recipe = self.recipe_of(&name, &one);
            (name, recipe)
        };
        Ok(all.into_iter().map(read).collect())
    }

    /// Keeps a recipe beside a finish; from then on it holds, and those before stay. When this returns, it is on disk.
    ///
    /// # Errors
    /// There is no such finish; a text or a figure cannot be; the archive cannot be written.
    pub fn write_recipe(&mut self, finish: &str, recipe: &Recipe) -> Result<()> {
        recipe.check()?;
        let text = serde_json::to_string(recipe).map_err(|e| self.damaged(&e))?;
        self.write(|writing| {
            let id = writing.id_named(finish)?;
            add(writing, id, &text)
        })
    }

    /// As they are kept, the earliest first.
    pub(in crate::archive) fn kept_recipes(&self, finish: &str) -> Result<Vec<KeptRecipe>> {
        self.row_of(finish)?;
        self.read_of(finish, |file| {
            file.prepare_cached(include_str!("../sql/get_recipes.sql"))?
                .query_map([finish], kept)?
                .collect()
        })
    }

    fn recipe_of(&self, finish: &str, kept: &KeptRecipe) -> Result<Recipe> {
        if !kept.is_unchanged() {
            return Err(self.changed(finish));
        }
        kept.read()
            .ok_or_else(|| self.damaged(&format!("the recipe of `{finish}`")))
    }
}

/// Adds the text of a recipe to a finish.
pub(in crate::archive) fn add(writing: &Writing<'_>, finish: i64, text: &str) -> Result<()> {
    let recipe: Recipe = serde_json::from_str(text).map_err(|e| damaged(writing.path, &e))?;
    writing.run(
        include_str!("../sql/add_recipe.sql"),
        params![finish, recipe.written_at, digest(text.as_bytes()), text],
    )?;
    Ok(())
}

fn kept(row: &Row<'_>) -> rusqlite::Result<KeptRecipe> {
    Ok(KeptRecipe {
        written_at: row.get("written_at")?,
        digest: row.get("digest")?,
        text: row.get("recipe")?,
    })
}
