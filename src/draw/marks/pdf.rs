//! A page as PDF, to scale, in the fonts every reader has.

use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str};

use super::page::{Page, Shape};

/// Points in a millimetre: an inch is 72 points.
const PT_PER_MM: f64 = 72.0 / 25.4;

const REGULAR: Name = Name(b"F1");
const BOLD: Name = Name(b"F2");

/// The page as a PDF file of one page.
#[must_use]
pub fn pdf(page: &Page) -> Vec<u8> {
    let [catalog, pages, leaf, regular, bold, content] = [1, 2, 3, 4, 5, 6].map(Ref::new);
    let [width, height] = page.paper.size_mm().map(pt);
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(pages);
    pdf.pages(pages).kids([leaf]).count(1);
    let mut one = pdf.page(leaf);
    one.media_box(Rect::new(0.0, 0.0, width, height))
        .parent(pages)
        .contents(content);
    one.resources()
        .fonts()
        .pair(REGULAR, regular)
        .pair(BOLD, bold);
    one.finish();
    pdf.type1_font(regular).base_font(Name(b"Helvetica"));
    pdf.type1_font(bold).base_font(Name(b"Helvetica-Bold"));
    pdf.stream(content, &drawn(page));
    pdf.finish()
}

/// Millimetres in points, in whole hundredths.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a page is a few hundred points wide, and a hundredth of one is 4 micrometres"
)]
fn pt(mm: f64) -> f32 {
    ((mm * PT_PER_MM * 100.0).round() / 100.0) as f32
}

/// What is drawn, in points from the bottom left.
fn drawn(page: &Page) -> Vec<u8> {
    let height = page.paper.size_mm()[1];
    let at = |[x, y]: [f64; 2]| (pt(x), pt(height - y));
    let mut content = Content::new();
    let along = |content: &mut Content, points: &[[f64; 2]]| {
        for (i, point) in points.iter().enumerate() {
            let (x, y) = at(*point);
            if i == 0 {
                content.move_to(x, y);
            } else {
                content.line_to(x, y);
            }
        }
    };
    for shape in &page.shapes {
        match shape {
            Shape::Fill(rectangles) => {
                for [x, y, w, h] in rectangles {
                    let ((left, bottom), (right, top)) = (at([*x, y + h]), at([x + w, *y]));
                    content.rect(left, bottom, right - left, top - bottom);
                }
                content.fill_nonzero();
            }
            Shape::Polygon(points) => {
                along(&mut content, points);
                content.close_path().fill_nonzero();
            }
            Shape::Line { points, width } => {
                content.set_line_width(pt(*width));
                along(&mut content, points);
                content.stroke();
            }
            Shape::Text {
                at: place,
                size,
                bold,
                text,
            } => {
                let (x, y) = at(*place);
                content
                    .begin_text()
                    .set_font(if *bold { BOLD } else { REGULAR }, pt(*size))
                    .next_line(x, y)
                    .show(Str(text.as_bytes()))
                    .end_text();
            }
        }
    }
    content.finish().into_vec()
}
