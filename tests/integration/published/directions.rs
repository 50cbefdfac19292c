//! Axial data sets and the Rayleigh test.

use paneprint::stats::axial::{Tensor, rayleigh_chance};
use paneprint::units::{axial, axial_difference};

use super::{Table, near};

/// Mean axis, degrees, and mean resultant length of axes, each a gradient of length 1.
fn mean_axis(degrees: &[f64]) -> (Tensor, f64, f64) {
    let mut tensor = Tensor::default();
    for d in degrees {
        let (sin, cos) = d.to_radians().sin_cos();
        tensor.add(cos, sin, 1.0);
    }
    // The tensor names the lines across its gradients.
    (tensor, axial(tensor.line_axis() - 90.0), tensor.coherence())
}

/// A data set: its file and column, how many axes it has, their mean axis in degrees, the mean resultant length and the
/// Rayleigh chance by Zar's formula (numpy, scipy), each to the digits that the file's head gives.
type Axes = (&'static str, &'static str, usize, f64, f64, f64);

#[rustfmt::skip]
const SETS: [Axes; 4] = [
    // Wessel, Introduction to Statistics and Data Analysis, chapter 9.
    ("axial_wessel_faults.csv", "strike_deg", 13, 138.572_147_164_3, 0.802_359_323_1, 5.226_013_3e-5),
    // Zar, Biostatistical Analysis, 5th ed., example 26.7.
    ("axial_zar_26_7.csv", "deg", 15, 47.953_007_602_9, 0.948_433_037_9, 7.605e-9),
    // Fisher, Statistical Analysis of Circular Data (1993), appendix B.2: no axis.
    ("axial_fisher_B2.csv", "deg", 133, 35.946_694_830_8, 0.118_679_390_5, 0.153_688_044_652),
    // The same, appendix B.5: one weak axis.
    ("axial_fisher_B5.csv", "deg", 60, 19.877_640_709_2, 0.237_021_692, 0.033_695_241_952),
];

#[test]
fn axial_data_sets_have_their_axis_length_and_chance() {
    for (file, column, count, axis, length, chance) in SETS {
        let degrees = Table::load(file).column(column);
        assert_eq!(degrees.len(), count, "{file}");
        let (_, found, resultant) = mean_axis(&degrees);
        near(file, axial_difference(axis, found), 0.0, 1e-9);
        near(file, resultant, length, 1e-9);
        // Zar's chance is given to four digits.
        near(
            file,
            rayleigh_chance(count, resultant),
            chance,
            1e-4 * chance,
        );
    }
}

/// The figures as Wessel prints them: sums of the doubled angles 1.2972 and −10.349, R̄ 0.802, over the critical 0.475.
#[test]
fn fault_strikes_have_the_printed_sums() {
    let strikes = Table::load("axial_wessel_faults.csv").column("strike_deg");
    let (sums, _, length) = mean_axis(&strikes);
    near("x", sums.cos, 1.2972, 5e-5);
    // Printed without rounding up: −10.3497.
    near("y", sums.sin, -10.349, 1e-3);
    near("length", length, 0.802, 5e-4);
    assert!(length > 0.475 && rayleigh_chance(13, length) < 0.05);
}

/// The figures as Zar prints them: r 0.94843, axis 48.
#[test]
fn zars_axes_have_the_printed_mean() {
    let axes = Table::load("axial_zar_26_7.csv").column("deg");
    let (_, axis, length) = mean_axis(&axes);
    near("axis", axis, 48.0, 0.5);
    near("length", length, 0.94843, 5e-6);
}

/// Every critical length of the table in columns named so, within `slack`, is where the chance falls to that of the column.
#[track_caller]
fn critical_lengths(suffix: &str, slack: impl Fn(usize) -> f64) {
    for row in Table::load("rayleigh_critical_rbar.csv").rows() {
        let n: usize = row.text("n").parse().unwrap();
        for (column, chance) in [("r10", 0.1), ("r05", 0.05), ("r025", 0.025), ("r01", 0.01)] {
            let length = row.number(&format!("{column}_{suffix}"));
            let at = |length| rayleigh_chance(n, length);
            let (above, below) = (at(length + slack(n)), at(length - slack(n)));
            assert!(
                above < chance && chance < below,
                "{n} {column}: {above} to {below}"
            );
        }
    }
}

/// Mardia (1972), as in Davis, table A.10: R̄ that chance exceeds once in 10, 20, 40 and 100 times.
#[test]
fn the_rayleigh_chance_meets_the_table_of_critical_lengths() {
    // The table has three decimals, and the approximation keeps within 0.0011 of it from ten axes on. For fewer it is off
    // by up to 0.022 in length (4 axes, once in 100 times).
    critical_lengths("pub", |n| if n >= 10 { 0.0015 } else { 0.023 });
}

/// The same approximation turned round, as Zar gives it, to four decimals: √(1 + 4n(n+1) − (ln α + 2n + 1)²)/(2n).
#[test]
fn the_rayleigh_chance_is_zars() {
    critical_lengths("approx", |_| 5.1e-5);
}
