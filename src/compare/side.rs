//! One of the two that are set against each other.

use crate::fingerprint::Fingerprint;

/// A reading with the name it goes by.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// Name of the finish, or file name of the photo.
    pub name: &'a str,
    /// What was read.
    pub fingerprint: &'a Fingerprint,
}
