//! The answer to "is this picture good enough to judge by?", in words and as JSON: yes or no, the one thing to mend first,
//! then the rest.

use serde_json::{Value, json};

use super::json::{SCHEMA, rounded};
use super::words;
use crate::error::Error;
use crate::fingerprint::Provenance;
use crate::frame::placement::Sighting;
use crate::quality::{FlagFacts, FlagSet};

/// In words.
#[must_use]
pub fn text(title: &str, seen: &Provenance) -> String {
    let mut lines = vec![words::fit(&seen.flags).to_owned()];
    lines.extend(to_mend(&seen.flags));
    lines.extend(words::found(&Sighting::from(&seen.placement)));
    under(title, &lines)
}

/// In words, of a panel whose size is not known.
#[must_use]
pub fn sighted_text(title: &str, seen: &Sighting, flags: &FlagSet) -> String {
    let [not_judged, give_size] = words::UNMEASURED;
    let fit = if flags.blocks() {
        words::NOT_FIT
    } else {
        not_judged
    };
    let mut lines = vec![fit.to_owned()];
    lines.extend(to_mend(flags));
    lines.extend(words::found(seen));
    lines.push(give_size.to_owned());
    under(title, &lines)
}

/// The same as JSON: `fit` is null where nothing blocks, for nobody can say.
#[must_use]
pub fn sighted_json(photo: &str, seen: &Sighting, flags: &FlagSet) -> Value {
    json!({
        "schema": SCHEMA,
        "photo": photo,
        "fit": flags.blocks().then_some(false),
        "fix_first": flags.to_mend().next().map(flag),
        "flags": flags.facts().map(flag).collect::<Vec<_>>(),
        "placement": seen,
    })
}

/// What to mend, the first thing first.
fn to_mend(flags: &FlagSet) -> impl Iterator<Item = String> {
    let begins = std::iter::once("First: ").chain(std::iter::repeat("Then: "));
    (begins.zip(flags.to_mend())).map(|(begin, f)| format!("{begin}{} {}", f.meaning, f.remedy))
}

fn flag(f: &FlagFacts) -> Value {
    json!({"key": f.key, "meaning": f.meaning, "remedy": f.remedy, "blocks": f.blocks})
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
