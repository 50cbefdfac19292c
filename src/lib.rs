//! Paneprint reads photos of hand-silvered, hand-aged mirror panels and says, in words first, how alike two finishes are.
//!
//! *photo → panel → measurements → fingerprint; then keep it, compare it, say it.*
//!
//! A [`frame::photo::Photo`] is what a file holds, a [`frame::placement::Placement`] says where the panel lies in it, a
//! [`frame::panel::Panel`] is the panel square-on and evenly lit, in millimetres: after it no camera exists.
//! [`measure::Measurements`] are its numbers, each with its interval, and a [`fingerprint::Fingerprint`] is what is kept
//! and compared. [`pipeline`] is the only place that chains these.
//!
//! # Promised
//!
//! - The same photo and settings give the same bytes of reading on every machine of the same architecture.
//! - A weak picture raises a flag ([`quality`]); what cannot be done is one [`Error`]; both say the next step.
//! - Every measure is a value with a 95 % interval, or no value and the reason.
//! - Nothing kept is overwritten; a damaged or foreign archive is refused and left as it is.
//!
//! # Conventions
//!
//! `[row, col]` from the top left, pixel centres at +0.5; x right, y down in the photo as shown. Corners are top left, top
//! right, bottom right, bottom left of the panel as it hangs, seen from the front. Linear light. Millimetres. Angles are
//! axial, [0, 180) degrees, anticlockwise from the panel's bottom edge, seen from the front.
//!
//! # Deliberately absent
//!
//! The library prints nothing and reads no clock, environment or home folder: [`cli`] hands them in. Nothing uses the
//! network. There is no pass mark: the studio's own signed samples and limits decide. No recipe is shipped or suggested.
//!
//! # Reading order
//!
//! [`units`], [`quality`] and the error; [`frame`]; [`ops`] and [`stats`]; the stages [`intake`], [`placement`],
//! [`normalize`], [`judge`], [`measure`], and [`synth`], which paints panels of known truth to test them by; [`settings`];
//! [`fingerprint`] with the metric table; [`pipeline`], [`compare`], [`archive`]; [`report`]; [`cli`].

pub mod archive;
pub mod commands;
pub mod compare;
pub mod document;
pub mod draw;
pub mod error;
pub mod fingerprint;
pub mod frame;
pub mod intake;
pub mod judge;
pub mod measure;
pub mod normalize;
pub mod ops;
pub mod pipeline;
pub mod placement;
pub mod quality;
pub mod settings;
pub mod silver;
pub mod stats;
pub mod studio;
pub mod synth;
pub mod units;
pub mod words;

pub use error::{Error, Result};
