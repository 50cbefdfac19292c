//! What people type otherwise than the program writes it: sizes in centimetres, names misspelt, capitals, shares in per cent,
//! measures by their titles.

use crate::bench::{self, Bench, LIGHTER, SAMPLE};

#[test]
fn a_size_in_centimetres_is_as_good_as_one_in_millimetres() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    let placed = bench.run(&["check", "panel.jpg", "--json"]).json();
    let size = &placed["placement"]["size"];
    let (width, height) = (
        size["width"].as_f64().unwrap() / 10.0,
        size["height"].as_f64().unwrap() / 10.0,
    );
    for typed in [
        format!("{width}x{height}cm"),
        format!("{width} x {height} CM"),
        format!("{}×{}m", width / 100.0, height / 100.0),
    ] {
        let read = bench.run(&["check", "panel.jpg", "--size", &typed, "--json"]);
        assert_eq!(read.json()["placement"]["size"], *size, "{typed}");
    }
    bench
        .run(&["check", "panel.jpg", "--size", "40x30"])
        .exits(2)
        .complains("`40x30` has no unit; write it like 40x30mm, 40x30cm or 40x30in");
}

#[test]
fn a_name_misspelt_offers_the_near_ones() {
    let bench = Bench::with_sample();
    for (asked, near) in [
        (&["show", "sigend"][..], "did you mean `signed`?"),
        (
            &["match", "signde", "--to", "signed"],
            "did you mean `signed`?",
        ),
        (
            &["match", "signed", "--to", "Sined"],
            "did you mean `signed`?",
        ),
        (
            &["measure", "signed.jpg", "--rig", "cornre"],
            "did you mean `corner`?",
        ),
        (
            &["approve", "signed", "--allow", "dark aera=4%"],
            "did you mean `dark area`?",
        ),
    ] {
        bench
            .run(asked)
            .exits(2)
            .refuses_in_two_lines()
            .complains(near);
    }
    bench
        .run(&["ladder", "show", "stpes"])
        .exits(2)
        .complains("no ladder named `stpes`");
}

#[test]
fn capitals_change_nothing() {
    let bench = Bench::with_sample();
    bench
        .run(&["Approve", "signed", "--VARIETY", "Slight", "--Json"])
        .exits(0)
        .says("\"variety\":\"slight\"");
    bench
        .run(&["approve", "signed", "--allow", "Silver_LEFT=0.04"])
        .exits(0);
}

#[test]
fn a_share_is_typed_in_per_cent_and_a_measure_by_its_title() {
    let bench = Bench::with_sample();
    let allow = |typed: &str| {
        let ran = bench.run(&["approve", "signed", "--allow", typed, "--json"]);
        ran.exits(0).json()["allowances"].clone()
    };
    for typed in ["silver left=4 %", "coverage=4%", "Silver Left=0.04"] {
        assert_eq!(allow(typed)["coverage"], 0.04, "{typed}");
    }
    assert_eq!(allow("dark area=3 %")["dark_fraction"], 0.03);
    bench
        .run(&["approve", "signed", "--allow", "silver left=4"])
        .exits(2)
        .complains("expected a share such as 4 % or 0.04");
}

#[test]
fn a_setting_goes_by_its_step_and_a_measure_by_its_title() {
    let bench = bench::attacked(6);
    for panel in 1..=6 {
        let steps = ["--step", "attack, 40 s, 21 C", "--step", "rinse, 60 s"];
        bench
            .run(&[&["recipe", &format!("try {panel}")], &steps[..]].concat())
            .exits(0);
    }
    let long = ["effect", "coverage", "--of", "rinse seconds", "--json"];
    let short = ["effect", "Silver Left", "--of", "Rinse", "--json"];
    assert_eq!(
        bench.run(&long).exits(0).json(),
        bench.run(&short).exits(0).json()
    );
    // Of two figures of a step nobody can tell which is meant.
    bench
        .run(&["effect", "coverage", "--of", "Attack"])
        .exits(2)
        .complains("did you mean `attack seconds` or `attack temperature`?");
    bench
        .run(&["effect", "coverage", "--of", "atack seconds"])
        .exits(2)
        .complains("did you mean `attack seconds`");
}

#[test]
fn what_to_do_stands_first_and_each_caution_is_told_in_full_once_a_day() {
    let bench = Bench::with_sample();
    bench.photo("pale.jpg", &LIGHTER);
    let asked = ["match", "pale.jpg", "--to", "signed", "--rig", "corner"];
    let first = bench.run(&asked).exits(1);
    let headline = first.out.lines().next().unwrap().to_owned();
    assert!(headline.contains("A little more"), "{headline}");
    first.says("  Caution: Acids, caustics");
    let again = bench.run(&asked).exits(1);
    again
        .does_not_say("  Caution: Acids, caustics")
        .says("acids, caustics and bleach; ");
    // Programs are told all of them each time.
    let json = bench.run(&[&asked[..], &["--json"]].concat()).json();
    assert!(json["cautions"].as_array().unwrap().len() > 1);
    assert!(
        json["headline"]
            .as_str()
            .unwrap()
            .starts_with("A little more")
    );
}
