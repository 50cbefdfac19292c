//! The mirror sees more than the board: something of the room shows in it, or the board ends before the mirror does.
//!
//! A person sees one large thing with a sharp, smooth outline, or a colour that no ageing makes. An area with a sharp
//! outline (a [`Plateau`]) counts when it stands alone: ageing leaves many blots and ridges of about one level. It must be
//! smooth, too, for blots are ragged, or larger than any blot; and if it is bare it must be both. What is brighter than full
//! silver, or of a hue off the way from silver to brown that tarnish takes, is the room's without all that. Where a straight
//! line right across the panel parts it from the rest, the board ends there.
//!
//! Clouds and worn edges have no sharp outline. What could fool it: one huge stain, half a panel dipped to a straight line;
//! what is far out of focus, or lies among blots and ridges as large and as deep, is missed.

use super::plateau::{Plateau, plateaus};
use super::small::Small;
use crate::frame::Plane;
use crate::frame::panel::{Panel, SilverScale};
use crate::ops::reduce::block_mean;
use crate::stats::order::ranked;

/// Least contrast of a sharp outline, share of the panel's level. One ridge as deep as 0.8 stands still for 0.12 at most,
/// clouds for 0.05.
const LEAST_CONTRAST: f64 = 0.15;

/// Least share of the panel.
const LEAST_SHARE: f64 = 0.03;

/// Least thickness, cells.
const LEAST_CELLS: f64 = 4.0;

/// Least share of all that is as dark, or as bright.
const LEAST_ALONE: f64 = 0.6;

/// Share of its convex hull that something smooth fills; blots fill 0.7 to 0.88 and less where they touch, a person's head
/// and shoulders 0.85.
const SMOOTH: f64 = 0.93;
const RAGGED: f64 = 0.7;

/// The same of something larger than any blot.
const NO_BLOT: f64 = 0.82;

/// No blot is larger, mm²: a disc of 40 mm.
const LARGEST_BLOT_MM2: f64 = 1250.0;

/// Under this share of the panel's level it is bare.
const MOST_OF_BARE: f64 = 0.22;

/// By this share of full silver it is brighter than silver can be.
const BRIGHTER: f64 = 0.1;

/// The least share of the panel, contrast, and thickness, mm, of what is: more than a drop of 12 mm has.
const LEAST_BRIGHT_SHARE: f64 = 0.012;
const LEAST_BRIGHT_CONTRAST: f64 = 0.03;
const LEAST_BRIGHT_MM: f64 = 8.0;

/// Least contrast off the tarnish's way, natural logarithm of a ratio of channels.
const LEAST_HUE: f64 = 0.12;

/// Share of it that lies beyond the straight line that cuts off as much of the panel.
const STRAIGHT: f64 = 0.9;

/// A panel barer than this has no level to hold anything against; what is brighter than so many levels is a lamp.
const LEAST_LEVEL: f64 = 0.05;
const BRIGHTEST: f64 = 3.0;

/// What stands out less is not looked at further.
const WORTH_A_LOOK: f64 = 0.5;

/// Steps of silver level between thresholds.
const STEP: f32 = 0.025;

/// Cells of the level along the side of one that clouds and ridges average out in.
const WIDER: usize = 2;

/// The strongest thing seen.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct RoomSign {
    pub(super) strength: f64,
    /// It is what lies beyond the board.
    pub(super) board_ends: bool,
}

impl RoomSign {
    fn or(self, other: Self) -> Self {
        if other.strength > self.strength {
            other
        } else {
            self
        }
    }
}

/// What the panel shows of more than the board.
pub(super) fn seen(panel: &Panel, small: &Small) -> RoomSign {
    let level = f64::from(small.level).max(LEAST_LEVEL);
    // Of a panel that is its own full silver nothing can be brighter.
    let silver = match panel.silver_scale {
        SilverScale::Own => f64::INFINITY,
        _ => level.max(1.0),
    };
    let wider = block_mean(&small.coarse, WIDER);
    let at = |plane: &Plane, cell_mm| {
        let sees = Sight {
            level,
            silver,
            cell_mm,
        };
        let (dark, bright) = rayon::join(|| sees.dark(plane), || sees.bright(plane));
        dark.or(bright)
    };
    let (near, (far, room)) = rayon::join(
        || at(&small.coarse, small.coarse_mm),
        || {
            rayon::join(
                || at(&wider, small.coarse_mm * WIDER as f64),
                || coloured(panel),
            )
        },
    );
    near.or(far).or(room)
}

/// Looking at a plane of levels.
struct Sight {
    level: f64,
    /// The level of full silver.
    silver: f64,
    cell_mm: f64,
}

impl Sight {
    fn dark(&self, plane: &Plane) -> RoomSign {
        let steps = thresholds([0.06, 0.96], self.level);
        self.strongest(plane, &steps, LEAST_SHARE, |p| {
            let alone = self.alone(p, plane);
            if alone < WORTH_A_LOOK {
                return 0.0;
            }
            let (outline, smooth_and_large) = self.outline(p);
            let bare = level_of(p, plane) / self.level / MOST_OF_BARE;
            outline.min(bare.max(smooth_and_large)).min(alone)
        })
    }

    fn bright(&self, plane: &Plane) -> RoomSign {
        let plane = &plane.mapv(|s| -s);
        let brightest = -plane.iter().fold(0.0_f32, |a, b| a.min(*b));
        let most = (f64::from(brightest) / self.level).min(BRIGHTEST);
        let steps = thresholds([-most, -0.3], self.level);
        self.strongest(plane, &steps, LEAST_BRIGHT_SHARE, |p| {
            let over = ((-level_of(p, plane) / self.silver - 1.0) / BRIGHTER)
                .min(p.contrast / LEAST_BRIGHT_CONTRAST)
                .min(p.thickness * self.cell_mm / LEAST_BRIGHT_MM)
                .min(size(p, plane, LEAST_BRIGHT_SHARE));
            // A window and a lamp are smooth; what blots leave between them is not.
            match self.alone(p, plane) {
                alone if alone < WORTH_A_LOOK => over,
                alone => over.max(smooth(p, SMOOTH).min(alone)),
            }
        })
    }

    /// The strongest that `strength` finds among the plateaus.
    fn strongest(
        &self,
        plane: &Plane,
        steps: &[f32],
        share: f64,
        strength: impl Fn(&Plateau) -> f64,
    ) -> RoomSign {
        let [least, contrast] = [0.5 * share, LEAST_CONTRAST * self.level];
        plateaus(plane, steps, least, [self.cell_mm, contrast])
            .into_iter()
            .map(|p| (strength(&p), p))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(RoomSign::default(), |(strength, p)| RoomSign {
                strength: strength.max(0.0),
                board_ends: p.beyond_a_line(plane) >= STRAIGHT,
            })
    }

    /// How much it stands out, alone.
    fn alone(&self, of: &Plateau, plane: &Plane) -> f64 {
        (of.contrast / self.level / LEAST_CONTRAST)
            .min(of.alone / LEAST_ALONE)
            .min(size(of, plane, LEAST_SHARE))
    }

    /// How unlike a blot it is: smooth or larger, and both.
    fn outline(&self, of: &Plateau) -> (f64, f64) {
        let large = of.area * self.cell_mm.powi(2) / LARGEST_BLOT_MM2;
        let sharp = smooth(of, SMOOTH);
        (sharp.max(large.min(smooth(of, NO_BLOT))), sharp.min(large))
    }
}

/// How smooth its outline is against what is asked.
fn smooth(of: &Plateau, asked: f64) -> f64 {
    (of.solidity() - RAGGED) / (asked - RAGGED)
}

/// Thresholds between two shares of a level.
fn thresholds([from, to]: [f64; 2], level: f64) -> Vec<f32> {
    let count = ((to - from) / f64::from(STEP)) as u16;
    let at = |i: u16| (level as f32) * (from as f32 + f32::from(i) * STEP);
    (0..=count).map(at).collect()
}

/// How large it is against what is asked.
fn size(of: &Plateau, plane: &Plane, share: f64) -> f64 {
    (of.thickness / LEAST_CELLS).min(of.area / (share * plane.len() as f64))
}

fn coloured(panel: &Panel) -> RoomSign {
    let hue = off_tarnish(panel);
    let halved = hue.nrows().min(hue.ncols()).div_ceil(200).max(1);
    let hue = block_mean(&hue, halved);
    let cell_mm = (panel.tone.cell_px * halved) as f64 / panel.px_per_mm;
    let strength = plateaus(
        &hue,
        &thresholds([-0.6, -0.02], 1.0),
        0.5 * LEAST_SHARE,
        [cell_mm, LEAST_HUE],
    )
    .iter()
    .map(|p| (p.contrast / LEAST_HUE).min(size(p, &hue, LEAST_SHARE)))
    .fold(0.0, f64::max);
    RoomSign {
        strength,
        board_ends: false,
    }
}

/// How far the colour of each tone cell lies off the way that tarnish takes (red over green up, blue over green down,
/// as 0.37 to −0.93 in logarithms), less than 0 for far; 0 where there is no silver to have one. Bluer than the panel at
/// large is off the way too.
fn off_tarnish(panel: &Panel) -> Plane {
    const WAY: [f32; 2] = [0.37, -0.93];
    let [red, green, blue] = &panel.tone.planes;
    let ratios = |i: (usize, usize)| {
        let [r, g, b] = [red[i], green[i], blue[i]].map(|v| v.max(0.02));
        [(r / g).ln(), (b / g).ln()]
    };
    let most = panel.tone.weight.iter().fold(0.0_f32, |a, b| a.max(*b));
    let known = |i: (usize, usize)| panel.tone.weight[i] > 0.25 * most;
    let middle = [0, 1].map(|k| {
        let cells = panel.tone.weight.indexed_iter().map(|(i, _)| i);
        let mut all: Vec<f32> = cells.filter(|i| known(*i)).map(|i| ratios(i)[k]).collect();
        ranked(&mut all, 0.5, f32::total_cmp).unwrap_or(0.0)
    });
    Plane::from_shape_fn(panel.tone.weight.dim(), |i| {
        if !known(i) {
            return 0.0;
        }
        let [red, blue] = ratios(i);
        let (dr, db) = (red - middle[0], blue - middle[1]);
        let aside = (dr * WAY[1] - db * WAY[0]).abs();
        let bluer = db.min(blue);
        -aside.max(bluer)
    })
}

/// Middle level inside.
fn level_of(of: &Plateau, plane: &Plane) -> f64 {
    let cells = of
        .runs
        .iter()
        .flat_map(|(r, first, last)| (*first..=*last).map(|c| plane[[*r as usize, c as usize]]));
    let mut levels: Vec<f32> = cells.collect();
    ranked(&mut levels, 0.5, f32::total_cmp).map_or(0.0, f64::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    /// What is seen on a panel of 120 mm at 5 px/mm, whose silver at a place, mm, is as `silver` says.
    fn seen(silver: impl Fn(f64, f64) -> f32) -> RoomSign {
        let plane = Plane::from_shape_fn((600, 600), |(r, c)| {
            silver((c as f64 + 0.5) / 5.0, (r as f64 + 0.5) / 5.0)
        });
        let panel = drawn::panel(plane, 5.0);
        super::seen(&panel, &Small::new(&panel))
    }

    #[test]
    fn an_even_panel_shows_nothing_however_bare() {
        for level in [1.0, 0.6, 0.0] {
            let found = seen(|_, _| level);
            assert!(
                found.strength < 1e-9 && !found.board_ends,
                "{level} {found:?}"
            );
        }
        // Nor does one speck, or light that falls off.
        assert!(
            seen(|x, y| if (x - 50.0).hypot(y - 50.0) < 2.0 {
                0.0
            } else {
                1.0
            })
            .strength
                < 1.0
        );
        assert!(seen(|x, _| 1.0 - 0.004 * x as f32).strength < 1.0);
    }

    #[test]
    fn a_bare_third_beyond_a_straight_line_is_where_the_board_ends() {
        let found = seen(|x, _| if x < 40.0 { 0.0 } else { 1.0 });
        assert!(found.strength >= 1.0 && found.board_ends, "{found:?}");
    }

    #[test]
    fn one_smooth_dark_thing_is_of_the_room() {
        let found = seen(|x, y| {
            if (x - 60.0).hypot(y - 60.0) < 25.0 {
                0.2
            } else {
                1.0
            }
        });
        assert!(found.strength >= 1.0 && !found.board_ends, "{found:?}");
        // And so is what is brighter than silver.
        let lamp = seen(|x, y| {
            if (x - 60.0).abs() < 12.0 && (y - 60.0).abs() < 20.0 {
                1.25
            } else {
                1.0
            }
        });
        assert!(lamp.strength >= 1.0 && !lamp.board_ends, "{lamp:?}");
    }

    #[test]
    fn thresholds_run_from_one_share_of_the_level_to_the_other() {
        let found = thresholds([0.06, 0.96], 0.5);
        assert_eq!(found.len(), 36);
        assert!((found[0] - 0.03).abs() < 1e-6 && (found[35] - 0.467_5).abs() < 1e-6);
    }

    #[test]
    fn tarnish_lies_on_its_way_and_blue_off_it() {
        let tone = |light: [f32; 3]| {
            let cell = |c: usize| {
                Plane::from_shape_fn((10, 10), |(r, _)| if r < 2 { light[c] } else { 1.0 })
            };
            let mut panel = drawn::panel(Plane::ones((10, 10)), 1.0);
            panel.tone.planes = [cell(0), cell(1), cell(2)];
            off_tarnish(&panel)[[0, 0]]
        };
        assert!(tone([1.0; 3]).abs() < 1e-6);
        // A tenth along the way is on it; blue over green by a tenth is a tenth off.
        let along = 0.1_f32;
        assert!(tone([(0.37 * along).exp(), 1.0, (-0.93 * along).exp()]).abs() < 1e-3);
        assert!((tone([1.0, 1.0, 0.1_f32.exp()]) + 0.1).abs() < 1e-4);
        let bare = drawn::panel(Plane::zeros((10, 10)), 1.0);
        assert!(off_tarnish(&bare).iter().all(|v| v.abs() < 1e-6));
    }
}
