//! Times of the decisions that grow with their number: the nearest of 100,000 looks, and the order of a wall.

use std::num::NonZero;
use std::path::Path;
use std::sync::LazyLock;

use divan::{Bencher, black_box};
use paneprint::archive::Archive;
use paneprint::compare::find::{Near, nearest};
use paneprint::compare::wall::arrange::{Arrangement, Grid, Steps, arrange};
use paneprint::fingerprint::VERSION;
use paneprint::fingerprint::look::{DIMENSIONS, FORM, Look};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

const MANY: usize = 100_000;
const KIND: &str = "bench";
const FILE: &str = concat!(env!("CARGO_TARGET_TMPDIR"), "/looks.sqlite");
const FIVE: NonZero<usize> = NonZero::new(5).expect("not zero");

static LOOKS: LazyLock<Vec<(i64, Look)>> = LazyLock::new(|| {
    let mut rng = Pcg64::seed_from_u64(5);
    let mut look = || {
        Look(std::array::from_fn::<f32, DIMENSIONS, _>(|_| {
            6.0 * rng.random::<f32>()
        }))
    };
    (1..).take(MANY).map(|id| (id, look())).collect()
});

fn main() {
    keep_all().expect("an archive can be written");
    divan::main();
}

/// An archive of so many finishes, their fingerprints left out: a search opens only those it names.
fn keep_all() -> Result<(), Box<dyn std::error::Error>> {
    let _ = std::fs::remove_file(FILE);
    drop(Archive::open(Path::new(FILE))?);
    let mut file = rusqlite::Connection::open(FILE)?;
    let all = file.transaction()?;
    for (id, look) in LOOKS.iter() {
        all.prepare_cached(
            "INSERT INTO finish (id, name, kept_at, photo_name, photo_digest, settings_digest, version, notes)
             VALUES (?1, ?2, '', '', '', '', ?3, '')",
        )?
        .execute((id, format!("finish {id}"), VERSION))?;
        all.prepare_cached("INSERT INTO look VALUES (?1, ?2, ?3, ?4, NULL)")?
            .execute((id, FORM, KIND, look.to_bytes()))?;
    }
    Ok(all.commit()?)
}

#[divan::bench]
fn a_nearest_of_100_000_in_memory(bencher: Bencher) {
    bencher.bench(|| -> Vec<Near> { nearest(black_box(&LOOKS), &LOOKS[MANY / 2].1, FIVE) });
}

/// The same from the archive file, opened and read.
#[divan::bench(sample_count = 20)]
fn b_nearest_of_100_000_in_an_archive() -> paneprint::Result<Vec<Near>> {
    let looks = Archive::open(Path::new(FILE))?.looks(KIND)?.all;
    Ok(nearest(&looks, &LOOKS[MANY / 2].1, FIVE))
}

/// The same of an archive that is open already.
#[divan::bench(sample_count = 20)]
fn c_reading_100_000_looks(bencher: Bencher) {
    bencher
        .with_inputs(|| Archive::open(Path::new(FILE)).expect("it was written"))
        .bench_refs(|archive| archive.looks(KIND).map(|looks| looks.all.len()));
}

/// The order of panels with a tone of their own and four edges about it.
#[divan::bench(args = [(1, 12), (1, 16), (3, 4), (4, 6)], sample_count = 5)]
fn d_wall(bencher: Bencher, (rows, cols): (usize, usize)) {
    let mut rng = Pcg64::seed_from_u64(9);
    let edges: Vec<[f64; 4]> = (0..rows * cols)
        .map(|_| {
            let tone = 10.0 * rng.random::<f64>();
            std::array::from_fn(|_| tone + 2.0 * rng.random::<f64>())
        })
        .collect();
    // Left, right, top, bottom; turned they change places.
    let edge = |panel: usize, turned: bool, side: usize| edges[panel][side ^ usize::from(turned)];
    let step = |first: f64, second: f64| (first - second).abs();
    let steps = Steps::of(
        Grid { rows, cols },
        true,
        |l, r| step(edge(l.panel, l.turned, 1), edge(r.panel, r.turned, 0)),
        |u, d| step(edge(u.panel, u.turned, 3), edge(d.panel, d.turned, 2)),
        |_, _| 0.0,
    );
    bencher.bench(|| -> Option<Arrangement> { arrange(black_box(&steps), 1) });
}
