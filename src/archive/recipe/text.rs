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
use super::step::{shown, tidy};
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
    pub fn of_text(text: &str) -> Result<Recipe, UnreadLine> {
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
        *place = tidy(says);
        Ok(())
    }

    /// The lines of its text; [`Recipe::of_text`] reads them back as they are.
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

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "\u{feff}# mine\r\n\r\nTechnique:  poured: still  \r\n step: attack, 140 s\r\nstep: rinse\r\nbacking: # 2 black\r\nchange: less\r\n";

    #[test]
    fn a_text_is_read_and_written_back() {
        let recipe = Recipe::of_text(TEXT).unwrap();
        let lines = recipe.lines();
        assert_eq!(
            lines,
            [
                "technique: poured: still",
                "step: attack, 140 s",
                "step: rinse",
                "backing: # 2 black",
                "change: less"
            ]
        );
        assert_eq!(Recipe::of_text(&lines.join("\n")).unwrap(), recipe);
        assert!(Recipe::of_text("# nothing\n\n").unwrap().is_empty());
    }

    #[test]
    fn a_line_that_is_none_is_told_by_its_number() {
        for (text, line) in [
            ("technique: a\ncolour: b", 2),
            ("no colon here", 1),
            ("\n\nstep: 140 s", 3),
            ("backing: a\nbacking: b", 2),
            ("step:", 1),
        ] {
            assert_eq!(Recipe::of_text(text).unwrap_err().line, line, "{text}");
        }
    }
}
