//! What a sample can promise for a panel of another size.

use std::num::NonZero;

use super::Studio;
use super::signed::Signed;
use crate::compare::promise::{Promise, promise, speckles};
use crate::error::Result;
use crate::units::SizeMm;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Request {
    /// The kept sample.
    pub name: String,
    /// Size of the panel to be made.
    pub size: Option<SizeMm>,
    /// How many specks there are to be on it.
    pub speckles: Option<NonZero<usize>>,
}

/// What is promised.
pub struct Promised {
    /// The sample.
    pub sample: Signed,
    /// For a panel of this size.
    pub panel: Option<(SizeMm, Promise)>,
    /// A number of specks, and between what numbers chance leaves them.
    pub speckles: Option<(usize, (f64, f64))>,
}

/// Says what the sample promises.
///
/// # Errors
/// It is not kept, or damaged.
pub fn ask(request: &Request, studio: &Studio<'_>) -> Result<Promised> {
    let sample = Signed::named(&request.name, &studio.archive()?)?;
    let read = &sample.sample.fingerprint;
    let of_size = |size| (size, promise(read, size, &sample.terms()));
    let of_specks = |n: NonZero<usize>| (n.get(), speckles(read, n.get()));
    Ok(Promised {
        panel: request.size.map(of_size),
        speckles: request.speckles.map(of_specks),
        sample,
    })
}
