//! What is weak about a picture: one sign, one file. Each reads the photo, the placement or the panel and raises its flags
//! of [`quality`](crate::quality); none changes a number.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positions are rounded to cells or clamped to the photo before they become indices"
)]

mod below_bare;
mod camera;
mod cards;
mod crushed;
mod doubled;
#[cfg(test)]
mod drawn;
mod drops;
mod grey_card;
mod light_slope;
mod mixed_lamps;
mod panel;
mod patch_shaded;
mod patch_uneven;
mod photo;
mod plateau;
mod room;
mod session;
mod slope;
mod small;
mod stands;
mod tiles;
mod tilted;
mod tones_evened;

pub use camera::signs as of_camera;
pub use doubled::Spot;
pub use panel::{Sign, of_panel, of_spots, signs_of_panel};
pub use photo::{InPhoto, of_photo};
pub use session::{Colour, Noted, session};
pub use stands::{About, otherwise};
