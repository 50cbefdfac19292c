//! What a bare spot over black paint shows against full silver: the patches that say so.

use std::path::PathBuf;

use super::patch::PatchReading;
use crate::error::{Error, Result};
use crate::frame::placement::PatchKind;

/// What a bare patch may show: under the least it would be a hole, over the most there is silver or glare on it.
const SENSIBLE: [f64; 2] = [0.01, 0.2];

/// What the bare patches show against full silver at their places: the luminance of the ratios, averaged; `None` where there
/// are none.
///
/// # Errors
/// It is outside [`SENSIBLE`].
pub(super) fn of_patches(
    patches: &[PatchReading],
    full: impl Fn(&PatchReading) -> [f64; 3],
) -> Result<Option<f64>> {
    let shown: Vec<f64> = patches
        .iter()
        .filter(|p| p.kind == PatchKind::Bare)
        .map(|p| p.against(full(p)))
        .collect();
    if shown.is_empty() {
        return Ok(None);
    }
    let ratio = shown.iter().sum::<f64>() / shown.len() as f64;
    if !(SENSIBLE[0]..=SENSIBLE[1]).contains(&ratio) {
        return Err(Error::BareUnfit {
            path: PathBuf::new(),
            found: ratio,
        });
    }
    Ok(Some(ratio))
}
