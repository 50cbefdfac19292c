//! What the README says is so: the metric table, every command and option, the first commands, the links.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use paneprint::archive::{IN_THE_FILE, PRAGMAS};
use paneprint::fingerprint::metric::{METRICS, Metric, Rule};
use paneprint::quality::{FLAGS, FlagFacts};

use crate::architecture::LAYERS;
use crate::bench::Bench;

/// The line over the rows of the metric table.
const METRICS_HEAD: &str = "| key | in words | unit | may differ by, to start with | why so much | what it is |\n|---|---|---|---|---|---|\n";

/// The line over the rows of the table of flags.
const FLAGS_HEAD: &str = "| key | stops | what it means | what to do |\n|---|---|---|---|\n";

/// The line over the rows of the table of pragmas.
const PRAGMAS_HEAD: &str = "| pragma | value | why |\n|---|---|---|\n";

/// Longest line of a text that is read in a terminal.
const LONGEST_LINE: usize = 140;

/// Options that every program has.
const EVERYWHERE: [&str; 2] = ["--help", "--version"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn text(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap()
}

fn readme() -> String {
    text("README.md")
}

/// A starting allowance as `--allow` takes it: of a ratio the share by which it may be more.
fn allowance(row: &Metric) -> String {
    let figure = match row.rule {
        Rule::Ratio => (row.allowance.exp_m1() * 100.0).round() / 100.0,
        Rule::Difference | Rule::Axial | Rule::Circular => row.allowance,
    };
    match row.allowance_share {
        s if s >= 1.0 => format!("{figure} and the sample's own"),
        s if s > 0.0 => format!("{figure} and {s} of the sample's"),
        _ => figure.to_string(),
    }
}

fn metric_rows() -> String {
    let mut rows = String::new();
    for row in &METRICS {
        let cells = [
            &format!("`{}`", row.key),
            row.title,
            row.unit,
            &allowance(row),
            row.why,
            row.meaning,
        ];
        let line = cells.map(|cell| format!("| {cell} ")).concat();
        let _ = writeln!(rows, "{}|", line.replace("|  |", "| |"));
    }
    rows
}

fn flag_rows() -> String {
    let row = |f: &FlagFacts| {
        let stops = if f.blocks { "yes" } else { "" };
        format!("| `{}` | {stops} | {} | {} |\n", f.key, f.meaning, f.remedy)
    };
    FLAGS
        .iter()
        .map(row)
        .collect::<String>()
        .replace("|  |", "| |")
}

fn pragma_rows() -> String {
    let set = PRAGMAS
        .iter()
        .map(|p| format!("| `{}` | `{}` | {} |\n", p.name, p.value, p.why));
    let in_the_file = IN_THE_FILE
        .iter()
        .map(|(name, why)| format!("| `{name}` | in the file | {why} |\n"));
    set.chain(in_the_file).collect()
}

/// A text's rows under a table's head are those of the program, or become them.
#[track_caller]
fn holds_rows(name: &str, head: &str, rows: &str) {
    let readme = text(name);
    let start = readme.find(head).unwrap() + head.len();
    let there = readme[start..].lines().take_while(|l| l.starts_with('|'));
    let length: usize = there.map(|line| line.len() + 1).sum();
    let shown = &readme[start..start + length];
    if shown == rows {
        return;
    }
    if std::env::var_os("BLESS").is_some() {
        let blessed = readme.replacen(&format!("{head}{shown}"), &format!("{head}{rows}"), 1);
        fs::write(root().join(name), blessed).unwrap();
        return;
    }
    panic!("the table differs; BLESS=1 rewrites it\n--- {name}\n{shown}--- program\n{rows}");
}

// One test, for both rewrite the same file.
#[test]
fn the_readmes_tables_of_measures_and_of_flags_are_the_programs() {
    holds_rows("README.md", METRICS_HEAD, &metric_rows());
    holds_rows("README.md", FLAGS_HEAD, &flag_rows());
}

#[test]
fn the_table_of_pragmas_is_the_programs() {
    holds_rows("DEVELOPERS.md", PRAGMAS_HEAD, &pragma_rows());
}

/// A command, as the program takes it, with its own options.
struct Command {
    words: Vec<String>,
    options: BTreeSet<String>,
}

/// Every command that `--help` names, down to the last.
fn commands() -> Vec<Command> {
    let bench = Bench::new();
    let mut found = Vec::new();
    let mut open: Vec<Vec<String>> = vec![Vec::new()];
    while let Some(words) = open.pop() {
        let mut ask: Vec<&str> = words.iter().map(String::as_str).collect();
        ask.push("--help");
        let help = bench.run_bare(&ask).exits(0).out;
        let below: Vec<Vec<String>> = help
            .lines()
            .skip_while(|line| *line != "Commands:")
            .skip(1)
            .take_while(|line| line.starts_with("  "))
            .filter(|line| !line.starts_with("   "))
            .filter_map(|line| line.split_whitespace().next())
            .filter(|word| *word != "help")
            .map(|word| [words.clone(), vec![word.to_owned()]].concat())
            .collect();
        if below.is_empty() {
            found.push(Command {
                words,
                options: options_in(&help),
            });
        }
        open.extend(below);
    }
    assert!(found.len() > 5, "the help names its commands otherwise now");
    found
}

/// Every long option that a text names.
fn options_in(text: &str) -> BTreeSet<String> {
    text.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-'))
        .filter(|word| {
            word.strip_prefix("--")
                .is_some_and(|w| w.starts_with(char::is_alphabetic))
        })
        .map(str::to_owned)
        .collect()
}

/// What stands between backticks or in a code block: what the README says can be typed.
fn typed(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let (mut block, mut joined) = (false, String::new());
    for line in text.lines() {
        if line.trim_start().starts_with("```") {
            block = !block;
        } else if block {
            joined.push_str(line.trim());
            match joined.strip_suffix('\\') {
                Some(begun) => joined = begun.to_owned(),
                None => found.push(std::mem::take(&mut joined)),
            }
        } else {
            found.extend(line.split('`').skip(1).step_by(2).map(str::to_owned));
        }
    }
    found
}

/// The part of a typed line that goes to this program, where another program comes first.
fn for_this_program(line: &str) -> &str {
    match line.strip_prefix("cargo run ") {
        Some(rest) => rest.split_once("-- ").map_or("", |(_, args)| args),
        None if line.starts_with("cargo ") => "",
        None => line,
    }
}

#[test]
fn every_command_and_option_is_in_the_readme() {
    let typed = typed(&readme());
    let options = options_in(&typed.join("\n"));
    for command in commands() {
        let words = command.words.join(" ");
        let named = |line: &String| {
            let line = for_this_program(line);
            let line = line.strip_prefix("paneprint ").unwrap_or(line);
            line == words || line.starts_with(&format!("{words} "))
        };
        assert!(typed.iter().any(named), "`{words}` is not in the README");
        for option in command.options {
            let known = EVERYWHERE.contains(&option.as_str()) || options.contains(&option);
            assert!(known, "`{words} {option}` is not in the README");
        }
    }
}

#[test]
fn every_command_and_option_in_the_readme_is_the_programs() {
    let commands = commands();
    let known: BTreeSet<&String> = commands.iter().flat_map(|c| &c.options).collect();
    for line in typed(&readme()) {
        let line = for_this_program(&line);
        for option in options_in(line) {
            assert!(known.contains(&option), "{option} of `{line}`");
        }
        let Some(args) = line.strip_prefix("paneprint ") else {
            continue;
        };
        let command = commands
            .iter()
            .find(|c| args.starts_with(&c.words.join(" ")));
        let command = command.unwrap_or_else(|| panic!("no such command: {line}"));
        for option in options_in(args) {
            assert!(command.options.contains(&option), "{option} of `{line}`");
        }
    }
}

#[test]
fn the_first_two_code_blocks_show_the_program_and_test_it() {
    let readme = readme();
    let mut blocks = readme.split("```").skip(1).step_by(2);
    assert_eq!(blocks.next(), Some("sh\ncargo run --release -- demo\n"));
    assert_eq!(blocks.next(), Some("sh\ncargo test\n"));
}

#[test]
fn every_linked_file_exists() {
    for name in ["README.md", "DEVELOPERS.md"] {
        let text = text(name);
        for (at, _) in text.match_indices("](") {
            let target = text[at + 2..].split(')').next().unwrap();
            if !target.contains("://") {
                let file = target.split('#').next().unwrap();
                assert!(root().join(file).exists(), "{name}: {target}");
            }
        }
    }
}

#[test]
fn every_file_named_in_the_recipes_exists() {
    for name in typed(&text("DEVELOPERS.md")) {
        let named = Path::new(&name);
        let is_path = !name.contains([' ', '*']) && !name.contains("NAME");
        let ours = ["src", "tests", "scripts", "demo-images", "fixtures", ".ci"];
        if is_path && ours.iter().any(|folder| named.starts_with(folder)) {
            assert!(root().join(named).exists(), "{name}");
        }
    }
}

#[test]
fn the_layers_told_to_developers_are_those_that_are_kept() {
    let told: Vec<Vec<String>> = text("DEVELOPERS.md")
        .lines()
        .skip_while(|line| !line.starts_with("| layer |"))
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            let modules = line.split('|').nth(2).unwrap();
            modules
                .split('`')
                .skip(1)
                .step_by(2)
                .map(str::to_owned)
                .collect()
        })
        .collect();
    assert_eq!(told, LAYERS);
}

#[test]
fn lines_are_short_enough_to_read() {
    for name in ["README.md", "DEVELOPERS.md"] {
        for (i, line) in text(name).lines().enumerate() {
            let length = line.chars().count();
            assert!(
                line.starts_with('|') || length <= LONGEST_LINE,
                "{name}:{}: {length} characters",
                i + 1
            );
        }
    }
}
