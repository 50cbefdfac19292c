//! The answer to "is this picture good enough to judge by?", in words and as JSON: yes or no, the one thing to mend first,
//! then the rest.

use serde_json::{Value, json};

use super::json::{SCHEMA, rounded};
use super::words;
use crate::error::Error;
use crate::fingerprint::Provenance;
use crate::quality::FlagFacts;

/// In words.
#[must_use]
pub fn text(title: &str, seen: &Provenance) -> String {
    let mut lines = vec![words::fit(&seen.flags).to_owned()];
    let begins = std::iter::once("First: ").chain(std::iter::repeat("Then: "));
    let weak = begins
        .zip(seen.flags.to_mend())
        .map(|(begin, f)| format!("{begin}{} {}", f.meaning, f.remedy));
    lines.extend(weak);
    lines.extend(words::found(&seen.placement));
    under(title, &lines)
}

/// The photo's name with the lines of its answer set in under it.
fn under(title: &str, lines: &[String]) -> String {
    let set_in = lines.iter().map(|line| format!("  {line}\n"));
    std::iter::once(format!("{title}\n"))
        .chain(set_in)
        .collect()
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
        "px_per_mm": rounded(seen.px_per_mm, 4),
        "blur_mm": rounded(seen.blur_mm, 4),
    })
}

/// In words, of a photo in which nothing can be judged.
#[must_use]
pub fn refused_text(title: &str, why: &Error) -> String {
    let first = format!("First: {why}. {}", why.hint());
    under(title, &[words::NOT_FIT.to_owned(), first])
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
