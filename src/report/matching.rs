//! A panel beside a sample: in words, as a table, as JSON.

use comfy_table::Table;
use serde_json::{Map, Value, json};

use super::json::{SCHEMA, beyond, figure, rounded};
use super::text::{flags, plain_table, right_align};
use super::words::keeping;
use super::{Report, cautions, words};
use crate::archive::Overruling;
use crate::compare::tint::Tint;
use crate::compare::{Difference, Match, MeasureMatch, Remark, Side, Verdict, WholeMatch};
use crate::fingerprint::metric::Metric;
use crate::units::Measure;

/// A match with the two that were set apart.
pub struct Matched<'a> {
    /// The sample.
    pub sample: Side<'a>,
    /// The panel.
    pub panel: Side<'a>,
    /// What was found.
    pub found: &'a Match,
    /// What the maker decided about it, now or before.
    pub overruled: Option<&'a Overruling>,
    /// How alike the sample in the panel's own photo is to what was kept of it, cell by cell, where it lies there.
    pub beside: Option<f64>,
    /// It was decided now.
    pub just_now: bool,
}

impl Matched<'_> {
    /// Verdict, what differs, what can still be done.
    #[must_use]
    pub fn answer(&self) -> Vec<String> {
        vec![
            words::verdict(self.found, self.sample.name),
            words::differences(self.found),
            words::next_step(self.found).0.to_owned(),
        ]
    }

    /// The cautions beside its advice.
    #[must_use]
    pub fn cautions(&self) -> &'static [&'static str] {
        words::next_step(self.found).1.map_or(&[], cautions::beside)
    }

    /// What the maker decided, in words.
    #[must_use]
    pub fn decided(&self) -> Option<String> {
        self.overruled.map(|o| {
            if self.just_now {
                keeping::overruled(o.found, o.decided, &o.reason)
            } else {
                keeping::overruled_before(&o.made_at, o.decided, &o.reason)
            }
        })
    }

    /// What holds: the maker's own verdict where there is one.
    #[must_use]
    pub fn holds(&self) -> Verdict {
        self.overruled.map_or(self.found.verdict, |o| o.decided)
    }

    /// The answer with its cautions and what else must be known.
    #[must_use]
    pub fn in_short(&self) -> Vec<String> {
        let mut said = self.answer();
        said.extend(cautions::below(self.cautions()));
        said.extend(words::remarks(self.found).iter().map(|r| format!("  {r}")));
        said
    }
}

impl Report for Matched<'_> {
    fn words(&self) -> Vec<String> {
        let mut said = self.in_short();
        said.extend(
            flags(self.panel.fingerprint)
                .iter()
                .map(|f| format!("  {f}")),
        );
        said
    }

    fn verdict(&self) -> Option<Verdict> {
        Some(self.found.verdict)
    }

    fn table(&self) -> Option<Table> {
        let mut table = plain_table();
        table.set_header(["", "sample", "panel", "may differ by", "", ""]);
        for row in &self.found.measures {
            table.add_row(match_row(row));
        }
        // What is compared as a whole has no figure of its own; it is shown where it decides.
        let decide = self
            .found
            .wholes
            .iter()
            .filter(|w| w.verdict != Verdict::Within);
        for row in decide {
            table.add_row(whole_row(row));
        }
        right_align(&mut table, 1..4);
        Some(table)
    }

    fn notes(&self) -> Vec<String> {
        let floor = words::speckle_floor(self.found.floor_mm);
        let beside = self.beside.map(words::beside);
        (self.decided().into_iter())
            .chain(beside)
            .chain([floor])
            .collect()
    }

    fn json(&self) -> Value {
        let m = self.found;
        let differences = m.differences();
        let measures: Map<String, Value> = m
            .measures
            .iter()
            .map(|m| (m.metric.key.to_owned(), measure_match(m)))
            .collect();
        json!({
            "schema": SCHEMA,
            "sample": self.sample.name,
            "panel": self.panel.name,
            "verdict": m.verdict,
            "unsure": m.unsure,
            "lean": m.lean,
            "toward": m.toward,
            "perhaps_turned": m.perhaps_turned(),
            "limit_piece": limit_piece(m),
            "differences": differences.named.iter().map(difference).collect::<Vec<_>>(),
            "agree": differences.agree,
            "open": differences.open.iter().map(|row| row.key).collect::<Vec<_>>(),
            "words": self.answer(),
            "cautions": self.cautions(),
            "remarks": words::remarks(m),
            "anyway": m.has(Remark::NotUsable),
            "only_starting_allowances": m.has(Remark::OnlyStartingAllowances),
            "speckle_floor_mm": rounded(m.floor_mm, 4),
            "tone_difference": m.tone_difference.map(|d| rounded(d, 2)),
            "tints": {
                "sample": Tint::of(&self.sample.fingerprint.measurements),
                "panel": Tint::of(&self.panel.fingerprint.measurements),
            },
            "where": m.place,
            "stages_differ": m.has(Remark::StagesDiffer),
            "paint": m.paint.map(|p| json!({
                "may_darken": rounded(p.darken, 4),
                "may_lighten": rounded(p.lighten, 4),
                "decides": p.decides,
            })),
            "sample_beside": self.beside.map(|alike| json!({"alike": rounded(alike, 3)})),
            "rigs_differ": m.has(Remark::RigsDiffer),
            "cannot_tell_today": m.has(Remark::CannotTellToday),
            "sample_too_small": m.has(Remark::SampleTooSmall),
            "rig_too_rough": m.has(Remark::RigTooRough),
            "measures": measures,
            "overruled": overruled(self.overruled),
            "wholes": m.wholes.iter().map(|w| (w.whole.key.to_owned(), whole(w))).collect::<Map<_, _>>(),
        })
    }

    fn list(&self) -> &'static str {
        "measures"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[
            ("panel_name", "panel"),
            ("sample_name", "sample"),
            ("overall", "verdict"),
        ]
    }
}

/// A verdict as it stands in a table.
fn shown(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "within",
        Verdict::Outside => "OUTSIDE",
        Verdict::Unsure => "unsure",
    }
}

fn whole_row(w: &WholeMatch) -> [String; 6] {
    let decimals = w.whole.decimals;
    [
        w.whole.title.to_owned(),
        "-".to_owned(),
        "-".to_owned(),
        format!("{:.decimals$}", w.allowance),
        w.whole.unit.to_owned(),
        shown(w.verdict).to_owned(),
    ]
}

fn match_row(m: &MeasureMatch) -> [String; 6] {
    let value =
        |row: &Metric, v: Measure| v.map_or_else(|_| "-".to_owned(), |e| row.format(e.value));
    let (allowance, verdict) = m.found.map_or_else(
        || ("-".to_owned(), "not compared"),
        |f| (m.metric.format(f.allowance), shown(f.verdict)),
    );
    [
        m.metric.title.to_owned(),
        value(m.metric, m.sample),
        value(m.metric, m.panel),
        allowance,
        m.metric.unit.to_owned(),
        verdict.to_owned(),
    ]
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
            "allowance_from": m.allowed.source,
            "verdict": f.verdict,
        }),
        None => {
            json!({
                "sample": sample,
                "panel": panel,
                "difference": null,
                "low": null,
                "high": null,
                "allowance": null,
                "verdict": null,
                "why": words::why_not_compared(m),
            })
        }
    }
}

/// Which limit piece the panel is, where it is one.
fn limit_piece(m: &Match) -> Option<&'static str> {
    if m.has(Remark::SignedLight) {
        Some("light")
    } else {
        m.has(Remark::SignedDark).then_some("dark")
    }
}

fn difference(d: &Difference) -> Value {
    json!({
        "key": d.metric.key,
        "direction": if d.more { "more" } else { "less" },
        "sure": d.sure,
        "how": d.how,
    })
}

fn whole(w: &WholeMatch) -> Value {
    let shown = |v: f64| beyond(w.whole.decimals, v);
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
fn overruled(decision: Option<&Overruling>) -> Value {
    decision.map_or(Value::Null, |o| {
        json!({
            "made_at": o.made_at,
            "found": o.found,
            "decided": o.decided,
            "because": o.reason,
        })
    })
}
