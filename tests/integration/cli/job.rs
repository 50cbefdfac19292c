//! What is said once of a job is never typed again.

use crate::bench::{ALIKE, BRIGHT, Bench, DARKER, LIGHTER, PLAIN, Painted, Ran, SAMPLE};

/// Runs what a maker types after the program's name; each word as the shell would hand it on.
fn typed(bench: &Bench, line: &str) -> Ran {
    bench.run(&line.split(' ').collect::<Vec<_>>())
}

/// Characters that a maker types for a line, the program's name and the space after it with them.
fn characters(line: &str) -> usize {
    format!("paneprint {line}").chars().count()
}

const RIG: &str = "rig make r --plain plain.jpg --size 100x100mm";
const NEW: &str = "job new bar --sample s.jpg --rig r --size 100x100mm";

/// A bench with the job `bar`, begun from photos whose sizes are said in no file.
fn with_job() -> Bench {
    let bench = Bench::new();
    bench.photo_without_size("plain.jpg", &PLAIN);
    bench.photo_without_size("s.jpg", &SAMPLE);
    typed(&bench, RIG).exits(0);
    typed(&bench, NEW).exits(0);
    bench
}

fn photos(bench: &Bench, photos: &[(&str, &Painted)]) {
    photos
        .iter()
        .for_each(|(name, painted)| bench.photo_without_size(name, painted));
}

#[test]
fn the_first_verdict_takes_three_commands_and_every_further_panel_one_short_one() {
    let bench = Bench::new();
    bench.photo_without_size("plain.jpg", &PLAIN);
    bench.photo_without_size("s.jpg", &SAMPLE);
    photos(&bench, &[("a.jpg", &ALIKE), ("b.jpg", &DARKER)]);
    let first = [RIG, NEW, "match a.jpg"];
    let all: usize = first.iter().map(|line| characters(line)).sum();
    assert!(all <= 150, "{all} characters are typed");
    typed(&bench, first[0]).exits(0);
    typed(&bench, first[1])
        .exits(0)
        .says("`bar` is the current job")
        .says("Its sample is kept as `bar sample`");
    let ran = typed(&bench, first[2]).exits(0);
    assert!(ran.out.starts_with("Job `bar`\n"), "{}", ran.out);
    for (line, exit) in [("match b.jpg", 1), ("keep b.jpg", 0), ("check b.jpg", 0)] {
        assert!(characters(line) <= 25, "{line}");
        typed(&bench, line).exits(exit).says("Job `bar`");
    }
    let json = typed(&bench, "match b.jpg --json").exits(1).json();
    assert_eq!(
        (&json["job"], &json["sample"]),
        (&"bar".into(), &"bar sample".into())
    );
}

#[test]
fn a_job_numbers_its_panels_and_a_set_takes_them_all() {
    let bench = with_job();
    let of = [("a.jpg", &ALIKE), ("b.jpg", &DARKER), ("c.jpg", &LIGHTER)];
    photos(&bench, &of);
    typed(
        &bench,
        "job change --wall 3x1 --viewed-from 2m --client Smith",
    )
    .exits(0);
    typed(&bench, "keep a.jpg")
        .exits(0)
        .says("Kept as `bar-1` in");
    typed(&bench, "keep b.jpg c.jpg")
        .exits(0)
        .says("Kept as `bar-2` in")
        .says("Kept as `bar-3` in")
        .says("a panel of the job `bar`");
    // The same photo twice is no further panel, but for one that has a name of its own.
    typed(&bench, "keep a.jpg")
        .exits(2)
        .refuses_in_two_lines()
        .complains("kept already, as `bar-1`");
    let job = typed(&bench, "job --json").exits(0).json();
    assert_eq!(
        job["panels"],
        serde_json::json!(["bar-1", "bar-2", "bar-3"])
    );
    assert_eq!(job["client"], "Smith");
    let set = typed(&bench, "set --json").json();
    assert_eq!((&set["across"], &set["down"]), (&3.into(), &1.into()));
    assert_eq!(set["sample"], "bar sample");
    assert_eq!(set["viewed_from_m"], 2.0);
    assert_eq!(set["panels"].as_array().unwrap().len(), 3);
    // A wall that is not full yet is hung in one row.
    typed(&bench, "job change --wall 3x2").exits(0);
    let set = typed(&bench, "set").says("The wall has 6 places and there are 3 panels");
    assert_eq!(set.code(), Some(1), "{}", set.out);
    typed(&bench, "job take-out bar-2")
        .exits(0)
        .says("bar-1 and bar-3");
    typed(&bench, "job take-out bar-2")
        .exits(2)
        .refuses_in_two_lines();
    bench.run(&["show", "bar-2"]).exits(0);
    // No number comes twice.
    bench.photo_without_size("d.jpg", &SAMPLE);
    typed(&bench, "keep d.jpg")
        .exits(0)
        .says("Kept as `bar-4` in");
}

#[test]
fn what_is_typed_wins_over_the_placement_file_and_that_over_the_job() {
    let bench = with_job();
    bench.photo_without_size("a.jpg", &ALIKE);
    typed(&bench, "job change --stage wet").exits(0);
    let stage = |line: &str| {
        let read = typed(&bench, line).exits(0).json();
        read["placement"]["stage"].as_str().unwrap().to_owned()
    };
    assert_eq!(stage("measure a.jpg --json"), "wet");
    let without = String::from_utf8(bench.bytes("a.jpg.place.json")).unwrap();
    let dry = without.replacen('{', r#"{"stage": "dry","#, 1);
    bench.file("a.jpg.place.json", dry);
    assert_eq!(stage("measure a.jpg --json"), "dry");
    assert_eq!(stage("measure a.jpg --json --stage backed"), "backed");
    typed(&bench, "studio --stage wet --rig r --units in").exits(0);
    bench.file("a.jpg.place.json", without);
    let apart = "measure a.jpg --json --no-job --size 100x100mm";
    assert_eq!(stage(apart), "wet");
    let read = typed(&bench, apart).json();
    assert_eq!(
        (&read["rig"], &read["job"]),
        (&"r".into(), &serde_json::Value::Null)
    );
    typed(&bench, "job")
        .exits(0)
        .says("Panel size: 3.875 x 3.875 in");
    // One that is not there is refused where it is said, and not at the first panel.
    typed(&bench, "job change --rig gone")
        .exits(2)
        .refuses_in_two_lines();
    typed(&bench, "studio --rig gone")
        .exits(2)
        .refuses_in_two_lines();
}

#[test]
fn without_a_job_it_is_said_what_is_missing_and_both_ways_out() {
    let bench = Bench::with_sample();
    bench.photo("a.jpg", &ALIKE);
    typed(&bench, "match a.jpg --rig corner")
        .exits(2)
        .refuses_in_two_lines()
        .complains("no sample was named")
        .complains("--to NAME")
        .complains("paneprint job new");
    typed(&bench, "set").exits(2).refuses_in_two_lines();
    typed(&bench, "job close").exits(2).refuses_in_two_lines();
    typed(&bench, "match newest --to signed")
        .exits(2)
        .refuses_in_two_lines()
        .complains("--camera-folder");
    typed(&bench, "job").exits(0).says("No job is current.");
    typed(&bench, "job list --json").exits(0).quietly();
    typed(&bench, "studio")
        .exits(0)
        .says("Nothing is said yet.");
    typed(&bench, "job new bar --sample gone")
        .exits(2)
        .refuses_in_two_lines();
    typed(&bench, "job").says("No job is current.");
    typed(&bench, "job new bar --rig corner")
        .exits(0)
        .says("It has no sample yet");
    typed(&bench, "match a.jpg")
        .exits(2)
        .complains("the job `bar` has no sample")
        .complains("paneprint job change --sample NAME");
    typed(&bench, "job change --sample signed").exits(0);
    typed(&bench, "match a.jpg").exits(0);
}

#[test]
fn of_two_jobs_one_is_current_and_a_closed_one_takes_nothing_more() {
    let bench = with_job();
    photos(&bench, &[("a.jpg", &ALIKE), ("b.jpg", &DARKER)]);
    typed(&bench, "keep a.jpg").exits(0).says("`bar-1`");
    bench
        .run(&[
            "job",
            "new",
            "stairs",
            "--sample",
            "bar sample",
            "--rig",
            "r",
        ])
        .exits(0);
    typed(&bench, "keep b.jpg --size 100x100mm")
        .exits(0)
        .says("`stairs-1`");
    typed(&bench, "job new stairs")
        .exits(2)
        .refuses_in_two_lines();
    let listed = typed(&bench, "job list").exits(0).out;
    assert!(listed.contains("`bar` is open") && listed.contains("`stairs` is the current job"));
    typed(&bench, "job use bar").exits(0);
    let named = typed(&bench, "job --json").json();
    assert_eq!(
        (&named["name"], &named["panels"]),
        (&"bar".into(), &serde_json::json!(["bar-1"]))
    );
    typed(&bench, "job close")
        .exits(0)
        .says("`bar` was closed on 2");
    typed(&bench, "job").says("No job is current.");
    typed(&bench, "job use bar")
        .exits(2)
        .refuses_in_two_lines()
        .complains("is closed");
    typed(&bench, "keep b.jpg --rig r --size 100x100mm --name apart")
        .exits(0)
        .does_not_say("Job `");
    typed(&bench, "job reopen")
        .exits(0)
        .says("`bar` is the current job");
    typed(&bench, "job change --rename counter").exits(0);
    typed(&bench, "keep b.jpg")
        .exits(0)
        .says("Kept as `counter-2` in");
    typed(&bench, "job leave")
        .exits(0)
        .says("No job is current.");
    typed(&bench, "job use nowhere")
        .exits(2)
        .refuses_in_two_lines();
}

#[test]
fn one_bad_picture_stops_neither_a_set_nor_a_match_nor_what_is_kept_of_a_folder() {
    let bench = with_job();
    std::fs::create_dir(bench.path("day")).unwrap();
    let of = [
        ("day/a.jpg", &ALIKE),
        ("day/b.jpg", &BRIGHT),
        ("day/c.jpg", &SAMPLE),
    ];
    photos(&bench, &of);
    let whole = bench.bytes("day/a.jpg");
    bench.file("day/d.jpg", &whole[..whole.len() / 3]);
    typed(&bench, "match day")
        .exits(2)
        .complains("this picture cannot be judged by")
        .complains("b.jpg")
        .complains("the picture is damaged or cut short")
        .complains("d.jpg")
        .says("4 panels; 2 within (a.jpg, c.jpg); 2 could not be used (b.jpg, d.jpg).");
    typed(&bench, "match day").says("\na.jpg\nWithin");
    let lines = typed(&bench, "match day --json").exits(2).json_lines();
    assert_eq!(lines.len(), 2);
    let set = typed(&bench, "set day --json")
        .exits(2)
        .complains("this picture cannot be judged by")
        .complains("b.jpg");
    assert_eq!(
        set.json()["left_out"],
        serde_json::json!(["b.jpg", "d.jpg"])
    );
    assert_eq!(set.json()["panels"].as_array().unwrap().len(), 2);
    typed(&bench, "set day")
        .exits(2)
        .says("b.jpg and d.jpg could not be used, and are left out.");
    typed(&bench, "keep day")
        .exits(2)
        .says("Kept as `bar-1` in")
        .says("Kept as `bar-2` in")
        .says("4 photos: 2 good");
    // A weak picture alone asks for its own code.
    std::fs::remove_file(bench.path("day/d.jpg")).unwrap();
    typed(&bench, "match day").exits(3);
    typed(&bench, "set day").exits(3);
    typed(&bench, "match day --overrule within --because so")
        .exits(2)
        .refuses_in_two_lines();
}

#[test]
fn sheets_know_the_job_and_the_studios_paper() {
    let bench = with_job();
    typed(&bench, "job change --client Smith --room stairs --wall 3x2").exits(0);
    typed(&bench, "studio --paper letter").exits(0);
    typed(&bench, "sheet")
        .exits(0)
        .says("paneprint-marks-letter.pdf");
    bench
        .run(&["sheet", "--for", "bar sample", "--page", "sign.html"])
        .exits(0);
    let page = String::from_utf8(bench.bytes("sign.html")).unwrap();
    for said in ["Smith", "stairs", "6 of 100 x 100 mm"] {
        assert!(page.contains(said), "{said}");
    }
    typed(&bench, "promise").exits(0).says("bar sample");
}
