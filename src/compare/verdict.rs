//! All measures of a panel against the sample's, and the verdict that follows.

use super::rules::{Allowances, MeasureMatch, Verdict, set_against};
use crate::error::{Error, Result};
use crate::fingerprint::metric::{METRICS, Metric};
use crate::fingerprint::{Fingerprint, Scatter};
use crate::frame::panel::SilverScale;
use crate::frame::placement::Stage;
use crate::measure::{Measurements, SizeHistogram};
use crate::ops::transfer::colour_difference;
use crate::units::{Estimate, Measure, Unmeasured};

/// A difference in coverage under this share of its allowance is no lean.
const LEAST_LEAN: f64 = 0.25;

/// Which way a panel lies from the sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// More silver left than on the sample.
    Lighter,
    /// Less silver left.
    Darker,
    /// As much.
    Neither,
}

/// A reading with the name it goes by.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// Name of the finish, or file name of the photo.
    pub name: &'a str,
    /// What was read.
    pub fingerprint: &'a Fingerprint,
}

/// A panel set against a sample.
#[derive(Debug, Clone)]
pub struct Match {
    /// Outside if any measure is; within if all are; else unsure.
    pub verdict: Verdict,
    /// Which way the panel lies.
    pub lean: Lean,
    /// Measure by measure.
    pub measures: Vec<MeasureMatch>,
    /// No allowance of the studio's own was used.
    pub only_starting_allowances: bool,
    /// How far the work on the panel has gone.
    pub stage: Option<Stage>,
    /// One was backed and the other not.
    pub stages_differ: bool,
    /// The photo of one of them could not be judged by, and was measured all the same.
    pub not_usable: bool,
    /// Speckles were compared from this diameter up, mm.
    pub floor_mm: f64,
    /// How far apart the eye sees the two silvers' tones at equal lightness, CIEDE2000; `None` where one has no tone.
    pub tone_difference: Option<f64>,
}

/// Sets a panel against a sample.
///
/// # Errors
/// Unlike versions or settings, one seen from the front and the other from the back, or only one read against full
/// silver.
pub fn compare(sample: Side<'_>, panel: Side<'_>, own: &Allowances) -> Result<Match> {
    refuse_unlike(sample, panel)?;
    let (a, b) = (sample.fingerprint, panel.fingerprint);
    let floor_mm = a
        .measurements
        .speckle_floor_mm
        .max(b.measurements.speckle_floor_mm);
    let measures: Vec<MeasureMatch> = METRICS
        .iter()
        .map(|m| {
            let limit = Scatter::limit_of_two(a.scatter(m), b.scatter(m));
            let read = |f: &Fingerprint| f.widened(m, at_floor(f, m, floor_mm));
            set_against(m, read(a), read(b), limit, own)
        })
        .collect();
    let stage = b.provenance.placement.stage;
    let backed = |f: &Fingerprint| f.provenance.placement.stage.map(|s| s == Stage::Backed);
    Ok(Match {
        verdict: overall(&measures),
        lean: lean(&measures),
        measures,
        only_starting_allowances: own.is_empty(),
        stage,
        stages_differ: matches!((backed(a), backed(b)), (Some(a), Some(b)) if a != b),
        not_usable: a.provenance.anyway || b.provenance.anyway,
        floor_mm,
        tone_difference: tone_difference(&a.measurements, &b.measurements),
    })
}

pub(super) fn refuse_unlike(sample: Side<'_>, panel: Side<'_>) -> Result<()> {
    let (a, b) = (sample.fingerprint, panel.fingerprint);
    let why = if a.version != b.version {
        "they were measured by unlike versions of the measures"
    } else if a.settings_digest != b.settings_digest {
        "they were measured with unlike settings"
    } else if a.provenance.placement.side != b.provenance.placement.side {
        "one was photographed from the front and the other from the back"
    } else if own_scale(a) != own_scale(b) {
        // A veiled panel on its own scale reads lighter than it is, and would be worked further for nothing.
        "one was read against full silver, the other only against its own brightest parts; name the rig, or lay a mirror offcut beside it"
    } else {
        return Ok(());
    };
    Err(Error::NotComparable {
        sample: sample.name.to_owned(),
        panel: panel.name.to_owned(),
        why: why.to_owned(),
    })
}

fn own_scale(fingerprint: &Fingerprint) -> bool {
    fingerprint.provenance.silver_scale == SilverScale::Own
}

fn overall(measures: &[MeasureMatch]) -> Verdict {
    let mut verdicts = measures.iter().filter_map(|m| m.found.map(|f| f.verdict));
    if verdicts.clone().any(|v| v == Verdict::Outside) {
        Verdict::Outside
    } else if verdicts.all(|v| v == Verdict::Within) {
        Verdict::Within
    } else {
        Verdict::Unsure
    }
}

fn lean(measures: &[MeasureMatch]) -> Lean {
    let coverage = measures
        .iter()
        .find(|m| m.metric.key == "coverage")
        .and_then(|m| m.found);
    match coverage {
        Some(f) if !f.real || f.difference.abs() < LEAST_LEAN * f.allowance => Lean::Neither,
        Some(f) if f.low > 0.0 => Lean::Lighter,
        Some(f) if f.high < 0.0 => Lean::Darker,
        _ => Lean::Neither,
    }
}

fn tone_difference(sample: &Measurements, panel: &Measurements) -> Option<f64> {
    // Of two colours of one lightness the formula takes no notice of which it is.
    let tone = |m: &Measurements| Some([50.0, m.tone_a.ok()?.value, m.tone_b.ok()?.value]);
    Some(colour_difference(tone(sample)?, tone(panel)?))
}

/// A measure of a reading before the rig widens it, the speckle measures as they would be at a higher floor: the closer
/// photo must not "have more speckles" only because it shows smaller ones.
fn at_floor(fingerprint: &Fingerprint, metric: &Metric, floor_mm: f64) -> Measure {
    let own = (metric.of)(&fingerprint.measurements);
    let m = &fingerprint.measurements;
    if floor_mm <= m.speckle_floor_mm {
        return own;
    }
    let quantile = |q| {
        m.speckle_sizes
            .quantile_above(floor_mm, q)
            .ok_or(Unmeasured::TooFewSpeckles)
    };
    let raised = match metric.key {
        "speckle_density" => m.speckle_sizes.density_above(floor_mm),
        "speckle_diameter_median" => quantile(0.5)?,
        "speckle_diameter_p90" => quantile(0.9)?,
        _ => return own,
    };
    own.map(|e| moved(e, raised, &m.speckle_sizes, floor_mm))
}

/// An estimate moved to another floor: its relative spread grows as the root of how many speckles are left.
fn moved(own: Estimate, value: f64, sizes: &SizeHistogram, floor_mm: f64) -> Estimate {
    let left = sizes.density_above(floor_mm) / sizes.density_above(0.0).max(1e-9);
    let widened = |arm: f64| arm / own.value.max(1e-9) * value / left.max(1e-3).sqrt();
    Estimate {
        value,
        low: value - widened(own.value - own.low),
        high: value + widened(own.high - own.value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_higher_floor_counts_fewer_and_larger_speckles() {
        let sizes = SizeHistogram {
            edges_mm: vec![0.5, 1.0, 2.0, 4.0],
            per_cm2: vec![2.0, 1.0, 1.0],
        };
        assert!((sizes.density_above(0.0) - 4.0).abs() < 1e-12);
        assert!((sizes.density_above(1.0) - 2.0).abs() < 1e-12);
        // Half of the second bin, on the logarithmic scale.
        assert!((sizes.density_above(2_f64.sqrt()) - 1.5).abs() < 1e-9);
        assert!((sizes.quantile_above(1.0, 0.5).unwrap() - 2.0).abs() < 1e-9);
        assert!(sizes.quantile_above(4.0, 0.5).is_none());
    }
}
