//! How a kept finish was made: three ways in, shown, read back, and hostile words taken as words.

use assert_cmd::Command;
use serde_json::Value;

use crate::bench::{Bench, DARKER, LIGHTER, PROGRAM, SAMPLE};

const STEP: &str = "attack, 2:20, 30 ml, 70F, Rocked, dried with warm air, from the left";
const LINE: &str =
    "step: attack, 140 s, 30 ml, 21.1 °C, rocked, dried with warm air, from the left";

fn with(names: &[&str]) -> Bench {
    let bench = Bench::with_rig();
    for (name, painted) in names.iter().zip([&SAMPLE, &LIGHTER, &DARKER]) {
        bench.keep(name, painted);
    }
    bench
}

/// The lines of a card that are the recipe.
fn said(card: &str) -> Vec<&str> {
    card.lines().filter(|line| !line.starts_with('#')).collect()
}

/// Runs the program with answers on its input.
fn answering(bench: &Bench, answers: &str) -> (String, String) {
    let output = Command::new(PROGRAM)
        .args(["--archive", "archive.sqlite", "recipe", "bar", "--ask"])
        .current_dir(bench.path("."))
        .write_stdin(answers)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr))
}

#[test]
fn options_a_file_and_answers_say_the_same_and_the_card_reads_back() {
    let bench = with(&["bar"]);
    bench
        .run(&["recipe", "bar"])
        .exits(0)
        .quietly()
        .says("How `bar` was made is not written down yet.");
    bench
        .run(&["recipe", "bar", "--technique", "poured", "--step", STEP])
        .exits(0)
        .complains("Written down beside `bar`.");
    let more = [
        "--backing",
        "two coats of black",
        "--change",
        "stop earlier",
    ];
    let card = bench
        .run(&[&["recipe", "bar"][..], &more].concat())
        .exits(0)
        .complains("As before: technique and steps.")
        .says("It was written before, on 20")
        .says("silver is left")
        .says("Aggressiveness")
        .says("never store it");
    let lines = [
        "technique: poured",
        LINE,
        "backing: two coats of black",
        "change: stop earlier",
    ];
    assert_eq!(said(&card.out), lines);
    // What was shown is read back, and says nothing new.
    bench.file("card.txt", &card.out);
    let back = bench
        .run(&["recipe", "bar", "--file", "card.txt"])
        .exits(0)
        .complains("Nothing was written: it says that already.");
    assert_eq!(said(&back.out), lines);
    let other = with(&["bar"]);
    other.file("card.txt", &card.out);
    let back = other.run(&["recipe", "bar", "--file", "card.txt"]).exits(0);
    assert_eq!(said(&back.out), lines);
    let asked = with(&["bar"]);
    let answers = format!("poured\n{STEP}\n\ntwo coats of black\nstop earlier\n");
    let (out, err) = answering(&asked, &answers);
    assert_eq!(said(&out), lines, "{err}");
    assert!(err.contains("A few questions") && err.contains("Step 2"));
    let json = asked.run(&["recipe", "bar", "--json"]).exits(0).json();
    assert_eq!(json["steps"][0]["temperature_c"], 21.1);
    assert_eq!(json["steps"][0]["motion"], "rocked");
    assert_eq!(json["settings"]["attack seconds"], 140.0);
    assert_eq!(json["settings"]["attack amount"], 30.0);
    assert_eq!(json["technique"], "poured");
    assert!(json["coverage"].as_f64().unwrap() > 0.5);
}

#[test]
fn written_again_the_latest_holds_the_earlier_stay_and_empty_takes_away() {
    let bench = with(&["bar"]);
    let run = |args: &[&str]| bench.run(&[&["recipe", "bar"], args].concat());
    run(&["--technique", "poured", "--step", "attack, 140 s"]).exits(0);
    run(&["--step", "attack, 100 s", "--step", "rinse"]).exits(0);
    let third = run(&["--technique", ""]).exits(0);
    assert_eq!(said(&third.out), ["step: attack, 100 s", "step: rinse"]);
    let json = run(&["--json"]).exits(0).json();
    assert_eq!(json["earlier"].as_array().unwrap().len(), 2);
    run(&["--show"])
        .exits(0)
        .quietly()
        .says("It was written 2 times before");
    run(&["--words"]).exits(0).does_not_say("#").says("rinse");
    run(&["--show", "--csv", "steps.csv"]).exits(0);
    let table = String::from_utf8(bench.bytes("steps.csv")).unwrap();
    assert!(
        table.starts_with("finish,technique,backing,change,step,seconds,"),
        "{table}"
    );
    assert_eq!(table.lines().count(), 3);
}

#[test]
fn what_no_longer_stands_is_named() {
    let bench = with(&["bar"]);
    let run = |args: &[&str]| bench.run(&[&["recipe", "bar"], args].concat()).exits(0);
    let silent = |ran: &crate::bench::Ran| {
        let gone = ["In place of", "No longer said"];
        assert!(
            gone.iter().all(|said| !ran.err.contains(said)),
            "{}",
            ran.err
        );
    };
    let first = ["--technique", "poured", "--step", "attack, 140 s"];
    silent(&run(&first));
    silent(&run(&["--backing", "black"]));
    run(&["--step", "rinse, 20 s"])
        .complains("As before: technique and backing.")
        .complains("In place of the earlier steps: attack, 140 s.");
    // Those before, and one more.
    silent(&run(&["--step", "rinse, 20 s", "--step", "rinse, 20 s"]));
    run(&["--step", "rinse, 20 s"]).complains("earlier steps: rinse, 20 s; rinse, 20 s.");
    bench.file("change.txt", "change: stop earlier\n");
    run(&["--file", "change.txt"]).complains("No longer said: technique, steps and backing.");
    let json = run(&["--json"]).json();
    assert_eq!(json["earlier"].as_array().unwrap().len(), 5);
}

#[test]
fn a_recipe_is_told_where_its_finish_is() {
    let bench = with(&["bar", "pale", "deep"]);
    let quiet = bench.run(&["show", "bar", "--json"]).exits(0).json();
    assert_eq!(quiet.get("recipe"), None);
    bench
        .run(&[
            "recipe",
            "bar",
            "--technique",
            "poured",
            "--step",
            "attack, 140 s, 70 F",
            "--step",
            "rinse",
        ])
        .exits(0);
    bench
        .run(&["show", "bar"])
        .exits(0)
        .says("Recipe, written down on 20")
        .says("  step: attack, 140 s");
    let shown = bench.run(&["show", "bar", "--json"]).exits(0).json();
    assert_eq!(shown["recipe"]["steps"][0]["seconds"], 140.0);
    bench
        .run(&["find", "pale"])
        .exits(0)
        .says("  Recipe: poured; attack, 140 s");
    let found = bench.run(&["find", "pale", "--json"]).exits(0).json();
    let near: Vec<&Value> = found["near"].as_array().unwrap().iter().collect();
    let bar = near.iter().find(|n| n["name"] == "bar").unwrap();
    assert_eq!(bar["recipe"]["technique"], "poured");
    assert_eq!(bar["recipe"]["steps"][0]["seconds"], 140.0);
    bench.run(&["find", "pale", "--csv", "near.csv"]).exits(0);
    let mut table = csv::Reader::from_path(bench.path("near.csv")).unwrap();
    let steps = table
        .headers()
        .unwrap()
        .iter()
        .position(|h| h == "recipe_steps");
    let lines: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    let line = lines
        .iter()
        .find(|l| l.iter().any(|cell| cell == "bar"))
        .unwrap();
    assert_eq!(&line[steps.unwrap()], "attack, 140 s, 21.1 °C; rinse");
    let listed = bench.run(&["list"]).exits(0).out;
    let marked = |line: &&str| line.contains(", with its recipe)");
    assert_eq!(listed.lines().filter(marked).count(), 1);
    assert_eq!(
        bench.run(&["list", "--json"]).json_lines()[0]["recipe"],
        true
    );
    bench.run(&["export", "out"]).exits(0);
    let folder = format!(
        "out/finishes/{}",
        paneprint::archive::exchange::folder_name("bar")
    );
    let card = String::from_utf8(bench.bytes(&format!("{folder}/card.txt"))).unwrap();
    assert!(card.contains("  step: attack, 140 s, 21.1 °C\n"), "{card}");
    let lines = String::from_utf8(bench.bytes("out/all.ndjson")).unwrap();
    assert_eq!(lines.matches("\"technique\":\"poured\"").count(), 1);
    bench
        .run(&["verify", "--json"])
        .exits(0)
        .says("\"recipes\":1");
}

#[test]
fn what_cannot_be_read_is_refused_and_nothing_is_written() {
    let bench = with(&["bar"]);
    bench.file("steps.txt", "technique: poured\n# why\nstep: attack, 140\n");
    bench.file("colour.txt", "colour: red\n");
    bench.file("empty.txt", "# nothing yet\n");
    bench.file("bytes.txt", [0xff, 0xfe, 0x00]);
    bench.file("long.txt", "#".repeat(2 << 20));
    for (args, said) in [
        (
            &["--step", "attack, 30 ml, 2 m"][..],
            "--step 1: `2 m` cannot be read: m may be minutes or metres",
        ),
        (
            &["--step", "rinse", "--step", "attack, 30 ml, 140"],
            "--step 2: `140` cannot be read: the figure has no unit (read so far: attack, 30 ml); nothing was written",
        ),
        (&["--step", "attack 140 s"], "a comma is missing"),
        (&["--step", "attack 140 s rocked"], "a comma is missing"),
        (
            &["--step", "attack, about 140 s"],
            "`about 140 s` cannot be read: `140 s` stands among other words (expected `140 s` alone between commas, or all of them at the end as `note: about 140 s`)",
        ),
        (&["--step", "attack, t=140 s"], "`140 s` stands among"),
        (&["--step", "attack, 140 ms"], "expected s, min, h or days"),
        (&["--step", "attack, 140 seks"], "most likely one of time"),
        (&["--step", "attack, 300 K"], "expected C or F"),
        (
            &["--step", "age, 31 days"],
            "the time of a step cannot be used",
        ),
        (&["--step", ""], "a step begins with your word"),
        (
            &["--step", "bake, 9000 C"],
            "the temperature of a step cannot be used",
        ),
        (&["--technique", ""], "nothing is said in this recipe"),
        (
            &["--technique", "\u{1b}[2J"],
            "the technique cannot be used",
        ),
        (
            &["--file", "steps.txt"],
            "steps.txt, line 3: `140` cannot be read",
        ),
        (
            &["--file", "colour.txt"],
            "colour.txt, line 1: `colour: red` is not a line",
        ),
        (&["--file", "empty.txt"], "nothing is said in this recipe"),
        (&["--file", "bytes.txt"], "no text in UTF-8"),
        (&["--file", "long.txt"], "more than that"),
        (&["--file", "gone.txt"], "no such file"),
        (&["--file", "."], "a folder"),
    ] {
        bench
            .run(&[&["recipe", "bar"], args].concat())
            .exits(2)
            .refuses_in_two_lines()
            .complains(said);
    }
    let long = "é".repeat(4001);
    bench
        .run(&["recipe", "bar", "--change", &long])
        .exits(2)
        .refuses_in_two_lines()
        .complains("at most 4000 characters");
    for args in [
        &["recipe", "gone"][..],
        &["recipe", "gone", "--change", "x"],
    ] {
        bench
            .run(args)
            .exits(2)
            .refuses_in_two_lines()
            .complains("`gone`");
    }
    let json = bench.run(&["recipe", "bar", "--json"]).exits(0).json();
    assert_eq!(json["written_at"], Value::Null);
}

#[test]
fn hostile_words_are_words() {
    let bench = with(&["bar"]);
    let hostile = "<script>alert(1)</script> '; DROP TABLE recipe; -- \"quoted\" `so` 🪞\u{202e}";
    let lines = "one\r\ntwo\n# three";
    let long = "é".repeat(4000);
    let step = format!("{hostile}, 140 s, note: {hostile}, 30 ml");
    let typed = [
        "--technique",
        hostile,
        "--step",
        &step,
        "--backing",
        lines,
        "--change",
        &long,
    ];
    let card = bench
        .run(&[&["recipe", "bar", "--page", "card.html"], &typed[..]].concat())
        .exits(0);
    let json = bench.run(&["recipe", "bar", "--json"]).exits(0).json();
    assert_eq!(json["technique"], hostile);
    assert_eq!(json["steps"][0]["step"], hostile);
    assert_eq!(json["steps"][0]["note"], format!("{hostile}, 30 ml"));
    assert_eq!(json["backing"], "one two # three");
    assert_eq!(json["change"], long);
    bench.file("card.txt", &card.out);
    bench
        .run(&["recipe", "bar", "--file", "card.txt"])
        .exits(0)
        .complains("it says that already");
    let page = String::from_utf8(bench.bytes("card.html")).unwrap();
    assert!(!page.contains("<script"));
    bench.run(&["verify"]).exits(0).says("1 recipe");
}

#[test]
fn notes_and_names_of_more_lines_do_not_break_the_card() {
    let bench = Bench::with_rig();
    let photo = if cfg!(unix) {
        "kept\nstep: a, 5.jpg"
    } else {
        "kept.jpg"
    };
    bench.photo(photo, &SAMPLE);
    let keep = ["keep", photo, "--name", "bar", "--rig", "corner"];
    bench
        .run(&[&keep[..], &["--notes", "one\nstep: two, 5\nthree"]].concat())
        .exits(0);
    let card = bench
        .run(&["recipe", "bar", "--technique", "poured"])
        .exits(0);
    assert_eq!(said(&card.out), ["technique: poured"]);
}
