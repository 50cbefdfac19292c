//! In which order, and which way up, should these panels hang so that no joint between two of them catches the eye?
//!
//! A wall is as good as its worst joint: first the largest step over all joints is made as small as it can be; then,
//! among the walls with no larger one, the sum over the joints of the step and of how badly its two panels go beside each
//! other. The second cannot be had by the way: the least largest step is found for itself, and then the joints above it
//! are forbidden. Small walls are solved exactly ([`exact`]), larger ones by a seeded search ([`search`]), and the answer
//! says which it is.
//!
//! A wall turned upside down as a whole is the same wall, and now and then its mirror image is as good. Of equal walls the
//! one is given with the fewest panels turned, then the one whose first panel has the lowest number: the same panels asked
//! about twice hang the same.

mod change;
pub mod exact;
pub mod search;

use std::cmp::Ordering;

/// Sums of the same joints added up in another order differ by less than this share.
const ROUNDING: f64 = 1e-12;

/// A panel, by its number, and which way up it hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hung {
    /// Number of the panel, from 0.
    pub panel: usize,
    /// Turned by 180 degrees.
    pub turned: bool,
}

/// The places of a wall; a row is a grid of one row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// Places down.
    pub rows: usize,
    /// Places across.
    pub cols: usize,
}

impl Grid {
    /// Number of places, and of panels.
    #[must_use]
    pub fn places(self) -> usize {
        self.rows * self.cols
    }

    /// All pairs of neighbours.
    fn joints(self) -> Vec<Joint> {
        let joint = |place: usize, apart: usize, upright: bool| Joint {
            places: [place, place + apart],
            upright,
        };
        let across = |p: usize| (p % self.cols + 1 < self.cols).then(|| joint(p, 1, false));
        let down = |p: usize| (p / self.cols + 1 < self.rows).then(|| joint(p, self.cols, true));
        (0..self.places())
            .flat_map(|p| across(p).into_iter().chain(down(p)))
            .collect()
    }
}

/// Two neighbouring places: left and right, or upper and lower.
#[derive(Debug, Clone, Copy)]
struct Joint {
    places: [usize; 2],
    upright: bool,
}

/// What the eye sees at every joint that could be made of the panels of a wall.
///
/// Inside the solver a panel and its way up are one number, its *hanging*: the panel's number times the ways it may hang,
/// plus one if it is turned. A wall is the hanging in each place, row by row.
#[derive(Debug, Clone)]
pub struct Steps {
    grid: Grid,
    ways: usize,
    across: Vec<f64>,
    down: Vec<f64>,
    beside: Vec<f64>,
}

impl Steps {
    /// Asks for every joint once. `across` has the step between a left and a right panel, `down` that between an upper and
    /// a lower one, `beside` how badly two panels go beside each other whichever way they hang; all finite and not
    /// negative. Where panels may be turned, two that are both turned and change places must have the same step.
    #[must_use]
    pub fn of(
        grid: Grid,
        may_turn: bool,
        across: impl Fn(Hung, Hung) -> f64,
        down: impl Fn(Hung, Hung) -> f64,
        beside: impl Fn(usize, usize) -> f64,
    ) -> Self {
        let ways = 1 + usize::from(may_turn);
        let all: Vec<Hung> = (0..grid.places() * ways).map(|h| hung(h, ways)).collect();
        let pairs = || all.iter().flat_map(|a| all.iter().map(|b| (*a, *b)));
        Steps {
            grid,
            ways,
            across: pairs().map(|(a, b)| across(a, b)).collect(),
            down: pairs().map(|(a, b)| down(a, b)).collect(),
            beside: pairs().map(|(a, b)| beside(a.panel, b.panel)).collect(),
        }
    }

    /// Number of hangings.
    fn hangings(&self) -> usize {
        self.grid.places() * self.ways
    }

    /// The step between two hangings.
    fn step(&self, upright: bool, first: usize, second: usize) -> f64 {
        let table = if upright { &self.down } else { &self.across };
        table[first * self.hangings() + second]
    }

    /// What a joint of two hangings adds to the sum.
    fn cost(&self, upright: bool, first: usize, second: usize) -> f64 {
        self.step(upright, first, second) + self.beside[first * self.hangings() + second]
    }

    /// What a wall is worth.
    fn judge(&self, joints: &[Joint], wall: &[usize]) -> Worth {
        let nothing = Worth {
            largest: 0.0,
            sum: 0.0,
        };
        joints.iter().fold(nothing, |worth, joint| {
            let [first, second] = joint.places.map(|place| wall[place]);
            let step = self.step(joint.upright, first, second);
            Worth {
                largest: worth.largest.max(step),
                sum: worth.sum + self.cost(joint.upright, first, second),
            }
        })
    }
}

/// The panel and way up of a hanging.
fn hung(hanging: usize, ways: usize) -> Hung {
    Hung {
        panel: hanging / ways,
        turned: hanging % ways == 1,
    }
}

/// The same panel the other way up, where it may be.
fn over(hanging: usize, ways: usize) -> usize {
    hanging ^ (ways - 1)
}

/// What walls are compared by.
#[derive(Debug, Clone, Copy)]
struct Worth {
    largest: f64,
    sum: f64,
}

impl Worth {
    /// `Less` is better; what differs by rounding alone is equal.
    fn against(self, other: Worth) -> Ordering {
        let order = |a: f64, b: f64| {
            let alike = (a - b).abs() <= ROUNDING * a.max(b);
            if alike {
                Ordering::Equal
            } else {
                a.total_cmp(&b)
            }
        };
        order(self.largest, other.largest).then(order(self.sum, other.sum))
    }
}

/// Panels hung in a grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// The panel in each place, row by row from the top left.
    pub hung: Vec<Hung>,
    /// The largest step at any joint; 0 of a single panel.
    pub largest: f64,
    /// Steps, and how badly panels go beside each other, added up over the joints.
    pub sum: f64,
    /// No wall is better; otherwise none better was found.
    pub exact: bool,
}

/// The best wall: exactly where that is within reach, otherwise by a search that `seed` starts.
///
/// `None` of a wall without places.
#[must_use]
pub fn arrange(steps: &Steps, seed: u64) -> Option<Arrangement> {
    if exact::within_reach(steps) {
        exact::least_sum(steps, exact::least_largest(steps)?)
    } else {
        Some(search::search(steps, seed))
    }
}

/// A wall as it is answered: of the equal ones the first, and no panel turned for nothing.
fn settle(steps: &Steps, mut wall: Vec<usize>, exact: bool) -> Arrangement {
    let (joints, ways) = (steps.grid.joints(), steps.ways);
    let equal = |a: &[usize], b: &[usize]| {
        let [a, b] = [a, b].map(|wall| steps.judge(&joints, wall));
        a.against(b).is_eq()
    };
    for place in 0..wall.len() {
        let mut other = wall.clone();
        other[place] -= other[place] % ways;
        if equal(&other, &wall) {
            wall = other;
        }
    }
    let first = |wall: &Vec<usize>| {
        let turned = wall.iter().filter(|h| *h % ways == 1).count();
        (turned, wall.first().map(|h| h / ways), wall.clone())
    };
    let images = (0..8).map(|which| image(&wall, steps, which));
    let wall = images
        .filter(|other| equal(other, &wall))
        .min_by_key(first)
        .unwrap_or_default();
    let worth = steps.judge(&joints, &wall);
    Arrangement {
        hung: wall.iter().map(|h| hung(*h, ways)).collect(),
        largest: worth.largest,
        sum: worth.sum,
        exact,
    }
}

/// One of the eight images of a wall: mirrored left to right or not, top to bottom, every panel turned in its place.
fn image(wall: &[usize], steps: &Steps, which: usize) -> Vec<usize> {
    let Grid { rows, cols } = steps.grid;
    let [mirrored, upset, turned] = [1, 2, 4].map(|bit| which & bit != 0);
    let from = |at: usize, of: usize, back: bool| if back { of - 1 - at } else { at };
    let hanging = |place: usize| {
        let row = from(place / cols, rows, upset);
        let there = wall[row * cols + from(place % cols, cols, mirrored)];
        if turned {
            over(there, steps.ways)
        } else {
            there
        }
    };
    (0..wall.len()).map(hanging).collect()
}

#[cfg(test)]
mod tests {
    use rand::seq::SliceRandom;
    use rand::{RngExt, SeedableRng};
    use rand_pcg::Pcg64;

    use super::*;

    /// Steps without rhyme or reason.
    pub(super) fn random(rows: usize, cols: usize, seed: u64) -> Steps {
        let grid = Grid { rows, cols };
        let mut rng = Pcg64::seed_from_u64(seed);
        let n = 2 * grid.places();
        let figures: Vec<f64> = (0..3 * n * n).map(|_| rng.random()).collect();
        let step = |table: usize, a: Hung, b: Hung| {
            let [a, b] = [a, b].map(|h| 2 * h.panel + usize::from(h.turned));
            figures[table * n * n + (a * n + b).min((b ^ 1) * n + (a ^ 1))]
        };
        let beside = |i: usize, j: usize| 0.2 * figures[2 * n * n + i.min(j) * n + i.max(j)];
        Steps::of(
            grid,
            true,
            |a, b| step(0, a, b),
            |a, b| step(1, a, b),
            beside,
        )
    }

    /// Panels of several tones, each edge a little off its panel's tone.
    pub(super) fn toned(rows: usize, cols: usize, seed: u64) -> Steps {
        let grid = Grid { rows, cols };
        let mut rng = Pcg64::seed_from_u64(seed);
        let panels: Vec<[f64; 4]> = (0..grid.places())
            .map(|_| {
                let tone = 4.0 * rng.random::<f64>();
                [(); 4].map(|()| tone + rng.random::<f64>())
            })
            .collect();
        // Edges are top, right, bottom, left.
        let edge = |h: Hung, edge: usize| panels[h.panel][(edge + 2 * usize::from(h.turned)) % 4];
        let across = |a, b| (edge(a, 1) - edge(b, 3)).abs();
        let down = |a, b| (edge(a, 2) - edge(b, 0)).abs();
        Steps::of(grid, true, across, down, |_, _| 0.0)
    }

    /// Panels that are the places of this very grid, shuffled, and steps as far as these lie apart.
    pub(super) fn planted(rows: usize, cols: usize, seed: u64) -> Steps {
        let grid = Grid { rows, cols };
        let mut own: Vec<usize> = (0..grid.places()).collect();
        own.shuffle(&mut Pcg64::seed_from_u64(seed));
        let apart = |a: Hung, b: Hung| {
            let [a, b] = [a, b].map(|h| own[h.panel]);
            let [down, across] = [(a / cols).abs_diff(b / cols), (a % cols).abs_diff(b % cols)];
            (down as f64).hypot(across as f64)
        };
        Steps::of(grid, true, apart, apart, |_, _| 0.0)
    }

    fn panels(wall: &Arrangement) -> Vec<usize> {
        wall.hung.iter().map(|h| h.panel).collect()
    }

    #[test]
    fn one_panel_hangs_upright_and_none_not_at_all() {
        let wall = arrange(&random(1, 1, 1), 1).unwrap();
        let upright = Hung {
            panel: 0,
            turned: false,
        };
        assert_eq!(wall.hung, [upright]);
        assert!(wall.exact && wall.largest.abs() + wall.sum.abs() < 1e-15);
        assert_eq!(arrange(&random(0, 3, 1), 1), None);
    }

    #[test]
    fn two_panels_hang_with_their_like_edges_together() {
        // Edges left and right: panel 0 has 5 and 1, panel 1 has 5 and 9. Turning the first joins 5 to 5.
        let sides = [[5.0, 1.0], [5.0, 9.0]];
        let side = |h: Hung, right: bool| sides[h.panel][usize::from(right != h.turned)];
        let step = |a: Hung, b: Hung| f64::abs(side(a, true) - side(b, false));
        let grid = Grid { rows: 1, cols: 2 };
        let wall = arrange(&Steps::of(grid, true, step, step, |_, _| 1.0), 1).unwrap();
        let hung = [(0, true), (1, false)].map(|(panel, turned)| Hung { panel, turned });
        assert_eq!(wall.hung, hung);
        assert!(wall.largest.abs() < 1e-15 && (wall.sum - 1.0).abs() < 1e-15);
        // As they stand, the step is 1 to 5 or 9 to 5: the other way round is no better.
        let wall = arrange(&Steps::of(grid, false, step, step, |_, _| 0.0), 1).unwrap();
        assert_eq!(panels(&wall), [0, 1]);
        assert!((wall.largest - 4.0).abs() < 1e-15);
    }

    #[test]
    fn where_all_steps_are_equal_the_panels_hang_upright() {
        for (rows, cols) in [(1, 5), (2, 3), (4, 4)] {
            let grid = Grid { rows, cols };
            let wall = arrange(
                &Steps::of(grid, true, |_, _| 0.3, |_, _| 0.3, |_, _| 0.0),
                1,
            )
            .unwrap();
            assert!(wall.hung.iter().all(|h| !h.turned));
            assert!((wall.largest - 0.3).abs() < 1e-15);
            assert!((wall.sum - 0.3 * grid.joints().len() as f64).abs() < 1e-12);
        }
    }

    #[test]
    fn a_wall_and_its_image_are_answered_as_the_same_wall() {
        let steps = toned(3, 4, 1);
        let wall: Vec<usize> = (0..12)
            .map(|panel| 2 * (panel * 5 % 12) + panel % 2)
            .collect();
        let upside_down = image(&wall, &steps, 7);
        assert_ne!(wall, upside_down);
        assert_eq!(image(&upside_down, &steps, 7), wall);
        assert_eq!(
            settle(&steps, wall, false),
            settle(&steps, upside_down, false)
        );
    }

    #[test]
    fn the_least_sum_alone_would_choose_a_larger_step() {
        // Along 0, 1, 2 the steps are 1 and 9; along 1, 0, 2 they are 1 and 8; 1, 2, 0 would be 9 and 8. Sums 10, 9, 17.
        // With a grudge of 2 between 0 and 2 the sums are 10, 11, 19, but the largest step still goes first.
        let steps = [[0.0, 1.0, 8.0], [1.0, 0.0, 9.0], [8.0, 9.0, 0.0]];
        let step = |a: Hung, b: Hung| steps[a.panel][b.panel];
        let grudge = |i: usize, j: usize| if i + j == 2 && i != j { 2.0 } else { 0.0 };
        let grid = Grid { rows: 1, cols: 3 };
        let wall = arrange(&Steps::of(grid, false, step, step, grudge), 1).unwrap();
        assert_eq!(panels(&wall), [1, 0, 2]);
        assert!((wall.largest - 8.0).abs() < 1e-15 && (wall.sum - 11.0).abs() < 1e-15);
    }
}
