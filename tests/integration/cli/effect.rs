//! `effect`: what a setting did, told from kept panels and their recipes, and no more than they bear out.

use serde_json::Value;

use crate::bench::{SECONDS, attacked};

#[test]
fn a_setting_that_did_it_is_said_and_asked_backwards() {
    let bench = attacked(7);
    let asked = ["effect", "aggressiveness", "--of", "attack seconds"];
    let ran = bench.run(&asked).exits(0).quietly();
    let ran = ran.says("More attack seconds makes more aggressiveness");
    let ran = ran.says("Nothing is known under 40 s or over 240 s.");
    let ran = ran.says("Caution: Mixed ammoniacal silver");
    ran.says("(taken)");

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
    for (i, temperature) in [18, 19, 20, 21, 22, 23, 24].iter().enumerate() {
        let step = format!("attack, {} s, {temperature} C", SECONDS[i]);
        bench
            .run(&["recipe", &format!("try {}", i + 1), "--step", &step])
            .exits(0);
    }
    bench
        .run(&["effect", "aggressiveness", "--of", "attack seconds"])
        .exits(0)
        .says("attack temperature (18 to 24)")
        .says("change one thing at a time");
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
