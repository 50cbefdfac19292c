//! The study of a rig as a table and as JSON. Of counts and sizes the figures are shares: 0.05 is one part in
//! twenty.

use comfy_table::Table;
use serde_json::{Map, Value, json};

use super::Report;
use super::json::{SCHEMA, figure};
use super::text::{plain_table, right_align};
use super::words::study as words;
use crate::compare::Study;
use crate::compare::study::{OddOne, Row};
use crate::fingerprint::metric::Rule;

/// A study with the rig it is of.
pub struct Studied<'a> {
    /// Name of the rig.
    pub rig: &'a str,
    /// What was found.
    pub study: &'a Study,
}

impl Report for Studied<'_> {
    fn words(&self) -> Vec<String> {
        words::words(self.rig, self.study)
    }

    fn list(&self) -> &'static str {
        "measures"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[("rig", "rig")]
    }

    fn table(&self) -> Option<Table> {
        let mut table = plain_table();
        table.set_header(["", "same day", "any day", "called real from", ""]);
        for Row { metric, found } in &self.study.rows {
            let none = || "-".to_owned();
            let [same_day, any_day, limit, unit] = match found {
                Ok(f) => [
                    words::finer(metric, f.within.sd),
                    f.any_day.map_or_else(none, |s| words::finer(metric, s.sd)),
                    words::finer(metric, f.scatter().limit()),
                    words::unit(metric).to_owned(),
                ],
                Err(left_out) => [none(), none(), none(), words::left_out(left_out)],
            };
            table.add_row([metric.title.to_owned(), same_day, any_day, limit, unit]);
        }
        right_align(&mut table, 1..4);
        Some(table)
    }

    /// A study as a JSON object. Figures stand on the scale that is named: `log`, natural logarithms, or `linear`.
    fn json(&self) -> Value {
        let Studied { rig, study } = self;
        let measures: Map<String, Value> = study
            .rows
            .iter()
            .map(|row| (row.metric.key.to_owned(), measure(row)))
            .collect();
        json!({
            "schema": SCHEMA,
            "rig": rig,
            "panels": study.panels,
            "sessions": study.sessions,
            "photos": study.photos,
            "more_photos": study.more_photos(),
            "more_sessions": study.more_sessions(),
            "words": self.words(),
            "odd": study.odd.iter().map(odd).collect::<Vec<Value>>(),
            "measures": measures,
        })
    }
}

fn odd(odd: &OddOne) -> Value {
    json!({"name": odd.name, "apart": odd.apart, "measure": odd.metric.key})
}

fn measure(Row { metric, found }: &Row) -> Value {
    let (scale, unit) = match metric.rule {
        Rule::Ratio => ("log", words::unit(metric)),
        Rule::Difference | Rule::Axial | Rule::Circular => ("linear", metric.unit),
    };
    match found {
        Ok(f) => json!({
            "sd": figure(metric, f.within.sd),
            "dof": f.within.dof,
            "any_day_sd": f.any_day.map(|s| figure(metric, s.sd)),
            "any_day_dof": f.any_day.map(|s| s.dof),
            "limit": figure(metric, f.scatter().limit()),
            "between_sd": f.between_sd.map(|sd| figure(metric, sd)),
            "scale": scale,
            "unit": unit,
        }),
        Err(left_out) => json!({
            "sd": null,
            "dof": null,
            "any_day_sd": null,
            "any_day_dof": null,
            "limit": null,
            "between_sd": null,
            "scale": scale,
            "unit": unit,
            "why": words::why(left_out),
        }),
    }
}
