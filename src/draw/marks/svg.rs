//! A page as SVG, to scale: user units are millimetres.

use svg::Document;
use svg::node::element::path::Data;
use svg::node::element::{Element, Path, Rectangle, Text, Title};

use super::page::{Page, Shape};

/// The page as an SVG file.
#[must_use]
pub fn svg(page: &Page) -> String {
    let [width, height] = page.paper.size_mm();
    let paper = Rectangle::new()
        .set("width", width)
        .set("height", height)
        .set("fill", "white");
    let mut document = Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", (0, 0, width, height))
        .set("font-family", "Helvetica, Arial, sans-serif")
        .add(Title::new(page.title.as_str()))
        .add(paper);
    for shape in &page.shapes {
        document = document.add(element(shape));
    }
    format!("{document}\n")
}

/// Millimetres as written: whole micrometres.
fn mm(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

fn along(points: &[[f64; 2]]) -> Data {
    let mut points = points.iter().map(|p| p.map(mm));
    let first = points.next().unwrap_or_default();
    points.fold(Data::new().move_to((first[0], first[1])), |d, [x, y]| {
        d.line_to((x, y))
    })
}

fn element(shape: &Shape) -> Element {
    match shape {
        Shape::Fill(rectangles) => {
            let data = rectangles.iter().fold(Data::new(), |data, r| {
                let [x, y, w, h] = *r;
                data.move_to((mm(x), mm(y)))
                    .horizontal_line_to(mm(x + w))
                    .vertical_line_to(mm(y + h))
                    .horizontal_line_to(mm(x))
                    .close()
            });
            Path::new().set("d", data).into()
        }
        Shape::Polygon(points) => Path::new().set("d", along(points).close()).into(),
        Shape::Line { points, width } => Path::new()
            .set("d", along(points))
            .set("fill", "none")
            .set("stroke", "black")
            .set("stroke-width", mm(*width))
            .into(),
        Shape::Text {
            at,
            size,
            bold,
            text,
        } => {
            let text = Text::new(text.as_str())
                .set("x", mm(at[0]))
                .set("y", mm(at[1]))
                .set("font-size", mm(*size));
            let text = if *bold {
                text.set("font-weight", "bold")
            } else {
                text
            };
            text.into()
        }
    }
}
