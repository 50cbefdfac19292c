//! The promise sheet: how far chance alone may take a panel of another size.

use image::RgbImage;
use maud::{Markup, html};

use super::super::{Sheet, chart, part, picture, say};
use crate::compare::promise::Stray;
use crate::error::Result;
use crate::report::{Promised, Report};

/// Long side of the sample's picture, pixels.
const LONG_SIDE_PX: usize = 360;

/// A promise as a page; `sample` is the sample, small.
///
/// # Errors
/// A picture cannot be written out.
pub fn promise(report: &Promised<'_>, sample: &RgbImage) -> Result<String> {
    let name = report.asked.name;
    let caption = format!("{name}, {}", report.asked.sample);
    let figure = picture::small_figure(sample, LONG_SIDE_PX, name, &caption)?;
    let strays = report.found.iter().flat_map(|p| &p.strays).map(stray);
    let sheet = Sheet {
        kind: say::PROMISE,
        about: name,
        verdict: None,
        words: &report.words(),
        beside: html! {},
        body: html! {
            (figure)
            @if report.found.is_some() {
                (part::measured(say::CHANCE, say::CHANCE_KEY, strays))
            }
        },
    };
    Ok(sheet.html())
}

/// Where chance leaves one measure, against what it may be.
fn stray(s: &Stray) -> Markup {
    let row = s.metric;
    let write = |v| row.format(v);
    let chart = chart::allowance(row.title, s.panel, s.may_be, s.panel.value, write);
    part::measure(row.title, &part::figure(row, s.panel.value), "", &chart)
}
