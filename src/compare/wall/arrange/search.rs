//! Larger walls, by search: many walks that change a wall at random and cool down (simulated annealing; Kirkpatrick,
//! Gelatt & Vecchi 1983, Science 220, 671).
//!
//! The largest step is no guide, for most changes leave it as it is. So a walk has a ceiling, and each joint costs what
//! it adds to the sum and, above the ceiling, a fine. The first rounds go after the largest step: whenever a wall keeps
//! the ceiling, the ceiling is lowered to just under that wall's largest step. The later rounds keep the ceiling reached
//! and go after the sum. The walks of a round are independent of each other; the next round starts from the best.

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rayon::prelude::*;

use super::{Arrangement, Grid, Joint, Steps, Worth, over, settle};

/// Walks in a round.
pub const WALKS: usize = 8;
/// Rounds that lower the ceiling, and rounds that keep it.
pub const ROUNDS: [usize; 2] = [2, 2];
/// Changes tried by a walk, a panel.
pub const CHANGES: usize = 14_000;

/// Fine for a joint above the ceiling, in costs of a mean joint of the best wall, as are the heats.
const FINE: f64 = 3.0;

/// Heat of a walk at its start and its end.
#[derive(Debug, Clone, Copy)]
struct Heat {
    start: f64,
    end: f64,
}

/// Going after the largest step: from where any wall is as good as any other to where no second joint may break the
/// ceiling for long.
const LOWERING: Heat = Heat {
    start: 2.0,
    end: 0.4,
};
/// Going after the sum from anywhere, and from the best wall so far without losing it altogether.
const ANEW: Heat = Heat {
    start: 1.5,
    end: 0.1,
};
const ONWARD: Heat = Heat {
    start: 0.4,
    end: 0.1,
};

/// Share of changes that fetch a panel to where it suits a neighbour; the others change rectangles of places.
const FETCHES: f64 = 0.8;

/// Just under a step.
const UNDER: f64 = 1.0 - 1e-9;

/// The best wall found by a search that `seed` starts; the same arguments give the same wall everywhere.
#[must_use]
pub fn search(steps: &Steps, grid: Grid, seed: u64) -> Arrangement {
    let joints = grid.joints();
    let suitors = Suitors::of(steps);
    let mut best: Vec<usize> = (0..steps.panels).map(|p| p * steps.ways).collect();
    let mut worth = steps.judge(&joints, &best);
    for round in 0..ROUNDS[0] + ROUNDS[1] {
        let found: Vec<(Vec<usize>, Worth)> = (0..WALKS)
            .into_par_iter()
            .map(|number| {
                let stream = seed.wrapping_add((round * WALKS + number) as u64);
                let mut walk = Walk::from(&best, worth, steps, grid, &suitors, stream);
                if round < ROUNDS[0] {
                    walk.lower();
                } else {
                    walk.gather(if number % 2 == 0 { ANEW } else { ONWARD });
                }
                (walk.best, walk.worth)
            })
            .collect();
        for (wall, its) in found {
            if its.against(worth).is_lt() {
                (best, worth) = (wall, its);
            }
        }
    }
    settle(steps, grid, best, false)
}

/// For each hanging and each side, all others from the one that suits best there to the one that suits worst.
struct Suitors {
    count: usize,
    sides: [Vec<usize>; 4],
}

impl Suitors {
    fn of(steps: &Steps) -> Self {
        let all = 0..steps.hangings();
        let side = |number: usize| {
            let (upright, second) = (number / 2 == 1, number % 2 == 0);
            let cost = |here: usize, there: usize| {
                let [a, b] = if second { [here, there] } else { [there, here] };
                steps.cost(upright, a, b)
            };
            let order = |here: usize| {
                let mut others: Vec<usize> = all
                    .clone()
                    .filter(|h| h / steps.ways != here / steps.ways)
                    .collect();
                others.sort_by(|a, b| cost(here, *a).total_cmp(&cost(here, *b)));
                others
            };
            all.clone().flat_map(order).collect()
        };
        Suitors {
            count: all.len() - steps.ways,
            sides: [0, 1, 2, 3].map(side),
        }
    }
}

/// One walk from wall to wall.
struct Walk<'a> {
    steps: &'a Steps,
    grid: Grid,
    suitors: &'a Suitors,
    joints: Vec<Joint>,
    /// The joints at each place.
    at: Vec<Vec<usize>>,
    rng: Pcg64,
    wall: Vec<usize>,
    best: Vec<usize>,
    worth: Worth,
    /// Mean cost of a joint.
    unit: f64,
    ceiling: f64,
    /// What each joint costs that could be made, level ones first.
    costs: Vec<f64>,
    /// Places about to change, and what comes there; after the change, what was there.
    change: Vec<(usize, usize)>,
    /// When each joint was last counted.
    counted: Vec<usize>,
    count: usize,
}

impl<'a> Walk<'a> {
    fn from(
        best: &[usize],
        worth: Worth,
        steps: &'a Steps,
        grid: Grid,
        suitors: &'a Suitors,
        seed: u64,
    ) -> Self {
        let joints = grid.joints();
        let touches = |place: &usize| {
            (0..joints.len())
                .filter(|j| joints[*j].places.contains(place))
                .collect()
        };
        Walk {
            steps,
            grid,
            suitors,
            at: (0..best.len()).map(|place| touches(&place)).collect(),
            rng: Pcg64::seed_from_u64(seed),
            wall: best.to_vec(),
            best: best.to_vec(),
            worth,
            unit: worth.sum / joints.len().max(1) as f64,
            ceiling: worth.largest,
            costs: Vec::new(),
            change: Vec::new(),
            counted: vec![0; joints.len()],
            count: 0,
            joints,
        }
    }

    /// Goes after the largest step.
    fn lower(&mut self) {
        self.wall.shuffle(&mut self.rng);
        self.set_ceiling(self.worth.largest * UNDER);
        self.cool(LOWERING, |walk, _| {
            let found = walk.steps.judge(&walk.joints, &walk.wall);
            if found.largest <= walk.ceiling {
                walk.keep(found);
                walk.set_ceiling(found.largest * UNDER);
            }
        });
    }

    /// Goes after the sum.
    fn gather(&mut self, heat: Heat) {
        self.set_ceiling(self.worth.largest);
        self.cool(heat, |walk, gain| {
            if gain {
                let found = walk.steps.judge(&walk.joints, &walk.wall);
                if found.against(walk.worth).is_lt() {
                    walk.keep(found);
                }
            }
        });
    }

    fn keep(&mut self, worth: Worth) {
        self.best.clone_from(&self.wall);
        self.worth = worth;
    }

    fn set_ceiling(&mut self, ceiling: f64) {
        let fine = FINE * self.unit;
        let Steps {
            across,
            down,
            beside,
            ..
        } = self.steps;
        let cost =
            |(step, beside): (&f64, &f64)| step + beside + if *step > ceiling { fine } else { 0.0 };
        self.costs = across
            .iter()
            .chain(down)
            .zip(beside.iter().cycle())
            .map(cost)
            .collect();
        self.ceiling = ceiling;
    }

    /// Changes the wall at random, less and less for the worse, and shows each new one.
    fn cool(&mut self, heat: Heat, show: impl Fn(&mut Self, bool)) {
        let changes = CHANGES * self.wall.len();
        let ratio = (heat.end / heat.start).powf(1.0 / changes as f64);
        let mut heat = heat.start * self.unit;
        for _ in 0..changes {
            heat *= ratio;
            self.propose();
            let before = self.around();
            self.swap();
            let worse = self.around() - before;
            if worse <= 0.0 || self.rng.random::<f64>() < (-worse / heat).exp() {
                show(self, worse < 0.0);
            } else {
                self.swap();
            }
        }
    }

    /// Makes the change, or takes it back.
    fn swap(&mut self) {
        for (place, hanging) in &mut self.change {
            std::mem::swap(&mut self.wall[*place], hanging);
        }
    }

    /// Cost of the joints that the change touches.
    fn around(&mut self) -> f64 {
        self.count += 1;
        let n = self.steps.hangings();
        let mut sum = 0.0;
        for (place, _) in &self.change {
            for j in &self.at[*place] {
                if self.counted[*j] != self.count {
                    self.counted[*j] = self.count;
                    let Joint {
                        places: [a, b],
                        upright,
                    } = self.joints[*j];
                    sum += self.costs[(usize::from(upright) * n + self.wall[a]) * n + self.wall[b]];
                }
            }
        }
        sum
    }

    fn propose(&mut self) {
        self.change.clear();
        if self.rng.random::<f64>() < FETCHES {
            self.fetch();
        } else {
            self.rectangle();
        }
    }

    fn fetch(&mut self) {
        let ways = self.steps.ways;
        let joint = self.joints[self.rng.random_range(0..self.joints.len())];
        let end = self.rng.random_range(0..2);
        let (stays, to) = (joint.places[end], joint.places[1 - end]);
        let share = self.rng.random::<f64>().powi(3);
        let rank = (share * self.suitors.count as f64) as usize;
        let list = &self.suitors.sides[usize::from(joint.upright) * 2 + end];
        let comes = list[self.wall[stays] * self.suitors.count + rank];
        let from = self
            .wall
            .iter()
            .position(|h| h / ways == comes / ways)
            .unwrap_or(to);
        self.change.push((to, comes));
        if from != to {
            let goes = self.wall[to] / ways * ways + self.rng.random_range(0..ways);
            self.change.push((from, goes));
        }
    }

    fn rectangle(&mut self) {
        let Grid { rows, cols } = self.grid;
        let ways = self.steps.ways;
        let [high, wide] = [rows, cols].map(|side| self.side(side));
        let corner = |rng: &mut Pcg64| {
            [
                rng.random_range(0..=rows - high),
                rng.random_range(0..=cols - wide),
            ]
        };
        let [top, left] = corner(&mut self.rng);
        let place = |r: usize, c: usize| (top + r) * cols + left + c;
        let all = (0..high).flat_map(|r| (0..wide).map(move |c| (r, c)));
        match self.rng.random_range(0..3) {
            0 => {
                let [row, col] = corner(&mut self.rng);
                if row.abs_diff(top) >= high || col.abs_diff(left) >= wide {
                    let other = |r: usize, c: usize| (row + r) * cols + col + c;
                    let turn = ways == 2 && self.rng.random::<bool>();
                    for (r, c) in all {
                        let (a, b) = (place(r, c), other(r, c));
                        if turn {
                            self.change.push((
                                a,
                                over(self.wall[other(high - 1 - r, wide - 1 - c)], ways),
                            ));
                            self.change.push((
                                b,
                                over(self.wall[place(high - 1 - r, wide - 1 - c)], ways),
                            ));
                        } else {
                            self.change.push((a, self.wall[b]));
                            self.change.push((b, self.wall[a]));
                        }
                    }
                }
            }
            1 => {
                for (r, c) in all {
                    self.change.push((
                        place(r, c),
                        over(self.wall[place(high - 1 - r, wide - 1 - c)], ways),
                    ));
                }
            }
            _ => {
                let level = self.rng.random_range(0..rows + cols) < cols;
                let by = self.rng.random_range(0..if level { wide } else { high });
                let [dr, dc] = if level { [0, by] } else { [by, 0] };
                for (r, c) in all {
                    self.change.push((
                        place(r, c),
                        self.wall[place((r + dr) % high, (c + dc) % wide)],
                    ));
                }
            }
        }
    }

    /// A side of a rectangle: mostly short.
    fn side(&mut self, most: usize) -> usize {
        (0..3).fold(most, |side, _| self.rng.random_range(1..=side))
    }
}
