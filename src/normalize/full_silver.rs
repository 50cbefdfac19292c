//! Where full silver is read from: a sample of known silver beside the panel, or one of four ways, the best one the photo allows.
//!
//! 1. A rig, framed as its plain frame was, and patches it knows: the rig's light, following today's patches.
//! 2. Mirror patches in the photo: a plane through their levels, bent as far as enough of them tell.
//! 3. A grey patch and a rig framed otherwise: the rig's silver-over-patch ratio times the patch.
//! 4. Nothing of the kind: the bright envelope of the panel itself.

use super::bend;
use super::drift::{self, Ratio};
use super::grid::Grid;
use super::light::{Light, envelope};
use super::patch::PatchReading;
use super::rig::place;
use super::{Reference, rectify};
use crate::frame::panel::SilverScale;
use crate::frame::photo::Photo;
use crate::frame::placement::{PatchKind, Placement};
use crate::frame::quad::{Point, Quad};
use crate::ops::transfer::luminance;

/// Tiles along each side in which the panel's own brightest part is looked for.
const TILES: usize = 8;

/// Cells along each side of a tile.
const CELLS: usize = 12;

/// Full silver over a photo, and how it was found.
pub(super) struct FullSilver {
    pub(super) light: Light,
    pub(super) scale: SilverScale,
    pub(super) framed_unlike_rig: bool,
    /// Standard deviation of the panel's full silver by what the patches leave open of the light, as a share.
    pub(super) doubt: f64,
    /// What each patch says of the light since the rig's day.
    pub(super) ratios: Vec<Ratio>,
}

/// Finds full silver by the best way the photo allows.
pub(super) fn find(
    photo: &Photo,
    placement: &Placement,
    patches: &[PatchReading],
    reference: Reference<'_>,
    grid: &Grid,
) -> FullSilver {
    let rig = match reference {
        Reference::Rig(rig) => Some(rig),
        Reference::None => None,
        Reference::Sample(sample) => {
            return FullSilver {
                light: sample.light.clone(),
                scale: SilverScale::Sample,
                framed_unlike_rig: false,
                doubt: sample.doubt,
                ratios: Vec::new(),
            };
        }
    };
    let framed_alike = rig.is_some_and(|r| r.frames_like(photo));
    let found = |scale, light| FullSilver {
        light,
        scale,
        framed_unlike_rig: rig.is_some() && !framed_alike,
        doubt: 0.0,
        ratios: Vec::new(),
    };
    if let Some(rig) = rig.filter(|_| framed_alike) {
        let ratios = drift::ratios(photo, placement, patches, rig);
        if !ratios.is_empty() {
            let (places, factors): (Vec<_>, Vec<_>) = (drift::telling(&ratios).iter())
                .map(|r| (r.place, r.ratio))
                .unzip();
            let light = Light::Smooth(rig.light.followed(&places, &factors));
            return FullSilver {
                ratios,
                ..found(SilverScale::Plain, light)
            };
        }
    }
    let (places, levels) = levels_of(photo, patches, PatchKind::Mirror, |_| [1.0; 3]);
    if !places.is_empty() {
        let offcuts: Vec<Quad> = (placement.patches.iter())
            .filter(|p| p.kind == PatchKind::Mirror)
            .map(|p| p.corners)
            .collect();
        let told = bend::told(photo, &offcuts, &placement.corners);
        let light = match told.bend {
            Some(bend) => Light::bent(&places, &levels, bend),
            None => Light::plane(&places, &levels),
        };
        return FullSilver {
            doubt: told.doubt,
            ..found(SilverScale::Mirror, light)
        };
    }
    if let Some((rig, ratio)) = rig.and_then(|r| Some((r, r.silver_over(PatchKind::Grey)?))) {
        let factor = |p: &PatchReading| {
            let card = p.reflectance.unwrap_or(placement.patch_reflectance);
            ratio.map(|r| r * rig.patch_reflectance / card)
        };
        let (places, levels) = levels_of(photo, patches, PatchKind::Grey, factor);
        if !places.is_empty() {
            return found(SilverScale::Grey, Light::plane(&places, &levels));
        }
    }
    found(SilverScale::Own, own(photo, grid))
}

/// Places and levels of the patches of one kind, each level times its factor.
fn levels_of(
    photo: &Photo,
    patches: &[PatchReading],
    kind: PatchKind,
    factor: impl Fn(&PatchReading) -> [f64; 3],
) -> (Vec<Point>, Vec<[f64; 3]>) {
    patches
        .iter()
        .filter(|p| p.kind == kind)
        .map(|p| {
            let factor = factor(p);
            (place(p, photo), [0, 1, 2].map(|c| p.level[c] * factor[c]))
        })
        .unzip()
}

/// The panel's own bright envelope: in each tile the mean of the brightest tenth of its cells.
fn own(photo: &Photo, grid: &Grid) -> Light {
    let cells = rectify::coarse(photo, grid, TILES * CELLS, TILES * CELLS);
    let mut tiles = Vec::with_capacity(TILES * TILES);
    for tile in 0..TILES * TILES {
        let (top, left) = (tile / TILES * CELLS, tile % TILES * CELLS);
        let mut inside: Vec<_> = (0..CELLS * CELLS)
            .map(|i| &cells[(top + i / CELLS) * TILES * CELLS + left + i % CELLS])
            .collect();
        inside.sort_by(|a, b| luminance(&b.light).total_cmp(&luminance(&a.light)));
        inside.truncate(CELLS * CELLS / 10);
        let n = inside.len() as f64;
        let mean = |of: &dyn Fn(usize) -> f64| (0..inside.len()).map(of).sum::<f64>() / n;
        tiles.push((
            [0, 1].map(|a| mean(&|i| inside[i].place[a])),
            [0, 1, 2].map(|c| mean(&|i| inside[i].light[c])),
        ));
    }
    envelope(&tiles)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::placement::Patch;
    use crate::normalize::patch::read_patch;

    /// Full silver over a photo of 300 by 300 pixels, with patches of these kinds in its corners.
    fn found(light: impl Fn(usize, usize) -> f64, kinds: &[PatchKind]) -> FullSilver {
        let photo = drawn::photo([300, 300], |x, y| [light(x, y); 3]);
        let mut placement = drawn::placement(Quad::rectangle(60.0, 60.0, 180.0, 180.0));
        let corners = [[5.0, 5.0], [255.0, 5.0], [5.0, 255.0], [255.0, 255.0]];
        let laid = kinds.iter().zip(corners);
        placement.patches = laid
            .map(|(kind, [x, y])| drawn::patch(*kind, Quad::rectangle(x, y, 40.0, 40.0)))
            .collect();
        let read = |p: &Patch| read_patch(&photo, p, 0.1);
        let patches: Vec<PatchReading> = placement.patches.iter().map(read).collect();
        let grid = Grid::new(&placement, 10.0, 1.0).unwrap();
        find(&photo, &placement, &patches, Reference::None, &grid)
    }

    fn near(found: &FullSilver, place: Point, wanted: f64) -> bool {
        found
            .light
            .at(place)
            .iter()
            .all(|v| (v - wanted).abs() < 2e-3)
    }

    #[test]
    fn without_patches_the_panel_is_its_own_full_silver() {
        let even = found(|_, _| 0.4, &[]);
        assert_eq!(even.scale, SilverScale::Own);
        assert!(near(&even, [0.5, 0.5], 0.4) && !even.framed_unlike_rig && even.ratios.is_empty());
        // A grey card says nothing without a rig, nor does a bare patch.
        let kinds = [PatchKind::Grey, PatchKind::Bare];
        assert_eq!(found(|_, _| 0.4, &kinds).scale, SilverScale::Own);
        // Of each tile the brightest tenth: a panel that is bare but for stripes is held against these.
        let stripes = found(|x, _| if x / 6 % 3 == 0 { 0.4 } else { 0.02 }, &[]);
        assert!(near(&stripes, [0.5, 0.5], 0.4), "{:?}", stripes.light);
    }

    #[test]
    fn a_mirror_in_the_photo_is_full_silver_whatever_the_panel_is() {
        let on_panel = |x: usize, y: usize| (60..240).contains(&x) && (60..240).contains(&y);
        let one = found(
            |x, y| if on_panel(x, y) { 0.03 } else { 0.5 },
            &[PatchKind::Mirror],
        );
        assert_eq!(one.scale, SilverScale::Mirror);
        assert!(
            near(&one, [0.083, 0.083], 0.5),
            "{:?}",
            one.light.at([0.083, 0.083])
        );
        // Four of an even light say that it is even.
        let four = found(
            |x, y| if on_panel(x, y) { 0.03 } else { 0.5 },
            &[PatchKind::Mirror; 4],
        );
        assert!(near(&four, [0.083, 0.083], 0.5) && four.doubt < one.doubt);
    }
}
