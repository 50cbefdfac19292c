//! The printed sheet: four corner marks to cut out, a place for a grey card, a ruler to verify the print, and the words
//! that go with them.

mod page;
mod pdf;
mod svg;

use qrcode::{Color, EcLevel, QrCode, Version};

use crate::frame::mark::{
    BAR, CODE, CODE_MODULES, Corner, FRAME, FRAME_END, Mark, MarkSize, NOTCH, PAPER,
};
use crate::frame::quad::Point;
use crate::words::marks;

pub use page::{Page, Paper, Shape};
pub use pdf::pdf;
pub use svg::svg;

/// White that most printers leave at the edge, mm; nothing is drawn in it.
const MARGIN: f64 = 9.0;
/// Between two marks, mm.
const GAP: f64 = 3.0;
/// Where the marks may begin, below the title, mm.
const TOP: f64 = MARGIN + 7.5;
/// Side of the square for the grey card, mm.
const CARD: f64 = 60.0;
/// Height of the ruler with its figures, mm.
const RULER: f64 = 12.0;
/// Length of the ruler, mm.
const RULER_MM: u32 = 150;
/// Length of the ruler in inches, on Letter.
const RULER_IN: u32 = 6;
const MM_PER_INCH: f64 = 25.4;
/// Lines to cut along, and the ruler's, mm.
const THIN: f64 = 0.15;
/// Ordinary words, mm.
const WORDS: f64 = 3.0;

/// The sheet of marks of one size.
#[must_use]
pub fn sheet(paper: Paper, size: MarkSize) -> Page {
    let mut page = Page {
        paper,
        title: marks::title(size.frame_mm()),
        shapes: Vec::new(),
    };
    let [_, height] = paper.size_mm();
    let title = page.title.clone();
    page.text([MARGIN, MARGIN + 4.0], 5.0, true, &title);
    let serves = format!(
        "for panels up to {} mm on a photo of 12 megapixels",
        size.serves_mm()
    );
    page.text([MARGIN + 92.0, MARGIN + 4.0], WORDS, false, &serves);
    for corner in Corner::ALL {
        mark(
            &mut page,
            Mark { corner, size },
            notch_at(paper, size, corner),
        );
    }
    let bottom = height - MARGIN;
    let card = bottom - RULER - CARD;
    page.outline([MARGIN, card], [CARD, CARD], THIN * 2.0);
    page.words(
        [MARGIN + 6.0, card + CARD / 2.0 - 3.0],
        4.2,
        true,
        &marks::CARD_HERE,
    );
    let beside = MARGIN + CARD + 4.0;
    page.words([beside, card + 3.4], 4.0, true, &marks::SHORT);
    page.words([beside, card + 14.0], WORDS, false, &marks::STEPS);
    page.words([beside, card + 55.0], WORDS, true, &marks::CAUTION);
    ruler(&mut page, [MARGIN, bottom - RULER + 6.5]);
    page
}

/// Where the inner corner of a mark's notch lies on the sheet, mm.
#[must_use]
pub fn notch_at(paper: Paper, size: MarkSize, corner: Corner) -> Point {
    let [width, height] = paper.size_mm();
    let bottom = height - MARGIN - RULER - CARD;
    let middle = [width / 2.0, f64::midpoint(TOP, bottom)];
    let off = NOTCH * size.module_mm() + GAP / 2.0;
    let toward = corner.turned([-off, -off]);
    [middle[0] + toward[0], middle[1] + toward[1]]
}

/// A mark with the lines to cut along and the corner it is for.
fn mark(page: &mut Page, mark: Mark, [x, y]: Point) {
    let module = mark.size.module_mm();
    let place = |p: Point| {
        let [dx, dy] = mark.corner.turned(p);
        [x + dx * module, y + dy * module]
    };
    let rectangle = |left: f64, top: f64, width: f64, height: f64| {
        let ([ax, ay], [bx, by]) = (place([left, top]), place([left + width, top + height]));
        [ax.min(bx), ay.min(by), (ax - bx).abs(), (ay - by).abs()]
    };
    let cut = [
        [PAPER, PAPER],
        [NOTCH, PAPER],
        [NOTCH, 0.0],
        [0.0, 0.0],
        [0.0, NOTCH],
        [PAPER, NOTCH],
        [PAPER, PAPER],
    ];
    page.line(&cut.map(place), THIN);
    let side = FRAME_END - FRAME;
    let inner = side - 2.0 * BAR;
    let mut black = vec![
        rectangle(FRAME, FRAME, side, BAR),
        rectangle(FRAME, FRAME_END - BAR, side, BAR),
        rectangle(FRAME, FRAME + BAR, BAR, inner),
        rectangle(FRAME_END - BAR, FRAME + BAR, BAR, inner),
    ];
    for ([row, from], length) in dark_runs(mark) {
        black.push(rectangle(CODE + from, CODE + row, length, 1.0));
    }
    page.shapes.push(Shape::Fill(black));
    named(page, mark, [x, y]);
}

/// The dark dots of a mark's code as runs: row and first column, then how many.
fn dark_runs(mark: Mark) -> Vec<([f64; 2], f64)> {
    let code = QrCode::with_version(mark.code(), Version::Normal(1), EcLevel::Q);
    // The codes are few and fixed, and a test encodes every one of them.
    let dots = code.map(QrCode::into_colors).unwrap_or_default();
    let mut runs = Vec::new();
    for (row, line) in dots.chunks(CODE_MODULES).enumerate() {
        let mut from = 0;
        for run in line.chunk_by(|a, b| a == b) {
            if run[0] == Color::Dark {
                runs.push(([row as f64, from as f64], run.len() as f64));
            }
            from += run.len();
        }
    }
    runs
}

/// The words and the arrow on the paper beside the frame.
fn named(page: &mut Page, mark: Mark, [x, y]: Point) {
    let module = mark.size.module_mm();
    let toward = mark.corner.turned([-1.0, -1.0]);
    let (away, out) = (-toward[0], toward[1]);
    let at = |right: f64, up: f64| [x + away * right * module, y + out * up * module];
    // The arrow runs along the paper beside the frame and points at the inner corner.
    let (tip, tail) = (at(0.7, 1.4), at(4.6, 9.2));
    page.line(&[tail, at(1.7, 3.4)], 0.3 * module);
    page.shapes
        .push(Shape::Polygon(vec![tip, at(1.3, 4.6), at(3.3, 3.6)]));
    let left = if away > 0.0 { 0.8 } else { 7.2 };
    let line = |page: &mut Page, up: f64, size: f64, text: &str| {
        page.text(at(left, up), size * module, true, text);
    };
    let words = mark.corner.words().to_uppercase();
    let (first, second) = words.split_once(' ').unwrap_or_default();
    // Up the sheet is away from the panel at the top and towards it at the bottom.
    let rows = if out < 0.0 {
        [19.0, 16.6, 14.6]
    } else {
        [14.0, 16.4, 18.4]
    };
    line(page, rows[0], 4.0, mark.corner.letters());
    line(page, rows[1], 1.4, first);
    line(page, rows[2], 1.4, second);
}

/// A ruler from `at`, millimetres above the line and, on Letter, inches below it.
fn ruler(page: &mut Page, at: Point) {
    let [x, y] = at;
    page.line(&[at, [x + f64::from(RULER_MM), y]], THIN * 2.0);
    for mm in 0..=RULER_MM {
        let tick = match mm {
            m if m % 10 == 0 => 3.0,
            m if m % 5 == 0 => 2.2,
            _ => 1.4,
        };
        let here = x + f64::from(mm);
        page.line(&[[here, y], [here, y - tick]], THIN);
        if mm % 10 == 0 {
            page.text([here + 0.4, y - 3.2], 2.4, false, &(mm / 10).to_string());
        }
    }
    let mut said = vec![marks::RULER_MM];
    if page.paper == Paper::Letter {
        let end = x + f64::from(RULER_IN) * MM_PER_INCH;
        page.line(&[[x + f64::from(RULER_MM), y], [end, y]], THIN * 2.0);
        for eighth in 0..=8 * RULER_IN {
            let tick = if eighth % 8 == 0 { 3.0 } else { 1.4 };
            let here = x + f64::from(eighth) * MM_PER_INCH / 8.0;
            page.line(&[[here, y], [here, y + tick]], THIN);
            if eighth % 8 == 0 {
                page.text([here + 0.4, y + 5.0], 2.4, false, &(eighth / 8).to_string());
            }
        }
        said[0] = marks::RULER_IN;
    }
    said.push(marks::RULER_OFF);
    page.words([x + 155.5, y - 1.5], 2.4, true, &said);
}
