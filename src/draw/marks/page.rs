//! A printed page: black on white, in millimetres from its top left corner, right and down.

use crate::frame::quad::Point;

/// Paper to print on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// ISO 216 A4.
    #[default]
    A4,
    /// US Letter, 8.5 by 11 in.
    Letter,
}

impl Paper {
    /// Width and height, mm.
    #[must_use]
    pub fn size_mm(self) -> [f64; 2] {
        match self {
            Paper::A4 => [210.0, 297.0],
            Paper::Letter => [215.9, 279.4],
        }
    }

    /// Its name in file names and answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Paper::A4 => "a4",
            Paper::Letter => "letter",
        }
    }
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Black rectangles, left, top, width, height: one path, so that neighbours leave no seam.
    Fill(Vec<[f64; 4]>),
    /// A black polygon.
    Polygon(Vec<Point>),
    /// Lines joined end to end.
    Line {
        /// The ends.
        points: Vec<Point>,
        /// Thickness, mm.
        width: f64,
    },
    /// Words in Helvetica.
    Text {
        /// Left end of the base line.
        at: Point,
        /// Size of the letters, mm.
        size: f64,
        /// In bold.
        bold: bool,
        /// The words, in ASCII.
        text: String,
    },
}

/// One page.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// What it is printed on.
    pub paper: Paper,
    /// Its title.
    pub title: String,
    /// What is drawn, in order.
    pub shapes: Vec<Shape>,
}

impl Page {
    pub(super) fn line(&mut self, points: &[Point], width: f64) {
        let points = points.to_vec();
        self.shapes.push(Shape::Line { points, width });
    }

    pub(super) fn outline(&mut self, [x, y]: Point, [width, height]: [f64; 2], line: f64) {
        let (right, bottom) = (x + width, y + height);
        self.line(
            &[[x, y], [right, y], [right, bottom], [x, bottom], [x, y]],
            line,
        );
    }

    pub(super) fn text(&mut self, at: Point, size: f64, bold: bool, text: &str) {
        let text = text.to_owned();
        self.shapes.push(Shape::Text {
            at,
            size,
            bold,
            text,
        });
    }

    /// Lines of words, one below the other; the base line of the first is at `at`.
    pub(super) fn words(&mut self, [x, y]: Point, size: f64, bold: bool, lines: &[&str]) {
        for (i, line) in lines.iter().enumerate() {
            self.text([x, y + i as f64 * size * LEADING], size, bold, line);
        }
    }
}

/// From base line to base line, sizes of the letters.
pub(super) const LEADING: f64 = 1.32;
