//! A few amounts under each other, each with its name, its bar and its figure.

use maud::{Markup, html};

use super::super::colour::{INK, RULE};
use super::{WIDTH, drawing, largest, line, rect, word};

const STEP: f64 = 40.0;

/// One amount.
pub(crate) struct Bar<'a> {
    /// Its name.
    pub(crate) name: &'a str,
    /// The amount, at least 0.
    pub(crate) amount: f64,
    /// As it is written.
    pub(crate) written: String,
}

/// Draws them against the largest.
pub(crate) fn bars(rows: &[Bar<'_>], title: &str, says: &str) -> Markup {
    let most = largest(rows.iter().map(|row| row.amount));
    let body = html! {
        @for (i, row) in rows.iter().enumerate() {
            @let top = i as f64 * STEP;
            (word([0.0, top + 14.0], "start", row.name))
            (word([WIDTH, top + 14.0], "end", &row.written))
            (line([0.0, top + 27.0], [WIDTH, top + 27.0], 1.0, RULE))
            (rect([0.0, top + 20.0], [WIDTH * row.amount.max(0.0) / most, 14.0], INK))
        }
    };
    drawing("", [WIDTH, rows.len() as f64 * STEP], title, says, &body)
}
