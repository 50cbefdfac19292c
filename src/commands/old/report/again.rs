//! A finish read again, beside what was read before: measure by measure, for the terminal and as JSON.

use comfy_table::Table;
use serde_json::{Map, Value, json};

use super::Report;
use super::json::{SCHEMA, figure, rounded};
use super::text::{plain_table, right_align};
use super::words::again as words;
use crate::archive::Source;
use crate::fingerprint::metric::{Metric, Rule, figures};
use crate::fingerprint::{Fingerprint, figure_in};
use crate::units::{Unmeasured, axial_difference, circular_difference};

/// A finish read again.
#[derive(Debug, Clone, Copy)]
pub struct Again<'a> {
    /// The finish.
    pub name: &'a str,
    /// From what it was read.
    pub source: Source,
    /// The text of the fingerprint before, of whatever version.
    pub before: &'a Value,
    /// What was read now.
    pub now: &'a Fingerprint,
    /// It is kept and holds from now on.
    pub kept: bool,
}

impl Again<'_> {
    /// A measure before and now; `None` where there is no figure.
    fn figures(&self, row: &Metric) -> (Option<f64>, Option<f64>) {
        let before = figure_in(self.before, row);
        let now = row.of(&self.now.measurements).ok().map(|e| e.value);
        (before, now)
    }

    fn version_before(&self) -> Option<u64> {
        self.before.get("version").and_then(Value::as_u64)
    }
}

impl Report for Again<'_> {
    fn words(&self) -> Vec<String> {
        let mut said = vec![words::read(self.name, self.source)];
        said.extend(words::versions(self.version_before(), self.now.version));
        if self.source == Source::Map {
            let m = &self.now.measurements;
            let coloured = m.tone_a != Err(Unmeasured::NoColourKept);
            said.push(words::map_only(m.speckle_floor_mm, coloured));
        }
        said.push(words::kept(self.kept, self.source).to_owned());
        said
    }

    fn table(&self) -> Option<Table> {
        let mut table = plain_table();
        table.set_header(["", "before", "now", "change", ""]);
        for row in figures() {
            let (before, now) = self.figures(row);
            let shown = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| row.format(v));
            table.add_row([
                row.title.to_owned(),
                shown(before),
                shown(now),
                shown(before.zip(now).map(|(b, n)| change(row, b, n))),
                row.unit.to_owned(),
            ]);
        }
        right_align(&mut table, 1..4);
        Some(table)
    }

    fn list(&self) -> &'static str {
        "measures"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[("name", "name")]
    }

    fn json(&self) -> Value {
        let measures: Map<String, Value> = figures()
            .map(|row| {
                let (before, now) = self.figures(row);
                let shown = |v: Option<f64>| v.map(|v| figure(row, v));
                let change = before.zip(now).map(|(b, n)| change(row, b, n));
                let value =
                    json!({"before": shown(before), "now": shown(now), "change": shown(change)});
                (row.key.to_owned(), value)
            })
            .collect();
        json!({
            "schema": SCHEMA,
            "name": self.name,
            "source": self.source,
            "version_before": self.version_before(),
            "version": self.now.version,
            "kept": self.kept,
            "speckle_floor_mm": rounded(self.now.measurements.speckle_floor_mm, 4),
            "measures": measures,
        })
    }
}

/// By how much a figure changed, in the measure's own unit; of an axis or a direction the smallest turn.
fn change(row: &Metric, before: f64, now: f64) -> f64 {
    match row.rule {
        Rule::Axial => axial_difference(before, now),
        Rule::Circular => circular_difference(before, now),
        Rule::Difference | Rule::Ratio => now - before,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingerprint::metric::metric;

    #[test]
    fn an_axis_changes_by_the_smallest_turn_and_all_else_by_the_difference() {
        for (key, before, now, wanted) in [
            ("streak_angle", 179.0, 1.0, 2.0),
            ("streak_angle", 1.0, 179.0, -2.0),
            ("patina_hue", 350.0, 10.0, 20.0),
            ("coverage", 0.9, 0.8, -0.1),
            ("speckle_density", 0.0, 3.0, 3.0),
        ] {
            let found = change(metric(key).unwrap(), before, now);
            assert!((found - wanted).abs() < 1e-12, "{key}: {found}");
        }
    }
}
