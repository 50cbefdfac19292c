//! How many specks there are of which size, from small to large by equal ratios.

use maud::{Markup, html};

use super::super::colour::INK;
use super::{WIDTH, dashes, drawing, largest, line, plain, rect, word};
use crate::measure::SizeHistogram;

const HEIGHT: f64 = 150.0;
const FOOT: f64 = 122.0;
const HEAD: f64 = 8.0;

/// Diameters written under the bars, mm.
const WRITTEN_MM: [f64; 5] = [0.5, 1.0, 2.0, 4.0, 8.0];

/// Specks by size; below `floor_mm` this reading cannot be trusted to show them.
pub(crate) fn sizes(specks: &SizeHistogram, floor_mm: f64, title: &str, says: &str) -> Markup {
    let edges = &specks.edges_mm;
    let (Some(first), Some(last)) = (edges.first(), edges.last()) else {
        return html! {};
    };
    let x = |mm: f64| (mm / first).ln() / (last / first).ln() * WIDTH;
    let most = largest(specks.per_cm2.iter().copied());
    let body = html! {
        @for (edge, n) in edges.windows(2).zip(&specks.per_cm2) {
            @let tall = (FOOT - HEAD) * n / most;
            @if tall >= 0.5 {
                (rect([x(edge[0]), FOOT - tall], [x(edge[1]) - x(edge[0]) - 1.5, tall], INK))
            }
        }
        @if floor_mm > *first { (dashes([x(floor_mm), HEAD], [x(floor_mm), FOOT], 1.0)) }
        (line([0.0, FOOT], [WIDTH, FOOT], 1.5, INK))
        @for mm in WRITTEN_MM.iter().filter(|mm| **mm > *first && **mm < *last) {
            (line([x(*mm), FOOT], [x(*mm), FOOT + 5.0], 1.5, INK))
            (word([x(*mm), FOOT + 20.0], "middle", &format!("{} mm", plain(*mm))))
        }
    };
    drawing("", [WIDTH, HEIGHT], title, says, &body)
}
