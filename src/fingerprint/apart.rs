//! How far apart two looks are: the texture at one panel's places against that at the other's.
//!
//! The difference δ of the places' means is set against how places differ on the two panels themselves, all statistics
//! together: D² = (δᵀ M⁻¹ δ − what chance alone makes of it) / d, Mahalanobis' distance over d statistics. M is the pooled
//! covariance of the places and of what nobody sees, drawn towards its own diagonal, for there are fewer places than statistics
//! (Ledoit & Wolf, Journal of Multivariate Analysis 88 (2004) 365–411; here by a fixed share). D is 0 for the same finish, and 1
//! where two finishes lie as far apart as two places of one of them do. The interval is that of a sum over independent places:
//! the places' own variance along M⁻¹ δ, and that of what chance makes, as wide as Student's t is for so few.

use nalgebra::{Cholesky, DMatrix, DVector};

use crate::measure::Texture;
use crate::measure::texture::{COUNT, OF_LEVEL, Shown};
use crate::stats::student;

/// Share by which the covariance is drawn to its diagonal. Between 0.2 and 0.6 little changes.
const TO_DIAGONAL: f64 = 0.4;

/// Statistics that stand or fall together may do so by this many times what nobody sees of each one: how much there is of a thing
/// is told by figures of its own, and a photo's sharpness moves all scales of it.
const TOGETHER: f64 = 1.0;

/// Fewest places of which a spread can be told.
const FEWEST: usize = 4;

/// How far apart two looks are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LookDistance {
    /// D², less than 0 where they are more alike than chance would have it: for putting in order.
    pub squared: f64,
    /// Lower and upper end of its 90 % interval.
    pub ends: [f64; 2],
    /// The place of each that is least like the other panel, by its number among the panel's own.
    pub least_alike: [usize; 2],
}

impl LookDistance {
    /// The distance, 0 or more.
    #[must_use]
    pub fn distance(&self) -> f64 {
        self.squared.max(0.0).sqrt()
    }

    /// Its 90 % interval.
    #[must_use]
    pub fn interval(&self) -> [f64; 2] {
        self.ends.map(|end| end.max(0.0).sqrt())
    }
}

/// Sets two looks apart; `None` where one shows too few places.
#[must_use]
pub fn apart(a: &Texture, b: &Texture) -> Option<LookDistance> {
    apart_in_doubt(a, b, [0.0; OF_LEVEL])
}

/// The same where a doubt of the light leaves this standard deviation in the first statistics, those of the level.
#[must_use]
pub fn apart_in_doubt(a: &Texture, b: &Texture, unlit: [f64; OF_LEVEL]) -> Option<LookDistance> {
    let mut which = Texture::in_common(a, b);
    for shown in &mut which {
        if let Some(unlit) = unlit.get(shown.number) {
            shown.unseen = shown.unseen.hypot(*unlit);
        }
    }
    let (a, b) = (Places::of(a, &which)?, Places::of(b, &which)?);
    let d = which.len();
    let free = a.count() + b.count() - 2.0;
    // Each statistic in units of how places differ in it, or of what nobody sees.
    let unit = DVector::from_fn(d, |k, _| {
        ((a.variance(k) + b.variance(k)) / 2.0 + which[k].unseen.powi(2)).sqrt()
    });
    // M = diag + UᵀU, with fewer rows in U than statistics: all that is asked of its inverse follows from
    // K = (1 + U diag⁻¹ Uᵀ)⁻¹ (Woodbury's identity), and U M⁻¹ Uᵀ = 1 − K.
    let keep = ((1.0 - TO_DIAGONAL) / free).sqrt();
    let places = a.above(&b, &unit) * keep;
    let within = |k: usize| places.column(k).norm_squared() / (1.0 - TO_DIAGONAL);
    let unseen = |k: usize| which[k].unseen / unit[k];
    let diagonal = DVector::from_fn(d, |k, _| TO_DIAGONAL * within(k) + unseen(k).powi(2));
    let u = with_groups(&places, &which, |k| TOGETHER * unseen(k));
    let over = DMatrix::from_fn(u.nrows(), d, |i, k| u[(i, k)] / diagonal[k]);
    let rows = DMatrix::identity(u.nrows(), u.nrows());
    let k = Cholesky::new(&rows + &over * u.transpose())?.inverse();
    let delta = DVector::from_fn(d, |k, _| (b.mean[k] - a.mean[k]) / unit[k]);
    let along = delta.component_div(&diagonal) - over.tr_mul(&(&k * (&over * &delta)));
    // What of M places differ by, and so what of δ chance alone makes.
    let share = (1.0 / a.count() + 1.0 / b.count()) / (1.0 - TO_DIAGONAL);
    let own = places.nrows();
    let spread = (rows - k).view((0, 0), (own, own)) * share;
    // How far each place lies from its panel's own mean, along the way from the sample's to the panel's.
    let lies = &places * &along / keep;
    let (of_a, of_b) = (
        lies.rows(0, a.apart.nrows()),
        lies.rows(a.apart.nrows(), b.apart.nrows()),
    );
    let of_mean = |lies: f64, places: &Places| lies / (places.count() - 1.0) / places.count();
    let variance = 4.0 * (of_mean(of_a.norm_squared(), &a) + of_mean(of_b.norm_squared(), &b))
        + 2.0 * spread.component_mul(&spread.transpose()).sum();
    let squared = (delta.dot(&along) - spread.trace()) / d as f64;
    let half = student::point(free, 0.95)? * variance.sqrt() / d as f64;
    Some(LookDistance {
        squared,
        ends: [squared - half, squared + half],
        least_alike: [of_a.imin(), of_b.imax()],
    })
}

/// The rows of the places, and below them one for each group of statistics that stand or fall together.
fn with_groups(places: &DMatrix<f64>, which: &[Shown], by: impl Fn(usize) -> f64) -> DMatrix<f64> {
    let mut groups: Vec<usize> = which.iter().filter_map(|shown| shown.group).collect();
    groups.dedup();
    let own = places.nrows();
    DMatrix::from_fn(own + groups.len(), which.len(), |i, k| {
        if i < own {
            places[(i, k)]
        } else if which[k].group == Some(groups[i - own]) {
            by(k)
        } else {
            0.0
        }
    })
}

/// Some statistics of a panel's places: their means, and a row of deviations from them a place.
struct Places {
    mean: DVector<f64>,
    apart: DMatrix<f64>,
}

impl Places {
    fn of(texture: &Texture, which: &[Shown]) -> Option<Self> {
        let rows: Vec<[f64; COUNT]> = texture.places().collect();
        if rows.len() < FEWEST {
            return None;
        }
        let all = DMatrix::from_fn(rows.len(), which.len(), |i, k| rows[i][which[k].number]);
        let mean = all.row_mean();
        let apart = DMatrix::from_fn(rows.len(), which.len(), |i, k| all[(i, k)] - mean[k]);
        Some(Places {
            mean: mean.transpose(),
            apart,
        })
    }

    fn count(&self) -> f64 {
        self.apart.nrows() as f64
    }

    fn variance(&self, k: usize) -> f64 {
        self.apart.column(k).norm_squared() / (self.count() - 1.0)
    }

    /// These deviations in units above those of another panel.
    fn above(&self, other: &Places, unit: &DVector<f64>) -> DMatrix<f64> {
        let own = self.apart.nrows();
        DMatrix::from_fn(own + other.apart.nrows(), unit.len(), |i, k| {
            let apart = if i < own {
                self.apart[(i, k)]
            } else {
                other.apart[(i - own, k)]
            };
            apart / unit[k]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Plane;
    use crate::ops::smooth::gaussian;
    use rand::{RngExt, SeedableRng};

    /// 150 mm of noise of a blur, mm, and a spread, at 4 px/mm.
    fn noise(blur_mm: f64, spread: f32, seed: u64) -> Texture {
        let mut rng = rand_pcg::Pcg64::seed_from_u64(seed);
        let white = Plane::from_shape_simple_fn((600, 600), || rng.random::<f32>() - 0.5);
        let field = gaussian(&white, blur_mm * 4.0);
        let scale = spread / field.std(0.0);
        Texture::measure(&field.mapv(|v| 0.75 + scale * v), None, 4.0, 0.25, 0.25)
    }

    #[test]
    fn the_same_noise_is_near_and_noise_of_another_blur_far() {
        let sample = noise(1.0, 0.08, 1);
        for seed in 2..6 {
            let same = apart(&sample, &noise(1.0, 0.08, seed)).unwrap();
            assert!(same.interval()[0] < 0.1, "{same:?}");
            let other = apart(&sample, &noise(1.6, 0.08, seed)).unwrap();
            assert!(other.interval()[0] > 0.3, "{other:?}");
        }
    }

    #[test]
    fn it_is_the_same_which_is_set_against_which_and_none_of_itself() {
        let (a, b) = (noise(1.0, 0.08, 7), noise(2.0, 0.1, 8));
        let (one, other) = (apart(&a, &b).unwrap(), apart(&b, &a).unwrap());
        assert!((one.squared - other.squared).abs() < 1e-9);
        // Nothing differs, and less than chance would make of it.
        let itself = apart(&a, &a).unwrap();
        assert!(itself.squared < 0.0 && itself.distance().abs() < 1e-12);
    }

    #[test]
    fn a_panel_too_small_for_places_has_no_look() {
        let small = Texture::measure(&Plane::from_elem((100, 600), 0.8), None, 4.0, 0.25, 0.25);
        assert!(apart(&small, &noise(1.0, 0.08, 9)).is_none());
    }

    #[test]
    fn what_is_kept_comes_back() {
        let texture = noise(1.0, 0.1, 10);
        let text = serde_json::to_string(&texture).unwrap();
        assert!(text.len() < 4096, "{}", text.len());
        assert_eq!(serde_json::from_str::<Texture>(&text).unwrap(), texture);
        assert!(
            serde_json::from_str::<Texture>(r#"{"finest":0,"colour":false,"places":"AAAA"}"#)
                .is_err()
        );
    }
}
