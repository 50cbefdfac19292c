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

#[cfg(test)]
mod tests {
    use super::*;

    fn patch(kind: PatchKind, light: f64) -> PatchReading {
        PatchReading {
            kind,
            reflectance: None,
            level: [light; 3],
            centre: [0.0; 2],
            pixels: 1000,
            clipped: 0.0,
        }
    }

    /// What patches of these lights show where full silver is 0.5.
    fn shown(lights: &[f64]) -> Result<Option<f64>> {
        let mut patches = vec![patch(PatchKind::Mirror, 0.5), patch(PatchKind::Grey, 0.1)];
        patches.extend(lights.iter().map(|light| patch(PatchKind::Bare, *light)));
        of_patches(&patches, |_| [0.5; 3])
    }

    #[test]
    fn the_bare_patches_alone_say_it_and_none_says_nothing() {
        let near = |found: Result<Option<f64>>, wanted: f64| {
            (found.unwrap().unwrap() - wanted).abs() < 1e-4
        };
        assert!(shown(&[]).unwrap().is_none());
        assert!(of_patches(&[], |_| [0.5; 3]).unwrap().is_none());
        assert!(near(shown(&[0.03]), 0.06));
        assert!(near(shown(&[0.02, 0.04]), 0.06));
    }

    #[test]
    fn a_hole_and_a_patch_with_silver_on_it_are_refused() {
        for (light, fits) in [
            (0.0, false),
            (0.0049, false),
            (0.0051, true),
            (0.0999, true),
            (0.1001, false),
            (0.5, false),
        ] {
            match shown(&[light]) {
                Ok(found) => assert!(fits && found.is_some(), "{light}"),
                Err(Error::BareUnfit { found, .. }) => {
                    assert!(
                        !fits && (found - 2.0 * light).abs() < 1e-3,
                        "{light} {found}"
                    );
                }
                Err(other) => panic!("{other}"),
            }
        }
    }
}
