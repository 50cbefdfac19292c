//! Panels in the order they were made: each a lozenge in its own place, their mean a line, and dashes where the scatter of
//! neighbours would keep them. One that stands apart is ringed, and off the line through the rest.

use maud::{Markup, html};

use super::super::colour::{BAND, INK, SOFT};
use super::{WIDTH, at, dashes, drawing, line, lozenge, rect, word};
use crate::compare::set::Run;

const HEIGHT: f64 = 190.0;
const HEAD: f64 = 12.0;
const FOOT: f64 = 150.0;
const LEFT: f64 = 52.0;

/// Draws a run of a set of `panels`; `write` says how a figure is written.
pub(crate) fn run(
    run: &Run,
    panels: usize,
    title: &str,
    says: &str,
    write: impl Fn(f64) -> String,
) -> Markup {
    let ends = run.limits.map(|(low, high)| [low, high]);
    let values = run.points.iter().map(|p| p.value);
    let all = values.chain(ends.into_iter().flatten());
    let (least, most) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), v| {
        (l.min(v), m.max(v))
    });
    let span = (most - least).max(1e-9);
    let y = |v: f64| FOOT - (v - least) / span * (FOOT - HEAD);
    let step = (WIDTH - LEFT - 20.0) / (panels.max(2) - 1) as f64;
    let x = |panel: usize| LEFT + 10.0 + panel as f64 * step;
    let path: Vec<String> = run
        .points
        .iter()
        .filter(|p| !p.odd)
        .enumerate()
        .map(|(i, p)| {
            let to = if i == 0 { "M" } else { "L" };
            format!("{to}{} {}", at(x(p.panel)), at(y(p.value)))
        })
        .collect();
    // Every number is written where there is room for it, else every fifth.
    let written = |panel: usize| step >= 20.0 || (panel + 1).is_multiple_of(5) || panel == 0;
    // The mean gives way to the ends of the scale.
    let apart = |v: f64| (y(v) - y(least)).abs() > 16.0 && (y(v) - y(most)).abs() > 16.0;
    let body = html! {
        @if let Some((low, high)) = run.limits {
            (rect([LEFT, y(high)], [WIDTH - LEFT, y(low) - y(high)], BAND))
            (dashes([LEFT, y(low)], [WIDTH, y(low)], 1.0))
            (dashes([LEFT, y(high)], [WIDTH, y(high)], 1.0))
        }
        (line([LEFT, y(run.mean)], [WIDTH, y(run.mean)], 1.0, SOFT))
        path d=(path.concat()) fill="none" stroke=(INK) stroke-width="1.5" {}
        @for p in &run.points {
            @if p.odd {
                circle cx=(at(x(p.panel))) cy=(at(y(p.value))) r="11" fill="none" stroke=(INK) stroke-width="2" {}
            }
            (lozenge([x(p.panel), y(p.value)], 6.0))
        }
        @for panel in (0..panels).filter(|panel| written(*panel)) {
            (word([x(panel), FOOT + 24.0], "middle", &(panel + 1).to_string()))
        }
        (word([LEFT - 6.0, y(most) + 5.0], "end", &write(most)))
        @if most - least > 1e-9 { (word([LEFT - 6.0, y(least) + 5.0], "end", &write(least))) }
        @if apart(run.mean) { (word([LEFT - 6.0, y(run.mean) + 5.0], "end", &write(run.mean))) }
    };
    drawing("", [WIDTH, HEIGHT], title, says, &body)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::set::Point;
    use crate::fingerprint::metric::COVERAGE;

    #[test]
    fn a_ring_stands_at_the_place_of_the_odd_panel_and_the_line_passes_it_by() {
        let of = |panel: usize, value: f64| Point {
            panel,
            value,
            odd: panel == 2,
        };
        let points = vec![
            of(0, 0.80),
            of(1, 0.81),
            of(2, 0.40),
            of(3, 0.79),
            of(5, 0.8),
        ];
        let of_set = Run {
            metric: &COVERAGE,
            points,
            mean: 0.8,
            limits: None,
        };
        let html = run(&of_set, 6, "", "", |v| COVERAGE.format(v)).into_string();
        let step = (WIDTH - LEFT - 20.0) / 5.0;
        let place = at(LEFT + 10.0 + 2.0 * step);
        assert_eq!(html.matches("<circle").count(), 1);
        assert!(
            html.contains(&format!("<circle cx=\"{place}\" cy=\"{FOOT}\"")),
            "{html}"
        );
        let line = html.split_once("<path d=\"").unwrap().1;
        let line = line.split_once('"').unwrap().0;
        assert_eq!(line.matches(['M', 'L']).count(), 4, "{line}");
        assert!(!line.contains(&format!("{place} ")), "{line}");
        for number in 1..=6 {
            assert!(html.contains(&format!(">{number}</text>")), "{number}");
        }
    }
}
