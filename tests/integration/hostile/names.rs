//! Names: of photos, finishes, rigs, ladders, and of what is to be written. Each is shown as text or refused in words, and
//! nothing is written but what was named. (Other systems than Unix take fewer names.)

use std::collections::BTreeSet;
use std::fs;

use super::tiny;
use crate::bench::{Bench, Ran};

/// As a name may be where it is free.
const ODD: [&str; 10] = [
    "two words",
    "it's \"quoted\"",
    "-rf",
    "--help",
    "🪞 mirror",
    "'; DROP TABLE finish; --",
    "<img src=x onerror=alert(1)>",
    "%s%n{}$(x)`x`",
    "a,b;c=1",
    "\u{202e}gpj.sample",
];

/// As none may be.
const UNFIT: [&str; 6] = [
    "",
    "   ",
    "two\nlines",
    "tab\tbed",
    "bell\u{7}",
    "\u{1b}[2J",
];

fn long() -> String {
    "long".repeat(1000)
}

fn photo(bench: &Bench, name: &str) {
    let (jpeg, placement) = tiny();
    bench.file(name, jpeg);
    bench.file(&format!("{name}.place.json"), placement);
}

/// What lies in the bench's folder.
fn lies(bench: &Bench) -> BTreeSet<String> {
    let name =
        |e: std::io::Result<fs::DirEntry>| e.unwrap().file_name().to_string_lossy().into_owned();
    fs::read_dir(bench.path(".")).unwrap().map(name).collect()
}

/// Refused in words: by the program or by the reading of the line, and without a crash.
#[track_caller]
fn refused(ran: Ran, name: &str) {
    let ran = ran.exits(2);
    assert!(ran.out.is_empty() && !ran.err.is_empty(), "{name}");
    assert!(
        !ran.err.contains("panicked") && !ran.err.contains('\u{1b}') && !ran.err.contains('\u{7}'),
        "{name}: {}",
        ran.err
    );
}

#[test]
fn photos_of_odd_names_are_read_kept_and_shown_by_them_as_text() {
    let bench = Bench::new();
    for name in ODD {
        let file = format!("{name}.jpg").replace('/', "_");
        photo(&bench, &file);
        // A file that looks like a flag is named by its place.
        let named = format!("./{file}");
        bench
            .run(&[
                "measure",
                &named,
                "--page",
                "page.html",
                "--csv",
                "table.csv",
                "--replace-file",
                "--json",
            ])
            .exits(0);
        let page = String::from_utf8(bench.bytes("page.html")).unwrap();
        assert!(!page.contains("<img src=x"), "{file}");
        if name.starts_with('<') {
            assert!(page.contains("&lt;img src=x"), "{file}");
        }
        bench.run(&["keep", &named, "--anyway"]).exits(0);
    }
    let listed = bench.run(&["list", "--json"]).exits(0).json_lines();
    assert_eq!(listed.len(), ODD.len());
    for (line, name) in listed.iter().zip(ODD) {
        assert_eq!(line["name"], name);
    }
    bench.run(&["verify"]).exits(0);
}

#[test]
fn finishes_rigs_and_ladders_of_odd_names_are_text_and_unfit_names_are_refused() {
    let bench = Bench::new();
    photo(&bench, "t.jpg");
    let long = long();
    for name in ODD {
        bench
            .run(&["keep", "t.jpg", &format!("--name={name}"), "--anyway"])
            .exits(0);
        bench.run(&["approve", "--", name]).exits(0);
        bench
            .run(&["show", "--page=page.html", "--replace-file", "--", name])
            .exits(0)
            .says(&paneprint::words::line(name));
        let page = String::from_utf8(bench.bytes("page.html")).unwrap();
        assert!(!page.contains("<img src=x"), "{name}");
        bench.run(&["sheet", &format!("--for={name}"), "--out=sign.html"]);
    }
    bench.run(&["verify"]).exits(0).says("10 approved samples");
    let before = lies(&bench);
    for name in UNFIT.iter().copied().chain([&*long]) {
        let flag = format!("--name={name}");
        refused(bench.run(&["keep", "t.jpg", &flag, "--anyway"]), name);
        refused(
            bench.run(&["rig", "make", "--plain", "t.jpg", "--", name]),
            name,
        );
        refused(bench.run(&["show", "--", name]), name);
        refused(bench.run(&["approve", "--", name]), name);
        refused(
            bench.run(&["ladder", "make", "--", name, "light=two words", "heavy=-rf"]),
            name,
        );
        refused(
            bench.run(&[
                "ladder",
                "make",
                "--",
                "wear",
                &format!("{name}=two words"),
                "heavy=-rf",
            ]),
            name,
        );
        refused(bench.run(&["ladder", "show", "--", name]), name);
        refused(
            bench.run(&["measure", "t.jpg", &format!("--rig={name}")]),
            name,
        );
    }
    assert_eq!(lies(&bench), before);
    assert_eq!(
        bench.run(&["list", "--json"]).exits(0).json_lines().len(),
        ODD.len()
    );
}

#[test]
fn what_is_written_is_what_was_named_and_nothing_beside_it() {
    let bench = Bench::new();
    photo(&bench, "t.jpg");
    fs::create_dir(bench.path("in")).unwrap();
    for name in ODD {
        let before = lies(&bench);
        let [csv, page, png] = ["csv", "html", "png"].map(|end| format!("in/../{name}.{end}"));
        bench
            .run(&[
                "measure",
                "t.jpg",
                &format!("--csv={csv}"),
                &format!("--page={page}"),
                &format!("--picture={png}"),
                "--json",
            ])
            .exits(0);
        let new: BTreeSet<String> = lies(&bench).difference(&before).cloned().collect();
        let named: BTreeSet<String> = ["csv", "html", "png"]
            .iter()
            .map(|end| format!("{name}.{end}"))
            .collect();
        assert_eq!(new, named);
    }
    // Where nothing can be written, nothing is left.
    photo(&bench, "kept.jpg");
    bench.run(&["keep", "kept.jpg", "--anyway"]).exits(0);
    let before = lies(&bench);
    let (archive, kept) = (bench.bytes("archive.sqlite"), bench.bytes("kept.jpg"));
    let long = format!("{}.png", long());
    for flag in ["csv", "page", "picture"] {
        for file in [
            "in",
            "none/x",
            "t.jpg/x",
            "archive.sqlite",
            "kept.jpg",
            "t.jpg",
            &*long,
        ] {
            let ran = bench
                .run(&["measure", "t.jpg", "--json", &format!("--{flag}={file}")])
                .exits(2);
            assert!(ran.err.lines().count() == 2, "{flag} {file}: {}", ran.err);
        }
    }
    assert_eq!(lies(&bench), before);
    assert!(bench.bytes("archive.sqlite") == archive && bench.bytes("kept.jpg") == kept);
    assert!(fs::read_dir(bench.path("in")).unwrap().next().is_none());
}

#[test]
fn exports_and_backups_go_where_they_were_told_and_nowhere_else() {
    let bench = Bench::new();
    photo(&bench, "t.jpg");
    for name in ODD
        .iter()
        .copied()
        .chain(["../../up", "/etc/passwd", "con", ".."])
    {
        bench
            .run(&[
                "keep",
                "t.jpg",
                &format!("--name={name}"),
                "--anyway",
                "--with-photo",
            ])
            .exits(0);
    }
    for name in ODD {
        let before = lies(&bench);
        bench.run(&["export", "--with-photo", "--", name]).exits(0);
        bench
            .run(&["backup", "--", &format!("{name}.sqlite")])
            .exits(0);
        let new: BTreeSet<String> = lies(&bench).difference(&before).cloned().collect();
        assert_eq!(
            new,
            BTreeSet::from([name.to_owned(), format!("{name}.sqlite")])
        );
        let within = bench.path(name).join("finishes");
        assert_eq!(fs::read_dir(within).unwrap().count(), ODD.len() + 4);
        bench
            .run_bare(&["--archive", "other.sqlite", "import", "--", name])
            .exits(0);
        fs::remove_file(bench.path("other.sqlite")).unwrap();
    }
    for args in [
        ["export", "archive.sqlite"],
        ["backup", "archive.sqlite"],
        ["export", "t.jpg"],
        ["backup", "none/x"],
    ] {
        let before = lies(&bench);
        bench.run(&args).exits(2).refuses_in_two_lines();
        assert_eq!(lies(&bench), before);
    }
}

/// Whatever is kept must leave and come back.
#[test]
fn what_was_kept_of_photos_and_words_of_any_kind_comes_back() {
    let bench = Bench::new();
    let long = format!("{}.jpg", "n".repeat(240));
    for (i, (file, words)) in [
        ("two\nlines.jpg", "two\nlines"),
        ("red\u{1b}[31m.jpg", "red \u{1b}[31m"),
        (&*long, &*"word ".repeat(20_000)),
        ("\u{202e}gpj.jpg", ""),
        ("bell\u{7}.jpg", "bell \u{7}"),
    ]
    .into_iter()
    .enumerate()
    {
        bench.file(file, tiny().0);
        let place = ["--size", "40x40mm"];
        let ran = bench.run(
            &[
                &[
                    "keep",
                    file,
                    &format!("--name=n{i}"),
                    &format!("--notes={words}"),
                    "--anyway",
                    "--with-photo",
                ],
                &place[..],
            ]
            .concat(),
        );
        assert!(
            !ran.out.contains('\u{1b}') && !ran.out.contains('\u{7}'),
            "{file:?}: {}",
            ran.out
        );
        assert!(matches!(ran.code(), Some(0 | 2)), "{}", ran.err);
        bench
            .run(&[
                "keep",
                file,
                &format!("--name=m{i}"),
                "--anyway",
                place[0],
                place[1],
            ])
            .exits(0);
        bench.run(&["approve", &format!("m{i}")]).exits(0);
        let ran = bench.run(&[
            "match",
            file,
            "--to",
            &format!("m{i}"),
            "--anyway",
            place[0],
            place[1],
            "--overrule",
            "outside",
            &format!("--because={words}"),
        ]);
        assert!(!ran.out.contains('\u{1b}'), "{file:?}: {}", ran.out);
    }
    bench.run(&["export", "out", "--with-photo"]).exits(0);
    let ran = bench
        .run_bare(&["--archive", "new.sqlite", "import", "out"])
        .exits(0);
    assert!(ran.err.is_empty(), "{}", ran.err);
    // What was kept in one second comes back by name.
    let shown = |archive: &str| {
        let listed = bench
            .run_bare(&["--archive", archive, "list", "--json"])
            .exits(0)
            .out;
        let mut lines: Vec<String> = listed.lines().map(str::to_owned).collect();
        lines.sort();
        lines
    };
    assert_eq!(shown("new.sqlite"), shown("archive.sqlite"));
    assert!(!bench.run(&["list"]).out.contains('\u{1b}'));
}

#[cfg(target_os = "linux")]
#[test]
fn a_name_that_is_no_text_is_a_file_all_the_same() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt as _;
    use std::process::Command;

    let bench = Bench::new();
    let name = OsStr::from_bytes(b"pa\xffnel\xfe.jpg");
    let (jpeg, placement) = tiny();
    fs::write(bench.path(".").join(name), jpeg).unwrap();
    let mut beside = name.to_owned();
    beside.push(".place.json");
    fs::write(bench.path(".").join(&beside), placement).unwrap();
    let run = |args: &[&OsStr]| {
        let ran = Command::new(crate::bench::PROGRAM)
            .args(["--archive", "archive.sqlite"])
            .args(args)
            .current_dir(bench.path("."))
            .output()
            .unwrap();
        (
            ran.status.code(),
            String::from_utf8(ran.stdout).unwrap(),
            String::from_utf8(ran.stderr).unwrap(),
        )
    };
    let word = OsStr::new;
    let page = OsStr::from_bytes(b"--page=p\xff.html");
    let (code, out, err) = run(&[word("measure"), name, word("--json"), page]);
    assert_eq!((code, &*err), (Some(0), ""));
    assert!(out.contains("pa\u{fffd}nel\u{fffd}.jpg"));
    assert!(
        bench
            .path(".")
            .join(OsStr::from_bytes(b"p\xff.html"))
            .exists()
    );
    let (code, ..) = run(&[word("keep"), name, word("--anyway")]);
    assert_eq!(code, Some(0));
    // Where text is needed, it is asked for.
    let (code, _, err) = run(&[word("keep"), name, OsStr::from_bytes(b"--name=\xff")]);
    assert!(code == Some(2) && !err.contains("panicked"), "{err}");
    let (code, ..) = run(&[word("list")]);
    assert_eq!(code, Some(0));
}
