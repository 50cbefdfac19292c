//! Small walls, exactly: the dynamic programme of Held & Karp along the front of a half-hung wall.
//!
//! The wall is hung line by line along its shorter side. What a half-hung wall can still become depends only on which
//! panels hang and on the last of them, one a place of a line: those are all that the panels to come will touch. So of
//! all half-hung walls with the same panels up and the same front only the best need be kept. In a row the front is one
//! panel, and this is the programme for the travelling salesman (Held & Karp 1962, J. SIAM 10, 196; Bellman 1962, J. ACM
//! 9, 61); the wider front is the broken profile of dynamic programmes on grids.
//!
//! It runs twice: with the larger of two figures in place of their sum for the least largest step, then with the sum, the
//! joints above that step forbidden.

use super::{Arrangement, Grid, Steps, settle};

/// Most half-hung walls kept, 64 MB of them: rows of 17 panels that may be turned (18 that may not), 3 × 3, 2 × 6.
const MOST_CELLS: f64 = 8_388_608.0;

/// Whether the programme can hold all half-hung walls.
#[must_use]
pub fn within_reach(steps: &Steps, grid: Grid) -> bool {
    let width = grid.rows.min(grid.cols) as f64;
    (steps.panels as f64).exp2() * (steps.hangings() as f64).powf(width) <= MOST_CELLS
}

/// The least largest step that a wall of these panels can have.
#[must_use]
pub fn least_largest(steps: &Steps, grid: Grid) -> Option<f64> {
    let step = |upright, first, second| steps.step(upright, first, second);
    let (_, largest) = best(steps, grid, step, f64::max)?;
    Some(largest)
}

/// The wall with the least sum among those with no step above `ceiling`; `None` where there are none.
#[must_use]
pub fn least_sum(steps: &Steps, grid: Grid, ceiling: f64) -> Option<Arrangement> {
    let cost = |upright, first, second| {
        if steps.step(upright, first, second) > ceiling {
            f64::INFINITY
        } else {
            steps.cost(upright, first, second)
        }
    };
    let (wall, _) = best(steps, grid, cost, |a, b| a + b)?;
    Some(settle(steps, grid, wall, true))
}

/// The wall whose costs, joined up, come to the least, and what they come to; infinite ones are forbidden.
fn best(
    steps: &Steps,
    grid: Grid,
    cost: impl Fn(bool, usize, usize) -> f64,
    join: impl Fn(f64, f64) -> f64,
) -> Option<(Vec<usize>, f64)> {
    let (panels, hangings, ways) = (steps.panels, steps.hangings(), steps.ways);
    let upright_lines = grid.rows < grid.cols;
    let width = grid.rows.min(grid.cols);
    // A front is written in digits, one a hanging, the newest last; `oldest` is the value of the first.
    let oldest = hangings.pow(u32::try_from(width).ok()?.checked_sub(1)?);
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
                let cell = (set | 1 << (next / ways)) * fronts + front % oldest * hangings + next;
                least[cell] = least[cell].min(hang(so_far, up, front, next));
            }
        }
    }
    // Back from the best full wall, panel by panel, to the half-hung wall it must have come from.
    let mut set = (1 << panels) - 1;
    let end = |front: &usize| least[set * fronts + front];
    let mut front = (0..fronts).min_by(|a, b| end(a).total_cmp(&end(b)))?;
    let total = end(&front);
    if total.is_infinite() {
        return None;
    }
    let mut order = Vec::with_capacity(panels);
    for up in (0..panels).rev() {
        let next = front % hangings;
        order.push(next);
        set ^= 1 << (next / ways);
        let through = |before: &usize| hang(least[set * fronts + before], up, *before, next);
        front = (0..hangings)
            .map(|digit| front / hangings + digit * oldest)
            .min_by(|a, b| through(a).total_cmp(&through(b)))?;
    }
    order.reverse();
    let wall = (0..panels).map(|place| {
        let (row, col) = (place / grid.cols, place % grid.cols);
        order[if upright_lines {
            col * width + row
        } else {
            row * width + col
        }]
    });
    Some((wall.collect(), total))
}
