//! Rows and matches made by hand for the tests of what is decided on them.

use super::lean::Lean;
use super::rules::{Comparison, MeasureMatch};
use super::side::Side;
use super::terms::{AllowanceSource, Allowed};
use super::verdict::Match;
use super::wholes::WholeMatch;
use crate::fingerprint::metric::Metric;
use crate::fingerprint::{Fingerprint, Provenance, VERSION, Verdict};
use crate::frame::panel::SilverScale;
use crate::frame::photo::{Capture, ColourSource};
use crate::frame::quad::Quad;
use crate::frame::{Plane, drawn};
use crate::measure::{Settings, measure};
use crate::quality::FlagSet;
use crate::units::Estimate;

/// A measure that differs by so many allowances, and for sure where it is not unsure.
pub(super) fn row(metric: &'static Metric, verdict: Verdict, weight: f64) -> MeasureMatch {
    let allowance = metric.allowance;
    let difference = weight * allowance;
    let half = if verdict == Verdict::Unsure {
        2.0 * difference.abs().max(allowance)
    } else {
        0.0
    };
    let sure = |value| {
        Ok(Estimate {
            value,
            low: value,
            high: value,
        })
    };
    MeasureMatch {
        metric,
        sample: sure(0.5),
        panel: sure(0.5 + difference),
        found: Some(Comparison {
            difference,
            low: difference - half,
            high: difference + half,
            allowance,
            real: true,
            verdict,
            weight: weight.abs(),
            stays_open: false,
        }),
        allowed: Allowed::even(allowance, AllowanceSource::Start),
    }
}

/// The same of a whole.
pub(super) fn whole(whole: &'static Metric, verdict: Verdict, weight: f64) -> WholeMatch {
    let of = row(whole, verdict, weight);
    let found = of.found.unwrap();
    WholeMatch {
        whole,
        difference: found.difference,
        low: found.low,
        high: found.high,
        allowance: found.allowance,
        verdict,
    }
}

/// A match of some rows and wholes that lies to one side.
pub(super) fn matched(
    toward: Lean,
    verdict: Verdict,
    measures: Vec<MeasureMatch>,
    wholes: Vec<WholeMatch>,
) -> Match {
    Match {
        verdict,
        unsure: None,
        lean: toward,
        toward,
        measures,
        wholes,
        place: None,
        stage: None,
        floor_mm: 0.4,
        tone_difference: None,
        new_dark_is_bare: true,
        paint: None,
        remarks: Vec::new(),
    }
}

/// The reading of a panel of exactly this silver, at ten pixels a millimetre.
pub(super) fn reading(silver: Plane) -> Fingerprint {
    let panel = drawn::panel(silver, 10.0);
    let mut placement = drawn::placement(Quad::rectangle(0.0, 0.0, 100.0, 100.0));
    placement.size = panel.size;
    Fingerprint {
        version: VERSION,
        settings_digest: String::new(),
        measurements: measure(&panel, &Settings::default()).numbers,
        provenance: Provenance {
            photo_digest: String::new(),
            capture: Capture::default(),
            colour: ColourSource::AssumedSrgb,
            placement,
            silver_scale: SilverScale::Plain,
            light_doubt: 0.0,
            rig: None,
            rig_digest: None,
            px_per_mm: 10.0,
            blur_mm: 0.0,
            patch_colour: None,
            flags: FlagSet::default(),
            anyway: false,
            steps: Vec::new(),
        },
        repeatability: None,
    }
}

/// The reading of even silver.
pub(super) fn even(level: f32) -> Fingerprint {
    reading(Plane::from_elem((240, 240), level))
}

/// A reading with a name.
pub(super) fn named<'a>(name: &'a str, fingerprint: &'a Fingerprint) -> Side<'a> {
    Side { name, fingerprint }
}
