//! The match sheet: is it inside, what differs and where, what can still be done.

use maud::{Markup, html};
use palette::{IntoColor, Lab, Srgb};

use super::super::picture::{self, Silver};
use super::super::{Sheet, chart, part, say};
use crate::compare::squares::{Against, Squares};
use crate::compare::tint::Tint;
use crate::compare::{MeasureMatch, Side, Verdict};
use crate::error::Result;
use crate::fingerprint::apart::apart;
use crate::fingerprint::metric::{COVERAGE, Metric, Rule};
use crate::frame::Plane;
use crate::measure::{Measurements, Texture};
use crate::report::text::weak;
use crate::report::words::keeping::word;
use crate::report::{Matched, words};
use crate::units::{Estimate, PlaceMm, axial, circular};

/// Side of the pieces that are shown in their real size, mm: they fit a telephone.
const REAL_SIZE_MM: f64 = 60.0;

/// A match as a page.
///
/// # Errors
/// A picture cannot be written out.
pub fn matched(report: &Matched<'_>, sample: &Silver<'_>, panel: &Silver<'_>) -> Result<String> {
    let mut said = report.answer();
    said.extend(report.decided());
    let mut doubts = words::remarks(report.found);
    doubts.extend(weak(report.panel.fingerprint));
    let (a, b) = (
        &report.sample.fingerprint.measurements,
        &report.panel.fingerprint.measurements,
    );
    let names = [report.sample.name, report.panel.name];
    let sheet = Sheet {
        kind: say::MATCH,
        about: &format!("{} / {}", names[1], names[0]),
        verdict: Some((report.found.verdict, report.found.lean)),
        words: &said,
        beside: html! {
            @if let Some(silver) = silver(report) { (silver) }
            (part::beside(say::FLAGS, &doubts))
            (part::beside(say::CAUTIONS, report.cautions()))
        },
        body: html! {
            (part::part(say::BESIDE, &side_by_side(report, sample, panel)?))
            (part::part(say::DIFFER, &where_they_differ(report, names, sample, panel)))
            @if let Some(places) = unlike(report, [sample, panel]) {
                (part::part(say::UNLIKE, &most_unlike(names, [sample, panel], places)?))
            }
            (part::part(say::REAL, &in_real_size(names, sample, panel)?))
            div.charts {
                (part::charted(say::LEVELS, &part::levels(b, Some(a)), say::LEVELS_BOTH))
                @if let Some(tones) = tones(names, a, b) { (part::part(say::TONES, &tones)) }
            }
            (part::measured(say::ALLOWED, say::ALLOWED_KEY, report.found.measures.iter().map(measure)))
        },
    };
    Ok(sheet.html())
}

/// The places of sample and panel that look least alike; of a panel within there are none.
fn unlike(report: &Matched<'_>, silver: [&Silver<'_>; 2]) -> Option<[PlaceMm; 2]> {
    let texture = |side: &Side<'_>| side.fingerprint.measurements.texture.clone();
    let [sample, panel] = [report.sample, report.panel].each_ref().map(texture);
    let [of_sample, of_panel] = apart(&sample, &panel)?.least_alike;
    let place = |silver: &Silver<'_>, i: usize| {
        Texture::lie(silver.plane.dim(), silver.px_per_mm)
            .get(i)
            .copied()
    };
    let both = Some([place(silver[0], of_sample)?, place(silver[1], of_panel)?]);
    both.filter(|_| report.found.verdict != Verdict::Within)
}

/// How much silver is left, against what may be: the first figure that a maker asks for.
fn silver(report: &Matched<'_>) -> Option<Markup> {
    let m = report.found.measure(&COVERAGE)?;
    let (drawn, band) = drawn(m)?;
    let sample = m.sample.ok()?.value;
    let says = say::silver(m.panel.ok()?.value, sample, band);
    let chart = chart::allowance(m.metric.title, drawn, band, sample, |v| {
        written(m.metric, v)
    });
    Some(html! { div.first { p { b { (says) } } (chart) } })
}

/// A measure with its interval as it is drawn, and from where to where it may lie.
fn drawn(m: &MeasureMatch) -> Option<(Estimate, (f64, f64))> {
    let (found, sample) = (m.found?, m.sample.ok()?.value);
    let at = |step: f64| sample + step;
    let drawn = Estimate {
        value: at(found.difference),
        low: at(found.low),
        high: at(found.high),
    };
    let end = |step: f64| at(m.metric.step(sample, step));
    Some((drawn, (end(-m.allowed.less), end(m.allowed.more))))
}

/// Both whole, so that a millimetre of one is as wide as a millimetre of the other.
fn side_by_side(report: &Matched<'_>, sample: &Silver<'_>, panel: &Silver<'_>) -> Result<Markup> {
    let widest = sample.size_mm()[0].max(panel.size_mm()[0]).max(1e-9);
    let whole = |side: Side<'_>, silver: &Silver<'_>| {
        let placement = &side.fingerprint.provenance.placement;
        let more = say::sized(placement.size, placement.stage);
        part::whole(side.name, &more, silver, widest)
    };
    let (first, second) = rayon::join(
        || whole(report.sample, sample),
        || whole(report.panel, panel),
    );
    Ok(html! { div.pair { (first?) (second?) } })
}

fn in_real_size(names: [&str; 2], sample: &Silver<'_>, panel: &Silver<'_>) -> Result<Markup> {
    let piece = |name: &str, silver: &Silver<'_>| {
        let (uri, side_mm) = silver.real_size(REAL_SIZE_MM)?;
        Ok(picture::in_real_size(
            &uri,
            &say::panel_alt(name),
            side_mm,
            &format!("{} {name}", say::scale::real_from_the_middle(side_mm)),
        ))
    };
    Ok(html! { div.pair { (piece(names[0], sample)?) (piece(names[1], panel)?) } })
}

/// The places of both that look least alike, in their real size.
fn most_unlike(names: [&str; 2], silver: [&Silver<'_>; 2], places: [PlaceMm; 2]) -> Result<Markup> {
    let piece = |i: usize| {
        let (uri, side_mm) = silver[i].place(places[i])?;
        let at = say::place(places[i]);
        Ok(picture::in_real_size(
            &uri,
            &say::place_alt(names[i], &at),
            side_mm,
            &format!("{}, {at}, {}", names[i], say::scale::real(side_mm)),
        ))
    };
    Ok(html! { div.pair { (piece(0)?) (piece(1)?) } })
}

/// What is gone of both, by squares of one size and discs of one scale.
fn where_they_differ(
    report: &Matched<'_>,
    names: [&str; 2],
    sample: &Silver<'_>,
    panel: &Silver<'_>,
) -> Markup {
    let may = report
        .found
        .found(&COVERAGE)
        .map_or(COVERAGE.allowance, |f| f.allowance);
    let squares = Squares::of(
        (sample.plane, sample.px_per_mm),
        (panel.plane, panel.px_per_mm),
        may,
    );
    let side = chart::side(&squares.panel).min(chart::side(&squares.sample));
    let (darker, lighter) = (
        squares.count(Against::Darker),
        squares.count(Against::Lighter),
    );
    let says = say::DISCS;
    let key = say::differ_key(darker, lighter);
    let lies = |gone: &Plane, side: Side<'_>| {
        part::lies(gone, &side.fingerprint.measurements).unwrap_or_else(|| says.to_owned())
    };
    let of_panel = format!("{} {key}", lies(&squares.panel, report.panel));
    html! {
        div.pair {
            figure {
                (chart::discs(&squares.sample, Some(side), &[], names[0], &lies(&squares.sample, report.sample)))
                figcaption { b { (names[0]) } }
            }
            figure {
                (chart::discs(&squares.panel, Some(side), &squares.against, names[1], &of_panel))
                figcaption { b { (names[1]) } }
            }
        }
        p.soft { (says) " " (key) }
    }
}

/// The colour of the silver that is left, of both.
fn tones(names: [&str; 2], a: &Measurements, b: &Measurements) -> Option<Markup> {
    let tone =
        |m: &Measurements| Some((part::value(m.tone_a)?, part::value(m.tone_b)?, Tint::of(m)?));
    let both = [tone(a)?, tone(b)?];
    Some(html! {
        @for (name, (a, b, tint)) in names.iter().zip(both) {
            p {
                (chart::swatch(&shade(a, b), name))
                (say::tone(name, tint))
            }
        }
    })
}

/// A tone at the lightness of bright silver, as a screen shows it.
fn shade(a: f64, b: f64) -> String {
    let colour: Srgb<f64> = Lab::<palette::white_point::D65, f64>::new(85.0, a, b).into_color();
    let [r, g, b] =
        [colour.red, colour.green, colour.blue].map(|c| (c.clamp(0.0, 1.0) * 100.0).round());
    format!("rgb({r}% {g}% {b}%)")
}

/// One measure against what it may be.
fn measure(m: &MeasureMatch) -> Markup {
    let row = m.metric;
    let (Some(found), Some((drawn, band)), Ok(sample), Ok(panel)) =
        (m.found, drawn(m), m.sample, m.panel)
    else {
        return part::unmeasured(row.title, &words::why_not_compared(m));
    };
    let verdict = match found.verdict {
        Verdict::Within => word(found.verdict).to_owned(),
        Verdict::Outside | Verdict::Unsure => word(found.verdict).to_uppercase(),
    };
    let says = say::both(
        &part::figure(row, panel.value),
        &part::figure(row, sample.value),
    );
    let chart = chart::allowance(row.title, drawn, band, sample.value, |v| written(row, v));
    part::measure(row.title, &verdict, &says, &chart)
}

/// A figure as its row writes it; an axis comes round again.
fn written(row: &Metric, value: f64) -> String {
    match row.rule {
        Rule::Axial => row.format(axial(value)),
        Rule::Circular => row.format(circular(value)),
        Rule::Difference | Rule::Ratio => row.format(value.clamp(row.range.0, row.range.1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::panel::Tints;
    use ndarray::Array2;

    #[test]
    fn the_places_most_unlike_are_drawn_in_their_real_size() {
        let plane = Plane::from_elem((300, 400), 0.7);
        let tints = Tints(Array2::from_elem((60, 80), [255, 220, 160]));
        let silver = Silver {
            plane: &plane,
            tints: Some(&tints),
            px_per_mm: 10.0,
            speckles: None,
        };
        // The second reaches over the panel's edge and is moved back onto it.
        let places = [(2.0, 3.0), (38.0, 1.0)].map(|(left, top)| PlaceMm {
            left,
            top,
            side: 12.0,
        });
        let drawn = most_unlike(["bar", "new"], [&silver, &silver], places).unwrap();
        let drawn = drawn.into_string();
        assert_eq!(drawn.matches("data:image/jpeg").count(), 2);
        assert_eq!(drawn.matches("width:12.00mm").count(), 2);
        assert!(
            drawn.contains("new, 38 mm from the left, 1 mm from the top"),
            "{drawn}"
        );
    }
}
