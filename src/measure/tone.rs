//! Tone: the colour of the silver that is left, CIELAB a* and b* (CIE 15) with full silver as white.
//!
//! 0 and 0 is neutral; b* over 0 is warm (yellow-brown), under 0 cold; a* over 0 is pinkish. From the mean light of the
//! pixels with s ≥ 0.5, for CIELAB of a mean is what the eye blends, not a mean of CIELAB. A lamp whose colour differs
//! between patch and panel moves it. Thin silver is warm without any tarnish.

use super::windows::Windows;
use crate::frame::panel::Tone;
use crate::ops::transfer::lab;
use crate::stats::bootstrap::{Resamples, dot};
use crate::units::{Measure, Unmeasured};

/// Share of the panel that must have silver left.
const LEAST_SHARE: f64 = 0.01;

/// No colour of a surface lies farther out, in a* or b*; light that does was held against a patch that shows no silver.
const FARTHEST: f64 = 128.0;

/// a* and b* of the remaining silver.
pub(super) fn measure(
    tone: &Tone,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> (Measure, Measure) {
    let Some(resamples) = resamples else {
        return (
            Err(Unmeasured::PanelTooSmall),
            Err(Unmeasured::PanelTooSmall),
        );
    };
    let mut sums = [0, 1, 2].map(|_| vec![0.0; windows.count()]);
    let mut weights = vec![0.0; windows.count()];
    let middle = |i: usize| (i as f64 + 0.5) * tone.cell_px as f64;
    let column: Vec<usize> = (0..tone.weight.ncols())
        .map(|c| windows.at(0.0, middle(c)))
        .collect();
    for (r, row) in tone.weight.rows().into_iter().enumerate() {
        let first = windows.at(middle(r), 0.0);
        for (c, weight) in row.iter().enumerate() {
            let window = first + column[c];
            let weight = f64::from(*weight);
            weights[window] += weight;
            for (sum, plane) in sums.iter_mut().zip(&tone.planes) {
                sum[window] += weight * f64::from(plane[[r, c]]);
            }
        }
    }
    let whole: f64 = windows.areas_px().iter().sum();
    if weights.iter().sum::<f64>() < LEAST_SHARE * whole {
        return (Err(Unmeasured::NoSilver), Err(Unmeasured::NoSilver));
    }
    let lab_of = |w: &[f64]| {
        let n = dot(w, &weights);
        (n > 0.0).then(|| {
            let light = [0, 1, 2].map(|c| dot(w, &sums[c]) / n);
            lab(light).map(|v| v.clamp(-FARTHEST, FARTHEST))
        })
    };
    let axis = |i: usize| {
        let value = lab_of(&vec![1.0; windows.count()]).ok_or(Unmeasured::NoSilver)?[i];
        resamples
            .interval(value, |w| lab_of(w).map(|lab| lab[i]))
            .ok_or(Unmeasured::NoSilver)
    };
    (axis(1), axis(2))
}

#[cfg(test)]
mod tests {
    use super::super::painted::{Exact, assert_near, exact, sure};
    use super::*;
    use crate::frame::Plane;

    fn tone(of: &Exact, tone: &Tone) -> (Measure, Measure) {
        measure(tone, &of.windows, of.resamples())
    }

    /// An even light, with so much of it remaining in each pixel.
    fn even(light: [f32; 3], remains: impl Fn(usize, usize) -> bool) -> Tone {
        Tone {
            cell_px: 1,
            planes: light.map(|v| Plane::from_elem((240, 240), v)),
            weight: Plane::from_shape_fn((240, 240), |(r, c)| f32::from(u8::from(remains(r, c)))),
        }
    }

    #[test]
    fn neutral_silver_has_none_and_bare_glass_no_tone_at_all() {
        let of = exact(|_, _| 1.0);
        assert_eq!(tone(&of, &of.panel.tone), (sure(0.0), sure(0.0)));
        let bare = exact(|_, _| 0.0);
        let no_silver = Err(Unmeasured::NoSilver);
        assert_eq!(tone(&bare, &bare.panel.tone), (no_silver, no_silver));
        let too_small = Err(Unmeasured::PanelTooSmall);
        assert_eq!(
            measure(&of.panel.tone, &of.windows, None),
            (too_small, too_small)
        );
    }

    #[test]
    fn a_hundredth_of_silver_has_a_tone_and_less_has_none() {
        let of = exact(|_, _| 1.0);
        // 576 of 57 600 pixels, and one fewer; all over the panel, so that each window has some.
        let spread = |n: usize| {
            move |r: usize, c: usize| (r * 240 + c).is_multiple_of(100) && r * 240 + c < n
        };
        assert_near(tone(&of, &even([1.0; 3], spread(57_600))).0, 0.0);
        assert_eq!(
            tone(&of, &even([1.0; 3], spread(57_500))).0,
            Err(Unmeasured::NoSilver)
        );
    }

    #[test]
    fn it_is_the_colour_of_the_mean_light() {
        let of = exact(|_, _| 1.0);
        // Published: a linear half of blue beside full red and green is sRGB (255, 255, 188), b* about 33.
        let [_, a, b] = lab([1.0, 1.0, 0.5]);
        let (found_a, found_b) = tone(&of, &even([1.0, 1.0, 0.5], |_, _| true));
        assert_near(found_a, a);
        assert_near(found_b, b);
        assert!(b > 30.0 && b < 40.0, "{b}");
        // Half of the panel without blue and half with: the eye blends the light.
        let mut halves = even([1.0; 3], |_, _| true);
        halves.planes[2] = Plane::from_shape_fn((240, 240), |(r, _)| (r % 2) as f32);
        assert_near(tone(&of, &halves).1, b);
        // What does not remain lends nothing.
        let only_blueless = Tone {
            weight: halves.planes[2].mapv(|v| 1.0 - v),
            ..halves
        };
        let [_, _, b] = lab([1.0, 1.0, 0.0]);
        assert_near(tone(&of, &only_blueless).1, b);
        // Light that no surface has is held at its bound.
        assert_near(tone(&of, &even([9.0, 0.0, 9.0], |_, _| true)).0, FARTHEST);
    }
}
