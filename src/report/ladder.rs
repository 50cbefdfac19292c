//! A panel on a ladder, as JSON.

use serde_json::{Value, json};

use super::json::{SCHEMA, rounded};
use super::words;
use crate::compare::ladder::{Beyond, Standing};
use crate::units::Estimate;

/// Decimals of a place, and of an aggressiveness.
const DECIMALS: i32 = 3;

/// Where a panel stands.
#[must_use]
pub fn json(panel: &str, ladder: &str, names: &[&str], standing: &Standing) -> Value {
    let steps: Vec<Value> = names
        .iter()
        .zip(&standing.steps)
        .map(|(name, e)| json!({"step": name, "aggressiveness": estimate(*e)}))
        .collect();
    let beyond = standing.beyond.map(|b| match b {
        Beyond::Lighter => "lighter",
        Beyond::Heavier => "heavier",
    });
    json!({
        "schema": SCHEMA,
        "panel": panel,
        "ladder": ladder,
        "words": [words::ladder::standing(standing, names)],
        "place": estimate(standing.place),
        "beyond": beyond,
        "aggressiveness": estimate(standing.panel),
        "steps": steps,
    })
}

fn estimate(e: Estimate) -> Value {
    json!({
        "value": rounded(e.value, DECIMALS),
        "low": rounded(e.low, DECIMALS),
        "high": rounded(e.high, DECIMALS),
    })
}
