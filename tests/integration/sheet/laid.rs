//! The printed sheet, cut up and laid around a panel in a painted photo.

use image::{GrayImage, RgbImage};
use paneprint::draw::marks::{Paper, notch_at, sheet, svg};
use paneprint::frame::mark::{Corner, MarkSize, NOTCH, PAPER};
use paneprint::frame::quad::{Homography, Point, Quad};
use paneprint::synth::{FULL_SILVER, Photographed, WHITE_OVER_SILVER};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use resvg::{tiny_skia, usvg};

/// What a good printer prints, dots in a millimetre.
const PX_PER_MM: f64 = 300.0 / 25.4;

/// Reflectance of white paper and of black ink (handbook values of matt copy paper and toner).
const PAPER_REFLECTANCE: f64 = 0.85;
const INK_REFLECTANCE: f64 = 0.04;

/// Points of a pixel that are looked at, along each way.
const GRAIN: usize = 4;

/// A sheet, printed.
pub(super) struct Print {
    page: GrayImage,
    notches: [Point; 4],
    module_mm: f64,
}

impl Print {
    pub(super) fn new(paper: Paper, size: MarkSize) -> Self {
        let text = svg(&sheet(paper, size));
        let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
        // usvg takes a millimetre for 96 / 25.4 units.
        let scale = 300.0 / 96.0;
        let [width, height] = paper.size_mm().map(|mm| (mm * PX_PER_MM).round() as u32);
        let mut pixels = tiny_skia::Pixmap::new(width, height).unwrap();
        resvg::render(
            &tree,
            tiny_skia::Transform::from_scale(scale, scale),
            &mut pixels.as_mut(),
        );
        let grey = pixels.data().chunks(4).map(|p| p[1]).collect();
        Print {
            page: GrayImage::from_raw(width, height, grey).unwrap(),
            notches: Corner::ALL.map(|corner| notch_at(paper, size, corner)),
            module_mm: size.module_mm(),
        }
    }

    /// The part of the page with one mark.
    pub(super) fn cut_out(&self, corner: Corner) -> GrayImage {
        let [a, b] = [[PAPER; 2], [NOTCH; 2]].map(|p| {
            let [x, y] = corner.turned(p);
            let notch = self.notches[corner as usize];
            [notch[0] + x * self.module_mm, notch[1] + y * self.module_mm]
                .map(|mm| (mm * PX_PER_MM).round() as u32)
        });
        let (left, top) = (a[0].min(b[0]), a[1].min(b[1]));
        let (width, height) = (a[0].abs_diff(b[0]), a[1].abs_diff(b[1]));
        image::imageops::crop_imm(&self.page, left, top, width, height).to_image()
    }

    /// Share of white at a point of the sheet, mm.
    fn white(&self, [x, y]: Point) -> f64 {
        let (x, y) = (x * PX_PER_MM - 0.5, y * PX_PER_MM - 0.5);
        let (col, row) = (x.floor(), y.floor());
        let (u, v) = (x - col, y - row);
        let at = |c: f64, r: f64| f64::from(self.page.get_pixel(c as u32, r as u32).0[0]) / 255.0;
        let along = |r: f64| at(col, r) * (1.0 - u) + at(col + 1.0, r) * u;
        along(row) * (1.0 - v) + along(row + 1.0) * v
    }

    /// Reflectance of a mark at a point of its own, mm from the inner corner as printed; `None` off the cut paper.
    fn reflectance(&self, corner: Corner, [x, y]: Point) -> Option<f64> {
        let unturned = (0..4 - corner as usize).fold([x, y], |[x, y], _| [-y, x]);
        let inside = |v: f64, to: f64| v >= PAPER * self.module_mm && v <= to * self.module_mm;
        let on_paper =
            unturned.iter().all(|v| inside(*v, NOTCH)) && (unturned[0] < 0.0 || unturned[1] < 0.0);
        let notch = self.notches[corner as usize];
        on_paper.then(|| {
            let white = self.white([notch[0] + x, notch[1] + y]);
            INK_REFLECTANCE + white * (PAPER_REFLECTANCE - INK_REFLECTANCE)
        })
    }
}

/// How a mark was laid: its inner corner off the panel's corner, away from the panel, mm, and how far it is turned.
#[derive(Clone, Copy, Default)]
pub(super) struct Pose {
    pub(super) gap_mm: [f64; 2],
    pub(super) turn_deg: f64,
}

/// Lays marks around the panel of a photo; `None` for a corner leaves it without.
pub(super) fn lay(photo: &mut Photographed, print: &Print, poses: [Option<Pose>; 4]) {
    let size = photo.placement.size;
    let mm = Quad::rectangle(0.0, 0.0, size.width, size.height);
    let to_photo = Homography::between(&mm.0, &photo.placement.corners.0).unwrap();
    for ((corner, pose), at) in Corner::ALL.into_iter().zip(poses).zip(mm.0) {
        if let Some(pose) = pose {
            lay_one(photo, print, (corner, pose), &to_photo, at);
        }
    }
}

fn lay_one(
    photo: &mut Photographed,
    print: &Print,
    (corner, pose): (Corner, Pose),
    to_photo: &Homography,
    at: Point,
) {
    let away = corner.turned([-1.0, -1.0]);
    let origin = [0, 1].map(|i| at[i] + away[i] * pose.gap_mm[i]);
    let (sin, cos) = pose.turn_deg.to_radians().sin_cos();
    let reach = -PAPER * print.module_mm + 3.0;
    let bounds = Quad::rectangle(
        origin[0] - reach,
        origin[1] - reach,
        2.0 * reach,
        2.0 * reach,
    )
    .0
    .map(|p| to_photo.apply(p));
    let (width, height) = photo.rgb8.dimensions();
    let span = |axis: usize, end: u32| {
        let low = bounds.iter().map(|p| p[axis]).fold(f64::MAX, f64::min);
        let high = bounds.iter().map(|p| p[axis]).fold(f64::MIN, f64::max);
        (
            low.max(0.0) as usize,
            (high.max(0.0) as usize).min(end as usize),
        )
    };
    let ((left, right), (top, bottom)) = (span(0, width), span(1, height));
    let to_mm = to_photo.inverse().unwrap();
    let (cols, rows) = (right - left, bottom - top);
    let mut light = vec![0.0; rows * cols];
    let mut cover = light.clone();
    for r in 0..rows {
        for c in 0..cols {
            for k in 0..GRAIN * GRAIN {
                let part = |i: usize| (i as f64 + 0.5) / GRAIN as f64;
                let [x, y] = to_mm.apply([
                    (left + c) as f64 + part(k % GRAIN),
                    (top + r) as f64 + part(k / GRAIN),
                ]);
                let (dx, dy) = (x - origin[0], y - origin[1]);
                let own = [cos * dx + sin * dy, cos * dy - sin * dx];
                if let Some(reflectance) = print.reflectance(corner, own) {
                    let share = 1.0 / (GRAIN * GRAIN) as f64;
                    light[r * cols + c] += share * reflectance;
                    cover[r * cols + c] += share;
                }
            }
        }
    }
    let (light, cover) = ([light, cover])
        .map(|p| blurred(p, cols, photo.shot.blur_px))
        .into();
    composite(photo, [left, top, cols], &light, &cover, corner as u64);
}

/// Gaussian blur of a plane, `cols` wide.
fn blurred(plane: Vec<f64>, cols: usize, sigma: f64) -> Vec<f64> {
    let reach = (3.0 * sigma).ceil() as isize;
    let weights: Vec<f64> = (-reach..=reach)
        .map(|i| (-0.5 * (i as f64 / sigma).powi(2)).exp())
        .collect();
    let sum: f64 = weights.iter().sum();
    let rows = plane.len() / cols;
    let pass = |plane: &[f64], down: bool| -> Vec<f64> {
        (0..plane.len())
            .map(|i| {
                let (r, c) = ((i / cols) as isize, (i % cols) as isize);
                let tap = |k: isize| {
                    let (r, c) = if down { (r + k, c) } else { (r, c + k) };
                    plane[r.clamp(0, rows as isize - 1) as usize * cols
                        + c.clamp(0, cols as isize - 1) as usize]
                };
                (-reach..=reach)
                    .zip(&weights)
                    .map(|(k, w)| w * tap(k))
                    .sum::<f64>()
                    / sum
            })
            .collect()
    };
    pass(&pass(&plane, false), true)
}

/// Puts lit paper over the photo, with the noise of its sensor.
fn composite(
    photo: &mut Photographed,
    [left, top, cols]: [usize; 3],
    light: &[f64],
    cover: &[f64],
    seed: u64,
) {
    let shot = photo.shot.clone();
    let mut rng = Pcg64::seed_from_u64(shot.seed ^ (seed << 8));
    for (i, (light, cover)) in light.iter().zip(cover).enumerate() {
        if *cover <= 0.0 {
            continue;
        }
        let (x, y) = (left + i % cols, top + i / cols);
        let gain = FULL_SILVER
            * WHITE_OVER_SILVER
            * shot.exposure_ev.exp2()
            * lit(&shot, x as f64, y as f64);
        let pixel = photo.rgb8.get_pixel_mut(x as u32, y as u32);
        for (code, balance) in pixel.0.iter_mut().zip(shot.white_balance) {
            let paper = light * gain * balance;
            let z: f64 = rng.sample(StandardNormal);
            let noise = z * (shot.read_noise.powi(2) + paper / shot.full_well.max(1.0)).sqrt();
            *code = encoded(linear(*code) * (1.0 - cover) + paper + cover * noise);
        }
    }
}

/// The light at a place, against the middle of the frame: the same slope as the panel's.
fn lit(shot: &paneprint::synth::Shot, x: f64, y: f64) -> f64 {
    let (width, height) = (shot.width_px as f64, shot.height_px as f64);
    let (sin, cos) = shot.slope_direction_deg.to_radians().sin_cos();
    let across = cos.abs() * width + sin.abs() * height;
    1.0 + shot.slope * (cos * (x - width / 2.0) - sin * (y - height / 2.0)) / across
}

/// IEC 61966-2-1.
fn linear(code: u8) -> f64 {
    let v = f64::from(code) / 255.0;
    if v <= 0.04045 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    }
}

fn encoded(light: f64) -> u8 {
    let v = light.clamp(0.0, 1.0);
    let code = if v <= 0.003_130_8 {
        v * 12.92
    } else {
        1.055 * v.powf(1.0 / 2.4) - 0.055
    };
    (code * 255.0).round() as u8
}

/// Covers a circle of the photo with something grey: a thumb.
pub(super) fn cover(photo: &mut RgbImage, [x, y]: Point, radius_px: f64) {
    for (col, row, pixel) in photo.enumerate_pixels_mut() {
        if (f64::from(col) - x).hypot(f64::from(row) - y) < radius_px {
            pixel.0 = [150, 120, 105];
        }
    }
}
