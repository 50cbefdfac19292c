//! The bench: paints a finish, photographs it to the bytes of a file, reads the file as the program does.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::OnceLock;

use paneprint::frame::panel::{Colour, ColourCell, Panel, REMAINS, SilverScale, Tone};
use paneprint::frame::placement::{Placement, Side};
use paneprint::intake;
use paneprint::measure::Measurements;
use paneprint::normalize::Rig;
use paneprint::ops::reduce::block_mean;
use paneprint::ops::smooth::gaussian;
use paneprint::ops::transfer::srgb_code;
use paneprint::pipeline::{self, Reading};
use paneprint::placement::Given;
use paneprint::quality::FlagSet;
use paneprint::settings::Settings;
use paneprint::stats::spatial::clark_evans;
use paneprint::synth::{Arrangement, Finish, Painted, Ridges, Shot, Speckles, Truth, photograph};
use paneprint::units::{Measure, SizeMm, axial_difference};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

/// The approved sample a studio would keep.
pub(crate) const SAMPLE: SizeMm = SizeMm {
    width: 150.0,
    height: 150.0,
};

/// A panel to hang.
pub(crate) const LARGE: SizeMm = SizeMm {
    width: 900.0,
    height: 600.0,
};

/// Samples are painted finer than they are read, the smallest speckle that counts (0.4 mm) over 6 pixels.
pub(crate) const SAMPLE_PX_PER_MM: f64 = 16.0;

/// The studio's corner: light that grows by a fifth across the frame, darker corners, a grey card at the right.
pub(crate) fn corner(size: SizeMm) -> Shot {
    Shot {
        slope: 0.2,
        slope_direction_deg: 30.0,
        vignette: 0.05,
        ..Shot::bench(size)
    }
}

/// The same at 5 megapixels.
pub(crate) fn sample_shot() -> Shot {
    corner(SAMPLE).sized(2592, 1944)
}

/// A finish as most are: a thin veil, ridges and specks.
pub(crate) fn aged(seed: u64) -> Finish {
    Finish {
        veil: 0.05,
        ridges: Some(Ridges {
            angle_deg: 80.0,
            spacing_mm: 8.0,
            depth: 0.2,
            wobble_deg: 4.0,
        }),
        speckles: Some(Speckles {
            per_cm2: 2.0,
            diameter_median_mm: 1.4,
            spread: 0.35,
            arrangement: Arrangement::Random,
            floor: 0.02,
        }),
        ..Finish::seeded(seed)
    }
}

/// The corner learnt from the photo of an unaged sample.
pub(crate) fn sample_rig() -> &'static Rig {
    static RIG: OnceLock<Rig> = OnceLock::new();
    RIG.get_or_init(|| rig(SAMPLE, &sample_shot()))
}

/// Learns a rig from an unaged mirror of this size, photographed like this.
pub(crate) fn rig(size: SizeMm, shot: &Shot) -> Rig {
    // An even field is the same at any resolution.
    let photo = photograph(&Finish::seeded(1).paint(size, 4.0), shot);
    let path = Path::new("plain.jpg");
    let decoded =
        intake::from_bytes(photo.jpeg().unwrap(), path, &intake::Limits::default()).unwrap();
    let settings = Settings::default().normalize;
    Rig::from_plain("corner", path, &decoded, &photo.placement, &settings).unwrap()
}

/// What a maker would say of a photo of which the placement is known.
pub(crate) fn given(placement: &Placement) -> Given {
    Given {
        size: Some(placement.size),
        proportions: None,
        corners: Some(placement.corners),
        patches: placement.patches.clone(),
        patch_reflectance: Some(placement.patch_reflectance),
        side: Some(placement.side),
        stage: placement.stage,
        steps: Vec::new(),
    }
}

/// Reads the bytes of a photo with its placement given.
pub(crate) fn read(bytes: Vec<u8>, placement: &Placement, rig: Option<&Rig>) -> Reading {
    let path = Path::new("panel.jpg");
    let photo = intake::from_bytes(bytes, path, &intake::Limits::default()).unwrap();
    pipeline::reading(photo, path, given(placement), rig, &Settings::default()).unwrap()
}

/// Photographs a painted panel and reads the JPEG file.
pub(crate) fn read_shot(painted: &Painted, shot: &Shot, rig: Option<&Rig>) -> Reading {
    let photo = photograph(painted, shot);
    read(photo.jpeg().unwrap(), &photo.placement, rig)
}

/// A painted panel as a sharp and quiet camera would hand it on: no photo is taken.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cell spans some pixels"
)]
pub(crate) fn panel_of(painted: &Painted, seed: u64) -> Panel {
    let mut rng = Pcg64::seed_from_u64(seed);
    let cut = painted.cut().to_owned();
    let mut silver = gaussian(&cut, PANEL_BLUR_MM * painted.px_per_mm);
    silver.mapv_inplace(|s| s + PANEL_NOISE * rng.sample::<f32, _>(StandardNormal));
    let cell_px = 8;
    let cells = block_mean(&silver, cell_px);
    // Thin silver is warm.
    let warmed = |s: f32, by: f32| s * (1.0 - by * (1.0 - s));
    let warm = |by: f32| cells.mapv(|s| warmed(s, by));
    let fine_px = (painted.px_per_mm / 2.0).round() as usize;
    let colour = Colour {
        cell_px: fine_px,
        cells: block_mean(&silver, fine_px).mapv(|s| {
            let ratios = [0.0, 0.1, 0.4].map(|by| warmed(s, by));
            ColourCell {
                silver: ratios,
                remains: if s >= REMAINS { 1.0 } else { 0.0 },
                tint: ratios.map(|ratio| srgb_code(ratio / ratios[0])),
            }
        }),
    };
    let weight = (cell_px * cell_px) as f32;
    Panel {
        rim_mm: 0.0,
        tone: Tone {
            cell_px,
            planes: [warm(0.0), warm(0.1), warm(0.4)],
            weight: cells.mapv(|s| if s >= 0.5 { weight } else { 0.0 }),
        },
        colour,
        silver,
        size: painted.size,
        px_per_mm: painted.px_per_mm,
        blur_mm: PANEL_BLUR_MM,
        side: Side::Front,
        stage: None,
        silver_scale: SilverScale::Plain,
        light_doubt: 0.0,
        flags: FlagSet::default(),
        steps: Vec::new(),
    }
}

/// Blur of [`panel_of`], mm.
const PANEL_BLUR_MM: f64 = 0.12;

/// Standard deviation of its noise, silver level.
const PANEL_NOISE: f32 = 0.01;

/// How far a reading may lie from the truth.
#[derive(Clone, Copy)]
pub(crate) struct Bounds {
    pub(crate) coverage: f64,
    pub(crate) dark_fraction: f64,
    pub(crate) aggressiveness: f64,
    /// Share of the true speckle density and of the true median diameter.
    pub(crate) speckles: f64,
    pub(crate) streak_angle_deg: f64,
    pub(crate) veil_fraction: f64,
    pub(crate) speckle_evenness: f64,
    /// Share of the true spacing.
    pub(crate) streak_spacing: f64,
    /// Share of the true scale.
    pub(crate) cloud_scale: f64,
    /// In a* and in b*.
    pub(crate) tone: f64,
    pub(crate) edge_loss: f64,
}

/// One measure of one panel against what it should be.
pub(crate) struct Row {
    panel: String,
    measure: &'static str,
    got: Measure,
    wanted: Option<f64>,
    off: f64,
    bound: f64,
}

impl Row {
    /// `off` says how far a value is from the wanted one, in the unit of the bound. No value is right where none is
    /// wanted, and wrong where one is.
    pub(crate) fn new(
        panel: &str,
        measure: &'static str,
        got: Measure,
        wanted: Option<f64>,
        off: impl Fn(f64, f64) -> f64,
        bound: f64,
    ) -> Self {
        Row {
            panel: panel.to_owned(),
            measure,
            off: match (got, wanted) {
                (Ok(got), Some(wanted)) => off(got.value, wanted),
                (Err(_), None) => 0.0,
                _ => f64::INFINITY,
            },
            got,
            wanted,
            bound,
        }
    }

    /// The key of its measure.
    pub(crate) fn measure(&self) -> &str {
        self.measure
    }

    fn holds(&self) -> bool {
        self.off.abs() <= self.bound
    }
}

/// Difference, in the unit of the measure.
pub(crate) fn difference(got: f64, wanted: f64) -> f64 {
    got - wanted
}

/// Difference as a share of what is wanted; of none at all, nothing may be found.
pub(crate) fn share(got: f64, wanted: f64) -> f64 {
    if wanted > 0.0 {
        got / wanted - 1.0
    } else if got > 0.0 {
        f64::INFINITY
    } else {
        0.0
    }
}

/// Smallest turn, degrees.
pub(crate) fn turn(got: f64, wanted: f64) -> f64 {
    axial_difference(wanted, got)
}

/// The rows of a panel whose truth is known.
pub(crate) fn against_truth(
    panel: &str,
    got: &Measurements,
    (truth, size): (&Truth, SizeMm),
    bounds: Bounds,
) -> Vec<Row> {
    vec![
        Row::new(
            panel,
            "coverage",
            got.coverage,
            Some(truth.coverage),
            difference,
            bounds.coverage,
        ),
        Row::new(
            panel,
            "dark_fraction",
            got.dark_fraction,
            Some(truth.dark_fraction),
            difference,
            bounds.dark_fraction,
        ),
        Row::new(
            panel,
            "aggressiveness",
            got.aggressiveness,
            Some(truth.aggressiveness),
            difference,
            bounds.aggressiveness,
        ),
        Row::new(
            panel,
            "speckle_density",
            got.speckle_density,
            Some(truth.speckle_density),
            share,
            bounds.speckles,
        ),
        Row::new(
            panel,
            "speckle_diameter_median",
            got.speckle_diameter_median,
            truth.speckle_diameter_median,
            share,
            bounds.speckles,
        ),
        Row::new(
            panel,
            "streak_angle",
            got.streak_angle,
            truth.streak_angle,
            turn,
            bounds.streak_angle_deg,
        ),
        Row::new(
            panel,
            "veil_fraction",
            got.veil_fraction,
            Some(truth.veil_fraction),
            difference,
            bounds.veil_fraction,
        ),
        Row::new(
            panel,
            "speckle_evenness",
            got.speckle_evenness,
            evenness(truth, size),
            difference,
            bounds.speckle_evenness,
        ),
        Row::new(
            panel,
            "streak_spacing",
            got.streak_spacing,
            truth.streak_spacing,
            share,
            bounds.streak_spacing,
        ),
        Row::new(
            panel,
            "cloud_scale",
            got.cloud_scale,
            truth.cloud_scale,
            share,
            bounds.cloud_scale,
        ),
        Row::new(
            panel,
            "tone_a",
            got.tone_a,
            truth.tone_a,
            difference,
            bounds.tone,
        ),
        Row::new(
            panel,
            "tone_b",
            got.tone_b,
            truth.tone_b,
            difference,
            bounds.tone,
        ),
        Row::new(
            panel,
            "edge_loss",
            got.edge_loss,
            Some(truth.edge_loss),
            difference,
            bounds.edge_loss,
        ),
    ]
}

/// Evenness of the speckles as painted; `None` for fewer than ten.
fn evenness(truth: &Truth, size: SizeMm) -> Option<f64> {
    let centres = &truth.speckle_centres_mm;
    let enough = (centres.len() >= 10).then_some(centres)?;
    clark_evans(enough, size.width, size.height).map(|c| c.ratio)
}

/// Shows every row, the offending ones marked, and fails when one is out of its bound.
#[track_caller]
#[expect(
    clippy::print_stdout,
    reason = "the figures of the README are read off here"
)]
pub(crate) fn assert_within(rows: &[Row]) {
    println!("{}", table(rows));
    let out = rows.iter().filter(|r| !r.holds()).count();
    assert!(out == 0, "{out} of {} out of bounds", rows.len());
}

fn table(rows: &[Row]) -> String {
    let mut text = format!(
        "  {:40} {:24} {:>10} {:>10} {:>9} {:>8}\n",
        "panel", "measure", "got", "wanted", "off", "bound"
    );
    for row in rows {
        let number = |v: Option<f64>| v.map_or_else(|| "none".to_owned(), |v| format!("{v:.4}"));
        let _ = writeln!(
            text,
            "{} {:40} {:24} {:>10} {:>10} {:>+9.4} {:>8}",
            if row.holds() { ' ' } else { '>' },
            row.panel,
            row.measure,
            number(row.got.ok().map(|e| e.value)),
            number(row.wanted),
            row.off,
            row.bound
        );
    }
    text
}
