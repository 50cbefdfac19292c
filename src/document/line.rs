//! A finish that leaves the archive as one line for other programs: JSON, or a row of a table.

use serde_json::{Value, json};

use super::card::Leaving;
use super::csv::{file, written};
use super::json::figure;
use super::reading::{self, Kept, Named};
use crate::fingerprint::metric::figures;

/// A line of `all.ndjson`: the reading's JSON, with what belongs to the finish.
#[must_use]
pub fn line(finish: &Leaving<'_>) -> Value {
    let mut value = finish.fingerprint.map_or_else(
        || json!({}),
        |fingerprint| {
            reading::json(&Named {
                title: finish.name.to_owned(),
                photo: finish.photo_name.to_owned(),
                fingerprint,
                kept: None,
                recipe: None,
                gone: None,
            })
        },
    );
    let kept = Kept {
        name: finish.name,
        kept_at: finish.kept_at,
        approved_at: approved_at(finish),
        notes: finish.notes,
    };
    kept.say_in(&mut value);
    value["photo"] = finish.photo_name.into();
    value["recipe"] = json!(finish.recipes.last());
    value["folder"] = finish.folder.into();
    value
}

fn approved_at<'a>(finish: &Leaving<'a>) -> Option<&'a str> {
    finish.approval.map(|a| a.approved_at.as_str())
}

/// `all.csv`, of the cells of each finish.
///
/// # Errors
/// There is no memory for it.
pub fn csv(rows: impl Iterator<Item = Vec<String>>) -> std::io::Result<Vec<u8>> {
    file(std::iter::once(head()).chain(rows))
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
pub fn cells(finish: &Leaving<'_>) -> Vec<String> {
    let placement = finish.fingerprint.map(|f| &f.provenance.placement);
    let own = [
        json!(finish.name),
        json!(finish.kept_at),
        json!(approved_at(finish)),
        json!(placement.map(|p| format!("{}x{}mm", p.size.width, p.size.height))),
        json!(placement.and_then(|p| p.stage)),
    ];
    let measures = figures().flat_map(|metric| {
        let found = finish.fingerprint.and_then(|f| f.measure(metric).ok());
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
        let finish = Leaving {
            name: "the \"good\" one, wall 2",
            kept_at: "2026-01-02T03:04:05Z",
            photo_name: "a.jpg",
            notes: "",
            approval: None,
            recipes: &[],
            decisions: &[],
            fingerprint: None,
            readings: 1,
            folder: "f",
        };
        let own = cells(&finish);
        let text = String::from_utf8(csv([own.clone()].into_iter()).unwrap()).unwrap();
        let (head, line_of) = text.split_once("\r\n").unwrap();
        assert!(line_of.starts_with("\"the \"\"good\"\" one, wall 2\",2026-01-02T03:04:05Z,,,"));
        assert_eq!(head.split(',').count(), 5 + 3 * figures().count());
        assert_eq!(own.len(), head.split(',').count());
        assert_eq!(line(&finish)["name"], finish.name);
        let hostile = Leaving {
            name: "=1+1",
            ..finish
        };
        assert_eq!(cells(&hostile)[0], "'=1+1");
    }
}
