//! What the demo's photos show. A studio makes panels for an alcove: a plain mirror in the panel's place, a first try at
//! the sample that was signed, the sample itself three times over, and three panels made after it.

use serde::Serialize;

use crate::frame::placement::PatchKind;
use crate::synth::{Arrangement, Clouds, Finish, Outline, Reflection, Ridges, Shot, Speckles};
use crate::units::SizeMm;

/// Size of the demo photos: the 4 to 3 of a 12-megapixel phone, in fewer pixels.
const PHOTO_PX: (usize, usize) = (2400, 1800);

/// JPEG quality of the demo photos.
const JPEG_QUALITY: u8 = 85;

/// One painted photo.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Scene {
    /// File name of the photo.
    pub(super) photo: &'static str,
    /// What it shows.
    pub(super) shows: &'static str,
    /// Real size of what lies in it.
    pub(super) size: SizeMm,
    /// Resolution it was painted at.
    pub(super) px_per_mm: f64,
    /// What was painted, with its seed.
    pub(super) finish: Finish,
    /// How it was photographed.
    pub(super) shot: Shot,
}

/// The plain mirror that teaches the rig.
pub(super) const PLAIN: &str = "plain-mirror.jpg";
/// The sample, with somebody standing before the board.
pub(super) const FIRST_TRY: &str = "first-try.jpg";
/// The sample that was signed.
pub(super) const SAMPLE: &str = "signed-sample.jpg";
/// The sample, taken out and put back twice.
pub(super) const AGAIN: [&str; 2] = ["sample-again-1.jpg", "sample-again-2.jpg"];
/// The panels made after it.
pub(super) const PANELS: [&str; 3] = ["alcove-1.jpg", "alcove-2.jpg", "alcove-3.jpg"];

/// The panels from light to heavy.
pub(super) const LIGHT_TO_HEAVY: [usize; 3] = [1, 0, 2];

/// Their real size.
pub(super) const PANEL_SIZE: SizeMm = SizeMm {
    width: 400.0,
    height: 300.0,
};

/// Every photo of the demo.
pub(super) fn scenes() -> Vec<Scene> {
    let sample = SizeMm {
        width: 200.0,
        height: 200.0,
    };
    let panel = PANEL_SIZE;
    let scene = |photo, shows, size, finish, shot: Shot| Scene {
        photo,
        shows,
        size,
        px_per_mm: 12.0,
        finish,
        shot,
    };
    vec![
        scene(
            PLAIN,
            "a plain, unaged mirror in the panel's place",
            panel,
            Finish::seeded(40),
            shot(panel, 1),
        ),
        scene(
            FIRST_TRY,
            "the sample, with somebody standing before the board",
            sample,
            aged(41, 1.0),
            Shot {
                reflections: vec![Reflection {
                    outline: Outline::Person,
                    centre_mm: [35.0, 25.0],
                    size_mm: [80.0, 150.0],
                    turn_deg: 0.0,
                    light: [0.35, 0.38, 0.5],
                    soft_mm: 1.5,
                }],
                ..shot(sample, 6)
            },
        ),
        scene(
            SAMPLE,
            "the sample that was signed",
            sample,
            aged(41, 1.0),
            shot(sample, 2),
        ),
        scene(
            AGAIN[0],
            "the sample, taken out and put back",
            sample,
            aged(41, 1.0),
            Shot {
                tilt_x_deg: 1.5,
                exposure_ev: 0.1,
                ..shot(sample, 7)
            },
        ),
        scene(
            AGAIN[1],
            "the sample, taken out and put back once more",
            sample,
            aged(41, 1.0),
            Shot {
                tilt_y_deg: 1.5,
                exposure_ev: -0.1,
                ..shot(sample, 8)
            },
        ),
        scene(
            PANELS[0],
            "a panel like the sample",
            panel,
            aged(42, 1.0),
            Shot {
                exposure_ev: -0.4,
                tilt_y_deg: 4.0,
                ..shot(panel, 3)
            },
        ),
        scene(
            PANELS[1],
            "a panel stopped too early",
            panel,
            aged(43, 0.35),
            Shot {
                white_balance: [1.1, 1.0, 0.86],
                ..shot(panel, 4)
            },
        ),
        scene(
            PANELS[2],
            "a panel left too long",
            panel,
            aged(44, 1.9),
            Shot {
                exposure_ev: 0.2,
                tilt_x_deg: -5.0,
                ..shot(panel, 5)
            },
        ),
    ]
}

/// The finish of the demo, attacked `strength` times as hard as the sample.
fn aged(seed: u64, strength: f64) -> Finish {
    Finish {
        veil: 0.03 * strength,
        clouds: Some(Clouds {
            depth: 0.05 * strength,
            scale_mm: 9.0,
        }),
        ridges: Some(Ridges {
            angle_deg: 62.0,
            spacing_mm: 9.0,
            depth: 0.18 * strength,
            wobble_deg: 4.0,
        }),
        speckles: Some(Speckles {
            per_cm2: 2.2 * strength,
            diameter_median_mm: 1.4,
            spread: 0.35,
            arrangement: Arrangement::Random,
            floor: 0.02,
        }),
        ..Finish::seeded(seed)
    }
}

/// A photo on the studio's bench: a grey card at the right, light from the upper left.
fn shot(size: SizeMm, seed: u64) -> Shot {
    Shot {
        slope: 0.15,
        slope_direction_deg: 140.0,
        vignette: 0.04,
        jpeg_quality: JPEG_QUALITY,
        seed,
        patches: Vec::new(),
        ..Shot::bench(size)
    }
    .with_patch(PatchKind::Grey, size, [1.0, 0.0])
    .sized(PHOTO_PX.0, PHOTO_PX.1)
}
