//! A curve through rising points does not turn back, on the data the method was published with.

use paneprint::stats::monotone::Monotone;

use super::{Table, near};

#[test]
fn the_curve_passes_through_the_published_points_and_rises_between_them() {
    let points: Vec<[f64; 2]> = Table::load("monotone_rpn14.csv")
        .rows()
        .map(|row| row.numbers(["x", "f"]))
        .collect();
    let curve = Monotone::through(&points).unwrap();
    for [x, f] in &points {
        near(x, curve.at(*x), *f, 1e-12);
    }
    let (first, last) = (points[0], points[points.len() - 1]);
    let along = |i: i32| curve.at(first[0] + (last[0] - first[0]) * f64::from(i) / 10_000.0);
    for i in 0..10_000 {
        assert!(along(i + 1) >= along(i), "turns back at step {i}");
        assert!(
            (first[1]..=last[1]).contains(&along(i)),
            "overshoots at step {i}"
        );
    }
}
