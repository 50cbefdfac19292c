//! From a photo's light to silver levels: a worked example, and why light is averaged and codes are not.

use paneprint::frame::photo::{Capture, ColourSource, Linearisation, Photo, Samples};
use paneprint::frame::placement::{Patch, PatchKind, Placement, Side};
use paneprint::frame::quad::Quad;
use paneprint::normalize::{Reference, Settings, normalize};
use paneprint::ops::glass::shown_by;
use paneprint::ops::transfer::srgb_decode;
use paneprint::units::SizeMm;

use super::{json, near, number, rows};

/// Photo pixels in a millimetre, and side of each of the example's six places.
const PX_PER_MM: f64 = 4.0;
const PLACE_PX: usize = 80;

/// Left and top of the panel, and of the patch below it.
const PANEL_AT: (usize, usize) = (20, 20);
const PATCH_AT: (usize, usize) = (20, 200);

/// A photo, 16 bits a channel, of a panel of 2 × 3 places above a mirror patch; black elsewhere.
fn photo(
    light_of_code: impl Fn(f64) -> f64,
    panel: impl Fn(usize, usize) -> f64,
    patch: f64,
) -> (Photo, Placement) {
    let (width, height) = (280, 260);
    let table: Vec<f32> = (0..65_536_u32)
        .map(|code| light_of_code(f64::from(code) / 65_535.0) as f32)
        .collect();
    let code = |light: f64| table.partition_point(|l| f64::from(*l) < light) as u16;
    let (rows, cols) = (2 * PLACE_PX, 3 * PLACE_PX);
    let within = |at: usize, first: usize, side: usize| (first..first + side).contains(&at);
    let samples = (0..height)
        .flat_map(|y| (0..width).map(move |x| (x, y)))
        .flat_map(|(x, y)| {
            let light = if within(x, PANEL_AT.0, cols) && within(y, PANEL_AT.1, rows) {
                panel(y - PANEL_AT.1, x - PANEL_AT.0)
            } else if within(x, PATCH_AT.0, 40) && within(y, PATCH_AT.1, 40) {
                patch
            } else {
                0.0
            };
            [code(light); 3]
        })
        .collect();
    let rectangle = |at: (usize, usize), width: usize, height: usize| {
        Quad::rectangle(at.0 as f64, at.1 as f64, width as f64, height as f64)
    };
    let placement = Placement {
        size: SizeMm {
            width: cols as f64 / PX_PER_MM,
            height: rows as f64 / PX_PER_MM,
        },
        corners: rectangle(PANEL_AT, cols, rows),
        patches: vec![Patch {
            kind: PatchKind::Mirror,
            corners: rectangle(PATCH_AT, 40, 40),
            reflectance: None,
        }],
        patch_reflectance: 0.18,
        side: Side::Front,
        stage: None,
        found: None,
    };
    let photo = Photo {
        width,
        height,
        samples: Samples::Sixteen(samples),
        linear: Linearisation {
            tables: [table.clone(), table.clone(), table],
            to_rec709: None,
            source: ColourSource::Profile,
        },
        capture: Capture::default(),
        digest: String::new(),
    };
    (photo, placement)
}

/// Reflectances of a 2 × 3 panel, of full silver (0.30) and of black (0.03), in closed form: silver levels 0.6077, 0.8121,
/// 0.9331; 0.2047, 0.4463, 0.5780.
#[test]
fn a_panel_of_six_places_has_its_silver_levels() {
    let example = json("flatfield_grey.json");
    let (values, levels) = (rows::<3>(&example["value"]), rows::<3>(&example["s"]));
    let (black, full) = (number(&example["v_black"]), number(&example["v_silver"]));
    let place = |r: usize, c: usize| values[r / PLACE_PX][c / PLACE_PX];
    let (photo, placement) = photo(|code| code, place, full);
    let settings = Settings {
        bare_ratio: black / full,
        ..Settings::default()
    };
    let panel = normalize(&photo, &placement, Reference::None, &settings).unwrap();
    let (rows, cols) = panel.silver.dim();
    let mut sum = 0.0;
    for (r, c) in (0..2).flat_map(|r| (0..3).map(move |c| (r, c))) {
        // The example knows no light that runs to and fro in the glass.
        let found = shown_by(panel.silver[[rows * (2 * r + 1) / 4, cols * (2 * c + 1) / 6]]);
        // A code is 1/65535 of the light, and full silver 0.3 of it.
        near(format!("{r} {c}"), f64::from(found), levels[r][c], 1e-4);
        sum += f64::from(found);
    }
    near(
        "coverage",
        sum / 6.0,
        number(&example["mean_s_coverage"]),
        1e-4,
    );
}

/// Half of the pixels at 0.05 and half at 0.80 of the light make 0.425; averaged as sRGB codes they would make 0.292.
#[test]
fn light_is_averaged_and_not_codes() {
    let trap = &json("flatfield_grey.json")["linear_vs_gamma_trap"];
    let (_, trap) = trap.as_object().unwrap().iter().next().unwrap();
    let full = 0.9;
    let checks = |r: usize, c: usize| {
        if (r + c).is_multiple_of(2) {
            0.05
        } else {
            0.80
        }
    };
    let (photo, placement) = photo(srgb_decode, checks, full);
    let settings = Settings {
        bare_ratio: 0.0,
        finest_px_per_mm: PX_PER_MM / 4.0,
        ..Settings::default()
    };
    let panel = normalize(&photo, &placement, Reference::None, &settings).unwrap();
    let mean = f64::from(panel.silver.mapv(shown_by).mean().unwrap()) * full;
    near("mean light", mean, number(&trap["linear_mean"]), 1e-3);
    assert!((mean - number(&trap["sRGB_code_mean_decoded"])).abs() > 0.1);
}
