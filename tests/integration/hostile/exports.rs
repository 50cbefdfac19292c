//! Exports that lead outside, wait for ever or have no end. What is wrong inside `finish.json` is asked in
//! `archive::exchange`; here it is what the files themselves are.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

use super::made::{header, png, zeros};
use super::{SOON, tiny};
use crate::bench::{Bench, Ran};

/// Empty folders in one export; each is refused, and told of once for all.
const MANY: usize = 2000;

/// A bench with an export of one finish in `out`, and a file that is nobody else's.
fn with_export() -> Bench {
    let bench = Bench::new();
    let (jpeg, placement) = tiny();
    bench.file("t.jpg", jpeg);
    bench.file("t.jpg.place.json", placement);
    bench
        .run(&["keep", "t.jpg", "--name=bar", "--anyway"])
        .exits(0);
    bench.run(&["export", "out"]).exits(0);
    bench.file("secret.png", "mine");
    bench
}

/// The folder of the only finish.
fn bar(bench: &Bench) -> PathBuf {
    let mut inside = fs::read_dir(bench.path("out/finishes")).unwrap();
    inside.next().unwrap().unwrap().path()
}

fn import(bench: &Bench) -> Ran {
    let begun = Instant::now();
    let ran = bench.run_bare(&["--archive", "new/archive.sqlite", "import", "out"]);
    assert!(begun.elapsed() < SOON);
    ran
}

/// Every file of the bench but the new archive, with its bytes.
fn others(bench: &Bench) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![bench.path(".")];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let facts = fs::symlink_metadata(&path).unwrap();
            if facts.is_dir() && !path.ends_with("new") {
                open.push(path);
            } else if facts.is_file() && facts.len() < 1 << 20 {
                found.insert(path.clone(), fs::read(path).unwrap());
            }
        }
    }
    found
}

/// Holds that an import wrote into its archive and nowhere else.
#[track_caller]
fn takes_nothing_else(bench: &Bench, said: &str) {
    let before = others(bench);
    import(bench).exits(2).complains(said);
    assert!(
        others(bench) == before,
        "something beside the archive has changed"
    );
    let new: Vec<_> = fs::read_dir(bench.path("new"))
        .unwrap()
        .map(|e| e.unwrap().file_name())
        .collect();
    assert_eq!(new, ["archive.sqlite"]);
    bench
        .run_bare(&["--archive", "new/archive.sqlite", "verify"])
        .exits(0);
    fs::remove_dir_all(bench.path("new")).unwrap();
}

/// Names a file in `finish.json`.
fn named(bench: &Bench, name: &str) {
    let file = bar(bench).join("finish.json");
    let text = fs::read_to_string(&file).unwrap();
    let name = serde_json::to_string(name).unwrap();
    fs::write(file, text.replace("\"silver.png\"", &name)).unwrap();
}

#[test]
fn file_names_that_lead_outside_are_refused() {
    for name in [
        "../../../secret.png",
        "/etc/passwd",
        "..",
        ".",
        "",
        "a/../../../../secret.png",
        "..\\secret.png",
        "C:\\secret.png",
        "silver.png\0",
        ".hidden",
        &"s".repeat(4000),
        "sílver.png",
        "silver.png:stream",
    ] {
        let bench = with_export();
        named(&bench, name);
        takes_nothing_else(&bench, "it names a file outside its folder");
    }
}

#[test]
fn a_file_without_end_is_not_read_to_it() {
    for (name, said) in [
        ("silver.png", "larger than 300 MiB"),
        ("finish.json", "larger than 16 MiB"),
    ] {
        let bench = with_export();
        let file = fs::File::create(bar(&bench).join(name)).unwrap();
        if file.set_len(10 << 30).is_err() {
            // A disk that keeps no file without its blocks.
            return;
        }
        takes_nothing_else(&bench, said);
    }
    let bench = with_export();
    fs::File::create(bench.path("out/rigs.json"))
        .unwrap()
        .set_len(10 << 30)
        .unwrap();
    takes_nothing_else(&bench, "rigs.json");
}

/// A map of a few megabytes that would take gigabytes once a sheet shows it.
#[test]
fn a_map_of_more_pixels_than_any_photo_has_is_refused() {
    let bench = with_export();
    let side = 26_000;
    let rows = zeros((side + 1) * side + 300);
    let map = png(&[
        (b"IHDR", &header(side as u32, side as u32, 0)),
        (b"IDAT", &rows),
        (b"IEND", &[]),
    ]);
    let digest = |bytes: &[u8]| blake3::hash(bytes).to_hex().to_string();
    let (file, finish) = (
        bar(&bench).join("silver.png"),
        bar(&bench).join("finish.json"),
    );
    let was = digest(&fs::read(&file).unwrap());
    let text = fs::read_to_string(&finish).unwrap();
    fs::write(finish, text.replace(&was, &digest(&map))).unwrap();
    fs::write(file, map).unwrap();
    takes_nothing_else(&bench, "it is no picture that opens");
}

#[test]
fn thousands_of_empty_entries_are_refused_in_few_lines_and_the_rest_comes_in() {
    let bench = with_export();
    for i in 0..MANY {
        fs::create_dir(bench.path(&format!("out/finishes/{i:07}"))).unwrap();
    }
    let ran = import(&bench).exits(2).says("1 finish kept, 2000 refused.");
    assert!(
        ran.err.lines().count() < 60,
        "{} lines",
        ran.err.lines().count()
    );
    bench
        .run_bare(&["--archive", "new/archive.sqlite", "list"])
        .exits(0)
        .says("bar");
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::os::unix::fs::symlink;

    const NOT_PLAIN: &str = "it is a link, a folder or a device";

    fn pipe(at: &Path) {
        let made = std::process::Command::new("mkfifo")
            .arg(at)
            .status()
            .unwrap();
        assert!(made.success());
    }

    #[test]
    fn links_and_pipes_are_not_followed() {
        for what in ["finish.json", "silver.png", "picture.png"] {
            let bench = with_export();
            let file = bar(&bench).join(what);
            let apart = bench.path(&format!("apart-{what}"));
            // Even to the very bytes that belong there.
            fs::rename(&file, &apart).unwrap();
            symlink(&apart, &file).unwrap();
            takes_nothing_else(&bench, NOT_PLAIN);
            fs::remove_file(&file).unwrap();
            pipe(&file);
            takes_nothing_else(&bench, NOT_PLAIN);
        }
        for what in ["rigs.json", "ladders.json"] {
            let bench = with_export();
            let file = bench.path("out").join(what);
            fs::remove_file(&file).unwrap();
            pipe(&file);
            takes_nothing_else(&bench, NOT_PLAIN);
        }
    }

    #[test]
    fn a_folder_that_is_a_link_is_no_finish_and_one_that_is_the_whole_disk_no_export() {
        let bench = with_export();
        let place = bar(&bench);
        fs::rename(&place, bench.path("apart")).unwrap();
        symlink(bench.path("apart"), &place).unwrap();
        takes_nothing_else(&bench, NOT_PLAIN);
        let bench = with_export();
        fs::remove_dir_all(bench.path("out/finishes")).unwrap();
        symlink("/", bench.path("out/finishes")).unwrap();
        takes_nothing_else(&bench, "it is not there");
    }

    #[test]
    fn a_hard_link_is_read_and_what_it_is_linked_with_stays_as_it_is() {
        let bench = with_export();
        let file = bar(&bench).join("silver.png");
        fs::hard_link(&file, bench.path("linked.png")).unwrap();
        let before = others(&bench);
        import(&bench).exits(0).says("1 finish kept.");
        assert!(others(&bench) == before);
        fs::remove_file(&file).unwrap();
        fs::hard_link(bench.path("secret.png"), &file).unwrap();
        fs::remove_dir_all(bench.path("new")).unwrap();
        takes_nothing_else(&bench, "it has changed since it was written");
    }
}
