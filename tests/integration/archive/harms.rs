//! Each thing that can be wrong with a finish of an export is one error, and the rest comes in.

use std::fs;
use std::path::{Path, PathBuf};

use super::exchange::{copy, with_two};

/// What is done to an export before it is taken in.
type Harm = (&'static str, fn(&Path), &'static str);

/// The folder of the finish `bar` in an export.
fn bar(export: &Path) -> PathBuf {
    let mut inside = fs::read_dir(export.join("finishes")).unwrap();
    let is_bar = |path: &PathBuf| {
        path.file_name()
            .unwrap()
            .to_string_lossy()
            .starts_with("bar-")
    };
    inside
        .find_map(|e| Some(e.unwrap().path()).filter(is_bar))
        .unwrap()
}

/// Changes `finish.json` of `bar` as text.
fn edit(export: &Path, from: &str, to: &str) {
    let file = bar(export).join("finish.json");
    let text = fs::read_to_string(&file).unwrap();
    assert!(text.contains(from), "{from}");
    fs::write(file, text.replacen(from, to, 1)).unwrap();
}

/// A PNG of a few bytes that claims to be so large.
fn bomb(side: u32) -> Vec<u8> {
    let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
    png.extend(side.to_be_bytes());
    png.extend(side.to_be_bytes());
    png.extend([8, 0, 0, 0, 0]);
    let mut crc = u32::MAX;
    for byte in &png[12..29] {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0xedb8_8320 & 0_u32.wrapping_sub(crc & 1));
        }
    }
    png.extend((!crc).to_be_bytes());
    png
}

/// Puts other bytes in the place of the silver map, with the digest that goes with them.
fn other_map(export: &Path, bytes: &[u8]) {
    other(export, "silver.png", bytes);
}

/// The same of any picture.
fn other(export: &Path, file: &str, bytes: &[u8]) {
    let map = bar(export).join(file);
    let digest = |bytes: &[u8]| blake3::hash(bytes).to_hex().to_string();
    let was = digest(&fs::read(&map).unwrap());
    fs::write(&map, bytes).unwrap();
    edit(export, &was, &digest(bytes));
}

/// A grey PNG.
fn grey(width: u32, height: u32) -> Vec<u8> {
    let mut out = std::io::Cursor::new(Vec::new());
    image::GrayImage::from_pixel(width, height, image::Luma([200]))
        .write_to(&mut out, image::ImageFormat::Png)
        .unwrap();
    out.into_inner()
}

const HARMS: [Harm; 27] = [
    (
        "no JSON",
        |e| fs::write(bar(e).join("finish.json"), "{").unwrap(),
        "it cannot be understood",
    ),
    (
        "wrong types",
        |e| edit(e, "\"notes\": \"\"", "\"notes\": 7"),
        "it cannot be understood",
    ),
    (
        "more keys",
        |e| edit(e, "\"notes\": \"\"", "\"notes\": \"\", \"x\": 1"),
        "it cannot be understood",
    ),
    (
        "a key gone",
        |e| edit(e, "\"notes\": \"\",", ""),
        "it cannot be understood",
    ),
    (
        "too deep",
        |e| {
            edit(
                e,
                "{\"version\":",
                &format!(
                    "{{\"x\":{}{},\"version\":",
                    "[".repeat(5000),
                    "]".repeat(5000)
                ),
            )
        },
        "finish.json",
    ),
    (
        "a newer form",
        |e| edit(e, "\"schema\": 5", "\"schema\": 9"),
        "it has form 9",
    ),
    (
        "a huge file",
        |e| {
            fs::File::create(bar(e).join("finish.json"))
                .unwrap()
                .set_len(20 << 20)
                .unwrap()
        },
        "larger than 16 MiB",
    ),
    (
        "a name of two lines",
        |e| edit(e, "\"name\": \"bar\"", "\"name\": \"b\\nar\""),
        "`name` cannot be used",
    ),
    (
        "a date that is none",
        |e| edit(e, "\"kept_at\": \"2", "\"kept_at\": \"x"),
        "`kept_at` cannot be used",
    ),
    (
        "a terminal's command",
        |e| edit(e, "\"notes\": \"\"", "\"notes\": \"\\u001b[2J\""),
        "`notes` cannot be used",
    ),
    (
        "an allowance of nothing",
        |e| edit(e, "\"coverage\": 0.04", "\"silver\": 0.04"),
        "`allowances` cannot be used",
    ),
    (
        "a limit piece that is not there",
        |e| edit(e, "\"light\": null", "\"light\": \"gone\""),
        "its limit piece `gone` is neither here",
    ),
    (
        "a changed figure",
        |e| edit(e, "\"coverage\":{\"value\":0", "\"coverage\":{\"value\":1"),
        "it has changed since it was written",
    ),
    (
        "a way out",
        |e| {
            edit(
                e,
                "\"file\": \"silver.png\"",
                "\"file\": \"../../rigs.json\"",
            )
        },
        "it names a file outside its folder",
    ),
    (
        "an absolute way out",
        |e| edit(e, "\"file\": \"silver.png\"", "\"file\": \"/etc/passwd\""),
        "it names a file outside its folder",
    ),
    (
        "a picture gone",
        |e| fs::remove_file(bar(e).join("picture.png")).unwrap(),
        "it is not there",
    ),
    (
        "a picture changed",
        |e| fs::write(bar(e).join("picture.png"), "x").unwrap(),
        "it has changed",
    ),
    (
        "no picture",
        |e| other_map(e, b"GIF89a"),
        "it is no picture that opens",
    ),
    (
        "a map of one pixel",
        |e| other_map(e, &grey(1, 1)),
        "it cannot be the silver map of its reading (found 1 x 1 pixels)",
    ),
    (
        "a map of another shape",
        |e| other_map(e, &grey(40, 400)),
        "it cannot be the silver map of its reading",
    ),
    (
        "a map with more behind it",
        |e| {
            let map = fs::read(bar(e).join("silver.png")).unwrap();
            other_map(e, &[&map[..], b"more"].concat());
        },
        "it is no picture that opens (something follows its end)",
    ),
    (
        "no colour",
        |e| other(e, "colour.png", b"GIF89a"),
        "it is no picture that opens",
    ),
    (
        "a colour of another shape",
        |e| other(e, "colour.png", &grey(3, 40)),
        "it cannot be the silver map of its reading",
    ),
    (
        "a picture that is huge",
        |e| other_map(e, &bomb(50_000)),
        "it is no picture that opens",
    ),
    (
        "a picture that is vast",
        |e| other_map(e, &bomb(u32::MAX >> 1)),
        "it is no picture that opens",
    ),
    (
        "a link",
        |e| link(&bar(e).join("silver.png"), Path::new("/etc/passwd")),
        "it is a link, a folder or a device",
    ),
    (
        "a folder",
        |e| {
            fs::remove_file(bar(e).join("silver.png")).unwrap();
            fs::create_dir(bar(e).join("silver.png")).unwrap();
        },
        "it is a link, a folder or a device",
    ),
];

#[cfg(unix)]
fn link(at: &Path, to: &Path) {
    fs::remove_file(at).unwrap();
    std::os::unix::fs::symlink(to, at).unwrap();
}

#[cfg(not(unix))]
fn link(at: &Path, _: &Path) {
    fs::remove_file(at).unwrap();
    fs::create_dir(at).unwrap();
}

#[test]
fn each_thing_that_is_wrong_with_a_finish_is_one_error_that_names_the_file_and_the_rest_comes_in() {
    let bench = with_two();
    bench.run(&["export", "good", "--with-photo"]).exits(0);
    for (i, (harm, harms, said)) in HARMS.iter().enumerate() {
        let (export, archive) = (format!("export-{i}"), format!("{i}.sqlite"));
        copy(&bench.path("good"), &bench.path(&export));
        harms(&bench.path(&export));
        let ran = bench
            .run_bare(&["--archive", &archive, "import", &export])
            .exits(2)
            .says("1 finish kept, 1 refused.");
        let lines: Vec<&str> = ran.err.lines().collect();
        assert_eq!(lines.len(), 2, "{harm}: {}", ran.err);
        assert!(lines[0].contains(said), "{harm}: {}", ran.err);
        assert!(
            lines[0].contains(&format!("{export}/finishes/bar-")),
            "{harm}: {}",
            ran.err
        );
        let listed = bench.run_bare(&["--archive", &archive, "list"]).exits(0);
        assert!(
            listed.out.starts_with("alcove") && listed.out.lines().count() == 1,
            "{harm}"
        );
        bench.run_bare(&["--archive", &archive, "verify"]).exits(0);
    }
}
