//! Where panels lie on a drawn wall, for its picture and its plan: all at one scale, each in the middle of its cell, their feet in
//! a line, with room for a label below. All in px, x before y.

use image::RgbImage;

use crate::compare::set::Remake;
use crate::compare::wall::Wall;
use crate::compare::wall::arrange::Hung;
use crate::units::SizeMm;

/// A panel to hang.
pub struct Hanging<'a> {
    /// Its name.
    pub name: &'a str,
    /// It in colour.
    pub picture: &'a RgbImage,
    /// Its real size.
    pub size: SizeMm,
    /// It does not go with the rest.
    pub odd: bool,
    /// What has to be done to it for the set to agree, if anything.
    pub remake: Option<Remake>,
}

/// A wall laid out: the drawing's size, the room for a panel without its label, and every place in order.
pub(super) struct Laid<'a> {
    pub(super) size: [f64; 2],
    pub(super) cell: [f64; 2],
    pub(super) places: Vec<Place<'a>>,
}

/// A place, its number from 1: the top left of its cell, and that of the panel that hangs there, which is so large.
pub(super) struct Place<'a> {
    pub(super) number: usize,
    pub(super) hung: Hung,
    pub(super) panel: &'a Hanging<'a>,
    pub(super) corner: [f64; 2],
    pub(super) at: [f64; 2],
    pub(super) size: [f64; 2],
}

/// Lays out a wall; `panels` are in the order given, as the wall counts them. `side` is how long a side is drawn, by its share of
/// the longest of all; a label has a least width and a height.
pub(super) fn lay<'a>(
    panels: &'a [Hanging<'a>],
    wall: &Wall,
    side: impl Fn(f64) -> f64,
    label: [f64; 2],
    (gap, margin): (f64, f64),
) -> Laid<'a> {
    let sides = |p: &Hanging<'_>| [p.size.width, p.size.height];
    let longest = panels.iter().flat_map(sides).fold(1.0, f64::max);
    let size = |p: &Hanging<'_>| sides(p).map(|mm| side(mm / longest));
    let most = |axis: usize, least| panels.iter().map(|p| size(p)[axis]).fold(least, f64::max);
    let cell = [most(0, label[0]), most(1, 1.0)];
    let step = [cell[0] + gap, cell[1] + label[1] + gap];
    let (rows, cols) = (wall.grid.rows, wall.grid.cols);
    let along = |axis: usize, places: usize| margin + places as f64 * step[axis];
    let place = |(i, hung): (usize, &Hung)| {
        let panel = &panels[hung.panel];
        let (size, [x, y]) = (size(panel), [along(0, i % cols), along(1, i / cols)]);
        Place {
            number: i + 1,
            hung: *hung,
            panel,
            corner: [x, y],
            at: [x + (cell[0] - size[0]) / 2.0, y + cell[1] - size[1]],
            size,
        }
    };
    Laid {
        size: [along(0, cols), along(1, rows)].map(|end| end - gap + margin),
        cell,
        places: wall.hung.iter().enumerate().map(place).collect(),
    }
}
