//! What holds is said: of a sample, of an approval, of what was written beside a photo, and of what comes next.

use crate::bench::{ALIKE, Bench, DARKER, LIGHTER, SAMPLE};

#[test]
fn a_sample_says_all_that_holds_of_it() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &SAMPLE);
    let keep = ["keep", "panel.jpg", "--rig", "corner", "--stage", "dry"];
    bench
        .run(&[&keep[..], &["--name", "signed"]].concat())
        .exits(0);
    bench.keep("pale", &LIGHTER);
    bench.keep("deep", &DARKER);
    bench
        .run(&["approve", "signed", "--allow", "tone_b=2.5"])
        .exits(0)
        .quietly()
        .says("May differ in ")
        .says("your own figure")
        .says("a start");
    let limits = ["--light", "pale", "--dark", "deep"];
    let said = ["--variety", "slight", "--signed-by", "the client"];
    let said = bench
        .run(&[&["approve", "signed"], &limits[..], &said[..]].concat())
        .exits(0)
        .quietly()
        .says("`signed` is an approved sample.")
        .says("A panel may be as light as `pale` and as dark as `deep`.")
        .says("Signed by the client on 2")
        .out;
    let line = said
        .lines()
        .find(|line| line.trim_start().starts_with("silver left"));
    assert!(
        line.is_some_and(|line| line.contains("the signed pieces")),
        "{said}"
    );
    bench
        .run(&["show", "signed"])
        .exits(0)
        .says("A panel of 100 x 100 mm, stage dry, not painted, read with the rig `corner`.")
        .says("An approved sample since 2")
        .says("Signed by the client on 2")
        .says("A panel may be as light as `pale` and as dark as `deep`.")
        .says("The finish may vary a little")
        .says("by 2.5");
    let shown = bench.run(&["show", "signed", "--json"]).exits(0).json();
    assert_eq!(shown["approval"]["signature"]["by"], "the client");
    assert_eq!(shown["approval"]["light"], "pale");
    assert_eq!(shown["approval"]["variety"], "slight");
    assert_eq!(shown["rig"], "corner");
    let now = bench.run(&["approve", "signed", "--json"]).exits(0).json();
    let holds = now["holds"].as_array().unwrap();
    let coverage = holds.iter().find(|h| h["measure"] == "coverage").unwrap();
    assert_eq!(coverage["said_by"], "limits");
    let [from, sample, to] = ["from", "sample", "to"].map(|key| coverage[key].as_f64().unwrap());
    assert!(from < sample && sample < to, "{coverage}");
    // Who signed stays until somebody else does.
    assert_eq!(now["signed"]["by"], "the client");
}

#[test]
fn a_photo_is_kept_with_its_finish_unless_told_otherwise() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &SAMPLE);
    let keep = ["keep", "panel.jpg", "--rig", "corner", "--name"];
    bench
        .run(&[&keep[..], &["with"]].concat())
        .exits(0)
        .says("Its photo is kept too: 0.")
        .says(" MB.");
    bench
        .run(&[&keep[..], &["without", "--no-photo"]].concat())
        .exits(0)
        .says("Its photo is not kept");
    bench
        .run(&["approve", "with"])
        .exits(0)
        .does_not_say("is not kept");
    bench
        .run(&["approve", "without"])
        .exits(0)
        .says("The photo of `without` is not kept, and a replacement years on needs it");
    bench.photo("other.jpg", &ALIKE);
    bench
        .run(&["note", "without", "--photo", "other.jpg"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("is not the one that was read");
    bench
        .run(&["note", "without", "--photo", "panel.jpg"])
        .exits(0)
        .says("Its photo is kept too: 0.");
    bench
        .run(&["approve", "without"])
        .exits(0)
        .does_not_say("is not kept");
    bench.run(&["verify"]).exits(0).says("2 photos");
    let size = std::fs::metadata(bench.path("panel.jpg")).unwrap().len();
    for name in ["with", "without"] {
        let shown = bench.run(&["show", name, "--json"]).exits(0).json();
        assert_eq!(shown["photo_bytes"], size, "{name}");
    }
    bench
        .run(&[&keep[..], &["x", "--with-photo", "--no-photo"]].concat())
        .exits(2);
}

#[test]
fn what_is_written_beside_a_photo_is_said_and_read_with_it() {
    let bench = Bench::with_sample();
    bench.bare_photo("panel.jpg", &SAMPLE);
    let said = ["--size", "100x100mm", "--rig", "corner", "--stage", "dry"];
    bench
        .run(&[&["check", "panel.jpg", "--write-place"], &said[..]].concat())
        .exits(0)
        .quietly()
        .says("Written to panel.jpg.place.json: size 100 x 100 mm, corners, 1 patch, seen from the front, stage dry, not painted, rig `corner`.");
    let written: serde_json::Value =
        serde_json::from_slice(&bench.bytes("panel.jpg.place.json")).unwrap();
    assert_eq!(written["rig"], "corner");
    assert_eq!(
        (&written["stage"], &written["side"]),
        (&"dry".into(), &"front".into())
    );
    // Nothing of it is typed again.
    let found = bench
        .run(&["match", "panel.jpg", "--to", "signed", "--json"])
        .json();
    assert!(found["verdict"].is_string());
    let read = bench
        .run(&["measure", "panel.jpg", "--json"])
        .exits(0)
        .json();
    assert_eq!(read["rig"], "corner");
    assert_eq!(read["placement"]["stage"], "dry");
    bench.bare_photo("again.jpg", &SAMPLE);
    let seen = bench
        .run(
            &[
                &["check", "again.jpg", "--write-place", "--json"],
                &said[..],
            ]
            .concat(),
        )
        .exits(0)
        .json();
    assert_eq!(seen["wrote"]["rig"], "corner");
    assert_eq!(seen["wrote"]["file"], "again.jpg.place.json");
    assert!(seen["match_refuses"].is_null());
    // A rig that is not kept is named.
    bench.run(&["rig", "rename", "corner", "niche"]).exits(0);
    bench
        .run(&["measure", "panel.jpg"])
        .exits(2)
        .complains("no rig named `corner`");
}

#[test]
fn where_match_would_refuse_a_picture_check_says_so() {
    let bench = Bench::with_sample();
    bench.photo("panel.jpg", &ALIKE);
    bench
        .run(&["match", "panel.jpg", "--to", "signed"])
        .exits(2)
        .complains("only against its own brightest parts");
    bench
        .run(&["check", "panel.jpg"])
        .exits(0)
        .quietly()
        .says("panel.jpg\n  Fit to judge by.")
        .says("  But match would refuse it");
    let seen = bench.run(&["check", "panel.jpg", "--json"]).exits(0).json();
    assert_eq!(seen["match_refuses"], "own_scale");
    bench
        .run(&["check", "panel.jpg", "--rig", "corner"])
        .exits(0)
        .does_not_say("would refuse");
}
