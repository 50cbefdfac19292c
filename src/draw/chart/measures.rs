//! One measure: its interval on its own scale, or against what it may be.

use maud::{Markup, html};

use super::super::colour::{BAND, INK, LINE};
use super::{drawing, line, lozenge, plain, rect, round_up, word};
use crate::fingerprint::metric::{Metric, Rule};
use crate::units::Estimate;

const WIDTH: f64 = 232.0;
const HEIGHT: f64 = 42.0;
/// The scale runs between these.
const FROM: f64 = 14.0;
const TO: f64 = WIDTH - 14.0;
/// Where the line runs.
const MIDDLE: f64 = 13.0;
/// Where figures are written.
const FOOT: f64 = 36.0;

/// A measure with its interval, on the scale that it can have or the part of it that figures like these need.
pub(crate) fn reading(metric: &Metric, found: Estimate) -> Markup {
    let (low, high) = scale(metric, found);
    let x = |v: f64| FROM + (v - low) / (high - low) * (TO - FROM);
    let body = html! {
        (line([FROM, MIDDLE], [TO, MIDDLE], 1.0, LINE))
        (line([FROM, MIDDLE - 5.0], [FROM, MIDDLE + 5.0], 1.0, LINE))
        (line([TO, MIDDLE - 5.0], [TO, MIDDLE + 5.0], 1.0, LINE))
        (interval(x(found.low.max(low)), x(found.high.min(high)), x(found.value.clamp(low, high))))
        (word([FROM, FOOT], "middle", &plain(low)))
        (word([TO, FOOT], if high >= 100.0 { "end" } else { "middle" }, &plain(high)))
    };
    let says = written(metric, found);
    drawing("", [WIDTH, HEIGHT], metric.title, &says, &body)
}

/// Ends of the scale of a measure: all that it can be, or so much as a figure with a unit or of either sign needs.
fn scale(metric: &Metric, found: Estimate) -> (f64, f64) {
    let (least, most) = metric.range;
    let fits = !metric.unit.is_empty() && !matches!(metric.rule, Rule::Axial | Rule::Circular);
    if least >= 0.0 && !fits {
        return (least, most);
    }
    let reach = found.low.abs().max(found.high.abs()).max(metric.allowance);
    let end = round_up(1.2 * reach).min(most);
    (if least < 0.0 { -end } else { least }, end)
}

/// A measure with its interval on a scale from 0 to `top`, as wide as a phone takes it.
pub(crate) fn on_scale(title: &str, metric: &Metric, found: Estimate, top: f64) -> Markup {
    let to = super::WIDTH - FROM;
    let x = |v: f64| FROM + v / top.max(1e-9) * (to - FROM);
    let says = format!("{} {}", metric.title, written(metric, found));
    let body = html! {
        (line([FROM, MIDDLE], [to, MIDDLE], 1.0, LINE))
        (interval(x(found.low), x(found.high), x(found.value)))
    };
    drawing("", [super::WIDTH, 26.0], title, &says, &body)
}

fn written(metric: &Metric, found: Estimate) -> String {
    let [value, low, high] = [found.value, found.low, found.high].map(|v| metric.format(v));
    let unit = metric.unit;
    format!("{} ({low} – {high})", format!("{value} {unit}").trim_end())
}

fn interval(low: f64, high: f64, value: f64) -> Markup {
    html! {
        (line([low, MIDDLE], [high.max(low + 1.0), MIDDLE], 6.0, INK))
        (lozenge([value, MIDDLE], 8.0))
    }
}

/// What was found against what may be, with a tick at the sample's figure. Figures grow to the right; one that leaves the
/// drawing ends in an arrow. `write` says how a figure is written; all are in the measure's own unit.
pub(crate) fn allowance(
    title: &str,
    found: Estimate,
    (least, most): (f64, f64),
    sample: f64,
    write: impl Fn(f64) -> String,
) -> Markup {
    let width = (most - least).max(1e-9);
    let room = (found.high - most)
        .max(least - found.low)
        .clamp(0.35 * width, 1.5 * width);
    let (low, high) = (least - room, most + room);
    let x = |v: f64| FROM + (v - low) / (high - low) * (TO - FROM);
    let inside = |v: f64| x(v.clamp(low, high));
    let body = html! {
        (rect([x(least), 1.0], [x(most) - x(least), 24.0], BAND))
        (line([x(least), 1.0], [x(least), 25.0], 1.5, INK))
        (line([x(most), 1.0], [x(most), 25.0], 1.5, INK))
        (line([inside(sample), 1.0], [inside(sample), 25.0], 1.0, LINE))
        (interval(inside(found.low), inside(found.high), inside(found.value)))
        @if found.low < low { (head(FROM, 1.0)) }
        @if found.high > high { (head(TO, -1.0)) }
        (word([x(least), FOOT + 3.0], "middle", &write(least)))
        (word([x(most), FOOT + 3.0], "middle", &write(most)))
    };
    let [value, from, to] = [found.value, least, most].map(write);
    drawing(
        "",
        [WIDTH, HEIGHT],
        title,
        &format!("{value} ({from} – {to})"),
        &body,
    )
}

/// The head of an arrow at an end of the drawing.
fn head(x: f64, inwards: f64) -> Markup {
    let tip = x - 12.0 * inwards;
    html! {
        path d=(format!("M{tip} {MIDDLE}L{x} {}L{x} {}Z", MIDDLE - 8.0, MIDDLE + 8.0)) fill=(INK) {}
    }
}
