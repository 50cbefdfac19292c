//! Teaches a [`Response`] by a card of grey steps whose reflectances are known.
//!
//! Along the card only the light on it and one gain a channel stand between reflectance and true light, so every channel
//! of every card draws a piece of the response in logarithms, up to a shift. The pieces are joined by the smoothest curve
//! (least third differences of its distance from the file's own curve). It runs over −ln(1.7 − code), not over the
//! logarithm of light: the shoulder above the brightest step, where silver lies, is then met best. Of twelve curves unlike
//! each other, with the card's white at 0.47 of full scale, light at 0.70 against 0.56 came out within 1.2 % (root mean
//! square; 3.5 % by second differences), and doubts of 0.2 % in the steps add 1 %. Where the card is photographed once
//! more at 1.4 times the light, these are 0.2 % and 0.5 %.
//!
//! The light on the card is the rig's own, fitted to the plain mirror in the same photo. It is seen through the same
//! response, so light and response are worked out in turns.

use std::path::Path;

use nalgebra::{DMatrix, DVector};

use super::light::SmoothLight;
use super::patch::read_patch;
use super::response::Response;
use super::rig::{place, plain_light};
use super::{FEW_PATCH_PX, Settings};
use crate::error::{Error, Result};
use crate::frame::photo::Photo;
use crate::frame::placement::{CardStep, Patch, PatchKind, Placement};
use crate::ops::transfer::{srgb_decode, srgb_encode};

/// A card in a photo.
#[derive(Debug, Clone)]
pub struct Card {
    /// The photo of the card alone; `None` where it lies in the plain frame.
    pub photo: Option<Photo>,
    /// Its steps, dark to bright.
    pub steps: Vec<CardStep>,
}

/// Knots of the curve, and the darkest light they reach.
const KNOTS: usize = 48;
const DARKEST: f64 = 1e-3;

/// Doubt of a step, share of its light: printed cards, dust and the fit of the light together.
const STEP_DOUBT: f64 = 0.003;

/// Weight of the third differences: a curve may bend as freely as cameras do, but not follow noise.
const STIFFNESS: f64 = 0.03;

/// Under this code the weight falls with the code's third power: lifted or sunken shadows must not ripple up to the shoulder.
const SHADOWS: f64 = 0.6;

/// The code at which the curve's scale would end; nearer to 1 it bends more above the brightest step.
const SCALE_END: f64 = 1.7;

/// Light and response, in turns.
const TURNS: usize = 3;

/// Share of a code that rounding leaves open, per channel of a JPEG: half a step of luma, and of chroma times its weight
/// (ITU-T T.871), over √3.
const CODE_DOUBT: [f64; 3] = [0.5, 0.35, 0.6];

/// A rising response has a slope in logarithms between these; beyond them cameras clip.
const SLOPES: [f64; 2] = [0.25, 8.0];

/// Each step must be brighter than the one before by this share.
const LEAST_RISE: f64 = 0.02;

/// One step in one channel: the light the file tells, and the logarithm of true light up to the gain.
#[derive(Debug, Clone, Copy)]
struct Sample {
    told: f64,
    light: f64,
    doubt: f64,
}

/// Learns the response from cards.
///
/// # Errors
/// A step is too small, too bright, or not brighter than the one before it; the mirror in the plain frame is not plain.
pub fn teach(
    path: &Path,
    plain: &Photo,
    placement: &Placement,
    cards: &[Card],
    settings: &Settings,
) -> Result<Response> {
    // In the file's own primaries: the camera bends each of its channels.
    let own = |photo: &Photo| {
        let mut photo = photo.clone();
        photo.linear.to_rec709 = None;
        photo
    };
    let plain = own(plain);
    let cards: Vec<(Photo, &[CardStep])> = cards
        .iter()
        .map(|c| {
            let photo = c.photo.as_ref().map_or_else(|| plain.clone(), own);
            (photo, c.steps.as_slice())
        })
        .collect();
    let mut response = Response::default();
    for _ in 0..TURNS {
        let seen = |photo: &Photo| {
            let mut photo = photo.clone();
            response.apply(&mut photo.linear);
            photo
        };
        let light = plain_light(path, &seen(&plain), placement, settings)?;
        let mut pieces = Vec::new();
        for (photo, steps) in &cards {
            let read = Read {
                photo: &seen(photo),
                light: &light,
                response: &response,
            };
            pieces.extend(read.pieces(path, steps, settings)?);
        }
        response = joined(&pieces).ok_or_else(|| Error::StepsUnfit {
            path: path.to_owned(),
            found: "no curve runs through them".to_owned(),
        })?;
    }
    Ok(response)
}

/// How a card is read in one turn.
struct Read<'a> {
    photo: &'a Photo,
    light: &'a SmoothLight,
    response: &'a Response,
}

impl Read<'_> {
    /// What the card draws in each channel.
    fn pieces(
        &self,
        path: &Path,
        steps: &[CardStep],
        settings: &Settings,
    ) -> Result<[Vec<Sample>; 3]> {
        let mut pieces: [Vec<Sample>; 3] = Default::default();
        let mut before = 0.0;
        for (i, step) in steps.iter().enumerate() {
            let patch = Patch {
                kind: PatchKind::Grey,
                corners: step.corners,
                reflectance: Some(step.reflectance),
            };
            let read = read_patch(self.photo, &patch, settings.patch_trim);
            let lit = self.light.at(place(&read, self.photo));
            let now = read.against(lit);
            let wrong = if read.clipped > settings.most_clipped {
                Some("is pure white")
            } else if read.pixels < FEW_PATCH_PX {
                Some("covers too few pixels")
            } else if now < before * (1.0 + LEAST_RISE) {
                Some("is not brighter in the photo than the one before")
            } else {
                None
            };
            if let Some(wrong) = wrong {
                return Err(Error::StepsUnfit {
                    path: path.to_owned(),
                    found: format!("step {} ({}) {wrong}", i + 1, step.reflectance),
                });
            }
            before = now;
            for (c, piece) in pieces.iter_mut().enumerate() {
                let told = self.response.told(read.level[c]);
                piece.push(Sample {
                    told,
                    light: (step.reflectance * lit[c]).ln(),
                    doubt: STEP_DOUBT.hypot(CODE_DOUBT[c] * code_step(told)),
                });
            }
        }
        Ok(pieces)
    }
}

/// Relative change of light from one 8-bit sRGB code to the next.
pub(super) fn code_step(light: f64) -> f64 {
    let code = srgb_encode(light.clamp(1e-4, 1.0));
    2.4 / (255.0 * (code + 0.055))
}

fn along(light: f64) -> f64 {
    -(SCALE_END - srgb_encode(light.clamp(0.0, 1.0))).ln()
}

/// The smoothest curve that joins the pieces, each shifted as suits it.
fn joined(pieces: &[Vec<Sample>]) -> Option<Response> {
    let (first, last) = (along(DARKEST), along(1.0));
    let spaces = (KNOTS - 1) as f64;
    let code = |k: usize| SCALE_END - (-(first + (last - first) * k as f64 / spaces)).exp();
    let knots: Vec<f64> = (0..KNOTS).map(|k| srgb_decode(code(k)).ln()).collect();
    let samples: Vec<(usize, &Sample)> = pieces
        .iter()
        .enumerate()
        .flat_map(|(i, piece)| piece.iter().map(move |s| (i, s)))
        .collect();
    let rows = samples.len() + KNOTS - 3 + 1;
    let mut matrix = DMatrix::zeros(rows, KNOTS + pieces.len());
    let mut target = DVector::zeros(rows);
    for (row, (piece, s)) in samples.iter().enumerate() {
        let at = ((along(s.told) - first) / (last - first) * spaces).clamp(0.0, spaces - 1e-9);
        let (knot, share) = (at as usize, at.fract());
        matrix[(row, knot)] = (1.0 - share) / s.doubt;
        matrix[(row, knot + 1)] = share / s.doubt;
        matrix[(row, KNOTS + piece)] = -1.0 / s.doubt;
        // The curve is kept as its distance from the file's own.
        target[row] = (s.light - s.told.max(1e-6).ln()) / s.doubt;
    }
    let stiff = STIFFNESS * spaces.powi(3) / spaces.sqrt();
    for k in 0..KNOTS - 3 {
        let stiff = stiff * (code(k + 1) / SHADOWS).min(1.0).powi(3);
        for (j, weight) in [-1.0, 3.0, -3.0, 1.0].into_iter().enumerate() {
            matrix[(samples.len() + k, k + j)] = stiff * weight;
        }
    }
    // Full scale stays full scale.
    matrix[(rows - 1, KNOTS - 1)] = 1.0 / STEP_DOUBT;
    let solved = matrix.svd(true, true).solve(&target, 1e-12).ok()?;
    let raw: Vec<f64> = (0..KNOTS).map(|k| knots[k] + solved[k]).collect();
    Some(Response::through(rising(&knots, &raw, &samples)))
}

/// The pairs of the curve from full scale down: of a slope that cameras have, and below the darkest step of the slope there.
fn rising(knots: &[f64], raw: &[f64], samples: &[(usize, &Sample)]) -> Vec<[f64; 2]> {
    let darkest = samples
        .iter()
        .map(|(_, s)| s.told)
        .fold(f64::MAX, f64::min)
        .ln();
    let mut slope = 1.0;
    let mut light = 0.0;
    let mut pairs = vec![[1.0, 1.0]];
    for k in (0..knots.len() - 1).rev() {
        let step = knots[k + 1] - knots[k];
        if knots[k + 1] > darkest {
            slope = ((raw[k + 1] - raw[k]) / step).clamp(SLOPES[0], SLOPES[1]);
        }
        light -= slope * step;
        pairs.push([knots[k], light].map(f64::exp));
    }
    pairs.reverse();
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A card of seven steps under a bent curve; `brighter` photographs it once more at so many times the light.
    fn taught(bent: impl Fn(f64) -> f64, brighter: Option<f64>) -> Response {
        let piece = |gain: f64| {
            [0.03, 0.06, 0.09, 0.18, 0.36, 0.6, 0.9]
                .map(|r| Sample {
                    told: bent(r * gain),
                    light: f64::ln(r),
                    doubt: STEP_DOUBT,
                })
                .to_vec()
        };
        let mut pieces = vec![piece(0.576)];
        pieces.extend(brighter.map(|b| piece(0.576 * b)));
        joined(&pieces).unwrap()
    }

    /// How far silver at 0.72 comes out from a third of it, as a share.
    fn off(bent: impl Fn(f64) -> f64 + Copy, brighter: Option<f64>) -> f64 {
        let curve = taught(bent, brighter).curve().unwrap();
        let light = |v: f64| curve.at(bent(v).ln());
        (light(0.72) - light(0.24)).exp() / 3.0 - 1.0
    }

    #[test]
    fn what_the_file_says_is_kept_where_it_is_true() {
        assert!(off(|v| v, None).abs() < 1e-6);
    }

    #[test]
    fn a_shoulder_is_met_above_the_brightest_step_and_known_from_a_brighter_photo() {
        let shoulder = |v: f64| 3.0 * v / (1.0 + 2.0 * v);
        let bend = |v: f64| v.powf(1.4) * (1.6 - 0.6 * v);
        for (guessed, known) in [
            (off(shoulder, None), off(shoulder, Some(1.5))),
            (off(bend, None), off(bend, Some(1.5))),
        ] {
            assert!(guessed.abs() < 0.03, "{guessed}");
            assert!(known.abs() < 0.004, "{known}");
        }
    }
}
