//! The bootstrap against exact enumeration and a textbook example, and Student's t in its widening.

use std::sync::Mutex;

use paneprint::stats::bootstrap::{Resamples, dot, small_sample_widening};
use paneprint::stats::order::quantile;
use paneprint::units::Estimate;
use statrs::distribution::{ContinuousCDF, Normal};

use super::{Table, json, near, number, numbers};

/// The values a statistic takes over the resamples, and its interval.
fn values(
    windows: usize,
    resamples: usize,
    statistic: impl Fn(&[f64]) -> f64 + Sync,
) -> (Vec<f64>, Estimate) {
    let found = Mutex::new(Vec::new());
    let value = statistic(&vec![1.0; windows]);
    let interval = Resamples::draw(windows, resamples, 1)
        .unwrap()
        .interval(value, |weights| {
            let value = statistic(weights);
            found.lock().unwrap().push(value);
            Some(value)
        });
    (found.into_inner().unwrap(), interval.unwrap())
}

fn deviation(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt()
}

/// The ideal bootstrap of {1, 2, 4, 8, 16}: all 5⁵ resamples by enumeration.
fn five() -> (serde_json::Value, [f64; 5]) {
    let published = json("bootstrap.json")["ideal_bootstrap_n5"].clone();
    let data = numbers(&published["data"]);
    (published, data)
}

/// Standard error of the mean: 2.4396721, the population deviation over √5.
#[test]
fn resampled_means_spread_as_all_resamples_do() {
    let (published, data) = five();
    let count = 100_000;
    let (means, _) = values(5, count, |w| dot(w, &data) / 5.0);
    // Four standard errors of a deviation from so many resamples, 1/√(2B) for normal tails; these are shorter.
    near(
        "se",
        deviation(&means),
        number(&published["se_mean"]),
        0.022,
    );
}

/// How often each value is the median, of 3125: 181, 811, 1141, 811, 181.
#[test]
fn resampled_medians_fall_as_often_as_enumerated() {
    let (published, data) = five();
    let count = 100_000;
    let (medians, _) = values(5, count, |weights| {
        let mut drawn = 0.0;
        let middle = weights.iter().position(|w| {
            drawn += w;
            drawn >= 3.0
        });
        data[middle.unwrap()]
    });
    for (value, times) in published["median_bootstrap_counts_of_3125"]
        .as_object()
        .unwrap()
    {
        let value: f64 = value.parse().unwrap();
        let share = number(times) / 3125.0;
        let found = medians.iter().filter(|m| (*m - value).abs() < 0.5).count() as f64;
        // Four standard errors of a binomial share.
        let slack = 4.0 * (share * (1.0 - share) / count as f64).sqrt();
        near(value, found / count as f64, share, slack);
    }
}

/// Efron (1979), Efron & Tibshirani (1993), table 3.1: the correlation of fifteen law schools' scores is 0.776 and its
/// bootstrap standard error 0.133.
#[test]
fn the_law_schools_correlation_has_its_standard_error() {
    let published = &json("bootstrap.json")["law_school"];
    let (lsat, gpa) = (
        numbers::<15>(&published["LSAT"]),
        numbers::<15>(&published["GPA"]),
    );
    let correlation = |w: &[f64]| {
        let n: f64 = w.iter().sum();
        let (x, y) = (dot(w, &lsat) / n, dot(w, &gpa) / n);
        let sum = |f: fn(f64, f64) -> f64| {
            w.iter()
                .zip(lsat.iter().zip(&gpa))
                .map(|(w, (a, b))| w * f(a - x, b - y))
                .sum::<f64>()
        };
        sum(|a, b| a * b) / (sum(|a, _| a * a) * sum(|_, b| b * b)).sqrt()
    };
    let (mut found, interval) = values(15, 40_000, correlation);
    near("r", interval.value, number(&published["r"]), 1e-9);
    let reference = &published["bootstrap_B200000_seed0_numpy_L"];
    near("se", deviation(&found), number(&reference["se"]), 0.003);
    let [low, high] = numbers(&reference["percentile95"]);
    near("2.5 %", quantile(&mut found, 0.025).unwrap(), low, 0.01);
    near("97.5 %", quantile(&mut found, 0.975).unwrap(), high, 0.01);
    // The ends are BCa's (ch. 14): their shares of the resamples from the same bias and jackknife, worked out here anew.
    let normal = Normal::standard();
    let under = found.iter().filter(|r| **r < interval.value).count() as f64;
    let bias = normal.inverse_cdf(under / found.len() as f64);
    let left: Vec<f64> = (0..15)
        .map(|i| {
            correlation(&std::array::from_fn::<f64, 15, _>(|k| {
                f64::from(u8::from(k != i))
            }))
        })
        .collect();
    let mean = left.iter().sum::<f64>() / 15.0;
    let sum = |power| left.iter().map(|r| (mean - r).powi(power)).sum::<f64>();
    let acceleration = sum(3) / (6.0 * sum(2).powf(1.5));
    let wider = small_sample_widening(15, 1);
    for (end, z, got) in [("low", -1.96, interval.low), ("high", 1.96, interval.high)] {
        let moved = bias + z;
        let share = normal.cdf(bias + moved / (1.0 - acceleration * moved));
        let point = quantile(&mut found, share).unwrap();
        near(
            end,
            got,
            interval.value + wider * (point - interval.value),
            0.01,
        );
    }
}

/// ASTM E562, E1245: t(0.975, n − 1), the multiplier of an area fraction's spread over n fields.
#[test]
fn intervals_from_few_windows_widen_by_students_t() {
    // The 97.5 % point of the normal distribution, to ten digits.
    const Z: f64 = 1.959_963_985;
    for row in Table::load("area_fraction_ci_t.csv").rows() {
        let n: usize = row.text("n_fields").parse().unwrap();
        let fields = n as f64;
        let t = small_sample_widening(n, 1) * Z / (fields / (fields - 1.0)).sqrt();
        near(n, t, row.number("t"), 1e-6);
        near(n, t / fields.sqrt(), row.number("t_over_sqrt_n"), 1e-6);
    }
}
