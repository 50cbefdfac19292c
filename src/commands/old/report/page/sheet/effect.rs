//! The effect sheet: a measure against a setting, from the studio's own panels.

use maud::html;

use super::super::chart::{self, Axis};
use super::super::{Sheet, part, say};
use crate::report::{Effected, Report};
use crate::stats::effect::At;

/// An effect as a page.
#[must_use]
pub fn effect(report: &Effected<'_>) -> String {
    let found = report.found;
    let row = found.metric;
    // What could be chance is not drawn as if it were known.
    let real = found.effect.as_ref().ok().filter(|effect| effect.is_real());
    let curve: Vec<(f64, At)> = real.map_or_else(Vec::new, |effect| {
        let places = Effected::places(effect).into_iter();
        places.filter_map(|s| Some((s, effect.at(s)?))).collect()
    });
    let key = if curve.is_empty() {
        say::EFFECT_UNKNOWN
    } else {
        say::EFFECT_KEY
    };
    let tried = report.notes();
    let wanted = found
        .near
        .and_then(|(wanted, answer)| Some((wanted, answer.ok()?.value)));
    let up = part::titled(row);
    let across = Axis {
        name: report.asked.setting,
        write: &|v| report.asked.write(v),
    };
    let upwards = Axis {
        name: &up,
        write: &|v| row.format(v.clamp(row.range.0, row.range.1)),
    };
    let chart = chart::curve(&found.points, &curve, wanted, (across, upwards), key);
    Sheet {
        kind: say::EFFECT,
        about: &format!("{} / {}", row.title, report.asked.setting),
        verdict: None,
        words: &report.answer(),
        beside: part::beside(say::CAUTIONS, &report.cautions()),
        body: html! {
            (part::charted(&up, &chart, key))
            @if !tried.is_empty() {
                (part::part(say::SHAPES, &html! { @for note in &tried { p { (note) } } }))
            }
            (part::part(say::TRIED, &part::facts(&found.points.iter().map(|p| {
                (p.name.as_str(), say::made(&report.asked.write(p.setting), &row.format(p.measure)))
            }).collect::<Vec<_>>())))
        },
    }
    .html()
}
