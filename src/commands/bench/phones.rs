//! The way in for phones: this computer's address in its network, and the link as a code to photograph.

use std::io;
use std::net::{IpAddr, Ipv4Addr, UdpSocket};

use maud::{Markup, html};
use qrcode::render::unicode::Dense1x2;
use qrcode::{Color, EcLevel, QrCode};

/// An address that nobody has (RFC 5737): asked only which way leads there, nothing is sent.
const ANYWHERE: (Ipv4Addr, u16) = (Ipv4Addr::new(192, 0, 2, 1), 9);

/// White around a code, in its own squares (ISO/IEC 18004, 6.3.8).
const QUIET: usize = 4;

/// This computer's address in the network it is in.
///
/// # Errors
/// It is in none.
pub(super) fn own_address() -> io::Result<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0))?;
    socket.connect(ANYWHERE)?;
    Ok(socket.local_addr()?.ip())
}

fn code(link: &str) -> Option<QrCode> {
    QrCode::with_error_correction_level(link, EcLevel::M).ok()
}

/// The link as a code for a terminal that writes light on dark, as most do: what is light of the code is written. Nothing where the
/// link is too long for one.
pub(super) fn for_terminal(link: &str) -> Option<String> {
    let code = code(link)?;
    let mut drawn = code.render::<Dense1x2>();
    Some(
        drawn
            .dark_color(Dense1x2::Light)
            .light_color(Dense1x2::Dark)
            .build(),
    )
}

/// The link as a code for a page.
pub(super) fn drawn(link: &str) -> Markup {
    let Some(code) = code(link) else {
        return html! {};
    };
    let width = code.width();
    let side = width + 2 * QUIET;
    let dots = code.into_colors();
    let dark = dots
        .iter()
        .enumerate()
        .filter(|(_, dot)| **dot == Color::Dark);
    let path: String = dark
        .map(|(i, _)| format!("M{} {}h1v1h-1z", i % width + QUIET, i / width + QUIET))
        .collect();
    html! {
        svg.code viewBox={ "0 0 " (side) " " (side) } role="img" aria-label="Code that opens this page on a phone" shape-rendering="crispEdges" {
            rect width=(side) height=(side) fill="#fff" {}
            path d=(path) fill="#000" {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phone_reads_the_link_off_the_page() {
        let link = "http://192.168.100.200:54321/?key=0123456789abcdef0123456789abcdef";
        let code = code(link).unwrap();
        let (width, scale) = (code.width(), 6);
        let dots = code.into_colors();
        let at = |px: usize| (px / scale).checked_sub(QUIET).filter(|i| *i < width);
        let mut photo = rqrr::PreparedImage::prepare_from_greyscale(
            (width + 2 * QUIET) * scale,
            (width + 2 * QUIET) * scale,
            |x, y| {
                let dark = at(x)
                    .zip(at(y))
                    .is_some_and(|(x, y)| dots[y * width + x] == Color::Dark);
                if dark { 0 } else { 255 }
            },
        );
        let (_, read) = photo.detect_grids()[0].decode().unwrap();
        assert_eq!(read, link);
        assert!(drawn(link).into_string().contains("h1v1h-1z"));
        // The white around it is written in full.
        let terminal = for_terminal(link).unwrap();
        assert!(
            terminal.lines().next().unwrap().chars().all(|c| c == '█'),
            "{terminal}"
        );
    }
}
