//! Where silver is gone: the panel in squares, in each a black disc as large as what is gone of it.

use maud::{Markup, html};

use super::super::colour::{INK, LINE, PAPER, SHADE};
use super::{WIDTH, at, drawing, frame, rect};
use crate::compare::squares::Against;
use crate::frame::Plane;

/// Tallest drawing, px.
const TALLEST: f64 = 330.0;

/// A disc that touches the sides of its square stands for this share gone, on every sheet alike.
const FULL: f64 = 0.5;

/// Draws the shares that are gone. Squares that lie beyond the sample's are
/// shaded or framed. `px_a_square` is the side of one, px; as large as fits where it is not given.
pub(crate) fn discs(
    gone: &Plane,
    px_a_square: Option<f64>,
    against: &[Against],
    title: &str,
    says: &str,
) -> Markup {
    let (rows, cols) = gone.dim();
    let step = px_a_square.unwrap_or_else(|| side(gone));
    let (width, height) = (step * cols as f64, step * rows as f64);
    let radius = |gone: f64| 0.48 * step * (gone / FULL).min(1.0).sqrt();
    let body = html! {
        rect x="0.5" y="0.5" width=(at(width - 1.0)) height=(at(height - 1.0)) fill=(PAPER) stroke=(LINE) {}
        @for (i, against) in against.iter().enumerate() {
            @let corner = [(i % cols) as f64 * step, (i / cols) as f64 * step];
            (ground(*against, corner, step))
        }
        g fill=(INK) {
            @for ((row, col), gone) in gone.indexed_iter() {
                @let r = at(radius(f64::from(*gone)));
                @if r > 0.2 {
                    circle cx=(at((col as f64 + 0.5) * step)) cy=(at((row as f64 + 0.5) * step)) r=(r) {}
                }
            }
        }
    };
    drawing("discs", [at(width), at(height)], title, says, &body)
}

/// The side of a square that makes the drawing as large as it may be, px.
pub(crate) fn side(gone: &Plane) -> f64 {
    let (rows, cols) = gone.dim();
    (WIDTH / cols.max(1) as f64).min(TALLEST / rows.max(1) as f64)
}

/// The ground of a square that lies beyond the sample's: shaded where it is darker, framed where it is lighter.
fn ground(against: Against, [x, y]: [f64; 2], step: f64) -> Markup {
    match against {
        Against::Like => html! {},
        Against::Darker => rect([x, y], [step, step], SHADE),
        Against::Lighter => frame([x + 1.5, y + 1.5], [step - 3.0, step - 3.0], 1.5),
    }
}
