//! Where most of a list of amounts lies.

/// The narrowest run of neighbours that holds two thirds of all amounts: its first and the one after its last. Of runs as
/// narrow the fullest; `None` of nothing.
pub(crate) fn most(amounts: &[f64]) -> Option<(usize, usize)> {
    let wanted = amounts.iter().sum::<f64>() * 2.0 / 3.0;
    if wanted <= 0.0 {
        return None;
    }
    // Sums of many floats may miss the whole by a little.
    let enough = |sum: f64| sum >= wanted * (1.0 - 1e-9);
    (1..=amounts.len()).find_map(|width| {
        let runs = amounts.windows(width).enumerate();
        runs.map(|(from, run)| (from, run.iter().sum::<f64>()))
            .filter(|(_, sum)| enough(*sum))
            .reduce(|best, next| if next.1 > best.1 { next } else { best })
            .map(|(from, _)| (from, from + width))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn most_lies_in_the_narrowest_run() {
        assert_eq!(most(&[0.0, 1.0, 8.0, 1.0]), Some((2, 3)));
        assert_eq!(most(&[3.0, 3.0, 3.0]), Some((0, 2)));
        assert_eq!(most(&[1.0, 3.0, 4.0, 2.0]), Some((1, 3)));
        assert_eq!(most(&[0.0, 0.0]), None);
        assert_eq!(most(&[]), None);
    }
}
