//! A document's page for a server: its pictures become files of their own, and what is styled in place moves into a stylesheet, so
//! that a page stays small and its policy allows nothing inline.

use std::fmt::Write as _;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// A page with what was lifted out of it.
pub(super) struct Lifted {
    /// What stands within the page.
    pub(super) html: String,
    /// Its pictures, JPEG files, in order.
    pub(super) pictures: Vec<Vec<u8>>,
    /// Its stylesheet.
    pub(super) look: String,
}

/// Where a picture stands in a page, and where something is styled in place. Text has no plain quotes, so both are attributes.
const PICTURE: &str = "=\"data:image/jpeg;base64,";
const STYLED: &str = " style=\"";

impl Lifted {
    /// Lifts them out of a page; its pictures then lie under an address, numbered from 0.
    pub(super) fn of(html: &str, under: &str) -> Self {
        let mut lifted = Lifted {
            html: String::with_capacity(html.len() / 4),
            pictures: Vec::new(),
            look: String::new(),
        };
        let (mut rest, mut styled) = (html, 0_usize);
        loop {
            let next = [PICTURE, STYLED].map(|mark| rest.find(mark).map(|at| (at, mark)));
            let Some((at, mark)) = next.into_iter().flatten().min() else {
                break;
            };
            let (before, after) = (&rest[..at], &rest[at + mark.len()..]);
            let Some((inside, behind)) = after.split_once('"') else {
                break;
            };
            lifted.html += before;
            if mark == PICTURE {
                let number = lifted.pictures.len();
                // Whatever does not decode was not made here, and shows as a picture that is missing.
                lifted
                    .pictures
                    .push(STANDARD.decode(inside).unwrap_or_default());
                let _ = write!(lifted.html, "=\"{under}/{number}.jpg\"");
            } else {
                let _ = write!(lifted.html, " data-look=\"{styled}\"");
                // As strong as what stands in place.
                let _ = writeln!(
                    lifted.look,
                    "[data-look=\"{styled}\"]:not(#a) {{ {inside} }}"
                );
                styled += 1;
            }
            rest = behind;
        }
        lifted.html += rest;
        lifted
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::embedded::JPEG_INSIDE;

    #[test]
    fn pictures_and_styles_move_out_and_everything_else_stays() {
        let html = r#"<p>a style=&quot;b&quot;</p><div style="width:40.00%"><img src="data:image/jpeg;base64,AQID" alt="one" style="width:100%"></div><img src="data:image/jpeg;base64,BA==">"#;
        let lifted = Lifted::of(html, "/sheet/7");
        assert!(PICTURE.ends_with(JPEG_INSIDE));
        assert_eq!(
            lifted.html,
            r#"<p>a style=&quot;b&quot;</p><div data-look="0"><img src="/sheet/7/0.jpg" alt="one" data-look="1"></div><img src="/sheet/7/1.jpg">"#
        );
        assert_eq!(lifted.pictures, [vec![1, 2, 3], vec![4]]);
        assert_eq!(lifted.look.lines().count(), 2);
        assert!(lifted.look.contains("{ width:40.00% }"));
    }
}
