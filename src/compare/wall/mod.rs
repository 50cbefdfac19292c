//! In which order, and which way up, panels hang best, and how their joints then look.
//!
//! The largest step at any joint is made as small as can be; steps that nobody sees are all alike. Among the walls that do
//! equally well, dark panels are kept from hanging beside each other, and then the steps are small on the whole.

pub mod arrange;
pub mod joints;

use arrange::{Grid, Hung, Steps, arrange};
use joints::{Edge, JUST_SEEN, PanelView, step};

pub use joints::Joint;

use crate::stats::order::median;

/// Steps that differ by less are alike: a quarter of what is just seen.
const ALIKE: f64 = JUST_SEEN / 4.0;

/// Starts the search for walls too large to try all.
const SEED: u64 = 1;

/// Panels hung on a wall.
#[derive(Debug, Clone)]
pub struct Wall {
    /// Places down and across.
    pub grid: Grid,
    /// The panel in each place, row by row from the top left.
    pub hung: Vec<Hung>,
    /// Every joint.
    pub joints: Vec<Met>,
    /// No other wall has a smaller largest step; otherwise none was found.
    pub exact: bool,
}

/// Two panels that meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Met {
    /// Places of the two, the left or upper one first.
    pub places: [usize; 2],
    /// One hangs below the other.
    pub below: bool,
    /// The step that is seen there, L*.
    pub step: f64,
    /// How it looks.
    pub look: Joint,
}

/// Hangs panels in a grid; `None` where there are not as many panels as places.
#[must_use]
pub fn hang(panels: &[PanelView], grid: Grid, may_turn: bool) -> Option<Wall> {
    if panels.len() != grid.places() {
        return None;
    }
    let across = |a: Hung, b: Hung| {
        step(
            (&panels[a.panel], a.turned),
            Edge::Right,
            (&panels[b.panel], b.turned),
        )
    };
    let down = |a: Hung, b: Hung| {
        step(
            (&panels[a.panel], a.turned),
            Edge::Bottom,
            (&panels[b.panel], b.turned),
        )
    };
    let mut lightness: Vec<f64> = panels.iter().map(|p| p.lightness).collect();
    let middle = median(&mut lightness)?;
    let dark: Vec<f64> = panels
        .iter()
        .map(|p| (middle - p.lightness).max(0.0))
        .collect();
    // What is not seen does not count, nor what makes no step larger to the eye.
    let seen = |step: f64| (step / ALIKE).round().max(JUST_SEEN / ALIKE) * ALIKE;
    let steps = Steps::of(
        grid,
        may_turn,
        |a, b| seen(across(a, b)),
        |a, b| seen(down(a, b)),
        |i, j| dark[i] * dark[j] / JUST_SEEN,
    );
    let found = arrange(&steps, SEED)?;
    let at = |row: usize, col: usize| row * grid.cols + col;
    let mut joints = Vec::new();
    for row in 0..grid.rows {
        for col in 0..grid.cols {
            let here = at(row, col);
            let mut meet = |there: usize, below: bool, step: f64| {
                joints.push(Met {
                    places: [here, there],
                    below,
                    step,
                    look: Joint::of(step),
                });
            };
            if col + 1 < grid.cols {
                let right = at(row, col + 1);
                meet(right, false, across(found.hung[here], found.hung[right]));
            }
            if row + 1 < grid.rows {
                let lower = at(row + 1, col);
                meet(lower, true, down(found.hung[here], found.hung[lower]));
            }
        }
    }
    Some(Wall {
        grid,
        hung: found.hung,
        joints,
        exact: found.exact,
    })
}
