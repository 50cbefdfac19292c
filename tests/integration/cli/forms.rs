//! One answer in all its forms: words and table, words alone, JSON, CSV, a sheet.

use paneprint::fingerprint::metric::figures;

use crate::bench::{self, Bench};

#[test]
fn the_table_for_a_spreadsheet_holds_what_the_json_does() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &bench::SAMPLE);
    let asked = [
        "measure",
        "panel.jpg",
        "--rig",
        "corner",
        "--json",
        "--csv",
        "out.csv",
    ];
    let json = bench.run(&asked).exits(0).json();
    let mut table = csv::Reader::from_path(bench.path("out.csv")).unwrap();
    let heads = table.headers().unwrap().clone();
    assert_eq!(
        heads.iter().take(7).collect::<Vec<_>>(),
        ["photo", "measure", "title", "value", "low", "high", "unit"]
    );
    let lines: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    let measures = json["measures"].as_object().unwrap();
    assert_eq!(lines.len(), measures.len());
    for (line, (key, measure)) in lines.iter().zip(measures) {
        assert_eq!((&line[0], &line[1]), ("panel.jpg", key.as_str()));
        // A measure without a figure has an empty cell.
        let value: Option<f64> = line[3].parse().ok();
        let wanted = measure["value"].as_f64();
        assert_eq!(value.is_some(), wanted.is_some(), "{key}");
        let off = value.unwrap_or(0.0) - wanted.unwrap_or(0.0);
        assert!(off.abs() < 1e-12, "{key}");
    }
}

#[test]
fn several_photos_share_a_table() {
    let bench = Bench::with_rig();
    bench.photo("a.jpg", &bench::SAMPLE);
    bench.photo("b, \"b\".jpg", &bench::ALIKE);
    let asked = [
        "keep",
        "a.jpg",
        "b, \"b\".jpg",
        "--rig",
        "corner",
        "--csv",
        "out.csv",
    ];
    bench.run(&asked).exits(0);
    let mut table = csv::Reader::from_path(bench.path("out.csv")).unwrap();
    let photos: Vec<String> = table
        .records()
        .map(|line| line.unwrap()[0].to_owned())
        .collect();
    let rows = 2 * figures().count();
    assert_eq!(photos.len(), rows);
    assert_eq!(
        (photos[0].as_str(), photos[rows - 1].as_str()),
        ("a.jpg", "b, \"b\".jpg")
    );
}

#[test]
fn a_set_is_a_line_a_panel() {
    let bench = Bench::with_sample();
    for (name, painted) in [
        ("a", &bench::ALIKE),
        ("b", &bench::DARKER),
        ("c", &bench::LIGHTER),
    ] {
        bench.keep(name, painted);
    }
    bench.run(&["set", "a", "b", "c", "--csv", "out.csv"]);
    let text = String::from_utf8(bench.bytes("out.csv")).unwrap();
    assert!(text.starts_with("name,odd,why"), "{text}");
    assert_eq!(text.lines().count(), 4, "{text}");
}

#[test]
fn words_alone_hold_no_table_and_no_indent_but_all_that_is_said() {
    let bench = Bench::with_sample();
    bench.photo("panel.jpg", &bench::DARKER);
    let asked = [
        "match",
        "panel.jpg",
        "--to",
        "signed",
        "--rig",
        "corner",
        "--words",
    ];
    let ran = bench
        .run(&asked)
        .exits(1)
        .says("Outside: darker")
        .says("Caution: ");
    assert!(
        ran.out.lines().all(|line| !line.starts_with(' ')),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("may differ by"), "{}", ran.out);
    assert!(!ran.out.contains('\u{1b}'), "{}", ran.out);
}

#[test]
fn colour_is_for_terminals_only() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &bench::SAMPLE);
    let ran = bench
        .run(&["measure", "panel.jpg", "--rig", "corner"])
        .exits(0);
    assert!(!ran.out.contains('\u{1b}'), "{}", ran.out);
}

#[test]
fn a_picture_is_never_the_standard_output() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &bench::SAMPLE);
    let asked = ["measure", "panel.jpg", "--rig", "corner", "--picture", "-"];
    for table in [&[][..], &["--csv", "-"]] {
        let ran = bench.run(&[&asked[..], table].concat()).exits(2);
        assert!(ran.out.is_empty(), "{}", ran.out);
        ran.complains("expected .png");
    }
}

#[test]
fn a_sheet_leaves_the_answer_as_it_was_and_is_one_file() {
    let bench = Bench::with_sample();
    bench.photo("panel.jpg", &bench::DARKER);
    let asked = ["match", "panel.jpg", "--to", "signed", "--rig", "corner"];
    // The cautions are told in full once a day.
    bench.run(&asked).exits(1).says("never let it dry");
    let plain = bench.run(&asked).exits(1).out;
    let with_sheet = [&asked[..], &["--page", "sheet.html"]].concat();
    assert_eq!(bench.run(&with_sheet).exits(1).out, plain);
    let html = String::from_utf8(bench.bytes("sheet.html")).unwrap();
    for line in plain.lines().take(3) {
        let words: String = line.chars().take_while(|c| *c != '`').collect();
        assert!(html.contains(words.trim()), "{line}");
    }
    for fetched in ["http:", "https:", "<script", "<link", "url("] {
        let without_names = html.replace("http://www.w3.org/2000/svg", "");
        assert!(!without_names.contains(fetched), "{fetched}");
    }
    // The same again to the byte.
    bench.run(&with_sheet).exits(1);
    assert_eq!(bench.bytes("sheet.html"), html.as_bytes());
}

#[test]
fn a_sheet_that_cannot_be_written_is_said_before_the_answer() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &bench::SAMPLE);
    let asked = [
        "measure",
        "panel.jpg",
        "--rig",
        "corner",
        "--page",
        "nowhere/sheet.html",
    ];
    bench.run(&asked).exits(2).refuses_in_two_lines();
}

#[test]
fn one_sheet_shows_one_photo() {
    let bench = Bench::new();
    bench
        .run(&["measure", "a.jpg", "b.jpg", "--page", "sheet.html"])
        .exits(2)
        .refuses_in_two_lines();
}

#[test]
fn a_check_without_a_flaw_has_its_line_too() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &bench::SAMPLE);
    let asked = ["check", "panel.jpg", "--rig", "corner", "--csv", "out.csv"];
    bench.run(&asked).exits(0);
    let text = String::from_utf8(bench.bytes("out.csv")).unwrap();
    assert!(text.starts_with("photo,fit"), "{text}");
    assert!(text.contains("panel.jpg,true"), "{text}");
}

#[test]
fn a_photo_is_never_drawn_over_however_its_path_is_written() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &bench::SAMPLE);
    let png = image::load_from_memory(&bench.bytes("panel.jpg")).unwrap();
    png.save(bench.path("panel.png")).unwrap();
    std::fs::copy(
        bench.path("panel.jpg.place.json"),
        bench.path("panel.png.place.json"),
    )
    .unwrap();
    let before = bench.bytes("panel.png");
    for file in ["panel.png", "./panel.png"] {
        for asked in [
            ["measure", "panel.png", "--rig", "corner", "--picture", file],
            ["check", "panel.png", "--rig", "corner", "--picture", file],
        ] {
            bench.run(&asked).exits(2).refuses_in_two_lines();
            assert!(bench.bytes("panel.png") == before, "{asked:?}");
        }
    }
}

#[test]
fn a_dash_is_the_standard_output_and_the_words_go_beside_it() {
    let bench = Bench::with_sample();
    let show = ["show", "signed"];
    let words = bench.run(&show).exits(0).out;
    for (option, file) in [("--csv", "out.csv"), ("--page", "out.html")] {
        let to_file = [&show[..], &[option, file]].concat();
        assert_eq!(bench.run(&to_file).exits(0).out, words);
        let to_output = bench.run(&[&show[..], &[option, "-"]].concat()).exits(0);
        assert_eq!(to_output.out.as_bytes(), bench.bytes(file));
        assert_eq!(to_output.err.trim_end(), words.trim_end());
        assert!(!bench.path("-").exists());
        bench
            .run(&[&show[..], &[option, "-", "--json"]].concat())
            .exits(2)
            .refuses_in_two_lines();
    }
    bench
        .run(&[&show[..], &["--csv=-", "--page=-"]].concat())
        .exits(2)
        .refuses_in_two_lines();
}
