//! The nearest kept finishes, each with its picture.

use image::RgbImage;
use maud::html;

use super::super::{Sheet, part, picture, say};
use crate::error::Result;
use crate::report::{Nearest, words};

/// Long side of a picture, pixels.
const LONG_SIDE_PX: usize = 360;

/// The nearest as a page; `pictures` are they, small, in the same order.
///
/// # Errors
/// A picture cannot be written out.
pub fn near(report: &Nearest<'_>, panel: &RgbImage, pictures: &[RgbImage]) -> Result<String> {
    let sought = picture::small_figure(panel, LONG_SIDE_PX, report.panel, report.panel)?;
    let found = report.found.iter().zip(pictures);
    let pictured = found
        .map(|(found, p)| {
            let figure = picture::small_figure(p, LONG_SIDE_PX, &found.name, "")?;
            Ok((found, figure))
        })
        .collect::<Result<Vec<_>>>()?;
    let sheet = Sheet {
        kind: say::NEAR,
        about: report.panel,
        verdict: None,
        words: &[report.answer()],
        beside: html! {},
        body: html! {
            (part::part(say::SOUGHT, &html! { div.sought { (sought) } }))
            (part::long_part(say::NEAREST, &html! {
                ol.cards {
                    @for (found, figure) in &pictured {
                        li {
                            (figure)
                            b { (found.name) }
                            p { (words::near::how_near(found.distance)) }
                            p.soft { (found.differs) }
                            @if !found.notes.is_empty() { p.soft { (words::keeping::notes(&found.notes)) } }
                            @if let Some(recipe) = &found.recipe { p.soft { (words::recipe::short(recipe)) } }
                        }
                    }
                }
            }))
        },
    };
    Ok(sheet.html())
}
