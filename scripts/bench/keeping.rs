//! An archive of ten thousand finishes: how large it is, and how long the program takes to list and to search it.
//!
//! Whole processes are timed, the opening of the file included; medians of nine, after one that warms the disk's cache. The
//! readings are those of one painted panel, each figure moved a little, so that every text is another and as long as real ones.

#![expect(clippy::print_stdout, reason = "the figures are what it is run for")]

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use paneprint::archive::{
    Approval, Archive, NewFinish, NewReading, Pictures, Source, TakeBack, verify,
};
use paneprint::fingerprint::Fingerprint;
use paneprint::fingerprint::look::{FORM, Look};
use paneprint::frame::placement::Placement;
use paneprint::pipeline;
use paneprint::placement::Given;
use paneprint::settings::Settings;
use paneprint::synth::{Arrangement, Clouds, Finish, Shot, Speckles, photograph};
use paneprint::units::SizeMm;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rusqlite::{Connection, params};

const MANY: usize = 10_000;
const FOLDER: &str = env!("CARGO_TARGET_TMPDIR");
const SIZE: SizeMm = SizeMm {
    width: 300.0,
    height: 300.0,
};

/// Whole processes are timed so often.
const TIMES: usize = 9;

type Done<T = ()> = Result<T, Box<dyn std::error::Error>>;

fn main() -> Done {
    let folder = Path::new(FOLDER);
    let file = folder.join("ten-thousand.sqlite");
    let _ = std::fs::remove_file(&file);
    let begun = Instant::now();
    fill(&file, &painted(folder)?)?;
    let bytes = std::fs::metadata(&file)?.len();
    println!(
        "{MANY} finishes kept in {:.1} s",
        begun.elapsed().as_secs_f64()
    );
    println!(
        "{:.1} MB, {:.1} kB a finish without pictures",
        bytes as f64 / 1e6,
        bytes as f64 / 1e3 / MANY as f64
    );
    for args in [
        &["list"][..],
        &["list", "--json"],
        &["find", "finish 5000"],
        &["show", "finish 5000"],
        &["approve", "finish 5000"],
    ] {
        println!(
            "{:<24}{:>8.3} s",
            args.join(" "),
            median(&file, args)?.as_secs_f64()
        );
    }
    let begun = Instant::now();
    let found = verify(&file)?;
    println!(
        "verify                  {:>8.3} s, {} problems",
        begun.elapsed().as_secs_f64(),
        found.problems.len()
    );
    Ok(())
}

/// A reading of a painted panel.
fn painted(folder: &Path) -> Done<Fingerprint> {
    let finish = Finish {
        veil: 0.05,
        clouds: Some(Clouds {
            scale_mm: 8.0,
            depth: 0.1,
        }),
        speckles: Some(Speckles {
            per_cm2: 4.0,
            diameter_median_mm: 1.6,
            spread: 0.2,
            arrangement: Arrangement::Spaced,
            floor: 0.0,
        }),
        ..Finish::seeded(3)
    };
    let photo = photograph(
        &finish.paint(SIZE, 8.0),
        &Shot::bench(SIZE).sized(3000, 2400),
    );
    let path = folder.join("ten-thousand.jpg");
    std::fs::write(&path, photo.jpeg()?)?;
    let Placement {
        size,
        corners,
        patches,
        ..
    } = photo.placement;
    let given = Given {
        size: Some(size),
        corners: Some(corners),
        patches,
        ..Given::default()
    };
    Ok(pipeline::read(&path, given, None, &Settings::default())?.fingerprint)
}

/// Keeps one as the program does, and the rest as copies of its rows in one transaction.
fn fill(path: &Path, reading: &Fingerprint) -> Done {
    let mut archive = Archive::open(path)?;
    archive.keep(&NewFinish {
        name: "finish 0",
        kept_at: "2026-01-01T00:00:00Z",
        photo_name: "panel.jpg",
        reading: NewReading {
            fingerprint: reading,
            pictures: &Pictures {
                silver_map: png(map_side(reading))?,
                thumbnail: png(1)?,
                colour: None,
            },
            source: Source::Photo,
        },
        notes: "poured still, 40 s, rinsed twice",
        photo: None,
    })?;
    drop(archive);
    let mut rng = Pcg64::seed_from_u64(7);
    let mut file = Connection::open(path)?;
    let all = file.transaction()?;
    for i in 1..MANY {
        let mut other = reading.clone();
        let m = &mut other.measurements;
        let mut moved = |v: &mut f64| *v *= 1.0 + 0.2 * (rng.random::<f64>() - 0.5);
        for measure in [
            &mut m.coverage,
            &mut m.aggressiveness,
            &mut m.speckle_density,
        ]
        .into_iter()
        .flatten()
        {
            moved(&mut measure.value);
        }
        m.silver_histogram.iter_mut().for_each(&mut moved);
        for window in &mut m.window_values {
            moved(&mut window.coverage);
            moved(&mut window.mean_square_loss);
            moved(&mut window.speckle_density);
        }
        let text = serde_json::to_string(&other)?;
        let value = |key: &str| {
            let row = paneprint::fingerprint::metric::metric(key)?;
            row.of(&other.measurements).ok().map(|e| e.value)
        };
        let id = i + 1;
        all.prepare_cached(
            "INSERT INTO finish SELECT ?1, ?2, kept_at, photo_name, photo_digest, settings_digest, version, stage, notes,
             NULL, ?3, ?4, NULL FROM finish WHERE id = 1",
        )?
        .execute(params![
            i64::try_from(id)?,
            format!("finish {i}"),
            value("coverage"),
            value("aggressiveness")
        ])?;
        all.prepare_cached(
            "INSERT INTO reading SELECT ?1, ?1, read_at, source, silver_map, picture, ?2, ?3, NULL, NULL FROM reading WHERE id = 1",
        )?
        .execute(params![
            i64::try_from(id)?,
            blake3::hash(text.as_bytes()).to_hex().to_string(),
            text
        ])?;
        all.prepare_cached("INSERT INTO look VALUES (?1, ?2, ?3, ?4, NULL)")?
            .execute(params![
                i64::try_from(id)?,
                FORM,
                Look::kind_of(&other),
                Look::of(&other).to_bytes()
            ])?;
    }
    all.execute("UPDATE finish SET reading_id = id", [])?;
    all.commit()?;
    // The next write of the program gives all rows their checksums.
    let approval = Approval {
        approved_at: "2026-01-02T00:00:00Z".to_owned(),
        ..Approval::default()
    };
    Ok(Archive::open(path)?.approve("finish 0", &approval, &TakeBack::default())?)
}

/// A blank picture.
fn png(side: u32) -> Done<Vec<u8>> {
    let blank = image::GrayImage::new(side, side);
    Ok(paneprint::silver::png(&blank)?)
}

/// Side of the smallest silver map that can be of the reading, pixels.
fn map_side(reading: &Fingerprint) -> u32 {
    let fits = |side: &u32| {
        let side = *side as usize;
        reading.provenance.fits_map(side, side)
    };
    (1..).find(fits).unwrap_or(1)
}

fn median(file: &Path, args: &[&str]) -> Done<Duration> {
    let once = || -> Done<Duration> {
        let begun = Instant::now();
        let run = Command::new(env!("CARGO_BIN_EXE_paneprint"))
            .arg("--archive")
            .arg(file)
            .args(args)
            .output()?;
        if run.status.success() {
            Ok(begun.elapsed())
        } else {
            Err(String::from_utf8_lossy(&run.stderr).into())
        }
    };
    once()?;
    let mut all = (0..TIMES).map(|_| once()).collect::<Done<Vec<_>>>()?;
    all.sort();
    Ok(all[TIMES / 2])
}
