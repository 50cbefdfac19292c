//! Numbers with no pictures in them.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of windows, resamples and cells are small"
)]

/// Half-width of a 95 % interval over the standard error, normal errors.
pub const NINETY_FIVE: f64 = 1.959_964;

/// The same of a 90 % interval.
pub const NINETY: f64 = 1.644_854;

/// Half-width of a 90 % interval over that of a 95 % one, normal errors: 1.644854 / 1.959964.
pub const NINETY_OF_NINETY_FIVE: f64 = 0.839_227;

pub mod anova;
pub mod axial;
pub mod bootstrap;
pub mod chart;
pub mod count;
pub mod crossed;
pub mod curve;
pub mod effect;
pub mod least_squares;
pub mod monotone;
pub mod next;
pub mod normal_equations;
pub mod order;
pub mod outlier;
pub mod parabola;
pub mod precision;
pub mod process;
pub mod robust;
pub mod spatial;
pub mod spread;
pub mod student;
