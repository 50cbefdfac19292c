use super::*;
use crate::frame::placement::PatchKind;
use crate::frame::quad::Homography;
use crate::synth::finish::{Blots, EdgeLoss, Finish};
use crate::synth::patina::{Patina, PatinaPlace};
use crate::units::SizeMm;

const SAMPLE: SizeMm = SizeMm {
    width: 120.0,
    height: 90.0,
};

/// Linear light of a code, the published inverse.
fn light(code: u8) -> f64 {
    let v = f64::from(code) / 255.0;
    if v <= 0.04045 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    }
}

/// Mean linear green over a square of pixels round a point.
fn green(photo: &Photographed, [x, y]: Point, half: u32) -> f64 {
    let (x, y) = (x as u32, y as u32);
    let mut sum = 0.0;
    for r in y - half..=y + half {
        for c in x - half..=x + half {
            sum += light(photo.rgb8[(c, r)][1]);
        }
    }
    sum / f64::from(2 * half + 1).powi(2)
}

fn even() -> Shot {
    Shot::default().sized(1200, 900)
}

#[test]
fn a_plain_mirror_is_as_bright_as_the_mirror_beside_it_and_the_card_a_seventh() {
    let shot =
        even()
            .with_mirror_patches(SAMPLE, 1)
            .with_patch(PatchKind::Grey, SAMPLE, [1.0, 0.0]);
    let photo = photograph(&Finish::default().paint(SAMPLE, 10.0), &shot);
    let panel = green(&photo, photo.placement.corners.centre(), 20);
    let [mirror, grey] =
        [0, 1].map(|i| green(&photo, photo.placement.patches[i].corners.centre(), 20));
    // 1681 noisy pixels of 1 %, and codes rounded evenly up and down.
    assert!((mirror / panel - 1.0).abs() < 0.005, "{mirror} {panel}");
    assert!((panel - FULL_SILVER).abs() < 0.005);
    assert!((grey / panel - 0.144).abs() < 0.002, "{grey}");
}

#[test]
fn the_corners_are_where_the_panel_ends() {
    // Bright panel on a dark bench, tilted and turned: two pixels inside each corner it is bright, outside dark.
    let shot = Shot {
        tilt_x_deg: 8.0,
        tilt_y_deg: -6.0,
        turn_deg: 5.0,
        ..even()
    };
    let photo = photograph(&Finish::default().paint(SAMPLE, 10.0), &shot);
    let centre = photo.placement.corners.centre();
    for corner in photo.placement.corners.0 {
        let away = [corner[0] - centre[0], corner[1] - centre[1]];
        let length = away[0].hypot(away[1]);
        let step = |px: f64| {
            [
                corner[0] + away[0] / length * px,
                corner[1] + away[1] / length * px,
            ]
        };
        assert!(green(&photo, step(-5.0), 0) > 0.5);
        assert!(green(&photo, step(5.0), 0) < 0.1);
    }
}

#[test]
fn the_farther_edge_is_the_shorter() {
    let painted = Finish::default().paint(SAMPLE, 2.0);
    let length = |a: Point, b: Point| (a[0] - b[0]).hypot(a[1] - b[1]);
    let up = Shot {
        tilt_x_deg: 10.0,
        ..even()
    };
    let [tl, tr, br, bl] = photograph(&painted, &up).placement.corners.0;
    assert!(length(tl, tr) < length(bl, br));
    let right = Shot {
        tilt_y_deg: 10.0,
        ..even()
    };
    let [tl, tr, br, bl] = photograph(&painted, &right).placement.corners.0;
    assert!(length(tr, br) < length(tl, bl));
    let turned = Shot {
        turn_deg: 10.0,
        ..even()
    };
    let [tl, tr, _, _] = photograph(&painted, &turned).placement.corners.0;
    assert!(tr[1] < tl[1], "anticlockwise lifts the right");
}

#[test]
fn the_light_slopes_as_asked() {
    let shot = Shot {
        slope: 0.4,
        ..even()
    };
    let photo = photograph(&Finish::default().paint(SAMPLE, 4.0), &shot);
    let [left, right] = [300.0, 900.0].map(|x| green(&photo, [x, 450.0], 15));
    // A quarter and three quarters across: −10 % and +10 %.
    assert!((right / left - 1.1 / 0.9).abs() < 0.01, "{left} {right}");
    assert!(photo.rgb8.iter().all(|code| *code < 255));
}

#[test]
fn a_third_of_a_stop_over_on_sloping_light_does_not_clip() {
    let shot = Shot {
        slope: 0.2,
        exposure_ev: 0.3,
        read_noise: 0.0,
        full_well: 0.0,
        ..even()
    };
    let photo = photograph(&Finish::default().paint(SAMPLE, 4.0), &shot);
    let brightest = photo.rgb8.iter().copied().max().map(light);
    assert!(brightest.unwrap() < 0.98, "{brightest:?}");
}

/// Lighter at the left: one heavy blot field is asymmetric enough under this seed, checked on the painting itself.
fn lopsided() -> Finish {
    Finish {
        blots: Some(Blots {
            per_dm2: 6.0,
            diameter_mm: 14.0,
            floor: 0.0,
        }),
        edge_loss: Some(EdgeLoss {
            depth: 0.3,
            width_mm: 5.0,
        }),
        ..Finish::seeded(3)
    }
}

#[test]
fn a_back_view_is_mirrored_and_its_corners_keep_their_names() {
    let painted = lopsided().paint(SAMPLE, 8.0);
    let front = photograph(&painted, &even());
    let back = photograph(
        &painted,
        &Shot {
            side: Side::Back,
            ..even()
        },
    );
    let [tl, tr, ..] = back.placement.corners.0;
    assert!(tl[0] > tr[0]);
    assert!(!back.placement.corners.is_clockwise());
    let flipped = image::imageops::flip_horizontal(&back.rgb8);
    let apart = |other: &RgbImage| {
        let pairs = other.pixels().zip(front.rgb8.pixels());
        pairs
            .map(|(a, b)| (light(a[1]) - light(b[1])).abs())
            .sum::<f64>()
            / f64::from(front.rgb8.width() * front.rgb8.height())
    };
    let (off, unflipped) = (apart(&flipped), apart(&back.rgb8));
    // What is left when flipped is noise.
    assert!(off < 0.02 && unflipped > 3.0 * off, "{off} {unflipped}");
}

#[test]
fn the_photo_shows_the_silver_that_was_painted() {
    let shot = Shot {
        blur_px: 0.0,
        read_noise: 0.0,
        full_well: 0.0,
        tilt_x_deg: 3.0,
        ..even()
    };
    let painted = lopsided().paint(SAMPLE, 20.0);
    let photo = photograph(&painted, &shot);
    let to_photo = Homography::between(
        &Quad::rectangle(0.0, 0.0, SAMPLE.width, SAMPLE.height).0,
        &photo.placement.corners.0,
    )
    .unwrap();
    let cut = painted.cut();
    let (mut sum, mut count) = (0.0, 0.0);
    for y in (50..1750).step_by(37) {
        for x in (50..2350).step_by(37) {
            let at = to_photo.apply([f64::from(x) / 20.0, f64::from(y) / 20.0]);
            let read = light(photo.rgb8[(at[0] as u32, at[1] as u32)][1]);
            let seen = (read / FULL_SILVER - 0.063) / (1.0 - 0.063);
            sum += (seen - f64::from(cut[[y as usize, x as usize]])).abs();
            count += 1.0;
        }
    }
    // A code is worth 0.8 % of full silver; a few points fall on outlines.
    assert!(sum / count < 0.01, "{}", sum / count);
}

#[test]
fn patches_are_marked_safely_inside_their_images() {
    let shot = Shot {
        turn_deg: 9.0,
        tilt_y_deg: 10.0,
        ..Shot::bench(SAMPLE).sized(1200, 900)
    }
    .with_mirror_patches(SAMPLE, 4);
    let scene = Scene::new(&shot, SAMPLE).unwrap();
    for (marked, at) in scene.placement(&shot).patches.iter().zip(&shot.patches) {
        let image = scene.patch_seen(at);
        assert!(marked.corners.0.iter().all(|p| image.contains(*p)));
        assert!(marked.corners.area() > 0.3 * image.area());
    }
}

#[test]
fn the_same_shot_is_the_same_photo_and_another_seed_another() {
    let painted = Finish::default().paint(SAMPLE, 2.0);
    let shot = even().sized(300, 200);
    let first = photograph(&painted, &shot);
    assert_eq!(first.rgb8, photograph(&painted, &shot).rgb8);
    let again = Shot { seed: 1, ..shot };
    assert_ne!(first.rgb8, photograph(&painted, &again).rgb8);
}

#[test]
fn patina_is_photographed_in_its_colour_and_at_unchanged_luminance() {
    let finish = Finish {
        patina: Some(Patina {
            hue_deg: 80.0,
            chroma: 25.0,
            place: PatinaPlace::Patches {
                share: 1.0,
                scale_mm: 5.0,
            },
        }),
        ..Finish::default()
    };
    let shot = Shot {
        bare_ratio: 0.0,
        ..even()
    };
    let photo = photograph(&finish.paint(SAMPLE, 8.0), &shot);
    let mut sums = [0.0; 3];
    for (x, y) in (400..800).flat_map(|x| (300..600).map(move |y| (x, y))) {
        (0..3).for_each(|c| sums[c] += light(photo.rgb8[(x, y)][c]) / 120_000.0 / FULL_SILVER);
    }
    let luminance = 0.2126 * sums[0] + 0.7152 * sums[1] + 0.0722 * sums[2];
    let [a, b] = crate::synth::tone::a_b(sums);
    // Codes are rounded evenly up and down over a noise of 1 %.
    assert!((luminance - 1.0).abs() < 0.005, "{luminance}");
    assert!((a.hypot(b) - 25.0).abs() < 0.5, "{a} {b}");
    assert!((b.atan2(a).to_degrees() - 80.0).abs() < 1.5);
    assert!(photo.rgb8.iter().all(|code| *code < 255));
}
