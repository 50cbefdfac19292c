//! `effect`: what a setting did, told from kept panels and their recipes, and no more than they bear out.

use serde_json::Value;

use crate::bench::{ATTACKED, Bench, SECONDS, attacked};

const ASKED: [&str; 4] = ["effect", "aggressiveness", "--of", "attack seconds"];

/// Writes how a panel was made.
fn write(bench: &Bench, panel: usize, args: &[&str]) {
    let name = format!("try {panel}");
    bench.run(&[&["recipe", &name][..], args].concat()).exits(0);
}

/// Makes the readings of some panels look as if another version had made them.
fn by_another_version(bench: &Bench, names: &str) {
    let file = rusqlite::Connection::open(bench.path("archive.sqlite")).unwrap();
    let update = format!("UPDATE finish SET version = 1 WHERE name IN ({names})");
    file.execute_batch(&update).unwrap();
}

#[test]
fn a_setting_that_did_it_is_said_and_asked_backwards() {
    let bench = attacked(7);
    let asked = ["effect", "aggressiveness", "--of", "attack seconds"];
    let ran = bench.run(&asked).exits(0).quietly();
    let ran = ran.says("More attack seconds makes more aggressiveness");
    let ran = ran.says("Nothing is known under 40 s or over 240 s.");
    let ran = ran.says("Caution: Mixed ammoniacal silver");
    ran.says("(taken)");
    the_table_tells_the_curve(&bench);
    a_spreadsheet_tells_what_is_what(&bench);

    let json = bench
        .run(&[&asked[..], &["--json"]].concat())
        .exits(0)
        .json();
    assert_eq!(
        (&json["real"], &json["enough"]),
        (&Value::Bool(true), &Value::Bool(true))
    );
    assert_eq!(json["panels"].as_array().unwrap().len(), 7);
    let curve = json["curve"].as_array().unwrap();
    let settings = |i: usize| curve[i]["setting"].as_f64().unwrap();
    assert_eq!((settings(0), settings(curve.len() - 1)), (40.0, 240.0));

    // The figure that the panel of 130 s shows is asked for: its own setting must be in the range.
    let wanted = json["panels"][3]["measure"].as_f64().unwrap();
    let wanted = wanted.to_string();
    let near = [&asked[..], &["--near", &wanted, "--json"]].concat();
    let near = &bench.run(&near).exits(0).json()["near"];
    let figure = |key: &str| near[key].as_f64().unwrap();
    assert!(figure("low") <= 130.0 && 130.0 <= figure("high"), "{near}");
    assert!((figure("setting") - 130.0).abs() < 30.0, "{near}");

    bench
        .run(&[&asked[..], &["--near", "95"]].concat())
        .exits(0)
        .says("No panel came up to 95.0");
}

#[test]
fn from_the_first_piece_on_the_next_is_planned() {
    let bench = attacked(1);
    let asked = [
        "effect",
        "aggressiveness",
        "--of",
        "attack seconds",
        "--near",
    ];
    let one = bench.run(&[&asked[..], &["99"]].concat()).exits(0);
    let one = one.says("Not enough panels yet");
    let half = format!("Try {} s next, one step beyond", SECONDS[0] / 2);
    one.says(&half).says("Caution: Mixed ammoniacal silver");

    let bench = attacked(3);
    let measured = bench
        .run(&[&ASKED[..], &["--json"]].concat())
        .exits(0)
        .json();
    let wanted = measured["panels"][1]["measure"]
        .as_f64()
        .unwrap()
        .to_string();
    let asked = [&asked[..], &[&wanted, "--offcut", "50x50mm"]].concat();
    bench
        .run(&asked)
        .exits(0)
        .says(" lies somewhere from ")
        .says(" next, on an offcut,");
    let next = &bench
        .run(&[&asked[..], &["--json"]].concat())
        .exits(0)
        .json()["next"];
    let [least, second, greatest] = [0, 1, 2].map(|i| f64::from(SECONDS[i]));
    let to = next["settings"][0].as_f64().unwrap();
    assert!((least..=greatest).contains(&to), "{next}");
    assert_eq!(next["closed_in"], Value::Bool(true));
    let reach = |key: &str| next["reach"][key].as_f64().unwrap();
    assert!(reach("low") <= second && second <= reach("high"), "{next}");
}

/// Five settings over all that were tried, each with what is to be expected and the band of one panel, as the JSON has them.
fn the_table_tells_the_curve(bench: &Bench) {
    let text = bench.run(&ASKED).exits(0).out;
    let json = bench.run(&[&ASKED[..], &["--json"]].concat()).json();
    let head = text.lines().position(|l| l.contains("one panel, from"));
    let rows: Vec<&str> = text.lines().skip(head.unwrap() + 1).take(5).collect();
    for (row, (place, at)) in rows
        .iter()
        .zip([(40, 0), (90, 6), (140, 12), (190, 18), (240, 24)])
    {
        let at = &json["curve"][at];
        let [value, low, high] = ["value", "panel_low", "panel_high"]
            .map(|key| format!("{:.1}", at[key].as_f64().unwrap().clamp(0.0, 100.0)));
        let cells: Vec<&str> = row.split_whitespace().collect();
        assert_eq!(
            cells,
            [&place.to_string(), "s", &value, &low, &high],
            "{text}"
        );
    }
    assert!(text.contains("95 times in 100"), "{text}");
}

fn a_spreadsheet_tells_what_is_what(bench: &Bench) {
    bench
        .run(&[&ASKED[..], &["--csv", "effect.csv"]].concat())
        .exits(0);
    let table = String::from_utf8(bench.bytes("effect.csv")).unwrap();
    let mut lines = table.lines();
    assert_eq!(
        lines.next(),
        Some("panel,setting,setting_value,setting_unit,measure,measure_value,measure_unit")
    );
    let first = lines.next().unwrap();
    assert!(
        first.starts_with("try 1,attack seconds,40.0,s,aggressiveness,"),
        "{first}"
    );
    assert_eq!(lines.count(), 6);
}

#[test]
fn under_six_panels_nothing_is_claimed() {
    let bench = attacked(5);
    let asked = ["effect", "coverage", "--of", "attack seconds"];
    bench
        .run(&asked)
        .exits(0)
        .says("Not enough panels yet: 5 kept");
    let json = bench
        .run(&[&asked[..], &["--json"]].concat())
        .exits(0)
        .json();
    assert_eq!(
        (&json["enough"], &json["curve"]),
        (&Value::Bool(false), &Value::Null)
    );
}

#[test]
fn what_else_changed_is_named() {
    let bench = attacked(7);
    let steps = |other: &dyn Fn(usize) -> String| {
        for (i, seconds) in SECONDS.iter().enumerate() {
            let step = format!("attack, {seconds} s{}", other(i));
            write(&bench, i + 1, &["--step", &step]);
        }
    };
    let asked = || bench.run(&ASKED).exits(0);
    steps(&|i| format!(", {} C", 18 + i));
    asked()
        .says("attack temperature (18 to 24 °C)")
        .says("change one thing at a time");

    // What only some recipes say has not changed: a figure is named apart, words not at all.
    steps(&|i| {
        if i < 3 {
            ", 21 C, rocked, dried by hand"
        } else {
            ""
        }
        .to_owned()
    });
    write(&bench, 1, &["--technique", "poured", "--backing", "black"]);
    write(&bench, 2, &["--technique", "Poured"]);
    asked()
        .says("Only some of these recipes say attack temperature (21 °C): on the other panels")
        .does_not_say("change one thing");
    let json = bench.run(&[&ASKED[..], &["--json"]].concat()).json();
    assert_eq!(json["also_changed"], Value::Array(Vec::new()));
    assert_eq!(json["said_on_some"][0], "attack temperature");

    let unlike = |i: usize| match i % 2 {
        0 => ", 30 mL, rocked, dried by hand",
        _ => ", 30 g, still, dried with warm air",
    };
    steps(&|i| unlike(i).to_owned());
    write(&bench, 2, &["--technique", "sprayed", "--backing", "white"]);
    asked().says(
        "but attack amount (in g and ml), the technique, the backing, rocked or still (attack) and how it was dried (attack) as well",
    );
    let json = bench.run(&[&ASKED[..], &["--json"]].concat()).json();
    let also: Vec<&str> = json["also_changed"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(Value::as_str)
        .collect();
    assert_eq!(
        also,
        [
            "attack amount",
            "technique",
            "backing",
            "attack motion",
            "attack dried"
        ]
    );

    // `30 ML` beside `30 ml` is one unit.
    steps(&|i| [", 30 ML", ", 30 ml"][i % 2].to_owned());
    let asked = [
        "effect",
        "aggressiveness",
        "--of",
        "attack amount",
        "--json",
    ];
    assert_eq!(bench.run(&asked).exits(0).json()["unit"], "ml");
}

#[test]
fn a_panel_kept_twice_from_one_photo_counts_once() {
    let bench = attacked(6);
    bench.keep("again", &ATTACKED[0]);
    bench
        .run(&["recipe", "again", "--step", "attack, 45 s, 21 C"])
        .exits(0);
    let json = bench
        .run(&[&ASKED[..], &["--json"]].concat())
        .exits(0)
        .json();
    assert_eq!(
        (&json["same_photo"], &json["left_out"]),
        (&1.into(), &0.into())
    );
    let panels = json["panels"].as_array().unwrap();
    assert_eq!(panels.len(), 6);
    assert_eq!(
        (&panels[0]["panel"], &panels[0]["setting"]),
        (&"again".into(), &45.0.into())
    );
    bench
        .run(&ASKED)
        .says("One panel with that setting not counted: kept again from the same photo");
}

#[test]
fn panels_of_another_version_are_told_of_and_their_settings_stay_known() {
    let bench = attacked(3);
    by_another_version(&bench, "'try 2', 'try 3'");
    write(&bench, 2, &["--step", "rinse, 20 s"]);
    let said = "measured by another version of the measures: paneprint remeasure --all.";
    bench
        .run(&ASKED)
        .exits(0)
        .says(&format!("One more panel was {said}"));
    write(&bench, 2, &["--step", "attack, 70 s"]);
    bench
        .run(&ASKED)
        .exits(0)
        .says(&format!("2 more panels were {said}"));
    by_another_version(&bench, "'try 1'");
    let json = bench
        .run(&[&ASKED[..], &["--json"]].concat())
        .exits(0)
        .json();
    assert_eq!(
        (&json["other_version"], &json["enough"]),
        (&3.into(), &false.into())
    );
    bench
        .run(&["effect", "aggressiveness", "--of", "rinse seconds"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("known: attack seconds");
}

#[test]
fn what_nobody_wrote_down_is_refused_with_what_is_known() {
    let bench = attacked(1);
    for (asked, said) in [
        (
            ["effect", "aggressiveness", "--of", "rinse seconds"],
            "known: attack seconds",
        ),
        (
            ["effect", "shininess", "--of", "attack seconds"],
            "no measure `shininess`",
        ),
        (
            ["effect", "streak_angle", "--of", "attack seconds"],
            "comes round again",
        ),
    ] {
        bench
            .run(&asked)
            .exits(2)
            .refuses_in_two_lines()
            .complains(said);
    }
}
