//! A kept sample with all that was signed of it.

use crate::archive::{Archive, Finish};
use crate::compare::{Allowances, Side, Terms};
use crate::error::Result;
use crate::fingerprint::Variety;

/// The sample and its limit pieces.
pub struct Signed {
    /// The sample.
    pub sample: Finish,
    light: Option<Finish>,
    dark: Option<Finish>,
}

impl Signed {
    /// The sample of a name.
    ///
    /// # Errors
    /// It is not kept, or it or one of its limit pieces is damaged.
    pub fn named(name: &str, archive: &Archive) -> Result<Self> {
        let sample = archive.finish_named(name)?;
        let piece = |name: Option<&String>| name.map(|n| archive.finish_named(n)).transpose();
        let approval = sample.approval.as_ref();
        Ok(Signed {
            light: piece(approval.and_then(|a| a.light.as_ref()))?,
            dark: piece(approval.and_then(|a| a.dark.as_ref()))?,
            sample,
        })
    }

    /// As one side of a comparison.
    #[must_use]
    pub fn side(&self) -> Side<'_> {
        side(&self.sample)
    }

    /// What the studio says of it.
    #[must_use]
    pub fn terms(&self) -> Terms<'_> {
        Terms {
            own: self.allowances(),
            light: self.light.as_ref().map(side),
            dark: self.dark.as_ref().map(side),
            variety: self.variety(),
        }
    }

    /// The studio's own allowances.
    #[must_use]
    pub fn allowances(&self) -> Allowances {
        self.sample
            .approval
            .as_ref()
            .map(|a| a.allowances.clone())
            .unwrap_or_default()
    }

    /// How much it is meant to vary, where that was said.
    #[must_use]
    pub fn variety(&self) -> Option<Variety> {
        self.sample.approval.as_ref()?.variety
    }

    /// The light and the dark piece.
    #[must_use]
    pub fn pieces(&self) -> [Option<&Finish>; 2] {
        [self.light.as_ref(), self.dark.as_ref()]
    }

    /// Names of the light and the dark piece.
    #[must_use]
    pub fn limits(&self) -> [Option<&str>; 2] {
        [&self.light, &self.dark].map(|piece| piece.as_ref().map(|f| f.name.as_str()))
    }
}

fn side(finish: &Finish) -> Side<'_> {
    Side {
        name: &finish.name,
        fingerprint: &finish.fingerprint,
    }
}
