//! Saying it: words first, then figures; the same as JSON and as CSV; and shown on a sheet. Everything here only reads what
//! others found.

pub mod again;
pub mod card;
pub mod cautions;
pub mod check;
pub mod csv;
pub mod effect;
mod json;
pub mod ladder;
pub mod listed;
pub mod matching;
pub mod near;
pub mod page;
pub mod picture;
pub mod plain;
pub mod promise;
pub mod reading;
pub mod recipe;
pub mod set;
pub mod sheet;
pub mod study;
pub mod text;
pub mod verify;
pub mod words;

use comfy_table::Table;
use serde_json::Value;

use crate::fingerprint::Verdict;

pub use check::Checked;
pub use effect::Effected;
pub use ladder::Placed;
pub use matching::Matched;
pub use near::Nearest;
pub use promise::Promised;
pub use reading::{Kept, Reading};
pub use recipe::RecipeCard;
pub use set::Shown;
pub use study::Studied;

/// An answer that can be said in every form: one value feeds the words, the table, the JSON, the CSV and the sheet.
pub trait Report {
    /// The answer in words, the first line first.
    fn words(&self) -> Vec<String>;

    /// Within, outside or too close to call, where that was asked.
    fn verdict(&self) -> Option<Verdict> {
        None
    }

    /// Its figures as a compact table.
    fn table(&self) -> Option<Table> {
        None
    }

    /// What else is to be known, after the figures.
    fn notes(&self) -> Vec<String> {
        Vec::new()
    }

    /// As a JSON object.
    fn json(&self) -> Value;

    /// The entry of the JSON object whose members are the lines of a CSV file.
    fn list(&self) -> &'static str;

    /// What each line of a CSV file repeats: the column, and the entry of the JSON object that stands in it.
    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[]
    }

    /// A member of it as a line of a CSV file, where that says more or otherwise than the JSON.
    fn csv_line(&self, member: &Value) -> Value {
        member.clone()
    }

    /// For the terminal: words, then the table, then what else is to be known.
    fn text(&self) -> String {
        let mut text = self.words();
        if let Some(table) = self.table() {
            text.push(format!("\n{table}\n"));
        }
        text.extend(self.notes());
        text.join("\n") + "\n"
    }

    /// For a voice that reads it out: words alone.
    fn spoken(&self) -> String {
        let said = self.words().into_iter().chain(self.notes());
        said.map(|line| line.trim_start().to_owned() + "\n")
            .collect()
    }
}
