//! The rig study sheet: what two readings of one panel may differ by, against what is allowed.

use maud::{Markup, html};

use super::super::{Sheet, chart, part, say};
use crate::compare::study::Row;
use crate::words::study::{allowance, in_words, unit, why, written};
use crate::report::{Report, Studied};
use crate::units::Estimate;

/// A study as a page.
#[must_use]
pub fn study(report: &Studied<'_>) -> String {
    let rows = || report.study.rows.iter();
    let found = rows().filter_map(repeats);
    let left_out: Vec<(&str, String)> = rows()
        .filter_map(|Row { metric, found }| Some((metric.title, why(found.as_ref().err()?))))
        .collect();
    Sheet {
        kind: say::STUDY,
        about: report.rig,
        verdict: None,
        words: &report.words(),
        beside: html! {},
        body: html! {
            (part::measured(say::REPEATS, say::REPEATS_KEY, found))
            @if !left_out.is_empty() { (part::part(say::LEFT_OUT, &part::facts(&left_out))) }
        },
    }
    .html()
}

/// What two readings of one measure may differ by; nothing where it was left out.
fn repeats(Row { metric, found }: &Row) -> Option<Markup> {
    let limit = in_words(metric, found.as_ref().ok()?.scatter().limit());
    let line = Estimate {
        value: limit,
        low: 0.0,
        high: limit,
    };
    let write = |v| written(metric, v);
    let figure = format!("{} {}", write(limit), unit(metric));
    let chart = chart::allowance(metric.title, line, (0.0, allowance(metric)), 0.0, write);
    Some(part::measure(metric.title, &figure, "", &chart))
}
