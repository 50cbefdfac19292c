//! What a page shows of a match: both panels, where they differ, and each measure against what it may be.

use maud::{Markup, html};
use palette::{IntoColor, Lab, Srgb};

use crate::compare::squares::{Against, Squares};
use crate::compare::tint::Tint;
use crate::compare::{Match, MeasureMatch, Side, WholeMatch};
use crate::document::{Block, Figures, Row, panel};
use crate::draw::{chart, embedded};
use crate::error::Result;
use crate::fingerprint::apart::apart;
use crate::fingerprint::metric::{COVERAGE, Metric, Rule};
use crate::fingerprint::{Fingerprint, Verdict};
use crate::frame::Plane;
use crate::measure::{Measurements, Texture};
use crate::silver::Silver;
use crate::studio::match_to::Matched;
use crate::units::{Estimate, Measure, PlaceMm, axial, circular};
use crate::words::keeping::word;
use crate::words::{self, captions as say};

/// Side of the pieces that are shown in their real size, mm: they fit a telephone, and four of them a sheet of paper.
const REAL_SIZE_MM: f64 = 40.0;

/// How many times as high as wide its column a panel is drawn at most.
const TALLEST: f64 = 1.2;

/// Both panels beside each other; `silver` is that of the sample and of the panel.
pub(super) fn pictures(matched: &Matched, silver: &[Silver; 2]) -> Result<Vec<Block>> {
    let sides = [matched.sample.side(), matched.panel.side()];
    Ok(vec![Block::Part(
        "Side by side, at one scale and in one light",
        vec![
            side_by_side(sides, silver)?,
            Block::Key(say::CONTRAST.to_owned()),
        ],
    )])
}

/// Where both differ, and what is left of their silver; `silver` is that of the sample and of the panel.
pub(super) fn charts(matched: &Matched, silver: &[Silver; 2]) -> Result<Vec<Block>> {
    let sides = [matched.sample.side(), matched.panel.side()];
    let names = sides.map(|side| side.name);
    let [a, b] = sides.map(|side| &side.fingerprint.measurements);
    let mut blocks = vec![Block::Part(
        "Where they differ",
        where_they_differ(&matched.found, sides, silver),
    )];
    let places = unlike(matched, silver);
    let heading = if places.is_some() {
        "In their real size: the two places most unlike, and the middle of both"
    } else {
        "A piece of each in its real size"
    };
    let pieces = in_real_size(names, silver, places)?;
    blocks.push(Block::Part(
        heading,
        vec![
            Block::Drawing(pieces),
            Block::Key(say::scale::REAL.to_owned()),
        ],
    ));
    let mut charts = vec![panel::charted(
        say::LEVELS,
        panel::levels(b, Some(a)),
        "Bars: the panel. Broken line: the sample. From bare glass on the left to full silver on the right; little is drawn taller than it is, so that it is seen too.",
    )];
    charts.extend(
        tones(names, a, b)
            .map(|tones| Block::Part("The colour of the silver that is left", vec![tones])),
    );
    blocks.push(Block::Columns(charts));
    Ok(blocks)
}

/// How much silver is left, against what may be: the first figure that a maker asks for.
pub(super) fn lead(found: &Match) -> Option<Block> {
    let m = found.measure(&COVERAGE)?;
    let (drawn, band) = drawn(m)?;
    let sample = m.sample.ok()?.value;
    let says = say::silver(m.panel.ok()?.value, sample, band);
    let written = |v| written(m.metric, v);
    let chart = chart::allowance(m.metric.title, drawn, band, sample, written);
    Some(Block::Lead(says, chart))
}

/// Each measure against what it may be; then what is compared as a whole, where it decides.
pub(super) fn figures(matched: &Matched) -> Block {
    let (found, sample) = (&matched.found, matched.sample.side().fingerprint);
    let wholes = found.wholes.iter();
    let decide = wholes.filter(|w| w.verdict != Verdict::Within);
    Block::Figures(Figures {
        heading: "Each measure, and how far it may go",
        key: "Pale band: what may be. Diamond: this panel. Thick line: 95 times in 100 it goes no further to that side, the sample's own doubt included. Thin tick: the sample. An arrow goes on beyond the drawing.",
        head: vec!["", "sample", "panel", "may differ by", "", ""],
        numbers: 3,
        rows: (found.measures.iter().map(|m| measure(m, sample)))
            .chain(decide.map(whole))
            .collect(),
    })
}

/// A verdict that stands out where it asks for something.
fn shown(verdict: Verdict) -> String {
    match verdict {
        Verdict::Within | Verdict::Unsure => word(verdict).to_owned(),
        Verdict::Outside => word(verdict).to_uppercase(),
    }
}

fn measure(m: &MeasureMatch, of: &Fingerprint) -> Row {
    let row = m.metric;
    let value = |m: Measure| m.map_or_else(|_| "-".to_owned(), |e| row.format(e.value));
    let (allowance, verdict) = m.found.map_or_else(
        || ("-".to_owned(), "not compared".to_owned()),
        |f| (row.format(f.allowance), shown(f.verdict)),
    );
    let cells = vec![
        value(m.sample),
        value(m.panel),
        allowance,
        row.unit.to_owned(),
        verdict.clone(),
    ];
    let title = row.title.to_owned();
    let (Some((drawn, band)), Ok(sample), Ok(panel)) = (drawn(m), m.sample, m.panel) else {
        return Row {
            title,
            cells,
            figure: String::new(),
            says: words::why_not_compared(m),
            drawing: None,
        };
    };
    let [of_panel, of_sample] = [panel, sample].map(|e| panel::figure(row, e.value));
    let written = |v| written(row, v);
    Row {
        title,
        cells,
        figure: verdict,
        says: say::both(&of_panel, &of_sample) + &own_figure(m, sample.value, of),
        drawing: Some(chart::allowance(
            row.title,
            drawn,
            band,
            sample.value,
            written,
        )),
    }
}

/// The figure that the sample's own reading gives, where it is another: there finer specks count.
fn own_figure(m: &MeasureMatch, at_floor: f64, sample: &Fingerprint) -> String {
    let row = m.metric;
    let own = row.of(&sample.measurements).ok().map(|own| own.value);
    let own =
        own.filter(|own| row.above_floor.is_some() && row.format(*own) != row.format(at_floor));
    own.map_or_else(String::new, |own| say::own_figure(&panel::figure(row, own)))
}

/// What is compared as a whole has no figure of its own.
fn whole(w: &WholeMatch) -> Row {
    let (none, decimals) = ("-".to_owned(), w.whole.decimals);
    Row {
        title: w.whole.title.to_owned(),
        cells: vec![
            none.clone(),
            none,
            format!("{:.decimals$}", w.allowance),
            w.whole.unit.to_owned(),
            shown(w.verdict),
        ],
        figure: shown(w.verdict),
        says: say::apart(w.difference / w.allowance),
        drawing: None,
    }
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
fn side_by_side(sides: [Side<'_>; 2], silver: &[Silver; 2]) -> Result<Block> {
    // A tall one is drawn smaller, and the other with it, so that both are seen at once.
    let as_wide = |silver: &Silver| {
        let [width, height] = silver.size_mm();
        width.max(height / TALLEST)
    };
    let widest = as_wide(&silver[0]).max(as_wide(&silver[1])).max(1e-9);
    let whole = |i: usize| {
        let placement = &sides[i].fingerprint.provenance.placement;
        let more = say::sized(placement.size, placement.stage);
        panel::whole(sides[i].name, &more, &silver[i], widest)
    };
    let (first, second) = rayon::join(|| whole(0), || whole(1));
    Ok(Block::Pair(vec![first?, second?]))
}

/// The places of sample and panel that look least alike; of a panel within there are none.
fn unlike(matched: &Matched, silver: &[Silver; 2]) -> Option<[PlaceMm; 2]> {
    let texture = |side: Side<'_>| side.fingerprint.measurements.texture.clone();
    let [sample, panel] = [matched.sample.side(), matched.panel.side()].map(texture);
    let [of_sample, of_panel] = apart(&sample, &panel)?.least_alike;
    let place = |silver: &Silver, i: usize| {
        let places = Texture::lie(silver.plane.dim(), silver.px_per_mm);
        places.get(i).copied()
    };
    let both = Some([place(&silver[0], of_sample)?, place(&silver[1], of_panel)?]);
    both.filter(|_| matched.found.verdict != Verdict::Within)
}

/// The places of both that look least alike, where they are known, and a piece from the middle of each, in their real size.
fn in_real_size(
    names: [&str; 2],
    silver: &[Silver; 2],
    places: Option<[PlaceMm; 2]>,
) -> Result<Markup> {
    let mut pieces = Vec::new();
    for (i, place) in places.into_iter().flatten().enumerate() {
        let (uri, side_mm) = embedded::at_place(&silver[i], place)?;
        let at = say::place(place);
        let caption = say::scale::real(names[i], &at, side_mm);
        let alt = say::place_alt(names[i], &at);
        pieces.push(embedded::in_real_size(&uri, &alt, side_mm, &caption));
    }
    for (name, silver) in names.iter().zip(silver) {
        let (uri, side_mm) = embedded::from_the_middle(silver, REAL_SIZE_MM)?;
        let caption = say::scale::real(name, say::scale::MIDDLE, side_mm);
        let alt = say::panel_alt(name);
        pieces.push(embedded::in_real_size(&uri, &alt, side_mm, &caption));
    }
    Ok(html! { div.pieces { @for piece in &pieces { (piece) } } })
}

/// What is gone of both, by squares of one size and discs of one scale.
fn where_they_differ(found: &Match, sides: [Side<'_>; 2], silver: &[Silver; 2]) -> Vec<Block> {
    let may = found.found(&COVERAGE);
    let may = may.map_or(COVERAGE.allowance, |f| f.allowance);
    let [sample, panel] = silver.each_ref().map(|s| (&s.plane, s.px_per_mm));
    let squares = Squares::of(sample, panel, may);
    let side = chart::side(&squares.panel).min(chart::side(&squares.sample));
    let (darker, lighter) = (
        squares.count(Against::Darker),
        squares.count(Against::Lighter),
    );
    let key = say::differ_key(darker, lighter);
    let figure = |of: Side<'_>, gone: &Plane, against: &[Against], more: &str| {
        let lies = panel::lies(gone, &of.fingerprint.measurements);
        let lies = lies.unwrap_or_else(|| say::DISCS.to_owned());
        let says = format!("{lies}{more}");
        Block::Drawing(html! {
            figure {
                (chart::discs(gone, Some(side), against, of.name, &says))
                figcaption { b { (of.name) } }
            }
        })
    };
    let key_of_panel = format!(" {key}");
    vec![
        Block::Pair(vec![
            figure(sides[0], &squares.sample, &[], ""),
            figure(sides[1], &squares.panel, &squares.against, &key_of_panel),
        ]),
        Block::Key(format!("{} {key}", say::DISCS)),
    ]
}

/// The colour of the silver that is left, of both.
fn tones(names: [&str; 2], a: &Measurements, b: &Measurements) -> Option<Block> {
    let value = |m: Measure| m.ok().map(|e| e.value);
    let tone = |m: &Measurements| Some((value(m.tone_a)?, value(m.tone_b)?, Tint::of(m)?));
    let both = [tone(a)?, tone(b)?];
    Some(Block::Drawing(html! {
        @for (name, (a, b, tint)) in names.iter().zip(both) {
            p {
                (chart::swatch(&shade(a, b), name))
                (say::tone(name, tint))
            }
        }
    }))
}

/// A tone at the lightness of bright silver, as a screen shows it.
fn shade(a: f64, b: f64) -> String {
    let colour: Srgb<f64> = Lab::<palette::white_point::D65, f64>::new(85.0, a, b).into_color();
    let [r, g, b] =
        [colour.red, colour.green, colour.blue].map(|c| (c.clamp(0.0, 1.0) * 100.0).round());
    format!("rgb({r}% {g}% {b}%)")
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
    use crate::document::{Document, page};
    use crate::frame::panel::Tints;
    use ndarray::Array2;

    #[test]
    fn the_places_most_unlike_are_drawn_in_their_real_size() {
        let plane = Plane::from_elem((300, 400), 0.7);
        let tints = Tints(Array2::from_elem((60, 80), [255, 220, 160]));
        let silver = || Silver {
            plane: plane.clone(),
            tints: Some(tints.clone()),
            px_per_mm: 10.0,
            speckles: None,
        };
        // The second reaches over the panel's edge and is moved back onto it.
        let places = [(2.0, 3.0), (38.0, 1.0)].map(|(left, top)| PlaceMm {
            left,
            top,
            side: 12.0,
        });
        let both = [silver(), silver()];
        let drawn = in_real_size(["bar", "new"], &both, Some(places)).unwrap();
        let document = Document {
            blocks: vec![Block::Drawing(drawn)],
            ..Document::new("", "")
        };
        let drawn = page::within(&document).into_string();
        assert_eq!(drawn.matches("data:image/jpeg").count(), 4);
        assert_eq!(drawn.matches("width:12.00mm").count(), 2);
        assert!(
            drawn.contains("new, 38 mm from the left, 1 mm from the top"),
            "{drawn}"
        );
    }
}
