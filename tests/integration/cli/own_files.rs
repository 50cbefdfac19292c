//! Pages, tables and pictures: what was not made here for the same question is left alone, and without a name each gets its own.

use crate::bench::{ALIKE, Bench, DARKER};

fn bench() -> Bench {
    let bench = Bench::with_sample();
    std::fs::create_dir(bench.path("day")).unwrap();
    bench.photo("day/a.jpg", &ALIKE);
    bench.photo("day/b.jpg", &DARKER);
    bench
}

#[test]
fn a_file_of_ones_own_is_never_written_over_unless_that_is_said() {
    let bench = bench();
    let asked = |photo: &'static str, option: &'static str, file: &'static str| {
        [
            "match", photo, "--to", "signed", "--rig", "corner", option, file,
        ]
    };
    for (option, file) in [
        ("--page", "mine.html"),
        ("--csv", "mine.csv"),
        ("--picture", "mine.png"),
    ] {
        bench.file(file, "My own notes, with a comma\n");
        bench
            .run(&asked("day/a.jpg", option, file))
            .complains("a file of that name is there")
            .complains("--replace-file");
        assert_eq!(bench.bytes(file), b"My own notes, with a comma\n");
        let replaced = [&asked("day/a.jpg", option, file)[..], &["--replace-file"]].concat();
        bench.run(&replaced).exits(0);
        // Asked once more it is written again; for another panel it is kept.
        bench.run(&asked("day/a.jpg", option, file)).exits(0);
        let made = bench.bytes(file);
        bench
            .run(&asked("day/b.jpg", option, file))
            .exits(2)
            .complains("a file of that name is there");
        assert!(bench.bytes(file) == made, "{file}");
    }
    // What may be meant as a panel is no name of a page.
    bench
        .run(&asked("day/a.jpg", "--page", "b"))
        .exits(2)
        .complains("expected .html");
    assert!(!bench.path("b").exists());
}

#[test]
fn without_a_name_each_file_gets_one_of_its_own_beside_the_photo_or_in_the_jobs_folder() {
    let bench = bench();
    let asked = ["match", "day/a.jpg", "--to", "signed", "--rig", "corner"];
    let all = [&asked[..], &["--page", "--csv", "--picture"]].concat();
    bench
        .run(&all)
        .exits(0)
        .complains("Written: day/a-jpg-signed-match-sheet.html");
    for file in [
        "day/a-jpg-signed-match-sheet.html",
        "day/a-jpg-signed-match-sheet.csv",
        "day/a-jpg-counted.png",
    ] {
        assert!(bench.path(file).exists(), "{file}");
    }
    // Again: the same files. One's own of that name stays, and the sheet goes beside it.
    bench.run(&all).exits(0);
    bench.file("day/a-jpg-signed-match-sheet.html", "mine");
    bench.run(&all).exits(0).complains("match-sheet-2.html");
    assert_eq!(bench.bytes("day/a-jpg-signed-match-sheet.html"), b"mine");
    // A drawing is no photo of the folder.
    let read = ["measure", "day", "--rig", "corner", "--json", "--page"];
    assert_eq!(bench.run(&read).exits(0).json_lines().len(), 2);
    assert!(bench.path("day/b-jpg-reading-sheet.html").exists());
    bench
        .run(&[
            "job",
            "new",
            "bar",
            "--sample=signed",
            "--rig=corner",
            "--folder=sheets",
        ])
        .exits(0);
    bench.run(&["match", "day/b.jpg", "--page"]).exits(1);
    assert!(bench.path("sheets/b-jpg-signed-match-sheet.html").exists());
}
