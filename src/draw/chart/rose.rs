//! Which way the streaks run: a fan over the panel's bottom edge, each blade as large as its share of the streaks.

use maud::{Markup, html};

use super::super::colour::{INK, PAPER, RULE};
use super::{WIDTH, at, drawing, largest, line, lozenge, word};

const RADIUS: f64 = 118.0;
const HEIGHT: f64 = 168.0;
const FOOT: [f64; 2] = [WIDTH / 2.0, 142.0];

/// Shares of the streaks by direction over 180°, anticlockwise from the bottom edge, and the direction itself where there is
/// one.
pub(crate) fn rose(
    shares: &[f64],
    direction_deg: Option<f64>,
    title: &str,
    says: &str,
    [along, upright]: [&str; 2],
) -> Markup {
    let most = largest(shares.iter().copied());
    let point = |deg: f64, radius: f64| {
        let turn = deg.to_radians();
        [FOOT[0] + radius * turn.cos(), FOOT[1] - radius * turn.sin()]
    };
    let step = 180.0 / shares.len().max(1) as f64;
    let blade = |i: usize, share: f64| {
        let radius = RADIUS * (share / most).sqrt();
        let [a, b] = [i as f64, (i + 1) as f64].map(|edge| point(edge * step, radius).map(at));
        format!(
            "M{} {}L{} {}L{} {}Z",
            FOOT[0], FOOT[1], a[0], a[1], b[0], b[1]
        )
    };
    let body = html! {
        path d=(format!("M{} {}A{RADIUS} {RADIUS} 0 0 1 {} {}", FOOT[0] - RADIUS, FOOT[1], FOOT[0] + RADIUS, FOOT[1]))
            fill="none" stroke=(RULE) {}
        @for (i, share) in shares.iter().enumerate() {
            path d=(blade(i, share.max(0.0))) fill=(INK) stroke=(PAPER) stroke-width="0.8" {}
        }
        (line([FOOT[0] - RADIUS - 16.0, FOOT[1]], [FOOT[0] + RADIUS + 16.0, FOOT[1]], 2.0, INK))
        @if let Some(deg) = direction_deg {
            (line(FOOT, point(deg, RADIUS + 6.0), 2.0, INK))
            (lozenge(point(deg, RADIUS + 6.0), 7.0))
        }
        (word([FOOT[0], FOOT[1] + 19.0], "middle", along))
        (word([FOOT[0], 12.0], "middle", upright))
    };
    drawing("", [WIDTH, HEIGHT], title, says, &body)
}
