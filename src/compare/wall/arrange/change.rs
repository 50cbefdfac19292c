//! How a wall may be changed at random: a panel is fetched to where it suits, or a rectangle of places is changed whole.

use rand::RngExt;
use rand_pcg::Pcg64;

use super::{Grid, Joint, Steps, over};

/// Share of changes that fetch a panel.
const FETCHES: f64 = 0.8;

/// A rectangle's side is drawn so many times, each time from the last draw down: most are single places.
const DRAWS: usize = 3;

/// Places about to change, and what is to hang there.
pub(super) type Change = Vec<(usize, usize)>;

/// A wall's joints, and for each hanging what would suit beside it.
pub(super) struct Changes<'a> {
    pub(super) steps: &'a Steps,
    pub(super) joints: Vec<Joint>,
    /// For each side, and each hanging, all others from the one that suits best there to the one that suits worst.
    suitors: [Vec<usize>; 4],
}

impl<'a> Changes<'a> {
    pub(super) fn of(steps: &'a Steps) -> Self {
        let joints = steps.grid.joints();
        let suitors = [0, 1, 2, 3].map(|side| {
            let cost = |here: usize, there: usize| match side % 2 {
                0 => steps.cost(side / 2 == 1, here, there),
                _ => steps.cost(side / 2 == 1, there, here),
            };
            let order = |here: usize| {
                let another = |there: &usize| there / steps.ways != here / steps.ways;
                let mut others: Vec<usize> = (0..steps.hangings()).filter(another).collect();
                others.sort_by(|a, b| cost(here, *a).total_cmp(&cost(here, *b)));
                others
            };
            (0..steps.hangings()).flat_map(order).collect()
        });
        Changes {
            steps,
            joints,
            suitors,
        }
    }

    /// Puts a random change in place of the last. The wall has a joint.
    pub(super) fn propose(&self, wall: &[usize], rng: &mut Pcg64, change: &mut Change) {
        change.clear();
        if rng.random::<f64>() < FETCHES {
            self.fetch(wall, rng, change);
        } else {
            self.rectangle(wall, rng, change);
        }
    }

    /// A panel that suits one end of a joint, the better the likelier, comes to the other end; what hung there goes where it
    /// came from.
    fn fetch(&self, wall: &[usize], rng: &mut Pcg64, change: &mut Change) {
        let ways = self.steps.ways;
        let joint = self.joints[rng.random_range(0..self.joints.len())];
        let end = rng.random_range(0..2);
        let (stays, to) = (joint.places[end], joint.places[1 - end]);
        let others = self.steps.hangings() - ways;
        let worst = rng.random_range(0..others);
        let rank = rng.random_range(0..=worst);
        let suitors = &self.suitors[2 * usize::from(joint.upright) + end];
        let comes = suitors[wall[stays] * others + rank];
        // The same panel either way up.
        let from = wall.iter().position(|h| h ^ comes < ways).unwrap_or(to);
        change.push((to, comes));
        if from != to {
            change.push((from, wall[to] ^ rng.random_range(0..ways)));
        }
    }

    /// A rectangle changes places with another, or is turned upside down, or its columns or rows move round within it.
    fn rectangle(&self, wall: &[usize], rng: &mut Pcg64, change: &mut Change) {
        let Grid { rows, cols } = self.steps.grid;
        let [high, wide] =
            [rows, cols].map(|most| (0..DRAWS).fold(most, |side, _| rng.random_range(1..=side)));
        let mut corner = || {
            let row = rng.random_range(0..=rows - high);
            (row, rng.random_range(0..=cols - wide))
        };
        let ((top, left), (row, col)) = (corner(), corner());
        let within = (0..high).flat_map(|r| (0..wide).map(move |c| (r, c)));
        let here = |r: usize, c: usize| (top + r) * cols + left + c;
        let there = |r: usize, c: usize| (row + r) * cols + col + c;
        match rng.random_range(0..3) {
            0 if row.abs_diff(top) >= high || col.abs_diff(left) >= wide => {
                change.extend(within.flat_map(|(r, c)| {
                    let (a, b) = (here(r, c), there(r, c));
                    [(a, wall[b]), (b, wall[a])]
                }));
            }
            1 => change.extend(within.map(|(r, c)| {
                let opposite = wall[here(high - 1 - r, wide - 1 - c)];
                (here(r, c), over(opposite, self.steps.ways))
            })),
            _ => {
                let (down, across) = if rng.random_range(0..rows + cols) < rows {
                    (rng.random_range(0..high), 0)
                } else {
                    (0, rng.random_range(0..wide))
                };
                change.extend(within.map(|(r, c)| {
                    let from = here((r + down) % high, (c + across) % wide);
                    (here(r, c), wall[from])
                }));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;

    use super::super::tests::random;
    use super::*;

    #[test]
    fn every_change_leaves_each_panel_on_the_wall_once() {
        let mut rng = Pcg64::seed_from_u64(1);
        for (rows, cols) in [(1, 2), (1, 7), (3, 4), (5, 1)] {
            let steps = random(rows, cols, 1);
            let changes = Changes::of(&steps);
            let mut wall: Vec<usize> = (0..rows * cols).map(|panel| 2 * panel).collect();
            let mut change = Change::new();
            for _ in 0..2000 {
                changes.propose(&wall, &mut rng, &mut change);
                for (place, hanging) in &change {
                    wall[*place] = *hanging;
                }
                let mut panels: Vec<usize> = wall.iter().map(|h| h / 2).collect();
                panels.sort_unstable();
                assert!(panels.into_iter().eq(0..rows * cols), "{change:?}");
            }
        }
    }
}
