//! A finish is read again: from its photo, or as far as its silver map goes; no reading is ever lost.

use rusqlite::Connection;

use super::ARCHIVE;
use crate::bench::{Bench, PLAIN, SAMPLE};

fn with_photo() -> Bench {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &SAMPLE);
    let keep = ["keep", "panel.jpg", "--rig", "corner"];
    bench
        .run(&[&keep[..], &["--name=photo", "--with-photo"]].concat())
        .exits(0);
    bench
        .run(&[&keep[..], &["--name=map", "--no-photo"]].concat())
        .exits(0);
    std::fs::remove_file(bench.path("panel.jpg")).unwrap();
    bench
}

/// Makes the readings look as if an older version had made them, with a coverage of its own.
fn by_an_older_version(bench: &Bench) {
    let file = Connection::open(bench.path(ARCHIVE)).unwrap();
    let rows: Vec<(i64, String)> = file
        .prepare("SELECT id, fingerprint FROM reading")
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    for (id, text) in rows {
        let mut old: serde_json::Value = serde_json::from_str(&text).unwrap();
        old["version"] = 1.into();
        old["measurements"]["coverage"]["value"] = 0.5.into();
        // What an older version did not measure yet.
        old["measurements"]
            .as_object_mut()
            .unwrap()
            .remove("cloud_scale");
        let old = old.to_string();
        let digest = blake3::hash(old.as_bytes()).to_hex().to_string();
        file.execute(
            "UPDATE reading SET fingerprint = ?2, fingerprint_digest = ?3, seal = NULL WHERE id = ?1",
            (id, old, digest),
        )
        .unwrap();
    }
    file.execute_batch("UPDATE finish SET version = 1; DELETE FROM look")
        .unwrap();
}

#[test]
fn by_the_same_version_nothing_changes_and_nothing_is_added() {
    let bench = with_photo();
    let before = bench.bytes(ARCHIVE);
    bench
        .run(&["remeasure", "photo"])
        .exits(0)
        .says("`photo`, read again from its photo.")
        .says("It reads as before, so nothing was added.");
    bench
        .run(&["remeasure", "map"])
        .exits(0)
        .says("from its silver map")
        .says("Its colour is that kept beside the map")
        .says("says as much or more, so it holds");
    assert_eq!(before, bench.bytes(ARCHIVE));
    bench
        .run(&["remeasure", "gone"])
        .exits(2)
        .refuses_in_two_lines();
}

#[test]
fn by_a_newer_version_the_new_reading_holds_and_the_earlier_one_stays() {
    let bench = with_photo();
    let present = bench.run(&["show", "photo", "--json"]).exits(0).json();
    by_an_older_version(&bench);
    bench
        .run(&["show", "photo"])
        .exits(2)
        .complains("measured by version 1");
    let lines = bench
        .run(&["remeasure", "--all", "--json"])
        .exits(0)
        .json_lines();
    assert_eq!(lines.len(), 2);
    for line in &lines {
        assert_eq!(
            (&line["version_before"], &line["kept"]),
            (&1.into(), &true.into())
        );
        let coverage = &line["measures"]["coverage"];
        assert_eq!(coverage["before"], 0.5);
        // The map is rounded to 256 steps, so its mean moves by half a step at most.
        let now = coverage["now"].as_f64().unwrap();
        let was = present["measures"]["coverage"]["value"].as_f64().unwrap();
        assert!((now - was).abs() < 0.5 / 255.0, "{now} {was}");
        assert!(line["measures"]["cloud_scale"]["before"].is_null());
    }
    assert_eq!(
        bench.run(&["show", "photo", "--json"]).exits(0).json()["measures"],
        present["measures"]
    );
    let map = bench.run(&["show", "map", "--json"]).exits(0).json();
    // Colour is kept in codes of a screen; tone is of light as bright as silver, where they are closest.
    for key in ["tone_a", "tone_b", "patina_chroma"] {
        let [now, was] = [&map, &present].map(|r| r["measures"][key]["value"].as_f64().unwrap());
        assert!((now - was).abs() < 0.5, "{key}: {now} {was}");
    }
    bench.run(&["match", "map", "--to", "photo"]).exits(0);
    bench
        .run(&["verify"])
        .exits(0)
        .says("2 finishes, 4 readings");

    // All readings leave and come back.
    bench.run(&["export", "out", "--with-photo"]).exits(0);
    let other = ["--archive", "other.sqlite"];
    bench
        .run_bare(&[&other[..], &["import", "out"]].concat())
        .exits(0);
    bench
        .run_bare(&[&other[..], &["verify"]].concat())
        .exits(0)
        .says("2 finishes, 4 readings and 1 photo");
    bench
        .run_bare(&[&other[..], &["export", "again", "--with-photo"]].concat())
        .exits(0);
    assert_eq!(
        bench.bytes("out/all.ndjson"),
        bench.bytes("again/all.ndjson")
    );
    bench
        .run(&["import", "again"])
        .exits(0)
        .says("2 there already.");
}

#[test]
fn a_map_that_was_kept_without_colour_tells_none() {
    let bench = with_photo();
    by_an_older_version(&bench);
    Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch("UPDATE reading SET colour = NULL, seal = NULL")
        .unwrap();
    bench
        .run(&["remeasure", "map"])
        .exits(0)
        .says("A map holds no colour, so its tone and patina are not known");
    let map = bench.run(&["show", "map", "--json"]).exits(0).json();
    for key in ["tone_a", "patina_fraction", "halo"] {
        assert_eq!(map["measures"][key]["why"], "a silver map holds no colour");
    }
}

#[test]
fn a_photo_of_a_corner_that_was_made_anew_is_read_by_the_corner_as_it_was() {
    let bench = with_photo();
    let shown = bench.run(&["show", "photo", "--json"]).exits(0).json();
    bench.photo("plain.jpg", &PLAIN);
    let make = ["rig", "make", "corner", "--plain", "plain.jpg"];
    bench.run(&[&make[..], &["--replace"]].concat()).exits(0);
    bench
        .run(&["remeasure", "photo"])
        .exits(0)
        .says("`photo`, read again from its photo.")
        .says("It reads as before, so nothing was added.");
    assert_eq!(
        bench.run(&["show", "photo", "--json"]).exits(0).json(),
        shown
    );
    bench.run(&["verify"]).exits(0);
    // The corner as it was leaves and comes back.
    bench.run(&["export", "out", "--with-photo"]).exits(0);
    let other = |args: &[&str]| bench.run_bare(&[&["--archive", "other.sqlite"], args].concat());
    other(&["import", "out"]).exits(0);
    other(&["export", "again", "--with-photo"]).exits(0);
    assert_eq!(bench.bytes("out/rigs.json"), bench.bytes("again/rigs.json"));
    other(&["remeasure", "photo"])
        .exits(0)
        .says("It reads as before, so nothing was added.");
}

#[test]
fn a_photo_of_a_corner_that_is_not_kept_is_read_from_its_map_and_that_is_said() {
    let bench = with_photo();
    Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch("DELETE FROM rig")
        .unwrap();
    // Another corner of the same name is not the one.
    bench.photo("plain.jpg", &PLAIN);
    let mut other = bench.bytes("plain.jpg");
    other.push(0);
    bench.file("plain.jpg", other);
    bench
        .run(&["rig", "make", "corner", "--plain", "plain.jpg"])
        .exits(0);
    bench
        .run(&["remeasure", "photo"])
        .exits(0)
        .complains("read with the rig `corner` as it was then, which is not kept here")
        .says("`photo`, read again from its silver map.");
}
