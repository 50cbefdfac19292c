//! The pictures inside a page, as files in the page itself.

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

use super::picture;
use crate::error::{Error, Result};
use crate::frame::piece;
use crate::measure::Settings;
use crate::ops::transfer::{luminance, srgb_code, srgb_light};
use crate::silver::{self, Laid, Silver, lit, smaller};
use crate::units::PlaceMm;
use crate::words::captions as say;

/// Long side of a panel that fills half a page, pixels.
const LONG_SIDE_PX: usize = 1000;

/// What a picture inside a page begins with.
pub(crate) const JPEG_INSIDE: &str = "data:image/jpeg;base64,";

/// JPEG quality of a picture of silver: specks keep their rims.
const QUALITY: u8 = 82;

/// How much more light and dark stand apart on a page than to the eye, as a power of the silver level. To the eye 82 and 93 % of the
/// silver are 5 steps of lightness (CIELAB L*) apart, so 10 on a page: what a print and a phone in daylight still show.
const CONTRAST: f32 = 2.2;

/// A panel as pages show it: its light in a higher contrast, hue and chroma as they are.
fn contrasted(mut picture: RgbImage) -> RgbImage {
    for pixel in picture.pixels_mut() {
        let light = pixel.0.map(srgb_light);
        let luminance = luminance(&light) as f32;
        let lower = luminance.max(0.0).powf(CONTRAST - 1.0);
        pixel.0 = light.map(|channel| srgb_code(channel * lower));
    }
    picture
}

/// The whole panel as a page shows it.
pub(crate) fn seen(silver: &Silver) -> Result<String> {
    uri(&contrasted(silver.coloured(LONG_SIDE_PX)))
}

/// The same with what was counted drawn on it.
pub(crate) fn counted(silver: &Silver) -> Result<String> {
    let (rows, cols) = silver.plane.dim();
    let long = rows.max(cols).max(1);
    let to = long.min(LONG_SIDE_PX);
    let small = silver::sized(&silver.plane, to);
    let px_per_mm = silver.px_per_mm * to as f64 / long as f64;
    let zoom = small.ncols() as f64 / cols.max(1) as f64;
    let laid = silver
        .tints
        .as_ref()
        .and_then(|t| Laid::over(t, (rows, cols)));
    let laid = laid.map(|laid| laid.resized((rows, cols), small.dim()));
    let speckles = silver.speckles.as_deref().unwrap_or_default();
    uri(&picture::counted(
        &small,
        laid,
        speckles,
        zoom,
        px_per_mm,
        &Settings::default(),
    ))
}

/// A square piece from the middle that is shown in its real size, at most so large, and its side in mm.
pub(crate) fn from_the_middle(silver: &Silver, most_mm: f64) -> Result<(String, f64)> {
    let [width, height] = silver.size_mm();
    let side = most_mm.min(width).min(height);
    at_place(
        silver,
        PlaceMm {
            left: (width - side) / 2.0,
            top: (height - side) / 2.0,
            side,
        },
    )
}

/// The square piece at a place, so far as it lies on the panel, and its side in mm.
pub(crate) fn at_place(silver: &Silver, place: PlaceMm) -> Result<(String, f64)> {
    let (rows, cols) = silver.plane.dim();
    let px = |mm: f64| (mm * silver.px_per_mm).round().max(0.0) as usize;
    let side = px(place.side).clamp(1, rows.min(cols).max(1));
    let (top, left) = (
        px(place.top).min(rows - side),
        px(place.left).min(cols - side),
    );
    let piece = piece(&silver.plane, top..top + side, left..left + side);
    let laid = silver
        .tints
        .as_ref()
        .and_then(|t| Laid::over(t, (rows, cols)));
    let shown = lit(&piece.to_owned(), laid.map(|laid| laid.from(top, left)));
    Ok((uri(&contrasted(shown))?, side as f64 / silver.px_per_mm))
}

/// A panel small enough for a row of them, its long side at most so many pixels.
pub(crate) fn small(picture: &RgbImage, long_side_px: usize) -> Result<String> {
    uri(&contrasted(smaller(picture, long_side_px)))
}

/// The same in a figure, with what is written under it, if anything.
pub(crate) fn small_figure(
    picture: &RgbImage,
    long_side_px: usize,
    name: &str,
    caption: &str,
) -> Result<Markup> {
    let uri = small(picture, long_side_px)?;
    Ok(framed(&uri, &say::small_alt(name), caption))
}

/// A photo with marks drawn on it.
pub(crate) fn photo(picture: &RgbImage, name: &str) -> Result<Markup> {
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
    Ok(format!("{JPEG_INSIDE}{}", STANDARD.encode(jpeg(picture)?)))
}

/// A picture as a JPEG file, good enough for specks to keep their rims.
pub(crate) fn jpeg<P>(picture: &ImageBuffer<P, Vec<u8>>) -> Result<Vec<u8>>
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
    Ok(file)
}

/// A picture of a panel, drawn as wide as its share of the widest one beside it, with a bar of one length for all of them.
pub(crate) fn figure(
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
pub(crate) fn in_real_size(uri: &str, alt: &str, side_mm: f64, caption: &str) -> Markup {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ops::transfer::{lightness, srgb_encode};
    use image::Rgb;

    #[test]
    fn a_little_less_silver_shows_and_full_silver_is_white() {
        let lit = |silver: f64| {
            let code = (srgb_encode(silver) * 255.0).round() as u8;
            let shown = contrasted(RgbImage::from_pixel(1, 1, Rgb([code; 3])));
            lightness(f64::from(srgb_light(shown.get_pixel(0, 0).0[0])))
        };
        assert!(lit(0.93) - lit(0.82) > 9.0);
        assert!(lit(1.0) > 99.9 && lit(0.0) < 0.1);
    }
}
