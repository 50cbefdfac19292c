//! How a kept finish was made: looked up, and written down.

use super::Studio;
use crate::archive::{Listed, Recipe};
use crate::error::{Error, Result};
use crate::fingerprint::Fingerprint;

/// A kept finish with all that was written of how it was made.
pub struct Made {
    /// The finish.
    pub finish: Listed,
    /// Its reading; `None` where it is of another version, or damaged.
    pub fingerprint: Option<Fingerprint>,
    /// The recipes, the earliest first: the last one holds.
    pub recipes: Vec<Recipe>,
}

impl Made {
    /// The recipe that holds, where there is one.
    #[must_use]
    pub fn recipe(&self) -> Option<&Recipe> {
        self.recipes.last()
    }
}

/// Looks it up.
///
/// # Errors
/// There is no such finish.
pub fn look_up(name: &str, studio: &mut Studio<'_>) -> Result<Made> {
    let archive = studio.archive()?;
    let listed = archive.listed_named(name)?;
    let name = listed.name.as_str();
    let mut recipes = Vec::new();
    for recipe in archive.recipes_of(name)? {
        recipes.extend(studio.sound(recipe)?);
    }
    let finish = match archive.finish(name) {
        Err(Error::FingerprintVersion { .. }) => None,
        other => studio.sound(other)?.flatten(),
    };
    Ok(Made {
        fingerprint: finish.map(|finish| finish.fingerprint),
        finish: listed,
        recipes,
    })
}

/// Writes a recipe down as of now, unless it says what is written already. Whether it was written.
///
/// # Errors
/// Nothing is said in it; a text or a figure cannot be; the archive cannot be written.
pub fn write_down(recipe: Recipe, made: &mut Made, studio: &Studio<'_>) -> Result<bool> {
    if recipe.is_empty() {
        return Err(Error::RecipeEmpty);
    }
    let dated = |written_at| Recipe {
        written_at,
        ..recipe.clone()
    };
    let says_as_much = |before: &Recipe| dated(before.written_at.clone()) == *before;
    if made.recipe().is_some_and(says_as_much) {
        return Ok(false);
    }
    let recipe = dated((studio.now)());
    let mut archive = studio.archive()?;
    archive.write_recipe(&made.finish.name, &recipe)?;
    made.recipes.push(recipe);
    Ok(true)
}
