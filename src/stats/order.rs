//! Order statistics: middle values that a few bad pixels cannot move.

use std::cmp::Ordering;

/// Mean of what is left when the lowest and highest `share` of the values are put aside; `None` of nothing.
///
/// In linear light this is better than a median: a median of 8-bit codes can only be a code.
pub fn trimmed_mean(values: &mut [f32], share: f64) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    values.sort_unstable_by(f32::total_cmp);
    let cut = ((values.len() as f64 * share) as usize).min((values.len() - 1) / 2);
    let kept = &values[cut..values.len() - cut];
    Some(kept.iter().map(|v| f64::from(*v)).sum::<f64>() / kept.len() as f64)
}

/// The value below which a share `q` of the values lies, by linear interpolation; `None` of nothing.
pub fn quantile(values: &mut [f64], q: f64) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    values.sort_unstable_by(f64::total_cmp);
    let at = q.clamp(0.0, 1.0) * (values.len() - 1) as f64;
    let below = at.floor() as usize;
    let above = (below + 1).min(values.len() - 1);
    Some(values[below] + (at - below as f64) * (values[above] - values[below]))
}

/// The value that a share of the others lies under, by `order`; one of the values as it is, unlike [`quantile`]. `None` of nothing.
pub fn ranked<T: Copy>(
    values: &mut [T],
    share: f64,
    order: impl FnMut(&T, &T) -> Ordering,
) -> Option<T> {
    let last = values.len().checked_sub(1)?;
    let at = ((share * values.len() as f64) as usize).min(last);
    Some(*values.select_nth_unstable_by(at, order).1)
}

/// The middle value.
pub fn median(values: &mut [f64]) -> Option<f64> {
    quantile(values, 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outliers_do_not_move_the_middle() {
        let mut values = vec![1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 900.0];
        assert!((trimmed_mean(&mut values, 0.1).unwrap() - 1.0).abs() < 1e-9);
        assert!(trimmed_mean(&mut [], 0.1).is_none());
        assert!((trimmed_mean(&mut [7.0], 0.5).unwrap() - 7.0).abs() < 1e-9);
    }

    #[test]
    fn quantiles_interpolate() {
        assert!((quantile(&mut [4.0, 1.0, 3.0, 2.0], 0.5).unwrap() - 2.5).abs() < 1e-12);
        assert!((median(&mut [5.0]).unwrap() - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_ranked_value_is_one_of_them() {
        let mut values = [4, 1, 3, 2];
        assert_eq!(ranked(&mut values, 0.5, i32::cmp), Some(3));
        assert_eq!(ranked(&mut values, 0.75, i32::cmp), Some(4));
        assert_eq!(ranked(&mut values, 1.0, i32::cmp), Some(4));
        assert_eq!(ranked(&mut [0; 0], 0.5, i32::cmp), None);
    }
}
