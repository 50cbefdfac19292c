//! A recipe as a small text: what a card shows, and what can be written by hand.
//!
//! ```text
//! # lines with this sign are for the reader
//! technique: poured still
//! step: attack, 140 s, 30 ml, 21 C, rocked, dried with warm air
//! backing: two coats of black
//! change: stop earlier
//! ```

use super::Recipe;
use super::step::shown;
use crate::error::Unread;

/// A line that cannot be read, counted from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnreadLine {
    /// Which.
    pub line: usize,
    /// Why not.
    pub why: Unread,
}

impl Recipe {
    /// What a text says; its date is still to come.
    ///
    /// # Errors
    /// A line that is no line of a recipe, or cannot be read.
    pub fn from_text(text: &str) -> Result<Recipe, UnreadLine> {
        let mut recipe = Recipe::default();
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        for (i, line) in text.lines().enumerate() {
            let line = line.trim();
            if !line.is_empty() && !line.starts_with('#') {
                recipe
                    .add_line(line)
                    .map_err(|why| UnreadLine { line: i + 1, why })?;
            }
        }
        Ok(recipe)
    }

    fn add_line(&mut self, line: &str) -> Result<(), Unread> {
        let unknown = || Unread::Line { line: shown(line) };
        let (key, says) = line.split_once(':').ok_or_else(unknown)?;
        let (place, what) = match key.trim().to_lowercase().as_str() {
            "step" => {
                self.steps.push(says.parse()?);
                return Ok(());
            }
            "technique" => (&mut self.technique, "the technique"),
            "backing" => (&mut self.backing, "the backing"),
            "change" => (&mut self.change, "what to change"),
            _ => return Err(unknown()),
        };
        if !place.is_empty() {
            return Err(Unread::Twice { what });
        }
        *place = Recipe::tidy(says);
        Ok(())
    }

    /// The lines of its text; [`Recipe::from_text`] reads them back as they are.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let said = |key: &str, text: &str| (!text.is_empty()).then(|| format!("{key}: {text}"));
        let mut lines: Vec<String> = said("technique", &self.technique).into_iter().collect();
        lines.extend(self.steps.iter().map(|s| format!("step: {}", s.line())));
        lines.extend(said("backing", &self.backing));
        lines.extend(said("change", &self.change));
        lines
    }
}
