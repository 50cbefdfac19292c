//! Variance by scale: what is left of noise and of waves in the means of blocks.

use std::f64::consts::TAU;

use paneprint::frame::Plane;
use paneprint::ops::reduce::block_mean;
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};

use super::{json, near, numbers};

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
