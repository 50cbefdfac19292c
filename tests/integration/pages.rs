//! Every sheet as its readers see it: on a wide screen, on a phone, on A4 and on Letter.

#![expect(
    clippy::print_stderr,
    reason = "a test that cannot look at anything says so"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use crate::bench::{self, Bench, Painted};
use crate::browser::{find, look};

/// The browser, found or installed once for all tests; none is said and passes.
fn browser() -> Option<&'static Path> {
    static FOUND: OnceLock<Option<PathBuf>> = OnceLock::new();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("scripts/browser");
    let found = FOUND.get_or_init(|| find(&script).unwrap());
    if found.is_none() {
        eprintln!("SKIPPED: no browser to look at the sheets with");
    }
    found.as_deref()
}

/// The sheets in a folder, by name.
fn sheets(folder: &Path) -> Vec<(String, String)> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "html"))
        .collect();
    files.sort();
    let read = |path: &PathBuf| {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        (name, fs::read_to_string(path).unwrap())
    };
    files.iter().map(read).collect()
}

#[track_caller]
fn nothing_is_wrong(pages: &[(String, String)]) {
    let Some(browser) = browser() else { return };
    let findings = look(browser, pages).unwrap();
    assert!(findings.is_empty(), "{findings:#?}");
}

#[test]
fn the_demos_sheets_are_fit_to_be_looked_at_and_printed() {
    let bench = Bench::new();
    let ran = bench.run_bare(&["demo", "--into", "told"]).exits(0);
    let pages = sheets(&bench.path("told"));
    assert_eq!(pages.len(), 13);
    for (name, html) in &pages {
        assert!(ran.out.contains(&format!("told/{name}")), "{name}");
        // A photo of 12 megapixels has larger pictures, but no more than twice as large: the sheet shrinks them.
        assert!(html.len() < 1_500_000, "{name}: {} bytes", html.len());
    }
    nothing_is_wrong(&pages);
}

#[test]
fn a_wall_of_many_and_names_full_of_signs_stay_whole() {
    let bench = Bench::with_sample();
    let panels: [(&str, &Painted); 6] = [
        ("a", &bench::ALIKE),
        ("b", &bench::LIGHTER),
        ("c", &bench::DARKER),
        ("d", &bench::DOUBTFUL),
        ("e", &bench::AGAIN[1]),
        ("f", &bench::PLAIN_AGAIN),
    ];
    let named = |name: &str| format!("<b>{name}</b> & \"the long panel by the stairs\" 'quoted'");
    for (name, painted) in panels {
        bench.keep(&named(name), painted);
    }
    let names = panels.map(|(name, _)| named(name));
    let mut set: Vec<&str> = vec!["set", "--to", "signed"];
    set.extend(names.iter().map(String::as_str));
    let row = [&set[..], &["--page", "row.html"]].concat();
    let wall = [&set[..], &["--wall", "3x2", "--page", "wall.html"]].concat();
    bench.run(&row);
    bench.run(&wall);
    bench.run(&[
        "match",
        &names[2],
        "--to",
        &names[1],
        "--page",
        "match.html",
    ]);
    bench
        .run(&["show", &names[3], "--page", "show.html"])
        .exits(0);
    let asked = ["find", &names[0], "--page", "near.html"];
    bench.run(&asked).exits(0);
    let recipe = ["--technique", "<i>poured</i>", "--page", "recipe.html"];
    let long = format!(
        "attack, 140 s, note: {}",
        "slowly from the left, ".repeat(40)
    );
    let unbroken = format!("rinse, note: {}", "silver".repeat(60));
    let steps = ["--step", &long, "--step", &unbroken, "--backing", "black"];
    bench
        .run(&[&["recipe", &names[0]][..], &recipe, &steps].concat())
        .exits(0);
    let none = ["recipe", &names[1], "--page", "no-recipe.html"];
    bench.run(&none).exits(0);
    let job = ["--job", "<i>stairs</i>", "--page", "sign.html"];
    bench
        .run(&[&["sheet", "--for", &names[0]][..], &job].concat())
        .exits(0);
    let pages = sheets(bench.path("").as_path());
    assert_eq!(pages.len(), 8);
    for (name, html) in &pages {
        assert!(
            !html.contains("<b>a</b>") && !html.contains("<i>"),
            "{name}"
        );
    }
    nothing_is_wrong(&pages);
}

#[test]
fn an_odd_panel_keeps_its_number_and_its_marks() {
    let bench = Bench::with_rig();
    let panels: [(&str, &Painted); 6] = [
        ("a", &bench::SAMPLE),
        ("b", &bench::AGAIN[0]),
        ("odd", &bench::DARKER),
        ("d", &bench::AGAIN[1]),
        ("e", &bench::AGAIN[2]),
        ("f", &bench::ALIKE),
    ];
    for (name, painted) in panels {
        bench.keep(name, painted);
    }
    let names = panels.map(|(name, _)| name);
    let asked = [&["set"][..], &names, &["--page", "set.html"]].concat();
    let ran = bench.run(&[&asked[..], &["--json"]].concat()).exits(1);
    let found = ran.json();
    assert_eq!(found["remake"], serde_json::json!(["odd"]));
    let html = String::from_utf8(bench.bytes("set.html")).unwrap();
    let in_order = html.split_once("In the order they were made").unwrap().1;
    assert_eq!(in_order.matches("which stands apart").count(), 1);
    for said in ["; panel 6 ", "A ring marks a panel that stands apart"] {
        assert!(in_order.contains(said), "{said}");
    }
    let third = in_order.split_once("; panel 3 ").unwrap().1;
    let figure = third.split_once(", which stands apart").unwrap().0;
    let silver = html.matches(figure).count();
    assert!(silver > 1, "{figure} is not written at the scale");
    for said in [
        "A thick frame: ",
        "A black corner: ",
        ">remake<",
        " · remake",
    ] {
        assert!(html.contains(said), "{said}");
    }
    assert!(!html.contains("A white corner: "));
    nothing_is_wrong(&[("set.html".to_owned(), html)]);
}

#[test]
fn a_reading_of_an_unfit_picture_says_so_under_its_heading() {
    let bench = Bench::with_rig();
    bench.photo("bright.jpg", &bench::BRIGHT);
    bench.photo("panel.jpg", &bench::SAMPLE);
    let says = "</h1><p>The picture was not fit to judge by, and was read because you said so";
    for (photo, unfit) in [("bright.jpg", true), ("panel.jpg", false)] {
        let asked = [
            "measure",
            photo,
            "--rig",
            "corner",
            "--anyway",
            "--replace-file",
            "--page",
            "read.html",
        ];
        bench.run(&asked).exits(0);
        let html = String::from_utf8(bench.bytes("read.html")).unwrap();
        assert_eq!(html.contains(says), unfit, "{photo}");
    }
}

#[test]
fn an_effect_is_drawn_and_so_is_that_there_are_too_few_panels() {
    let bench = bench::attacked(6);
    let near = ["--near", "20", "--page", "effect.html"];
    let asked = ["effect", "aggressiveness", "--of", "attack seconds"];
    bench.run(&[&asked[..], &near].concat()).exits(0);
    let few = bench::attacked(2);
    let page = ["--page", "few.html"];
    few.run(&[&asked[..], &page].concat()).exits(0);
    let mut pages = sheets(bench.path("").as_path());
    pages.extend(sheets(few.path("").as_path()));
    assert_eq!(pages.len(), 2);
    nothing_is_wrong(&pages);
}

#[test]
fn a_recipe_card_is_one_page_and_says_what_was_written() {
    let bench = Bench::with_sample();
    let step = "attack, 140 s, 30 ml, 21 C, rocked, dried with warm air";
    let mut asked = vec!["recipe", "signed", "--technique", "poured still"];
    for _ in 0..6 {
        asked.extend(["--step", step]);
    }
    asked.extend([
        "--backing",
        "two coats of black",
        "--change",
        "stop earlier",
    ]);
    asked.extend(["--page", "recipe.html"]);
    bench.run(&asked).exits(0);
    let html = String::from_utf8(bench.bytes("recipe.html")).unwrap();
    for said in [
        "poured still",
        "<b>attack</b>, 140 s, 30 ml, 21 °C, rocked",
        "two coats of black",
        "stop earlier",
        "silver is left",
        "never store it",
    ] {
        assert!(html.contains(said), "{said}");
    }
    let Some(browser) = browser() else { return };
    let printed = crate::browser::sheets_of_paper(browser, &html).unwrap();
    assert_eq!(printed, [("A4", 1), ("Letter", 1)]);
}

#[test]
fn what_the_client_signs_is_one_page_and_holds_no_figures_of_the_programs() {
    let bench = Bench::with_sample();
    bench.keep("pale", &bench::LIGHTER);
    bench.keep("deep", &bench::DARKER);
    bench
        .run(&[
            "approve",
            "signed",
            "--light",
            "pale",
            "--dark",
            "deep",
            "--variety",
            "slight",
        ])
        .exits(0);
    let asked = [
        "sheet",
        "--for",
        "signed",
        "--client",
        "the client",
        "--page",
        "sign.html",
    ];
    bench
        .run(&asked)
        .exits(0)
        .says("sign.html. Print it at 100 % on one page, and sign it.")
        .does_not_say("ruler");
    let html = String::from_utf8(bench.bytes("sign.html")).unwrap();
    for said in [
        "exact match not promised",
        "pale",
        "deep",
        "slight",
        "the client",
        "For the client",
        "The signed sample",
    ] {
        assert!(html.contains(said), "{said}");
    }
    for figure in ["aggressiveness", "silver left", "coverage", "per cm²"] {
        assert!(!html.contains(figure), "{figure}");
    }
    let Some(browser) = browser() else { return };
    let printed = crate::browser::sheets_of_paper(browser, &html).unwrap();
    assert_eq!(printed, [("A4", 1), ("Letter", 1)]);
}

#[test]
fn what_the_client_signs_stays_one_page_however_much_is_written() {
    let bench = Bench::with_sample();
    bench.keep("the palest of the pieces made in spring", &bench::LIGHTER);
    bench.keep("the darkest of the pieces made in spring", &bench::DARKER);
    let limits = [
        "--light",
        "the palest of the pieces made in spring",
        "--dark",
        "the darkest of the pieces made in spring",
    ];
    bench
        .run(&[&["approve", "signed", "--variety", "slight"][..], &limits].concat())
        .exits(0);
    let line = "the long landing by the stairs, seen from the front door late in the afternoon, lamps lit and curtains drawn";
    assert!(line.len() >= 105, "{}", line.len());
    let asked = [
        "--job",
        "--client",
        "--room",
        "--level",
        "--fixed",
        "--may-vary",
        "--glass",
        "--safety-backing",
        "--panels",
        "--lighting",
        "--kept-by",
        "--finish",
    ];
    let Some(browser) = browser() else { return };
    let mut pages = Vec::new();
    for lines in [0, 5, 6, 10, 12] {
        let mut sheet = vec!["sheet", "--for", "signed", "--viewed-from", "6ft"];
        for name in &asked[..lines] {
            sheet.extend([*name, line]);
        }
        sheet.extend(["--page", "sign.html"]);
        bench.run(&sheet).exits(0);
        let html = String::from_utf8(bench.bytes("sign.html")).unwrap();
        assert!(html.contains("1.83 m, upright"), "{lines}");
        let printed = crate::browser::sheets_of_paper(browser, &html).unwrap();
        assert_eq!(printed, [("A4", 1), ("Letter", 1)], "{lines} lines");
        pages.push((format!("{lines} lines"), html));
    }
    nothing_is_wrong(&pages);
}

#[test]
fn a_sample_is_not_called_signed_before_it_is_approved() {
    let bench = Bench::with_rig();
    bench.keep("hopeful", &bench::SAMPLE);
    let asked = ["sheet", "--for", "hopeful", "--page", "sign.html"];
    bench.run(&asked).exits(0);
    let html = String::from_utf8(bench.bytes("sign.html")).unwrap();
    assert!(html.contains("<b>The sample</b>: hopeful"));
    assert!(!html.contains("signed sample"));
}

#[test]
fn a_match_says_what_to_do_then_shows_both_and_prints_on_two_pages() {
    let bench = Bench::with_sample();
    bench.keep("deep", &bench::DARKER);
    let asked = ["match", "deep", "--to", "signed", "--page", "match.html"];
    bench.run(&asked).exits(1);
    let html = String::from_utf8(bench.bytes("match.html")).unwrap();
    let at = |said: &str| html.find(said).unwrap_or_else(|| panic!("no {said}"));
    let order = [
        "<h1>Strip it, or use it elsewhere.",
        "Outside: darker than",
        "Side by side, at one scale",
        "Lost silver does not come back",
        "Before any work",
        "Where they differ",
        "Each measure, and how far it may go",
    ];
    let places = order.map(at);
    assert!(places.is_sorted(), "{places:?}");
    // A reading and a match speak of one level of confidence.
    bench.run(&["show", "deep", "--page", "show.html"]).exits(0);
    let reading = String::from_utf8(bench.bytes("show.html")).unwrap();
    for page in [&html, &reading] {
        assert!(page.contains("95 times in 100") && !page.contains("90 times"));
    }
    let Some(browser) = browser() else { return };
    let printed = crate::browser::sheets_of_paper(browser, &html).unwrap();
    assert_eq!(printed[0], ("A4", 2));
}
