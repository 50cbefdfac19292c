//! Readings are what they were: every folder under `fixtures/` with an `expected.json` holds a photo, its placement file,
//! the reading expected of it and a note. Folders named `x-…` hold what must be refused, and the words of the refusal.
//!
//! `BLESS=1` writes the expectations anew; look at the difference before it is kept. A failing fixture leaves what was
//! found under `target/golden/`. The photos are painted anew by
//! `cargo test --test integration golden::paint -- --ignored`.

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageBuffer, ImageEncoder, ImageFormat, Luma, Rgb};
use paneprint::commands::hint;
use paneprint::document::reading::{Named, json as reading_json};
use paneprint::fingerprint::metric::{figures, metric};
use paneprint::frame::placement::Side;
use paneprint::pipeline;
use paneprint::placement::{Given, Sidecar, sidecar_path};
use paneprint::settings::Settings;
use paneprint::synth::{
    Arrangement, Clouds, EdgeLoss, Finish, Photographed, Ridges, Shot, Speckles, photograph,
};
use paneprint::units::SizeMm;
use serde_json::{Value, json};

/// A fixture is fetched with every copy of the sources.
const LARGEST_PHOTO: usize = 150_000;

/// The same bytes are promised on one architecture; the expectations come from this one.
const HOME: bool = cfg!(all(target_arch = "x86_64", target_os = "linux"));

/// Figures under these keys are rounded when they are written.
const ROUNDED: [&str; 4] = ["parts", "px_per_mm", "speckle_floor_mm", "blur_mm"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures")
}

/// Every fixture's folder, in order.
fn fixtures() -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = fs::read_dir(root())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.join("expected.json").exists())
        .collect();
    found.sort();
    found
}

fn name(folder: &Path) -> String {
    folder.file_name().unwrap().to_string_lossy().into_owned()
}

/// The photo of a fixture, whatever its kind.
fn photo(folder: &Path) -> Option<PathBuf> {
    let mut files = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    files.find(|p| {
        p.file_stem().is_some_and(|s| s == "photo") && p.extension().is_some_and(|e| e != "json")
    })
}

/// What the library says of a fixture today: its reading, or why it was refused.
fn found(folder: &Path) -> Value {
    let photo = photo(folder).unwrap();
    match pipeline::read(&photo, Given::default(), None, &Settings::default()) {
        Ok(reading) => {
            // The folder that it lies in is no part of what is expected.
            let photo = PathBuf::from(name(&photo));
            reading_json(&Named::of_photo(&photo, &reading.fingerprint))
        }
        Err(error) => {
            let variant = format!("{error:?}");
            let variant = variant.split([' ', '(', '{']).next().unwrap_or_default();
            let says = error
                .to_string()
                .replace(&*photo.to_string_lossy(), &name(&photo));
            json!({"error": variant, "says": says, "hint": hint(&error)})
        }
    }
}

/// How far the number at this path may be off.
///
/// At home the only slack is a unit of the last decimal written, for a figure that falls between two of them: the
/// system's own `exp` and `ln` may move it by a few units in the sixteenth place, and rounding makes a step of that.
/// Elsewhere sums are ordered alike but the processor may join a product and a sum, so a pixel at a threshold may
/// change sides: there a figure may be off by one as it is shown.
fn tolerance(path: &[&str], value: f64) -> f64 {
    let decimals = match path {
        ["measures", key, _] => metric(key).map(|m| m.decimals),
        [key, ..] if ROUNDED.contains(key) => Some(1),
        _ => None,
    };
    match decimals.map(|d| i32::try_from(d).unwrap()) {
        // A hair more than the unit itself, for the figures are decimal and the difference is binary.
        Some(decimals) if HOME => 1.01 * 10_f64.powi(-decimals - 3),
        Some(decimals) => 1.01 * 10_f64.powi(-decimals),
        None if HOME => 1e-12 * value.abs(),
        None => 1e-3 * value.abs(),
    }
}

/// Every difference between two JSON values, each with its path.
fn differences(path: &mut Vec<String>, expected: &Value, found: &Value, out: &mut Vec<String>) {
    match (expected, found) {
        (Value::Object(a), Value::Object(b)) => {
            let keys: std::collections::BTreeSet<&String> = a.keys().chain(b.keys()).collect();
            for key in keys {
                path.push(key.clone());
                match (a.get(key), b.get(key)) {
                    (Some(a), Some(b)) => differences(path, a, b, out),
                    (a, _) => {
                        let how = if a.is_some() { "missing" } else { "new" };
                        out.push(format!("{}: {how}", path.join(".")));
                    }
                }
                path.pop();
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (i, (a, b)) in a.iter().zip(b).enumerate() {
                path.push(i.to_string());
                differences(path, a, b, out);
                path.pop();
            }
        }
        (Value::Number(a), Value::Number(b)) if a.is_f64() && b.is_f64() => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            let parts: Vec<&str> = path.iter().map(String::as_str).collect();
            if (a - b).abs() > tolerance(&parts, a) {
                out.push(format!("{}: expected {a}, found {b}", path.join(".")));
            }
        }
        (a, b) if a == b => {}
        (a, b) => out.push(format!("{}: expected {a}, found {b}", path.join("."))),
    }
}

fn pretty(value: &Value) -> String {
    serde_json::to_string_pretty(value).unwrap() + "\n"
}

#[test]
fn every_fixture_reads_as_it_did_and_every_spoilt_one_is_refused() {
    let bless = std::env::var_os("BLESS").is_some();
    let mut off = Vec::new();
    for folder in fixtures() {
        let name = name(&folder);
        let found = found(&folder);
        let refused = found.get("error").is_some();
        if name.starts_with("x-") != refused {
            off.push(format!(
                "{name}: should be {}: {found}",
                if refused { "read" } else { "refused" }
            ));
            continue;
        }
        let file = folder.join("expected.json");
        if bless {
            fs::write(&file, pretty(&found)).unwrap();
            continue;
        }
        let expected = fs::read(&file).unwrap_or_else(|_| panic!("{name} has no expected.json"));
        let expected = serde_json::from_slice(&expected).unwrap();
        let mut here = Vec::new();
        differences(&mut Vec::new(), &expected, &found, &mut here);
        if !here.is_empty() {
            let left = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/golden");
            fs::create_dir_all(&left).unwrap();
            let left = left.join(format!("{name}.json"));
            fs::write(&left, pretty(&found)).unwrap();
            off.push(format!(
                "{name}: found {}\n  {}",
                left.display(),
                here.join("\n  ")
            ));
        }
    }
    assert!(off.is_empty(), "\n{}\n", off.join("\n"));
}

/// No fixture has one of these: specks that lie one way or in rows, and patches of colour of one size. Painted panels have, in
/// `truth` and beside the measures.
const ON_NO_FIXTURE: [&str; 3] = ["speckle_axis", "speckle_rows", "patina_scale"];

#[test]
fn every_figure_has_a_value_on_some_fixture() {
    let all = fixtures().into_iter();
    let all: Vec<Value> = all
        .map(|folder| {
            serde_json::from_slice(&fs::read(folder.join("expected.json")).unwrap()).unwrap()
        })
        .collect();
    for row in figures() {
        let shown = all
            .iter()
            .any(|read| read["measures"][row.key]["value"].is_number());
        assert_eq!(shown, !ON_NO_FIXTURE.contains(&row.key), "{}", row.key);
    }
}

#[test]
fn every_fixture_is_whole_and_small() {
    let all = fixtures();
    assert!(all.iter().filter(|f| !name(f).starts_with("x-")).count() >= 6);
    assert!(all.iter().filter(|f| name(f).starts_with("x-")).count() >= 4);
    for folder in all {
        let name = name(&folder);
        assert!(
            !fs::read_to_string(folder.join("note.md"))
                .unwrap()
                .is_empty()
        );
        let bytes = fs::read(photo(&folder).unwrap()).unwrap();
        assert!(
            bytes.len() <= LARGEST_PHOTO,
            "{name}: {} bytes",
            bytes.len()
        );
        let placed = sidecar_path(&photo(&folder).unwrap()).exists();
        assert_eq!(placed, !name.starts_with("x-"), "{name}: placement file");
    }
}

#[test]
fn a_figure_that_moved_is_told_and_one_that_did_not_is_not() {
    let reading =
        |value: f64| json!({"measures": {"coverage": {"value": value}}, "flags": ["soft"]});
    let told = |a: &Value, b: &Value| {
        let mut out = Vec::new();
        differences(&mut Vec::new(), a, b, &mut out);
        out
    };
    assert!(told(&reading(0.8), &reading(0.8)).is_empty());
    let moved = told(&reading(0.8), &reading(0.81));
    assert_eq!(moved, ["measures.coverage.value: expected 0.8, found 0.81"]);
    assert_eq!(
        told(&json!({"flags": ["soft"]}), &json!({"flags": []})).len(),
        1
    );
    assert_eq!(
        told(&json!({"value": null}), &json!({"value": 1.0})).len(),
        1
    );
    assert_eq!(told(&json!({"why": null}), &json!({})), ["why: missing"]);
}

/// A fixture to paint.
struct Fixture {
    name: &'static str,
    about: &'static str,
    finish: Finish,
    shot: Shot,
    file: fn(&Photographed) -> (&'static str, Vec<u8>),
}

const SIZE: SizeMm = SizeMm {
    width: 90.0,
    height: 70.0,
};

/// Everything at once: veil, clouds, ridges, speckles, worn edges, a warm tone.
fn aged(seed: u64) -> Finish {
    Finish {
        veil: 0.04,
        clouds: Some(Clouds {
            depth: 0.06,
            scale_mm: 4.0,
        }),
        ridges: Some(Ridges {
            angle_deg: 35.0,
            spacing_mm: 6.0,
            depth: 0.15,
            wobble_deg: 4.0,
        }),
        speckles: Some(Speckles {
            per_cm2: 3.0,
            diameter_median_mm: 1.5,
            spread: 0.35,
            arrangement: Arrangement::Random,
            floor: 0.05,
        }),
        edge_loss: Some(EdgeLoss {
            depth: 0.3,
            width_mm: 5.0,
        }),
        warmth: 0.3,
        ..Finish::seeded(seed)
    }
}

/// Four offcuts of plain mirror beside the panel.
fn mirrors(seed: u64) -> Shot {
    Shot {
        seed,
        patches: Vec::new(),
        ..Shot::bench(SIZE)
    }
    .with_mirror_patches(SIZE, 4)
    .sized(640, 480)
}

/// A sensor without noise: a file without loss would not be small otherwise.
fn quiet(shot: Shot) -> Shot {
    Shot {
        read_noise: 0.0,
        full_well: 0.0,
        ..shot.sized(360, 270)
    }
}

fn jpeg(photo: &Photographed) -> (&'static str, Vec<u8>) {
    ("jpg", photo.jpeg().unwrap())
}

fn sideways(photo: &Photographed) -> (&'static str, Vec<u8>) {
    ("jpg", photo.orient(6).unwrap())
}

/// 8-bit codes times 257, which is the same light.
fn png16(photo: &Photographed) -> (&'static str, Vec<u8>) {
    let codes = photo.rgb8.iter().map(|c| 257 * u16::from(*c)).collect();
    let (width, height) = photo.rgb8.dimensions();
    let deep: ImageBuffer<Rgb<u16>, Vec<u16>> =
        ImageBuffer::from_raw(width, height, codes).unwrap();
    let mut file = Vec::new();
    let smallest =
        PngEncoder::new_with_quality(&mut file, CompressionType::Best, FilterType::Adaptive);
    image::DynamicImage::from(deep)
        .write_with_encoder(smallest)
        .unwrap();
    ("png", file)
}

/// Grey, for a third of the bytes.
fn grey_tiff(photo: &Photographed) -> (&'static str, Vec<u8>) {
    let green = photo.rgb8.pixels().map(|p| p.0[1]).collect();
    let (width, height) = photo.rgb8.dimensions();
    let grey: ImageBuffer<Luma<u8>, Vec<u8>> = ImageBuffer::from_raw(width, height, green).unwrap();
    ("tif", encoded(&grey.into(), ImageFormat::Tiff))
}

fn webp(photo: &Photographed) -> (&'static str, Vec<u8>) {
    let mut file = Vec::new();
    let (width, height) = photo.rgb8.dimensions();
    image::codecs::webp::WebPEncoder::new_lossless(&mut file)
        .write_image(&photo.rgb8, width, height, ExtendedColorType::Rgb8)
        .unwrap();
    ("webp", file)
}

fn encoded(picture: &image::DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut file = Cursor::new(Vec::new());
    picture.write_to(&mut file, format).unwrap();
    file.into_inner()
}

fn painted() -> Vec<Fixture> {
    vec![
        Fixture {
            name: "jpeg-grey-card",
            about: "An ordinary photo with a grey card and no rig: the panel's own brightest parts stand for full silver.",
            finish: aged(101),
            shot: Shot {
                seed: 1,
                ..Shot::bench(SIZE).sized(800, 600)
            },
            file: jpeg,
        },
        Fixture {
            name: "png-16-bit",
            about: "Sixteen bits a channel, four mirror offcuts, no noise.",
            finish: aged(102),
            shot: quiet(mirrors(2)),
            file: png16,
        },
        Fixture {
            name: "tiff-grey",
            about: "A grey picture, as a scan may be: it has no tone.",
            finish: aged(103),
            shot: mirrors(3).sized(400, 300),
            file: grey_tiff,
        },
        Fixture {
            name: "webp-lossless",
            about: "WebP without loss, four mirror offcuts, no noise, a warm lamp.",
            finish: aged(104),
            shot: Shot {
                white_balance: [1.15, 1.0, 0.8],
                ..quiet(mirrors(4))
            },
            file: webp,
        },
        Fixture {
            name: "exif-sideways",
            about: "Stored turned under EXIF orientation 6; the placement is that of the photo as shown.",
            finish: aged(105),
            shot: mirrors(5),
            file: sideways,
        },
        Fixture {
            name: "seen-from-behind",
            about: "The coated side faces the camera, so the ridges run the other way in the photo.",
            finish: aged(106),
            shot: Shot {
                side: Side::Back,
                ..mirrors(6)
            },
            file: jpeg,
        },
    ]
}

fn write(folder: &Path, photo: &str, bytes: &[u8], note: &str) {
    fs::create_dir_all(folder).unwrap();
    fs::write(folder.join(photo), bytes).unwrap();
    fs::write(folder.join("note.md"), note).unwrap();
    // What makes the folder a fixture; filled when it is blessed.
    if !folder.join("expected.json").exists() {
        fs::write(folder.join("expected.json"), "").unwrap();
    }
}

#[test]
#[ignore = "paints the fixtures' photos anew"]
fn paint_the_fixtures() {
    for fixture in painted() {
        let folder = root().join(fixture.name);
        let photo = photograph(&fixture.finish.paint(SIZE, 12.0), &fixture.shot);
        let (kind, bytes) = (fixture.file)(&photo);
        let file = format!("photo.{kind}");
        let told = |value: Value| serde_json::to_string(&value).unwrap();
        let note = format!(
            "# {}\n\n{}\n\nPainted by `paint_the_fixtures` in `tests/integration/golden.rs`, {SIZE} at 12 px/mm.\n\n\
             - finish: `{}`\n- shot: `{}`\n",
            fixture.name,
            fixture.about,
            told(json!(fixture.finish)),
            told(json!(fixture.shot)),
        );
        write(&folder, &file, &bytes, &note);
        let placement = serde_json::to_vec(&Sidecar::from(&photo.placement)).unwrap();
        fs::write(sidecar_path(&folder.join(&file)), placement).unwrap();
    }
    let whole = fs::read(root().join("exif-sideways/photo.jpg")).unwrap();
    let dot = encoded(&image::RgbImage::new(1, 1).into(), ImageFormat::Png);
    let letter = b"Dear client,\nthe mirror is ready.\n";
    for (name, file, bytes, about) in [
        (
            "x-text",
            "photo.jpg",
            &letter[..],
            "A letter with the name of a photo.",
        ),
        (
            "x-truncated",
            "photo.jpg",
            &whole[..whole.len() / 2],
            "The first half of the photo of `exif-sideways`, as a copy that was broken off leaves it.",
        ),
        ("x-one-pixel", "photo.png", &dot, "A picture of one pixel."),
        ("x-empty", "photo.jpg", b"", "A file without content."),
    ] {
        let note = format!(
            "# {name}\n\n{about}\n\nWritten by `paint_the_fixtures` in `tests/integration/golden.rs`.\n"
        );
        write(&root().join(name), file, bytes, &note);
    }
}
