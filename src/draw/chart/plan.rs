//! A wall as it is to hang: every panel in its place and its way up, with its number, and a sign at every joint that shows.

use maud::{Markup, html};

use super::super::colour::{INK, PAPER};
use super::super::embedded;
use super::super::wall::{Hanging, Place, lay};
use super::{at, drawing, folded, frame, word};
use crate::compare::wall::arrange::Hung;
use crate::compare::wall::{Joint, Wall};
use crate::error::Result;
use crate::words::captions as say;

/// Long side of a panel in the drawing, px.
const LONG: f64 = 150.0;
/// Between panels, px.
const GAP: f64 = 26.0;
/// A label needs this width, px.
const LEAST: f64 = 112.0;
/// Size of the letters, px; of more panels across they are larger, to be read on a page as wide.
const LETTERS: (f64, f64) = (26.0, 40.0);
/// Legs of the corner that marks what has to be done to a panel, as a share of the panel's short side.
const CORNER: f64 = 0.3;
/// More panels across than these are many.
const MANY: usize = 8;
/// A panel is shown at least as wide, px: a wider wall is moved to and fro on a phone.
const SHOWN: usize = 76;

/// Long side of a panel's picture, px.
const LONG_SIDE_PX: usize = 360;

/// The pictures of panels, once for all that show them: each is one by one and is stretched where it is used.
///
/// # Errors
/// There is no memory for them.
pub(crate) fn pictures(panels: &[Hanging<'_>]) -> Result<Markup> {
    let small = |panel: &Hanging<'_>| embedded::small(panel.picture, LONG_SIDE_PX);
    let pictures: Vec<String> = panels.iter().map(small).collect::<Result<_>>()?;
    Ok(html! {
        svg aria-hidden="true" width="0" height="0" style="position:absolute" {
            defs {
                @for (panel, uri) in pictures.iter().enumerate() {
                    image id={ "panel-" (panel) } href=(uri) width="1" height="1" preserveAspectRatio="none" {}
                }
            }
        }
    })
}

/// Draws a wall. `panels` are in the order given, as the wall counts them, and their [`pictures`] lie in the page.
pub(crate) fn plan(panels: &[Hanging<'_>], wall: &Wall) -> Markup {
    let many = wall.grid.cols > MANY;
    let letters = if many { LETTERS.1 } else { LETTERS.0 };
    // Words stand in a line of their own, where panels are wide enough for them.
    let worded = !many && panels.iter().any(|p| p.remake.is_some());
    let lines = if worded { 2.7 } else { 1.4 };
    let label_size = [LEAST, lines * letters];
    let laid = lay(panels, wall, |share| share * LONG, label_size, (GAP, 4.0));
    let [widest, tallest] = laid.cell;
    let body = html! {
        @for Place { number, panel, hung, corner: [left, top], at, size } in &laid.places {
            @let line = |down: f64| [left + widest / 2.0, top + tallest + down * letters];
            (picture(*hung, *at, *size))
            (frame(*at, *size, if panel.odd { 5.0 } else { 1.0 }))
            @if let Some(remake) = &panel.remake {
                (folded(*at, CORNER * size[0].min(size[1]), remake.can_go_further()))
                @if worded { (word(line(2.35), "middle", say::to_do(remake))) }
            }
            (word(line(1.05), "middle", &label(*number, hung.turned, panel.odd && !many)))
        }
        @for met in &wall.joints {
            @let [a, b] = met.places.map(|place| laid.places[place].corner);
            @let middle = if met.below { [a[0] + widest / 2.0, b[1] - GAP / 2.0] } else { [b[0] - GAP / 2.0, a[1] + tallest / 2.0] };
            (joint(met.look, middle))
        }
    };
    let width = SHOWN * wall.grid.cols;
    let style = format!("min-width:{width}px;font-size:{letters}px");
    let says = say::plan_alt(panels.len());
    html! { div.wide { div.plan style=(style) { (drawing("", laid.size.map(at), say::WALL, &says, &body)) } } }
}

/// One panel as it hangs, for a card of its own.
pub(crate) fn card(panel: &Hanging<'_>, hung: Hung) -> Markup {
    let tall = 100.0 * panel.size.height / panel.size.width;
    html! {
        svg role="img" viewBox={ "0 0 100 " (format!("{tall:.2}")) } width="220" {
            title { (panel.name) }
            (picture(hung, [0.0, 0.0], [100.0, tall]))
        }
    }
}

/// The number of a place, which way the panel's own top points, and whether it stands apart.
fn label(number: usize, turned: bool, odd: bool) -> String {
    let arrow = if turned { "▼" } else { "▲" };
    let odd = if odd {
        format!(" {}", say::ODD)
    } else {
        String::new()
    };
    format!("{number} {arrow}{odd}")
}

/// A picture that lies in the page, turned or not.
fn picture(hung: Hung, [x, y]: [f64; 2], [w, h]: [f64; 2]) -> Markup {
    let turn = if hung.turned {
        format!("rotate(180 {} {}) ", at(x + w / 2.0), at(y + h / 2.0))
    } else {
        String::new()
    };
    html! {
        g transform={ (turn) "translate(" (at(x)) " " (at(y)) ") scale(" (format!("{w:.3} {h:.3}")) ")" } {
            use href={ "#panel-" (hung.panel) } {}
        }
    }
}

/// Nothing where no step shows; an open sign where it is seen when looked for, a filled one where at once.
fn joint(look: Joint, [x, y]: [f64; 2]) -> Markup {
    let fill = match look {
        Joint::Fine => return html! {},
        Joint::Noticeable => PAPER,
        Joint::Clash => INK,
    };
    html! { circle cx=(at(x)) cy=(at(y)) r="8" fill=(fill) stroke=(INK) stroke-width="3" {} }
}
