//! A finish as one line for other programs: JSON, or a row of a table.

use serde_json::{Value, json};

use super::json::figure;
use super::{Reading, Report};
use crate::archive::Recipe;
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::METRICS;

/// A finish with what is told of it in a line.
#[derive(Debug, Clone, Copy)]
pub struct Row<'a> {
    /// The studio's name for it.
    pub name: &'a str,
    /// When it was kept.
    pub kept_at: &'a str,
    /// When it was approved.
    pub approved_at: Option<&'a str>,
    /// File name of the photo.
    pub photo_name: &'a str,
    /// Anything the maker wrote.
    pub notes: &'a str,
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
    value["name"] = row.name.into();
    value["kept_at"] = row.kept_at.into();
    value["approved_at"] = row.approved_at.into();
    value["photo"] = row.photo_name.into();
    value["notes"] = row.notes.into();
    value["recipe"] = json!(row.recipe);
    value["folder"] = row.folder.into();
    value
}

fn reading<'a>(row: &Row<'_>, fingerprint: &'a Fingerprint) -> Reading<'a> {
    Reading {
        title: row.name.to_owned(),
        photo: row.photo_name.to_owned(),
        fingerprint,
        recipe: None,
    }
}

/// The first row of `all.csv`: what each column holds.
#[must_use]
pub fn csv_head() -> String {
    let own = ["name", "kept_at", "approved", "size", "stage"].map(str::to_owned);
    let measures = METRICS.iter().flat_map(|m| {
        [
            m.key.to_owned(),
            format!("{}_low", m.key),
            format!("{}_high", m.key),
        ]
    });
    own.into_iter()
        .chain(measures)
        .collect::<Vec<_>>()
        .join(",")
}

/// A row of `all.csv`; what is not known is left empty.
#[must_use]
pub fn csv_row(row: &Row<'_>) -> String {
    let mut cells = vec![
        row.name.to_owned(),
        row.kept_at.to_owned(),
        row.approved_at.unwrap_or_default().to_owned(),
    ];
    let placement = row.fingerprint.map(|f| &f.provenance.placement);
    let size = placement.map(|p| format!("{}x{}mm", p.size.width, p.size.height));
    cells.push(size.unwrap_or_default());
    let stage = placement.and_then(|p| p.stage).map(|stage| json!(stage));
    cells.push(
        stage
            .as_ref()
            .and_then(Value::as_str)
            .unwrap_or_default()
            .to_owned(),
    );
    for metric in &METRICS {
        let found = row.fingerprint.and_then(|f| f.measure(metric).ok());
        for figure_of in [
            found.map(|e| e.value),
            found.map(|e| e.low),
            found.map(|e| e.high),
        ] {
            cells.push(
                figure_of
                    .map(|v| figure(metric, v).to_string())
                    .unwrap_or_default(),
            );
        }
    }
    cells
        .iter()
        .map(|c| quoted(c))
        .collect::<Vec<_>>()
        .join(",")
}

/// A cell as RFC 4180 writes it.
fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_has_as_many_cells_as_the_head_and_its_texts_are_quoted() {
        let row = Row {
            name: "the \"good\" one, wall 2",
            kept_at: "2026-01-02T03:04:05Z",
            approved_at: None,
            photo_name: "a.jpg",
            notes: "",
            recipe: None,
            folder: "f",
            fingerprint: None,
        };
        let text = csv_row(&row);
        assert!(text.starts_with("\"the \"\"good\"\" one, wall 2\",2026-01-02T03:04:05Z,,,"));
        let columns = csv_head().split(',').count();
        assert_eq!(columns, 5 + 3 * METRICS.len());
        // One comma stands in the name.
        assert_eq!(text.split(',').count(), columns + 1);
        assert_eq!(line(&row)["name"], row.name);
    }
}
