//! How far each place lies from the nearest other kind of place.

use ndarray::{Array2, Axis};

use super::smooth::by_rows;
use crate::frame::Plane;

/// Farther than any plane is wide, pixels.
const FAR: f32 = 1.0e6;

/// Distance from the centre of each pixel that is `inside` to that of the nearest pixel that is not, pixels; 0 for those
/// that are not. A million where all are inside.
///
/// Felzenszwalb & Huttenlocher, *Distance transforms of sampled functions*, Theory of Computing 8 (2012): down the columns
/// first, then along each row the lower envelope of parabolas.
pub(super) fn distances(inside: &Array2<bool>) -> Plane {
    let (rows, cols) = inside.dim();
    let mut down = Plane::zeros((rows, cols));
    let mut last = vec![FAR; cols];
    let step = |last: &mut [f32], of: ndarray::ArrayView1<'_, bool>| {
        for (l, inside) in last.iter_mut().zip(of) {
            *l = if *inside { (*l + 1.0).min(FAR) } else { 0.0 };
        }
    };
    for (mut out, of) in down.axis_iter_mut(Axis(0)).zip(inside.axis_iter(Axis(0))) {
        step(&mut last, of);
        out.iter_mut().zip(&last).for_each(|(o, l)| *o = *l);
    }
    last.fill(FAR);
    for (mut out, of) in (down.axis_iter_mut(Axis(0)).rev()).zip(inside.axis_iter(Axis(0)).rev()) {
        step(&mut last, of);
        out.iter_mut().zip(&last).for_each(|(o, l)| *o = o.min(*l));
    }
    by_rows(rows, cols, |r, out| {
        let heights: Vec<f64> = down.row(r).iter().map(|d| f64::from(*d).powi(2)).collect();
        along(&heights, out);
    })
}

/// Root of the lowest of the parabolas `height + (distance along)²` at each place.
fn along(heights: &[f64], out: &mut [f32]) {
    // The parabolas of the envelope, and where each begins to be the lowest.
    let mut lowest: Vec<(usize, f64)> = Vec::with_capacity(heights.len());
    for (q, height) in heights.iter().enumerate() {
        let from = loop {
            let Some((p, from)) = lowest.last().copied() else {
                break f64::MIN;
            };
            let (a, b) = (p as f64, q as f64);
            let meet = ((height + b * b) - (heights[p] + a * a)) / (2.0 * (b - a));
            if meet > from {
                break meet;
            }
            lowest.pop();
        };
        lowest.push((q, from));
    }
    let mut k = 0;
    for (c, out) in out.iter_mut().enumerate() {
        while lowest.get(k + 1).is_some_and(|(_, from)| *from < c as f64) {
            k += 1;
        }
        let (p, _) = lowest[k];
        let away = c as f64 - p as f64;
        *out = (away * away + heights[p]).sqrt().min(f64::from(FAR)) as f32;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_of_scattered_points_is_found() {
        let points = [[3usize, 4usize], [17, 2], [9, 25], [10, 26]];
        let mut inside = Array2::from_elem((20, 30), true);
        for p in points {
            inside[p] = false;
        }
        for ((r, c), found) in distances(&inside).indexed_iter() {
            let away = |p: &[usize; 2]| (r as f64 - p[0] as f64).hypot(c as f64 - p[1] as f64);
            let nearest = points.iter().map(away).fold(f64::MAX, f64::min);
            assert!((f64::from(*found) - nearest).abs() < 1e-4, "{r} {c}");
        }
        let all = distances(&Array2::from_elem((3, 3), true));
        assert!(all.iter().all(|d| *d >= FAR));
    }
}
