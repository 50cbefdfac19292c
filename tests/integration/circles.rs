//! The files and folders of the source stand in an order: no two side by side name each other, and not by way of others either.
//!
//! Every path that a file names is led to the file that defines what it means, through whatever passes it on with `use`. A
//! `mod.rs` and the files below it may name each other, for together they are one folder, and what is compiled for tests
//! only is free.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use proc_macro2::{TokenStream, TokenTree};

use crate::architecture::{is_brace, is_mark, is_word, source};

/// The segments of a path, as `frame`, `Plane`; a module is known by those that lead to it from the crate's top.
type Segments = Vec<String>;

/// Which files a file names, and by what names.
type Names = BTreeMap<Segments, BTreeMap<Segments, BTreeSet<String>>>;

/// Longest way of a name from `use` to `use`.
const PASSED_ON_AT_MOST: usize = 8;

/// What one file says of others.
#[derive(Default)]
struct File {
    /// The modules below it that are files of their own.
    declared: Vec<String>,
    /// Every path.
    paths: Vec<Segments>,
    /// Those of its `use`s by what it calls their ends.
    used: BTreeMap<String, Segments>,
}

impl File {
    fn read(&mut self, tokens: TokenStream) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let mut at = 0;
        while at < tokens.len() {
            let rest = &tokens[at..];
            let up_to = |end: fn(&TokenTree) -> bool| {
                let end = rest.iter().position(end);
                end.map_or(rest.len(), |end| end + 1)
            };
            at += match rest {
                [mark, TokenTree::Group(group), ..]
                    if is_mark(mark, '#') && is_for_tests(&group.stream()) =>
                {
                    up_to(|t| is_mark(t, ';') || is_brace(t))
                }
                [word, TokenTree::Ident(name), end, ..]
                    if is_word(word, "mod") && is_mark(end, ';') =>
                {
                    self.declared.push(name.to_string());
                    3
                }
                // And not the captures of `impl Trait + use<>`.
                [word, first, ..] if is_word(word, "use") && !is_mark(first, '<') => {
                    let length = up_to(|t| is_mark(t, ';'));
                    self.take(&rest[1..length - 1], &[]);
                    length
                }
                [TokenTree::Ident(_), ..] => {
                    let (path, length) = path(rest);
                    self.paths.extend((path.len() > 1).then_some(path));
                    length
                }
                [TokenTree::Group(group), ..] => {
                    self.read(group.stream());
                    1
                }
                _ => 1,
            }
        }
    }

    /// Takes the ends of a `use` that has come so far.
    fn take(&mut self, tree: &[TokenTree], before: &[String]) {
        let (own, length) = path(tree);
        let mut path = [before, &own].concat();
        let called = match &tree[length..] {
            [TokenTree::Group(group), ..] => {
                let branches: Vec<TokenTree> = group.stream().into_iter().collect();
                let branches = branches.split(|t| is_mark(t, ','));
                // None stands after the last comma.
                let branches = branches.filter(|branch| !branch.is_empty());
                return branches.for_each(|branch| self.take(branch, &path));
            }
            [word, TokenTree::Ident(name)] if is_word(word, "as") => Some(name.to_string()),
            _ => {
                path.pop_if(|last| last == "self");
                path.last().cloned()
            }
        };
        self.paths.push(path.clone());
        self.used.extend(called.map(|called| (called, path)));
    }
}

/// The segments at the head of some tokens, and how many tokens they take.
fn path(tokens: &[TokenTree]) -> (Segments, usize) {
    let (mut path, mut at) = (Segments::new(), 0);
    while let Some(TokenTree::Ident(word)) = tokens.get(at) {
        path.push(word.to_string());
        at += 1;
        if !matches!(&tokens[at..], [a, b, ..] if is_mark(a, ':') && is_mark(b, ':')) {
            break;
        }
        at += 2;
    }
    (path, at)
}

/// An attribute, by what stands in its brackets, says that an item is compiled for tests only.
fn is_for_tests(attribute: &TokenStream) -> bool {
    attribute.to_string().replace(' ', "") == "cfg(test)"
}

/// The files of a crate by their modules.
struct Crate(BTreeMap<Segments, File>);

impl Crate {
    /// The file at the top, those that it declares, and those that these declare.
    fn of(text: impl Fn(&[String]) -> String) -> Self {
        let (mut files, mut waiting) = (BTreeMap::new(), vec![Segments::new()]);
        while let Some(module) = waiting.pop() {
            let mut file = File::default();
            file.read(text(&module).parse().unwrap());
            let below = file.declared.iter();
            waiting.extend(below.map(|name| [&module[..], std::slice::from_ref(name)].concat()));
            files.insert(module, file);
        }
        Crate(files)
    }

    /// A path in a module as it is from the crate's top; `None` where it leads out of the crate.
    fn whole(&self, module: &[String], path: &[String]) -> Option<Segments> {
        let (first, rest) = path.split_first()?;
        let below = [module, &path[..1]].concat();
        let begin = match first.as_str() {
            "crate" => Segments::new(),
            "self" => module.to_vec(),
            "super" => {
                let up = path.iter().take_while(|s| *s == "super").count();
                let over = &module[..module.len().checked_sub(up)?];
                return Some([over, &path[up..]].concat());
            }
            _ if self.0.contains_key(&below) => below,
            name => self.meant(module, name)?,
        };
        Some([&begin[..], rest].concat())
    }

    /// What a name stands for that a module has by `use`.
    fn meant(&self, module: &[String], name: &str) -> Option<Segments> {
        let path = self.0.get(module)?.used.get(name)?;
        // `use serde::{self, …}` leads out of the crate.
        (path[0] != name).then(|| self.whole(module, path))?
    }

    /// The module that defines what a path from the crate's top means, and its name there.
    fn defined(&self, mut path: Segments) -> (Segments, String) {
        for _ in 0..PASSED_ON_AT_MOST {
            let (module, rest) = self.split(&path);
            let meant = rest.first().and_then(|name| self.meant(module, name));
            let Some(meant) = meant else { break };
            path = [&meant[..], &rest[1..]].concat();
        }
        let (module, rest) = self.split(&path);
        let name = rest.first().or(module.last()).cloned();
        (module.to_vec(), name.unwrap_or_default())
    }

    /// The part of a path from the crate's top that leads to a module, and what is left.
    fn split<'a>(&self, path: &'a [String]) -> (&'a [String], &'a [String]) {
        let is_module = |n: &usize| self.0.contains_key(&path[..*n]);
        path.split_at((0..=path.len()).rev().find(is_module).unwrap_or(0))
    }

    /// What each file names of files that lie neither above nor below it, told of the files or folders that stand side by side where
    /// their ways part.
    fn names(&self) -> Names {
        let mut names = Names::new();
        for (module, file) in &self.0 {
            let whole = file.paths.iter().filter_map(|p| self.whole(module, p));
            for (to, name) in whole.map(|path| self.defined(path)) {
                if !to.starts_with(module) && !module.starts_with(&to) {
                    let shared = module.iter().zip(&to).take_while(|(a, b)| a == b).count();
                    let named = names.entry(module[..=shared].to_vec()).or_default();
                    let to = to[..=shared].to_vec();
                    named.entry(to).or_default().insert(name);
                }
            }
        }
        names
    }
}

/// The sets of files that come back to each other by names.
fn circles(names: &Names) -> BTreeSet<BTreeSet<&Segments>> {
    let reach = |from| {
        let (mut found, mut waiting) = (BTreeSet::new(), vec![from]);
        while let Some(file) = waiting.pop() {
            let named = names.get(file).into_iter().flat_map(BTreeMap::keys);
            waiting.extend(named.filter(|to| found.insert(*to)));
        }
        found
    };
    let reached: BTreeMap<&Segments, BTreeSet<&Segments>> =
        names.keys().map(|from| (from, reach(from))).collect();
    let leads = |from: &Segments, to: &Segments| reached.get(from).is_some_and(|r| r.contains(to));
    let in_one = reached.keys().filter(|file| leads(file, file));
    let whole = in_one.map(|a| reached[a].iter().copied().filter(|b| leads(b, a)).collect());
    whole.collect()
}

/// What ties the files of a circle, a line for each two.
fn ties(names: &Names, circle: &BTreeSet<&Segments>) -> Vec<String> {
    let mut told = Vec::new();
    for from in circle {
        for (to, by) in names[*from].iter().filter(|(to, _)| circle.contains(to)) {
            let by: Vec<&str> = by.iter().map(String::as_str).collect();
            let (from, by, to) = (from.join("/"), by.join(", "), to.join("/"));
            told.push(format!("{from} names {by} of {to}"));
        }
    }
    told
}

/// The text of the file of a module.
fn text_of(module: &[String]) -> String {
    let place = module.iter().fold(source(), |place, name| place.join(name));
    let inside = ["mod.rs", "lib.rs"].map(|file| place.join(file));
    let mut files = [place.with_extension("rs")].into_iter().chain(inside);
    fs::read_to_string(files.find(|file| file.is_file()).unwrap()).unwrap()
}

#[test]
fn no_two_files_name_each_other_nor_by_way_of_others() {
    let names = Crate::of(text_of).names();
    assert!(names.len() > 100, "{}", names.len());
    let told = circles(&names);
    let told = told.iter().map(|circle| ties(&names, circle).join("\n"));
    let told: Vec<String> = told.collect();
    assert!(told.is_empty(), "\n{}\n", told.join("\n\n"));
}

#[test]
fn a_circle_is_noticed_and_what_hangs_on_it_is_no_part_of_it() {
    for (edges, found) in [
        (&["ab", "ac", "bc"][..], &[][..]),
        (&["ab", "ba"], &["ab"]),
        (&["xa", "ab", "bc", "ca", "cy"], &["abc"]),
        (&["ab", "ba", "bc", "cd", "dc"], &["ab", "cd"]),
    ] {
        let mut names = Names::new();
        for edge in edges {
            let [from, to] = [0, 1].map(|end| vec![edge[end..=end].to_owned()]);
            names.entry(from).or_default().entry(to).or_default();
        }
        let circles = circles(&names).into_iter();
        let circles = circles.map(|circle| circle.into_iter().flatten().cloned().collect());
        assert_eq!(circles.collect::<Vec<String>>(), found, "{edges:?}");
    }
}

#[test]
fn a_name_is_led_to_the_file_that_defines_it_however_it_is_written() {
    let tied = |one: &str| -> Vec<String> {
        let text = |module: &[String]| match module.join("/").as_str() {
            "" => "mod a; pub use a::Second as Other;".to_owned(),
            "a" => "mod one; mod two; use one::First; pub use two::{self, Second};".to_owned(),
            "a/one" => one.to_owned(),
            _ => "fn f(first: super::First) {}".to_owned(),
        };
        let names = Crate::of(text).names();
        circles(&names)
            .iter()
            .flat_map(|c| ties(&names, c))
            .collect()
    };
    let second = [
        "use super::Second;",
        "use crate::Other;",
        "use crate::{a::{two::{Second as S,},},};",
        "fn f() { vec![super::super::a::Second::new()] }",
    ]
    .map(tied);
    let told = ["a/one names Second of a/two", "a/two names First of a/one"];
    assert!(second.iter().all(|tied| *tied == told), "{second:?}");
    let by_module = tied("use super::two; fn f() { two::third() }");
    assert_eq!(by_module[0], "a/one names third, two of a/two");
    let free = [
        "use super::{helper,}; use std::two::Second;",
        "/// See [`super::Second`].\nfn f() { \"super::Second\"; }",
        "#[cfg(test)] mod tests { use super::super::Second; }",
        "#[cfg(test)] use super::Second; fn f() -> impl Sized + use<> {}",
    ]
    .map(tied);
    assert!(free.iter().all(Vec::is_empty), "{free:?}");
}
