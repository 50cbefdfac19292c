//! Numbers with no pictures in them.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of windows and resamples are small"
)]

pub mod anova;
pub mod axial;
pub mod bootstrap;
pub mod order;
pub mod spread;
