//! Control charts, outliers, and studies of a measuring rig.

use std::collections::BTreeMap;

use paneprint::stats::chart::{Ewma, Individuals, USUAL_LAMBDA};
use paneprint::stats::crossed::Crossed;
use paneprint::stats::outlier::{ODD, grubbs, grubbs_critical, modified_z};
use paneprint::stats::precision::{Precision, USUAL_CHANCE, h_critical, k_critical};

use super::{Table, json, near, number, numbers};

/// NIST/SEMATECH e-Handbook 6.3.2.2, flow rates of ten batches.
#[test]
fn individuals_have_the_limits_of_the_handbook() {
    // The handbook divides by d₂ as tables print it.
    const PRINTED: f64 = 1.128;
    let found = Individuals::new(&Table::load("nist_individuals.csv").column("x")).unwrap();
    near("mean", found.centre, 50.81, 1e-9);
    near("mean moving range", found.mean_range, 1.8778, 5e-5);
    let d2 = 3.0 * found.mean_range / (found.high - found.centre);
    let as_printed = |limit: f64| found.centre + (limit - found.centre) * d2 / PRINTED;
    near("upper limit", as_printed(found.high), 55.8041, 5e-5);
    near("lower limit", as_printed(found.low), 45.8159, 5e-5);
    assert!(found.outside.is_empty() && found.ranges_outside.is_empty());
}

/// ISO 7870-2, factors for two figures: d₂, and D₄ = 1 + 3d₃/d₂.
#[test]
fn limits_use_the_factors_of_the_tables() {
    let table = Table::load("control_chart_constants.csv");
    let [d2, d3, d4] = table.rows().next().unwrap().numbers(["d2", "d3", "D4"]);
    let found = Individuals::new(&[0.0, 1.0]).unwrap();
    near("d2", 3.0 / (found.high - found.centre), d2, 5e-7);
    near("D4", found.range_high, d4, 5e-7);
    near("d3", (found.range_high - 1.0) * d2 / 3.0, d3, 5e-7);
    near("D4 as printed", found.range_high, 3.267, 5e-4);
}

/// NIST/SEMATECH e-Handbook 6.3.2.4: λ = 0.3 about 50 with s = 2.0539, twenty figures.
#[test]
fn the_weighted_average_moves_as_in_the_handbook() {
    let table = Table::load("nist_ewma.csv");
    let rows: Vec<_> = table.rows().skip(1).collect();
    let values: Vec<f64> = rows.iter().map(|row| row.number("x")).collect();
    let found = Ewma::new(&values, 50.0, 2.0539, USUAL_LAMBDA).unwrap();
    assert_eq!(found.points.len(), 20);
    for (point, row) in found.points.iter().zip(&rows) {
        let [printed, full] = row.numbers(["ewma_published", "ewma_full"]);
        near(row.text("t"), *point, printed, 5e-3);
        near(row.text("t"), *point, full, 1e-10);
    }
    // The lower limit, 47.41157, is printed cut off.
    near("upper limit", found.high, 52.5884, 5e-5);
    near("lower limit", found.low, 47.4115, 1e-4);
    assert!(found.outside.is_empty());
}

fn figures(array: &serde_json::Value) -> Vec<f64> {
    array.as_array().unwrap().iter().map(number).collect()
}

/// NIST/SEMATECH e-Handbook 1.3.5.17.1: eight readings of Tietjen & Moore (1972), one of them odd.
#[test]
fn grubbs_test_rejects_the_reading_of_the_handbook() {
    let published = &json("outlier_tests.json")["grubbs"];
    let values = figures(&published["data"]);
    let found = grubbs(&values).unwrap();
    let outlier = number(&published["outlier"]);
    near("outlier", values[found.index], outlier, 0.0);
    // Printed cut off.
    near("G", found.g, number(&published["G_published"]), 1e-4);
    near("G", found.g, number(&published["G_full"]), 1e-9);
    let critical = |key: &str, two_sided: bool, tolerance: f64| {
        let limit = grubbs_critical(values.len(), 0.05, two_sided).unwrap();
        near(key, limit, number(&published[key]), tolerance);
        assert!(found.g > limit);
    };
    critical("critical_one_sided_0.05_published", false, 5e-4);
    critical("critical_one_sided_0.05_full", false, 1e-9);
    critical("critical_two_sided_0.05_L", true, 1e-9);
}

/// Iglewicz & Hoaglin (1993): ten figures, of which the two large ones are odd.
#[test]
fn modified_z_tells_the_two_odd_figures() {
    let published = &json("outlier_tests.json")["modified_z"];
    let values: [f64; 10] = numbers(&published["data"]);
    let found = modified_z(&values).unwrap();
    for (found, published) in found.iter().zip(numbers::<10>(&published["M"])) {
        near("z", *found, published, 1e-9);
    }
    let odd = values.iter().zip(&found).filter(|(_, z)| z.abs() > ODD);
    assert_eq!(odd.map(|(v, _)| *v).collect::<Vec<_>>(), [8.2, 8.3]);
    // The median and the MAD, from the zs of two figures.
    let [median, mad] = ["median", "MAD"].map(|key| number(&published[key]));
    let sd = (8.3 - 2.1) / (found[9] - found[0]);
    near("MAD", 0.6745 * sd, mad, 1e-9);
    near("median", 8.3 - found[9] * sd, median, 1e-9);
    // The plain z, (x − mean)/s, cannot reach 3 among ten figures.
    let plain = numbers::<10>(&published["plain_z_n_minus_1"]);
    near("plain z", grubbs(&values).unwrap().g, plain[9], 1e-9);
}

/// Serum glucose of ASTM E691-99: the figures of a material, laboratory by laboratory.
fn glucose(material: &str) -> Vec<Vec<f64>> {
    let mut laboratories: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for row in Table::load("e691_glucose.csv").rows() {
        let figures = laboratories.entry(row.text("lab").to_owned()).or_default();
        figures.push(row.number(material));
    }
    laboratories.into_values().collect()
}

/// ASTM E691-99, glucose in serum: five materials, and one of them again with a slip of the pen put right.
#[test]
fn repeatability_and_reproducibility_are_those_of_the_standard() {
    let table = Table::load("e691_glucose_results.csv");
    let mut corrected = 0;
    for row in table.rows() {
        let material = row.text("material");
        let mut groups = glucose(material);
        if row.text("variant") != "raw" {
            assert_eq!(row.text("variant"), "lab 4 value 148.30 replaced by 138.30");
            for figure in &mut groups[3] {
                if *figure > 148.0 {
                    *figure = 138.30;
                    corrected += 1;
                }
            }
        }
        let found = Precision::new(&groups).unwrap();
        for (column, found, tolerance) in [
            ("xbar", found.mean, 5e-7),
            ("s_xbar", found.means_sd, 5e-7),
            ("s_r", found.repeatability, 5e-7),
            ("s_R", found.reproducibility, 5e-7),
            ("r", found.repeatability_limit(), 5e-5),
            ("R", found.reproducibility_limit(), 5e-5),
        ] {
            let what = format!("{material} {column}");
            near(what, found, row.number(column), tolerance);
        }
    }
    assert_eq!((table.rows().count(), corrected), (6, 1));
}

/// ASTM E691-99, the same: every laboratory's h and k, and those over the critical values for 8 laboratories and 3 repeats.
#[test]
fn laboratories_are_as_consistent_as_in_the_standard() {
    // Recalled, and computed.
    let [h, k] = [h_critical(8, USUAL_CHANCE), k_critical(8, 3, USUAL_CHANCE)].map(Option::unwrap);
    near("critical h", h, 2.15, 5e-3);
    near("critical k", k, 2.06, 5e-3);
    let mut over = Vec::new();
    let table = Table::load("e691_glucose_hk.csv");
    for row in table.rows() {
        let (laboratory, material) = (row.text("lab"), row.text("material"));
        let found = Precision::new(&glucose(material)).unwrap();
        let place: usize = laboratory.parse().unwrap();
        let found = found.groups[place - 1];
        for (column, found) in [
            ("cell_mean", found.mean),
            ("cell_sd", found.sd),
            ("h", found.h.unwrap()),
            ("k", found.k.unwrap()),
        ] {
            let what = format!("{laboratory} {material} {column}");
            near(what, found, row.number(column), 5e-7);
        }
        assert!(found.h.unwrap().abs() < h, "{laboratory} {material}");
        if found.k.unwrap() > k {
            over.push(format!("{laboratory} {material}"));
        }
    }
    assert_eq!(table.rows().count(), 40);
    assert_eq!(over, ["4 C", "2 E"]);
}

/// Ten parts, three appraisers, three trials: the analysis of variance of the AIAG's manual, 4th edition. Parts stand for
/// panels, appraisers for sessions.
#[test]
fn a_crossed_study_divides_its_variance_as_published() {
    let mut cells = vec![vec![Vec::new(); 3]; 10];
    for row in Table::load("grr_10x3x3.csv").rows() {
        let part: usize = row.text("part").parse().unwrap();
        let appraiser = "ABC".find(row.text("appraiser")).unwrap();
        cells[part - 1][appraiser].push(row.number("y"));
    }
    let found = Crossed::new(&cells).unwrap();
    let pooled = found.pooled.unwrap();
    for (what, found, square, dof, squares) in [
        ("part", found.panel, 9.81799, 9, 88.361_934),
        ("appraiser", found.session, 1.58363, 2, 3.167_262),
        ("interaction", found.interaction, 0.01994, 18, 0.358_982),
        ("repeatability", found.repeat, 0.04598, 60, 2.758_933),
        ("pooled", pooled, 0.03997, 78, 0.358_982 + 2.758_933),
    ] {
        assert_eq!(found.dof, dof, "{what}");
        near(what, found.square, square, 5e-6);
        near(what, found.square * dof as f64, squares, 1e-6);
    }
    near("F", found.interaction_f.unwrap(), 0.434, 5e-4);
    near("p", found.interaction_p.unwrap(), 0.974, 5e-4);
    near("repeatability", found.repeatability, 0.039_973, 5e-7);
    near("reproducibility", found.reproducibility, 0.051_455, 5e-7);
    near("part", found.between_panels, 1.086_447, 5e-7);
    near("both", found.rig(), 0.09143, 5e-6);
    near("share", 100.0 * found.rig_share().unwrap(), 27.86, 5e-3);
    let kinds = found.kinds().unwrap();
    near("categories", kinds, 4.875, 5e-4);
    near("whole categories", kinds.floor(), 4.0, 0.0);
}
