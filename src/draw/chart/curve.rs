//! A measure against a setting: a lozenge for each panel, the curve a line, and where a new panel may lie a pale band. Nothing is
//! drawn beyond the settings that were tried.

use maud::{Markup, html};

use super::super::colour::{BAND, INK, SHADE, SOFT};
use super::{at, dashes, drawing, line, lozenge, word};
use crate::compare::effect::Point;
use crate::stats::effect::At;

const WIDTH: f64 = 680.0;
const HEIGHT: f64 = 360.0;
const LEFT: f64 = 60.0;
const RIGHT: f64 = WIDTH - 16.0;
const HEAD: f64 = 14.0;
const FOOT: f64 = HEIGHT - 56.0;

/// What is written at an axis.
pub(crate) struct Axis<'a> {
    /// Its name.
    pub(crate) name: &'a str,
    /// How a figure is written on it.
    pub(crate) write: &'a dyn Fn(f64) -> String,
}

/// Draws it; `curve` has places along the settings, `wanted` a measure and the setting that comes nearest to it.
pub(crate) fn curve(
    points: &[Point],
    curve: &[(f64, At)],
    wanted: Option<(f64, f64)>,
    (across, up): (Axis<'_>, Axis<'_>),
    says: &str,
) -> Markup {
    let ends = |values: &mut dyn Iterator<Item = f64>| {
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(v), h.max(v))
        });
        if high > low {
            (low, high)
        } else {
            (low - 0.5, high + 0.5)
        }
    };
    let (x_low, x_high) = ends(&mut points.iter().map(|p| p.setting));
    let bands = curve.iter().flat_map(|(_, a)| [a.panel.low, a.panel.high]);
    let (y_low, y_high) = ends(&mut points.iter().map(|p| p.measure).chain(bands));
    let x = |v: f64| LEFT + 10.0 + (v - x_low) / (x_high - x_low) * (RIGHT - LEFT - 20.0);
    let y = |v: f64| FOOT - (v - y_low) / (y_high - y_low) * (FOOT - HEAD);
    let path = |of: &dyn Fn(&At) -> f64, back: bool| -> String {
        let place = |(setting, a): &(f64, At)| format!("{} {}L", at(x(*setting)), at(y(of(a))));
        if back {
            curve.iter().rev().map(place).collect()
        } else {
            curve.iter().map(place).collect()
        }
    };
    let outline = |low: &dyn Fn(&At) -> f64, high: &dyn Fn(&At) -> f64| {
        let round = path(low, false) + &path(high, true);
        format!("M{}Z", round.trim_end_matches('L'))
    };
    let body = html! {
        @if !curve.is_empty() {
            path d=(outline(&|a| a.panel.low, &|a| a.panel.high)) fill=(BAND) {}
            path d=(outline(&|a| a.curve.low, &|a| a.curve.high)) fill=(SHADE) {}
            path d=(format!("M{}", path(&|a| a.curve.value, false).trim_end_matches('L'))) fill="none" stroke=(INK) stroke-width="2.5" {}
        }
        @if let Some((measure, setting)) = wanted {
            (dashes([LEFT, y(measure)], [x(setting), y(measure)], 1.5))
            (dashes([x(setting), y(measure)], [x(setting), FOOT], 1.5))
        }
        @for p in points { (lozenge([x(p.setting), y(p.measure)], 7.0)) }
        (line([LEFT, FOOT], [RIGHT, FOOT], 1.5, INK))
        (line([LEFT, HEAD], [LEFT, FOOT], 1.0, SOFT))
        (word([LEFT - 6.0, y(y_low) + 4.0], "end", &(up.write)(y_low)))
        (word([LEFT - 6.0, y(y_high) + 8.0], "end", &(up.write)(y_high)))
        (word([x(x_low), FOOT + 26.0], "start", &(across.write)(x_low)))
        (word([x(x_high), FOOT + 26.0], "end", &(across.write)(x_high)))
        (word([f64::midpoint(LEFT, RIGHT), FOOT + 48.0], "middle", across.name))
    };
    drawing("curve", [WIDTH, HEIGHT], up.name, says, &body)
}
