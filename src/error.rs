//! One error for the whole program. A leaf: it names no other module.
//!
//! Every message answers what went wrong, in which file, what was found and what was expected; `hint` gives the next
//! step. A weak picture is not an error but a flag (see [`crate::quality`]).

use std::path::PathBuf;

/// What this library returns.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// Everything that can stop the program.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The file is not there.
    #[error("{}: there is no such file", path.display())]
    NotFound {
        /// The file asked for.
        path: PathBuf,
    },
    /// A folder stands where a photo was expected.
    #[error("{}: this is a folder, not a photo", path.display())]
    IsFolder {
        /// The folder.
        path: PathBuf,
    },
    /// The operating system would not read or write the file.
    #[error("{}: could not be {action}: {source}", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// `read` or `written`.
        action: &'static str,
        /// The system's own words.
        source: std::io::Error,
    },
    /// The content is no picture this program knows.
    #[error("{}: not a photo this program can read (found {found}; expected JPEG, PNG, TIFF or WebP)", path.display())]
    NotAPhoto {
        /// The file.
        path: PathBuf,
        /// What its first bytes look like, in words.
        found: String,
    },
    /// The picture is a kind that cannot be read as red, green and blue light.
    #[error("{}: {found} cannot be read (expected an RGB or grey picture of 8 or 16 bits)", path.display())]
    UnreadableKind {
        /// The file.
        path: PathBuf,
        /// The kind found.
        found: String,
    },
    /// The picture is cut short or damaged.
    #[error("{}: the picture is damaged or cut short ({detail})", path.display())]
    DamagedPhoto {
        /// The file.
        path: PathBuf,
        /// The decoder's own words, one line.
        detail: String,
    },
    /// The picture is larger than the limits allow.
    #[error("{}: {found}, more than the {limit} this program opens", path.display())]
    PhotoTooLarge {
        /// The file.
        path: PathBuf,
        /// What the header claims.
        found: String,
        /// The limit, in words.
        limit: String,
    },
    /// The picture is too small to hold a panel.
    #[error("{}: the photo is only {width} x {height} pixels (expected at least {least} on each side)", path.display())]
    PhotoTooSmall {
        /// The file.
        path: PathBuf,
        /// Pixels across.
        width: usize,
        /// Pixels down.
        height: usize,
        /// The least side accepted.
        least: usize,
    },
}

/// How an error maps onto the program's exit codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The command could not run: exit code 2.
    CouldNotRun,
    /// The picture cannot be judged by: exit code 3.
    PictureNotUsable,
}

impl Error {
    /// Which exit code this error asks for.
    #[must_use]
    pub fn kind(&self) -> Kind {
        Kind::CouldNotRun
    }

    /// The next step, in the maker's words.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            Error::NotFound { .. } => {
                "Check the name, or drag the photo into the window to fill it in."
            }
            Error::IsFolder { .. } => "Name a photo inside it.",
            Error::Io { .. } => {
                "Check that the disk is connected, not full and not write-protected."
            }
            Error::NotAPhoto { .. } => "Set the phone to save JPEG, or export the picture as JPEG.",
            Error::UnreadableKind { .. } => "Export the picture as an ordinary RGB JPEG.",
            Error::DamagedPhoto { .. } => "Copy it from the phone again, or take it again.",
            Error::PhotoTooLarge { .. } => "Export it smaller; 12 megapixels are plenty.",
            Error::PhotoTooSmall { .. } => "Use the photo itself, not its thumbnail.",
        }
    }
}
