//! What is weak about a picture: one sign, one file. Each reads the photo, the placement or the panel and raises its flags
//! of [`quality`](crate::quality); none changes a number.

mod panel;
mod photo;

pub use panel::{Spot, of_panel};
pub use photo::of_photo;
