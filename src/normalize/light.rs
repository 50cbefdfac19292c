//! How bright full silver would be at each place of a photo, per channel.

use nalgebra::{DMatrix, DVector};
use serde::{Deserialize, Serialize};

use super::bend::Bend;
use crate::frame::quad::Point;
use crate::ops::transfer::luminance;
use crate::stats::order::median;
use crate::stats::robust::{SD_OVER_MAD, biweight};

/// Terms of a cubic in two variables.
const TERMS: usize = 10;

/// Patches that spread less than this share of the frame in a direction say nothing of the slope that way.
const LEAST_SPREAD: f64 = 0.05;

/// The same for a drift of the rig's light. Patches a fifth of the frame apart that differ by 1 %, as two cards may, would
/// make 5 % over the frame of it.
const LEAST_DRIFT_SPREAD: f64 = 0.1;

/// Residual at which a cell of the plain frame stops counting, in units of the residuals' own spread (Tukey's
/// biweight; 4.685 keeps 95 % of the efficiency where the noise is normal).
const BIWEIGHT: f64 = 4.685;

/// The light of full silver over a photo.
#[derive(Debug, Clone, PartialEq)]
pub enum Light {
    /// A plane per channel: level in the middle of the frame, change across its width, change down its height.
    Plane([[f64; 3]; 3]),
    /// A plane per channel times a bend that they share.
    Bent([[f64; 3]; 3], Bend),
    /// A smooth surface.
    Smooth(SmoothLight),
}

impl Light {
    /// The plane through patch levels at places given as shares of the frame, by least squares. One patch gives a
    /// constant, two a slope along the line between them.
    #[must_use]
    pub fn plane(places: &[Point], levels: &[[f64; 3]]) -> Self {
        Light::Plane(plane(places, levels, LEAST_SPREAD))
    }

    /// The same, bent: the plane is laid through what the bend leaves of the levels.
    pub(super) fn bent(places: &[Point], levels: &[[f64; 3]], bend: Bend) -> Self {
        let flat: Vec<[f64; 3]> = (places.iter().zip(levels))
            .map(|(place, level)| level.map(|l| l / bend.at(*place)))
            .collect();
        Light::Bent(plane(places, &flat, LEAST_SPREAD), bend)
    }

    /// Light of each channel at a place given as shares of the frame's width and height.
    #[must_use]
    pub fn at(&self, [x, y]: Point) -> [f64; 3] {
        match self {
            Light::Plane(channels) => level(channels, [x, y]),
            Light::Bent(channels, bend) => {
                let factor = bend.at([x, y]);
                level(channels, [x, y]).map(|l| l * factor)
            }
            Light::Smooth(surface) => surface.at([x, y]),
        }
    }
}

/// Light of planes at a place.
fn level(channels: &[[f64; 3]; 3], [x, y]: Point) -> [f64; 3] {
    channels.map(|[middle, across, down]| {
        // A plane that runs below a tenth of its middle has left what the patches can say.
        (middle + across * (x - 0.5) + down * (y - 0.5)).max(0.1 * middle)
    })
}

/// Middle of the frame, change across its width, change down its height of the plane through three values at each place, by
/// least squares; no slope in a direction in which the places spread less than `least_spread`.
fn plane(places: &[Point], values: &[[f64; 3]], least_spread: f64) -> [[f64; 3]; 3] {
    let n = places.len().max(1) as f64;
    let mean = [0, 1].map(|i| places.iter().map(|p| p[i]).sum::<f64>() / n);
    let offsets = DMatrix::from_fn(places.len(), 2, |r, c| places[r][c] - mean[c]);
    // Singular values of n centred places are √n times their spread.
    let inverse = offsets
        .pseudo_inverse(least_spread * n.sqrt())
        .unwrap_or_else(|_| DMatrix::zeros(2, places.len()));
    [0, 1, 2].map(|c| {
        let level = values.iter().map(|l| l[c]).sum::<f64>() / n;
        let slope =
            &inverse * DVector::from_iterator(values.len(), values.iter().map(|l| l[c] - level));
        let middle = level + slope[0] * (0.5 - mean[0]) + slope[1] * (0.5 - mean[1]);
        [middle, slope[0], slope[1]]
    })
}

/// A smooth positive surface per channel: the logarithm is a cubic in the shares of the frame. The logarithm, because
/// lamp fall-off, lens shading and exposure multiply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SmoothLight {
    /// Coefficients per channel of 1, x, y, x², xy, y², x³, x²y, xy², y³, with x and y from −½ to ½ over the frame.
    pub coefficients: [[f64; TERMS]; 3],
}

fn terms([x, y]: Point) -> [f64; TERMS] {
    let (x, y) = (x - 0.5, y - 0.5);
    [
        1.0,
        x,
        y,
        x * x,
        x * y,
        y * y,
        x * x * x,
        x * x * y,
        x * y * y,
        y * y * y,
    ]
}

impl SmoothLight {
    /// Light of each channel at a place given as shares of the frame.
    #[must_use]
    pub fn at(&self, place: Point) -> [f64; 3] {
        let t = terms(place);
        self.coefficients
            .map(|c| c.iter().zip(t).map(|(a, b)| a * b).sum::<f64>().exp())
    }

    /// The surface times what patches say of it at their places: one factor for a patch, a slope in the logarithm along
    /// the line of two, in every direction for more, as far as they spread.
    #[must_use]
    pub fn followed(&self, places: &[Point], ratios: &[[f64; 3]]) -> Self {
        let logarithms: Vec<[f64; 3]> = ratios.iter().map(|r| r.map(f64::ln)).collect();
        let change = plane(places, &logarithms, LEAST_DRIFT_SPREAD);
        let mut followed = self.clone();
        for (channel, change) in followed.coefficients.iter_mut().zip(change) {
            // The constant and the two slopes come first.
            channel.iter_mut().zip(change).for_each(|(a, b)| *a += b);
        }
        followed
    }

    /// The surface through samples of an unaged mirror, dust and spots left aside, and the share of the samples that
    /// lie more than 5 % off it. `None` for too few samples.
    #[must_use]
    pub fn fit(samples: &[(Point, [f64; 3])]) -> Option<(Self, f64)> {
        let mut coefficients = [[0.0; TERMS]; 3];
        let mut odd = vec![false; samples.len()];
        for (c, target) in coefficients.iter_mut().enumerate() {
            let values: Vec<f64> = samples.iter().map(|(_, l)| l[c].max(1e-4).ln()).collect();
            let mut weights = vec![1.0; samples.len()];
            let mut residuals = values.clone();
            for _ in 0..8 {
                *target = weighted_fit(samples, &values, &weights)?;
                for (residual, ((place, _), value)) in
                    residuals.iter_mut().zip(samples.iter().zip(&values))
                {
                    *residual = value
                        - terms(*place)
                            .iter()
                            .zip(&*target)
                            .map(|(a, b)| a * b)
                            .sum::<f64>();
                }
                let spread = SD_OVER_MAD
                    * median(&mut residuals.iter().map(|r| r.abs()).collect::<Vec<_>>())?;
                for (weight, residual) in weights.iter_mut().zip(&residuals) {
                    *weight = biweight(residual / (BIWEIGHT * spread.max(1e-4)));
                }
            }
            odd.iter_mut()
                .zip(&residuals)
                .for_each(|(odd, r)| *odd |= r.abs() > 0.05);
        }
        let share = odd.iter().filter(|o| **o).count() as f64 / samples.len().max(1) as f64;
        Some((SmoothLight { coefficients }, share))
    }
}

fn weighted_fit(
    samples: &[(Point, [f64; 3])],
    values: &[f64],
    weights: &[f64],
) -> Option<[f64; TERMS]> {
    if samples.len() < 4 * TERMS {
        return None;
    }
    let rows = DMatrix::from_fn(samples.len(), TERMS, |r, t| {
        terms(samples[r].0)[t] * weights[r].sqrt()
    });
    let target = DVector::from_fn(samples.len(), |r, _| values[r] * weights[r].sqrt());
    let solved = rows.svd(true, true).solve(&target, 1e-9).ok()?;
    solved.as_slice().try_into().ok()
}

/// The bright envelope of a panel: a log-linear surface through the tiles that are not darkened. Each tile gives its
/// place and the light of its brightest part.
#[must_use]
pub(super) fn envelope(tiles: &[(Point, [f64; 3])]) -> Light {
    let mut kept: Vec<bool> = vec![true; tiles.len()];
    let mut plane = Light::Plane([[1e-3, 0.0, 0.0]; 3]);
    for _ in 0..6 {
        let of = |keep: &[bool]| {
            tiles
                .iter()
                .zip(keep)
                .filter(|(_, k)| **k)
                .map(|(t, _)| *t)
                .unzip::<_, _, Vec<_>, Vec<_>>()
        };
        let (places, levels) = of(&kept);
        plane = Light::plane(&places, &levels);
        let ratios: Vec<f64> = tiles
            .iter()
            .map(|(p, l)| luminance(l) / luminance(&plane.at(*p)))
            .collect();
        let best = ratios.iter().copied().fold(0.0, f64::max);
        // Tiles well under the brightest are veiled; three must stay to carry a slope.
        let next: Vec<bool> = ratios.iter().map(|r| *r > 0.9 * best.min(1.2)).collect();
        if next == kept || next.iter().filter(|k| **k).count() < 3 {
            break;
        }
        kept = next;
    }
    plane
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_patch_is_a_constant_and_two_give_a_slope_between_them() {
        let one = Light::plane(&[[0.9, 0.5]], &[[0.5, 0.6, 0.7]]);
        assert!((one.at([0.1, 0.1])[1] - 0.6).abs() < 1e-12);
        let two = Light::plane(&[[0.1, 0.5], [0.9, 0.5]], &[[0.4; 3], [0.6; 3]]);
        assert!((two.at([0.5, 0.9])[0] - 0.5).abs() < 1e-12);
        assert!((two.at([0.9, 0.1])[0] - 0.6).abs() < 1e-12);
    }

    #[test]
    fn four_patches_find_any_plane_and_neighbours_no_slope() {
        let plane = |[x, y]: Point| [0.5 + 0.2 * x - 0.1 * y; 3];
        let places = [[0.05, 0.1], [0.95, 0.1], [0.9, 0.9], [0.1, 0.9]];
        let light = Light::plane(&places, &places.map(plane));
        assert!((light.at([0.3, 0.6])[2] - plane([0.3, 0.6])[2]).abs() < 1e-9);
        // Two patches 1 % of the frame apart differ by noise, not by light.
        let near = Light::plane(&[[0.9, 0.5], [0.91, 0.5]], &[[0.50; 3], [0.51; 3]]);
        assert!((near.at([0.1, 0.5])[0] - 0.505).abs() < 1e-9);
    }

    #[test]
    fn a_rig_follows_its_patches_as_far_as_they_tell() {
        let even = SmoothLight {
            coefficients: [[0.0; TERMS]; 3],
        };
        let drifted = |[x, y]: Point| [f64::exp(0.1 * x - 0.05 * y); 3];
        let places = [[0.1, 0.1], [0.9, 0.1], [0.5, 0.9]];
        let all = even.followed(&places, &places.map(drifted));
        assert!((all.at([0.3, 0.7])[1] / drifted([0.3, 0.7])[1] - 1.0).abs() < 1e-9);
        let one = even.followed(&places[..1], &places.map(drifted)[..1]);
        assert!((one.at([0.9, 0.9])[0] - drifted(places[0])[0]).abs() < 1e-9);
        // Two cards a tenth of the frame apart differ by what cards do.
        let near = even.followed(&[[0.9, 0.5], [0.9, 0.6]], &[[1.0; 3], [1.02; 3]]);
        assert!((near.at([0.9, 0.0])[0] - 1.01).abs() < 1e-3);
    }

    #[test]
    fn a_plain_frame_is_fitted_through_its_dust() {
        let truth = |[x, y]: Point| {
            (1.0 + 0.35 * (x - 0.5)) * (1.0 - 0.2 * ((x - 0.5).powi(2) + (y - 0.5).powi(2)))
        };
        let samples: Vec<(Point, [f64; 3])> = (0..40 * 40)
            .map(|i| {
                let p = [
                    (f64::from(i % 40) + 0.5) / 40.0,
                    (f64::from(i / 40) + 0.5) / 40.0,
                ];
                let dust = if i % 29 == 0 { 0.6 } else { 1.0 };
                (p, [truth(p) * dust; 3])
            })
            .collect();
        let (light, odd) = SmoothLight::fit(&samples).unwrap();
        for p in [[0.2, 0.2], [0.5, 0.5], [0.8, 0.9]] {
            assert!((light.at(p)[0] / truth(p) - 1.0).abs() < 0.002);
        }
        assert!((odd - 1.0 / 29.0).abs() < 0.01);
    }

    #[test]
    fn a_plane_never_falls_under_a_tenth_of_its_middle() {
        let steep = Light::Plane([[0.5, 2.0, 0.0]; 3]);
        for (x, wanted) in [
            (0.5, 0.5),
            (1.0, 1.5),
            (0.0, 0.05),
            (0.3, 0.1),
            (0.25, 0.05),
        ] {
            assert!((steep.at([x, 0.5])[0] - wanted).abs() < 1e-12, "{x}");
        }
    }

    #[test]
    fn an_envelope_leaves_the_veiled_tiles_aside() {
        let place = |i: usize| [(i % 8) as f64 / 7.0, (i / 8) as f64 / 7.0];
        let envelope_of = |light: &dyn Fn(Point) -> f64| {
            let tiles: Vec<(Point, [f64; 3])> =
                (0..64).map(|i| (place(i), [light(place(i)); 3])).collect();
            envelope(&tiles)
        };
        let at = |light: &Light, x: f64| light.at([x, 0.5])[0];
        let even = envelope_of(&|_| 0.6);
        assert!((at(&even, 0.0) - 0.6).abs() < 1e-9 && (at(&even, 1.0) - 0.6).abs() < 1e-9);
        let slope = envelope_of(&|[x, _]| 0.4 + 0.1 * x);
        assert!((at(&slope, 0.0) - 0.4).abs() < 1e-9 && (at(&slope, 1.0) - 0.5).abs() < 1e-9);
        // A veiled third in the middle of the panel.
        let veiled = envelope_of(&|[x, y]| {
            if (x - 0.5).abs() < 0.3 && (y - 0.5).abs() < 0.3 {
                0.3
            } else {
                0.6
            }
        });
        assert!(
            (at(&veiled, 0.5) - 0.6).abs() < 1e-9,
            "{}",
            at(&veiled, 0.5)
        );
    }

    #[test]
    fn too_few_samples_fit_no_surface() {
        let samples = vec![([0.5, 0.5], [0.5; 3]); 39];
        assert!(SmoothLight::fit(&samples).is_none() && SmoothLight::fit(&[]).is_none());
    }
}
