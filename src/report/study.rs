//! The study of a rig: in words, as a table, as JSON. Of counts and sizes the figures are shares: 0.05 is one part in
//! twenty.

use serde_json::{Map, Value, json};

use super::json::{SCHEMA, figure};
use super::text::{plain_table, right_align};
use crate::compare::Study;
use crate::compare::study::{Found, LeftOut, Row};
use crate::fingerprint::metric::{Metric, Rule};

/// With fewer degrees of freedom Student's t adds a fifth and more to the intervals: t(8)/z = 1.18, t(7)/z = 1.21.
const FEW: usize = 8;

/// A study in words.
#[must_use]
pub fn words(rig: &str, study: &Study) -> Vec<String> {
    let (photos, panels) = (study.photos, study.panels);
    let of = if panels == 1 { "panel" } else { "panels" };
    let mut words = vec![
        format!("Rig `{rig}` studied on {photos} photos of {panels} {of}."),
        told(study),
        rough(study),
    ];
    let dof = photos - panels;
    if dof < FEW {
        let more = FEW - dof;
        words.push(format!(
            "So few photos make the intervals wider than need be: take {more} more of the same panels, and study all of them together."
        ));
    }
    words
}

/// What two readings of one panel may differ by, for the two measures a maker looks at first.
fn told(study: &Study) -> String {
    let limit = |key: &str| {
        let row = study.rows.iter().find(|row| row.metric.key == key)?;
        let limit = row.found.as_ref().ok()?.within.limit();
        Some(format!(
            "{} in {}",
            finer(row.metric, limit),
            row.metric.title
        ))
    };
    let known: Vec<String> = ["coverage", "aggressiveness"]
        .into_iter()
        .filter_map(limit)
        .collect();
    format!(
        "Two readings of one panel in this rig differ by less than {}, 95 times in 100; a difference under that is never called real.",
        known.join(" and ")
    )
}

/// Which measures the rig is too rough for.
fn rough(study: &Study) -> String {
    let rough: Vec<&str> = study
        .rows
        .iter()
        .filter(|row| is_rough(row))
        .map(|row| row.metric.title)
        .collect();
    if rough.is_empty() {
        return "Every measure repeats to within its starting allowance.".to_owned();
    }
    format!(
        "Too rough for the starting allowance, so that matches stay too close to call: {}. Check that the photos after each --panel are of one panel.",
        rough.join(", ")
    )
}

fn is_rough(row: &Row) -> bool {
    let limit = row.found.as_ref().map_or(0.0, |f| f.within.limit());
    limit > row.metric.allowance
}

/// A study for the terminal.
#[must_use]
pub fn text(rig: &str, study: &Study) -> String {
    let mut table = plain_table();
    table.set_header(["", "deviation", "called real from", ""]);
    for Row { metric, found } in &study.rows {
        let [deviation, limit, unit] = match found {
            Ok(f) => [
                finer(metric, f.within.sd),
                finer(metric, f.within.limit()),
                unit(metric).to_owned(),
            ],
            Err(left_out) => [
                "-".to_owned(),
                "-".to_owned(),
                format!("left out: {}", why(left_out)),
            ],
        };
        table.add_row([metric.title.to_owned(), deviation, limit, unit]);
    }
    (1..3).for_each(|column| right_align(&mut table, column));
    words(rig, study).join("\n") + "\n\n" + &table.to_string() + "\n"
}

/// A step on the scale of the rule in words' terms, with a decimal more than a reading: of a ratio the share.
fn finer(metric: &Metric, step: f64) -> String {
    let shown = match metric.rule {
        Rule::Ratio => step.exp_m1(),
        Rule::Difference | Rule::Axial => step,
    };
    format!("{shown:.*}", metric.decimals + 1)
}

fn unit(metric: &Metric) -> &'static str {
    match metric.rule {
        Rule::Ratio => "as a share",
        Rule::Difference | Rule::Axial => metric.unit,
    }
}

fn why(left_out: &LeftOut) -> String {
    match left_out {
        LeftOut::NotShown { photo, why } => format!("{photo}: {why}"),
        LeftOut::NothingThere => "there is nothing of it on these panels".to_owned(),
    }
}

/// A study as a JSON object. Figures stand on the scale that is named: `log`, natural logarithms, or `linear`.
#[must_use]
pub fn json(rig: &str, study: &Study) -> Value {
    let measures: Map<String, Value> = study
        .rows
        .iter()
        .map(|row| (row.metric.key.to_owned(), measure(row)))
        .collect();
    json!({
        "schema": SCHEMA,
        "rig": rig,
        "panels": study.panels,
        "photos": study.photos,
        "words": words(rig, study),
        "measures": measures,
    })
}

fn measure(Row { metric, found }: &Row) -> Value {
    let scale = match metric.rule {
        Rule::Ratio => "log",
        Rule::Difference | Rule::Axial => "linear",
    };
    match found {
        Ok(Found { within, between_sd }) => json!({
            "sd": figure(metric, within.sd),
            "dof": within.dof,
            "limit": figure(metric, within.limit()),
            "between_sd": between_sd.map(|sd| figure(metric, sd)),
            "scale": scale,
            "unit": metric.unit,
        }),
        Err(left_out) => json!({
            "sd": null,
            "dof": null,
            "limit": null,
            "between_sd": null,
            "scale": scale,
            "unit": metric.unit,
            "why": why(left_out),
        }),
    }
}
