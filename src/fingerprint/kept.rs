//! How measurements stand in a file, and what is read of a file of whatever version.

use serde::ser::Error as _;
use serde::{Serialize, Serializer};
use serde_json::{Value, json};

use super::metric::{Metric, figures};
use crate::measure::Measurements;

/// Writes measurements, each figure with the unit of its row.
///
/// # Errors
/// Those of the writer.
pub(super) fn with_units<S: Serializer>(m: &Measurements, writer: S) -> Result<S::Ok, S::Error> {
    let mut all = serde_json::to_value(m).map_err(S::Error::custom)?;
    for row in figures() {
        let held = all.get_mut(row.key).filter(|held| !held["value"].is_null());
        if let Some(held) = held {
            held["unit"] = json!(row.unit);
        }
    }
    all.serialize(writer)
}

/// The figure of a row in the text of a fingerprint of whatever version, as JSON; `None` where it holds none.
#[must_use]
pub fn figure_in(kept: &Value, row: &Metric) -> Option<f64> {
    let held = kept.get("measurements")?.get(row.key)?;
    // Older files hold the figure one step deeper.
    held.get("Ok").unwrap_or(held).get("value")?.as_f64()
}

#[cfg(test)]
mod tests {
    use super::super::metric::{COVERAGE, TONE_A};
    use super::*;

    #[test]
    fn a_figure_is_found_in_either_form() {
        for (measure, found) in [
            (
                json!({"value": 0.5, "low": 0.4, "high": 0.6, "unit": ""}),
                Some(0.5),
            ),
            (json!({"value": null, "why": "panel_too_small"}), None),
            (
                json!({"Ok": {"value": 0.5, "low": 0.4, "high": 0.6}}),
                Some(0.5),
            ),
            (json!({"Err": "panel_too_small"}), None),
        ] {
            let kept = json!({"measurements": {"coverage": measure}});
            assert_eq!(figure_in(&kept, &COVERAGE), found);
            assert_eq!(figure_in(&kept, &TONE_A), None);
        }
    }
}
