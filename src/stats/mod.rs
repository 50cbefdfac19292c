//! Numbers with no pictures in them.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of windows, resamples and cells are small"
)]

pub mod anova;
pub mod axial;
pub mod bootstrap;
pub mod chart;
pub mod count;
pub mod crossed;
pub mod monotone;
pub mod order;
pub mod outlier;
pub mod precision;
pub mod spatial;
pub mod spread;
