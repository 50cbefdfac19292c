//! The blocks that show one panel: its pictures, its charts, its figures, and how its photo was read.

use maud::{Markup, html};

use super::{Block, Figures, Row};
use crate::compare::lie::{SQUARES, lie};
use crate::compare::squares::gone;
use crate::draw::chart::{self, Bar};
use crate::draw::{embedded, most::most};
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{Metric, figures};
use crate::frame::Plane;
use crate::measure::{Measurements, Settings};
use crate::silver::Silver;
use crate::words::captions as say;

/// A part with one drawing, and what it shows below it.
#[must_use]
pub fn charted(heading: &'static str, chart: Markup, says: impl Into<String>) -> Block {
    Block::Part(
        heading,
        vec![Block::Drawing(chart), Block::Key(says.into())],
    )
}

/// A measure's name with its unit, as it stands over a chart.
#[must_use]
pub fn titled(row: &Metric) -> String {
    format!("{} {}", row.title, row.unit).trim_end().to_owned()
}

/// A figure with its unit.
#[must_use]
pub fn figure(row: &Metric, value: f64) -> String {
    format!("{} {}", row.format(value), row.unit)
        .trim_end()
        .to_owned()
}

/// Every measure with its interval.
#[must_use]
pub fn measures(fingerprint: &Fingerprint) -> Block {
    let none = || "-".to_owned();
    let rows = figures().map(|row| match fingerprint.measure(row) {
        Ok(found) => {
            let [low, high] = [found.low, found.high].map(|v| row.format(v));
            Row {
                title: row.title.to_owned(),
                cells: vec![
                    row.format(found.value),
                    format!("{low} and {high}"),
                    row.unit.to_owned(),
                ],
                figure: figure(row, found.value),
                says: say::between(&low, &high, row.meaning),
                drawing: Some(chart::reading(row, found)),
            }
        }
        Err(why) => Row {
            title: row.title.to_owned(),
            cells: vec![none(), why.to_string(), String::new()],
            figure: String::new(),
            says: why.to_string(),
            drawing: None,
        },
    });
    Block::Figures(Figures {
        heading: "Every measure",
        key: "Diamond: what was found. Thick line: where it lies 95 times in 100. Thin line: all that the figure can be; for counts, millimetres, tones and edge loss a scale that fits the figure. Its ends are written below it.",
        head: vec!["", "value", "between", ""],
        numbers: 1,
        rows: rows.collect(),
    })
}

/// A panel whole, beside others of which the widest is `widest_mm`; `more` is said after its name.
///
/// # Errors
/// There is no memory for its picture.
pub fn whole(name: &str, more: &str, silver: &Silver, widest_mm: f64) -> Result<Block> {
    let uri = embedded::seen(silver)?;
    let caption = html! { b { (name) } (more) };
    let width_mm = silver.size_mm()[0];
    Ok(Block::Drawing(embedded::figure(
        &uri,
        &say::panel_alt(name),
        (width_mm, widest_mm),
        &caption,
    )))
}

/// The panel beside the same with what was counted.
///
/// # Errors
/// There is no memory for the pictures.
pub fn counted(name: &str, silver: &Silver) -> Result<Block> {
    let (seen, drawn) = rayon::join(|| embedded::seen(silver), || embedded::counted(silver));
    let width_mm = silver.size_mm()[0];
    let key = say::counted_key(silver.speckles.is_some());
    let figure = |heading, uri: String, alt: String, caption: Markup| {
        let figure = embedded::figure(&uri, &alt, (width_mm, width_mm), &caption);
        Block::Part(heading, vec![Block::Drawing(figure)])
    };
    Ok(Block::Pair(vec![
        figure(
            "The panel",
            seen?,
            say::panel_alt(name),
            html! { (say::CONTRAST) },
        ),
        figure(
            "The same, counted",
            drawn?,
            say::counted_alt(name),
            html! { (key) },
        ),
    ]))
}

/// Where silver is gone, how it is spread, how the specks and the streaks lie, and at what scale it was lost.
#[must_use]
pub fn charts(m: &Measurements, silver: &Silver) -> Block {
    let gone = gone(
        (&silver.plane, silver.px_per_mm),
        silver.long_mm() / SQUARES,
    );
    let direction = m.streak_angle.ok().map(|e| e.value);
    let parts = [m.parts.even, m.parts.fine, m.parts.middle, m.parts.coarse];
    let rows: Vec<Bar<'_>> = say::PART_NAMES
        .iter()
        .zip(parts)
        .map(|(name, amount)| Bar {
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
    let discs = chart::discs(
        &gone,
        None,
        &[],
        say::WHERE,
        lies.as_deref().unwrap_or(say::DISCS),
    );
    let mut places = vec![Block::Drawing(discs)];
    places.extend(lies.map(Block::Note));
    places.push(Block::Key(say::DISCS.to_owned()));
    Block::Columns(vec![
        Block::Part(say::WHERE, places),
        charted(
            say::LEVELS,
            levels(m, None),
            "From bare glass on the left to full silver on the right; little is drawn taller than it is, so that it is seen too.",
        ),
        charted(
            say::SIZES,
            chart::sizes(sizes, floor, say::SIZES, &sizes_alt),
            say::sizes(floor),
        ),
        charted(
            say::ROSE,
            chart::rose(
                &m.streak_rose,
                direction,
                say::ROSE,
                &rose_alt,
                say::ROSE_NAMES,
            ),
            say::rose(direction),
        ),
        charted(
            say::PARTS,
            chart::bars(&rows, say::PARTS, &parts_alt),
            say::parts(parts.iter().sum()),
        ),
    ])
}

/// Where silver is gone, by squares; nothing where that cannot be told.
#[must_use]
pub fn lies(gone: &Plane, m: &Measurements) -> Option<String> {
    lie(gone, m).map(say::seen::lie)
}

/// How the silver is spread between bare and full; the sample's as a line where there is one.
#[must_use]
pub fn levels(m: &Measurements, sample: Option<&Measurements>) -> Markup {
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
#[must_use]
pub fn provenance(fingerprint: &Fingerprint) -> Block {
    let p = &fingerprint.provenance;
    let c = &p.capture;
    let written = |v: Option<String>| v.unwrap_or_default();
    let camera = say::fact::camera(c.make.as_deref(), c.model.as_deref());
    let photo = vec![
        ("camera", camera),
        ("taken", written(c.taken.clone())),
        (
            "exposure",
            say::fact::exposure(c.exposure_s, c.f_number, c.iso),
        ),
        (say::fact::SIZE, p.placement.size.to_string()),
        ("seen from the", say::side(p.placement.side).to_owned()),
        ("stage", say::stage(p.placement.stage).to_owned()),
        ("sharpness", say::fact::resolution(p.px_per_mm, p.blur_mm)),
        (
            "fingerprint of the file",
            p.photo_digest.chars().take(16).collect(),
        ),
    ];
    let light = say::light(p.silver_scale, p.rig.as_deref());
    let steps = say::fact::steps(p.steps.iter().map(|s| s.step.as_str()));
    Block::Pair(vec![
        Block::Part(say::LIGHT, vec![Block::Note(light), Block::Key(steps)]),
        Block::Part("The photo", vec![Block::Facts(photo)]),
    ])
}
