//! The answer to "is this picture good enough to judge by?", in words and as JSON: yes or no, the one thing to mend first,
//! then the rest.

use serde_json::{Value, json};

use super::json::SCHEMA;
use super::words;
use crate::error::Error;
use crate::fingerprint::Provenance;
use crate::quality::FlagFacts;

/// In words.
#[must_use]
pub fn text(title: &str, seen: &Provenance) -> String {
    let mut lines = vec![title.to_owned(), words::fit(&seen.flags).to_owned()];
    let begins = std::iter::once("First: ").chain(std::iter::repeat("Then: "));
    let weak = begins
        .zip(seen.flags.to_mend())
        .map(|(begin, f)| format!("{begin}{} {}", f.meaning, f.remedy));
    lines.extend(weak);
    lines.extend(words::found(&seen.placement));
    lines.join("\n") + "\n"
}

/// One JSON object: `fit`, `fix_first` and every flag with its words.
#[must_use]
pub fn json(photo: &str, seen: &Provenance) -> Value {
    let flag = |f: &FlagFacts| json!({"key": f.key, "meaning": f.meaning, "remedy": f.remedy, "blocks": f.blocks});
    json!({
        "schema": SCHEMA,
        "photo": photo,
        "fit": !seen.flags.blocks(),
        "fix_first": seen.flags.to_mend().next().map(flag),
        "flags": seen.flags.facts().map(flag).collect::<Vec<_>>(),
        "placement": seen.placement,
        "px_per_mm": seen.px_per_mm,
        "blur_mm": seen.blur_mm,
    })
}

/// In words, of a photo in which nothing can be judged.
#[must_use]
pub fn refused_text(title: &str, why: &Error) -> String {
    format!(
        "{title}\n{}\nFirst: {why}. {}\n",
        words::NOT_FIT,
        why.hint()
    )
}

/// The same as JSON.
#[must_use]
pub fn refused_json(photo: &str, why: &Error) -> Value {
    json!({
        "schema": SCHEMA,
        "photo": photo,
        "fit": false,
        "fix_first": {"key": null, "meaning": why.to_string(), "remedy": why.hint(), "blocks": true},
        "flags": [],
    })
}
