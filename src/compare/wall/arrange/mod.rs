//! In which order, and which way up, should these panels hang so that no joint between two of them catches the eye?
//!
//! A wall is as good as its worst joint: first the largest step over all joints is made as small as it can be, then,
//! among the walls with no larger one, the sum over the joints of the step and of how badly its two panels go beside each
//! other. The second cannot be had by bending the first: the least largest step is found for itself, and then the joints
//! above it are forbidden. Small walls are solved exactly ([`exact`]), larger ones by a seeded search ([`search`]), and
//! the answer says which it is.
//!
//! A wall turned upside down as a whole is the same wall, and so may be its mirror image. Of equal walls the one is given
//! whose first panel has the lowest number, then the one with the fewest panels turned: the same panels asked about twice
//! hang the same.

pub mod exact;
pub mod fill;
pub mod search;

use std::cmp::Ordering;

/// Sums of the same joints added up in another order differ by less than this share.
const ROUNDING: f64 = 1e-12;

/// A panel, by its number, and whether it hangs upside down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
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

/// Two neighbouring places, left and right or upper and lower.
#[derive(Debug, Clone, Copy)]
struct Joint {
    places: [usize; 2],
    upright: bool,
}

impl Grid {
    /// Number of places.
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

/// What the eye sees at every joint that could be made of some panels.
///
/// Inside the solver a panel and its way up are one number, its *hanging*: the panel's number times the ways it may hang,
/// plus one if it is turned.
#[derive(Debug, Clone)]
pub struct Steps {
    panels: usize,
    ways: usize,
    across: Vec<f64>,
    down: Vec<f64>,
    beside: Vec<f64>,
}

impl Steps {
    /// Asks for every joint once. `across` has the step between a left and a right panel, `down` that between an upper and
    /// a lower one, `beside` how badly two panels go beside each other whichever way they hang; all finite and not
    /// negative. Where panels may be turned, two that are turned and change places must have the same step.
    #[must_use]
    pub fn of(
        panels: usize,
        may_turn: bool,
        across: impl Fn(Hung, Hung) -> f64,
        down: impl Fn(Hung, Hung) -> f64,
        beside: impl Fn(usize, usize) -> f64,
    ) -> Self {
        let ways = 1 + usize::from(may_turn);
        let all: Vec<Hung> = (0..panels * ways).map(|h| hung(h, ways)).collect();
        let pairs = || all.iter().flat_map(|a| all.iter().map(|b| (*a, *b)));
        Steps {
            panels,
            ways,
            across: pairs().map(|(a, b)| across(a, b)).collect(),
            down: pairs().map(|(a, b)| down(a, b)).collect(),
            beside: pairs().map(|(a, b)| beside(a.panel, b.panel)).collect(),
        }
    }

    /// Number of hangings.
    fn hangings(&self) -> usize {
        self.panels * self.ways
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

    /// Largest step and sum of a wall, given place by place.
    fn judge(&self, joints: &[Joint], wall: &[usize]) -> Worth {
        let mut worth = Worth {
            largest: 0.0,
            sum: 0.0,
        };
        for joint in joints {
            let [first, second] = joint.places.map(|place| wall[place]);
            worth.largest = worth.largest.max(self.step(joint.upright, first, second));
            worth.sum += self.cost(joint.upright, first, second);
        }
        worth
    }
}

/// The hanging of this number.
fn hung(hanging: usize, ways: usize) -> Hung {
    Hung {
        panel: hanging / ways,
        turned: hanging % ways == 1,
    }
}

/// What walls are compared by.
#[derive(Debug, Clone, Copy)]
struct Worth {
    largest: f64,
    sum: f64,
}

impl Worth {
    /// `Less` is better. Sums that differ by rounding alone are equal.
    fn against(self, other: Worth) -> Ordering {
        let alike = (self.sum - other.sum).abs() <= ROUNDING * self.sum.max(other.sum);
        let sums = if alike {
            Ordering::Equal
        } else {
            self.sum.total_cmp(&other.sum)
        };
        self.largest.total_cmp(&other.largest).then(sums)
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
    /// No wall is better. Otherwise none better was found.
    pub exact: bool,
}

/// The best wall of these panels: exactly where that is within reach, otherwise by a search that `seed` starts.
///
/// `None` where there are not as many panels as places, or none.
#[must_use]
pub fn arrange(steps: &Steps, grid: Grid, seed: u64) -> Option<Arrangement> {
    if steps.panels != grid.places() || steps.panels == 0 {
        None
    } else if exact::within_reach(steps, grid) {
        exact::least_sum(steps, grid, exact::least_largest(steps, grid)?)
    } else {
        Some(search::search(steps, grid, seed))
    }
}

/// A wall as it is answered: of the equal ones the first.
fn settle(steps: &Steps, grid: Grid, mut wall: Vec<usize>, exact: bool) -> Arrangement {
    let joints = grid.joints();
    let equals = |a: &[usize], b: &[usize]| {
        let worth = |wall| steps.judge(&joints, wall);
        worth(a).against(worth(b)).is_eq()
    };
    // No panel is turned for nothing.
    for place in 0..wall.len() {
        let mut other = wall.clone();
        other[place] -= other[place] % steps.ways;
        if equals(&other, &wall) {
            wall = other;
        }
    }
    let images = (0..8).map(|which| image(&wall, grid, steps.ways, which));
    let first = |wall: &Vec<usize>| {
        let turned = wall.iter().filter(|h| *h % steps.ways == 1).count();
        (wall[0] / steps.ways, turned, wall.clone())
    };
    let wall = images
        .filter(|other| equals(other, &wall))
        .min_by_key(first)
        .unwrap_or_default();
    let worth = steps.judge(&joints, &wall);
    Arrangement {
        hung: wall.iter().map(|h| hung(*h, steps.ways)).collect(),
        largest: worth.largest,
        sum: worth.sum,
        exact,
    }
}

/// One of the eight images of a wall: mirrored left to right, mirrored top to bottom, every panel turned in its place.
fn image(wall: &[usize], grid: Grid, ways: usize, which: usize) -> Vec<usize> {
    let [mirrored, upset, turned] = [1, 2, 4].map(|bit| which & bit != 0);
    let from = |at: usize, of: usize, back: bool| if back { of - 1 - at } else { at };
    (0..wall.len())
        .map(|place| {
            let row = from(place / grid.cols, grid.rows, upset);
            let col = from(place % grid.cols, grid.cols, mirrored);
            let hanging = wall[row * grid.cols + col];
            if turned { over(hanging, ways) } else { hanging }
        })
        .collect()
}

/// The same panel the other way up, where it may be.
fn over(hanging: usize, ways: usize) -> usize {
    if ways == 2 { hanging ^ 1 } else { hanging }
}
