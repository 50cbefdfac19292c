//! Every sentence the program can say stands in a file made for it, and in plain words: no jargon, no blame, no false
//! certainty.

use std::fs;
use std::path::{Path, PathBuf};

use proc_macro2::{Delimiter, TokenStream, TokenTree};

/// Where sentences stand: what commands say and their help, what several of them say, errors, signs, the metric table, forms of what
/// is typed.
const PLACES: [&str; 9] = [
    "src/words/",
    "src/commands/",
    "src/document/",
    "src/error/",
    "src/quality.rs",
    "src/fingerprint/metric/",
    "src/units.rs",
    "src/frame/mark.rs",
    "src/placement/",
];

/// Words no maker should have to look up, that blame, or that promise too much. Each with its ending, so that none hides in
/// another.
const NEVER: [&str; 38] = [
    "mend",
    "anew",
    "lozenge",
    "surely",
    "histogram",
    "delta",
    "sigma",
    "variance",
    "percentile",
    "quantile",
    "p-value",
    "algorithm",
    "parameter",
    "threshold",
    "segmentation",
    "pixel-wise",
    "metric",
    "vector",
    "bootstrap",
    "covariance",
    "outlier",
    "null",
    "invalid",
    "fatal",
    "illegal",
    "score",
    "your fault",
    "you failed",
    "failed to",
    "mistake",
    "wrongly",
    "bad panel",
    "guarantee",
    "perfect match",
    "certainly",
    "definitely",
    "always right",
    "never wrong",
];

struct Sentence {
    file: String,
    text: String,
}

/// String literals of the program's own code that read as sentences; tests and attributes are left out, but for the errors'.
fn sentences() -> Vec<Sentence> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    collect(&root.join("src"), &mut files);
    files.sort();
    let mut found = Vec::new();
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        let tokens: TokenStream = text.parse().unwrap();
        let mut literals = Vec::new();
        read(tokens, &mut literals);
        let name = file
            .strip_prefix(&root)
            .unwrap()
            .to_string_lossy()
            .into_owned();
        found.extend(literals.into_iter().map(|text| Sentence {
            file: name.clone(),
            text,
        }));
    }
    found
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(&path, files);
        } else if path.extension().is_some_and(|e| e == "rs") && !path.ends_with("tests.rs") {
            files.push(path);
        }
    }
}

fn read(tokens: TokenStream, found: &mut Vec<String>) {
    let mut tokens = tokens.into_iter().peekable();
    while let Some(token) = tokens.next() {
        match token {
            TokenTree::Punct(mark) if mark.as_char() == '#' => {
                // Comments, and the reasons of lints, are for those who read the code; what is only there in tests too.
                tokens.next_if(|t| t.to_string() == "!");
                let Some(TokenTree::Group(attribute)) =
                    tokens.next_if(|t| matches!(t, TokenTree::Group(_)))
                else {
                    continue;
                };
                match attribute.stream().to_string() {
                    text if text.starts_with("error") => read(attribute.stream(), found),
                    text if text.replace(' ', "") == "cfg(test)" => skip_item(&mut tokens),
                    _ => {}
                }
            }
            TokenTree::Group(group) => read(group.stream(), found),
            TokenTree::Literal(literal) => {
                let text = literal.to_string();
                if text.starts_with('"') {
                    found.push(text.trim_matches('"').to_owned());
                }
            }
            _ => {}
        }
    }
}

/// Passes over a module or a function to its end.
fn skip_item(tokens: &mut impl Iterator<Item = TokenTree>) {
    for token in tokens {
        match token {
            TokenTree::Group(group) if group.delimiter() == Delimiter::Brace => return,
            TokenTree::Punct(mark) if mark.as_char() == ';' => return,
            _ => {}
        }
    }
}

/// Three words or more, and an end.
fn is_sentence(text: &str) -> bool {
    let words = text
        .split_whitespace()
        .filter(|w| w.chars().filter(|c| c.is_alphabetic()).count() > 1);
    words.count() >= 3 && (text.contains(". ") || text.trim_end().ends_with('.'))
}

#[test]
fn sentences_stand_where_they_are_reviewed() {
    let strays: Vec<String> = sentences()
        .iter()
        .filter(|s| is_sentence(&s.text) && !PLACES.iter().any(|p| s.file.starts_with(p)))
        // What the painter of test panels says to developers.
        .filter(|s| !s.file.starts_with("src/synth"))
        .map(|s| format!("{}: {}", s.file, s.text))
        .collect();
    assert!(strays.is_empty(), "{strays:#?}");
}

#[test]
fn no_sentence_holds_jargon_blame_or_false_certainty() {
    let mut said = 0;
    let mut refused = Vec::new();
    for s in sentences() {
        if !PLACES.iter().any(|p| s.file.starts_with(p)) || !s.text.contains(' ') {
            continue;
        }
        said += 1;
        let lower = s.text.to_lowercase();
        refused.extend(
            NEVER
                .iter()
                .filter(|n| holds(&lower, n))
                .map(|n| format!("{}: `{n}` in: {}", s.file, s.text)),
        );
    }
    assert!(refused.is_empty(), "{refused:#?}");
    assert!(said > 300, "only {said} were read");
}

/// The words stand there whole.
fn holds(text: &str, words: &str) -> bool {
    text.match_indices(words).any(|(at, _)| {
        let letter = |c: Option<char>| c.is_some_and(char::is_alphabetic);
        !letter(text[..at].chars().next_back()) && !letter(text[at + words.len()..].chars().next())
    })
}

#[test]
fn answers_do_not_shout_and_hold_no_stray_spaces() {
    for s in sentences()
        .iter()
        .filter(|s| s.file.starts_with("src/words/"))
    {
        let text = s.text.replace("\\n", " ");
        assert!(!text.contains("!"), "{}: {}", s.file, s.text);
        assert!(
            !text.contains("  ") || s.file.ends_with("marks.rs") || text.starts_with("  "),
            "{}: {}",
            s.file,
            s.text
        );
    }
}
