//! Panels and photos that lead a measure astray: the same bounds hold.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "pixels of a photo are few, and codes are brought into their range"
)]

use image::Rgb;
use ndarray::Array2;
use paneprint::ops::reduce::{Between, block_mean};
use paneprint::synth::{Arrangement, EdgeLoss, Finish, Photographed, Shot, photograph};

use super::{
    Case, Lit, NEUTRAL, WARM_LAMP, WITH_RIG, arranged, blots, case, clouds, find_with_rig,
    lost_edges, ridges, several, specks, tilted,
};
use crate::support::{
    SAMPLE, SAMPLE_PX_PER_MM, against_truth, assert_within, read, read_shot, sample_rig,
    sample_shot,
};

/// Blots on a finish of some kind.
fn with_blots(finish: Finish) -> Finish {
    Finish {
        blots: blots(),
        ..finish
    }
}

#[test]
fn specks_are_counted_through_veil_and_cloud() {
    let veiled = |seed, veil, clouds, speckles| Finish {
        veil,
        clouds,
        speckles,
        ..Finish::seeded(seed)
    };
    let clumped = |per_clump, clump_radius_mm| Arrangement::Clumped {
        clump_radius_mm,
        per_clump,
    };
    find_with_rig(vec![
        case(
            "specks in clouds of 28 %",
            veiled(101, 0.0, clouds(0.28, 12.0), specks(3.0, 0.9)),
            tilted(8.0, -8.0),
        ),
        case(
            "fine specks in clouds of 28 %",
            veiled(102, 0.0, clouds(0.28, 6.0), specks(6.0, 0.7)),
            sample_shot(),
        ),
        case(
            "specks in a veil of 30 %",
            veiled(103, 0.3, None, specks(3.0, 0.9)),
            sample_shot().lit(-0.5, NEUTRAL),
        ),
        case(
            "veil of 30 % and no specks",
            veiled(104, 0.3, clouds(0.2, 10.0), None),
            sample_shot(),
        ),
        case(
            "clumped specks",
            veiled(105, 0.0, None, arranged(4.0, 0.9, clumped(12.0, 6.0))),
            tilted(0.0, 8.0),
        ),
        case(
            "clumped specks in clouds of 28 %",
            veiled(
                106,
                0.0,
                clouds(0.28, 15.0),
                arranged(3.0, 0.9, clumped(8.0, 7.0)),
            ),
            tilted(-8.0, 0.0),
        ),
        case(
            "spaced specks in a veil of 30 %",
            veiled(107, 0.3, None, arranged(4.0, 0.9, Arrangement::Spaced)),
            tilted(0.0, -8.0),
        ),
    ]);
}

#[test]
fn blots_and_specks_do_not_turn_the_streaks() {
    let ridged = |seed, angle| Finish {
        ridges: ridges(angle, 6.0, 0.3, 4.0),
        ..Finish::seeded(seed)
    };
    find_with_rig(vec![
        case(
            "ridges with blots",
            with_blots(ridged(111, 65.0)),
            tilted(8.0, 8.0),
        ),
        case(
            "ridges at 20 with blots",
            with_blots(ridged(112, 20.0)),
            sample_shot(),
        ),
        case(
            "ridges at 165 with specks",
            Finish {
                speckles: specks(4.0, 1.0),
                ..ridged(113, 165.0)
            },
            tilted(8.0, -8.0),
        ),
        case(
            "faint ridges with blots and specks",
            Finish {
                ridges: ridges(40.0, 8.0, 0.12, 4.0),
                speckles: specks(3.0, 1.1),
                ..with_blots(Finish::seeded(114))
            },
            sample_shot(),
        ),
        case(
            "ridges in clouds with lost edges",
            Finish {
                ridges: ridges(100.0, 5.0, 0.25, 5.0),
                clouds: clouds(0.15, 14.0),
                edge_loss: lost_edges(),
                ..Finish::seeded(115)
            },
            tilted(-8.0, 8.0),
        ),
    ]);
}

#[test]
fn blots_with_lost_edges_and_strong_tarnish_are_told_apart() {
    find_with_rig(vec![
        case(
            "blots with lost edges",
            Finish {
                edge_loss: lost_edges(),
                ..with_blots(Finish::seeded(121))
            },
            sample_shot(),
        ),
        case(
            "warm tone",
            Finish {
                warmth: 0.8,
                veil: 0.1,
                speckles: specks(2.0, 1.0),
                ..Finish::seeded(122)
            },
            sample_shot().lit(-0.3, NEUTRAL),
        ),
        case(
            "warm tone under a warm lamp",
            Finish {
                warmth: 0.5,
                ridges: ridges(30.0, 7.0, 0.3, 4.0),
                ..Finish::seeded(123)
            },
            sample_shot().lit(-0.3, WARM_LAMP),
        ),
    ]);
}

/// The finish of several parts under this seed, photographed with less care.
fn careless(what: &'static str, seed: u64, shot: Shot) -> Case {
    case(what, several(seed), shot)
}

#[test]
fn careless_photos_of_a_finish_of_several_parts_are_read_as_well() {
    let noise = Shot::default();
    let noisier = || Shot {
        read_noise: 3.0 * noise.read_noise,
        full_well: noise.full_well / 9.0,
        ..sample_shot()
    };
    find_with_rig(vec![
        careless(
            "JPEG quality 75",
            131,
            Shot {
                jpeg_quality: 75,
                ..tilted(8.0, 0.0)
            },
        ),
        careless("three times the noise", 132, noisier()),
        careless(
            "blur of 1.5 px",
            133,
            Shot {
                blur_px: 1.5,
                ..tilted(0.0, 8.0)
            },
        ),
        careless(
            "all three",
            134,
            Shot {
                jpeg_quality: 75,
                blur_px: 1.5,
                ..noisier()
            },
        ),
        case(
            "fine specks, blur of 1.5 px",
            Finish {
                speckles: specks(8.0, 0.7),
                ..Finish::seeded(135)
            },
            Shot {
                blur_px: 1.5,
                ..sample_shot()
            },
        ),
    ]);
}

#[test]
fn blots_with_heavily_worn_edges_are_read_under_a_steep_tilt() {
    let worn = |seed, depth, width_mm| Finish {
        edge_loss: Some(EdgeLoss { depth, width_mm }),
        ..with_blots(Finish::seeded(seed))
    };
    let cases = [
        (141, 0.8, 8.0),
        (142, 0.95, 8.0),
        (143, 0.9, 14.0),
        (144, 0.8, 20.0),
        (145, 0.95, 20.0),
    ];
    let mut rows = Vec::new();
    for (seed, depth, width) in cases {
        let painted = worn(seed, depth, width).paint(SAMPLE, SAMPLE_PX_PER_MM);
        let reading = read_shot(&painted, &tilted(12.0, 10.0), Some(sample_rig()));
        let got = reading.measured.numbers;
        let truth = painted.truth(got.speckle_floor_mm);
        let what = format!("edges worn by {depth} over {width} mm");
        // The scale of clouds is not asked for: blots this deep in a worn edge leave too little quiet silver.
        let all = against_truth(&what, &got, (&truth, SAMPLE), WITH_RIG);
        rows.extend(all.into_iter().filter(|row| row.measure() != "cloud_scale"));
    }
    assert_within(&rows);
}

/// Colour at half the resolution each way, as phones keep it: the means of four pixels, read back between their middles.
fn with_halved_colour(photo: &mut Photographed) {
    let (width, height) = photo.rgb8.dimensions();
    let (cols, rows) = (width as usize / 2, height as usize / 2);
    let weigh = |p: &Rgb<u8>, by: [f32; 3]| (0..3).map(|c| by[c] * f32::from(p[c])).sum::<f32>();
    let luma = [0.299, 0.587, 0.114];
    let [blue, red] = [[-0.168_736, -0.331_264, 0.5], [0.5, -0.418_688, -0.081_312]].map(|by| {
        let whole = Array2::from_shape_fn((2 * rows, 2 * cols), |(r, c)| {
            weigh(photo.rgb8.get_pixel(c as u32, r as u32), by)
        });
        block_mean(&whole, 2).mapv(f32::round)
    });
    let mut lines = [vec![0.0; 2 * cols], vec![0.0; 2 * cols]];
    for r in 0..2 * rows {
        Between::new(&blue, 2.0).fill_row(r, 0, &mut lines[0]);
        Between::new(&red, 2.0).fill_row(r, 0, &mut lines[1]);
        for (c, (b, d)) in lines[0].iter().zip(&lines[1]).enumerate() {
            let pixel = photo.rgb8.get_pixel_mut(c as u32, r as u32);
            let y = weigh(pixel, luma);
            let rgb = [
                y + 1.402 * d,
                y - 0.344_136 * b - 0.714_136 * d,
                y + 1.772 * b,
            ];
            *pixel = Rgb(rgb.map(|v| v.round().clamp(0.0, 255.0) as u8));
        }
    }
}

#[test]
fn warm_panels_with_specks_have_no_streaks() {
    let rig = sample_rig();
    let mut named = Vec::new();
    for (i, (warmth, per_cm2, size, jpeg_quality, tilt)) in [
        (0.4, 3.0, 0.9, 92, [0.0, 0.0]),
        (0.6, 8.0, 0.7, 85, [8.0, -8.0]),
        (0.8, 5.0, 1.1, 75, [12.0, 10.0]),
        (0.9, 2.0, 1.8, 90, [-10.0, 6.0]),
        (0.7, 10.0, 0.5, 80, [0.0, 8.0]),
        (0.5, 6.0, 0.6, 70, [5.0, 5.0]),
    ]
    .into_iter()
    .enumerate()
    {
        for halved in [false, true] {
            let finish = Finish {
                warmth,
                speckles: specks(per_cm2, size),
                ..Finish::seeded(151 + i as u64)
            };
            let shot = Shot {
                jpeg_quality,
                ..tilted(tilt[0], tilt[1]).lit(-0.4, NEUTRAL)
            };
            let mut photo = photograph(&finish.paint(SAMPLE, SAMPLE_PX_PER_MM), &shot);
            if halved {
                with_halved_colour(&mut photo);
            }
            let got = read(photo.jpeg().unwrap(), &photo.placement, Some(rig))
                .measured
                .numbers;
            if got.streak_angle.is_ok() {
                named.push((i, halved, got.streak_angle));
            }
        }
    }
    assert!(named.is_empty(), "{named:?}");
}
