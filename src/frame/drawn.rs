//! Panels and photos drawn for the tests, pixel by pixel: what they hold is known exactly.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "light is from 0 to 1, and codes are rounded"
)]

use super::Plane;
use super::panel::{Colour, Panel, SilverScale, Tone};
use super::photo::{Capture, ColourSource, Linearisation, Photo, Samples};
use super::placement::{GREY_CARD_REFLECTANCE, Patch, PatchKind, Placement, Side};
use super::quad::Quad;
use crate::quality::FlagSet;
use crate::units::SizeMm;

/// A plane drawn by characters: `.` is 1, `#` is 0, and a digit is so many tenths.
pub(crate) fn plane(lines: &[&str]) -> Plane {
    let value = |c: char| match c {
        '.' => 1.0,
        '#' => 0.0,
        digit => digit.to_digit(10).expect("a digit") as f32 / 10.0,
    };
    let cells = lines.iter().flat_map(|line| line.chars().map(value));
    Plane::from_shape_vec((lines.len(), lines[0].len()), cells.collect()).expect("a rectangle")
}

/// A front of exactly this silver, without colour, blur or noise. Its tone is that of its silver, neutral, in cells of a pixel.
pub(crate) fn panel(silver: Plane, px_per_mm: f64) -> Panel {
    let (rows, cols) = silver.dim();
    Panel {
        rim_mm: 0.0,
        tone: Tone {
            cell_px: 1,
            planes: [silver.clone(), silver.clone(), silver.clone()],
            weight: silver.mapv(|s| f32::from(u8::from(s >= 0.5))),
        },
        colour: Colour::none(),
        silver,
        size: SizeMm {
            width: cols as f64 / px_per_mm,
            height: rows as f64 / px_per_mm,
        },
        px_per_mm,
        blur_mm: 0.0,
        side: Side::Front,
        stage: None,
        silver_scale: SilverScale::Plain,
        light_doubt: 0.0,
        flags: FlagSet::default(),
        steps: Vec::new(),
    }
}

/// A photo whose 16-bit codes are linear light, 1 at the top; `light` is asked for the light at a column and a row.
pub(crate) fn photo(
    [width, height]: [usize; 2],
    light: impl Fn(usize, usize) -> [f64; 3],
) -> Photo {
    let code = |v: f64| (v * 65_535.0).round() as u16;
    let pixels = (0..width * height).flat_map(|i| light(i % width, i / width).map(code));
    let linear: Vec<f32> = (0..=u16::MAX)
        .map(|code| f32::from(code) / 65_535.0)
        .collect();
    Photo {
        width,
        height,
        samples: Samples::Sixteen(pixels.collect()),
        linear: Linearisation {
            tables: [linear.clone(), linear.clone(), linear],
            to_rec709: None,
            source: ColourSource::AssumedSrgb,
        },
        capture: Capture::default(),
        digest: String::new(),
    }
}

/// A panel of 100 mm that lies square in a photo, without patches.
pub(crate) fn placement(corners: Quad) -> Placement {
    Placement {
        size: SizeMm {
            width: 100.0,
            height: 100.0,
        },
        corners,
        patches: Vec::new(),
        patch_reflectance: GREY_CARD_REFLECTANCE,
        side: Side::Front,
        stage: None,
        found: None,
    }
}

/// A patch of the grey card's reflectance.
pub(crate) fn patch(kind: PatchKind, corners: Quad) -> Patch {
    Patch {
        kind,
        corners,
        reflectance: None,
    }
}
