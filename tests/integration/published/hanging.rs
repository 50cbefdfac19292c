//! The order along a row and the search for it, against the seventeen cities gr17 of TSPLIB.

use paneprint::compare::wall::arrange::{Grid, Hung, Steps, exact, search};

use super::{Table, near};

/// Length of the shortest path through all cities from any to any (L: an exact dynamic programme).
const PATH: f64 = 1564.0;

/// Length of the shortest round trip (P: TSPLIB).
const ROUND_TRIP: f64 = 2085.0;

/// Distances between the cities.
fn distances() -> Vec<Vec<f64>> {
    let table = Table::load("tsp_gr17.csv");
    (0..17).map(|c| table.column(&format!("c{c}"))).collect()
}

/// So many panels in a row, none to be turned, with these steps.
fn row(cols: usize, step: impl Fn(usize, usize) -> f64) -> Steps {
    let across = |left: Hung, right: Hung| step(left.panel, right.panel);
    Steps::of(
        Grid { rows: 1, cols },
        false,
        across,
        |_, _| 0.0,
        |_, _| 0.0,
    )
}

#[test]
fn the_shortest_path_is_found() {
    let distances = distances();
    let steps = row(17, |a, b| distances[a][b]);
    let found = exact::least_sum(&steps, f64::INFINITY).unwrap();
    near("path", found.sum, PATH, 1e-9);
}

#[test]
fn the_shortest_round_trip_is_found() {
    // The first city is both ends of the row: as 0 nothing can stand left of it, as 17 nothing right of it.
    let distances = distances();
    let never = 1e9;
    let steps = row(18, |a, b| match (a, b) {
        (17, _) | (_, 0) => never,
        _ => distances[a][b % 17],
    });
    let found = exact::least_sum(&steps, never / 2.0).unwrap();
    assert_eq!([found.hung[0].panel, found.hung[17].panel], [0, 17]);
    near("round trip", found.sum, ROUND_TRIP, 1e-9);
}

#[test]
fn the_search_finds_the_shortest_path() {
    // The search puts the largest step first: there is none where the distances are how badly panels go beside each other.
    let distances = distances();
    let grid = Grid { rows: 1, cols: 17 };
    let steps = Steps::of(grid, false, |_, _| 0.0, |_, _| 0.0, |a, b| distances[a][b]);
    let found = search::search(&steps, 1);
    near("path", found.sum, PATH, 0.02 * PATH);
}
