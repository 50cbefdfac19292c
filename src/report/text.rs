//! What the terminal shows in several answers: signs to look after, and compact tables.

use comfy_table::{CellAlignment, Table, presets};

use crate::fingerprint::Fingerprint;

/// What is weak about a photo, each with what to do.
#[must_use]
pub fn weak(fingerprint: &Fingerprint) -> Vec<String> {
    let line = |f: &crate::quality::FlagFacts| format!("{} {}", f.meaning, f.remedy);
    fingerprint.provenance.flags.facts().map(line).collect()
}

/// The same for a terminal, each with a sign that it is to be looked at.
#[must_use]
pub fn flags(fingerprint: &Fingerprint) -> Vec<String> {
    let marked = |line: String| format!("! {line}");
    weak(fingerprint).into_iter().map(marked).collect()
}

pub(super) fn plain_table() -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table
}

pub(super) fn right_align(table: &mut Table, columns: std::ops::Range<usize>) {
    for column in columns {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
}
