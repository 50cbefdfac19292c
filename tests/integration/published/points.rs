//! Nearest neighbours and the index of Clark & Evans.

use paneprint::stats::spatial::{ClarkEvans, clark_evans, nearest_distances};

use super::{Table, json, near, number};

fn points(file: &str) -> Vec<[f64; 2]> {
    Table::load(file)
        .rows()
        .map(|row| row.numbers(["x", "y"]))
        .collect()
}

/// O'Sullivan & Unwin, Geographic Information Analysis, 2nd ed., tables 4.9 and 5.2: twelve events, each one's distance
/// to the nearest other, and the mean as the documentation of pointpats prints it.
#[test]
fn twelve_events_have_their_nearest_distances() {
    let events = points("points_12.csv");
    let published = Table::load("points_12.csv").column("nnd");
    let found = nearest_distances(&events, 100.0, 100.0);
    for (found, published) in found.iter().zip(&published) {
        near("distance", *found, *published, 1e-9);
    }
    let index = clark_evans(&events, 100.0, 100.0).unwrap();
    near("mean", index.mean_distance, 21.612_139_802_089_246, 1e-12);
}

/// The same events: R 1.497333 with nothing done about the edges, 1.306380 by Donnelly (1978), whose expectation is
/// 16.543537 and whose score is 1.809191.
#[test]
fn twelve_events_have_their_index() {
    let index = clark_evans(&points("points_12.csv"), 100.0, 100.0).unwrap();
    near("naive", index.naive, 1.497_332_968, 1e-8);
    near("ratio", index.ratio, 1.306_380, 5e-7);
    near("expected", index.expected, 16.543_537, 5e-7);
    let score = (index.mean_distance - index.expected) / index.standard_error;
    near("score", score, 1.809_191, 5e-7);
}

/// A published pattern in a unit square: mean distance, naive and Donnelly's R (scipy 1.17.1).
fn pattern(name: &str) -> ClarkEvans {
    let published = &json("clark_evans_patterns.json")["patterns"][name];
    let lowest = number(&published["window"][1][0]);
    let mut points = points(&format!("points_{name}.csv"));
    points.iter_mut().for_each(|p| p[1] -= lowest);
    assert_eq!(points.len() as u64, published["n"].as_u64().unwrap());
    let index = clark_evans(&points, 1.0, 1.0).unwrap();
    near(
        "mean",
        index.mean_distance,
        number(&published["mean_nnd"]),
        1e-9,
    );
    near("naive", index.naive, number(&published["R_naive"]), 1e-9);
    near("ratio", index.ratio, number(&published["R_donnelly"]), 1e-9);
    index
}

/// How many standard errors a pattern lies from chance.
fn score(index: &ClarkEvans) -> f64 {
    (index.mean_distance - index.expected) / index.standard_error
}

/// Ripley (1977), Diggle (1983): 42 cell centres, spaced out.
#[test]
fn cell_centres_are_spaced_out() {
    assert!(score(&pattern("cells")) > 3.0);
}

/// Strauss (1975), Ripley (1977): 62 redwood seedlings, clumped.
#[test]
fn redwood_seedlings_are_clumped() {
    assert!(score(&pattern("redwood")) < -3.0);
}

/// Numata (1961), Diggle (1983): 65 Japanese black pine saplings, no other than random.
#[test]
fn black_pine_saplings_are_random() {
    assert!(score(&pattern("japanesepines")).abs() < 2.0);
}

/// A lattice of rows `down` apart, each shifted by `shift`, in a window of whole cells.
fn lattice_index(down: f64, shift: f64) -> f64 {
    let (rows, cols) = (20, 30);
    let points: Vec<[f64; 2]> = (0..rows)
        .flat_map(|r| (0..cols).map(move |c| (r, f64::from(c))))
        .map(|(r, c)| [c + shift * f64::from(r % 2), f64::from(r) * down])
        .collect();
    let (width, height) = (f64::from(cols), f64::from(rows) * down);
    clark_evans(&points, width, height).unwrap().naive
}

/// Clark & Evans (1954): at most 2.1491, in a hexagonal lattice.
#[test]
fn a_hexagonal_lattice_has_the_largest_index() {
    let published = number(&json("spacing_theory.json")["clark_evans"]["R_max_hexagonal"]);
    near(
        "hexagonal",
        lattice_index(0.75_f64.sqrt(), 0.5),
        published,
        1e-9,
    );
}

/// Clark & Evans (1954); Davis (2002), figure 5-9: 2 in a square lattice.
#[test]
fn a_square_lattice_has_an_index_of_two() {
    let published = number(&json("spacing_theory.json")["clark_evans"]["R_square_lattice"]);
    near("square", lattice_index(1.0, 0.0), published, 1e-9);
}
