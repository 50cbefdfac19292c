//! What is said of several photos together.

/// Names of photos that a line of a terminal takes.
const MOST_NAMED: usize = 6;

/// How many photos came to which end, and the names of those that want looking after.
#[must_use]
pub fn summary(
    photos: usize,
    good: usize,
    unfit: &[String],
    unread: &[String],
    left_alone: usize,
) -> String {
    let mut parts = vec![format!("{photos} photos: {good} good")];
    for (names, what) in [
        (unfit, "not fit to judge by"),
        (unread, "could not be read"),
    ] {
        if !names.is_empty() {
            parts.push(format!("{} {what} ({})", names.len(), some(names)));
        }
    }
    match left_alone {
        0 => {}
        1 => parts.push("1 other file left alone".to_owned()),
        n => parts.push(format!("{n} other files left alone")),
    }
    parts.join(", ") + "."
}

fn some(names: &[String]) -> String {
    let shown = names[..names.len().min(MOST_NAMED)].join(", ");
    match names.len().saturating_sub(MOST_NAMED) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}
