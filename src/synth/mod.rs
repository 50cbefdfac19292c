//! Paints panels of known truth from a seed and photographs them: the outside judge of the analyser.
//!
//! [`Finish`] says what to paint → [`Finish::paint`] lays the silver down as a [`Painted`] field in millimetres →
//! [`Painted::truth`] reads the [`Truth`] off that field by simple means of its own → [`photograph()`] takes the
//! [`Shot`] through a pinhole, a lens, a lit room and an 8-bit sensor → [`Photographed::jpeg`] writes the file.
//!
//! Promised: the same seed and parameters give the same panel and the same photo; changing one part of a finish leaves
//! the others where they were; everything is laid out in millimetres, so that the same panel can be painted coarser or
//! finer. Deliberately absent: any of the analyser's own arithmetic, second bounces in the glass.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positions are rounded to pixels on purpose and checked against the field or the frame"
)]

mod area;
mod arranged;
mod barrel;
mod beside;
mod camera;
mod dark;
mod distance;
mod edge;
mod fault;
mod field;
mod file;
mod finish;
mod form;
mod glass;
mod laid_on;
mod lopsided;
mod marks;
mod net;
mod patina;
mod reflected;
mod response;
mod ridges;
mod scene;
mod seen;
mod shot;
mod smooth;
mod speckles;
mod spoilt;
mod spots;
mod stream;
mod strokes;
mod table;
mod tone;
mod truth;
mod winding;

pub use beside::{Beside, Thing, WHITE_OVER_SILVER};
pub use camera::{Photographed, photograph};
pub use fault::{CameraNotes, Fault, OnPatch};
pub use field::{MARGIN_MM, Painted};
pub use finish::{Arrangement, Blots, Clouds, EdgeLoss, Finish, Ridges, Speckles};
pub use form::SpeckShape;
pub use glass::{Drops, Dust, doubled_mm};
pub use lopsided::Lopsided;
pub use marks::{MarkKind, Marks};
pub use patina::{Patina, PatinaPlace};
pub use response::Response;
pub use scene::FULL_SILVER;
pub use seen::{BoardEnd, Outline, Reflection};
pub use shot::{PatchAt, Shot};
pub use table::Table;
pub use tone::silver_colour;
pub use truth::{BLOT_MM, SIGMAS_MM, STANDARD_SIGMA_MM, Truth};
pub use winding::Winding;
