//! The layers of the source: a module names only what lies below it.
//!
//! Every path of every file that starts at the crate (`crate::…`, `use crate::{…}`, `paneprint::…`, or `super::` as far as
//! the top) is held against the table. Comments and doc links are free.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use paneprint::fingerprint::metric::METRICS;
use proc_macro2::{Delimiter, TokenStream, TokenTree};

/// The layers, highest first. A module may name those in the lines below its own, and itself.
pub(crate) const LAYERS: [&[&str]; 12] = [
    &["main"],
    &["commands"],
    &["document"],
    &["draw", "studio"],
    &["words"],
    &["compare", "archive", "pipeline"],
    &["fingerprint", "silver"],
    &["settings"],
    &[
        "intake",
        "placement",
        "normalize",
        "judge",
        "measure",
        "synth",
    ],
    &["ops", "stats"],
    &["frame"],
    &["units", "quality", "names", "error"],
];

/// May name everything and belongs to no layer.
const MAP: &str = "lib";

/// Where a module lies, counted from the top.
fn layer(module: &str) -> Option<usize> {
    LAYERS.iter().position(|line| line.contains(&module))
}

/// Why `from` may not name `to`; `None` where it may.
fn refused(from: &str, to: &str) -> Option<String> {
    match (layer(from), layer(to)) {
        _ if from == to || from == MAP => None,
        (None, _) => Some(format!("`{from}` has no layer")),
        (_, None) => Some(format!("`{to}` has no layer")),
        (Some(above), Some(below)) if above < below => None,
        (Some(a), Some(b)) if a == b => Some(format!("`{to}` is a sibling of `{from}`")),
        _ => Some(format!("`{to}` lies above `{from}`")),
    }
}

/// A module named by a path from the crate's top, and the line it stands on.
#[derive(Debug, PartialEq)]
struct Named {
    module: String,
    line: usize,
}

/// Collects what a file names.
#[derive(Default)]
struct Reader {
    found: Vec<Named>,
}

impl Reader {
    /// Everything `text`, a file `depth` modules deep, names by a path from the crate's top.
    fn of(text: &str, depth: usize) -> Vec<Named> {
        let tokens: TokenStream = text.parse().unwrap();
        let mut reader = Reader::default();
        reader.read(tokens, depth);
        reader.found
    }

    fn read(&mut self, tokens: TokenStream, depth: usize) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let mut at = 0;
        while at < tokens.len() {
            if let TokenTree::Group(group) = &tokens[at] {
                // `mod name { … }` is one module deeper.
                let inner = at >= 2 && is_word(&tokens[at - 2], "mod");
                self.read(group.stream(), depth + usize::from(inner));
            } else if let Some(after) = top(&tokens[at..], depth) {
                at += after;
                self.name(&tokens[at..]);
                continue;
            }
            at += 1;
        }
    }

    /// Notes the modules at the head of what follows the crate's top: a word, or words in braces.
    fn name(&mut self, rest: &[TokenTree]) {
        match rest.first() {
            Some(TokenTree::Ident(word)) => self.found.push(Named {
                module: word.to_string(),
                line: word.span().start().line,
            }),
            Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace => {
                let inside: Vec<TokenTree> = group.stream().into_iter().collect();
                for part in inside.split(|t| is_mark(t, ',')) {
                    self.name(part);
                }
            }
            _ => {}
        }
    }
}

/// How many tokens lead to the crate's top here, `::` included; `None` where no path from the top begins.
fn top(tokens: &[TokenTree], depth: usize) -> Option<usize> {
    let step = |at: usize, word: &str| {
        tokens.get(at).is_some_and(|t| is_word(t, word))
            && tokens.get(at + 1).is_some_and(|t| is_mark(t, ':'))
            && tokens.get(at + 2).is_some_and(|t| is_mark(t, ':'))
    };
    if step(0, "crate") || step(0, "paneprint") {
        return Some(3);
    }
    let climbs = (0..).take_while(|i| step(3 * i, "super")).count();
    (climbs > 0 && climbs >= depth).then_some(3 * climbs)
}

pub(crate) fn is_word(token: &TokenTree, word: &str) -> bool {
    matches!(token, TokenTree::Ident(found) if found == word)
}

pub(crate) fn is_mark(token: &TokenTree, mark: char) -> bool {
    matches!(token, TokenTree::Punct(found) if found.as_char() == mark)
}

pub(crate) fn is_brace(token: &TokenTree) -> bool {
    matches!(token, TokenTree::Group(group) if group.delimiter() == Delimiter::Brace)
}

pub(crate) fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Every source file, as a path within `src`, in order.
pub(crate) fn files() -> Vec<PathBuf> {
    let mut folders = vec![source()];
    let mut found = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path.strip_prefix(source()).unwrap().to_owned());
            }
        }
    }
    found.sort();
    found
}

/// The module at the crate's top that a file belongs to, and how many modules deep the file is.
fn home(file: &Path) -> (String, usize) {
    let parts: Vec<String> = file
        .with_extension("")
        .iter()
        .map(|part| part.to_string_lossy().into_owned())
        .collect();
    let depth = match parts.last().map(String::as_str) {
        Some("mod") => parts.len() - 1,
        Some("lib" | "main") if parts.len() == 1 => 0,
        _ => parts.len(),
    };
    (parts[0].clone(), depth)
}

/// What the crate's top passes on from below (`pub use error::{Error, Result}`): name → module.
fn passed_on() -> BTreeMap<String, String> {
    let text = fs::read_to_string(source().join("lib.rs")).unwrap();
    let tokens: Vec<TokenTree> = text.parse::<TokenStream>().unwrap().into_iter().collect();
    let mut names = BTreeMap::new();
    for use_ in tokens.split(|t| is_mark(t, ';')) {
        let Some(start) = use_.iter().position(|t| is_word(t, "use")) else {
            continue;
        };
        let [TokenTree::Ident(module), rest @ ..] = &use_[start + 1..] else {
            continue;
        };
        let mut inner = Reader::default();
        inner.name(&rest[2.min(rest.len())..]);
        for named in inner.found {
            names.insert(named.module, module.to_string());
        }
    }
    names
}

#[test]
fn every_module_names_only_what_lies_below_it() {
    let passed_on = passed_on();
    let mut offences = Vec::new();
    for file in files() {
        let (from, depth) = home(&file);
        let text = fs::read_to_string(source().join(&file)).unwrap();
        for Named { module, line } in Reader::of(&text, depth) {
            let to = passed_on.get(&module).unwrap_or(&module);
            if let Some(why) = refused(&from, to) {
                offences.push(format!("src/{}:{line}: {why}", file.display()));
            }
        }
    }
    assert!(offences.is_empty(), "\n{}\n", offences.join("\n"));
}

/// What of a text asks for a row of the metric table by its key: its tests, and what belongs to the table, may.
fn asks_for_a_key(text: &str) -> Vec<String> {
    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
    let lines = code.lines().filter(|l| !l.trim_start().starts_with("//"));
    let code = lines.collect::<Vec<_>>().join(" ");
    let code = code.split_whitespace().collect::<Vec<_>>().join(" ");
    let general = [
        "metric(\"",
        ".key ==",
        ".key !=",
        ".key.ends_with(",
        ".key.starts_with(",
    ];
    let of_rows = METRICS.iter().flat_map(|row| {
        let key = row.key;
        [
            format!("\"{key}\" =>"),
            format!("\"{key}\" |"),
            format!("== \"{key}\""),
            format!("!= \"{key}\""),
        ]
    });
    // `match row.key {`, and not the class of a page's part.
    let of_path = |c: char| c.is_alphanumeric() || "._()&*".contains(c);
    let chooses = code.match_indices(".key {").any(|(at, _)| {
        let before = code[..at].trim_end_matches(of_path);
        before.trim_end().ends_with("match")
    });
    if chooses {
        return vec!["match ….key {".to_owned()];
    }
    general
        .map(str::to_owned)
        .into_iter()
        .chain(of_rows)
        .filter(|asked| code.contains(asked))
        .collect()
}

#[test]
fn nothing_asks_for_a_row_of_the_metric_table_by_its_key() {
    let mut offences = Vec::new();
    for file in files() {
        if file.starts_with("fingerprint/metric") {
            continue;
        }
        let text = fs::read_to_string(source().join(&file)).unwrap();
        for asked in asks_for_a_key(&text) {
            offences.push(format!("src/{}: {asked}", file.display()));
        }
    }
    assert!(offences.is_empty(), "\n{}\n", offences.join("\n"));
}

#[test]
fn asking_for_a_key_is_noticed_in_all_its_shapes() {
    for (text, asks) in [
        ("match row.key { \"coverage\" => 1, _ => 2 }", true),
        ("metric(\"coverage\")", true),
        ("if m.metric.key == COVERAGE.key {}", true),
        ("w.whole.key.ends_with(\"_texture\")", true),
        ("json!({\"coverage\": 1})", false),
        ("metric(typed)", false),
        ("// metric(\"coverage\")", false),
        (
            "#[cfg(test)] mod tests { fn f() { metric(\"coverage\") } }",
            false,
        ),
    ] {
        assert_eq!(!asks_for_a_key(text).is_empty(), asks, "{text}");
    }
}

#[test]
fn every_module_at_the_top_has_a_layer() {
    let homes: BTreeSet<String> = files().iter().map(|file| home(file).0).collect();
    let strays: Vec<&String> = homes
        .iter()
        .filter(|h| *h != MAP && layer(h).is_none())
        .collect();
    assert!(strays.is_empty(), "{strays:?}");
}

#[test]
fn the_table_lets_names_run_down_only() {
    for (from, to, may) in [
        ("pipeline", "measure", true),
        ("measure", "measure", true),
        ("lib", "commands", true),
        ("measure", "normalize", false),
        ("stats", "measure", false),
        ("error", "units", false),
        ("measure", "attic", false),
        ("attic", "units", false),
    ] {
        assert_eq!(refused(from, to).is_none(), may, "{from} → {to}");
    }
}

#[test]
fn paths_are_read_out_of_all_the_shapes_they_take() {
    let named = |text: &str, depth: usize| {
        Reader::of(text, depth)
            .into_iter()
            .map(|n| n.module)
            .collect::<Vec<_>>()
    };
    for (text, depth, modules) in [
        ("use crate::frame::Plane;", 2, vec!["frame"]),
        (
            "use crate::{Error, ops::{a, b as c}};",
            1,
            vec!["Error", "ops"],
        ),
        (
            "fn f() { g(vec![crate::units::axial(0.0)]) }",
            1,
            vec!["units"],
        ),
        (
            "fn main() { paneprint::commands::run() }",
            0,
            vec!["commands"],
        ),
        (
            "pub(crate) fn f() {} pub(in crate::frame) fn g() {}",
            1,
            vec!["frame"],
        ),
        (
            "/// See [`crate::words`]. crate::words::x\nfn f() { \"crate::words::x\"; }",
            1,
            vec![],
        ),
        ("use super::quad::Quad;", 2, vec![]),
        ("use super::super::quality::Flag;", 2, vec!["quality"]),
        ("use super::quality::Flag;", 1, vec!["quality"]),
        (
            "mod tests { use super::*; use super::super::units::axial; }",
            1,
            vec!["units"],
        ),
    ] {
        assert_eq!(named(text, depth), modules, "{text}");
    }
    assert_eq!(Reader::of("\n\nuse crate::ops;", 1)[0].line, 3);
}

#[test]
fn a_file_knows_its_module_and_how_deep_it_lies() {
    for (file, module, depth) in [
        ("main.rs", "main", 0),
        ("units.rs", "units", 1),
        ("frame/mod.rs", "frame", 1),
        ("frame/quad.rs", "frame", 2),
        ("intake/colour/tests.rs", "intake", 3),
    ] {
        assert_eq!(home(Path::new(file)), (module.to_owned(), depth), "{file}");
    }
}
