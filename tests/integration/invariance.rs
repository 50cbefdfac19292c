//! What must not move a reading, and what must, and which way.

use std::sync::OnceLock;

use image::{DynamicImage, GenericImageView, ImageFormat};

use paneprint::frame::placement::{Placement, Side};
use paneprint::frame::quad::Quad;
use paneprint::measure::Measurements;
use paneprint::normalize::Rig;
use paneprint::synth::{Clouds, Finish, Painted, Photographed, Ridges, Shot, Speckles, photograph};

use crate::support::{
    Row, SAMPLE, SAMPLE_PX_PER_MM, assert_within, difference, read, read_shot, sample_rig,
    sample_shot, share, turn,
};

/// How far two readings of one panel may lie apart.
#[derive(Clone, Copy)]
struct Slack {
    coverage: f64,
    dark_fraction: f64,
    aggressiveness: f64,
    /// Share of density and of median diameter.
    speckles: f64,
    streak_angle_deg: f64,
    streak_strength: f64,
    /// CIELAB.
    tone: f64,
}

/// Two photos of one panel: each scale of light hangs on one card, whose 8-bit JPEG blocks step by half a per cent; a
/// grid laid anew over the specks gains or loses a few of those near the floor.
const TWO_PHOTOS: Slack = Slack {
    coverage: 0.010,
    dark_fraction: 0.004,
    aggressiveness: 0.8,
    speckles: 0.03,
    streak_angle_deg: 0.5,
    streak_strength: 0.03,
    tone: 0.8,
};

/// Two photos in light of another colour: where a card has no grain, JPEG keeps its colour differences in whole steps.
/// Half a step of the blue one is 0.9 of a code of about 65, 3 % of the blue light, 2.2 of b*.
const ANOTHER_LAMP: Slack = Slack {
    tone: 2.2,
    ..TWO_PHOTOS
};

/// The same pixels, put into a file in another way: only the file's rounding differs.
const SAME_PIXELS: Slack = Slack {
    coverage: 0.003,
    dark_fraction: 0.001,
    aggressiveness: 0.3,
    speckles: 0.01,
    streak_angle_deg: 0.1,
    streak_strength: 0.01,
    tone: 0.3,
};

/// The same codes at the same places: nothing but the order of sums differs.
const SAME_CODES: Slack = Slack {
    coverage: 1e-4,
    dark_fraction: 1e-4,
    aggressiveness: 0.01,
    speckles: 0.002,
    streak_angle_deg: 0.01,
    streak_strength: 1e-3,
    tone: 0.01,
};

/// The rows of a reading that should be as another one was.
fn alike(what: &str, got: &Measurements, before: &Measurements, slack: Slack) -> Vec<Row> {
    let row = |measure,
               of: fn(&Measurements) -> paneprint::units::Measure,
               off: fn(f64, f64) -> f64,
               bound| {
        Row::new(
            what,
            measure,
            of(got),
            of(before).ok().map(|e| e.value),
            off,
            bound,
        )
    };
    vec![
        row("coverage", |m| m.coverage, difference, slack.coverage),
        row(
            "dark_fraction",
            |m| m.dark_fraction,
            difference,
            slack.dark_fraction,
        ),
        row(
            "aggressiveness",
            |m| m.aggressiveness,
            difference,
            slack.aggressiveness,
        ),
        row(
            "speckle_density",
            |m| m.speckle_density,
            share,
            slack.speckles,
        ),
        row(
            "speckle_diameter_median",
            |m| m.speckle_diameter_median,
            share,
            slack.speckles,
        ),
        row(
            "streak_angle",
            |m| m.streak_angle,
            turn,
            slack.streak_angle_deg,
        ),
        row(
            "streak_strength",
            |m| m.streak_strength,
            difference,
            slack.streak_strength,
        ),
        row("tone_a", |m| m.tone_a, difference, slack.tone),
        row("tone_b", |m| m.tone_b, difference, slack.tone),
    ]
}

/// A little of everything, ridges at 40°.
fn finish() -> Finish {
    Finish {
        veil: 0.05,
        clouds: Some(Clouds {
            depth: 0.1,
            scale_mm: 12.0,
        }),
        ridges: Some(Ridges {
            angle_deg: 40.0,
            spacing_mm: 6.0,
            depth: 0.3,
            wobble_deg: 4.0,
        }),
        speckles: Some(speckles()),
        warmth: 0.2,
        ..Finish::seeded(71)
    }
}

fn speckles() -> Speckles {
    Speckles {
        per_cm2: 3.0,
        diameter_median_mm: 1.0,
        spread: 0.35,
        arrangement: paneprint::synth::Arrangement::Random,
        floor: 0.0,
    }
}

fn painted() -> &'static Painted {
    static PAINTED: OnceLock<Painted> = OnceLock::new();
    PAINTED.get_or_init(|| finish().paint(SAMPLE, SAMPLE_PX_PER_MM))
}

/// The plain shot's reading, which the others are held against.
fn before() -> &'static Measurements {
    static BEFORE: OnceLock<Measurements> = OnceLock::new();
    BEFORE.get_or_init(|| measured(painted(), &sample_shot()))
}

fn measured(painted: &Painted, shot: &Shot) -> Measurements {
    read_shot(painted, shot, Some(sample_rig()))
        .measured
        .numbers
}

fn numbers(bytes: Vec<u8>, placement: &Placement, rig: Option<&Rig>) -> Measurements {
    read(bytes, placement, rig).measured.numbers
}

/// Every shot reads as the plain one does.
#[track_caller]
fn nothing_moves(shots: Vec<(String, Shot)>, slack: Slack) {
    let rows: Vec<Row> = shots
        .into_iter()
        .flat_map(|(what, shot)| alike(&what, &measured(painted(), &shot), before(), slack))
        .collect();
    assert_within(&rows);
}

#[test]
fn exposure_does_not_move_a_reading() {
    let shots = [-1.0, -0.5, 0.2].map(|exposure_ev| {
        let shot = Shot {
            exposure_ev,
            ..sample_shot()
        };
        (format!("{exposure_ev} EV"), shot)
    });
    nothing_moves(shots.into(), TWO_PHOTOS);
}

#[test]
fn the_colour_of_the_lamp_does_not_move_a_reading() {
    let shots = [("warm", [1.15, 1.0, 0.8]), ("blue", [0.9, 1.0, 1.15])].map(|(lamp, gains)| {
        let shot = Shot {
            white_balance: gains,
            ..sample_shot()
        };
        (format!("{lamp} lamp"), shot)
    });
    nothing_moves(shots.into(), ANOTHER_LAMP);
}

#[test]
fn a_turn_in_the_plane_or_a_tilt_does_not_move_a_reading() {
    let turned = [-15.0_f64, 7.0, 15.0].map(|turn_deg| {
        let (sin, cos) = turn_deg.to_radians().sin_cos();
        let plain = sample_shot();
        let shot = Shot {
            turn_deg,
            // As many pixels a millimetre as unturned, or the smallest speckle that counts would be another.
            fill: plain.fill * (sin.abs() + cos),
            ..plain
        };
        (format!("turned by {turn_deg}°"), shot)
    });
    let tilted = [(12.0, 0.0), (-8.0, 8.0)].map(|(tilt_x_deg, tilt_y_deg)| {
        let shot = Shot {
            tilt_x_deg,
            tilt_y_deg,
            ..sample_shot()
        };
        (format!("tilted by {tilt_x_deg}° and {tilt_y_deg}°"), shot)
    });
    nothing_moves(turned.into_iter().chain(tilted).collect(), TWO_PHOTOS);
}

#[test]
fn the_sensors_noise_and_blur_do_not_move_a_reading() {
    let noisy = [1, 2].map(|seed| {
        let shot = Shot {
            seed,
            ..sample_shot()
        };
        (format!("noise {seed}"), shot)
    });
    // Twice the blur is still sharper than the standard sharpness.
    let soft = Shot {
        blur_px: 1.6,
        ..sample_shot()
    };
    let shots = noisy.into_iter().chain([("softer".to_owned(), soft)]);
    nothing_moves(shots.collect(), TWO_PHOTOS);
}

#[test]
fn more_pixels_do_not_move_a_reading() {
    let shots = vec![("12 megapixels".to_owned(), sample_shot().sized(4000, 3000))];
    nothing_moves(shots, TWO_PHOTOS);
}

#[test]
fn a_photo_stored_turned_reads_as_it_is_shown() {
    let photo = photograph(painted(), &sample_shot());
    let of = |n| {
        numbers(
            photo.orient(n).unwrap(),
            &photo.placement,
            Some(sample_rig()),
        )
    };
    let before = of(1);
    let rows: Vec<Row> = (2..=8)
        .flat_map(|n| alike(&format!("orientation {n}"), &of(n), &before, SAME_PIXELS))
        .collect();
    assert_within(&rows);
}

#[test]
fn a_jpeg_reads_as_the_png_of_the_same_picture() {
    let photo = photograph(painted(), &sample_shot());
    let of = |bytes| numbers(bytes, &photo.placement, Some(sample_rig()));
    let (png, jpeg) = (of(photo.png().unwrap()), of(photo.jpeg().unwrap()));
    assert_within(&alike("JPEG", &jpeg, &png, TWO_PHOTOS));
}

#[test]
fn a_cropped_photo_reads_as_the_whole_one_where_the_light_is_in_it() {
    let shot = Shot {
        patches: Vec::new(),
        ..sample_shot()
    }
    .with_mirror_patches(SAMPLE, 4);
    let Photographed {
        rgb8, placement, ..
    } = photograph(painted(), &shot);
    let png = |picture: &DynamicImage| {
        let mut file = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut file, ImageFormat::Png).unwrap();
        file.into_inner()
    };
    let whole = DynamicImage::ImageRgb8(rgb8);
    let (left, top) = (40, 25);
    let (width, height) = whole.dimensions();
    let cropped = whole.crop_imm(left, top, width - 100, height - 60);
    let shifted = |quad: Quad| {
        Quad(
            quad.0
                .map(|[x, y]| [x - f64::from(left), y - f64::from(top)]),
        )
    };
    let mut moved = placement.clone();
    moved.corners = shifted(moved.corners);
    for patch in &mut moved.patches {
        patch.corners = shifted(patch.corners);
    }
    let before = numbers(png(&whole), &placement, None);
    let got = numbers(png(&cropped), &moved, None);
    assert_within(&alike("cropped", &got, &before, SAME_CODES));
}

#[test]
fn the_back_reads_as_the_front_does() {
    let back = Shot {
        side: Side::Back,
        ..sample_shot()
    };
    nothing_moves(vec![("from behind".to_owned(), back)], TWO_PHOTOS);
}

#[test]
fn hung_upside_down_a_panel_keeps_its_angle_and_a_quarter_turn_adds_ninety_degrees() {
    let photo = photograph(painted(), &sample_shot());
    let bytes = photo.jpeg().unwrap();
    let hung = |quarters: usize| {
        let mut placement = photo.placement.clone();
        placement.corners.0.rotate_left(quarters);
        numbers(bytes.clone(), &placement, Some(sample_rig()))
    };
    let before = hung(0);
    let angle = before.streak_angle.unwrap().value;
    // The same photo on a grid laid the other way round; a speckle cut by an edge now counts at the other one.
    let slack = Slack {
        speckles: TWO_PHOTOS.speckles,
        ..SAME_PIXELS
    };
    let mut rows = alike("upside down", &hung(2), &before, slack);
    // Named from the photo's top right on, the left-hand side hangs at the bottom.
    rows.push(Row::new(
        "a quarter turn",
        "streak_angle",
        hung(1).streak_angle,
        Some(angle + 90.0),
        turn,
        slack.streak_angle_deg,
    ));
    assert_within(&rows);
}

#[test]
fn more_veil_is_less_silver_by_just_so_much() {
    // A veil leaves its share of whatever silver there is, specks included.
    let of = |veil| {
        let finish = Finish {
            veil,
            speckles: Some(speckles()),
            ..Finish::seeded(72)
        };
        measured(&finish.paint(SAMPLE, SAMPLE_PX_PER_MM), &sample_shot())
    };
    let (none, some) = (of(0.0), of(0.25));
    let silver = |m: &Measurements| m.coverage.unwrap().value;
    let rows = [
        Row::new(
            "a quarter less",
            "coverage",
            some.coverage,
            Some(0.75 * silver(&none)),
            difference,
            TWO_PHOTOS.coverage,
        ),
        // Specks are dark against what is around them, veiled or not.
        Row::new(
            "a quarter less",
            "speckle_density",
            some.speckle_density,
            none.speckle_density.ok().map(|e| e.value),
            share,
            TWO_PHOTOS.speckles,
        ),
    ];
    assert_within(&rows);
    assert!(some.aggressiveness.unwrap().low > none.aggressiveness.unwrap().high);
}

#[test]
fn more_specks_raise_the_density_and_larger_ones_the_diameter() {
    let of = |per_cm2, diameter_median_mm| {
        let finish = Finish {
            speckles: Some(Speckles {
                per_cm2,
                diameter_median_mm,
                ..speckles()
            }),
            ..Finish::seeded(73)
        };
        measured(&finish.paint(SAMPLE, SAMPLE_PX_PER_MM), &sample_shot())
    };
    let (before, more, larger) = (of(2.0, 0.9), of(3.0, 0.9), of(2.0, 1.2));
    let apart = |what, higher: paneprint::units::Measure, lower: paneprint::units::Measure| {
        let (higher, lower) = (higher.unwrap(), lower.unwrap());
        // Half as many again, and a third larger, lie clear of the intervals.
        assert!(higher.low > lower.high, "{what}: {higher:?} {lower:?}");
    };
    apart("density", more.speckle_density, before.speckle_density);
    apart(
        "diameter",
        larger.speckle_diameter_median,
        before.speckle_diameter_median,
    );
    for darker in [&more, &larger] {
        assert!(darker.coverage.unwrap().value < before.coverage.unwrap().value);
        assert!(darker.dark_fraction.unwrap().value > before.dark_fraction.unwrap().value);
        assert!(darker.aggressiveness.unwrap().value > before.aggressiveness.unwrap().value);
    }
}

#[test]
fn tarnish_moves_the_tone_and_not_the_silver() {
    let of = |warmth| {
        let finish = Finish { warmth, ..finish() };
        measured(&finish.paint(SAMPLE, SAMPLE_PX_PER_MM), &sample_shot())
    };
    let (neutral, warm) = (of(0.0), of(0.5));
    assert!(warm.tone_b.unwrap().low > neutral.tone_b.unwrap().high);
    let rows: Vec<Row> = alike("tarnished", &warm, &neutral, TWO_PHOTOS)
        .into_iter()
        .filter(|row| !row.measure().starts_with("tone"))
        .collect();
    assert_within(&rows);
}
