//! From the rig to the verdict: make, keep, approve, match.

use paneprint::fingerprint::metric::figures;

use crate::bench::{ALIKE, BEHIND, BRIGHT, Bench, DARKER, DOUBTFUL, LIGHTER, Painted, Ran, SAMPLE};

/// Matches a photo against the sample, read with the rig.
fn matched(bench: &Bench, panel: &Painted, more: &[&str]) -> Ran {
    bench.photo("panel.jpg", panel);
    let ask = ["match", "panel.jpg", "--to", "signed", "--rig", "corner"];
    bench.run(&[&ask, more].concat())
}

#[test]
fn each_verdict_has_its_exit_code_its_lean_and_its_words() {
    let bench = Bench::with_sample();
    for (panel, code, verdict, lean, next) in [
        (&ALIKE, 0, "within", "neither", "Leave it as it is"),
        (&LIGHTER, 1, "outside", "lighter", "go a little further"),
        (&DARKER, 1, "outside", "darker", "does not come back"),
        // Its silver is well within what it may differ by, whatever else is open.
        (&DOUBTFUL, 4, "unsure", "neither", "side by side"),
    ] {
        let found = matched(&bench, panel, &["--json"])
            .exits(code)
            .quietly()
            .json();
        assert_eq!(found["verdict"], verdict, "{found}");
        assert_eq!(found["lean"], lean, "{found}");
        assert!(found["words"][2].as_str().unwrap().contains(next));
        matched(&bench, panel, &[]).exits(code).says(next);
    }
}

#[test]
fn the_first_line_of_a_match_is_what_to_do() {
    let bench = Bench::with_sample();
    let ran = matched(&bench, &DARKER, &[]);
    let lines: Vec<&str> = ran.out.lines().collect();
    assert_eq!(lines[0], "Strip it, or use it elsewhere.");
    assert!(
        lines[1].starts_with("Outside: darker than `signed`"),
        "{lines:?}"
    );
    assert!(lines[2].contains("specks"), "{lines:?}");
}

#[test]
fn a_match_has_every_key_that_was_promised() {
    let bench = Bench::with_sample();
    let found = matched(&bench, &ALIKE, &["--json"]).json();
    let measures = found["measures"].as_object().unwrap();
    assert_eq!(measures.len(), figures().count());
    for row in figures() {
        for key in [
            "sample",
            "panel",
            "difference",
            "low",
            "high",
            "allowance",
            "verdict",
        ] {
            assert!(measures[row.key].get(key).is_some(), "{} {key}", row.key);
        }
        // What both show is compared, but for sizes that add nothing to a look that agrees.
        let m = &measures[row.key];
        let shown = m["sample"].is_number() && m["panel"].is_number();
        let sizes = ["cloud_scale", "streak_spacing", "patina_scale"].contains(&row.key);
        for key in ["difference", "low", "high"] {
            assert_eq!(m[key].is_number(), shown && !sizes, "{} {key}", row.key);
        }
        assert_eq!(m["verdict"].is_string(), shown && !sizes, "{}", row.key);
    }
    for key in ["sample", "panel", "difference", "low", "high", "allowance"] {
        assert!(measures["coverage"][key].is_number(), "{key}");
    }
    assert_eq!(measures["coverage"]["verdict"], "within");
    assert!(found["tone_difference"].is_number());
    assert_eq!(found["anyway"], false);
    assert_eq!(found["sample"], "signed");
    assert_eq!(found["panel"], "panel.jpg");
}

#[test]
fn a_kept_finish_is_matched_by_its_name_as_its_photo_is() {
    let bench = Bench::with_sample();
    bench.keep("second", &ALIKE);
    let by_name = bench
        .run(&["match", "second", "--to", "signed", "--json"])
        .exits(0)
        .json();
    let by_photo = matched(&bench, &ALIKE, &["--json"]).json();
    assert_eq!(by_name["measures"], by_photo["measures"]);
    assert_eq!(by_name["panel"], "second");
}

#[test]
fn the_studios_own_allowances_decide() {
    let bench = Bench::with_sample();
    matched(&bench, &DARKER, &[]).exits(1).says("only a start");
    let mut approve = vec!["approve".to_owned(), "signed".to_owned()];
    for row in figures() {
        let wide = row.range.1 - row.range.0;
        approve.extend(["--allow".to_owned(), format!("{}={wide}", row.key)]);
    }
    approve.extend(["--allow".to_owned(), "look=10".to_owned()]);
    let approve: Vec<&str> = approve.iter().map(String::as_str).collect();
    bench.run(&approve).exits(0);
    // Approving once more, with nothing said, takes none of them away.
    bench
        .run(&["approve", "signed"])
        .exits(0)
        .does_not_say("No allowances");
    matched(&bench, &DARKER, &[])
        .exits(0)
        .does_not_say("only a start");
    bench
        .run(&["approve", "signed", "--allow", "coverage=0.001"])
        .exits(0);
    matched(&bench, &DARKER, &[]).exits(1);
}

#[test]
fn the_stage_decides_what_can_still_be_done() {
    let bench = Bench::with_sample();
    matched(&bench, &LIGHTER, &["--stage", "dry"])
        .exits(1)
        .says("before the back is painted")
        .says("Caution: ");
    matched(&bench, &LIGHTER, &["--stage", "backed"])
        .exits(1)
        .says("stripping the paint off the back")
        .says("Caution: Solvents");
}

#[test]
fn a_panel_on_its_own_scale_is_not_compared_with_one_read_against_full_silver() {
    let bench = Bench::with_sample();
    bench.photo("panel.jpg", &ALIKE);
    bench
        .run(&["match", "panel.jpg", "--to", "signed"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("only against its own brightest parts");
}

#[test]
fn a_match_with_a_picture_that_cannot_be_judged_by_says_so() {
    let bench = Bench::with_sample();
    matched(&bench, &BRIGHT, &[])
        .exits(3)
        .refuses_in_two_lines();
    bench
        .run(&[
            "keep",
            "panel.jpg",
            "--name=bright",
            "--rig=corner",
            "--anyway",
        ])
        .exits(0);
    for panel in ["panel.jpg", "bright"] {
        let ask = ["match", panel, "--to=signed", "--rig=corner", "--anyway"];
        bench
            .run(&ask)
            .says("could not be judged by: take it again");
        let found = bench.run(&[&ask[..], &["--json"]].concat()).json();
        assert_eq!(found["anyway"], true);
    }
}

#[test]
fn front_and_back_are_not_compared() {
    let bench = Bench::with_sample();
    matched(&bench, &BEHIND, &[])
        .exits(2)
        .refuses_in_two_lines()
        .complains("one was photographed from the front and the other from the back");
}

#[test]
fn what_is_not_there_or_makes_no_sense_is_refused_in_words() {
    let bench = Bench::with_sample();
    bench.photo("panel.jpg", &SAMPLE);
    for (args, said) in [
        (
            &["approve", "nobody"][..],
            "no finish named `nobody` is kept here",
        ),
        (
            &["match", "panel.jpg", "--to", "nobody"],
            "no finish named `nobody` is kept here",
        ),
        (&["show", "nobody"], "no finish named `nobody`"),
        (
            &["measure", "panel.jpg", "--rig", "cellar"],
            "no rig named `cellar` is kept here",
        ),
        (
            &["approve", "signed", "--allow", "shine=3"],
            "there is no measure `shine`",
        ),
        (
            &["approve", "signed", "--allow", "coverage"],
            "`coverage` is no allowance",
        ),
        (
            &["approve", "signed", "--allow", "coverage=-1"],
            "`-1` cannot be a figure for silver left",
        ),
        (
            &["match", "nothing", "--to", "signed"],
            "there is no photo and no kept finish named `nothing`",
        ),
        (
            &["match", "signed", "--to", "signed", "--picture", "a.png"],
            "drawn of photos only",
        ),
    ] {
        bench
            .run(args)
            .exits(2)
            .refuses_in_two_lines()
            .complains(said);
    }
}
