//! Paints panels of known truth from a seed and photographs them: the outside judge of the analyser.
//!
//! [`Finish`] says what to paint → [`Finish::paint`] lays the silver down as a [`Painted`] field in millimetres →
//! [`Painted::truth`] reads the [`Truth`] off that field by simple means of its own → [`photograph()`] takes the
//! [`Shot`] through a pinhole, a lens, a lit room and an 8-bit sensor → [`Photographed::jpeg`] writes the file.
//!
//! Promised: the same seed and parameters give the same panel and the same photo; changing one part of a finish leaves
//! the others where they were; everything is laid out in millimetres, so that the same panel can be painted coarser or
//! finer. Deliberately absent: any of the analyser's own arithmetic, second bounces in the glass, lens distortion.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positions are rounded to pixels on purpose and checked against the field or the frame"
)]

pub mod camera;
pub mod dark;
pub mod edge;
pub mod field;
pub mod file;
pub mod finish;
pub mod ridges;
pub mod scene;
pub mod shot;
pub mod smooth;
pub mod speckles;
pub mod spots;
pub mod stream;
pub mod tone;
pub mod truth;

pub use camera::{Photographed, photograph};
pub use field::Painted;
pub use finish::{Arrangement, Blots, Clouds, EdgeLoss, Finish, Ridges, Speckles};
pub use shot::{PatchAt, Shot};
pub use truth::Truth;
