//! Where on a panel a difference sits: near one edge, in a corner, along all edges, in the middle, or all over.
//!
//! Each window of the panel is set against what the sample holds there, edges against edges. A region holds the difference
//! where its windows differ by so much more than the others that chance would not do it, and the others hardly differ.

use crate::measure::{Measurements, WindowValues};

/// A region of a panel as it hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Along the left edge.
    Left,
    /// Along the right edge.
    Right,
    /// Along the top.
    Top,
    /// Along the bottom.
    Bottom,
    /// In the corner.
    TopLeft,
    /// In the corner.
    TopRight,
    /// In the corner.
    BottomLeft,
    /// In the corner.
    BottomRight,
    /// Along all edges.
    Edges,
    /// In the middle.
    Middle,
    /// Everywhere.
    AllOver,
}

/// A region differs from the rest where it does so by this many standard errors: of ten regions tried, chance would name one
/// in three of a hundred panels at most.
const SURE: f64 = 3.3;

/// Elsewhere the difference is at most this share of that in the region.
const ELSEWHERE: f64 = 0.4;

/// Fewest windows along a side that tell edges from the middle.
const FEWEST: usize = 4;

type Region = (Place, fn(f64, f64) -> bool);

/// Regions by the place of a window's centre, shares of the width and the height. Corners come last: they win only where they
/// say more than the edge they lie on.
const REGIONS: [Region; 9] = [
    (Place::Left, |x, _| x < 1.0 / 3.0),
    (Place::Right, |x, _| x > 2.0 / 3.0),
    (Place::Top, |_, y| y < 1.0 / 3.0),
    (Place::Bottom, |_, y| y > 2.0 / 3.0),
    (Place::Middle, |x, y| middle(x) && middle(y)),
    (Place::TopLeft, |x, y| x < 1.0 / 3.0 && y < 1.0 / 3.0),
    (Place::TopRight, |x, y| x > 2.0 / 3.0 && y < 1.0 / 3.0),
    (Place::BottomLeft, |x, y| x < 1.0 / 3.0 && y > 2.0 / 3.0),
    (Place::BottomRight, |x, y| x > 2.0 / 3.0 && y > 2.0 / 3.0),
];

fn middle(share: f64) -> bool {
    (0.3..0.7).contains(&share)
}

/// Where the panel has more (`more`) or less of something in its windows than the sample. `None` where its windows do not
/// show such a difference at all, or too few of them to tell.
#[must_use]
pub fn whereabouts(
    sample: &Measurements,
    panel: &Measurements,
    of: fn(&WindowValues) -> f64,
    more: bool,
) -> Option<Place> {
    let (rows, cols) = panel.windows;
    if panel.window_values.len() != rows * cols || sample.window_values.is_empty() {
        return None;
    }
    let wanted = Expected::of(sample, of);
    let sign = if more { 1.0 } else { -1.0 };
    let differences: Vec<f64> = panel
        .window_values
        .iter()
        .enumerate()
        .map(|(i, v)| sign * (of(v) - wanted.at(rows, cols, i)))
        .collect();
    let mean = differences.iter().sum::<f64>() / differences.len() as f64;
    if mean <= 0.0 {
        return None;
    }
    let at = |i: usize| {
        let share = |k: usize, n: usize| (k as f64 + 0.5) / n as f64;
        (share(i % cols, cols), share(i / cols, rows))
    };
    let inside = |region: &Region| -> Vec<bool> {
        (0..differences.len())
            .map(at)
            .map(|(x, y)| region.1(x, y))
            .collect()
    };
    let mut regions: Vec<(Place, Vec<bool>)> = REGIONS.iter().map(|r| (r.0, inside(r))).collect();
    if rows.min(cols) >= FEWEST {
        let edge = (0..differences.len())
            .map(|i| on_edge(rows, cols, i))
            .collect();
        regions.push((Place::Edges, edge));
    }
    let best = regions
        .iter()
        .filter_map(|(place, inside)| Some((*place, stands_out(&differences, inside)?)))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    Some(best.map_or(Place::AllOver, |(place, _)| place))
}

/// By how many standard errors a region differs from the rest, where it holds the difference.
fn stands_out(differences: &[f64], inside: &[bool]) -> Option<f64> {
    let of = |wanted: bool| -> Vec<f64> {
        let those = differences
            .iter()
            .zip(inside)
            .filter(|(_, i)| **i == wanted);
        those.map(|(d, _)| *d).collect()
    };
    let (here, there) = (of(true), of(false));
    if here.is_empty() || there.len() < 2 || differences.len() < 4 {
        return None;
    }
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let (a, b) = (mean(&here), mean(&there));
    let squares = |v: &[f64], m: f64| v.iter().map(|x| (x - m).powi(2)).sum::<f64>();
    let variance = (squares(&here, a) + squares(&there, b)) / (differences.len() - 2) as f64;
    let error = (variance * (1.0 / here.len() as f64 + 1.0 / there.len() as f64)).sqrt();
    let sure = (a - b) / error.max(1e-12);
    (sure > SURE && a > 0.0 && b <= ELSEWHERE * a).then_some(sure)
}

fn on_edge(rows: usize, cols: usize, i: usize) -> bool {
    let (r, c) = (i / cols, i % cols);
    r == 0 || c == 0 || r + 1 == rows || c + 1 == cols
}

/// What the sample holds at its edges and inside; the same at both where its windows are too few to tell.
struct Expected {
    edge: f64,
    inside: f64,
}

impl Expected {
    fn of(sample: &Measurements, of: fn(&WindowValues) -> f64) -> Self {
        let (rows, cols) = sample.windows;
        let values: Vec<f64> = sample.window_values.iter().map(of).collect();
        let tells = rows.min(cols) >= FEWEST && values.len() == rows * cols;
        let mean = |keep: &dyn Fn(usize) -> bool| {
            let kept: Vec<f64> = (0..values.len())
                .filter(|i| keep(*i))
                .map(|i| values[i])
                .collect();
            kept.iter().sum::<f64>() / kept.len().max(1) as f64
        };
        let all = mean(&|_| true);
        if !tells {
            return Expected {
                edge: all,
                inside: all,
            };
        }
        Expected {
            edge: mean(&|i| on_edge(rows, cols, i)),
            inside: mean(&|i| !on_edge(rows, cols, i)),
        }
    }

    fn at(&self, rows: usize, cols: usize, i: usize) -> f64 {
        if rows.min(cols) >= FEWEST && on_edge(rows, cols, i) {
            self.edge
        } else if rows.min(cols) >= FEWEST {
            self.inside
        } else {
            // So few windows each reach from the edge inwards.
            (self.edge + self.inside) / 2.0
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawn::even;
    use super::*;

    /// A panel in windows that each hold so much silver, `.` all and a digit so many tenths.
    fn panel(lines: &[&str]) -> Measurements {
        let silver = crate::frame::drawn::plane(lines);
        let mut m = even(1.0).measurements;
        let of = m.window_values[0];
        m.windows = silver.dim();
        let window = |s: &f32| WindowValues {
            coverage: f64::from(*s),
            ..of
        };
        m.window_values = silver.iter().map(window).collect();
        m
    }

    fn place(lines: &[&str], more: bool) -> Option<Place> {
        whereabouts(&even(1.0).measurements, &panel(lines), |w| w.coverage, more)
    }

    #[test]
    fn a_region_that_alone_differs_is_named() {
        for (lines, found) in [
            (
                ["5.....", "5.....", "4.....", "5.....", "6.....", "5....."],
                Place::Left,
            ),
            (
                [".....5", ".....5", ".....4", ".....5", ".....6", ".....5"],
                Place::Right,
            ),
            (
                ["554565", "......", "......", "......", "......", "......"],
                Place::Top,
            ),
            (
                ["......", "......", "......", "......", "......", "554565"],
                Place::Bottom,
            ),
            (
                ["......", "......", "..56..", "..54..", "......", "......"],
                Place::Middle,
            ),
            (
                ["56....", "54....", "......", "......", "......", "......"],
                Place::TopLeft,
            ),
            (
                ["....56", "....54", "......", "......", "......", "......"],
                Place::TopRight,
            ),
            (
                ["......", "......", "......", "......", "56....", "54...."],
                Place::BottomLeft,
            ),
            (
                ["......", "......", "......", "......", "....56", "....54"],
                Place::BottomRight,
            ),
            (
                ["565456", "5....5", "4....6", "5....5", "6....4", "545656"],
                Place::Edges,
            ),
            (
                ["565456", "565456", "545654", "465564", "545656", "556456"],
                Place::AllOver,
            ),
        ] {
            assert_eq!(place(&lines, false), Some(found));
            // There is nowhere more of it.
            assert_eq!(place(&lines, true), None);
        }
    }

    #[test]
    fn what_does_not_differ_has_no_place() {
        assert_eq!(place(&["....", "....", "....", "...."], false), None);
        let sample = even(0.5).measurements;
        let whole = panel(&["....", "....", "....", "...."]);
        assert_eq!(
            whereabouts(&sample, &whole, |w| w.coverage, true),
            Some(Place::AllOver)
        );
        let mut cut = panel(&["55", "55"]);
        cut.window_values.pop();
        assert_eq!(
            whereabouts(&even(1.0).measurements, &cut, |w| w.coverage, false),
            None
        );
        let mut none = even(1.0).measurements;
        none.window_values.clear();
        assert_eq!(
            whereabouts(&none, &panel(&["55", "55"]), |w| w.coverage, false),
            None
        );
    }

    #[test]
    fn a_sample_worn_at_its_edges_expects_worn_edges() {
        let sample = panel(&["5555", "5..5", "5..5", "5555"]);
        let expected = Expected::of(&sample, |w| w.coverage);
        assert!((expected.edge - 0.5).abs() < 1e-6 && (expected.inside - 1.0).abs() < 1e-6);
        assert!(
            (expected.at(4, 4, 0) - 0.5).abs() < 1e-6 && (expected.at(4, 4, 5) - 1.0).abs() < 1e-6
        );
        assert!((expected.at(3, 3, 0) - 0.75).abs() < 1e-6);
        assert_eq!(whereabouts(&sample, &sample, |w| w.coverage, false), None);
        // Too few windows to tell edges: all alike.
        let few = Expected::of(&panel(&["5.", ".5"]), |w| w.coverage);
        assert!((few.edge - 0.75).abs() < 1e-6 && (few.inside - 0.75).abs() < 1e-6);
    }

    #[test]
    fn a_region_stands_out_by_three_errors_where_the_rest_hardly_differs() {
        let inside = [true, true, false, false, false, false];
        let found = |differences: [f64; 6]| stands_out(&differences, &inside);
        // Means 1 and 0, pooled variance 0.02/4: 1/√(0.005 · 0.75) errors.
        let sure = found([1.1, 0.9, 0.0, 0.0, 0.0, 0.0]).unwrap();
        assert!(
            (sure - 1.0 / (0.005_f64 * 0.75).sqrt()).abs() < 1e-9,
            "{sure}"
        );
        assert_eq!(found([1.0, 1.0, 0.41, 0.41, 0.41, 0.41]), None);
        assert!(found([1.0, 1.0, 0.4, 0.4, 0.4, 0.4]).is_some());
        assert_eq!(found([-1.0, -1.0, -2.0, -2.0, -2.0, -2.0]), None);
        assert_eq!(found([2.0, 0.0, 0.4, -0.4, 0.4, -0.4]), None);
        assert_eq!(stands_out(&[1.0, 0.0, 0.0], &[true, false, false]), None);
        assert_eq!(stands_out(&[1.0; 4], &[true; 4]), None);
    }
}
