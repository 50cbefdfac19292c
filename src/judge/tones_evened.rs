//! The phone evened the picture out: dark things beside bright ones were darkened.
//!
//! A person sees nothing, and that is the trouble. Phones pull neighbourhoods together (local tone mapping): what lies about a bright
//! panel is darkened with it, and further away the table is as it was. Light does not do that: a table in the light of a board is
//! as bright a hand away from the panel as a finger away, but for the shadow that the edge of the glass throws on one side or two.
//!
//! Sign: on every side that can be seen, three at least, the table is 1.055 times as bright a seventh to a fifth of a side away as a
//! fifteenth away; on two of them no more than 1.6 times, for a dark mat a little larger than the panel ends at once. On path-traced
//! photos the least of the sides rose 0.96 to 1.03 times, 1.08 to 1.10 after a mild local operator. Fooled by: a table that darkens
//! towards the panel from all sides by itself.

use crate::frame::photo::Photo;
use crate::frame::placement::Placement;
use crate::frame::quad::Quad;
use crate::ops::transfer::LUMINANCE;

/// How far outside a side the table is looked at, shares of the panel's side: beside the panel, and away from it.
const BANDS: [[f64; 2]; 2] = [[0.05, 0.08], [0.14, 0.2]];

/// So many times brighter away from the panel, at least and at most.
const BRIGHTER: [f64; 2] = [1.055, 1.6];

/// Fewest sides that must be seen.
const SIDES: usize = 3;

/// A table this bright is no dark one beside a bright panel; a darker one than this cannot be read in codes.
const TABLE: [f64; 2] = [0.004, 0.2];

/// Places along and across a band.
const ALONG: usize = 60;
const ACROSS: usize = 6;

/// The place, from dark to bright, that is surely table, for what lies on it is brighter; and how many times brighter or darker the
/// table may be elsewhere.
const DARK: f64 = 0.2;
const UNLIKE: f32 = 1.5;

/// Least share of a band that must be seen.
const SEEN: f64 = 0.3;

/// A patch reaches a little beyond what is marked of it.
const PATCH: f64 = 1.6;

pub(super) fn evened(photo: &Photo, placement: &Placement) -> bool {
    let patches: Vec<Quad> = placement
        .patches
        .iter()
        .map(|p| p.corners.scaled(PATCH))
        .collect();
    let band =
        |side: usize, reach: [f64; 2]| table(photo, &placement.corners, &patches, side, reach);
    let mut rises: Vec<f64> = (0..4)
        .filter_map(|side| {
            let [beside, away] = BANDS.map(|reach| band(side, reach));
            let (beside, away) = (beside?, away?);
            (beside >= TABLE[0] && away <= TABLE[1]).then_some(away / beside)
        })
        .collect();
    rises.sort_unstable_by(f64::total_cmp);
    rises.len() >= SIDES && rises[0] >= BRIGHTER[0] && rises[1] <= BRIGHTER[1]
}

/// The table's light in a band outside a side; `None` where too little of it is seen.
fn table(
    photo: &Photo,
    panel: &Quad,
    patches: &[Quad],
    side: usize,
    [from, to]: [f64; 2],
) -> Option<f64> {
    let (a, b) = (panel.0[side], panel.0[(side + 1) % 4]);
    let along = [b[0] - a[0], b[1] - a[1]];
    let length = along[0].hypot(along[1]);
    let scale = panel.area().sqrt() / length;
    let middle = panel.centre();
    let mut out = [along[1] * scale, -along[0] * scale];
    if out[0] * (a[0] - middle[0]) + out[1] * (a[1] - middle[1]) < 0.0 {
        out = out.map(|v| -v);
    }
    let share = |k: usize, n: usize| (k as f64 + 0.5) / n as f64;
    let mut seen: Vec<f32> = (0..ALONG * ACROSS)
        .filter_map(|i| {
            let t = share(i % ALONG, ALONG);
            let away = from + (to - from) * share(i / ALONG, ACROSS);
            let at = [0, 1].map(|k| a[k] + t * along[k] + away * out[k]);
            let inside = at[0] >= 1.0
                && at[1] >= 1.0
                && at[0] < photo.width as f64 - 1.0
                && at[1] < photo.height as f64 - 1.0;
            if !inside || patches.iter().any(|p| p.contains(at)) {
                return None;
            }
            let light = photo.light_at(at);
            Some((0..3).map(|c| LUMINANCE[c] as f32 * light[c]).sum())
        })
        .collect();
    let enough = seen.len() as f64 >= SEEN * (ALONG * ACROSS) as f64;
    if !enough {
        return None;
    }
    seen.sort_unstable_by(f32::total_cmp);
    let dark = seen[(DARK * seen.len() as f64) as usize];
    let first = seen.partition_point(|v| *v < dark / UNLIKE);
    let last = seen.partition_point(|v| *v <= dark * UNLIKE);
    let part = seen.get(first..last)?;
    Some(f64::from(part.iter().sum::<f32>()) / part.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{corners, photo};
    use super::*;
    use crate::frame::drawn;
    use crate::frame::placement::PatchKind;

    /// A table of this light about the panel, and so many times that from a tenth of its side on, on the sides `of` says.
    fn is(table: f64, times: f64, of: fn([f64; 2]) -> bool, patches: &[Quad]) -> bool {
        let photo = photo(|x, y| {
            let out = [x, y].map(|at| (100.0 - at).max(at - 300.0).max(0.0));
            let far = out[0].max(out[1]) >= 20.0 && of([x - 200.0, y - 200.0]);
            [table * if far { times } else { 1.0 }; 3]
        });
        let mut placement = drawn::placement(corners());
        placement.patches = patches
            .iter()
            .map(|quad| drawn::patch(PatchKind::Grey, *quad))
            .collect();
        evened(&photo, &placement)
    }

    #[test]
    fn a_table_that_brightens_away_from_all_sides_was_evened() {
        let all = |times| is(0.05, times, |_| true, &[]);
        assert!(!all(1.0) && !all(1.05) && all(1.06) && all(1.59) && !all(1.61) && !all(0.9));
    }

    #[test]
    fn every_side_seen_must_brighten() {
        // The left side alone is as it was.
        let three = |[x, y]: [f64; 2]| x > -100.0 || y.abs() > 100.0;
        assert!(!is(0.05, 1.2, three, &[]));
        // Where something lies there it is not seen; of three sides it is enough, of two not.
        let left = Quad::rectangle(0.0, 20.0, 95.0, 360.0);
        assert!(is(0.05, 1.2, three, &[left]));
        let right = Quad::rectangle(305.0, 20.0, 95.0, 360.0);
        assert!(!is(0.05, 1.2, |_| true, &[left, right]));
    }

    #[test]
    fn only_a_dark_table_tells() {
        assert!(!is(0.0039, 1.2, |_| true, &[]) && is(0.0041, 1.2, |_| true, &[]));
        assert!(is(0.16, 1.2, |_| true, &[]) && !is(0.17, 1.2, |_| true, &[]));
        assert!(!is(0.0, 1.2, |_| true, &[]));
    }
}
