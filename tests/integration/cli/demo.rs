//! `demo`: the whole story, and the photos it is told with.

use std::fs;

use crate::bench::Bench;

#[test]
fn the_demo_tells_the_whole_story_and_leaves_its_archive_and_pictures() {
    let bench = Bench::new();
    let ran = bench
        .run_bare(&["demo", "--into", "told"])
        .exits(0)
        .quietly()
        .says("Within")
        .says("Outside: lighter than")
        .says("Outside: darker than")
        .says("By chance alone a panel of 400 x 300 mm")
        .says("It stands at `usual`.")
        .says("remake alcove-3")
        .says("told/demo.sqlite");
    assert_eq!(ran.out.matches("Outside").count(), 2);
    let pictures: Vec<_> = fs::read_dir(bench.path("told"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "png"))
        .collect();
    // Sample and panels, each with what was counted, and the wall.
    assert_eq!(pictures.len(), 5);
    for picture in pictures {
        image::open(&picture).unwrap();
    }
    bench
        .run_bare(&["--archive", "told/demo.sqlite", "list"])
        .exits(0)
        .says("alcove sample  (kept 2");
}

#[test]
fn the_demo_can_be_told_twice() {
    let bench = Bench::new();
    let first = bench.run_bare(&["demo", "--into", "told"]).exits(0).out;
    let kept = fs::read(bench.path("told/demo.sqlite")).unwrap();
    let second = bench.run_bare(&["demo", "--into", "told"]).exits(0).out;
    // The same story in an archive of its own; the first one is left as it was.
    assert_eq!(first, second.replace("demo-2.sqlite", "demo.sqlite"));
    assert!(second.contains("demo-2.sqlite"));
    assert_eq!(kept, fs::read(bench.path("told/demo.sqlite")).unwrap());
}

// The system's own sine and exponential differ in the last place from one system to another.
#[cfg(all(target_arch = "x86_64", target_os = "linux"))]
#[test]
fn the_demos_photos_are_what_their_seeds_paint() {
    let bench = Bench::new();
    fs::create_dir(bench.path("painted")).unwrap();
    bench.run_bare(&["demo", "--repaint", "painted"]).exits(0);
    let bundled = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-images");
    // The folder of pictures of sheets is the README's.
    let mut names: Vec<_> = fs::read_dir(&bundled)
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().is_file())
        .map(|entry| entry.file_name())
        .collect();
    names.sort();
    assert!(names.len() > 5);
    for name in names {
        let painted = fs::read(bench.path("painted").join(&name)).unwrap();
        let bundled = fs::read(bundled.join(&name)).unwrap();
        assert!(painted == bundled, "{}", name.display());
    }
}
