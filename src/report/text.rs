//! Readings and matches for the terminal: words first, then a compact table.

use comfy_table::{CellAlignment, Table, presets};

use super::{cautions, words};
use crate::compare::{Match, MeasureMatch, Verdict};
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{METRICS, Metric};
use crate::units::Measure;

/// A reading in words, with what is weak about its photo.
#[must_use]
pub fn reading_words(title: &str, fingerprint: &Fingerprint) -> String {
    let mut text = vec![title.to_owned()];
    text.extend(words::reading(&fingerprint.measurements));
    text.extend(flags(fingerprint));
    text.join("\n") + "\n"
}

/// A reading.
#[must_use]
pub fn reading(title: &str, fingerprint: &Fingerprint) -> String {
    let mut text = vec![
        reading_words(title, fingerprint),
        measures_table(fingerprint),
    ];
    text.extend(words::reading_notes(fingerprint));
    text.join("\n") + "\n"
}

/// The flags, each with what to do.
#[must_use]
pub fn flags(fingerprint: &Fingerprint) -> Vec<String> {
    let line = |f: &crate::quality::FlagFacts| format!("! {} {}", f.meaning, f.remedy);
    fingerprint.provenance.flags.facts().map(line).collect()
}

fn measures_table(fingerprint: &Fingerprint) -> String {
    let mut table = plain_table();
    table.set_header(["", "value", "between", ""]);
    for row in &METRICS {
        match fingerprint.measure(row) {
            Ok(e) => table.add_row([
                row.title.to_owned(),
                row.format(e.value),
                format!("{} and {}", row.format(e.low), row.format(e.high)),
                row.unit.to_owned(),
            ]),
            Err(why) => table.add_row([
                row.title.to_owned(),
                "-".to_owned(),
                why.to_string(),
                String::new(),
            ]),
        };
    }
    right_align(&mut table, 1);
    table.to_string() + "\n"
}

pub(super) fn plain_table() -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table
}

pub(super) fn right_align(table: &mut Table, column: usize) {
    if let Some(column) = table.column_mut(column) {
        column.set_cell_alignment(CellAlignment::Right);
    }
}

/// The words of a match: verdict, what differs, what can still be done.
#[must_use]
pub fn match_words(sample: &str, m: &Match) -> Vec<String> {
    vec![
        words::verdict(m, sample),
        words::differences(m),
        words::next_step(m).0.to_owned(),
    ]
}

/// A match in words, the answer first, with the cautions beside its advice.
#[must_use]
pub fn matched_words(sample: &str, m: &Match) -> String {
    let mut text = match_words(sample, m);
    if let Some(work) = words::next_step(m).1 {
        text.extend(
            cautions::beside(work)
                .iter()
                .map(|c| format!("  Caution: {c}")),
        );
    }
    text.extend(words::remarks(m).iter().map(|r| format!("  {r}")));
    text.join("\n") + "\n"
}

/// A match, with what is weak about the panel's photo.
#[must_use]
pub fn matched(sample: &str, m: &Match, panel: &Fingerprint) -> String {
    let mut table = plain_table();
    table.set_header(["", "sample", "panel", "may differ by", ""]);
    for row in &m.measures {
        table.add_row(match_row(row));
    }
    (1..4).for_each(|c| right_align(&mut table, c));
    let weak: String = flags(panel).iter().map(|f| format!("  {f}\n")).collect();
    matched_words(sample, m) + &weak + "\n" + &table.to_string() + "\n"
}

fn match_row(m: &MeasureMatch) -> [String; 5] {
    let value =
        |row: &Metric, v: Measure| v.map_or_else(|_| "-".to_owned(), |e| row.format(e.value));
    let (allowance, verdict) = m.found.map_or_else(
        || ("-".to_owned(), "not compared"),
        |f| {
            let word = match f.verdict {
                Verdict::Within => "within",
                Verdict::Outside => "OUTSIDE",
                Verdict::Unsure => "unsure",
            };
            (m.metric.format(f.allowance), word)
        },
    );
    [
        m.metric.title.to_owned(),
        value(m.metric, m.sample),
        value(m.metric, m.panel),
        allowance,
        verdict.to_owned(),
    ]
}
