//! The sheet as printed: page, ruler, codes, files.

use std::fs;

use image::imageops::{FilterType, resize};
use paneprint::draw::marks::{Paper, Shape, pdf, sheet, svg};
use paneprint::frame::mark::{Corner, Mark, MarkSize, NOTCH, PAPER};
use serde_json::{Value, json};

use super::laid::Print;
use crate::bench::Bench;

const PAPERS: [Paper; 2] = [Paper::A4, Paper::Letter];

/// Printers leave so much white, mm (common inkjet and laser data sheets: 3 to 6.4 mm).
const MARGIN: f64 = 8.0;

#[test]
fn a_library_finds_and_reads_every_code_off_the_printed_page() {
    for paper in PAPERS {
        for size in MarkSize::ALL {
            let print = Print::new(paper, size);
            for corner in Corner::ALL {
                // As a phone would show it, ten pixels a module.
                let side = (10.0 * (NOTCH - PAPER)) as u32;
                let mark = resize(&print.cut_out(corner), side, side, FilterType::Triangle);
                let mut image = rqrr::PreparedImage::prepare_from_greyscale(
                    side as usize,
                    side as usize,
                    |x, y| mark.get_pixel(x as u32, y as u32).0[0],
                );
                let grids = image.detect_grids();
                let read = grids.iter().find_map(|g| g.decode().ok()).unwrap();
                let wanted = (1, Mark { corner, size }.code());
                assert_eq!((read.0.version.0, read.1), wanted, "{paper:?} {size}");
            }
        }
    }
}

#[test]
fn pages_are_as_large_as_the_paper() {
    for (paper, millimetres, points) in [
        (Paper::A4, ["210mm", "297mm"], "0 0 595.28 841.89"),
        (Paper::Letter, ["215.9mm", "279.4mm"], "0 0 612 792"),
    ] {
        let page = sheet(paper, MarkSize::default());
        let (svg, pdf) = (svg(&page), pdf(&page));
        for (side, length) in ["width", "height"].iter().zip(millimetres) {
            assert!(svg.contains(&format!("{side}=\"{length}\"")), "{paper:?}");
        }
        let pdf = String::from_utf8_lossy(&pdf);
        assert!(pdf.contains(&format!("/MediaBox [{points}]")), "{paper:?}");
        assert_eq!(pdf.matches("/Type /Page\n").count(), 1);
    }
}

#[test]
fn the_ruler_is_150_mm_with_a_line_a_millimetre() {
    for paper in PAPERS {
        let svg = svg(&sheet(paper, MarkSize::default()));
        // A user unit is a millimetre.
        let [width, height] = paper.size_mm();
        assert!(svg.contains(&format!("viewBox=\"0 0 {width} {height}\"")));
        let paths = svg
            .split(" d=\"")
            .skip(1)
            .map(|d| d.split('"').next().unwrap());
        let lines: Vec<Vec<f64>> = paths.map(figures).filter(|f| f.len() == 4).collect();
        let ruler = lines
            .iter()
            .find(|l| (l[2] - l[0] - 150.0).abs() < 1e-6 && (l[3] - l[1]).abs() < 1e-6)
            .unwrap();
        for mm in 0..=150 {
            let x = ruler[0] + f64::from(mm);
            let tick = |l: &&Vec<f64>| (l[0] - x).abs() < 1e-6 && l[3] < l[1];
            assert!(lines.iter().any(|l| tick(&l)), "{paper:?}: {mm} mm");
        }
    }
}

fn figures(path: &str) -> Vec<f64> {
    let parts = path.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    parts.filter_map(|part| part.parse().ok()).collect()
}

#[test]
fn nothing_lies_where_a_printer_cannot_print_and_all_words_are_ascii() {
    for paper in PAPERS {
        for size in MarkSize::ALL {
            let page = sheet(paper, size);
            let [width, height] = paper.size_mm();
            let inside = |x: f64, y: f64| {
                (MARGIN..=width - MARGIN).contains(&x) && (MARGIN..=height - MARGIN).contains(&y)
            };
            for shape in &page.shapes {
                match shape {
                    Shape::Fill(rectangles) => assert!(
                        rectangles
                            .iter()
                            .all(|[x, y, w, h]| inside(*x, *y) && inside(x + w, y + h))
                    ),
                    Shape::Polygon(points) | Shape::Line { points, .. } => {
                        assert!(points.iter().all(|[x, y]| inside(*x, *y)), "{points:?}");
                    }
                    Shape::Text { at, size, text, .. } => {
                        assert!(text.is_ascii());
                        // English in Helvetica is less than half its size wide a letter, in bold too.
                        let end = at[0] + 0.5 * size * text.len() as f64;
                        assert!(inside(at[0], at[1]) && end < width - 4.0, "{text}: {end}");
                    }
                }
            }
        }
    }
}

#[test]
fn the_command_writes_both_files_once_and_leaves_others_alone() {
    let bench = Bench::new();
    let said = bench.run(&["sheet", "--json"]).exits(0).out;
    let said: Value = serde_json::from_str(&said).unwrap();
    let files = ["paneprint-marks-a4.pdf", "paneprint-marks-a4.svg"];
    assert_eq!(
        said,
        json!({"files": files, "paper": "a4", "mark_mm": 40.0})
    );
    let first = fs::read(bench.path(files[0])).unwrap();
    assert!(first.starts_with(b"%PDF"));
    bench.run(&["sheet"]).exits(0);
    bench
        .run(&["sheet", "--mark", "64mm"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("there is something of that name already");
    assert_eq!(fs::read(bench.path(files[0])).unwrap(), first);
    bench
        .run(&[
            "sheet",
            "--paper",
            "letter",
            "--mark",
            "20mm",
            "--to",
            "small.svg",
        ])
        .exits(0);
    let svg = fs::read_to_string(bench.path("small.svg")).unwrap();
    assert!(svg.contains("215.9mm"));
    bench
        .run(&["sheet", "--to", "marks.png"])
        .exits(2)
        .complains(".pdf or .svg");
    bench.run(&["sheet", "--mark", "41mm"]).exits(2);
}
