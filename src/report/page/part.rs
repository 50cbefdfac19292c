//! What several sheets show.

use maud::{Markup, html};

use super::chart::{self, Row};
use super::most::most;
use super::picture::{self, Silver};
use super::{quoted, say};
use crate::compare::lie::{SQUARES, lie};
use crate::compare::squares::gone;
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{Metric, figures};
use crate::frame::Plane;
use crate::measure::{Measurements, Settings};
use crate::report::text::weak;
use crate::units::Measure;

/// A part of a sheet under its heading.
pub(super) fn part(heading: &str, body: &Markup) -> Markup {
    html! { section { h2 { (heading) } (body) } }
}

/// A part that may run over a page's end.
pub(super) fn long_part(heading: &str, body: &Markup) -> Markup {
    html! { section.long { h2 { (heading) } (body) } }
}

/// A chart under its heading, with what it shows below it.
pub(super) fn charted(heading: &str, chart: &Markup, says: &str) -> Markup {
    part(heading, &html! { (chart) p.soft { (says) } })
}

/// One of the charts of a part, under a heading of its own; what is said below it may be nothing.
pub(super) fn charted_below(heading: &str, chart: &Markup, says: &str) -> Markup {
    html! {
        section {
            h3 { (heading) }
            (chart)
            @if !says.is_empty() { p.soft { (says) } }
        }
    }
}

/// Measures under their heading, below how their drawings are read.
pub(super) fn measured(heading: &str, key: &str, measures: impl Iterator<Item = Markup>) -> Markup {
    let body = html! {
        p.soft.key { (key) }
        dl.measures { @for measure in measures { (measure) } }
    };
    long_part(heading, &body)
}

/// What stands beside the answer and must not be overlooked; nothing where there is nothing.
pub(super) fn beside<S: AsRef<str>>(heading: &str, lines: &[S]) -> Markup {
    html! {
        @if !lines.is_empty() {
            div.beside {
                h2 { (heading) }
                ul { @for line in lines { li { (quoted(line.as_ref())) } } }
            }
        }
    }
}

/// What is weak about a photo, each with what to do.
pub(super) fn flags(fingerprint: &Fingerprint) -> Markup {
    beside(say::FLAGS, &weak(fingerprint))
}

/// Names and what holds of them.
pub(super) fn facts(facts: &[(&str, String)]) -> Markup {
    html! {
        dl.facts {
            @for (name, says) in facts.iter().filter(|(_, says)| !says.is_empty()) {
                dt { (name) } dd { (says) }
            }
        }
    }
}

/// One measure of a list: its name and figure, and its drawing beside them.
pub(super) fn measure(title: &str, figure: &str, says: &str, chart: &Markup) -> Markup {
    html! {
        div.measure {
            dt {
                b { (title) } " " (figure)
                @if !says.is_empty() { span.soft { (says) } }
            }
            dd { (chart) }
        }
    }
}

/// A measure of a list that has no figure, and why.
pub(super) fn unmeasured(title: &str, why: &str) -> Markup {
    html! { div.measure { dt { b { (title) } } dd { (why) } } }
}

/// A measure's name with its unit, as it stands over a chart.
pub(super) fn titled(row: &Metric) -> String {
    format!("{} {}", row.title, row.unit).trim_end().to_owned()
}

/// A figure with its unit.
pub(super) fn figure(row: &Metric, value: f64) -> String {
    format!("{} {}", row.format(value), row.unit)
        .trim_end()
        .to_owned()
}

/// Every measure with its interval.
pub(super) fn measures(fingerprint: &Fingerprint) -> Markup {
    html! {
        p.soft.key { (say::MEASURES_KEY) }
        dl.measures {
            @for row in figures() {
                @match fingerprint.measure(row) {
                    Ok(found) => (measure(row.title, &figure(row, found.value),
                        &say::between(&row.format(found.low), &row.format(found.high), row.meaning),
                        &chart::reading(row, found))),
                    Err(why) => (unmeasured(row.title, &why.to_string())),
                }
            }
        }
    }
}

/// A panel whole, beside others of which the widest is `widest_mm`; `more` is said after its name.
pub(super) fn whole(name: &str, more: &str, silver: &Silver<'_>, widest_mm: f64) -> Result<Markup> {
    let uri = silver.seen()?;
    let caption = html! { b { (name) } (more) };
    let width_mm = silver.size_mm()[0];
    Ok(picture::figure(
        &uri,
        &say::panel_alt(name),
        (width_mm, widest_mm),
        &caption,
    ))
}

/// The panel beside the same with what was counted.
pub(super) fn counted(name: &str, silver: &Silver<'_>) -> Result<Markup> {
    let (small, px_per_mm) = silver.shown();
    let settings = Settings::default();
    let (seen, drawn) = rayon::join(
        || silver.seen(),
        || silver.drawn((&small, px_per_mm), &settings),
    );
    let width_mm = silver.size_mm()[0];
    let key = say::counted_key(silver.speckles.is_some());
    Ok(html! {
        div.pair {
            (part(say::PANEL,
                &picture::figure(&seen?, &say::panel_alt(name), (width_mm, width_mm), &html! {})))
            (part(say::COUNTED,
                &picture::figure(&drawn?, &say::counted_alt(name), (width_mm, width_mm), &html! { (key) })))
        }
    })
}

/// Where silver is gone, how it is spread, how the specks and the streaks lie, and at what scale it was lost.
pub(super) fn charts(m: &Measurements, silver: &Silver<'_>) -> Markup {
    let gone = gone((silver.plane, silver.px_per_mm), silver.long_mm() / SQUARES);
    let direction = m.streak_angle.ok().map(|e| e.value);
    let parts = [m.parts.even, m.parts.fine, m.parts.middle, m.parts.coarse];
    let rows: Vec<Row<'_>> = say::PART_NAMES
        .iter()
        .zip(parts)
        .map(|(name, amount)| Row {
            name,
            amount,
            written: format!("{amount:.1}"),
        })
        .collect();
    let lies = lies(&gone, m);
    let sizes = &m.speckle_sizes;
    let sizes_alt =
        say::seen::sizes(most(&sizes.per_cm2).map(|(a, b)| (sizes.edges_mm[a], sizes.edges_mm[b])));
    let rose_alt = say::seen::rose(direction);
    let parts_alt = say::seen::amounts(rows.iter().map(|row| (row.name, row.written.as_str())));
    let floor = m.speckle_floor_mm;
    html! {
        div.charts {
            (part(say::WHERE, &html! {
                (chart::discs(&gone, None, &[], say::WHERE, lies.as_deref().unwrap_or(say::DISCS)))
                @if let Some(lies) = &lies { p { (lies) } }
                p.soft { (say::DISCS) }
            }))
            (charted(say::LEVELS, &levels(m, None), say::LEVELS_SAYS))
            (charted(say::SIZES, &chart::sizes(sizes, floor, say::SIZES, &sizes_alt), &say::sizes(floor)))
            (charted(say::ROSE, &chart::rose(&m.streak_rose, direction, say::ROSE, &rose_alt, say::ROSE_NAMES), &say::rose(direction)))
            (charted(say::PARTS, &chart::rows(&rows, say::PARTS, &parts_alt), &say::parts(parts.iter().sum())))
        }
    }
}

/// Where silver is gone, by squares; nothing where that cannot be told.
pub(super) fn lies(gone: &Plane, m: &Measurements) -> Option<String> {
    lie(gone, m).map(say::seen::lie)
}

/// How the silver is spread between bare and full; the sample's as a line where there is one.
pub(super) fn levels(m: &Measurements, sample: Option<&Measurements>) -> Markup {
    let where_most = |m: &Measurements| {
        let bins = m.silver_histogram.len() as f64;
        let (from, to) = most(&m.silver_histogram)?;
        Some((from as f64 / bins, to as f64 / bins))
    };
    let says = [
        where_most(m).map(say::seen::levels),
        sample.and_then(where_most).map(say::seen::levels_of_sample),
    ];
    chart::levels(
        &m.silver_histogram,
        sample.map(|s| s.silver_histogram.as_slice()),
        &Settings::default(),
        say::LEVELS,
        &says.into_iter().flatten().collect::<Vec<_>>().join(" "),
        say::LEVEL_NAMES,
    )
}

/// How the light was evened, and what the camera noted.
pub(super) fn provenance(fingerprint: &Fingerprint) -> Markup {
    let p = &fingerprint.provenance;
    let c = &p.capture;
    let written = |v: Option<String>| v.unwrap_or_default();
    let camera = say::fact::camera(c.make.as_deref(), c.model.as_deref());
    let photo = [
        (say::fact::CAMERA, camera),
        (say::fact::TAKEN, written(c.taken.clone())),
        (
            say::fact::EXPOSURE,
            say::fact::exposure(c.exposure_s, c.f_number, c.iso),
        ),
        (say::fact::SIZE, p.placement.size.to_string()),
        (say::fact::SIDE, say::side(p.placement.side).to_owned()),
        (say::fact::STAGE, say::stage(p.placement.stage).to_owned()),
        (
            say::fact::RESOLUTION,
            say::fact::resolution(p.px_per_mm, p.blur_mm),
        ),
        (say::fact::DIGEST, p.photo_digest.chars().take(16).collect()),
    ];
    let light = say::light(p.silver_scale, p.rig.as_deref());
    html! {
        div.pair {
            (part(say::LIGHT, &html! {
                p { (quoted(&light)) }
                p.soft { (say::fact::steps(p.steps.iter().map(|s| s.step.as_str()))) }
            }))
            (part(say::CAPTURE, &facts(&photo)))
        }
    }
}

/// A measure's value, where it has one.
pub(super) fn value(measure: Measure) -> Option<f64> {
    measure.ok().map(|e| e.value)
}
