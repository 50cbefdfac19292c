//! The picture of a wall as it is to hang: every panel in its place and its way up, its number, its name, and an arrow that
//! points to its own top.

use image::{RgbImage, imageops};
use imageproc::drawing::{draw_filled_rect_mut, draw_polygon_mut};
use imageproc::point::Point;
use imageproc::rect::Rect;

use super::super::wall::{Hanging, Place, lay};
use super::{MARGIN_PX, ink};
use crate::compare::wall::Wall;
use crate::silver::resampled;
use crate::words::captions::ODD;

/// Long side of a panel in the picture, pixels.
pub const HUNG_PX: usize = 420;

/// Half the width of the arrow, pixels.
const ARROW_PX: i32 = 10;

/// Between panels, pixels.
const GAP_PX: f64 = 10.0;

/// A label needs this width and height, pixels.
const LABEL_PX: [f64; 2] = [230.0, 44.0];

/// Draws a wall. All panels at one scale; the same wall gives the same bytes.
#[must_use]
pub fn wall(panels: &[Hanging<'_>], wall: &Wall) -> RgbImage {
    let side = |share: f64| (share * HUNG_PX as f64).round().max(1.0);
    let laid = lay(panels, wall, side, LABEL_PX, (GAP_PX, MARGIN_PX.into()));
    let [width, height] = laid.size.map(|px| px as u32);
    let mut picture = RgbImage::from_pixel(width, height, ink::PAPER);
    for place in &laid.places {
        let ([x, y], [width, height]) =
            (place.at.map(|px| px as i32), place.size.map(|px| px as u32));
        let frame = Rect::at(x - 1, y - 1).of_size(width + 2, height + 2);
        draw_filled_rect_mut(&mut picture, frame, ink::BLACK);
        let shown = shown(place.panel.picture, width, height, place.hung.turned);
        imageops::replace(&mut picture, &shown, x.into(), y.into());
        label(&mut picture, place, laid.cell.map(|px| px as i32));
    }
    picture
}

/// The panel the way up it hangs.
fn shown(picture: &RgbImage, width: u32, height: u32, turned: bool) -> RgbImage {
    let mut picture = resampled(picture, height as usize, width as usize);
    if turned {
        imageops::rotate180_in_place(&mut picture);
    }
    picture
}

/// Number, arrow and name, and a word where the panel is odd, below its cell of that size.
fn label(picture: &mut RgbImage, place: &Place<'_>, [width, height]: [i32; 2]) {
    let [x, y] = place.corner.map(|px| px as i32);
    let line = y + height + 8;
    let number = place.number.to_string();
    ink::write(picture, x, line, &number);
    let arrow_x = x + ink::text_width_px(&number) + 22;
    arrow(picture, arrow_x, line + ink::LINE_PX / 2, place.hung.turned);
    let name_x = arrow_x + 24;
    let odd = if place.panel.odd {
        format!(" {ODD}")
    } else {
        String::new()
    };
    let room = (width - (name_x - x) - ink::text_width_px(&odd)).max(0);
    ink::write(
        picture,
        name_x,
        line,
        &(fitting(place.panel.name, room) + &odd),
    );
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
