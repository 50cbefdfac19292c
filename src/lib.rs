//! Paneprint reads photos of hand-silvered, hand-aged mirror panels and says, in words first, how alike two finishes are.
//!
//! *photo → panel → measurements → fingerprint; then keep it, compare it, say it.*
//!
//! A [`frame::photo::Photo`] is what a file holds, a [`frame::placement::Placement`] says where the panel lies in it, a
//! [`frame::panel::Panel`] is the panel square-on and evenly lit, in millimetres: after it no camera exists.
//! [`measure::Measurements`] are its numbers, each with its interval, and a [`Fingerprint`] is what is kept
//! and compared. [`pipeline`] is the only place that chains these.
//!
//! # The front door
//!
//! [`read()`] takes the reading of a photo, [`compare()`] sets two fingerprints apart, [`Archive`] keeps them; [`measure()`] measures a
//! panel that was made otherwise.
//!
//! ```
//! use paneprint::compare::{Side, Terms};
//! use paneprint::{Given, Settings, Verdict, compare, read};
//!
//! # fn main() -> paneprint::Result<()> {
//! let settings = Settings::default();
//! let read = |photo: &str| read(photo.as_ref(), Given::default(), None, &settings);
//! // Where the panel lies stands in the placement files beside the photos.
//! let sample = read("demo-images/signed-sample.jpg")?.fingerprint;
//! let panel = read("demo-images/alcove-3.jpg")?.fingerprint;
//! let coverage = panel.measurements.coverage.unwrap();
//! assert!(coverage.low <= coverage.value && coverage.value <= coverage.high);
//!
//! let side = |name, fingerprint| Side { name, fingerprint };
//! let found = compare(side("sample", &sample), side("panel", &panel), &Terms::default())?;
//! assert_eq!(found.verdict, Verdict::Outside);
//! # Ok(())
//! # }
//! ```
//!
//! A weak picture is no error: the reading says so.
//!
//! ```
//! use paneprint::{Given, Settings, read};
//!
//! # fn main() -> paneprint::Result<()> {
//! let photo = "demo-images/first-try.jpg".as_ref();
//! let reading = read(photo, Given::default(), None, &Settings::default())?;
//! let flags = &reading.fingerprint.provenance.flags;
//! let first = flags.to_mend().next().unwrap();
//! println!("{} {}", first.meaning, first.remedy);
//! # Ok(())
//! # }
//! ```
//!
//! # Promised
//!
//! - The same photo and settings give the same bytes of reading on every machine of the same architecture.
//! - A weak picture raises a flag ([`quality`]); what cannot be done is one [`Error`].
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
//! The library prints nothing and reads no clock, environment or home folder: [`commands`] hands them in. Nothing uses the
//! network but the command `bench`, which listens and asks nobody. There is no pass mark: the studio's own signed samples and limits decide. No recipe is shipped or suggested.
//!
//! # Reading order
//!
//! [`units`], [`quality`] and the error; [`frame`]; [`ops`] and [`stats`]; the stages [`intake`], [`placement`],
//! [`normalize`], [`judge`], [`mod@measure`], and [`synth`], which paints panels of known truth to test them by; [`settings`];
//! [`fingerprint`] with the metric table, [`silver`]; [`pipeline`], [`mod@compare`], [`archive`]; [`words`], the sentences that several
//! answers share; [`studio`], what is done for a front end, and [`draw`], what is drawn; [`document`], what is said and shown;
//! [`commands`].

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
pub mod names;
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

pub use archive::Archive;
pub use compare::compare;
pub use error::{Error, Result};
pub use fingerprint::{Fingerprint, Verdict};
pub use measure::measure;
pub use pipeline::read;
pub use placement::Given;
pub use settings::Settings;
pub use {image, ndarray};
