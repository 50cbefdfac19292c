//! What the codes of the card leave of certainty.

use crate::frame::Plane;
use crate::measure::chroma::Chroma;
use crate::units::Estimate;

/// How far a card's codes leave a* and b* in doubt (95 %): half a code of chroma is 0.9 % of blue and 0.7 % of red at the level
/// of a grey card, evenly spread, and read on two days.
pub const DOUBT: [f32; 2] = [0.48, 0.76];

/// And how far at worst.
const AT_WORST: [f32; 2] = [1.0, 1.3];

/// A card moves light by factors, and moving a* and b* undoes that to so much of chroma.
pub(super) const INEXACT: f64 = 0.05;

/// The ways to where one of some colours is grey, if the card may have moved it so far.
pub(super) fn to_grey(colours: &[[f32; 2]]) -> Vec<[f32; 2]> {
    let nearly_grey = |[a, b]: &&[f32; 2]| (a / AT_WORST[0]).hypot(b / AT_WORST[1]) <= 1.0;
    let away = colours.iter().filter(nearly_grey);
    away.map(|[a, b]| [-a, -b]).collect()
}

/// Mean a* and b* of the silver near dark places and of that elsewhere.
pub(super) fn means(colour: &Chroma, near: &Plane) -> [[f32; 2]; 2] {
    let mut sums = [[0.0_f32; 3]; 2];
    for ((at, remains), beside) in colour.remains.indexed_iter().zip(near) {
        let (a, b) = (colour.a[at], colour.b[at]);
        for (sum, weight) in sums.iter_mut().zip([*beside, (remains - beside).max(0.0)]) {
            let adds = [a, b, 1.0].map(|v| weight * v);
            sum.iter_mut().zip(adds).for_each(|(sum, v)| *sum += v);
        }
    }
    sums.map(|[a, b, weight]| [a, b].map(|sum| sum / weight.max(1e-6)))
}

/// An estimate made less sure by a colour that may lie one way or the other along each axis: `by` is what each way does to its
/// value, in pairs.
pub(super) fn less_sure(found: Estimate, by: &[f64]) -> Estimate {
    let (mut below, mut above) = (
        (found.value - found.low).powi(2),
        (found.high - found.value).powi(2),
    );
    for ways in by.chunks(2) {
        let most = ways.iter().copied().fold(0.0, f64::max);
        let least = ways.iter().copied().fold(0.0, f64::min);
        below += least * least;
        above += most * most;
    }
    Estimate {
        value: found.value,
        low: found.value - below.sqrt(),
        high: found.value + above.sqrt(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_nearly_grey_may_be_grey() {
        assert!(to_grey(&[]).is_empty());
        assert_eq!(
            to_grey(&[[0.5, -0.5], [1.1, 0.0], [0.0, 1.2], [0.9, 0.9]]),
            [[-0.5, 0.5], [0.0, -1.2]]
        );
    }

    #[test]
    fn the_means_are_weighed_by_what_remains_near_and_elsewhere() {
        let plane = |values: [f32; 2]| Plane::from_shape_vec((1, 2), values.to_vec()).unwrap();
        let colour = Chroma {
            cell_mm: 1.0,
            cell_px: 1,
            a: plane([2.0, 6.0]),
            b: plane([0.0, 8.0]),
            remains: plane([1.0, 1.0]),
            noise: 0.0,
        };
        let [near, elsewhere] = means(&colour, &plane([1.0, 0.25]));
        assert!((near[0] - 2.8).abs() < 1e-5 && (near[1] - 1.6).abs() < 1e-5);
        assert!((elsewhere[0] - 6.0).abs() < 1e-5 && (elsewhere[1] - 8.0).abs() < 1e-5);
        assert_eq!(means(&colour, &plane([0.0; 2]))[0].to_vec(), vec![0.0; 2]);
    }
}
