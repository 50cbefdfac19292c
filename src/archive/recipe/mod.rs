//! Recipes: the studio's own steps and settings beside a kept finish. None is shipped and nothing is suggested; everything in one
//! may be left out.

mod figure;
mod kept;
mod step;
mod text;

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};

pub(super) use kept::add;
pub use text::UnreadLine;

/// Longest text of a recipe, characters: two pages of notes.
const LONGEST_TEXT: usize = 4000;

/// Most steps of a recipe.
const MOST_STEPS: usize = 100;

/// Longest step, seconds: thirty days.
const LONGEST_STEP: f64 = 2_592_000.0;

/// Largest amount of anything.
const LARGEST_AMOUNT: f64 = 1e9;

/// Coldest and hottest step, °C: dry ice to molten glass.
const COLDEST: f64 = -80.0;
const HOTTEST: f64 = 1500.0;

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
    /// Its figures by name, such as `attack seconds`, `attack amount` and `attack temperature` (°C), in the order of the steps. A
    /// step whose word stood before gets a number: `attack 2 seconds`.
    #[must_use]
    pub fn settings(&self) -> Vec<(String, f64)> {
        let all = self.settings_with_units().into_iter();
        all.map(|(name, figure, _)| (name, figure)).collect()
    }

    /// The same, each with its unit.
    #[must_use]
    pub fn settings_with_units(&self) -> Vec<(String, f64, String)> {
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
        let mut named = Vec::new();
        for step in &self.steps {
            let word = step.step.trim().to_lowercase();
            let mut name = word.clone();
            let mut again = 2;
            while !names.insert(name.clone()) {
                name = format!("{word} {again}");
                again += 1;
            }
            named.push((name, step));
        }
        named
    }

    /// A text in one line, each gap in it one space, as every text of a recipe is kept.
    #[must_use]
    pub fn tidy(text: &str) -> String {
        step::tidy(text)
    }

    /// Nothing is said in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        let texts = [&self.technique, &self.backing, &self.change];
        self.steps.is_empty() && texts.iter().all(|text| text.is_empty())
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
        for s in &self.steps {
            if s.step.trim().is_empty() {
                return unfit("a step", "a word for it");
            }
            texts.push(("the word for a step", &s.step));
            texts.push(("a unit", &s.unit));
            texts.push(("how a step was dried", &s.dried));
            texts.push(("the note of a step", &s.note));
            for (what, figure, least, most, expected) in [
                (
                    "the time of a step",
                    s.seconds,
                    0.0,
                    LONGEST_STEP,
                    "no time at all up to thirty days",
                ),
                (
                    "the amount of a step",
                    s.amount,
                    0.0,
                    LARGEST_AMOUNT,
                    "nothing up to a thousand million",
                ),
                (
                    "the temperature of a step",
                    s.temperature_c,
                    COLDEST,
                    HOTTEST,
                    "-80 to 1500 °C",
                ),
            ] {
                if figure.is_some_and(|f| !(least..=most).contains(&f)) {
                    return unfit(what, expected);
                }
            }
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
mod tests {
    use super::*;

    fn step(word: &str, seconds: f64) -> RecipeStep {
        RecipeStep {
            step: word.to_owned(),
            seconds: Some(seconds),
            ..RecipeStep::default()
        }
    }

    fn recipe(steps: Vec<RecipeStep>) -> Recipe {
        Recipe {
            written_at: "2026-01-02T03:04:05Z".to_owned(),
            steps,
            ..Recipe::default()
        }
    }

    #[test]
    fn settings_are_named_by_their_steps_and_no_two_share_a_name() {
        let steps = vec![
            RecipeStep {
                amount: Some(30.0),
                temperature_c: Some(21.0),
                ..step(" Attack ", 140.0)
            },
            step("attack", 60.0),
            step("attack 2", 5.0),
            RecipeStep::default(),
        ];
        let settings = recipe(steps).settings();
        let names: Vec<&str> = settings.iter().map(|(name, _)| name.as_str()).collect();
        let expected = [
            "attack seconds",
            "attack amount",
            "attack temperature",
            "attack 2 seconds",
            "attack 2 2 seconds",
        ];
        assert_eq!(names, expected);
        assert!((settings[3].1 - 60.0).abs() < f64::EPSILON);
    }

    #[test]
    fn what_cannot_be_is_refused_and_what_can_is_not() {
        let good = recipe(vec![step("attack", 140.0)]);
        good.check().unwrap();
        let long = Recipe {
            technique: "é".repeat(LONGEST_TEXT),
            ..good.clone()
        };
        long.check().unwrap();
        let bad = [
            Recipe {
                technique: "é".repeat(LONGEST_TEXT + 1),
                ..good.clone()
            },
            Recipe {
                change: "one\ntwo".to_owned(),
                ..good.clone()
            },
            Recipe {
                written_at: "then".to_owned(),
                ..good
            },
            recipe(vec![step("  ", 1.0)]),
            recipe(vec![step("a", -1.0)]),
            recipe(vec![step("a", f64::NAN)]),
            recipe(vec![step("a", f64::INFINITY)]),
            recipe(vec![step("a", 1.0); MOST_STEPS + 1]),
        ];
        for one in bad {
            assert!(
                matches!(one.check(), Err(Error::RecipeUnfit { .. })),
                "{one:?}"
            );
        }
    }
}
