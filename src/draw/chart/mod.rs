//! The charts of the sheets: small SVG drawings of one kind.
//!
//! A pale band is what may be, a black line what was found with its doubt, a lozenge its middle; silver that is gone is drawn as
//! black discs of its area. Every chart is at most [`WIDTH`] wide and never enlarged, so that its letters stay as they are set;
//! it has a title and says in words what it shows.

mod bars;
mod curve;
mod discs;
mod levels;
mod measures;
mod plan;
mod rose;
mod run;
mod seal;
mod sizes;

use maud::{Markup, html};

use super::colour::{INK, PAPER};

pub(crate) use bars::{Bar, bars};
pub(crate) use curve::{Axis, curve};
pub(crate) use discs::{discs, side};
pub(crate) use levels::levels;
pub(crate) use measures::{allowance, on_scale, reading};
pub(crate) use plan::{card, pictures, plan};
pub(crate) use rose::rose;
pub(crate) use run::run;
pub(crate) use seal::seal;
pub(crate) use sizes::sizes;

/// Width of a chart, px: it fits a telephone.
pub(crate) const WIDTH: f64 = 330.0;

/// A drawing with its title and what it shows in words.
fn drawing(
    class: &str,
    [width, height]: [f64; 2],
    title: &str,
    says: &str,
    body: &Markup,
) -> Markup {
    html! {
        svg class=(class) role="img" viewBox={ "0 0 " (width) " " (height) } width=(width) height=(height)
            font-size="13" xmlns="http://www.w3.org/2000/svg" {
            title { (title) }
            @if !says.is_empty() { desc { (says) } }
            (body)
        }
    }
}

/// A colour, with its edge.
pub(crate) fn swatch(colour: &str, title: &str) -> Markup {
    let body = html! {
        rect x="0.5" y="0.5" width=(WIDTH - 1.0) height="39" fill=(colour) stroke=(INK) {}
    };
    drawing("", [WIDTH, 40.0], title, "", &body)
}

/// A length in a drawing, to a tenth of a px.
fn at(value: f64) -> f64 {
    (value * 10.0).round() / 10.0 + 0.0
}

/// A straight line.
fn line([x1, y1]: [f64; 2], [x2, y2]: [f64; 2], width: f64, colour: &str) -> Markup {
    html! {
        line x1=(at(x1)) y1=(at(y1)) x2=(at(x2)) y2=(at(y2)) stroke=(colour) stroke-width=(width) {}
    }
}

/// A dashed line.
fn dashes([x1, y1]: [f64; 2], [x2, y2]: [f64; 2], width: f64) -> Markup {
    html! {
        line x1=(at(x1)) y1=(at(y1)) x2=(at(x2)) y2=(at(y2)) stroke=(INK) stroke-width=(width) stroke-dasharray="5 4" {}
    }
}

fn rect([x, y]: [f64; 2], [width, height]: [f64; 2], fill: &str) -> Markup {
    html! { rect x=(at(x)) y=(at(y)) width=(at(width.max(0.0))) height=(at(height.max(0.0))) fill=(fill) {} }
}

/// The outline of a rectangle, in ink.
fn frame([x, y]: [f64; 2], [width, height]: [f64; 2], thick: f64) -> Markup {
    html! {
        rect x=(at(x)) y=(at(y)) width=(at(width)) height=(at(height)) fill="none" stroke=(INK) stroke-width=(thick) {}
    }
}

/// The folded corner of what has to change: white where it is to be taken further, else black.
fn folded([x, y]: [f64; 2], leg: f64, further: bool) -> Markup {
    let fill = if further { PAPER } else { INK };
    let [left, top, leg] = [x, y, leg].map(at);
    html! {
        path d=(format!("M{left} {top}h{leg}l-{leg} {leg}Z")) fill=(fill) stroke=(INK) stroke-width="3" {}
    }
}

/// The lozenge that marks the middle of what was found.
fn lozenge([x, y]: [f64; 2], half: f64) -> Markup {
    let [left, right, top, bottom] = [x - half, x + half, y - half, y + half].map(at);
    html! {
        path d=(format!("M{} {top}L{right} {}L{} {bottom}L{left} {}Z", at(x), at(y), at(x), at(y)))
            fill=(INK) stroke=(PAPER) stroke-width="1.5" {}
    }
}

/// Words in a drawing. `anchor` is `start`, `middle` or `end`.
fn word([x, y]: [f64; 2], anchor: &str, text: &str) -> Markup {
    html! { text x=(at(x)) y=(at(y)) text-anchor=(anchor) { (text) } }
}

/// The largest of amounts, that others are drawn against; never nothing.
fn largest(amounts: impl Iterator<Item = f64>) -> f64 {
    amounts.fold(1e-9, f64::max)
}

/// The next figure of 1, 2 or 5 times a power of ten.
fn round_up(value: f64) -> f64 {
    let power = 10_f64.powf(value.max(1e-9).log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|step| step * power)
        .find(|nice| *nice >= value * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// A figure with no more decimals than it needs.
fn plain(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_of_scales_are_round() {
        for (value, wanted) in [(0.3, 0.5), (1.0, 1.0), (11.0, 20.0), (0.0, 1e-9)] {
            assert!((round_up(value) - wanted).abs() < 1e-12, "{value}");
        }
    }

    #[test]
    fn figures_end_where_they_say_no_more() {
        assert_eq!([0.5, 2.0, 0.125].map(plain), ["0.5", "2", "0.125"]);
    }
}
