//! What a panel looks like, place by place: texture statistics of its silver and of its colour.
//!
//! Means that agree do not make two finishes alike. At each place of about a hand's width (30 mm) stand the statistics that
//! make textures look alike: how strong the structure is at each scale and in each direction (mean amplitude of oriented second
//! derivatives), how sparse and how dark-on-light it is, and how the amplitudes of each scale vary on the coarser ones, along
//! their own direction and across it. They are the moduli and second-order moduli of Bruna & Mallat (IEEE PAMI 35 (2013)
//! 1872–1886), on a steered pyramid as in Portilla & Simoncelli (IJCV 40 (2000) 49–70). Colour has its own, and how it goes
//! with the silver. At standard sharpness, in millimetres, in the panel's own orientation; a half turn changes none of them.
//! Amplitudes enter by their logarithm over what nobody sees, so that a plain mirror has no texture.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths in pixels are small and positive; values are brought into the range of a step"
)]

mod place;
mod statistic;
mod summary;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::{CLEAR_FROM, DARK_BELOW};
use crate::frame::Plane;
use crate::ops::resize::{cut, resize};
use crate::ops::smooth::gaussian;
use crate::ops::steer::{DIRECTIONS, coarser, second_derivatives, second_derivatives_across};
use crate::ops::wide::{Loop, wide};
use crate::units::PlaceMm;
use place::Piece;
use statistic::{COLOUR_LEVELS, Kind, LEVELS, PAIRS, each};

pub use place::SIDE_MM;
pub use statistic::COUNT;
pub use summary::SUMMARY;

/// Amplitude of structure that nobody sees, silver level: a third of the one per cent that the eye sees between neighbours
/// (from memory, no source).
const UNSEEN: f64 = 0.003;

/// Structure weaker than this is left out, silver level: the one per cent that the eye sees between neighbours (from memory, no
/// source) at the finest scale, and half of it on each coarser one. The sensor's noise stays under it, whatever the distance.
const LEAST_SEEN: f32 = 0.01;

/// Share of it that counts among amplitudes of amplitudes, which are smaller.
const UNSEEN_OF_SECOND: f64 = 0.3;

/// The same in a* and b*: half of what is just seen side by side.
const UNSEEN_COLOUR: f64 = 0.5;

/// The scale of structure in silver on which colour's finest lies: cells of a millimetre.
const COLOUR_LEVEL: usize = 2;

/// A blur so little over a scale's own still shows the scale.
const NEARLY: f64 = 0.9;

/// The statistics of some places of a panel.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "written::Written", into = "written::Written")]
pub struct Texture {
    /// The finest scale that the photo shows: 0 for waves of 1.1 mm, 1 for 2.2 mm, and so on.
    finest: usize,
    /// Colour was seen.
    colour: bool,
    /// A row of statistics for each place, in the steps of their table.
    places: Vec<[i8; COUNT]>,
}

/// A statistic that two panels show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// Its number among all of them.
    pub number: usize,
    /// Standard deviation of what nobody sees of it.
    pub unseen: f64,
    /// The number of those that stand or fall together with it, where there are any.
    pub group: Option<usize>,
}

mod written {
    //! The form in a file: the rows one after the other, as text.

    use base64::Engine;
    use base64::engine::general_purpose::STANDARD_NO_PAD as TEXT;
    use serde::{Deserialize, Serialize};

    use super::{COUNT, Texture};

    #[derive(Serialize, Deserialize)]
    pub(super) struct Written {
        finest: usize,
        colour: bool,
        places: String,
    }

    impl From<Texture> for Written {
        fn from(texture: Texture) -> Self {
            let bytes: Vec<u8> = texture
                .places
                .iter()
                .flatten()
                .map(|v| v.cast_unsigned())
                .collect();
            Written {
                finest: texture.finest,
                colour: texture.colour,
                places: TEXT.encode(bytes),
            }
        }
    }

    impl TryFrom<Written> for Texture {
        type Error = String;

        fn try_from(written: Written) -> Result<Self, String> {
            let bytes = TEXT.decode(written.places).map_err(|e| e.to_string())?;
            let (places, rest) = bytes.as_chunks::<COUNT>();
            if !rest.is_empty() {
                return Err(format!("{} bytes are no rows of {COUNT}", bytes.len()));
            }
            Ok(Texture {
                finest: written.finest,
                colour: written.colour,
                places: places.iter().map(|row| row.map(u8::cast_signed)).collect(),
            })
        }
    }
}

impl Texture {
    /// The texture of a panel from its silver at standard sharpness and the a* and b* of what is left of it, where they are known.
    #[must_use]
    pub fn of(
        silver: &Plane,
        colour: Option<[&Plane; 2]>,
        px_per_mm: f64,
        blur_mm: f64,
        standard_mm: f64,
    ) -> Self {
        let scale = Scale::of(px_per_mm, blur_mm, standard_mm);
        let pieces = if scale.finest > COLOUR_LEVEL {
            Vec::new()
        } else {
            place::pieces(silver.dim(), px_per_mm)
        };
        let places: Vec<Vec<[i8; COUNT]>> = pieces
            .par_iter()
            .map(|piece| scale.statistics(silver, colour, piece))
            .collect();
        Texture {
            finest: scale.finest,
            colour: colour.is_some(),
            places: places.into_iter().flatten().collect(),
        }
    }

    /// The finest scale that the photo shows.
    #[must_use]
    pub fn finest(&self) -> usize {
        self.finest
    }

    /// Colour was seen.
    #[must_use]
    pub fn has_colour(&self) -> bool {
        self.colour
    }

    /// Where the places lie on a plane of so many rows and columns that they were read from, in their order.
    #[must_use]
    pub fn lie(dim: (usize, usize), px_per_mm: f64) -> Vec<PlaceMm> {
        let of_piece = |piece: Piece| {
            let at = |from: usize, len: usize, share: f64| {
                (from as f64 + share * len as f64) / px_per_mm
            };
            let mut all = Vec::new();
            for down in &piece.down {
                for across in &piece.across {
                    let top = at(piece.rows.start, piece.rows.len(), down.start);
                    let left = at(piece.cols.start, piece.cols.len(), across.start);
                    let bottom = at(piece.rows.start, piece.rows.len(), down.end);
                    let right = at(piece.cols.start, piece.cols.len(), across.end);
                    let side = (bottom - top).min(right - left);
                    all.push(PlaceMm { left, top, side });
                }
            }
            all
        };
        place::pieces(dim, px_per_mm)
            .into_iter()
            .flat_map(of_piece)
            .collect()
    }

    /// The means over all places, those of the directions drawn together, each in units of how far it usually differs from place
    /// to place: for a quick search. 0 where no places are known.
    #[must_use]
    pub fn summary(&self) -> [f64; SUMMARY] {
        let mut mean = [0.0; COUNT];
        for row in self.places() {
            mean.iter_mut().zip(row).for_each(|(sum, v)| *sum += v);
        }
        let places = self.places.len().max(1) as f64;
        let about = each().map(|(kind, _)| f64::from(kind.middle));
        mean.iter_mut()
            .zip(about)
            .for_each(|(sum, middle)| *sum = *sum / places - middle);
        if self.places.is_empty() {
            mean = [0.0; COUNT];
        }
        summary::of(&mean)
    }

    /// The statistics that both of two show.
    #[must_use]
    pub fn in_common(a: &Texture, b: &Texture) -> Vec<Shown> {
        let finest = a.finest.max(b.finest);
        let colour = a.colour && b.colour;
        let shown =
            |(kind, i): &(&Kind, usize)| (kind.level)(*i) >= finest && (colour || !kind.colour);
        let all = each().enumerate().filter(|(_, of)| shown(of));
        all.map(|(number, (kind, _))| Shown {
            number,
            unseen: f64::from(kind.unseen),
            group: statistic::group(number),
        })
        .collect()
    }

    /// Each place's statistics.
    pub fn places(&self) -> impl ExactSizeIterator<Item = [f64; COUNT]> {
        self.places.iter().map(|row| {
            let mut values = [0.0; COUNT];
            for ((value, kept), (kind, _)) in values.iter_mut().zip(row).zip(each()) {
                *value = f64::from(kind.middle) + f64::from(kind.step) * f64::from(*kept);
            }
            values
        })
    }
}

/// The grid on which structure is looked for.
struct Scale {
    /// The finest scale.
    finest: usize,
    /// Pixels of the panel's plane in one of the finest scale's.
    shrink: f64,
    /// Blur to be added before, pixels of the panel's plane.
    added_px: f64,
}

impl Scale {
    fn of(px_per_mm: f64, blur_mm: f64, standard_mm: f64) -> Self {
        // A scale's pixel is as wide as its blur.
        let width = |level: usize| standard_mm * 2_f64.powi(i32::try_from(level).unwrap_or(0));
        let shows = |level: &usize| width(*level) >= NEARLY * blur_mm.max(1.0 / px_per_mm);
        let finest = (0..LEVELS).find(shows).unwrap_or(LEVELS);
        let missing = (width(finest).powi(2) - blur_mm.powi(2)).max(0.0).sqrt();
        Scale {
            finest,
            shrink: width(finest) * px_per_mm,
            added_px: missing * px_per_mm,
        }
    }

    /// The statistics of a piece's places.
    fn statistics(
        &self,
        silver: &Plane,
        colour: Option<[&Plane; 2]>,
        piece: &Piece,
    ) -> Vec<[i8; COUNT]> {
        let mut plane = cut(silver, piece.rows.clone(), piece.cols.clone());
        if self.added_px * self.added_px > LEAST_ADDED_PX2 {
            plane = gaussian(&plane, self.added_px);
        }
        let px = |px: usize| ((px as f64 / self.shrink).round() as usize).max(2);
        let plane = resize(&plane, px(plane.nrows()), px(plane.ncols()));
        let mut found = vec![Found::default(); piece.down.len() * piece.across.len()];
        let mut planes = vec![plane];
        for level in self.finest..LEVELS {
            if level > self.finest {
                planes.push(coarser(&planes[level - self.finest - 1]));
            }
            of_level(&planes[level - self.finest], level, piece, &mut found);
        }
        if let Some(colour) = colour {
            let (rows, cols) = silver.dim();
            let of_piece = |plane: &Plane, to: (usize, usize)| {
                let part = |range: &std::ops::Range<usize>, whole: usize, n: usize| {
                    let at = |px: usize| (px as f64 / whole as f64 * n as f64).round() as usize;
                    at(range.start)..at(range.end).max(at(range.start) + 1).min(n)
                };
                let down = part(&piece.rows, rows, plane.nrows());
                let across = part(&piece.cols, cols, plane.ncols());
                resize(&cut(plane, down, across), to.0, to.1)
            };
            let first = COLOUR_LEVEL - self.finest;
            let mut ab = colour.map(|p| of_piece(p, planes[first].dim()));
            for level in 0..COLOUR_LEVELS {
                if level > 0 {
                    ab = ab.each_ref().map(coarser);
                }
                of_colour(&ab, &planes[first + level], level, piece, &mut found);
            }
        }
        found.iter().map(Found::row).collect()
    }
}

/// A blur under this is left away: the shrinking adds more.
const LEAST_ADDED_PX2: f64 = 0.15;

/// What was found at one place.
#[derive(Debug, Clone, Copy, Default)]
struct Found {
    mean: f64,
    clear: f64,
    dark: f64,
    bare: f64,
    spread: [f64; LEVELS],
    skewness: [f64; LEVELS],
    amplitude: [[f64; DIRECTIONS]; LEVELS],
    sparse: [f64; LEVELS],
    polarity: [f64; LEVELS],
    second: [[[f64; 2]; DIRECTIONS]; PAIRS.len()],
    tint: [f64; 2],
    tint_spread: [f64; 2],
    tint_amplitude: [[f64; COLOUR_LEVELS]; 2],
    with_silver: [[f64; COLOUR_LEVELS]; 2],
}

impl Found {
    /// In the order and the steps of the table.
    fn row(&self) -> [i8; COUNT] {
        let values = [self.mean, self.clear, self.dark, self.bare]
            .into_iter()
            .chain(self.spread)
            .chain(self.skewness)
            .chain(self.amplitude.into_iter().flatten())
            .chain(self.sparse)
            .chain(self.polarity)
            .chain(self.second.into_iter().flatten().flatten())
            .chain(self.tint)
            .chain(self.tint_spread)
            .chain(self.tint_amplitude.into_iter().flatten())
            .chain(self.with_silver.into_iter().flatten());
        let mut row = [0; COUNT];
        for ((kept, value), (kind, _)) in row.iter_mut().zip(values).zip(each()) {
            let steps = (value - f64::from(kind.middle)) / f64::from(kind.step);
            *kept = steps.round().clamp(-127.0, 127.0) as i8;
        }
        row
    }
}

/// Sums over the pixels of one place.
struct Sums<const N: usize>([f64; N]);

/// Pixels added side by side.
const LANES: usize = 8;

/// The sums of what is made of each pixel of some planes of one size, in these rows and columns.
struct Summing<'a, const M: usize, const N: usize, F> {
    planes: [&'a Plane; M],
    rows: std::ops::Range<usize>,
    cols: std::ops::Range<usize>,
    of: F,
}

impl<const M: usize, const N: usize, F: Fn([f32; M]) -> [f32; N]> Loop for Summing<'_, M, N, F> {
    type Output = Sums<N>;

    #[inline(always)]
    fn run(self) -> Sums<N> {
        let mut all = [0.0_f64; N];
        let width = self.cols.len();
        for r in self.rows {
            let lines = self.planes.map(|plane| {
                let from = r * plane.ncols() + self.cols.start;
                &plane.as_slice().unwrap_or(&[])[from..from + width]
            });
            let mut lanes = [[0.0_f32; LANES]; N];
            let whole = width / LANES * LANES;
            for i in (0..whole).step_by(LANES) {
                let few = lines.map(|line| &line[i..i + LANES]);
                for k in 0..LANES {
                    let of = (self.of)(few.map(|few| few[k]));
                    for n in 0..N {
                        lanes[n][k] += of[n];
                    }
                }
            }
            for i in whole..width {
                let of = (self.of)(lines.map(|line| line[i]));
                for n in 0..N {
                    lanes[n][i - whole] += of[n];
                }
            }
            for n in 0..N {
                all[n] += lanes[n].iter().map(|v| f64::from(*v)).sum::<f64>();
            }
        }
        Sums(all)
    }
}

/// For each place of a piece the means of what is made of each pixel.
fn means<const M: usize, const N: usize>(
    planes: [&Plane; M],
    piece: &Piece,
    of: impl Fn([f32; M]) -> [f32; N] + Copy,
) -> Vec<[f64; N]> {
    let (rows, cols) = planes[0].dim();
    let down = Piece::pixels(&piece.down, rows);
    let across = Piece::pixels(&piece.across, cols);
    let mut all = Vec::with_capacity(down.len() * across.len());
    for rows in &down {
        for cols in &across {
            let (rows, cols) = (rows.clone(), cols.clone());
            let pixels = (rows.len() * cols.len()).max(1) as f64;
            let sums = wide(Summing {
                planes,
                rows,
                cols,
                of,
            });
            all.push(sums.0.map(|sum| sum / pixels));
        }
    }
    all
}

/// Notes the statistics of one scale of the silver.
fn of_level(plane: &Plane, level: usize, piece: &Piece, found: &mut [Found]) {
    let least = LEAST_SEEN / (1 << level) as f32;
    let seen = move |v: f32| (v.abs() - least).max(0.0);
    let [a, b, c, d] = second_derivatives(plane);
    let of_silver = means([plane, &a, &b, &c, &d], piece, |[s, a, b, c, d]| {
        let about = s - MIDDLE;
        let both = a + c;
        [
            about,
            about * about,
            about * about * about,
            seen(a),
            seen(b),
            seen(c),
            seen(d),
            [a, b, c, d]
                .into_iter()
                .fold(0.0, |sum, v| sum + seen(v) * seen(v)),
            both * both,
            both * both * both,
        ]
    });
    for (found, m) in found.iter_mut().zip(&of_silver) {
        found.mean = f64::from(MIDDLE) + m[0];
        let variance = (m[1] - m[0] * m[0]).max(0.0);
        let third = m[2] - 3.0 * m[0] * m[1] + 2.0 * m[0].powi(3);
        found.spread[level] = 0.5 * (variance + UNSEEN * UNSEEN).ln();
        found.skewness[level] = (third / (variance + (3.0 * UNSEEN).powi(2)).powf(1.5)).asinh();
        let amplitude = [m[3], m[4], m[5], m[6]];
        found.amplitude[level] = amplitude.map(|a| (a + UNSEEN).ln());
        let mean = amplitude.iter().sum::<f64>() / DIRECTIONS as f64;
        let square = m[7] / DIRECTIONS as f64;
        found.sparse[level] = (square + UNSEEN * UNSEEN).ln() - 2.0 * (mean + UNSEEN).ln();
        found.polarity[level] = (m[9] / (m[8] + 4.0 * UNSEEN * UNSEEN).powf(1.5)).asinh();
    }
    if level == 0 {
        let shares = means([plane], piece, |[s]| {
            [s >= CLEAR, s < DARK, s < BARE].map(|is| f32::from(u8::from(is)))
        });
        for (found, [clear, dark, bare]) in found.iter_mut().zip(shares) {
            (found.clear, found.dark, found.bare) = (clear, dark, bare);
        }
    }
    let seconds: Vec<Vec<Vec<[f64; 2]>>> = [a, b, c, d]
        .into_par_iter()
        .enumerate()
        .map(|(own, mut amplitude)| {
            amplitude.mapv_inplace(seen);
            let mut coarse = amplitude;
            (level + 1..LEVELS)
                .map(|_| {
                    coarse = coarser(&coarse);
                    let across = (own + DIRECTIONS / 2) % DIRECTIONS;
                    let of = second_derivatives_across(&coarse, [own, across]);
                    means(of.each_ref(), piece, |v| v.map(f32::abs))
                })
                .collect()
        })
        .collect();
    for (direction, of_direction) in seconds.iter().enumerate() {
        for (coarser, of_pair) in (level + 1..LEVELS).zip(of_direction) {
            let pair = PAIRS
                .iter()
                .position(|p| *p == (level, coarser))
                .unwrap_or(0);
            for (found, second) in found.iter_mut().zip(of_pair) {
                let first = found.amplitude[level][direction];
                found.second[pair][direction] =
                    second.map(|s| (s + UNSEEN_OF_SECOND * UNSEEN).ln() - first);
            }
        }
    }
}

/// Silver levels are summed about this one, so that f32 keeps their digits.
const MIDDLE: f32 = 0.75;
const CLEAR: f32 = CLEAR_FROM as f32;
const DARK: f32 = DARK_BELOW as f32;
/// Under half of that a place is bare, and not veiled or cloudy.
const BARE: f32 = DARK / 2.0;

/// Notes the statistics of one scale of the colour.
fn of_colour(ab: &[Plane; 2], silver: &Plane, level: usize, piece: &Piece, found: &mut [Found]) {
    let laplacian = |plane: &Plane| {
        let [across, down] = second_derivatives_across(plane, [0, 2]);
        across + down
    };
    let of_silver = laplacian(silver);
    for (i, plane) in ab.iter().enumerate() {
        let bent = laplacian(plane);
        let m = means([plane, &bent, &of_silver], piece, |[v, c, s]| {
            [v, c.abs(), c * c, s * s, c * s, v * v]
        });
        for (found, m) in found.iter_mut().zip(&m) {
            if level == 0 {
                found.tint[i] = m[0];
                let variance = (m[5] - m[0] * m[0]).max(0.0);
                found.tint_spread[i] = (variance.sqrt() + UNSEEN_COLOUR).ln();
            }
            found.tint_amplitude[i][level] = (m[1] + UNSEEN_COLOUR).ln();
            let spreads = (m[2] + UNSEEN_COLOUR.powi(2)) * (m[3] + (3.0 * UNSEEN).powi(2));
            found.with_silver[i][level] = m[4] / spreads.sqrt();
        }
    }
}
