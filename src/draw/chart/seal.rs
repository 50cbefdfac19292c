//! The answer as a picture: a lozenge inside its frame, on its edge, or outside it. A lighter panel's is open and above, a darker
//! one's black and below. A corner of the frame is folded where something has to change: white to go further, black to begin again.

use maud::{Markup, html};

use super::super::colour::{INK, PAPER};
use super::{drawing, folded, frame};
use crate::compare::Lean;
use crate::fingerprint::Verdict;
use crate::words::headline::{Headline, ToDo};
use crate::words::keeping::word;

/// Legs of the folded corner, px.
const CORNER: f64 = 15.0;

/// The seal of a verdict, which way the panel lies where that is known, and what to do where that is said.
pub(crate) fn seal(verdict: Verdict, lean: Lean, first: Option<&Headline>) -> Markup {
    let lighter = lean == Lean::Lighter;
    // The top of the lozenge, which is 24 high; the frame runs from 32 to 68, and from 8 to 44.
    let [x, y] = match (verdict, lighter) {
        (Verdict::Within, _) => [26.0, 38.0],
        (Verdict::Unsure, true) => [44.0, 20.0],
        (Verdict::Unsure, false) => [44.0, 56.0],
        (Verdict::Outside, true) => [60.0, 4.0],
        (Verdict::Outside, false) => [60.0, 72.0],
    };
    let fill = if lighter { PAPER } else { INK };
    let says = first.map_or(word(verdict), |first| first.says.as_str());
    let further = match first.map(|first| first.to_do) {
        Some(ToDo::Further) => Some(true),
        Some(ToDo::Strip) => Some(false),
        Some(ToDo::Leave | ToDo::Look) | None => None,
    };
    let body = html! {
        (frame([8.0, 32.0], [36.0, 36.0], 5.0))
        @if let Some(further) = further { (folded([8.0, 32.0], CORNER, further)) }
        path d={ "M" (x) " " (y) "l12 12l-12 12l-12 -12Z" } fill=(fill) stroke=(INK) stroke-width="3" {}
    };
    drawing("seal", [76.0, 100.0], says, "", &body)
}
