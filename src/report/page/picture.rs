//! The pictures inside a sheet, as files in the page itself.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sides of pictures are some hundred pixels"
)]

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use image::codecs::jpeg::JpegEncoder;
use image::{EncodableLayout, ImageBuffer, ImageEncoder, PixelWithColorType, RgbImage};
use maud::{Markup, html};

use super::say;
use crate::error::{Error, Result};
use crate::frame::panel::Tints;
use crate::frame::{Plane, piece};
use crate::measure::Settings;
use crate::measure::speckle::Speckle;
use crate::report::picture::{Laid, brought_to, colour_sized, counted, lit, sized, smaller};
use crate::units::PlaceMm;

/// Long side of a panel that fills a sheet's half, pixels.
const LONG_SIDE_PX: usize = 1000;

/// JPEG quality of a picture of silver: specks keep their rims.
const QUALITY: u8 = 82;

/// A panel as its sheets show it.
#[derive(Debug, Clone, Copy)]
pub struct Silver<'a> {
    /// Silver level at standard sharpness, 0 to 1.
    pub plane: &'a Plane,
    /// Its colour, where that is known; without it the panel is shown grey.
    pub tints: Option<&'a Tints>,
    /// Pixels in a millimetre.
    pub px_per_mm: f64,
    /// The specks, where the photo itself was read: what is kept does not hold them one by one.
    pub speckles: Option<&'a [Speckle]>,
}

impl Silver<'_> {
    /// Width and height, mm.
    pub(super) fn size_mm(&self) -> [f64; 2] {
        let (rows, cols) = self.plane.dim();
        [cols, rows].map(|px| px as f64 / self.px_per_mm)
    }

    /// The longer of the two, mm.
    pub(super) fn long_mm(&self) -> f64 {
        let [width, height] = self.size_mm();
        width.max(height)
    }

    /// The plane in no more pixels than a sheet shows, and how many of them lie in a millimetre.
    pub(super) fn shown(&self) -> (Plane, f64) {
        let (rows, cols) = self.plane.dim();
        let long = rows.max(cols).max(1);
        let to = long.min(LONG_SIDE_PX);
        let small = sized(self.plane, to);
        (small, self.px_per_mm * to as f64 / long as f64)
    }

    /// The whole panel in colour, its long side at most so many pixels.
    pub(super) fn coloured(&self, long_side_px: usize) -> RgbImage {
        let (rows, cols) = self.plane.dim();
        let to = brought_to(self.plane, long_side_px.min(rows.max(cols)));
        colour_sized(self.plane, self.tints, to)
    }

    /// The whole panel as a sheet shows it.
    pub(super) fn seen(&self) -> Result<String> {
        uri(&self.coloured(LONG_SIDE_PX))
    }

    /// The same with what was counted drawn on it.
    pub(super) fn drawn(
        &self,
        (small, px_per_mm): (&Plane, f64),
        settings: &Settings,
    ) -> Result<String> {
        let speckles = self.speckles.unwrap_or_default();
        let zoom = small.ncols() as f64 / self.plane.ncols().max(1) as f64;
        let whole = self.plane.dim();
        let laid = self.tints.and_then(|t| Laid::over(t, whole));
        let laid = laid.map(|laid| laid.resized(whole, small.dim()));
        uri(&counted(small, laid, speckles, zoom, px_per_mm, settings))
    }

    /// A square piece from the middle that is shown in its real size, at most so large, and its side in mm.
    pub(super) fn real_size(&self, most_mm: f64) -> Result<(String, f64)> {
        let [width, height] = self.size_mm();
        let side = most_mm.min(width).min(height);
        self.place(PlaceMm {
            left: (width - side) / 2.0,
            top: (height - side) / 2.0,
            side,
        })
    }

    /// The square piece at a place, so far as it lies on the panel, and its side in mm.
    pub(super) fn place(&self, place: PlaceMm) -> Result<(String, f64)> {
        let (rows, cols) = self.plane.dim();
        let px = |mm: f64| (mm * self.px_per_mm).round().max(0.0) as usize;
        let side = px(place.side).clamp(1, rows.min(cols).max(1));
        let (top, left) = (
            px(place.top).min(rows - side),
            px(place.left).min(cols - side),
        );
        let piece = piece(self.plane, top..top + side, left..left + side);
        let laid = self.tints.and_then(|t| Laid::over(t, self.plane.dim()));
        let shown = lit(&piece.to_owned(), laid.map(|laid| laid.from(top, left)));
        Ok((uri(&shown)?, side as f64 / self.px_per_mm))
    }
}

/// A panel small enough for a row of them, its long side at most so many pixels.
pub(super) fn small(picture: &RgbImage, long_side_px: usize) -> Result<String> {
    uri(&smaller(picture, long_side_px))
}

/// The same in a figure, with what is written under it, if anything.
pub(super) fn small_figure(
    picture: &RgbImage,
    long_side_px: usize,
    name: &str,
    caption: &str,
) -> Result<Markup> {
    let uri = small(picture, long_side_px)?;
    Ok(framed(&uri, &say::small_alt(name), caption))
}

/// A photo with marks drawn on it.
pub(super) fn photo(picture: &RgbImage, name: &str) -> Result<Markup> {
    Ok(framed(&uri(picture)?, &say::placed_alt(name), ""))
}

fn framed(uri: &str, alt: &str, caption: &str) -> Markup {
    html! {
        figure {
            img src=(uri) alt=(alt);
            @if !caption.is_empty() { figcaption { (caption) } }
        }
    }
}

/// A picture as a file written into the page.
fn uri<P>(picture: &ImageBuffer<P, Vec<u8>>) -> Result<String>
where
    P: PixelWithColorType<Subpixel = u8>,
    [u8]: EncodableLayout,
{
    let (width, height) = picture.dimensions();
    let mut file = Vec::new();
    JpegEncoder::new_with_quality(&mut file, QUALITY)
        .write_image(picture.as_raw(), width, height, P::COLOR_TYPE)
        .map_err(|source| Error::PictureNotEncoded {
            width,
            height,
            source,
        })?;
    Ok(format!("data:image/jpeg;base64,{}", STANDARD.encode(file)))
}

/// A picture of a panel, drawn as wide as its share of the widest one beside it, with a bar of one length for all of them.
pub(super) fn figure(
    uri: &str,
    alt: &str,
    (width_mm, widest_mm): (f64, f64),
    caption: &Markup,
) -> Markup {
    let bar_mm = bar(widest_mm).min(bar(2.0 * width_mm));
    html! {
        figure {
            div style={ "width:" (percent(width_mm / widest_mm)) } {
                img src=(uri) alt=(alt) style="width:100%";
                span.scale style={ "width:" (percent(bar_mm / width_mm)) } {}
            }
            figcaption { (say::scale::bar(bar_mm)) " " (caption) }
        }
    }
}

/// A piece in its real size.
pub(super) fn in_real_size(uri: &str, alt: &str, side_mm: f64, caption: &str) -> Markup {
    html! {
        figure {
            img src=(uri) alt=(alt) style={ "width:" (format!("{side_mm:.2}mm")) };
            figcaption { (caption) }
        }
    }
}

fn percent(share: f64) -> String {
    format!("{:.2}%", share * 100.0)
}

/// A round length of about a quarter of a width, mm.
fn bar(width_mm: f64) -> f64 {
    [500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0, 2.0]
        .into_iter()
        .find(|mm| *mm <= width_mm * 0.3)
        .unwrap_or(1.0)
}
