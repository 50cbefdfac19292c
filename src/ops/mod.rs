//! Picture arithmetic with no word of finishes in it.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sums are kept in f64 and stored as f32; sizes in pixels are small"
)]

pub mod glass;
pub mod label;
pub mod reduce;
pub mod resize;
pub mod sample;
pub mod smooth;
pub mod steer;
pub mod transfer;
pub mod wide;
