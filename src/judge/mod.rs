//! What is weak about a picture: one sign, one file. Each reads the photo, the placement or the panel and raises its flags
//! of [`quality`](crate::quality); none changes a number.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positions are clamped to the photo before they become indices"
)]

mod bowed_edges;
mod camera;
mod cards;
mod crushed;
mod grey_card;
mod light_slope;
mod mixed_lamps;
mod panel;
mod patch_shaded;
mod patch_uneven;
mod photo;
mod session;
mod slope;
mod tiles;
mod tilted;

pub use panel::{Spot, of_panel};
pub use photo::{InPhoto, of_photo};
pub use session::{Colour, Noted, session};
