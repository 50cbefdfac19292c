//! Panels in the order they were made: each a lozenge, their mean a line, and dashes where the scatter of neighbours would keep them.

use maud::{Markup, html};

use super::super::colour::{BAND, INK, SOFT};
use super::{WIDTH, at, dashes, drawing, line, lozenge, rect, word};

const HEIGHT: f64 = 190.0;
const HEAD: f64 = 12.0;
const FOOT: f64 = 150.0;
const LEFT: f64 = 52.0;

/// Figures in order, with their mean and limits; `odd` stand apart from the rest and are ringed; `write` says how a figure is
/// written.
pub(in super::super) fn run(
    values: &[f64],
    (mean, limits): (f64, Option<(f64, f64)>),
    odd: &[bool],
    title: &str,
    says: &str,
    write: impl Fn(f64) -> String,
) -> Markup {
    let ends = limits.map(|(low, high)| [low, high]);
    let all = values.iter().chain(ends.iter().flatten());
    let (least, most) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), v| {
        (l.min(*v), m.max(*v))
    });
    let span = (most - least).max(1e-9);
    let y = |v: f64| FOOT - (v - least) / span * (FOOT - HEAD);
    let step = (WIDTH - LEFT - 20.0) / (values.len().max(2) - 1) as f64;
    let x = |i: usize| LEFT + 10.0 + i as f64 * step;
    let path: Vec<String> = values
        .iter()
        .enumerate()
        .map(|(i, v)| {
            format!(
                "{}{} {}",
                if i == 0 { "M" } else { "L" },
                at(x(i)),
                at(y(*v))
            )
        })
        .collect();
    // Every number is written where there is room for it, else every fifth.
    let written = |i: usize| step >= 20.0 || (i + 1).is_multiple_of(5) || i == 0;
    // The mean gives way to the ends of the scale.
    let apart = |v: f64| (y(v) - y(least)).abs() > 16.0 && (y(v) - y(most)).abs() > 16.0;
    let body = html! {
        @if let Some((low, high)) = limits {
            (rect([LEFT, y(high)], [WIDTH - LEFT, y(low) - y(high)], BAND))
            (dashes([LEFT, y(low)], [WIDTH, y(low)], 1.0))
            (dashes([LEFT, y(high)], [WIDTH, y(high)], 1.0))
        }
        (line([LEFT, y(mean)], [WIDTH, y(mean)], 1.0, SOFT))
        path d=(path.concat()) fill="none" stroke=(INK) stroke-width="1.5" {}
        @for (i, v) in values.iter().enumerate() {
            @if odd.get(i).copied().unwrap_or_default() {
                circle cx=(at(x(i))) cy=(at(y(*v))) r="11" fill="none" stroke=(INK) stroke-width="2" {}
            }
            (lozenge([x(i), y(*v)], 6.0))
            @if written(i) { (word([x(i), FOOT + 24.0], "middle", &(i + 1).to_string())) }
        }
        (word([LEFT - 6.0, y(most) + 5.0], "end", &write(most)))
        @if most - least > 1e-9 { (word([LEFT - 6.0, y(least) + 5.0], "end", &write(least))) }
        @if apart(mean) { (word([LEFT - 6.0, y(mean) + 5.0], "end", &write(mean))) }
    };
    drawing("", [WIDTH, HEIGHT], title, says, &body)
}
