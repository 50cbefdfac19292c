//! Texts as columns hold them.

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ValueRef};
use serde::de::DeserializeOwned;

use crate::error::{Error, Result};

/// Longest name of a finish or a rig, characters.
const LONGEST_NAME: usize = 200;

/// The word that JSON writes for a value of an enum.
pub(super) fn word_of(value: impl serde::Serialize) -> Option<String> {
    serde_json::to_value(value)
        .ok()?
        .as_str()
        .map(str::to_owned)
}

/// A value of an enum, read from the word that [`word_of`] wrote.
pub(super) struct Word<T>(pub(super) T);

impl<T: DeserializeOwned> FromSql for Word<T> {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        serde_json::from_value(value.as_str()?.into())
            .map(Word)
            .map_err(FromSqlError::other)
    }
}

/// A value read from its JSON.
pub(super) struct Json<T>(pub(super) T);

impl<T: DeserializeOwned> FromSql for Json<T> {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        serde_json::from_str(value.as_str()?)
            .map(Json)
            .map_err(FromSqlError::other)
    }
}

/// Whether a text can be shown in a line and has at most `longest` characters.
pub(super) fn fits_line(text: &str, longest: usize) -> bool {
    !text.trim().is_empty()
        && text.chars().count() <= longest
        && !text.chars().any(char::is_control)
}

/// Refuses a name that cannot be shown in a line or told apart from another.
pub(super) fn fit_name(name: &str) -> Result<()> {
    if fits_line(name, LONGEST_NAME) {
        return Ok(());
    }
    let shown = name.chars().filter(|c| !misleads(*c)).take(40).collect();
    Err(Error::NameUnfit { name: shown })
}

/// Whether a text is a time, RFC 3339.
pub(super) fn fits_time(text: &str) -> bool {
    text.parse::<jiff::Timestamp>().is_ok()
}

/// A character that moves the cursor, turns the direction of writing or is not seen (Unicode, general categories Cc and Cf, and the
/// separators of lines and paragraphs).
fn misleads(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}')
        || matches!(c, '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}')
}

/// A text of one line in which every character that would mislead its reader is replaced.
#[must_use]
pub fn line(text: &str) -> String {
    let shown = |c: char| if misleads(c) { '\u{fffd}' } else { c };
    text.chars().map(shown).collect()
}

/// A text of several lines in which all other control characters are replaced.
pub(super) fn lines(text: &str) -> String {
    let stays = |c: char| !c.is_control() || matches!(c, '\n' | '\r' | '\t');
    let shown = |c: char| if stays(c) { c } else { '\u{fffd}' };
    text.chars().map(shown).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_mislead_a_reader_is_shown_plainly_and_control_characters_are_refused() {
        for fit in ["alcove 2", "Büro", "寝室", "e\u{301}toile", "👍🏽"] {
            assert!(fit_name(fit).is_ok(), "{fit}");
            assert_eq!(line(fit), fit);
        }
        for (unfit, shown) in [
            ("a\u{202e}gpj", "a\u{fffd}gpj"),
            ("a\u{200b}b", "a\u{fffd}b"),
            ("a\u{2028}b", "a\u{fffd}b"),
            ("\u{feff}a", "\u{fffd}a"),
            ("a\tb", "a\u{fffd}b"),
        ] {
            assert_eq!(line(unfit), shown);
        }
        assert!(fit_name("a\tb").is_err() && fit_name("  ").is_err());
    }
}
