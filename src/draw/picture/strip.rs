//! The strip of words below the panel: what each sign means and how much there is of it.

use image::RgbImage;

use super::classes::Class;
use super::symbols::{self, PLATE_PX, SWATCH_PX};
use super::{MARGIN_PX, ink};
use crate::fingerprint::metric::{
    CLEAR_FRACTION, DARK_FRACTION, Metric, SPECKLE_DIAMETER_MEDIAN, VEIL_FRACTION,
};
use crate::measure::{Measured, Measurements};
use crate::words::strip as words;

/// Between a sign and its words, and between a row and the next, pixels.
const GAP_PX: i32 = 16;

/// Between the words and the next sign, pixels.
const BETWEEN_PX: i32 = 44;

/// A sign with its words.
struct Item {
    sign: Sign,
    words: String,
}

enum Sign {
    Swatch(Class),
    Ring { cut: bool },
    Bar { length_px: i32 },
}

impl Item {
    fn sign_width_px(&self) -> i32 {
        match self.sign {
            Sign::Bar { length_px } => length_px,
            Sign::Swatch(_) | Sign::Ring { .. } => SWATCH_PX.0,
        }
    }

    fn width_px(&self) -> i32 {
        self.sign_width_px() + GAP_PX + ink::text_width_px(&self.words)
    }

    fn draw(&self, strip: &mut RgbImage, x: i32, y: i32) {
        match self.sign {
            Sign::Swatch(class) => symbols::swatch(strip, x, y, class),
            Sign::Ring { cut } => symbols::ring(strip, x, y, cut),
            Sign::Bar { length_px } => symbols::bar(strip, x, y, length_px),
        }
        let line = y + (SWATCH_PX.1 - ink::LINE_PX) / 2;
        ink::write(strip, x + self.sign_width_px() + GAP_PX, line, &self.words);
    }
}

/// The strip, `width` pixels wide and as high as its words need.
pub(super) fn draw(measured: &Measured, picture_px_per_mm: f64, width: u32) -> RgbImage {
    let streaks = Streaks::of(&measured.numbers);
    let right = width as i32 - streaks.width_px();
    let items = items(measured, picture_px_per_mm);
    let (places, flow_height) = flow(&items, right - MARGIN_PX);
    let height = flow_height.max(streaks.height_px());
    let mut strip = RgbImage::from_pixel(width, height as u32, ink::PAPER);
    for (item, (x, y)) in items.iter().zip(places) {
        item.draw(&mut strip, x, y);
    }
    streaks.draw(&mut strip, right);
    strip
}

/// Places items in rows no wider than `width_px`; the places and the height used.
fn flow(items: &[Item], width_px: i32) -> (Vec<(i32, i32)>, i32) {
    let (mut x, mut y) = (0, 0);
    let places = items
        .iter()
        .map(|item| {
            if x > 0 && x + item.width_px() > width_px {
                (x, y) = (0, y + SWATCH_PX.1 + GAP_PX);
            }
            let place = (x, y);
            x += item.width_px() + BETWEEN_PX;
            place
        })
        .collect();
    (places, y + SWATCH_PX.1)
}

fn items(measured: &Measured, picture_px_per_mm: f64) -> Vec<Item> {
    let numbers = &measured.numbers;
    let class = |class, name, row: &Metric| Item {
        sign: Sign::Swatch(class),
        words: format!("{name} {}", percent(row, numbers)),
    };
    let counted = measured.speckles.iter().filter(|s| s.counted).count();
    let (bar_mm, bar_px) = symbols::bar_length(picture_px_per_mm);
    let mut items = vec![
        class(Class::Clear, words::CLEAR, &CLEAR_FRACTION),
        class(Class::Veil, words::VEIL, &VEIL_FRACTION),
        class(Class::Dark, words::DARK, &DARK_FRACTION),
        Item {
            sign: Sign::Ring { cut: false },
            words: speckles(counted, numbers),
        },
    ];
    if counted < measured.speckles.len() {
        items.push(Item {
            sign: Sign::Ring { cut: true },
            words: words::CUT.to_owned(),
        });
    }
    items.push(Item {
        sign: Sign::Bar {
            length_px: bar_px.round() as i32,
        },
        words: format!("{bar_mm} mm"),
    });
    items
}

/// A share of the area in per cent, as finely as the metric table shows it.
fn percent(row: &Metric, numbers: &Measurements) -> String {
    let Some((share, decimals)) = figure(row, numbers) else {
        return words::NOT_KNOWN.to_owned();
    };
    format!("{:.*} %", decimals.saturating_sub(2), 100.0 * share)
}

fn speckles(counted: usize, numbers: &Measurements) -> String {
    let median = figure(&SPECKLE_DIAMETER_MEDIAN, numbers)
        .map(|(median, decimals)| format!("{median:.decimals$}"));
    words::speckles(counted, median.as_deref())
}

/// A measure's value and the decimals it is shown with.
fn figure(row: &Metric, numbers: &Measurements) -> Option<(f64, usize)> {
    let value = row.of(numbers).ok()?.value;
    Some((value, row.decimals))
}

/// The corner that says which way the streaks run.
struct Streaks {
    degrees: Option<f64>,
    words: Vec<String>,
}

impl Streaks {
    fn of(numbers: &Measurements) -> Self {
        let degrees = numbers.streak_angle.ok().map(|angle| angle.value);
        Streaks {
            degrees,
            words: words::streaks(degrees),
        }
    }

    fn width_px(&self) -> i32 {
        let words = self.words.iter().map(|line| ink::text_width_px(line));
        words.fold(PLATE_PX, i32::max)
    }

    /// Where the words begin, pixels from the top: below the plate, or level with the first row.
    fn words_top_px(&self) -> i32 {
        match self.degrees {
            Some(_) => PLATE_PX + GAP_PX / 2,
            None => (SWATCH_PX.1 - ink::LINE_PX) / 2,
        }
    }

    fn height_px(&self) -> i32 {
        self.words_top_px() + self.words.len() as i32 * ink::LINE_PX
    }

    fn draw(&self, strip: &mut RgbImage, left: i32) {
        let centred = |inner: i32| left + (self.width_px() - inner) / 2;
        if let Some(degrees) = self.degrees {
            symbols::arrow_plate(strip, centred(PLATE_PX), 0, degrees);
        }
        for (line, words) in (0..).zip(&self.words) {
            let top = self.words_top_px() + line * ink::LINE_PX;
            ink::write(strip, centred(ink::text_width_px(words)), top, words);
        }
    }
}
