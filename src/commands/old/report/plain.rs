//! A finish as one line for other programs: JSON, or a row of a table.

use serde_json::{Value, json};

use super::csv::written;
use super::json::figure;
use super::{Kept, Reading, Report};
use crate::archive::Recipe;
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::figures;

/// A finish with what is told of it in a line.
#[derive(Debug, Clone, Copy)]
pub struct Row<'a> {
    /// As what it is kept.
    pub kept: Kept<'a>,
    /// File name of the photo.
    pub photo_name: &'a str,
    /// How it was made.
    pub recipe: Option<&'a Recipe>,
    /// Its folder in the export.
    pub folder: &'a str,
    /// The reading that holds; `None` where it is of another version.
    pub fingerprint: Option<&'a Fingerprint>,
}

/// A line of `all.ndjson`: the reading's JSON, with what belongs to the finish.
#[must_use]
pub fn line(row: &Row<'_>) -> Value {
    let mut value = row
        .fingerprint
        .map_or_else(|| json!({}), |f| reading(row, f).json());
    row.kept.say_in(&mut value);
    value["photo"] = row.photo_name.into();
    value["recipe"] = json!(row.recipe);
    value["folder"] = row.folder.into();
    value
}

fn reading<'a>(row: &Row<'_>, fingerprint: &'a Fingerprint) -> Reading<'a> {
    Reading {
        title: row.kept.name.to_owned(),
        photo: row.photo_name.to_owned(),
        fingerprint,
        kept: None,
        recipe: None,
        gone: None,
    }
}

/// `all.csv`, of the cells of each finish.
///
/// # Errors
/// There is no memory for it.
pub fn csv(rows: impl Iterator<Item = Vec<String>>) -> std::io::Result<Vec<u8>> {
    super::csv::file(std::iter::once(head()).chain(rows))
}

/// What each column of `all.csv` holds.
fn head() -> Vec<String> {
    let own = ["name", "kept_at", "approved", "size", "stage"].map(str::to_owned);
    let measures = figures().flat_map(|m| {
        let ends = ["low", "high"].map(|end| format!("{}_{end}", m.key));
        std::iter::once(m.key.to_owned()).chain(ends)
    });
    own.into_iter().chain(measures).collect()
}

/// The cells of a finish in `all.csv`; what is not known is left empty.
#[must_use]
pub fn csv_cells(row: &Row<'_>) -> Vec<String> {
    let placement = row.fingerprint.map(|f| &f.provenance.placement);
    let own = [
        json!(row.kept.name),
        json!(row.kept.kept_at),
        json!(row.kept.approved_at),
        json!(placement.map(|p| format!("{}x{}mm", p.size.width, p.size.height))),
        json!(placement.and_then(|p| p.stage)),
    ];
    let measures = figures().flat_map(|metric| {
        let found = row.fingerprint.and_then(|f| f.measure(metric).ok());
        let figures = found.map(|e| [e.value, e.low, e.high]);
        [0, 1, 2].map(|i| json!(figures.map(|f| figure(metric, f[i]))))
    });
    own.into_iter()
        .chain(measures)
        .map(|v| written(&v))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_has_as_many_cells_as_the_head_and_its_texts_are_quoted() {
        let row = Row {
            kept: Kept {
                name: "the \"good\" one, wall 2",
                kept_at: "2026-01-02T03:04:05Z",
                approved_at: None,
                notes: "",
            },
            photo_name: "a.jpg",
            recipe: None,
            folder: "f",
            fingerprint: None,
        };
        let cells = csv_cells(&row);
        let text = String::from_utf8(csv([cells.clone()].into_iter()).unwrap()).unwrap();
        let (head, line_of) = text.split_once("\r\n").unwrap();
        assert!(line_of.starts_with("\"the \"\"good\"\" one, wall 2\",2026-01-02T03:04:05Z,,,"));
        assert_eq!(head.split(',').count(), 5 + 3 * figures().count());
        assert_eq!(cells.len(), head.split(',').count());
        let kept = Kept {
            name: "=1+1",
            ..row.kept
        };
        let hostile = Row { kept, ..row };
        assert_eq!(csv_cells(&hostile)[0], "'=1+1");
        assert_eq!(line(&row)["name"], row.kept.name);
    }
}
