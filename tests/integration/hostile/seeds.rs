//! What the fuzzers begin with, written below `target/fuzz/seeds`.

use std::fs;
use std::path::{Path, PathBuf};

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder, ImageFormat};

use super::made;
use super::photos;
use super::{painted, tiny};
use crate::bench::Bench;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("target/fuzz/seeds")
}

fn write(target: &str, name: &str, bytes: impl AsRef<[u8]>) {
    let folder = root().join(target);
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join(name), bytes).unwrap();
}

/// The tiny photo as every kind that is read.
fn kinds() {
    let (jpeg, placement) = tiny();
    write("photo", "painted.jpg", &jpeg);
    write("sidecar", "painted.json", placement);
    let small = image::load_from_memory(&jpeg)
        .unwrap()
        .thumbnail(96, 80)
        .to_rgb8();
    let icc = profile();
    for (name, format) in [
        ("s.png", ImageFormat::Png),
        ("s.tif", ImageFormat::Tiff),
        ("s.webp", ImageFormat::WebP),
    ] {
        let mut out = std::io::Cursor::new(Vec::new());
        small.write_to(&mut out, format).unwrap();
        write("photo", name, out.into_inner());
    }
    let (w, h) = small.dimensions();
    let mut out = Vec::new();
    let mut encoder = JpegEncoder::new(&mut out);
    encoder.set_icc_profile(icc.clone()).unwrap();
    encoder
        .set_exif_metadata(made::tiff(
            &[(274, 3, 1, 6), (271, 2, 4, 0x0061_6161), (34_665, 4, 1, 8)],
            0,
            &[],
        ))
        .unwrap();
    encoder
        .write_image(&small, w, h, ExtendedColorType::Rgb8)
        .unwrap();
    write("photo", "profile.jpg", out);
    let mut out = Vec::new();
    let mut encoder = PngEncoder::new(&mut out);
    encoder.set_icc_profile(icc).unwrap();
    encoder
        .set_exif_metadata(made::tiff(&[(274, 3, 1, 8)], 0, &[]))
        .unwrap();
    let wide: Vec<u8> = small.iter().flat_map(|c| [*c, *c]).collect();
    encoder
        .write_image(&wide, w, h, ExtendedColorType::Rgb16)
        .unwrap();
    write("photo", "profile-16.png", out);
    write("photo", "progressive.jpg", made::even(0xC2, 96, 80, 3, 0));
    write("photo", "even.jpg", made::even(0xC0, 96, 80, 1, 0));
    for (name, bytes) in photos::small() {
        if bytes.len() < 100_000 {
            write("photo", &name.replace(' ', "-"), bytes);
        }
    }
}

/// An ICC profile of a curve and a matrix.
fn profile() -> Vec<u8> {
    // The header, four tags, and what they hold (ICC.1:2022 sections 7.2, 7.3, 10.6, 10.31).
    let mut icc = vec![0; 128];
    icc[8..12].copy_from_slice(&[4, 0x40, 0, 0]);
    icc[12..24].copy_from_slice(b"mntrRGB XYZ ");
    icc[36..40].copy_from_slice(b"acsp");
    icc[68..80].copy_from_slice(&[0, 0, 0xF6, 0xD6, 0, 1, 0, 0, 0, 0, 0xD3, 0x2D]);
    let tags: [(&[u8; 4], u32, u32); 6] = [
        (b"rXYZ", 204, 20),
        (b"gXYZ", 224, 20),
        (b"bXYZ", 244, 20),
        (b"rTRC", 264, 14),
        (b"gTRC", 264, 14),
        (b"bTRC", 264, 14),
    ];
    icc.extend(6_u32.to_be_bytes());
    for (name, at, len) in tags {
        icc.extend(name);
        icc.extend(at.to_be_bytes());
        icc.extend(len.to_be_bytes());
    }
    for xyz in [
        [0x6FA2_u32, 0x38F5, 0x0390],
        [0x6299, 0xB785, 0x18DA],
        [0x24A0, 0x0F84, 0xB6CF],
    ] {
        icc.extend(b"XYZ \0\0\0\0");
        xyz.iter().for_each(|v| icc.extend(v.to_be_bytes()));
    }
    icc.extend(b"curv\0\0\0\0\0\0\0\x01\x02\x33\0\0");
    let len = icc.len() as u32;
    icc[..4].copy_from_slice(&len.to_be_bytes());
    icc
}

/// Words as they are typed, and placement files.
fn placements() {
    for (name, text) in [
        ("corners", "12,10 90,12 88,70 10,69"),
        ("patch", "grey=0.09:95,30,20,20"),
        ("step", "0.18:95,30,20,20"),
        ("size", "600x400mm"),
        ("inches", "24x16in"),
    ] {
        write("sidecar", name, text);
    }
    write(
        "sidecar",
        "all.json",
        r#"{"size": {"width": 60, "height": 40}, "corners": [[12,10],[90,12],[88,70],[10,69]],
        "patches": [{"kind": "grey", "reflectance": 0.2, "corners": [[100,90],[120,90],[120,110],[100,110]]}, "mirror:100,10,20,20"],
        "steps": [{"reflectance": 0.03, "corners": [[130,10],[140,10],[140,20],[130,20]]}, "0.09:130,25,10,10", "0.2:130,40,10,10", "0.9:130,55,10,10"],
        "patch_reflectance": 0.18, "side": "back", "stage": "wet"}"#,
    );
}

/// A small archive with something in every table, and its export as one case.
fn archives() {
    let bench = Bench::with_rig();
    for (name, veil) in [("a", 0.05), ("b", 0.3)] {
        let (jpeg, placement) = painted(veil);
        bench.file("t.jpg", &jpeg);
        bench.file("t.jpg.place.json", &placement);
        bench
            .run(&[
                "keep",
                "t.jpg",
                &format!("--name={name}"),
                "--anyway",
                "--with-photo",
                "--notes=n",
            ])
            .exits(0);
    }
    bench
        .run(&[
            "approve",
            "a",
            "--allow",
            "coverage=0.04",
            "--variety",
            "slight",
        ])
        .exits(0);
    bench
        .run(&["ladder", "make", "wear", "light=a", "heavy=b"])
        .exits(0);
    bench
        .run(&[
            "recipe",
            "a",
            "--technique=spots",
            "--step=attack, 40 s, 2 ml, 20 C, rocked",
        ])
        .exits(0);
    bench.run(&[
        "match",
        "b",
        "--to",
        "a",
        "--overrule",
        "outside",
        "--because",
        "w",
    ]);
    let sound = bench.bytes("archive.sqlite");
    fs::create_dir_all(root()).unwrap();
    fs::write(root().join("sound.sqlite"), &sound).unwrap();
    write("archive", "sound.sqlite", &sound);
    let small = Bench::new();
    small.run(&["import", "none"]);
    write("archive", "empty.sqlite", small.bytes("archive.sqlite"));
    for case in [
        "finish.fingerprint_digest\n00",
        "reading.fingerprint\n{}",
        "reading.source\nphoto",
        "approval.allowances\n{\"coverage\":1e999}",
        "rig.rig\n{}",
        "rig.name\n'; DROP TABLE finish; --",
        "look.point\n\u{1}",
        "file.bytes\n\u{1}",
        "finish.name\n../../x",
        "finish.coverage\n1e300",
        "finish.reading_id\n-1",
        "ladder_step.place\n9223372036854775807",
        "overruling.found\nwithin",
        "finish.kept_at\nNULL",
        "approval.variety\nslight",
        "finish.version\n2",
        "photo.digest\n00",
        "look.form\n1",
        "recipe.recipe\n{}",
        "recipe.recipe_digest\n00",
    ] {
        write(
            "archive",
            &case
                .replace(['\n', '/', '\'', ' '], "_")
                .chars()
                .take(40)
                .collect::<String>(),
            case,
        );
    }
    bench.run(&["export", "out"]).exits(0);
    for folder in fs::read_dir(bench.path("out/finishes")).unwrap() {
        let folder = folder.unwrap().path();
        let read = |name: &str| fs::read(folder.join(name)).unwrap();
        let (silver, picture) = (read("silver.png"), read("picture.png"));
        let mut finish = String::from_utf8(read("finish.json")).unwrap();
        let value: serde_json::Value = serde_json::from_str(&finish).unwrap();
        let digest = |key: &str| {
            value["readings"][0][key]
                .as_str()
                .unwrap_or_else(|| value["readings"][0][key]["digest"].as_str().unwrap())
                .to_owned()
        };
        for (key, word) in [
            ("silver_map", "@SILVER@"),
            ("picture", "@PICTURE@"),
            ("fingerprint_digest", "@FINGERPRINT@"),
        ] {
            finish = finish.replace(&digest(key), word);
        }
        if let Some(recipe) = value["recipes"][0]["recipe_digest"].as_str() {
            finish = finish.replace(recipe, "@RECIPE@");
        }
        let top = |name: &str| bench.bytes(&format!("out/{name}"));
        let parts = [
            finish.into_bytes(),
            silver,
            picture,
            top("rigs.json"),
            top("ladders.json"),
            top("all.ndjson"),
        ];
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        write("import", &name, parts[..3].join(&b"\n@PART@\n"[..]));
        write(
            "import",
            &format!("{name}-all"),
            parts.join(&b"\n@PART@\n"[..]),
        );
    }
}

#[test]
#[ignore = "writes what the fuzzers begin with"]
fn write_the_seeds() {
    kinds();
    placements();
    archives();
}
