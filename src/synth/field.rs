//! Painting a finish.

use super::area::Area;
use super::arranged::Places;
use super::finish::{Clouds, Finish};
use super::ridges::Lines;
use super::smooth::{Noise, by_rows, window};
use super::speckles::{blots, speckles};
use super::stream::{Part, stream};
use super::tone::silver_colour;
use crate::frame::Plane;
use crate::units::SizeMm;

/// How far a finish is painted past the cut edges of the glass, mm.
pub const MARGIN_MM: f64 = 10.0;

/// Standard deviation of the loss of clouds, as a share of their mean loss.
const CLOUD_CONTRAST: f64 = 0.45;

/// A painted panel, as it hangs, seen from the front, with the finish going on past the cut.
#[derive(Debug, Clone)]
pub struct Painted {
    /// Silver level 0 to 1, margin included.
    pub silver: Plane,
    /// Silver level before speckles and blots, margin included.
    pub base: Plane,
    /// How strong the patina is, 0 none to 1 full, margin included; where there is any.
    pub patina: Option<Plane>,
    /// Width of the margin on every side, pixels.
    pub margin_px: usize,
    /// Pixels in a millimetre.
    pub px_per_mm: f64,
    /// Size of the glass.
    pub size: SizeMm,
    /// What was asked for.
    pub finish: Finish,
    pub(super) lines: Option<Lines>,
}

impl Painted {
    /// Rows of the glass itself.
    #[must_use]
    pub fn rows(&self) -> std::ops::Range<usize> {
        let n = (self.size.height * self.px_per_mm).round() as usize;
        self.margin_px..self.margin_px + n
    }

    /// Columns of the glass itself.
    #[must_use]
    pub fn cols(&self) -> std::ops::Range<usize> {
        let n = (self.size.width * self.px_per_mm).round() as usize;
        self.margin_px..self.margin_px + n
    }

    /// Red, green and blue of silver without patina and under full patina, for each unit of its luminance.
    pub(super) fn colours(&self) -> [[f64; 3]; 2] {
        let plain = silver_colour(self.finish.warmth);
        let patina = (self.finish.patina).map(|patina| patina.colour(self.finish.veil));
        [plain, patina.unwrap_or(plain)]
    }

    /// The silver level of the glass itself.
    #[must_use]
    pub fn cut(&self) -> ndarray::ArrayView2<'_, f32> {
        window(self.silver.view(), self.rows(), self.cols())
    }
}

impl Finish {
    /// Paints the finish on a panel of this size. 20 px/mm suits a sample, 8 px/mm a large panel.
    ///
    /// The layout is drawn in millimetres: the same finish at another `px_per_mm` is the same panel, coarser or finer.
    #[must_use]
    pub fn paint(&self, size: SizeMm, px_per_mm: f64) -> Painted {
        let margin_px = (MARGIN_MM * px_per_mm).ceil() as usize;
        let pixels = |mm: f64| (mm * px_per_mm).round() as usize + 2 * margin_px;
        let (rows, cols) = (pixels(size.height), pixels(size.width));
        // Fixed in millimetres, whatever the pixels; a little over so that the outermost pixel is inside.
        let area = Area {
            from_mm: [-MARGIN_MM - 1.0; 2],
            extent_mm: [size.width, size.height].map(|mm| mm + 2.0 * MARGIN_MM + 2.0),
        };
        let mm = |pixel: usize| (pixel as f64 + 0.5 - margin_px as f64) / px_per_mm;
        let xs_mm: Vec<f64> = (0..cols).map(mm).collect();

        let clouds = self.clouds.as_ref().map(|clouds| {
            let noise = Noise::new(
                &mut stream(self.seed, Part::Clouds, 0),
                clouds.scale_mm / 2.0,
                area.from_mm,
                area.extent_mm,
            );
            let columns = noise.columns(&xs_mm);
            (clouds, noise, columns)
        });
        let lines = self.ridges.as_ref().map(|ridges| {
            let lines = Lines::new(ridges, self.winding.as_ref(), self.seed, area);
            let columns = lines.columns(&xs_mm);
            (lines, columns)
        });
        let base = by_rows(rows, cols, |r, row| {
            let y_mm = mm(r);
            row.fill((1.0 - self.veil) as f32);
            if let Some((clouds, noise, columns)) = &clouds {
                clouds.apply(&noise.row(y_mm, columns), row);
            }
            if let Some((lines, columns)) = &lines {
                lines.apply(y_mm, &xs_mm, columns, row);
            }
            if let Some(edge) = &self.edge_loss {
                for (s, x_mm) in row.iter_mut().zip(&xs_mm) {
                    *s *= 1.0 - edge.at(size, *x_mm, y_mm) as f32;
                }
            }
            if let Some(lopsided) = &self.lopsided {
                for (s, x_mm) in row.iter_mut().zip(&xs_mm) {
                    *s *= 1.0 - lopsided.at(size, *x_mm, y_mm) as f32;
                }
            }
        });

        let mut silver = base.clone();
        let places = Places {
            area,
            size,
            lines: lines.as_ref().map(|(lines, _)| lines),
        };
        let small = self
            .speckles
            .iter()
            .flat_map(|of| speckles(of, &self.speck_shape, self.seed, &places));
        let large = self.blots.iter().flat_map(|of| blots(of, self.seed, area));
        for spot in small.chain(large) {
            spot.lay(&mut silver, px_per_mm, margin_px);
        }
        let patina = self.patina.as_ref().map(|patina| {
            let spots = || {
                ndarray::Zip::from(&silver)
                    .and(&base)
                    .map_collect(|s, b| *s < 0.5 * b)
            };
            patina.strength(self.seed, area, (rows, cols), mm, px_per_mm, spots)
        });
        if let Some(marks) = &self.marks {
            marks.lay(&mut silver, self.seed, size, area, (px_per_mm, margin_px));
        }
        Painted {
            silver,
            base,
            patina,
            margin_px,
            px_per_mm,
            size,
            finish: self.clone(),
            lines: lines.map(|(lines, _)| lines),
        }
    }
}

impl Clouds {
    /// Multiplies a row of silver by what the clouds leave of it.
    fn apply(&self, noise: &[f32], silver: &mut [f32]) {
        let contrast = CLOUD_CONTRAST * ((1.0 - self.depth) / self.depth.max(1e-9)).min(1.0);
        let (mean, sd) = (self.depth as f32, (self.depth * contrast) as f32);
        for (s, n) in silver.iter_mut().zip(noise) {
            *s *= 1.0 - (mean + sd * n).clamp(0.0, 1.0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::synth::finish::{Arrangement, Speckles};

    const SAMPLE: SizeMm = SizeMm {
        width: 60.0,
        height: 40.0,
    };

    fn clouded() -> Finish {
        Finish {
            clouds: Some(Clouds {
                depth: 0.3,
                scale_mm: 8.0,
            }),
            ..Finish::seeded(3)
        }
    }

    #[test]
    fn the_same_seed_paints_the_same_panel_and_another_seed_another() {
        let a = clouded().paint(SAMPLE, 6.0);
        assert_eq!(a.silver, clouded().paint(SAMPLE, 6.0).silver);
        let other = Finish {
            seed: 4,
            ..clouded()
        };
        assert_ne!(a.silver, other.paint(SAMPLE, 6.0).silver);
    }

    #[test]
    fn speckles_do_not_move_the_clouds() {
        let speckled = Finish {
            speckles: Some(Speckles {
                per_cm2: 5.0,
                diameter_median_mm: 0.8,
                spread: 0.3,
                arrangement: Arrangement::Spaced,
                floor: 0.0,
            }),
            ..clouded()
        };
        let panel = speckled.paint(SAMPLE, 6.0);
        assert_eq!(panel.base, clouded().paint(SAMPLE, 6.0).base);
        assert_ne!(panel.base, panel.silver);
    }

    #[test]
    fn a_coarser_painting_is_the_same_panel() {
        let (fine, coarse) = (clouded().paint(SAMPLE, 12.0), clouded().paint(SAMPLE, 6.0));
        // The four fine pixels of a coarse one.
        let four = window(fine.cut(), 20..22, 30..32).sum() / 4.0;
        assert!((four - coarse.cut()[[10, 15]]).abs() < 1e-3);
    }
}
