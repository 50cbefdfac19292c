//! The printed sheet: to scale, readable, and read back from a photo.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_sign_loss,
    reason = "positions are rounded to pixels on purpose and checked against the photo"
)]

mod laid;
mod photos;
mod print;
mod refused;
