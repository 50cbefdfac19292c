use image::Rgb;

use super::*;
use crate::frame::panel::{Colour, Panel, SilverScale, Tone};
use crate::frame::placement::Side;
use crate::measure::measure;
use crate::quality::FlagSet;
use crate::silver::png;
use crate::units::SizeMm;

const PX_PER_MM: f64 = 10.0;

/// A panel of 60 × 40 mm: clear on the left, veil in the middle, dark on the right, with a bare speckle of 2 mm in the
/// clear at (10 mm, 20 mm) and one cut by the left edge at 30 mm.
fn measured() -> Measured {
    let silver = Plane::from_shape_fn((400, 600), |(r, c)| {
        let (y, x) = ((r as f64 + 0.5) / PX_PER_MM, (c as f64 + 0.5) / PX_PER_MM);
        let in_disc = |cx: f64, cy: f64| (x - cx).hypot(y - cy) < 1.0;
        if in_disc(10.0, 20.0) || in_disc(0.0, 30.0) {
            return 0.0;
        }
        match x {
            x if x < 20.0 => 0.97,
            x if x < 40.0 => 0.7,
            _ => 0.1,
        }
    });
    let cells = Plane::ones((40, 60));
    let panel = Panel {
        tone: Tone {
            cell_px: 10,
            planes: [cells.clone(), cells.clone(), cells.clone()],
            weight: cells,
        },
        colour: Colour::none(),
        silver,
        rim_mm: 0.0,
        size: SizeMm {
            width: 60.0,
            height: 40.0,
        },
        px_per_mm: PX_PER_MM,
        blur_mm: 0.1,
        side: Side::Front,
        stage: None,
        silver_scale: SilverScale::Mirror,
        light_doubt: 0.0,
        flags: FlagSet::default(),
        steps: Vec::new(),
    };
    measure(&panel, &Settings::default())
}

fn drawn() -> RgbImage {
    draw(&measured(), None, PX_PER_MM, &Settings::default())
}

/// The picture's pixel at a place of the panel, mm from its top left.
fn at(picture: &RgbImage, x_mm: f64, y_mm: f64) -> Rgb<u8> {
    let scale = LONG_SIDE_PX as f64 / 60.0;
    let place = |mm: f64| (mm * scale) as u32 + MARGIN_PX as u32;
    *picture.get_pixel(place(x_mm), place(y_mm))
}

/// Mean grey of a 4 mm square of the panel about a place.
fn grey_about(picture: &RgbImage, x_mm: f64, y_mm: f64) -> f64 {
    let steps = (0..40).map(|i| f64::from(i) * 0.1 - 2.0);
    let places = steps
        .clone()
        .flat_map(|dx| steps.clone().map(move |dy| (dx, dy)));
    let grey = |p: Rgb<u8>| p.0.iter().map(|v| f64::from(*v)).sum::<f64>() / 3.0;
    let greys: Vec<f64> = places
        .map(|(dx, dy)| grey(at(picture, x_mm + dx, y_mm + dy)))
        .collect();
    greys.iter().sum::<f64>() / greys.len() as f64
}

#[test]
fn a_small_panel_is_drawn_as_large_as_a_large_one() {
    let picture = drawn();
    assert_eq!(picture.width(), LONG_SIDE_PX as u32 + 2 * MARGIN_PX as u32);
    assert!(picture.height() > 1000 + 3 * MARGIN_PX as u32);
    assert_eq!(sized(&Plane::zeros((3000, 2000)), 1500).dim(), (1500, 1000));
    assert_eq!(sized(&Plane::zeros((2, 4000)), 1500).dim(), (1, 1500));
}

#[test]
fn clear_veil_and_dark_differ_without_colour() {
    let picture = drawn();
    let (clear, veil, dark) = (
        grey_about(&picture, 15.0, 10.0),
        grey_about(&picture, 30.0, 10.0),
        grey_about(&picture, 50.0, 10.0),
    );
    // A laser printer keeps tones a fifth of the range apart.
    assert!(
        clear - veil > 51.0 && veil - dark > 51.0,
        "{clear} {veil} {dark}"
    );
}

#[test]
fn veil_is_dotted_and_the_others_are_not() {
    let silver = Plane::from_shape_fn((60, 180), |(_, c)| [0.97, 0.7, 0.1][c / 60]);
    let picture = classes::paint(&silver, None, &Settings::default());
    let colours = |from: u32| {
        let places = (from..from + 60).flat_map(|x| (0..60).map(move |y| (x, y)));
        let all: std::collections::BTreeSet<_> =
            places.map(|(x, y)| picture.get_pixel(x, y).0).collect();
        all.len()
    };
    assert_eq!([colours(0), colours(60), colours(120)], [1, 2, 1]);
}

#[test]
fn a_ring_with_black_edges_lies_around_a_speckle() {
    let measured = measured();
    let counted: Vec<_> = measured.speckles.iter().filter(|s| s.counted).collect();
    assert_eq!(counted.len(), 1);
    let scale = LONG_SIDE_PX as f64 / 60.0;
    let radius_mm = counted[0].diameter_mm / 2.0 + 5.2 / scale;
    let picture = drawn();
    for (dx, dy) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
        let ring = |off_px: f64| {
            let r = radius_mm + off_px / scale;
            at(&picture, 10.0 + dx * r, 20.0 + dy * r).0[1]
        };
        let across: Vec<u8> = (-6..=6).map(|i| ring(f64::from(i) / 2.0)).collect();
        assert!(across[6] > 200, "white on the ring: {across:?}");
        assert!(
            across[9..].iter().any(|v| *v < 80),
            "black outside it: {across:?}"
        );
    }
}

#[test]
fn a_speckle_that_was_not_counted_wears_a_broken_ring() {
    let mut whole = RgbImage::from_pixel(60, 60, Rgb([128; 3]));
    let mut broken = whole.clone();
    let speckle = |counted| crate::measure::speckle::Speckle {
        row: 30.0,
        col: 30.0,
        diameter_mm: 2.0,
        counted,
        weight: 1.0,
    };
    rings::draw(&mut whole, &[speckle(true)], 1.0, 10.0);
    rings::draw(&mut broken, &[speckle(false)], 1.0, 10.0);
    let whites = |p: &RgbImage| p.pixels().filter(|p| p.0[0] > 200).count();
    assert!(whites(&broken) > 0 && whites(&broken) < 2 * whites(&whole) / 3);
}

#[test]
fn a_ring_over_the_corner_stays_within_the_picture() {
    let mut picture = RgbImage::new(10, 10);
    let ring = rings::Ring {
        centre: (0.0, 0.0),
        radius_px: 8.0,
        stroke_px: 2.0,
        dashed: false,
    };
    ring.white(&mut picture);
    assert!(picture.get_pixel(8, 0).0[0] > 200 && picture.get_pixel(2, 2).0[0] == 0);
}

#[test]
fn the_scale_bar_is_a_round_length_that_fits() {
    for (px_per_mm, mm) in [
        (10.0, 20.0),
        (1.67, 100.0),
        (5.9, 50.0),
        (300.0, 1.0),
        (1500.0, 0.2),
    ] {
        let (found_mm, found_px) = symbols::bar_length(px_per_mm);
        assert!(
            (found_mm - mm).abs() < 1e-9,
            "{px_per_mm} px/mm: {found_mm} mm"
        );
        assert!((found_px - mm * px_per_mm).abs() < 1e-6);
    }
}

#[test]
fn the_same_reading_gives_the_same_file() {
    let file = png(&drawn()).unwrap();
    assert_eq!(file, png(&drawn()).unwrap());
    let back = image::load_from_memory(&file).unwrap().to_rgb8();
    assert_eq!(back, drawn());
}
