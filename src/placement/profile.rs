//! Light along a way across a side of a panel.

use crate::frame::photo::Photo;
use crate::frame::side::Side;
use crate::ops::sample::luminance_at;

/// Luminance at a share of a side and at each of some distances `inside` it, pixels; each is the mean over `taps`, pixels along
/// the side.
pub(super) fn light_across(
    photo: &Photo,
    side: &Side,
    share: f64,
    inside: impl Iterator<Item = f64>,
    taps: &[f64],
) -> Vec<f64> {
    inside
        .map(|inside| {
            let p = side.at(share, inside);
            let light = |tap: &f64| luminance_at(photo, [0, 1].map(|k| p[k] + tap * side.along[k]));
            taps.iter().map(light).sum::<f64>() / taps.len() as f64
        })
        .collect()
}
