//! Equivalence tests whose outcome is published.

use paneprint::compare::Verdict;
use paneprint::compare::rules::{Doubt, set_against};
use paneprint::compare::terms::{AllowanceSource, Allowed};
use paneprint::fingerprint::metric::COVERAGE;
use paneprint::units::Estimate;

use super::{json, near, number, numbers};

/// The 95 % point of the normal distribution over its 97.5 % point.
const NINETY_OF_NINETY_FIVE: f64 = 1.644_853_627 / 1.959_963_985;

/// Six tests by the R package `equivalence`, as republished with statsmodels 0.15.0: the 90 % interval of a difference and
/// whether equivalence within 0.6 follows. The differences are read as those of a panel from a sample known exactly, with
/// the panel's 95 % interval as much wider than the published one as the normal distribution makes it.
#[test]
fn two_one_sided_tests_decide_as_published() {
    let published = json("tost_clinic_results.json");
    let cases = published["results"].as_object().unwrap();
    assert_eq!(cases.len(), 6);
    for (name, case) in cases {
        let [low, high] = numbers(&case["ci_diff"]);
        let difference = number(&case["mean_diff"]);
        let exact = Estimate {
            value: 0.0,
            low: 0.0,
            high: 0.0,
        };
        let wider = |end: f64| difference + (end - difference) / NINETY_OF_NINETY_FIVE;
        let panel = Estimate {
            value: difference,
            low: wider(low),
            high: wider(high),
        };
        let allowed = number(&case["epsilon"]);
        let own = Allowed::even(allowed, AllowanceSource::Own);
        let row = &COVERAGE;
        let found = set_against(row, Ok(exact), Ok(panel), Doubt::default(), own);
        let found = found.found.unwrap();
        near(name, found.low, low, 1e-6);
        near(name, found.high, high, 1e-6);
        near(name, found.allowance, allowed, 1e-12);
        let equivalent = case["result"] == "rejected";
        let verdict = if equivalent {
            Verdict::Within
        } else {
            Verdict::Unsure
        };
        assert_eq!(found.verdict, verdict, "{name}");
    }
}
