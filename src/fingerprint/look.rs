//! A reading as a point among looks: near points look alike.
//!
//! Each coordinate is something the eye sees, in units of about what it may differ by and still be alike. What a panel has
//! little of says little: the size of three specks, or the direction of faint streaks, counts for less than that of many. So
//! every reading has every coordinate, and the distance of two is symmetric and obeys the triangle's rule. It tells which kept
//! finishes to look at; whether a panel is within what was signed is for `match` to say.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "points are f32 on purpose, and bins are few"
)]

use super::Fingerprint;
use super::metric::{
    AGGRESSIVENESS, BLOT_FRACTION, COVERAGE, DARK_FRACTION, EDGE_LOSS, Metric, SPECKLE_DENSITY,
    SPECKLE_DIAMETER_MEDIAN, SPECKLE_DIAMETER_P90, SPECKLE_EVENNESS, STREAK_SPACING,
    STREAK_STRENGTH, TONE_A, TONE_B,
};
use crate::frame::panel::SilverScale;
use crate::frame::placement::{Side, Stage};
use crate::measure::aggressiveness::{FINE_MM, MIDDLE_MM, texture as texture_between};
use crate::measure::texture;
use crate::measure::{CLEAR_FROM, Measurements};
use crate::units::Measure;

/// Coordinates that single figures give.
const FIGURES: usize = 20;

/// Coordinates of a point.
pub const DIMENSIONS: usize = FIGURES + texture::SUMMARY;

/// Form of the points; of another one they are worked out anew.
pub const FORM: u32 = 2;

/// Speckles per cm² of which the size counts half.
const FEW_PER_CM2: f64 = 0.3;

/// Streak strength of which spacing and direction count half.
const FAINT: f64 = 0.15;

/// All blots against none; some against none is half of it.
const BLOTS: f64 = 4.0;

/// Two directions at right angles lie as far apart as this many allowances.
const ACROSS: f64 = 6.0;

/// A point among looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look(pub [f32; DIMENSIONS]);

impl Look {
    /// Length of [`Self::to_bytes`].
    pub const BYTES: u32 = (DIMENSIONS * size_of::<f32>()) as u32;

    /// Where a reading lies.
    #[must_use]
    pub fn of(fingerprint: &Fingerprint) -> Self {
        let m = &fingerprint.measurements;
        let of = |row: &Metric| in_allowances(row, m);
        let value = |measure: Measure| measure.map_or(0.0, |e| e.value);
        let density = value(m.speckle_density);
        let specks = density / (density + FEW_PER_CM2);
        let blots = value(m.blot_fraction);
        let strength = value(m.streak_strength);
        let streaks = strength / (strength + FAINT);
        let turn = (2.0 * value(m.streak_angle)).to_radians();
        let between =
            |from_mm: f64, to_mm: f64| texture_between(&m.scales, from_mm, to_mm) / POINTS;
        let under = |level: f64| {
            let bins = m.silver_histogram.len() as f64;
            m.silver_histogram
                .iter()
                .take((level * bins) as usize)
                .sum::<f64>()
                / SHARE
        };
        let figures: [f64; FIGURES] = [
            of(&COVERAGE),
            of(&DARK_FRACTION),
            of(&AGGRESSIVENESS),
            BLOTS * blots / (blots + BLOT_FRACTION.allowance),
            of(&EDGE_LOSS),
            of(&TONE_A),
            of(&TONE_B),
            of(&SPECKLE_DENSITY),
            specks * of(&SPECKLE_DIAMETER_MEDIAN),
            specks * of(&SPECKLE_DIAMETER_P90),
            specks * of(&SPECKLE_EVENNESS),
            of(&STREAK_STRENGTH),
            streaks * ACROSS / 2.0 * turn.cos(),
            streaks * ACROSS / 2.0 * turn.sin(),
            streaks * of(&STREAK_SPACING),
            between(0.0, FINE_MM),
            between(FINE_MM, MIDDLE_MM),
            between(MIDDLE_MM, f64::INFINITY),
            under(0.7),
            under(CLEAR_FROM),
        ];
        let mut point = [0.0; DIMENSIONS];
        let all = figures.into_iter().chain(m.texture.summary());
        point.iter_mut().zip(all).for_each(|(to, v)| *to = v as f32);
        Look(point)
    }

    /// Readings of unlike kinds cannot be compared, however near.
    #[must_use]
    pub fn kind_of(fingerprint: &Fingerprint) -> String {
        let p = &fingerprint.provenance;
        let side = match p.placement.side {
            Side::Front => "front",
            Side::Back => "back",
        };
        let scale = if p.silver_scale == SilverScale::Own {
            "own"
        } else {
            "full"
        };
        let painted = p.placement.side == Side::Back && p.placement.stage == Some(Stage::Backed);
        let shows = if painted { "paint" } else { "silver" };
        format!(
            "{} {} {side} {scale} {shows}",
            fingerprint.version, fingerprint.settings_digest
        )
    }

    /// Squared distance, summed in the order of the coordinates, as far as it stays under a bound.
    #[must_use]
    pub fn squared_distance(&self, other: &Look, bound: f32) -> Option<f32> {
        let mut sum = 0.0;
        for (a, b) in self.0.chunks(5).zip(other.0.chunks(5)) {
            for (x, y) in a.iter().zip(b) {
                sum += (x - y) * (x - y);
            }
            if sum > bound {
                return None;
            }
        }
        Some(sum)
    }

    /// Little-endian floats, one after the other.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        self.0.iter().flat_map(|v| v.to_le_bytes()).collect()
    }

    /// The same back; `None` where they are not as many as a point has.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (floats, rest) = bytes.as_chunks::<4>();
        let mut point = [0.0; DIMENSIONS];
        if floats.len() != DIMENSIONS || !rest.is_empty() {
            return None;
        }
        point
            .iter_mut()
            .zip(floats)
            .for_each(|(p, f)| *p = f32::from_le_bytes(*f));
        Some(Look(point))
    }
}

/// Points of texture that are seen as a difference.
const POINTS: f64 = 4.0;

/// Share of the area that is seen as a difference.
const SHARE: f64 = 0.25;

/// A figure on the scale of its rule, in allowances; 0 where there is none.
fn in_allowances(row: &Metric, m: &Measurements) -> f64 {
    row.of(m)
        .map_or(0.0, |e| row.on_scale(e.value) / row.start(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_come_back_and_what_is_cut_short_does_not() {
        let mut point = [0.5; DIMENSIONS];
        point[3] = -1.25;
        let look = Look(point);
        let bytes = look.to_bytes();
        assert_eq!(Look::from_bytes(&bytes), Some(look));
        assert_eq!(Look::from_bytes(&bytes[1..]), None);
    }

    #[test]
    fn the_distance_stops_at_the_bound() {
        let (a, b) = (Look([0.0; DIMENSIONS]), Look([1.0; DIMENSIONS]));
        let all = DIMENSIONS as f32;
        assert_eq!(a.squared_distance(&b, 2.0 * all), Some(all));
        assert_eq!(a.squared_distance(&b, all - 1.0), None);
    }
}
