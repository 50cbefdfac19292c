//! Taking the photo: light into pixels, blur, noise, codes.

use image::RgbImage;
use ndarray::Axis;
use ndarray::parallel::prelude::*;
use rand::RngExt;
use rand_distr::StandardNormal;
use rayon::slice::ParallelSliceMut;

use super::field::Painted;
use super::laid_on::laid_on;
use super::reflected::{off_the_glass, reflected};
use super::scene::{FULL_SILVER, Light, Scene, patch_level};
use super::shot::Shot;
use super::smooth::{by_rows, gaussian, in_cells};
use super::spoilt::Spoilt;
use super::stream::{Part, stream};
use crate::frame::Plane;
use crate::frame::placement::{Placement, Side};
use crate::frame::quad::{Point, Quad};
use crate::ops::glass::shown_by;

/// A photo and where everything in it truly lies.
#[derive(Debug, Clone)]
pub struct Photographed {
    /// The photo as shown, sRGB.
    pub rgb8: RgbImage,
    /// Where the panel and the patches lie.
    pub placement: Placement,
    /// How it was taken.
    pub shot: Shot,
}

/// Photographs a painted panel.
///
/// # Panics
/// When the panel would be seen edge on, or the frame has no pixels.
#[must_use]
pub fn photograph(painted: &Painted, shot: &Shot) -> Photographed {
    let scene = Scene::new(shot, painted.size).filter(|_| shot.width_px * shot.height_px > 0);
    let Some(scene) = scene else {
        panic!("no photo can be taken like this: {shot:?}");
    };
    let laid;
    let painted = if shot.dust.is_some() || shot.drops.is_some() {
        laid = laid_on(painted, shot, &scene);
        &laid
    } else {
        painted
    };
    let (silver, rest) = exposed(painted, shot, &scene);
    let blurred = |light: Plane| gaussian(light.view(), shot.blur_px);
    let light = Exposed {
        silver: blurred(silver),
        patina: patinated(painted, shot, &scene).map(blurred),
        rest: blurred(rest),
    };
    Photographed {
        rgb8: developed(
            &light,
            reflected(shot, &scene).as_ref(),
            painted.colours(),
            shot,
            Spoilt::new(shot, |i| scene.patch_seen(&shot.patches[i])).as_ref(),
        ),
        placement: scene.placement(shot),
        shot: shot.clone(),
    }
}

/// The painted field made ready for sampling: in cells no larger than a pixel of the photo.
struct Field {
    silver: Plane,
    /// Cells in a millimetre.
    cells_per_mm: f64,
    /// Cells from the field's corner to the panel's centre, right and down.
    centre: Point,
    /// The panel is seen from behind.
    mirrored: bool,
}

impl Field {
    /// Of what the silver shows, or of the part of it that wears patina.
    fn new(silver: &Plane, painted: &Painted, photo_px_per_mm: f64, side: Side) -> Self {
        let k = ((painted.px_per_mm / photo_px_per_mm).floor() as usize).max(1);
        let cells_per_mm = painted.px_per_mm / k as f64;
        let margin = painted.margin_px as f64 / k as f64;
        Field {
            silver: in_cells(silver.view(), k),
            cells_per_mm,
            centre: [
                margin + painted.size.width / 2.0 * cells_per_mm,
                margin + painted.size.height / 2.0 * cells_per_mm,
            ],
            mirrored: side == Side::Back,
        }
    }

    /// What silver shows at a point, mm right of and below the panel's centre as the camera sees it; bilinear.
    #[inline]
    fn at(&self, [x, y]: Point) -> f32 {
        let x = if self.mirrored { -x } else { x };
        let (rows, cols) = self.silver.dim();
        let keep = |v: f64, n: usize| (v - 0.5).clamp(0.0, n as f64 - 1.001);
        let c = keep(self.centre[0] + x * self.cells_per_mm, cols);
        let r = keep(self.centre[1] + y * self.cells_per_mm, rows);
        let (i, j) = (r as usize, c as usize);
        let (dr, dc) = ((r - i as f64) as f32, (c - j as f64) as f32);
        let cells = self.silver.as_slice().unwrap_or(&[]);
        let along = |i: usize| {
            let two = &cells[i * cols + j..][..2];
            two[0] * (1.0 - dc) + two[1] * dc
        };
        along(i) * (1.0 - dr) + along(i + 1) * dr
    }
}

/// Box round the image of something: first column and row it can touch, then the last ones.
struct Reach([f64; 4]);

impl Reach {
    fn of(scene: &Scene, seen: &Quad) -> Self {
        let mut reach = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        // Its sides may bow past its corners.
        let room = 2.0 + scene.barrel.map_or(0.0, |lens| lens.farthest_px());
        for [x, y] in seen.0 {
            reach = [
                reach[0].min(x - room),
                reach[1].min(y - room),
                reach[2].max(x + room),
                reach[3].max(y + room),
            ];
        }
        Reach(reach)
    }

    fn may_touch(&self, [x, y]: Point) -> bool {
        let Reach([left, top, right, bottom]) = *self;
        x >= left && y >= top && x <= right && y <= bottom
    }
}

/// Something flat and rectangular in the plane of the panel.
struct Piece {
    centre_mm: Point,
    half_mm: [f64; 2],
    reach: Reach,
    /// Pixels in a millimetre at its centre.
    px_per_mm: f64,
}

impl Piece {
    fn new(scene: &Scene, seen: &Quad, centre_mm: Point, half_mm: [f64; 2]) -> Self {
        Piece {
            centre_mm,
            half_mm,
            reach: Reach::of(scene, seen),
            px_per_mm: scene.to_photo.scale_at(centre_mm),
        }
    }

    fn panel(painted: &Painted, scene: &Scene) -> Self {
        let half = [painted.size.width / 2.0, painted.size.height / 2.0];
        Piece::new(scene, &scene.panel_seen(), [0.0, 0.0], half)
    }

    /// Share of the pixel at this point that the piece covers.
    fn share(&self, [x, y]: Point) -> f32 {
        let inside = (self.half_mm[0] - (x - self.centre_mm[0]).abs())
            .min(self.half_mm[1] - (y - self.centre_mm[1]).abs());
        (0.5 + inside * self.px_per_mm).clamp(0.0, 1.0) as f32
    }
}

/// Light in each pixel, relative to full silver at the middle of the frame: what comes off silver, which has a colour,
/// and the rest, which has none.
fn exposed(painted: &Painted, shot: &Shot, scene: &Scene) -> (Plane, Plane) {
    let scale = scene.to_photo.scale_at([0.0, 0.0]);
    let shown = painted.silver.mapv(shown_by);
    let field = Field::new(&shown, painted, scale, shot.side);
    let light = Light::new(shot);
    let panel = Piece::panel(painted, scene);
    let patches: Vec<_> = shot
        .patches
        .iter()
        .map(|p| {
            let piece = Piece::new(
                scene,
                &scene.patch_seen(p),
                p.centre_mm,
                [p.size_mm / 2.0; 2],
            );
            (piece, patch_level(p, shot.bare_ratio) as f32)
        })
        .collect();
    let things: Vec<_> = (shot.beside.iter())
        .map(|thing| (Reach::of(scene, &scene.thing_seen(thing)), thing))
        .collect();
    let px_per_mm = scene.to_photo.scale_at([0.0, 0.0]);
    let bare = shot.bare_ratio as f32;

    let mut silver = Plane::zeros((shot.height_px, shot.width_px));
    let mut rest = silver.clone();
    silver
        .axis_iter_mut(Axis(0))
        .into_par_iter()
        .zip(rest.axis_iter_mut(Axis(0)))
        .enumerate()
        .for_each(|(r, (mut silver, mut rest))| {
            let y = r as f64 + 0.5;
            for (c, (silver, rest)) in silver.iter_mut().zip(&mut rest).enumerate() {
                let at = [c as f64 + 0.5, y];
                let here = light.at(at[0], at[1]) as f32;
                let (mm, per_px) = scene.seen_at(at);
                let on_panel = if panel.reach.may_touch(at) && !shot.without_panel {
                    panel.share(mm)
                } else {
                    0.0
                };
                if on_panel > 0.0 {
                    let s = footprint(&field, mm, per_px);
                    *silver = here * on_panel * (1.0 - bare) * s;
                    *rest = here * on_panel * bare;
                }
                if on_panel < 1.0 {
                    let mut beside = shot.surround as f32 * shot.table.at(mm);
                    for (piece, level) in &patches {
                        if piece.reach.may_touch(at) {
                            let share = piece.share(mm);
                            beside += share * (level - beside);
                        }
                    }
                    for (reach, thing) in &things {
                        if reach.may_touch(at) {
                            let depth = thing.depth_mm(mm) * px_per_mm;
                            let share = (0.5 + depth).clamp(0.0, 1.0) as f32;
                            if share > 0.0 {
                                beside += share * (thing.level(mm, shot.bare_ratio) - beside);
                            }
                        }
                    }
                    *rest += here * (1.0 - on_panel) * beside;
                }
            }
        });
    (silver, rest)
}

/// Light in each pixel that comes off silver which wears patina, in proportion to its strength; `None` without any.
fn patinated(painted: &Painted, shot: &Shot, scene: &Scene) -> Option<Plane> {
    let strength = painted.patina.as_ref().filter(|_| !shot.without_panel)?;
    let scale = scene.to_photo.scale_at([0.0, 0.0]);
    let worn = painted.silver.mapv(shown_by) * strength;
    let field = Field::new(&worn, painted, scale, shot.side);
    let (light, panel) = (Light::new(shot), Piece::panel(painted, scene));
    let silver = 1.0 - shot.bare_ratio as f32;
    Some(by_rows(shot.height_px, shot.width_px, |r, row| {
        for (c, out) in row.iter_mut().enumerate() {
            let at = [c as f64 + 0.5, r as f64 + 0.5];
            if panel.reach.may_touch(at) {
                let (mm, per_px) = scene.seen_at(at);
                let on_panel = panel.share(mm);
                if on_panel > 0.0 {
                    let here = light.at(at[0], at[1]) as f32;
                    *out = here * on_panel * silver * footprint(&field, mm, per_px);
                }
            }
        }
    }))
}

/// Mean silver over the pixel, from four points of it.
fn footprint(field: &Field, [x, y]: Point, [right, down]: [Point; 2]) -> f32 {
    let quarters = [[-0.25, -0.25], [0.25, -0.25], [-0.25, 0.25], [0.25, 0.25]];
    let sum: f32 = quarters
        .iter()
        .map(|[u, v]| {
            field.at([
                x + u * right[0] + v * down[0],
                y + u * right[1] + v * down[1],
            ])
        })
        .sum();
    sum / 4.0
}

/// Light in each pixel by where it comes from, blurred by the lens.
struct Exposed {
    silver: Plane,
    /// The part of the silver's that wears patina.
    patina: Option<Plane>,
    rest: Plane,
}

/// Light into codes: what the panel sees, exposure and colour of the lamps, noise, the camera's tones.
fn developed(
    exposed: &Exposed,
    seen: Option<&[Plane; 3]>,
    [colour, patina_colour]: [[f64; 3]; 2],
    shot: &Shot,
    spoilt: Option<&Spoilt>,
) -> RgbImage {
    let codes = shot.response.codes(FINE);
    let gain = FULL_SILVER * shot.exposure_ev.exp2();
    let rest_gain = shot.white_balance.map(|w| (w * gain) as f32);
    let silver_gain = [0, 1, 2].map(|c| (shot.white_balance[c] * gain * colour[c]) as f32);
    let patina_gain =
        [0, 1, 2].map(|c| (shot.white_balance[c] * gain * (patina_colour[c] - colour[c])) as f32);
    let read = (shot.read_noise * shot.read_noise) as f32;
    let per_light = if shot.full_well > 0.0 {
        (1.0 / shot.full_well) as f32
    } else {
        0.0
    };
    let quiet = read <= 0.0 && per_light <= 0.0;
    let mut image = RgbImage::new(shot.width_px as u32, shot.height_px as u32);
    image
        .as_mut()
        .par_chunks_mut(3 * shot.width_px)
        .enumerate()
        .for_each(|(r, out)| {
            let mut rng = stream(shot.seed, Part::Noise, r as u64);
            let lit = (exposed.silver.row(r).into_iter()).zip(exposed.rest.row(r));
            for (col, (pixel, (s, rest))) in out.chunks_exact_mut(3).zip(lit).enumerate() {
                let at = [col as f64 + 0.5, r as f64 + 0.5];
                let left = spoilt.map(|by| by.gain(at));
                let worn = exposed.patina.as_ref().map(|patina| patina[[r, col]]);
                for (c, code) in pixel.iter_mut().enumerate() {
                    let mut light = match seen {
                        None => s * silver_gain[c] + rest * rest_gain[c],
                        Some(planes) => {
                            let seen = planes[c][[r, col]];
                            s * seen * silver_gain[c] + rest * off_the_glass(seen) * rest_gain[c]
                        }
                    };
                    if let Some(worn) = worn {
                        let seen = seen.map_or(1.0, |planes| planes[c][[r, col]]);
                        light += worn * seen * patina_gain[c];
                    }
                    if let Some(left) = left {
                        light *= left[c];
                    }
                    if !quiet {
                        let z: f32 = rng.sample(StandardNormal);
                        light += z * (read + per_light * light).sqrt();
                    }
                    if let Some(by) = spoilt {
                        light = by.deepened(light);
                    }
                    *code = codes[(light.clamp(0.0, 1.0) * FINE as f32 + 0.5) as usize];
                }
            }
        });
    image
}

/// Steps of linear light in the table of codes: twenty to the smallest code.
const FINE: usize = 65_535;

#[cfg(test)]
#[path = "camera_tests.rs"]
mod tests;
