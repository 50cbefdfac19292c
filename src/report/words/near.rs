//! What is said of the kept finishes that look most like a panel.

use super::day;

/// How near, in words: `distance` in allowances over all that is seen. Of five painted finishes, panels of one lie 0.06 to 0.3
/// apart (0.6 where it is heavy), those that differ clearly in one thing 0.4 to 2.2.
#[must_use]
pub fn how_near(distance: f64) -> &'static str {
    match distance {
        d if d < 0.04 => "the same, as far as can be seen",
        d if d < 0.25 => "as like as two panels of one finish",
        d if d < 0.6 => "near, with little that differs",
        d if d < 1.5 => "of the same kind",
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
