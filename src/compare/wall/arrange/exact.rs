//! Small walls, exactly: the dynamic programme of Held & Karp, run along the front of a half-hung wall.
//!
//! The wall is hung line by line along its shorter side. What a half-hung wall can still become depends only on which
//! panels hang and on the last of them, one a place of a line: those are all that the panels to come will touch. So of
//! all half-hung walls with the same panels up and the same front only the best need be kept. In a row the front is one
//! panel, and this is the programme for the travelling salesman (Held & Karp 1962, J. SIAM 10, 196; Bellman 1962, J. ACM
//! 9, 61).
//!
//! It runs twice: with the larger of two figures in place of their sum, for the least largest step; then with the sum,
//! the joints above that step forbidden.

use super::{Arrangement, Steps, settle};

/// Most half-hung walls kept, 64 MB of them: rows of 17 panels that may be turned (18 that may not), 2 × 6 and 3 × 3.
const MOST_KEPT: f64 = 8_388_608.0;

/// Whether all half-hung walls that must be kept can be.
#[must_use]
pub fn within_reach(steps: &Steps) -> bool {
    let width = steps.grid.rows.min(steps.grid.cols) as f64;
    let sets = (steps.grid.places() as f64).exp2();
    sets * (steps.hangings() as f64).powf(width) <= MOST_KEPT
}

/// The least largest step that a wall of these panels can have; `None` of no panels.
#[must_use]
pub fn least_largest(steps: &Steps) -> Option<f64> {
    let step = |upright, first, second| steps.step(upright, first, second);
    best(steps, step, f64::max).map(|(_, largest)| largest)
}

/// The wall with the least sum among those with no step above `ceiling`; `None` where there are none.
#[must_use]
pub fn least_sum(steps: &Steps, ceiling: f64) -> Option<Arrangement> {
    let cost = |upright, first, second| {
        if steps.step(upright, first, second) > ceiling {
            f64::INFINITY
        } else {
            steps.cost(upright, first, second)
        }
    };
    let (wall, _) = best(steps, cost, |a, b| a + b)?;
    Some(settle(steps, wall, true))
}

/// The wall whose costs, joined up, come to the least, and what they come to; an infinite cost forbids a joint.
fn best(
    steps: &Steps,
    cost: impl Fn(bool, usize, usize) -> f64,
    join: impl Fn(f64, f64) -> f64,
) -> Option<(Vec<usize>, f64)> {
    let (panels, hangings, ways) = (steps.grid.places(), steps.hangings(), steps.ways);
    let upright_lines = steps.grid.rows < steps.grid.cols;
    let width = steps.grid.rows.min(steps.grid.cols);
    // A front is a number with the hangings for digits, the newest last; `oldest` is what the first digit counts.
    let oldest = hangings.pow(u32::try_from(width.checked_sub(1)?).ok()?);
    let fronts = oldest * hangings;
    let hang = |so_far: f64, up: usize, front: usize, next: usize| {
        let mut all = so_far;
        if !up.is_multiple_of(width) {
            all = join(all, cost(upright_lines, front % hangings, next));
        }
        if up >= width {
            all = join(all, cost(!upright_lines, front / oldest, next));
        }
        all
    };
    let mut least = vec![f64::INFINITY; fronts << panels];
    least[0] = 0.0;
    for set in 0..1_usize << panels {
        let up = set.count_ones() as usize;
        for front in 0..fronts {
            let so_far = least[set * fronts + front];
            if so_far.is_infinite() {
                continue;
            }
            for next in (0..hangings).filter(|next| set >> (next / ways) & 1 == 0) {
                let front_then = front % oldest * hangings + next;
                let then = &mut least[(set | 1 << (next / ways)) * fronts + front_then];
                *then = then.min(hang(so_far, up, front, next));
            }
        }
    }
    // Back from the best whole wall, panel by panel, to the half-hung walls it must have come from.
    let mut set = (1 << panels) - 1;
    let whole = |front: &usize| least[set * fronts + front];
    let mut front = (0..fronts).min_by(|a, b| whole(a).total_cmp(&whole(b)))?;
    let total = whole(&front);
    if total.is_infinite() {
        return None;
    }
    let mut order = vec![0; panels];
    for up in (0..panels).rev() {
        let last = front % hangings;
        order[up] = last;
        set ^= 1 << (last / ways);
        let by_way_of = |before: &usize| hang(least[set * fronts + before], up, *before, last);
        front = (0..hangings)
            .map(|dropped| front / hangings + dropped * oldest)
            .min_by(|a, b| by_way_of(a).total_cmp(&by_way_of(b)))?;
    }
    let in_order = |place: usize| {
        let (row, col) = (place / steps.grid.cols, place % steps.grid.cols);
        if upright_lines {
            col * width + row
        } else {
            place
        }
    };
    let wall = (0..panels).map(|place| order[in_order(place)]).collect();
    Some((wall, total))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{planted, random, toned};
    use super::super::{Grid, Joint, Worth, arrange};
    use super::*;

    /// The best of all walls there are.
    fn best_of_all(steps: &Steps) -> Worth {
        fn fill(steps: &Steps, joints: &[Joint], wall: &mut Vec<usize>, best: &mut Worth) {
            if wall.len() == steps.grid.places() {
                let worth = steps.judge(joints, wall);
                if worth.against(*best).is_lt() {
                    *best = worth;
                }
                return;
            }
            for next in 0..steps.hangings() {
                if wall.iter().all(|h| h / steps.ways != next / steps.ways) {
                    wall.push(next);
                    fill(steps, joints, wall, best);
                    wall.pop();
                }
            }
        }
        let mut best = Worth {
            largest: f64::MAX,
            sum: f64::MAX,
        };
        fill(steps, &steps.grid.joints(), &mut Vec::new(), &mut best);
        best
    }

    #[track_caller]
    fn is_best(steps: &Steps) {
        let found = arrange(steps, 1).unwrap();
        let best = best_of_all(steps);
        assert!(found.exact);
        assert!((found.largest - best.largest).abs() < 1e-12);
        assert!((found.sum - best.sum).abs() < 1e-12);
    }

    #[test]
    fn rows_and_columns_are_the_best_of_all() {
        for seed in 0..10 {
            for panels in 2..=5 {
                is_best(&random(1, panels, seed));
                is_best(&toned(panels, 1, seed));
            }
        }
    }

    #[test]
    fn grids_are_the_best_of_all() {
        for seed in 0..10 {
            is_best(&random(2, 2, seed));
            is_best(&toned(2, 2, seed));
        }
        for seed in 0..3 {
            is_best(&random(2, 3, seed));
            is_best(&toned(3, 2, seed));
        }
    }

    #[test]
    fn planted_walls_are_found() {
        for (rows, cols) in [(1, 14), (2, 5), (3, 3)] {
            let steps = planted(rows, cols, 1);
            let found = arrange(&steps, 1).unwrap();
            assert!((found.largest - 1.0).abs() < 1e-12);
            assert!((found.sum - steps.grid.joints().len() as f64).abs() < 1e-12);
        }
    }

    #[test]
    fn a_ceiling_under_the_least_largest_step_leaves_no_wall() {
        let steps = random(2, 3, 1);
        let largest = least_largest(&steps).unwrap();
        assert!(least_sum(&steps, largest).is_some());
        assert!(least_sum(&steps, largest * (1.0 - 1e-9)).is_none());
    }

    #[test]
    fn what_is_within_reach() {
        let reached = |rows, cols, may_turn| {
            let grid = Grid { rows, cols };
            within_reach(&Steps::of(
                grid,
                may_turn,
                |_, _| 0.0,
                |_, _| 0.0,
                |_, _| 0.0,
            ))
        };
        assert!(reached(1, 17, true) && !reached(1, 18, true) && reached(18, 1, false));
        assert!(reached(3, 3, true) && reached(6, 2, true) && !reached(3, 4, true));
    }
}
