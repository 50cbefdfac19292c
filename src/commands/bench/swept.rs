//! Two finishes at one scale, one laid over the other: what covers how much is moved with a finger.

use maud::{Markup, html};

use crate::draw::embedded;
use crate::error::Result;
use crate::silver::Silver;
use crate::words::captions as say;

/// Side of the square of each that is shown at most, mm: larger ones hide specks on a phone.
const MOST_MM: f64 = 120.0;

/// A square from the middle of each, the sample over the panel; `silver` is that of the sample and of the panel, as the names are.
pub(super) fn swept(names: [&str; 2], silver: &[Silver; 2]) -> Result<Markup> {
    let sides = silver.iter().flat_map(Silver::size_mm);
    let side = sides.fold(MOST_MM, f64::min);
    let square = |i: usize| embedded::from_the_middle(&silver[i], side);
    let (sample, panel) = rayon::join(|| square(0), || square(1));
    let ((sample, _), (panel, _)) = (sample?, panel?);
    Ok(html! {
        figure.swept data-name="How much of the sample covers the panel" {
            div.laid {
                img.under src=(panel) alt=(say::panel_alt(names[1]));
                img.over src=(sample) alt=(say::panel_alt(names[0]));
            }
            figcaption {
                "Left of the line " b { (names[0]) } ", right of it " b { (names[1]) }
                ": " (format!("{side:.0}")) " mm from the middle of each, at one scale."
            }
        }
    })
}
