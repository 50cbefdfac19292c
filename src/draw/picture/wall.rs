//! The picture of a wall as it is to hang: every panel in its place and its way up, its number, its name, and an arrow that
//! points to its own top.

use image::{RgbImage, imageops};
use imageproc::drawing::{draw_filled_rect_mut, draw_polygon_mut};
use imageproc::point::Point;
use imageproc::rect::Rect;

use super::{MARGIN_PX, ink};
use crate::compare::wall::Wall;
use crate::silver::resampled;
use crate::units::SizeMm;

/// Long side of a panel in the picture, pixels.
pub const HUNG_PX: usize = 420;

/// A panel to hang.
pub struct Hanging<'a> {
    /// Its name.
    pub name: &'a str,
    /// It in colour, long side [`HUNG_PX`].
    pub picture: &'a RgbImage,
    /// Its real size.
    pub size: SizeMm,
    /// It does not go with the rest.
    pub odd: bool,
}

/// Between panels, pixels.
const GAP_PX: u32 = 10;

/// Height of the label under a panel, pixels.
const LABEL_PX: u32 = 44;

/// Half the width of the arrow, pixels.
const ARROW_PX: i32 = 10;

/// Draws a wall. All panels at one scale; the same wall gives the same bytes.
#[must_use]
pub fn wall(panels: &[Hanging<'_>], wall: &Wall) -> RgbImage {
    let longest = panels
        .iter()
        .map(|p| p.size.width.max(p.size.height))
        .fold(1.0, f64::max);
    let px = |mm: f64| ((mm / longest * HUNG_PX as f64).round() as u32).max(1);
    let widest = panels
        .iter()
        .map(|p| px(p.size.width))
        .max()
        .unwrap_or(1)
        .max(LEAST_CELL_PX);
    let highest = panels.iter().map(|p| px(p.size.height)).max().unwrap_or(1);
    let (cell_width, cell_height) = (widest + GAP_PX, highest + LABEL_PX + GAP_PX);
    let margin = MARGIN_PX as u32;
    let mut picture = RgbImage::from_pixel(
        wall.grid.cols as u32 * cell_width + 2 * margin - GAP_PX,
        wall.grid.rows as u32 * cell_height + 2 * margin - GAP_PX,
        ink::PAPER,
    );
    for (place, hung) in wall.hung.iter().enumerate() {
        let panel = &panels[hung.panel];
        let (width, height) = (px(panel.size.width), px(panel.size.height));
        let left = margin + (place % wall.grid.cols) as u32 * cell_width;
        let top = margin + (place / wall.grid.cols) as u32 * cell_height;
        let x = left + (widest - width) / 2;
        let y = top + highest - height;
        let frame = Rect::at(x as i32 - 1, y as i32 - 1).of_size(width + 2, height + 2);
        draw_filled_rect_mut(&mut picture, frame, ink::BLACK);
        imageops::replace(
            &mut picture,
            &shown(panel.picture, width, height, hung.turned),
            x.into(),
            y.into(),
        );
        label(
            &mut picture,
            (left as i32, (top + highest) as i32),
            place + 1,
            panel,
            hung.turned,
            widest as i32,
        );
    }
    picture
}

/// A label needs this width, pixels.
const LEAST_CELL_PX: u32 = 230;

/// The panel the way up it hangs.
fn shown(picture: &RgbImage, width: u32, height: u32, turned: bool) -> RgbImage {
    let mut picture = resampled(picture, height as usize, width as usize);
    if turned {
        imageops::rotate180_in_place(&mut picture);
    }
    picture
}

/// Number, arrow and name, and a word where the panel is odd.
fn label(
    picture: &mut RgbImage,
    (x, y): (i32, i32),
    number: usize,
    panel: &Hanging<'_>,
    turned: bool,
    width: i32,
) {
    let line = y + 8;
    let number = format!("{number}");
    ink::write(picture, x, line, &number);
    let arrow_x = x + ink::text_width_px(&number) + 22;
    arrow(picture, arrow_x, line + ink::LINE_PX / 2, turned);
    let name_x = arrow_x + 24;
    let odd = if panel.odd { " ODD" } else { "" };
    let room = (width - (name_x - x) - ink::text_width_px(odd)).max(0);
    ink::write(picture, name_x, line, &(fitting(panel.name, room) + odd));
}

/// As much of a name as there is room for: its end tells panels of one job apart.
fn fitting(name: &str, room_px: i32) -> String {
    let plain: Vec<char> = name
        .chars()
        .map(|c| {
            if c.is_ascii_graphic() || c == ' ' {
                c
            } else {
                '?'
            }
        })
        .collect();
    let whole: String = plain.iter().collect();
    if ink::text_width_px(&whole) <= room_px {
        return whole;
    }
    (1..plain.len())
        .map(|from| format!("..{}", plain[from..].iter().collect::<String>()))
        .find(|cut| ink::text_width_px(cut) <= room_px)
        .unwrap_or_default()
}

/// An arrow to the top of the panel.
fn arrow(picture: &mut RgbImage, x: i32, y: i32, turned: bool) {
    let up = if turned { -1 } else { 1 };
    let head = [
        Point::new(x, y - up * ARROW_PX),
        Point::new(x - ARROW_PX, y + up * 2),
        Point::new(x + ARROW_PX, y + up * 2),
    ];
    draw_polygon_mut(picture, &head, ink::BLACK);
    let (from, to) = (y.min(y + up * ARROW_PX), y.max(y + up * ARROW_PX));
    draw_filled_rect_mut(
        picture,
        Rect::at(x - 3, from).of_size(7, (to - from).max(1) as u32),
        ink::BLACK,
    );
}
