//! The ladder sheet: the studio's own steps from light to heavy, and the panel between them.

use image::RgbImage;
use maud::{Markup, html};

use super::super::{Sheet, chart, part, picture, say};
use crate::error::Result;
use crate::fingerprint::metric::AGGRESSIVENESS;
use crate::report::{Placed, Report};
use crate::units::Estimate;

/// Long side of a picture, pixels.
const LONG_SIDE_PX: usize = 200;

/// A panel on a ladder as a page; `steps` are the steps, small.
///
/// # Errors
/// A picture cannot be written out.
pub fn ladder(report: &Placed<'_>, steps: &[RgbImage], panel: &RgbImage) -> Result<String> {
    let standing = report.standing;
    // The panel goes before the first step that is heavier.
    let before = standing
        .steps
        .iter()
        .position(|s| s.value > standing.panel.value)
        .unwrap_or(steps.len());
    let top = standing
        .steps
        .iter()
        .chain([&standing.panel])
        .fold(0.0, |top: f64, e| top.max(e.high));
    let mut rungs = Vec::new();
    for (i, (step, silver)) in standing.steps.iter().zip(steps).enumerate() {
        rungs.push(rung(report.names[i], *step, silver, top, false)?);
    }
    rungs.insert(
        before,
        rung(report.panel, standing.panel, panel, top, true)?,
    );
    let sheet = Sheet {
        kind: say::LADDER,
        about: &format!("{} / {}", report.panel, report.ladder),
        verdict: None,
        words: &report.words(),
        beside: html! {},
        body: part::long_part(
            say::STEPS,
            &html! {
                p.soft { (say::STEPS_KEY) }
                ol.rungs { @for rung in &rungs { (rung) } }
            },
        ),
    };
    Ok(sheet.html())
}

fn rung(name: &str, found: Estimate, panel: &RgbImage, top: f64, here: bool) -> Result<Markup> {
    let figure = picture::small_figure(panel, LONG_SIDE_PX, name, "")?;
    let shown = AGGRESSIVENESS.format(found.value);
    Ok(html! {
        li.here[here] {
            (figure)
            div {
                b { (name) } " " (shown)
                (chart::on_scale(name, &AGGRESSIVENESS, found, top))
            }
        }
    })
}
