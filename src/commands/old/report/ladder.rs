//! A panel on a ladder: in words and as JSON.

use serde_json::{Value, json};

use super::json::{SCHEMA, figure, rounded};
use super::{Report, words};
use crate::compare::ladder::{Standing, met};
use crate::fingerprint::metric::AGGRESSIVENESS;
use crate::units::Estimate;

/// Decimals of a place.
const PLACE_DECIMALS: i32 = 3;

/// Where a panel stands on a ladder.
pub struct Placed<'a> {
    /// Name of the panel.
    pub panel: &'a str,
    /// Name of the ladder.
    pub ladder: &'a str,
    /// Names of its steps, from light to heavy.
    pub names: &'a [&'a str],
    /// Where the panel stands.
    pub standing: &'a Standing,
}

impl Report for Placed<'_> {
    fn words(&self) -> Vec<String> {
        vec![words::ladder::standing(self.standing, self.names)]
    }

    fn list(&self) -> &'static str {
        "steps"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[
            ("panel", "panel"),
            ("ladder", "ladder"),
            ("place", "place"),
            ("beyond", "beyond"),
            ("panel_aggressiveness", "aggressiveness"),
        ]
    }

    fn json(&self) -> Value {
        let Placed {
            panel,
            ladder,
            names,
            standing,
        } = self;
        let worn = |v| figure(&AGGRESSIVENESS, v);
        let steps: Vec<Value> = names
            .iter()
            .zip(&standing.steps)
            .map(|(name, e)| json!({"step": name, "aggressiveness": estimate(*e, worn)}))
            .collect();
        json!({
            "schema": SCHEMA,
            "panel": panel,
            "ladder": ladder,
            "words": self.words(),
            "place": estimate(standing.place, |v| rounded(v, PLACE_DECIMALS)),
            "at": met(standing.place.value).and_then(|step| names.get(step - 1)),
            "beyond": standing.beyond,
            "looks_most_like": standing.looks_like.and_then(|step| names.get(step - 1)),
            "aggressiveness": estimate(standing.panel, worn),
            "steps": steps,
        })
    }
}

fn estimate(e: Estimate, rounded: impl Fn(f64) -> f64) -> Value {
    json!({
        "value": rounded(e.value),
        "low": rounded(e.low),
        "high": rounded(e.high),
    })
}
