//! What is said of what a sample can promise.

use super::list;
use crate::compare::promise::Promise;
use crate::units::{SizeMm, Unmeasured};

/// The answer: how sure the sample makes a panel of the size, and what would make it surer.
#[must_use]
pub fn words(name: &str, sample: SizeMm, size: SizeMm, p: &Promise) -> Vec<String> {
    let Some(coverage) = p.strays.iter().find(|s| s.metric.leads) else {
        return vec![format!("`{name}` is too small to promise anything.")];
    };
    let mut said = vec![format!(
        "By chance alone a panel of {size} made just like `{name}` ({sample}) may have {} to {} % of its silver left, 95 times in 100; the sample has {} %.",
        per_cent(coverage.panel.low),
        per_cent(coverage.panel.high),
        per_cent(coverage.panel.value)
    )];
    let loose: Vec<&str> = p
        .strays
        .iter()
        .filter(|s| s.may_stray())
        .map(|s| s.metric.title)
        .collect();
    said.push(if loose.is_empty() {
        "In no measure may chance alone take it further than is allowed.".to_owned()
    } else {
        format!(
            "Chance alone may take it further than is allowed in {}.",
            list(&loose)
        )
    });
    let never: Vec<&str> = p.never_pinned.iter().map(|m| m.title).collect();
    said.push(match p.pinned_by {
        Some((side_mm, metric)) if side_mm * side_mm <= sample.width * sample.height => {
            format!("The sample is large enough to pin the look, {} included.", metric.title)
        }
        Some((side_mm, metric)) => format!(
            "A sample of about {0:.0} x {0:.0} mm would pin the look; {1} asks for it.",
            round_up(side_mm),
            metric.title
        ),
        None => format!(
            "No sample of a size one could make would pin {}. Allow more, or say with approve --variety that the finish varies.",
            list(&never)
        ),
    });
    said
}

fn per_cent(share: f64) -> String {
    format!("{:.1}", share * 100.0)
}

/// In the table, beside a measure that chance alone may take past what is allowed.
pub const MAY_STRAY: &str = "MAY STRAY";

/// Nobody cuts glass to the millimetre for a sample.
fn round_up(side_mm: f64) -> f64 {
    (side_mm / 10.0).ceil() * 10.0
}

/// How a number of specks may come out.
#[must_use]
pub fn speckles(count: usize, (low, high): (f64, f64)) -> String {
    format!(
        "Where the finish has {count} specks on average, chance leaves anything from {:.0} to {:.0} of them.",
        low.floor(),
        high.ceil()
    )
}

/// Why nothing is promised of a measure.
#[must_use]
pub fn left_out(why: Option<Unmeasured>) -> String {
    why.map_or_else(
        || "it decides nothing where the texture agrees".to_owned(),
        |why| why.to_string(),
    )
}
