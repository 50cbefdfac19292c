//! Variance by scale: what is left of noise and of waves in the means of blocks.

use std::f64::consts::TAU;

use paneprint::frame::Plane;
use paneprint::measure::Texture;
use paneprint::ops::reduce::block_mean;
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};

use super::{json, near, numbers, text};

/// Mean of the squares: both patterns here have a mean of zero.
fn mean_square(plane: &Plane) -> f64 {
    plane.iter().map(|v| f64::from(*v).powi(2)).sum::<f64>() / plane.len() as f64
}

/// White noise loses three quarters of its variance at each doubling of the block: 3/4, 3/16, 3/64 …
#[test]
fn white_noise_has_its_variance_in_octaves() {
    let bands = &json("texture_scale.json")["block_mean_bands_white_noise"]["B_j_over_sigma2"];
    let mut rng = rand_pcg::Pcg64::seed_from_u64(5);
    let noise = Plane::from_shape_simple_fn((1024, 1024), || StandardNormal.sample(&mut rng));
    let (mut cell, mut before) = (1, mean_square(&noise));
    for published in numbers::<7>(bands) {
        cell *= 2;
        let after = mean_square(&block_mean(&noise, cell));
        // Four standard errors of a variance from as many blocks as the finer of the two has.
        let blocks = (2 * noise.len()) as f64 / (cell * cell) as f64;
        let slack = 4.0 * (2.0 / blocks).sqrt() * published * 4.0 / 3.0;
        near(cell, before - after, published, slack);
        before = after;
    }
}

/// A sine of period λ keeps (sin(πb/λ) / (b sin(π/λ)))² of its variance in blocks of b, averaged over all phases.
#[test]
fn sines_lose_their_variance_as_the_closed_form_says() {
    const PHASES: usize = 12;
    let waves = &json("texture_scale.json")["block_mean_bands_sinusoid"];
    for (period, shares) in waves["lambda_px_to_v_j_over_half_A2"].as_object().unwrap() {
        let length: f64 = period.parse().unwrap();
        for (j, published) in numbers::<7>(shares).into_iter().enumerate() {
            let left: f64 = (0..PHASES)
                .map(|p| {
                    let turn = p as f64 / PHASES as f64;
                    let wave = Plane::from_shape_fn((1, 1024), |(_, c)| {
                        (TAU * (c as f64 / length + turn)).sin() as f32
                    });
                    mean_square(&block_mean(&wave, 1 << j))
                })
                .sum();
            // Planes are f32: blocks of up to 64 values of 1 are summed to 4e-6.
            near(
                format!("{period} px, {j}"),
                left / PHASES as f64 * 2.0,
                published,
                1e-6,
            );
        }
    }
}

/// Amplitudes of a plane given by a formula, and amplitudes of amplitudes, as SciPy works them out
/// (`scripts/texture-statistics.py`): each place's within the step in which it is kept.
#[test]
fn texture_statistics_are_those_of_scipy() {
    const FIRST: usize = 12;
    const SECOND: usize = FIRST + 16 + 8;
    const PAIRS: [(usize, usize); 6] = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];
    let silver = Plane::from_shape_fn((240, 240), |(r, c)| {
        let (r, c) = (r as f64 + 0.5, c as f64 + 0.5);
        let fine = 0.12 * (1.3 * c + 0.4 * r).sin() * (0.5 + 0.5 * (0.11 * r).sin());
        let middle = 0.1 * (0.35 * r - 0.2 * c).sin();
        (0.7 + (fine + middle) * c / 240.0) as f32
    });
    let texture = Texture::measure(&silver, None, 4.0, 0.25, 0.25);
    let places: Vec<_> = texture.places().collect();
    assert_eq!(places.len(), 4);
    let mut compared = 0;
    for line in text("texture_statistics.csv").lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |i: usize| cells[i].parse::<usize>().unwrap();
        let (level, direction) = (number(0), number(2));
        let at = if cells[1].is_empty() {
            FIRST + 4 * level + direction
        } else {
            let pair = PAIRS.iter().position(|p| *p == (level, number(1))).unwrap();
            SECOND + 8 * pair + 2 * direction + usize::from(cells[3] == "across")
        };
        for (place, wanted) in places.iter().zip(&cells[4..]) {
            near(line, place[at], wanted.parse().unwrap(), 0.016);
            compared += 1;
        }
    }
    assert_eq!(compared, 256);
}
