//! The nearest kept finishes, each with its picture.

use maud::html;

use super::super::{Sheet, part, picture, say};
use crate::error::Result;
use crate::frame::Plane;
use crate::report::{Nearest, words};

/// Long side of a picture, pixels.
const LONG_SIDE_PX: usize = 360;

/// The nearest as a page; `pictures` are their silver levels, small, in the same order.
///
/// # Errors
/// A picture cannot be written out.
pub fn near(report: &Nearest<'_>, panel: &Plane, pictures: &[Plane]) -> Result<String> {
    let sought = picture::small(panel, LONG_SIDE_PX)?;
    let pictures = pictures
        .iter()
        .map(|p| picture::small(p, LONG_SIDE_PX))
        .collect::<Result<Vec<String>>>()?;
    let sheet = Sheet {
        kind: say::NEAR,
        about: report.panel,
        verdict: None,
        words: &[report.answer()],
        beside: html! {},
        body: html! {
            (part::part(say::SOUGHT, &html! {
                figure { img src=(sought) alt=(say::small_alt(report.panel)); figcaption { (report.panel) } }
            }))
            (part::long_part(say::NEAREST, &html! {
                ol.cards {
                    @for (found, uri) in report.found.iter().zip(&pictures) {
                        li {
                            figure { img src=(uri) alt=(say::small_alt(&found.name)); }
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
