//! All four marks together: the plane they lie in and how each lies in it.
//!
//! Only the shape of a mark is known, not where a hand has laid it. So the plane's homography and the place and turn of
//! each mark are sought at once, by least squares over the four corners of each frame in the photo: 32 figures for 17
//! unknowns, for the first mark says where the plane's coordinates begin. Found by Gauss and Newton's steps, damped
//! (Levenberg 1944, Marquardt 1963). `stats::curve::fit` asks a model figure by figure for exact derivatives; here all 32 figures
//! come out of one homography at once, and their derivatives are differences.

use nalgebra::{DMatrix, DVector};

use super::symbol::{ReadMark, square};
use crate::frame::mark::Corner;
use crate::frame::quad::{Homography, Point, Quad};

/// Four points of the plane in the photo, then x, y and turn of the second, third and fourth mark.
const UNKNOWN: usize = 8 + 9;

/// The figures settle within ten steps.
const STEPS: usize = 40;

/// The plane the marks lie in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plane {
    /// From millimetres in the plane to the photo. The coordinates are those of the top left mark as it lies.
    pub(super) to_photo: Homography,
    /// The notches' inner corners in the plane, mm.
    pub(super) notches: Quad,
    /// How far each mark is turned against the first, radians, clockwise.
    pub(super) turned: [f64; 4],
    /// Root mean square distance of the frames' corners from where they should be, pixels.
    pub(super) residual_px: f64,
}

/// The plane of four marks, given in the order of the corners; `None` where they lie in none.
pub(super) fn solve(seen: &[ReadMark; 4]) -> Option<Plane> {
    let problem = Problem::new(seen)?;
    let mut at = problem.start();
    let mut off = problem.off(&at)?;
    let mut damping = 1e-3;
    for _ in 0..STEPS {
        let slope = problem.slope(&at, &off)?;
        let square = slope.tr_mul(&slope);
        let mut damped = square.clone();
        for i in 0..UNKNOWN {
            damped[(i, i)] += damping * square[(i, i)];
        }
        let step = damped.cholesky()?.solve(&slope.tr_mul(&off));
        let next = &at - step;
        match problem.off(&next) {
            Some(less) if less.norm_squared() < off.norm_squared() => {
                let settled = off.norm_squared() - less.norm_squared() < 1e-12 * off.norm_squared();
                (at, off, damping) = (next, less, damping / 10.0);
                if settled {
                    break;
                }
            }
            _ if damping > 1e9 => break,
            _ => damping *= 10.0,
        }
    }
    let poses = Problem::poses(&at);
    Some(Plane {
        to_photo: problem.to_photo(&at)?,
        notches: Quad(poses.map(|[x, y, _]| [x, y])),
        turned: poses.map(|[.., turn]| turn),
        // Two figures a corner.
        residual_px: (off.norm_squared() / (off.len() as f64 / 2.0)).sqrt(),
    })
}

struct Problem<'a> {
    seen: &'a [ReadMark; 4],
    /// A rectangle about as large as the panel, mm.
    near: [Point; 4],
    /// Its corners in the photo, about.
    near_in_photo: [Point; 4],
}

impl<'a> Problem<'a> {
    fn new(seen: &'a [ReadMark; 4]) -> Option<Self> {
        let mut corners = [[0.0; 2]; 4];
        for (corner, seen) in corners.iter_mut().zip(seen) {
            *corner = seen.at([0.0, 0.0])?;
        }
        let px_per_mm =
            seen.map(|s| s.frame.area().sqrt() / (side_modules() * s.mark.size.module_mm()));
        let apart = |a: usize, b: usize| {
            let px = (corners[a][0] - corners[b][0]).hypot(corners[a][1] - corners[b][1]);
            px / px_per_mm[a].midpoint(px_per_mm[b])
        };
        let width = apart(0, 1).midpoint(apart(3, 2));
        let height = apart(0, 3).midpoint(apart(1, 2));
        Some(Problem {
            seen,
            near: Quad::rectangle(0.0, 0.0, width, height).0,
            near_in_photo: corners,
        })
    }

    fn start(&self) -> DVector<f64> {
        let poses = self.near[1..].iter().flat_map(|[x, y]| [*x, *y, 0.0]);
        let points = self.near_in_photo.iter().flatten().copied();
        DVector::from_iterator(UNKNOWN, points.chain(poses))
    }

    fn to_photo(&self, at: &DVector<f64>) -> Option<Homography> {
        Homography::between(&self.near, &[0, 2, 4, 6].map(|i| [at[i], at[i + 1]]))
    }

    fn poses(at: &DVector<f64>) -> [[f64; 3]; 4] {
        let pose = |i: usize| [at[i], at[i + 1], at[i + 2]];
        [[0.0; 3], pose(8), pose(11), pose(14)]
    }

    /// How far each frame's corners lie from where these unknowns put them, pixels.
    fn off(&self, at: &DVector<f64>) -> Option<DVector<f64>> {
        let to_photo = self.to_photo(at)?;
        let mut off = Vec::with_capacity(32);
        for ((seen, pose), corner) in self.seen.iter().zip(Self::poses(at)).zip(Corner::ALL) {
            let (sin, cos) = pose[2].sin_cos();
            for (of_mark, in_photo) in square().iter().zip(seen.frame.0) {
                let [x, y] = corner
                    .turned(*of_mark)
                    .map(|v| v * seen.mark.size.module_mm());
                let laid = [pose[0] + cos * x - sin * y, pose[1] + sin * x + cos * y];
                let put = to_photo.apply(laid);
                off.extend([put[0] - in_photo[0], put[1] - in_photo[1]]);
            }
        }
        off.iter().all(|v| v.is_finite()).then(|| off.into())
    }

    /// How the distances change with each unknown, by small differences.
    fn slope(&self, at: &DVector<f64>, off: &DVector<f64>) -> Option<DMatrix<f64>> {
        const SMALL: f64 = 1e-5;
        let mut slope = DMatrix::zeros(off.len(), UNKNOWN);
        for i in 0..UNKNOWN {
            let mut moved = at.clone();
            moved[i] += SMALL;
            slope.set_column(i, &((self.off(&moved)? - off) / SMALL));
        }
        Some(slope)
    }
}

/// Side of the square that the middles of the bars make, modules.
fn side_modules() -> f64 {
    let [far, near] = super::symbol::BARS;
    near - far
}
