//! Times of every stage of a reading and of the whole, beside the bare decode of the same photo.
//!
//! `cargo bench` paints a 900 × 600 mm panel, photographs it on 12 megapixels and times what follows.

use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use divan::{Bencher, black_box};
use paneprint::archive::Archive;
use paneprint::frame::panel::Panel;
use paneprint::frame::photo::Photo;
use paneprint::frame::placement::Placement;
use paneprint::normalize::{Rig, normalize};
use paneprint::placement::{Given, Sidecar, sidecar_path};
use paneprint::settings::Settings;
use paneprint::synth::{Arrangement, Clouds, Finish, Ridges, Shot, Speckles, photograph};
use paneprint::units::SizeMm;
use paneprint::{intake, measure, pipeline, placement};

const SIZE: SizeMm = SizeMm {
    width: 900.0,
    height: 600.0,
};

struct Bench {
    jpeg: Vec<u8>,
    photo: Photo,
    placement: Placement,
    rig: Rig,
    panel: Panel,
}

static BENCH: LazyLock<Bench> = LazyLock::new(|| {
    let finish = Finish {
        clouds: Some(Clouds {
            depth: 0.12,
            scale_mm: 12.0,
        }),
        ridges: Some(Ridges {
            angle_deg: 80.0,
            spacing_mm: 8.0,
            depth: 0.25,
            wobble_deg: 4.0,
        }),
        speckles: Some(Speckles {
            per_cm2: 2.0,
            diameter_median_mm: 1.4,
            spread: 0.4,
            arrangement: Arrangement::Random,
            floor: 0.0,
        }),
        ..Finish::seeded(8)
    };
    let shot = Shot {
        slope: 0.2,
        ..Shot::bench(SIZE)
    };
    let of = |finish: &Finish| {
        let taken = photograph(&finish.paint(SIZE, 6.0), &shot);
        let jpeg = taken
            .jpeg()
            .expect("a phone's photo is never too large for JPEG");
        let photo = intake::from_bytes(
            jpeg.clone(),
            Path::new("bench.jpg"),
            &intake::Limits::default(),
        );
        (
            jpeg,
            photo.expect("a painted photo can be read"),
            taken.placement,
        )
    };
    let settings = Settings::default().normalize;
    let (_, plain, place) = of(&Finish::seeded(1));
    let rig = Rig::from_plain("bench", Path::new("plain.jpg"), &plain, &place, &settings);
    let rig = rig.expect("a plain mirror makes a rig");
    let (jpeg, photo, placement) = of(&finish);
    let panel = normalize(&photo, &placement, Some(&rig).into(), &settings)
        .expect("the placement is sound");
    write(&jpeg, &placement, &rig).expect("the folder for the benchmark's files can be written");
    Bench {
        jpeg,
        photo,
        placement,
        rig,
        panel,
    }
});

/// Folder for the benchmark's files, under `target/`.
const FOLDER: &str = concat!(env!("CARGO_TARGET_TMPDIR"), "/bench");

/// Writes what a reading by the program itself needs.
fn write(jpeg: &[u8], placement: &Placement, rig: &Rig) -> Result<(), Box<dyn std::error::Error>> {
    let folder = Path::new(FOLDER);
    std::fs::create_dir_all(folder)?;
    let photo = folder.join("panel.jpg");
    std::fs::write(&photo, jpeg)?;
    std::fs::write(
        sidecar_path(&photo),
        serde_json::to_vec(&Sidecar::from(placement))?,
    )?;
    let unplaced = folder.join("unplaced.jpg");
    std::fs::write(&unplaced, jpeg)?;
    std::fs::write(
        sidecar_path(&unplaced),
        serde_json::to_vec(&Sidecar::of_size(placement.size))?,
    )?;
    Archive::open(&folder.join("bench.sqlite"))?.store_rig(rig, "2026-01-01T00:00:00Z", false)?;
    Ok(())
}

fn main() {
    LazyLock::force(&BENCH);
    divan::Divan::from_args().sample_count(15).main();
}

/// The unit all others are measured in.
#[divan::bench]
fn a_bare_decode() -> image::RgbImage {
    image::load_from_memory(black_box(&BENCH.jpeg))
        .expect("it was read before")
        .into_rgb8()
}

#[divan::bench]
fn b_intake(bencher: Bencher) {
    bencher
        .with_inputs(|| BENCH.jpeg.clone())
        .bench_values(|jpeg| {
            intake::from_bytes(jpeg, Path::new("bench.jpg"), &intake::Limits::default())
        });
}

#[divan::bench]
fn c_normalize() -> paneprint::Result<Panel> {
    let settings = Settings::default().normalize;
    normalize(
        &BENCH.photo,
        &BENCH.placement,
        Some(&BENCH.rig).into(),
        &settings,
    )
}

#[divan::bench]
fn d_measure() -> measure::Measured {
    measure::measure(&BENCH.panel, &Settings::default().measure)
}

#[divan::bench]
fn e_whole_reading(bencher: Bencher) {
    let place = &BENCH.placement;
    let given = || Given {
        size: Some(place.size),
        corners: Some(place.corners),
        patches: place.patches.clone(),
        ..Given::default()
    };
    bencher
        .with_inputs(|| (BENCH.jpeg.clone(), given()))
        .bench_values(|(jpeg, given)| {
            let path = Path::new("bench.jpg");
            let photo = intake::from_bytes(jpeg, path, &intake::Limits::default())?;
            pipeline::reading(photo, path, given, Some(&BENCH.rig), &Settings::default())
        });
}

/// The program itself, from the start of its process to its end, told where the panel lies.
#[divan::bench]
fn f_whole_process() -> std::process::ExitStatus {
    process("panel.jpg")
}

/// The same with a sheet of it written.
#[divan::bench]
fn f_whole_process_with_a_sheet() -> std::process::ExitStatus {
    process_with("panel.jpg", &["--page", &format!("{FOLDER}/sheet.html")])
}

/// The same, told the size alone: the panel and the card are found.
#[divan::bench]
fn g_whole_process_finding() -> std::process::ExitStatus {
    process("unplaced.jpg")
}

#[divan::bench]
fn h_finding() -> paneprint::Result<Placement> {
    let given = Given {
        size: Some(BENCH.placement.size),
        ..Given::default()
    };
    placement::place(&BENCH.photo, Path::new("bench.jpg"), given).map(|(placement, _)| placement)
}

fn process(photo: &str) -> std::process::ExitStatus {
    process_with(photo, &[])
}

fn process_with(photo: &str, more: &[&str]) -> std::process::ExitStatus {
    Command::new(env!("CARGO_BIN_EXE_paneprint"))
        .args(["measure", "--json", "--rig", "bench", "--archive"])
        .args([
            format!("{FOLDER}/bench.sqlite"),
            format!("{FOLDER}/{photo}"),
        ])
        .args(more)
        .stdout(Stdio::null())
        .status()
        .expect("the program can be started")
}
