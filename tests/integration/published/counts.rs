//! Connected areas, what they weigh, and the limits of a count.

use paneprint::ops::label::{Labels, label};
use paneprint::stats::count::{poisson_limits, uncut_weight};

use super::{Table, json, near, number, numbers};

/// The areas of the published bitmap.
fn labelled() -> (Labels, serde_json::Value) {
    let published = json("region_props_10x10.json");
    let bitmap: Vec<&str> = published["bitmap"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row.as_str().unwrap())
        .collect();
    let labels = label(bitmap.len(), |r, runs| {
        let mut before = b'0';
        for (c, bit) in (0..).zip(bitmap[r].bytes()) {
            match (before, bit) {
                (b'0', b'1') => runs.push((c, c)),
                (b'1', b'1') => runs.last_mut().unwrap().1 = c,
                _ => {}
            }
            before = bit;
        }
    });
    (labels, published)
}

/// scikit-image 0.26.0: five areas by eight neighbours, with their pixels, centroids and boxes.
#[test]
fn connected_areas_are_those_of_a_reference_library() {
    let (labels, published) = labelled();
    let regions = published["regions_8"].as_array().unwrap();
    assert_eq!(
        labels.areas.len() as u64,
        published["n_components_8"].as_u64().unwrap()
    );
    for (area, region) in labels.areas.iter().zip(regions) {
        let name = &region["label"];
        assert_eq!(
            u64::from(area.pixels),
            region["area"].as_u64().unwrap(),
            "{name}"
        );
        let [row, col] = numbers(&region["centroid_rc"]);
        near(name, area.row, row, 1e-12);
        near(name, area.col, col, 1e-12);
        // Half-open: first row, first column, row and column past the last.
        let found = [area.rows.0, area.cols.0, area.rows.1 + 1, area.cols.1 + 1];
        assert_eq!(serde_json::json!(found), region["bbox"], "{name}");
    }
}

/// Miles (1974), Lantuéjoul: W·H / ((W−w)(H−h)) of each area's box in the frame of the bitmap.
#[test]
fn whole_areas_weigh_what_miles_and_lantuejoul_say() {
    let (labels, published) = labelled();
    let published = &published["miles_lantuejoul"];
    let [rows, cols] = numbers::<2>(&published["frame"]).map(|side| side as usize);
    let span = |(first, last): (u32, u32)| (last - first + 1) as usize;
    let weights: Vec<f64> = labels
        .areas
        .iter()
        .map(|a| uncut_weight((rows, cols), (span(a.rows), span(a.cols))))
        .collect();
    for (found, published) in weights.iter().zip(numbers::<5>(&published["weights"])) {
        near("weight", *found, published, 1e-9);
    }
    near(
        "sum",
        weights.iter().sum(),
        number(&published["sum_count"]),
        1e-9,
    );
}

/// Garwood (1936): exact limits of a Poisson count at 95 %.
#[test]
fn counts_have_garwoods_limits() {
    for row in Table::load("poisson_exact_ci.csv").rows() {
        let count: usize = row.text("c").parse().unwrap();
        let (low, high) = poisson_limits(count, 0.95);
        near(count, low, row.number("lo95"), 1e-6);
        near(count, high, row.number("hi95"), 1e-6);
    }
}

/// Gehrels (1986), tables 1 and 2: the same at one standard deviation, 68.27 %.
#[test]
fn counts_have_gehrels_limits() {
    // erf(1/√2).
    const ONE_SIGMA: f64 = 0.682_689_492_137_085_9;
    for row in Table::load("poisson_exact_ci.csv").rows() {
        let count: usize = row.text("c").parse().unwrap();
        let (low, high) = poisson_limits(count, ONE_SIGMA);
        near(count, low, row.number("lo_1sigma"), 1e-6);
        near(count, high, row.number("hi_1sigma"), 1e-6);
    }
}
