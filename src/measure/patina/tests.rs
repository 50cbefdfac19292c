use rand::{RngExt, SeedableRng};

use super::*;
use crate::frame::panel::{Colour, ColourCell, REMAINS, SilverScale, Tone};
use crate::frame::piece;
use crate::frame::placement::Side;
use crate::measure::{Measurements, measure};
use crate::ops::smooth::gaussian;
use crate::ops::transfer::{lab, srgb_decode};
use crate::quality::FlagSet;
use crate::units::SizeMm;

const PX_PER_MM: f64 = 4.0;
const CELL_PX: usize = 2;

/// A panel of some silver whose colour cells each have the light that is asked for, relative to full silver.
fn panel(silver: Plane, mut light: impl FnMut(f64, f64) -> [f32; 3]) -> Panel {
    let (rows, cols) = silver.dim();
    let shape = (rows / CELL_PX, cols / CELL_PX);
    let mm = |at: usize| (at as f64 + 0.5) * CELL_PX as f64 / PX_PER_MM;
    let cells = ndarray::Array2::from_shape_fn(shape, |(r, c)| {
        let block = piece(
            &silver,
            r * CELL_PX..(r + 1) * CELL_PX,
            c * CELL_PX..(c + 1) * CELL_PX,
        );
        let remains = block.iter().filter(|s| **s >= REMAINS).count() as f32;
        ColourCell {
            silver: if remains > 0.0 {
                light(mm(c), mm(r))
            } else {
                [0.0; 3]
            },
            remains: remains / block.len() as f32,
            tint: [255; 3],
        }
    });
    let none = || Plane::zeros((1, 1));
    Panel {
        rim_mm: 0.0,
        tone: Tone {
            cell_px: rows.max(cols),
            planes: [none(), none(), none()],
            weight: none(),
        },
        colour: Colour {
            cell_px: CELL_PX,
            cells,
        },
        size: SizeMm {
            width: cols as f64 / PX_PER_MM,
            height: rows as f64 / PX_PER_MM,
        },
        px_per_mm: PX_PER_MM,
        blur_mm: 0.15,
        side: Side::Front,
        stage: None,
        silver_scale: SilverScale::Plain,
        light_doubt: 0.0,
        flags: FlagSet::default(),
        steps: Vec::new(),
        silver,
    }
}

fn full() -> Plane {
    Plane::ones((400, 400))
}

fn read(panel: &Panel) -> Measurements {
    measure(panel, &Settings::default()).numbers
}

fn value(measure: Measure) -> f64 {
    measure.unwrap().value
}

/// Light of an sRGB colour.
fn srgb(codes: [u8; 3]) -> [f32; 3] {
    codes.map(|code| srgb_decode(f64::from(code) / 255.0) as f32)
}

#[test]
fn an_even_tint_has_its_published_chroma_and_hue() {
    // CIELAB of sRGB (200, 190, 170): chroma 11.3647, hue 89.258 (fixtures/published/srgb_to_lab.csv; colour-science 0.4.7).
    let found = read(&panel(full(), |_, _| srgb([200, 190, 170])));
    assert!(
        (value(found.patina_chroma) - 11.365).abs() < 0.3,
        "{:?}",
        found.patina_chroma
    );
    assert!(
        (value(found.patina_hue) - 89.26).abs() < 0.5,
        "{:?}",
        found.patina_hue
    );
    assert!((value(found.patina_fraction) - 1.0).abs() < 1e-9);
    assert_eq!(found.patina_scale, Err(Unmeasured::EvenColour));
    assert_eq!(found.halo, Err(Unmeasured::NoDarkPlaces));
}

#[test]
fn grey_silver_has_no_patina_whatever_its_light() {
    let found = read(&panel(full(), |x, _| [0.4 + 0.005 * x as f32; 3]));
    assert!(value(found.patina_fraction).abs() < 1e-9);
    assert!(value(found.patina_chroma) < 0.5);
    assert_eq!(found.patina_hue, Err(Unmeasured::NoPatina));
}

#[test]
fn a_coloured_third_is_a_third() {
    let found = read(&panel(full(), |x, _| {
        if x < 100.0 / 3.0 {
            srgb([200, 190, 170])
        } else {
            [1.0; 3]
        }
    }));
    // At a blur of 1 mm the edge of chroma 11.4 passes 6 close to the line.
    assert!((value(found.patina_fraction) - 1.0 / 3.0).abs() < 0.015);
    assert!((value(found.patina_hue) - 89.26).abs() < 2.0);
}

#[test]
fn only_what_has_silver_counts() {
    // The right half is bare, with whatever light; the upper half of the rest is coloured.
    let silver = Plane::from_shape_fn((400, 400), |(_, c)| if c < 200 { 0.9 } else { 0.1 });
    let found = read(&panel(silver, |_, y| {
        if y < 50.0 {
            srgb([200, 190, 170])
        } else {
            [0.9; 3]
        }
    }));
    assert!((value(found.patina_fraction) - 0.5).abs() < 0.015);
}

#[test]
fn noise_about_grey_is_no_colour() {
    let mut rng = rand_pcg::Pcg64::seed_from_u64(3);
    let panel = panel(full(), |_, _| {
        [0, 1, 2].map(|_| 0.9 + 0.2 * (rng.random::<f32>() - 0.5))
    });
    let colour = Chroma::new(&panel).unwrap();
    let mean = |of: &dyn Fn(f32, f32) -> f32| {
        let all = colour
            .a
            .iter()
            .zip(&colour.b)
            .map(|(a, b)| f64::from(of(*a, *b)));
        (all.sum::<f64>() / colour.a.len() as f64).sqrt()
    };
    // Root of the mean square, with the noise's own part and without.
    let with = mean(&|a, b| a * a + b * b);
    let noise = f64::from(colour.noise).sqrt();
    assert!(with > 0.5, "{with}");
    assert!((noise / with - 1.0).abs() < 0.1, "{noise} {with}");
}

#[test]
fn a_halo_is_the_chroma_about_the_dark_less_that_elsewhere() {
    // The left fifth is bare; from there colour fades over 20 mm.
    let silver = Plane::from_shape_fn((400, 400), |(_, c)| if c < 80 { 0.0 } else { 1.0 });
    let light = |away: f64| {
        let w = 0.5 * (1.0 - away / 20.0).clamp(0.0, 1.0) as f32;
        [1.0, 1.0 - 0.2 * w, 1.0 - 0.7 * w]
    };
    let found = read(&panel(silver, |x, _| light(x - 20.0)));
    let chroma = |away: f64| {
        let [_, a, b] = lab(light(away).map(f64::from));
        a.hypot(b)
    };
    let mean = |from: f64, to: f64| {
        let places = (0..1000).map(|i| from + (to - from) * (f64::from(i) + 0.5) / 1000.0);
        places.map(chroma).sum::<f64>() / 1000.0
    };
    let truth = mean(0.0, 1.5) - mean(1.5, 80.0);
    assert!(
        (value(found.halo) - truth).abs() < 1.0,
        "{:?} {truth}",
        found.halo
    );
}

#[test]
fn patches_have_the_scale_of_the_field_they_come_from() {
    // exp(−h²/4σ²) falls to 1/e at 2σ; the blur of 1 mm adds to σ².
    let mut rng = rand_pcg::Pcg64::seed_from_u64(8);
    let noise = Plane::from_shape_simple_fn((400, 400), || rng.random::<f32>() - 0.5);
    let field = gaussian(&noise, 3.0 * 2.0);
    let spread = field.std(0.0);
    let silver = Plane::ones((800, 800));
    let found = read(&panel(silver, |x, y| {
        let w = (0.35 + 0.07 * field[[(2.0 * y) as usize, (2.0 * x) as usize]] / spread)
            .clamp(0.0, 1.0);
        [1.0, 1.0 - 0.2 * w, 1.0 - 0.7 * w]
    }));
    let truth = 2.0 * (9.0_f64 + 1.0).sqrt();
    assert!(
        (value(found.patina_scale) / truth - 1.0).abs() < 0.1,
        "{:?} {truth}",
        found.patina_scale
    );
}

#[test]
fn what_the_card_leaves_in_doubt_widens_in_quadrature() {
    let found = Estimate {
        value: 10.0,
        low: 7.0,
        high: 14.0,
    };
    // 3² + 4² = 5² below; 4² + 3² = 5² above; along the other axis both ways lead down: the further counts.
    let wide = less_sure(found, &[-4.0, 3.0, 0.0, 0.0]);
    assert!((wide.low - 5.0).abs() < 1e-12 && (wide.high - 15.0).abs() < 1e-12);
    let down = less_sure(found, &[-4.0, -1.0, 0.0, 0.0]);
    assert!((down.low - 5.0).abs() < 1e-12 && (down.high - 14.0).abs() < 1e-12);
}

#[test]
fn colour_at_the_limit_may_be_all_patina_or_none() {
    // An even chroma of 6.5: moved by 0.8 in b* it may be under 6.
    let tint = [1.0, 0.96, 0.853];
    let [_, a, b] = lab(tint);
    assert!((6.2..7.2).contains(&a.hypot(b)), "{}", a.hypot(b));
    let found = read(&panel(full(), |_, _| tint.map(|v| v as f32)))
        .patina_fraction
        .unwrap();
    assert!(found.low < 0.05 && found.high > 0.99, "{found:?}");
}
