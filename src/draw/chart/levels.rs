//! How much of the area has which silver level; another panel's as a line over it.

use maud::{Markup, html};

use super::super::colour::{BAND, INK, PALE, PAPER};
use super::{WIDTH, at, dashes, drawing, largest, line, rect, word};
use crate::measure::Settings;

const HEIGHT: f64 = 150.0;
const FOOT: f64 = 122.0;
const HEAD: f64 = 22.0;

/// Shares of the area by silver level, from bare to full; `other` is the sample's. Heights go by the square root, so that
/// little is seen too.
pub(crate) fn levels(
    shares: &[f64],
    other: Option<&[f64]>,
    settings: &Settings,
    title: &str,
    says: &str,
    [dark, veil, clear, bare, full]: [&str; 5],
) -> Markup {
    let all = shares.iter().chain(other.unwrap_or_default());
    let most = largest(all.copied()).sqrt();
    let tall = |share: f64| (FOOT - HEAD) * share.max(0.0).sqrt() / most;
    let step = WIDTH / shares.len().max(1) as f64;
    let level = |s: f64| s * WIDTH;
    let (dark_to, clear_from) = (level(settings.dark_below), level(settings.clear_from));
    let outline = |shares: &[f64]| -> String {
        let mut path = format!("M0 {FOOT}");
        for (i, share) in shares.iter().enumerate() {
            let top = at(FOOT - tall(*share));
            path += &format!(
                "L{} {top}L{} {top}",
                at(i as f64 * step),
                at((i + 1) as f64 * step)
            );
        }
        path
    };
    let body = html! {
        (rect([0.0, HEAD], [dark_to, FOOT - HEAD], BAND))
        (rect([clear_from, HEAD], [WIDTH - clear_from, FOOT - HEAD], PALE))
        @for (i, share) in shares.iter().enumerate() {
            @if tall(*share) >= 0.5 {
                (rect([i as f64 * step, FOOT - tall(*share)], [step - 0.8, tall(*share)], INK))
            }
        }
        @if let Some(other) = other {
            path d=(outline(other)) fill="none" stroke=(PAPER) stroke-width="4" {}
            path d=(outline(other)) fill="none" stroke=(INK) stroke-width="1.6" stroke-dasharray="5 3" {}
        }
        (dashes([dark_to, HEAD], [dark_to, FOOT], 1.0))
        (dashes([clear_from, HEAD], [clear_from, FOOT], 1.0))
        (line([0.0, FOOT], [WIDTH, FOOT], 1.5, INK))
        (word([dark_to / 2.0, 14.0], "middle", dark))
        (word([(dark_to + clear_from) / 2.0, 14.0], "middle", veil))
        (word([(clear_from + WIDTH) / 2.0, 14.0], "middle", clear))
        (word([0.0, FOOT + 18.0], "start", bare))
        (word([WIDTH, FOOT + 18.0], "end", full))
    };
    drawing("", [WIDTH, HEIGHT], title, says, &body)
}
