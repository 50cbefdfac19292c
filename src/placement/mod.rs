//! Photo → [`Placement`]: where the panel and the patches lie, said by the maker and checked against the photo.
//!
//! [`Placement`]: crate::frame::placement::Placement

mod given;
mod sidecar;

pub use given::{FormError, Given, card, place};
pub use sidecar::{SIDECAR_ENDING, Sidecar, sidecar_path};
