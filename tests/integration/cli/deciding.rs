//! The commands that decide, as a maker calls them: approve with limits, overrule, set, ladder, find, promise.

use crate::bench::{AGAIN, ALIKE, Bench, DARKER, LIGHTER, Painted};

/// The bench with the sample signed, and further panels kept under these names.
fn with(kept: &[(&str, &Painted)]) -> Bench {
    let bench = Bench::with_sample();
    for (name, panel) in kept {
        bench.keep(name, panel);
    }
    bench
}

#[test]
fn signed_pieces_and_a_variety_are_kept_with_the_sample_and_decide() {
    let bench = with(&[("pale", &LIGHTER), ("deep", &DARKER), ("second", &ALIKE)]);
    bench
        .run(&["match", "deep", "--to", "signed"])
        .exits(1)
        .says("only a start");
    bench
        .run(&[
            "approve",
            "signed",
            "--light",
            "pale",
            "--dark",
            "deep",
            "--variety",
            "moderate",
        ])
        .exits(0)
        .says("as light as `pale` and as dark as `deep`")
        .says("meant to vary");
    let m = bench
        .run(&["match", "deep", "--to", "signed", "--json"])
        .json();
    assert_eq!(m["verdict"], "within", "it was signed as just that");
    assert_eq!(m["measures"]["coverage"]["verdict"], "within");
    assert_eq!(m["limit_piece"], "dark");
    assert_eq!(m["only_starting_allowances"], false);
    let m = bench
        .run(&["match", "second", "--to", "signed", "--json"])
        .exits(0)
        .json();
    assert!(m["wholes"]["silver_levels"]["verdict"] == "within");
    let kept = bench.run(&["approve", "signed", "--json"]).exits(0).json();
    assert_eq!(kept["light"], "pale");
    assert_eq!(kept["dark"], "deep");
    assert_eq!(kept["variety"], "moderate");
    bench
        .run(&["approve", "signed", "--light", "deep"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("cannot be the light limit");
}

#[test]
fn a_maker_may_overrule_with_a_reason_that_is_kept() {
    let bench = with(&[("deep", &DARKER)]);
    let ask = ["match", "deep", "--to", "signed"];
    bench.run(&ask).exits(1);
    bench
        .run(&[&ask[..], &["--overrule", "within"]].concat())
        .exits(2);
    bench
        .run(&[&ask[..], &["--overrule", "within", "--because", "  "]].concat())
        .exits(2)
        .refuses_in_two_lines();
    bench
        .run(
            &[
                &ask[..],
                &[
                    "--overrule",
                    "within",
                    "--because",
                    "hangs in a dark corner",
                ],
            ]
            .concat(),
        )
        .exits(0)
        .says("You decided: within, though the program said outside")
        .says("hangs in a dark corner");
    // The photo brings the decision back, and what was found stays what was found.
    bench.run(&ask).exits(0).says("hangs in a dark corner");
    let m = bench.run(&[&ask[..], &["--json"]].concat()).exits(0).json();
    assert_eq!(m["verdict"], "outside");
    assert_eq!(m["overruled"]["decided"], "within");
    assert_eq!(m["overruled"]["because"], "hangs in a dark corner");
    bench
        .run(&["show", "deep"])
        .exits(0)
        .says("hangs in a dark corner");
}

#[test]
fn a_decision_answers_only_the_question_it_was_made_on() {
    let bench = with(&[]);
    bench.photo("deep.jpg", &DARKER);
    let ask = ["match", "deep.jpg", "--to", "signed", "--rig", "corner"];
    let decided = [
        "--overrule",
        "within",
        "--because",
        "hangs in a dark corner",
    ];
    bench.run(&[&ask[..], &decided].concat()).exits(0);
    bench.run(&ask).exits(0).says("hangs in a dark corner");
    // Of another stage it is another question.
    let dry = [&ask[..], &["--stage", "dry", "--json"]].concat();
    assert!(bench.run(&dry).exits(1).json()["overruled"].is_null());
    bench.run(&ask).exits(0).says("hangs in a dark corner");
}

#[test]
fn photos_of_the_sample_at_the_start_and_the_end_of_a_session_are_heard() {
    let bench = with(&[("second", &ALIKE)]);
    bench.photo("start.jpg", &AGAIN[0]);
    bench.photo("end.jpg", &AGAIN[1]);
    let ask = ["match", "second", "--to", "signed", "--rig", "corner"];
    let today = ["--sample-today", "start.jpg", "end.jpg"];
    let m = bench
        .run(&[&ask[..], &today, &["--json"]].concat())
        .exits(0)
        .json();
    assert_eq!(m["cannot_tell_today"], false);
    bench
        .run(&[&ask[..], &["--sample-today", "start.jpg"]].concat())
        .exits(2);
}

#[test]
fn a_set_names_its_odd_one_and_hangs_the_panels() {
    let bench = with(&[("a", &ALIKE), ("b", &AGAIN[0]), ("c", &DARKER)]);
    std::fs::create_dir(bench.path("monday")).unwrap();
    bench.photo("monday/d.jpg", &AGAIN[1]);
    let ask = ["set", "signed", "a", "b", "c", "monday", "--rig", "corner"];
    let found = bench
        .run(&[&ask[..], &["--json"]].concat())
        .exits(1)
        .quietly()
        .json();
    let odd: Vec<&str> = found["panels"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|p| p["odd"] == true)
        .map(|p| p["name"].as_str().unwrap())
        .collect();
    assert_eq!(odd, ["c"]);
    assert_eq!(found["remake"], serde_json::json!(["c"]));
    let hanging = found["hanging"].as_array().unwrap();
    assert_eq!(hanging.len(), 5);
    assert!(
        hanging
            .iter()
            .all(|h| h["name"].is_string() && h["turned"].is_boolean())
    );
    assert_eq!(found["joints"].as_array().unwrap().len(), 4);
    bench
        .run(
            &[
                &ask[..],
                &[
                    "--picture",
                    "wall.png",
                    "--no-turning",
                    "--viewed-from",
                    "6ft",
                ],
            ]
            .concat(),
        )
        .exits(1)
        .says("One of 5 panels does not go with the rest: c.")
        .says("Caution: ")
        .says("from 1.8 m");
    assert!(bench.path("wall.png").is_file());
    bench
        .run(&[&ask[..], &["--wall", "2x2"]].concat())
        .exits(2)
        .refuses_in_two_lines()
        .complains("a wall of 2 x 2 has 4 places, but 5 panels were named");
    bench.run(&["set", "a"]).exits(2).refuses_in_two_lines();
    bench
        .run(&["set", "a", "a"])
        .exits(2)
        .refuses_in_two_lines();
    bench
        .run(&["set", "a", "nobody"])
        .exits(2)
        .refuses_in_two_lines();
}

#[test]
fn a_set_that_agrees_exits_with_0_and_fills_a_wall() {
    let bench = with(&[("a", &ALIKE), ("b", &AGAIN[0]), ("c", &AGAIN[1])]);
    let found = bench
        .run(&[
            "set", "signed", "a", "b", "c", "--wall", "2x2", "--to", "signed", "--json",
        ])
        .exits(0)
        .json();
    assert_eq!(found["verdict"], "within");
    assert_eq!((&found["across"], &found["down"]), (&2.into(), &2.into()));
    assert_eq!(found["remake"], serde_json::json!([]));
    bench
        .run(&["set", "signed", "a", "b", "c"])
        .exits(0)
        .says("The 4 panels agree.")
        .says("None needs remaking.");
}

#[test]
fn a_ladder_is_kept_and_a_panel_placed_on_it() {
    let bench = with(&[("pale", &LIGHTER), ("deep", &DARKER)]);
    bench
        .run(&[
            "ladder",
            "make",
            "house",
            "faint=pale",
            "usual=signed",
            "deep=deep",
        ])
        .exits(0)
        .says("Ladder `house`, from light to heavy: faint, usual, deep.");
    bench.photo("panel.jpg", &ALIKE);
    bench
        .run(&[
            "ladder",
            "place",
            "panel.jpg",
            "--on",
            "house",
            "--rig",
            "corner",
        ])
        .exits(0)
        .says("It stands at `usual`.");
    let found = bench
        .run(&["ladder", "place", "pale", "--on", "house", "--json"])
        .exits(0)
        .json();
    assert_eq!(found["place"]["value"], 1.0);
    bench.run(&["ladder", "show"]).exits(0).says("house");
    let shown = bench
        .run(&["ladder", "show", "house", "--json"])
        .exits(0)
        .json();
    assert_eq!(shown["steps"][1]["finish"], "signed");
    for (args, said) in [
        (
            &["ladder", "make", "back", "a=deep", "b=pale"][..],
            "expected each step heavier",
        ),
        (
            &["ladder", "make", "one", "a=deep"],
            "a ladder of 1 steps is no ladder",
        ),
        (
            &["ladder", "make", "bad", "=deep", "b=pale"],
            "is no step of a ladder",
        ),
        (
            &["ladder", "place", "pale", "--on", "none"],
            "no ladder named `none`",
        ),
    ] {
        bench
            .run(args)
            .exits(2)
            .refuses_in_two_lines()
            .complains(said);
    }
}

#[test]
fn the_kept_finishes_that_look_most_like_a_panel_are_found() {
    let bench = with(&[("pale", &LIGHTER), ("deep", &DARKER), ("second", &ALIKE)]);
    bench.photo("panel.jpg", &AGAIN[2]);
    let found = bench
        .run(&["find", "panel.jpg", "--rig", "corner", "--json"])
        .exits(0)
        .json();
    assert_eq!(found["searched"], 4);
    assert_eq!(found["near"][0]["name"], "signed");
    assert_eq!(found["near"][1]["name"], "second");
    // A kept one does not find itself.
    let found = bench
        .run(&["find", "signed", "--most", "2", "--json"])
        .exits(0)
        .json();
    assert_eq!(found["near"].as_array().unwrap().len(), 2);
    assert_eq!(found["near"][0]["name"], "second");
    bench
        .run(&["find", "signed"])
        .exits(0)
        .says("Of 3 kept finishes, `second` looks most like `signed`");
}

#[test]
fn a_sample_says_what_it_can_promise() {
    let bench = Bench::with_sample();
    let found = bench
        .run(&[
            "promise",
            "signed",
            "--size",
            "600x400mm",
            "--speckles",
            "30",
            "--json",
        ])
        .exits(0)
        .json();
    let coverage = &found["measures"]["coverage"];
    assert!(coverage["low"].as_f64() < coverage["value"].as_f64());
    assert!(found["speckles"]["low"].as_f64().unwrap() < 21.0);
    bench
        .run(&["promise", "signed", "--size", "600x400mm"])
        .exits(0)
        .says("By chance alone a panel of 600 x 400 mm");
    bench.run(&["promise", "signed"]).exits(2);
    bench
        .run(&["promise", "nobody", "--speckles", "30"])
        .exits(2)
        .refuses_in_two_lines();
}
