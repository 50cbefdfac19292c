//! Readings and matches as JSON objects, keys in a fixed order. Figures keep three decimals more than are shown, so
//! that a reader may round them once.

use serde_json::{Map, Value, json};

use crate::archive::Overruling;
use crate::compare::terms::Source;
use crate::compare::{Lean, Match, MeasureMatch, Remark, Verdict, WholeMatch};
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{METRICS, Metric};
use crate::units::Measure;

/// Version of the JSON's form.
pub const SCHEMA: u32 = 1;

/// Why clouds are not compared though both have a figure.
const NOT_COMPARED: &str =
    "both have as much texture at every scale, so the size of clouds adds nothing";

/// Decimals kept beyond those shown.
const MORE_DECIMALS: i32 = 3;

/// Rounds a figure to three decimals more than its row shows.
pub(super) fn figure(metric: &Metric, value: f64) -> f64 {
    rounded(
        value,
        i32::try_from(metric.decimals).unwrap_or(0) + MORE_DECIMALS,
    )
}

pub(super) fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale + 0.0
}

fn measure(metric: &Metric, measure: Measure) -> Value {
    match measure {
        Ok(e) => json!({
            "value": figure(metric, e.value),
            "low": figure(metric, e.low),
            "high": figure(metric, e.high),
            "unit": metric.unit,
        }),
        Err(why) => json!({
            "value": null,
            "low": null,
            "high": null,
            "unit": metric.unit,
            "why": why.to_string(),
        }),
    }
}

/// A reading.
#[must_use]
pub fn reading(photo: &str, fingerprint: &Fingerprint) -> Value {
    let m = &fingerprint.measurements;
    let p = &fingerprint.provenance;
    let measures: Map<String, Value> = METRICS
        .iter()
        .map(|row| (row.key.to_owned(), measure(row, fingerprint.measure(row))))
        .collect();
    let parts = [
        ("even", m.parts.even),
        ("fine", m.parts.fine),
        ("middle", m.parts.middle),
        ("coarse", m.parts.coarse),
    ]
    .map(|(key, value)| (key.to_owned(), json!(rounded(value, 4))));
    json!({
        "schema": SCHEMA,
        "version": fingerprint.version,
        "photo": photo,
        "photo_digest": p.photo_digest,
        "settings_digest": fingerprint.settings_digest,
        "measures": measures,
        "parts": Map::from_iter(parts),
        "px_per_mm": rounded(p.px_per_mm, 4),
        "speckle_floor_mm": rounded(m.speckle_floor_mm, 4),
        "blur_mm": rounded(p.blur_mm, 4),
        "silver_scale": p.silver_scale,
        "rig": p.rig,
        "repeatability": fingerprint.repeatability.as_ref().map(|r| &r.measures),
        "colour": p.colour,
        "placement": p.placement,
        "flags": p.flags,
        "anyway": p.anyway,
        "steps": p.steps,
        "capture": p.capture,
    })
}

fn verdict_word(verdict: Verdict) -> Value {
    json!(verdict)
}

fn measure_match(m: &MeasureMatch) -> Value {
    let row = m.metric;
    let value = |measure: Measure| measure.ok().map(|e| figure(row, e.value));
    let (sample, panel) = (value(m.sample), value(m.panel));
    match m.found {
        Some(f) => json!({
            "sample": sample,
            "panel": panel,
            "difference": figure(row, f.difference),
            "low": figure(row, f.low),
            "high": figure(row, f.high),
            "allowance": figure(row, f.allowance),
            "allowance_from": allowance_from(m.source),
            "verdict": verdict_word(f.verdict),
        }),
        None => {
            let why = m.sample.err().or(m.panel.err()).map(|w| w.to_string());
            let why = why.unwrap_or_else(|| NOT_COMPARED.to_owned());
            json!({
                "sample": sample,
                "panel": panel,
                "difference": null,
                "low": null,
                "high": null,
                "allowance": null,
                "verdict": null,
                "why": why,
            })
        }
    }
}

fn allowance_from(source: Source) -> &'static str {
    match source {
        Source::Limits => "limits",
        Source::Own => "own",
        Source::Start => "start",
    }
}

fn whole(w: &WholeMatch) -> Value {
    let shown = |v: f64| {
        rounded(
            v,
            i32::try_from(w.whole.decimals).unwrap_or(0) + MORE_DECIMALS,
        )
    };
    json!({
        "difference": shown(w.difference),
        "low": shown(w.low),
        "high": shown(w.high),
        "allowance": shown(w.allowance),
        "unit": w.whole.unit,
        "verdict": w.verdict,
    })
}

/// A decision of the maker's; null where there is none.
#[must_use]
pub fn overruled(decision: Option<&Overruling>) -> Value {
    decision.map_or(Value::Null, |o| {
        json!({
            "made_at": o.made_at,
            "found": o.found,
            "decided": o.decided,
            "because": o.reason,
        })
    })
}

/// A match, with the words that go with it.
#[must_use]
pub fn matched(sample: &str, panel: &str, m: &Match, words: &[String]) -> Value {
    let lean = match m.lean {
        Lean::Lighter => "lighter",
        Lean::Darker => "darker",
        Lean::Neither => "neither",
    };
    let measures: Map<String, Value> = m
        .measures
        .iter()
        .map(|m| (m.metric.key.to_owned(), measure_match(m)))
        .collect();
    json!({
        "schema": SCHEMA,
        "sample": sample,
        "panel": panel,
        "verdict": verdict_word(m.verdict),
        "lean": lean,
        "words": words,
        "cautions": super::words::next_step(m).1.map_or(&[][..], super::cautions::beside),
        "remarks": super::words::remarks(m),
        "anyway": m.has(Remark::NotUsable),
        "only_starting_allowances": m.has(Remark::OnlyStartingAllowances),
        "speckle_floor_mm": rounded(m.floor_mm, 4),
        "tone_difference": m.tone_difference.map(|d| rounded(d, 2)),
        "where": m.place,
        "stages_differ": m.has(Remark::StagesDiffer),
        "paint": m.paint.map(|p| json!({
            "may_darken": rounded(p.darken, 4),
            "may_lighten": rounded(p.lighten, 4),
            "decides": p.decides,
        })),
        "rigs_differ": m.has(Remark::RigsDiffer),
        "cannot_tell_today": m.has(Remark::CannotTellToday),
        "sample_too_small": m.has(Remark::SampleTooSmall),
        "rig_too_rough": m.has(Remark::RigTooRough),
        "measures": measures,
        "wholes": m.wholes.iter().map(|w| (w.whole.key.to_owned(), whole(w))).collect::<Map<_, _>>(),
    })
}
