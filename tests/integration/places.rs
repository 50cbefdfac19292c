//! In how many places a command stands: its decision, what is done for it, its own file, and a line of the list.

use std::fs;
use std::path::Path;

use proc_macro2::{TokenStream, TokenTree};

use crate::architecture::{files, source};

/// Whether a word stands anywhere in the code: comments and texts are free.
fn names(tokens: TokenStream, word: &str) -> bool {
    tokens.into_iter().any(|token| match token {
        TokenTree::Ident(found) => found == word,
        TokenTree::Group(group) => names(group.stream(), word),
        TokenTree::Punct(_) | TokenTree::Literal(_) => false,
    })
}

/// The files of the source whose code names a module.
fn named_in(module: &str) -> Vec<String> {
    let found = files().into_iter().filter(|file| {
        let text = fs::read_to_string(source().join(file)).unwrap();
        names(text.parse().unwrap(), module)
    });
    found
        .map(|file| file.to_string_lossy().into_owned())
        .collect()
}

#[test]
fn a_command_stands_in_its_decision_its_use_its_own_file_and_a_line_of_the_list() {
    let expected = [
        // Its line in the list, and its file.
        "commands/mod.rs",
        "commands/promise.rs",
        // The decision; a folder's face names what lies in it.
        "compare/mod.rs",
        "compare/promise.rs",
        // What is done for it.
        "studio/mod.rs",
        "studio/promise.rs",
    ];
    assert_eq!(named_in("promise"), expected);
}

#[test]
fn every_command_is_one_file_or_folder_and_one_line_of_the_list() {
    let list = fs::read_to_string(source().join("commands/mod.rs")).unwrap();
    let (_, lines) = list.split_once("commands! {").unwrap();
    let (lines, _) = lines.split_once('}').unwrap();
    let mut commands = 0;
    for line in lines.lines().filter(|line| !line.trim().is_empty()) {
        let (name, file) = line
            .trim()
            .trim_end_matches(',')
            .split_once(" in ")
            .unwrap();
        let own = Path::new("commands").join(file);
        let there = [own.with_extension("rs"), own.join("mod.rs")];
        let there = there.iter().filter(|path| source().join(path).is_file());
        assert_eq!(there.count(), 1, "{name}");
        commands += 1;
    }
    assert!(commands > 20, "only {commands} were read");
}
