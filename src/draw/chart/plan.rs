//! A wall as it is to hang: every panel in its place and its way up, with its number, and a sign at every joint that shows.

use maud::{Markup, html};

use super::super::colour::{INK, PAPER};
use super::{at, drawing, frame, word};
use crate::compare::wall::{Joint, Wall};

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

/// A panel on the wall.
pub(crate) struct Hung {
    /// Width and height, mm.
    pub(crate) size_mm: [f64; 2],
    /// Its picture is kept in the page under this name.
    pub(crate) id: String,
    /// It stands apart.
    pub(crate) odd: bool,
    /// What has to be done to it, if anything.
    pub(crate) to_do: Option<ToDo>,
}

/// What has to be done to a panel.
pub(crate) struct ToDo {
    /// In a word.
    pub(crate) word: &'static str,
    /// No more than going on with it as it is.
    pub(crate) further: bool,
}

/// Draws a wall. `panels` are in the order given, as the wall counts them.
pub(crate) fn plan(panels: &[Hung], wall: &Wall, title: &str, says: &str, odd: &str) -> Markup {
    let longest = panels.iter().flat_map(|p| p.size_mm).fold(1.0, f64::max);
    let px = |mm: f64| mm / longest * LONG;
    let widest = panels
        .iter()
        .map(|p| px(p.size_mm[0]))
        .fold(LEAST, f64::max);
    let tallest = panels.iter().map(|p| px(p.size_mm[1])).fold(1.0, f64::max);
    let many = wall.grid.cols > MANY;
    let letters = if many { LETTERS.1 } else { LETTERS.0 };
    // Words stand in a line of their own, where panels are wide enough for them.
    let worded = !many && panels.iter().any(|p| p.to_do.is_some());
    let lines = if worded { 2.7 } else { 1.4 };
    let (step_x, step_y) = (widest + GAP, tallest + lines * letters + GAP);
    let corner = |place: usize| {
        let (row, col) = (place / wall.grid.cols, place % wall.grid.cols);
        [4.0 + col as f64 * step_x, 4.0 + row as f64 * step_y]
    };
    let size = [
        wall.grid.cols as f64 * step_x - GAP + 8.0,
        wall.grid.rows as f64 * step_y - GAP + 8.0,
    ];
    let body = html! {
        @for (place, hung) in wall.hung.iter().enumerate() {
            @let panel = &panels[hung.panel];
            @let [left, top] = corner(place);
            @let [w, h] = panel.size_mm.map(px);
            @let (x, y) = (left + (widest - w) / 2.0, top + tallest - h);
            (picture(&panel.id, [x, y], [w, h], hung.turned))
            (frame([x, y], [w, h], if panel.odd { 5.0 } else { 1.0 }))
            @if let Some(to_do) = &panel.to_do {
                (folded([x, y], CORNER * w.min(h), to_do.further))
                @if worded { (word([left + widest / 2.0, top + tallest + 2.35 * letters], "middle", to_do.word)) }
            }
            (word([left + widest / 2.0, top + tallest + 1.05 * letters], "middle", &label(place, hung.turned, (panel.odd && !many).then_some(odd))))
        }
        @for met in &wall.joints {
            @let [a, b] = met.places.map(corner);
            @let middle = if met.below { [a[0] + widest / 2.0, b[1] - GAP / 2.0] } else { [b[0] - GAP / 2.0, a[1] + tallest / 2.0] };
            (joint(met.look, middle))
        }
    };
    let style = format!(
        "min-width:{}px;font-size:{letters}px",
        SHOWN * wall.grid.cols
    );
    html! { div.wide { div.plan style=(style) { (drawing("", size.map(at), title, says, &body)) } } }
}

/// The corner of a panel that has to change: white where it is to be taken further, else black.
fn folded([x, y]: [f64; 2], leg: f64, further: bool) -> Markup {
    let fill = if further { PAPER } else { INK };
    let [left, top, leg] = [x, y, leg].map(at);
    html! {
        path d=(format!("M{left} {top}h{leg}l-{leg} {leg}Z")) fill=(fill) stroke=(INK) stroke-width="3" {}
    }
}

/// The number of a place, which way the panel's own top points, and whether it stands apart.
fn label(place: usize, turned: bool, odd: Option<&str>) -> String {
    let arrow = if turned { "▼" } else { "▲" };
    let odd = odd.map(|odd| format!(" {odd}")).unwrap_or_default();
    format!("{} {arrow}{odd}", place + 1)
}

/// A picture that is kept in the page, turned or not.
pub(crate) fn picture(id: &str, [x, y]: [f64; 2], [w, h]: [f64; 2], turned: bool) -> Markup {
    let turn = if turned {
        format!("rotate(180 {} {}) ", at(x + w / 2.0), at(y + h / 2.0))
    } else {
        String::new()
    };
    html! {
        g transform={ (turn) "translate(" (at(x)) " " (at(y)) ") scale(" (format!("{w:.3} {h:.3}")) ")" } {
            use href={ "#" (id) } {}
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
