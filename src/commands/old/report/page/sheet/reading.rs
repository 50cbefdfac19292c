//! The reading sheet: one panel, what was counted on it, and every figure.

use maud::html;

use super::super::picture::Silver;
use super::super::{Sheet, part, say};
use crate::error::Result;
use crate::report::{Reading, Report, words};

/// A reading as a page.
///
/// # Errors
/// A picture cannot be written out.
pub fn reading(report: &Reading<'_>, silver: &Silver<'_>) -> Result<String> {
    let fingerprint = report.fingerprint;
    let m = &fingerprint.measurements;
    let mut said = words::reading(m);
    if fingerprint.provenance.anyway {
        said.insert(1, words::ANYWAY.to_owned());
    }
    let sheet = Sheet {
        kind: say::READING,
        about: &report.title,
        verdict: None,
        words: &said,
        beside: part::flags(fingerprint),
        body: html! {
            (part::counted(&report.title, silver)?)
            (part::charts(m, silver))
            (part::long_part(say::MEASURES, &part::measures(fingerprint)))
            section { @for note in report.notes() { p { (note) } } }
            (part::provenance(fingerprint))
        },
    };
    Ok(sheet.html())
}
