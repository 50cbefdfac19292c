//! Answers as CSV (RFC 4180), for a spreadsheet: a line for each member of the list that the answer's JSON is about.

use serde_json::{Map, Value};

use super::Answer;
use crate::fingerprint::metric::metric;

/// The file of several answers of one kind. Its columns are those of all members, in the order in which they are met.
///
/// # Errors
/// There is no memory for it.
pub fn table(answers: &[Answer]) -> std::io::Result<Vec<u8>> {
    let mut columns: Vec<String> = Vec::new();
    let mut lines = Vec::new();
    for answer in answers {
        for line in members(answer) {
            for (column, _) in &line {
                if !columns.contains(column) {
                    columns.push(column.clone());
                }
            }
            lines.push(line);
        }
    }
    let cells = |line: &Vec<(String, Value)>| -> Vec<String> {
        let cell = |column: &String| {
            let found = line.iter().find(|(name, _)| name == column);
            found.map_or_else(String::new, |(_, value)| written(value))
        };
        columns.iter().map(cell).collect()
    };
    file(std::iter::once(columns.clone()).chain(lines.iter().map(cells)))
}

/// The file of such rows of cells.
///
/// # Errors
/// There is no memory for it.
pub fn file(rows: impl Iterator<Item = Vec<String>>) -> std::io::Result<Vec<u8>> {
    let mut file = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    for row in rows {
        file.write_record(row)?;
    }
    file.into_inner().map_err(csv::IntoInnerError::into_error)
}

/// The members of an answer's list: each with what the answer is about, its own key where it has one, and what it says.
fn members(answer: &Answer) -> Vec<Vec<(String, Value)>> {
    let json = &answer.json;
    let given = answer.lines.repeated.iter();
    let given = given.filter(|(_, key)| json.get(key).is_some());
    let about = given.map(|(column, key)| {
        let about = Map::from_iter([((*column).to_owned(), json[*key].clone())]);
        entries(&about)
    });
    let about: Vec<(String, Value)> = about.flatten().collect();
    let member = |key: Option<&String>, says: &Value| {
        let mut line = about.clone();
        if let Some(key) = key {
            let row = metric(key);
            line.push(("measure".to_owned(), key.as_str().into()));
            line.push(("title".to_owned(), row.map(|row| row.title).into()));
            line.push(("unit".to_owned(), row.map(|row| row.unit).into()));
        }
        for (column, value) in says.as_object().into_iter().flat_map(entries) {
            line.retain(|(there, _)| *there != column);
            line.push((column, value));
        }
        line
    };
    match answer
        .lines
        .instead
        .as_ref()
        .unwrap_or(&json[answer.lines.list])
    {
        // Nothing to list is an answer too.
        Value::Array(none) if none.is_empty() => vec![member(None, &Value::Null)],
        Value::Object(members) => members
            .iter()
            .map(|(key, m)| member(Some(key), m))
            .collect(),
        Value::Array(members) => members.iter().map(|m| member(None, m)).collect(),
        _ => Vec::new(),
    }
}

/// What a member says, a deeper entry under the names of both.
fn entries(object: &Map<String, Value>) -> Vec<(String, Value)> {
    let entry = |(key, value): (&String, &Value)| match value {
        Value::Object(deeper) => entries(deeper)
            .into_iter()
            .map(|(inner, value)| (format!("{key}_{inner}"), value))
            .collect(),
        value => vec![(key.clone(), value.clone())],
    };
    object.iter().flat_map(entry).collect()
}

/// A value in a cell: nothing where there is none, a list with semicolons, what belongs together with spaces.
#[must_use]
pub fn written(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        // A spreadsheet would reckon with what begins so.
        Value::String(text) if text.trim_start().starts_with(['=', '+', '-', '@']) => {
            format!("'{text}")
        }
        Value::String(text) => text.clone(),
        Value::Array(all) => all.iter().map(written).collect::<Vec<_>>().join("; "),
        Value::Object(all) => all.values().map(written).collect::<Vec<_>>().join(" "),
        value => value.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_spreadsheet_reckons_with_nothing_that_was_written() {
        for text in ["=1+1", "\t=1+1", " @x", "\r-2", "+2"] {
            assert_eq!(written(&json!(text)), format!("'{text}"));
        }
        for plain in ["a = b", "", "e-mail"] {
            assert_eq!(written(&json!(plain)), plain);
        }
        assert_eq!(written(&json!([1.5, null, "b"])), "1.5; ; b");
    }
}
