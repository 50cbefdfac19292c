//! Recipes: the studio's own steps and settings beside a kept finish. None is shipped and nothing is suggested; everything in one
//! may be left out.

mod figure;
mod kept;
mod step;
mod text;

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};

pub(super) use kept::add;
pub use text::UnreadLine;

/// Longest text of a recipe, characters: two pages of notes.
const LONGEST_TEXT: usize = 4000;

/// Most steps of a recipe.
const MOST_STEPS: usize = 100;

/// A figure of a step, what it is called, its least and most, and these in words.
type Bound = (
    &'static str,
    fn(&RecipeStep) -> Option<f64>,
    RangeInclusive<f64>,
    &'static str,
);

/// Steps of up to thirty days, from dry ice to molten glass.
#[rustfmt::skip]
const BOUNDS: [Bound; 3] = [
    ("the time of a step", |s| s.seconds, 0.0..=2_592_000.0, "no time at all up to thirty days"),
    ("the amount of a step", |s| s.amount, 0.0..=1e9, "nothing up to a thousand million"),
    ("the temperature of a step", |s| s.temperature_c, -80.0..=1500.0, "-80 to 1500 °C"),
];

/// How a finish was made, in the studio's own words.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Recipe {
    /// When it was written down, RFC 3339.
    pub written_at: String,
    /// The technique; empty where it was not said, like every text here.
    pub technique: String,
    /// The steps in order.
    pub steps: Vec<RecipeStep>,
    /// What the back was painted or covered with.
    pub backing: String,
    /// What the maker would change next time.
    pub change: String,
}

/// One step of a recipe.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecipeStep {
    /// The studio's word for it.
    pub step: String,
    /// How long it took, seconds, 0 to thirty days.
    pub seconds: Option<f64>,
    /// How much of it, in `unit`, 0 or more.
    pub amount: Option<f64>,
    /// What the amount is counted in.
    pub unit: String,
    /// How warm it was, °C, -80 to 1500.
    pub temperature_c: Option<f64>,
    /// Whether the sheet was moved.
    pub motion: Option<Motion>,
    /// How it was dried.
    pub dried: String,
    /// Anything else.
    pub note: String,
}

/// Whether the sheet was moved during a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Motion {
    /// It was rocked.
    Rocked,
    /// It lay still.
    Still,
}

impl Recipe {
    /// Its figures by name, such as `attack seconds`, `attack amount` and `attack temperature` (°C), each with its unit, in the
    /// order of the steps. A step whose word stood before gets a number: `attack 2 seconds`.
    #[must_use]
    pub fn settings(&self) -> Vec<(String, f64, String)> {
        let mut settings = Vec::new();
        for (name, step) in self.named_steps() {
            let figures = [
                ("seconds", step.seconds, "s".to_owned()),
                ("amount", step.amount, figure::spelled(&step.unit)),
                ("temperature", step.temperature_c, "°C".to_owned()),
            ];
            for (what, figure, unit) in figures {
                settings.extend(figure.map(|figure| (format!("{name} {what}"), figure, unit)));
            }
        }
        settings
    }

    /// Its steps, each under the name that its settings go by.
    #[must_use]
    pub fn named_steps(&self) -> Vec<(String, &RecipeStep)> {
        let mut names = BTreeSet::new();
        let named = self.steps.iter().map(|step| {
            let word = step.step.trim().to_lowercase();
            let mut name = word.clone();
            let mut again = 2;
            while !names.insert(name.clone()) {
                name = format!("{word} {again}");
                again += 1;
            }
            (name, step)
        });
        named.collect()
    }

    /// A text in one line, each gap in it one space, as every text of a recipe is kept.
    #[must_use]
    pub fn tidy(text: &str) -> String {
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Nothing is said in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.lines().is_empty()
    }

    /// Refuses texts that cannot stand in a line, and figures that cannot be.
    pub(super) fn check(&self) -> Result<()> {
        let unfit = |what, expected| Err(Error::RecipeUnfit { what, expected });
        if self.written_at.parse::<jiff::Timestamp>().is_err() {
            return unfit("its date", "a date with a time");
        }
        if self.steps.len() > MOST_STEPS {
            return unfit("the number of steps", "at most 100 steps");
        }
        let mut texts = vec![
            ("the technique", &self.technique),
            ("the backing", &self.backing),
            ("what to change", &self.change),
        ];
        for step in &self.steps {
            if step.step.trim().is_empty() {
                return unfit("a step", "a word for it");
            }
            for (what, figure, fits, expected) in BOUNDS {
                if figure(step).is_some_and(|figure| !fits.contains(&figure)) {
                    return unfit(what, expected);
                }
            }
            texts.extend([
                ("the word for a step", &step.step),
                ("a unit", &step.unit),
                ("how a step was dried", &step.dried),
                ("the note of a step", &step.note),
            ]);
        }
        for (what, text) in texts {
            if text.chars().count() > LONGEST_TEXT || text.chars().any(char::is_control) {
                return unfit(what, "at most 4000 characters, in one line");
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests;
