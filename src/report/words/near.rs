//! What is said of the kept finishes that look most like a panel.

use super::day;

/// How near, in words: `distance` in allowances of the look as a whole.
#[must_use]
pub fn how_near(distance: f64) -> &'static str {
    match distance {
        d if d <= 1.0 => "as like as two panels of one finish",
        d if d < 2.0 => "near, with little that differs",
        d if d < 5.0 => "of the same kind",
        _ => "another look",
    }
}

/// The answer in one sentence.
#[must_use]
pub fn verdict(name: &str, nearest: Option<(&str, f64)>, searched: usize) -> String {
    match nearest {
        None => NOTHING.to_owned(),
        Some((found, distance)) => {
            let of = if searched == 1 {
                "one kept finish".to_owned()
            } else {
                format!("{searched} kept finishes")
            };
            format!(
                "Of {of}, `{found}` looks most like `{name}`: {}.",
                how_near(distance)
            )
        }
    }
}

/// One of them: its name, when it was kept, how near it is.
#[must_use]
pub fn one(name: &str, kept_at: &str, approved: bool, distance: f64) -> String {
    let approved = if approved { ", approved" } else { "" };
    format!(
        "{name} (kept {}{approved}): {}",
        day(kept_at),
        how_near(distance)
    )
}

/// Nothing to search.
pub const NOTHING: &str = "No other finish is kept that could be compared with it.";
