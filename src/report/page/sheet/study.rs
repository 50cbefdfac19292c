//! The rig study sheet: what two readings of one panel may differ by, against what is allowed.

use maud::html;

use super::super::{Sheet, chart, part, say};
use crate::compare::study::Row;
use crate::report::Report;
use crate::report::study::{Studied, finer, unit, why};
use crate::units::Estimate;

/// A study as a page.
#[must_use]
pub fn study(report: &Studied<'_>) -> String {
    let rows = || report.study.rows.iter();
    let found = rows().filter_map(|row| Some((row.metric, row.found.as_ref().ok()?)));
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
            (part::long_part(say::REPEATS, &html! {
                p.soft { (say::REPEATS_KEY) }
                dl.measures {
                    @for (metric, found) in found {
                        @let limit = found.scatter().limit();
                        @let line = Estimate { value: limit, low: 0.0, high: limit };
                        (part::measure(metric.title, &format!("{} {}", finer(metric, limit), unit(metric)), "",
                            &chart::allowance(metric.title, line, (0.0, metric.allowance), 0.0, |v| finer(metric, v))))
                    }
                }
            }))
            @if !left_out.is_empty() { (part::part(say::LEFT_OUT, &part::facts(&left_out))) }
        },
    }
    .html()
}
