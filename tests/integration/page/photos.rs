//! From the photo to the verdict, and from there into the archive.

use std::fs;

use super::served::Served;
use crate::bench::{ALIKE, Bench, DARKER, LIGHTER, SAMPLE};

/// What a maker would have chosen.
const CHOSEN: [(&str, &str); 5] = [
    ("sample", "signed"),
    ("rig", "corner"),
    ("width", "100"),
    ("height", "100"),
    ("stage", "dry"),
];

/// Bytes of a page without its pictures, before they are packed for the way.
const MOST_BYTES: usize = 200_000;

#[test]
fn a_good_photo_comes_to_its_verdict_and_into_the_archive() {
    let bench = Bench::with_sample();
    let served = Served::open(&bench);
    served.get("/").is(200).says("signed").says("corner");
    let camera = served
        .get("/photograph?sample=signed&rig=corner&width=100&height=100&stage=dry")
        .is(200);
    let camera = camera
        .says("beside ‘signed’ · rig ‘corner’ · 100 x 100 mm")
        .says("capture=\"environment\"");
    assert!(camera.body.len() < MOST_BYTES);
    let sent = served.send(&CHOSEN, &[ALIKE.jpeg()]).is(303);
    let at = sent.header("location").unwrap().to_owned();
    assert_eq!(at, "/photo/1");
    let page = served.answered(&at);
    let text = page.text();
    assert!(page.body.len() < MOST_BYTES, "{} bytes", page.body.len());
    // The same words as on the command line.
    bench.bare_photo("alike.jpg", &ALIKE);
    let line = [
        "match",
        "alike.jpg",
        "--to",
        "signed",
        "--rig",
        "corner",
        "--size",
        "100x100mm",
        "--stage",
        "dry",
        "--json",
    ];
    let said = bench.run(&line).json();
    let quoted = |words: &str| {
        let mut open = false;
        let curly = |c| match c {
            '`' => {
                open = !open;
                if open { '‘' } else { '’' }
            }
            c => c,
        };
        words
            .replace("alike.jpg", "photo 1")
            .chars()
            .map(curly)
            .collect::<String>()
    };
    for words in said["words"].as_array().unwrap() {
        let words = quoted(words.as_str().unwrap());
        assert!(text.contains(&words), "no `{words}` in\n{text}");
    }
    for part in [
        "Side by side",
        "One swept over the other",
        "What was found in the photo",
        "Every figure",
    ] {
        assert!(text.contains(part), "{part}");
    }
    // Its pictures are files of their own, and there.
    let pictures: Vec<&str> = text
        .split("src=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect();
    assert!(pictures.len() > 4, "{pictures:?}");
    for picture in pictures
        .into_iter()
        .filter(|address| address.ends_with(".jpg"))
    {
        assert!(
            served.get(picture).is(200).body.starts_with(b"\xff\xd8"),
            "{picture}"
        );
    }
    // Kept once, under a name that is free.
    served
        .post("/photo/1/keep", "name=signed")
        .is(409)
        .says("already kept");
    served.post("/photo/1/keep", "name=+").is(422);
    served
        .post("/photo/1/keep", "name=bar+%261&notes=by+the+window")
        .is(303);
    served.post("/photo/1/keep", "name=twice").is(409);
    served.get("/photo/1").is(200).says("Kept as");
    served
        .get("/archive?words=window")
        .is(200)
        .says("bar &amp;1");
    served
        .get("/archive?words=nothing+like+it")
        .is(200)
        .says("Nothing is kept that fits");
    let finish = served
        .get("/finish?name=bar%20%261")
        .is(200)
        .says("by the window");
    assert!(
        finish.body.len() < MOST_BYTES,
        "{} bytes",
        finish.body.len()
    );
    assert!(
        served
            .get("/small?name=bar%20%261")
            .is(200)
            .body
            .starts_with(b"\x89PNG")
    );
    served
        .get("/archive?like=bar%20%261")
        .is(200)
        .says("signed");
    let kept = bench.run(&["list", "--json"]).json_lines();
    let kept = kept
        .iter()
        .find(|finish| finish["name"] == "bar &1")
        .unwrap();
    assert_eq!(kept["notes"], "by the window");
    // The maker's own decision is remembered with its reason, and told on the command line too.
    served
        .post("/photo/1/decide", "verdict=outside&because=+")
        .is(422);
    served
        .post(
            "/photo/1/decide",
            "verdict=outside&because=hangs+in+the+sun",
        )
        .is(303);
    served.answered("/photo/1").says("hangs in the sun");
    served.get("/photos").is(200).says("outside");
    let told = bench.run(&line).json();
    assert_eq!(told["overruled"]["because"], "hangs in the sun");
    // Thrown away, the photo goes and what is kept stays.
    served.post("/photo/1/away", "").is(303);
    served.get("/photo/1").is(404).says("no longer held");
    bench.run(&["verify"]).exits(0);
}

#[test]
fn several_photos_stand_in_a_queue_that_says_where_each_is() {
    let bench = Bench::with_sample();
    let served = Served::open(&bench);
    let mut news = served.connect();
    std::io::Write::write_all(
        &mut news,
        format!("{}\r\n", served.head("GET", "/live")).as_bytes(),
    )
    .unwrap();
    let sent = served
        .send(&CHOSEN, &[LIGHTER.jpeg(), DARKER.jpeg(), b"no photo"])
        .is(303);
    assert_eq!(sent.header("location"), Some("/photos"));
    for number in 1..=3 {
        served.answered(&format!("/photo/{number}"));
    }
    let all = served
        .get("/photos")
        .is(200)
        .says("All are answered")
        .says("outside")
        .says("not answered");
    let places = ["photo 3", "photo 2", "photo 1"].map(|photo| all.text().find(photo).unwrap());
    assert!(places.is_sorted(), "the newest first: {places:?}");
    // An open page hears of each as it comes.
    let mut heard = vec![0; 4096];
    let mut told = String::new();
    while !["data: 1", "data: 2", "data: 3"]
        .iter()
        .all(|photo| told.contains(photo))
    {
        let n = std::io::Read::read(&mut news, &mut heard).unwrap();
        assert!(n > 0, "{told}");
        told += &String::from_utf8_lossy(&heard[..n]);
    }
    assert!(told.contains("text/event-stream"), "{told}");
}

#[test]
fn without_a_size_it_is_asked_for_and_without_a_sample_the_photo_is_read() {
    let bench = Bench::with_rig();
    let served = Served::open(&bench);
    served.get("/").is(200).says("Nothing is kept yet");
    let sent = served
        .send(&[("sample", ""), ("rig", "corner")], &[SAMPLE.jpeg()])
        .is(303);
    let at = sent.header("location").unwrap().to_owned();
    served
        .answered(&at)
        .says("Type the panel")
        .says("name=\"width\"");
    served
        .post(&format!("{at}/again"), "width=100&height=")
        .is(422)
        .says("type both sides");
    served
        .post(&format!("{at}/again"), "width=100&height=100")
        .is(303);
    served
        .answered(&at)
        .says("reading sheet")
        .says("Keep this panel");
    served
        .post(&format!("{at}/keep"), "name=first&with_photo=yes")
        .is(303);
    served.post("/finish/approve", "name=none").is(404);
    served.post("/finish/approve", "name=first").is(303);
    served.get("/").is(200).says("approved");
    bench.run(&["list"]).says("first").says("approved");
}

#[test]
fn a_job_stands_first_and_its_panel_is_kept_by_its_number() {
    let bench = Bench::with_sample();
    let job = [
        "job", "new", "stairs", "--sample", "signed", "--rig", "corner",
    ];
    let job = [&job[..], &["--size", "100x100mm", "--stage", "dry"]].concat();
    bench.run(&job).exits(0);
    let served = Served::open(&bench);
    let camera = "/photograph?job=stairs&amp;sample=signed&amp;rig=corner&amp;width=100&amp;height=100&amp;stage=dry";
    served.get("/").is(200).says(camera);
    let chosen = [&[("job", "stairs")], &CHOSEN[..]].concat();
    let sent = served.send(&chosen, &[ALIKE.jpeg()]).is(303);
    let at = sent.header("location").unwrap().to_owned();
    served.answered(&at).says("Leave it as it is.");
    let keep = format!("{at}/keep");
    served.post(&keep, "name=&notes=&with_photo=yes").is(303);
    served.get(&at).is(200).says("‘stairs-1’");
    bench.run(&["job"]).exits(0).says("Panels: 1: stairs-1");
    // Outside a job a panel has a name or is not kept.
    let sent = served.send(&CHOSEN, &[LIGHTER.jpeg()]).is(303);
    let at = sent.header("location").unwrap().to_owned();
    served.answered(&at);
    served.post(&format!("{at}/keep"), "name=").is(422);
}

#[test]
fn corners_and_card_set_by_hand_are_what_the_photo_is_read_by() {
    let bench = Bench::with_sample();
    let served = Served::open(&bench);
    let at = served
        .send(&CHOSEN, &[ALIKE.jpeg()])
        .is(303)
        .header("location")
        .unwrap()
        .to_owned();
    served.answered(&at);
    served
        .get(&format!("{at}/corners"))
        .is(200)
        .says("data-width=\"1000\" data-height=\"800\"")
        .says("as it was found");
    assert!(
        served
            .get(&format!("{at}/large.jpg"))
            .is(200)
            .body
            .starts_with(b"\xff\xd8")
    );
    // Far off the panel: it is said, and can be mended.
    let crossed = "ax=10&ay=10&bx=10&by=500&cx=500&cy=10&dx=500&dy=500&card=found";
    served.post(&format!("{at}/again"), crossed).is(303);
    served
        .answered(&at)
        .says("Photograph it again")
        .says("Set the corners by hand");
    let corners = ALIKE.corners();
    let fields = corners
        .split(' ')
        .zip(["a", "b", "c", "d"])
        .map(|(corner, letter)| {
            let (x, y) = corner.split_once(',').unwrap();
            format!("{letter}x={x}&{letter}y={y}&")
        });
    let form = fields.collect::<String>() + "card=grey&" + &card(&ALIKE.patch());
    served.post(&format!("{at}/again"), &form).is(303);
    served
        .answered(&at)
        .says("The corners of the panel were given")
        .says("Side by side");
}

/// A card's two corners as the form has them, from what `--patch` takes.
fn card(patch: &str) -> String {
    let figures = patch
        .strip_prefix("grey:")
        .unwrap()
        .split(',')
        .map(|v| v.parse::<f64>().unwrap());
    let [x, y, w, h] = figures.collect::<Vec<_>>()[..] else {
        panic!("{patch}")
    };
    format!("px={x}&py={y}&qx={}&qy={}", x + w, y + h)
}

#[test]
fn uploads_go_with_the_bench_and_a_killed_ones_with_the_next() {
    let bench = Bench::new();
    let open = || {
        let served = Served::open(&bench);
        let at = served
            .send(&[("sample", "")], &[SAMPLE.jpeg()])
            .is(303)
            .header("location")
            .unwrap()
            .to_owned();
        served.answered(&at);
        assert!(
            served
                .passing()
                .iter()
                .any(|file| file.ends_with("photo 1"))
        );
        served
    };
    let passing = || fs::read_dir(bench.path("passing")).unwrap().count();
    open().end();
    assert_eq!(passing(), 0);
    open().kill();
    assert_eq!(passing(), 1);
    // While one is open another clears away what is left, and leaves that one alone.
    let still = open();
    assert_eq!(passing(), 1);
    let other = open();
    assert_eq!(passing(), 2);
    still.end();
    other.end();
    assert_eq!(passing(), 0);
}
