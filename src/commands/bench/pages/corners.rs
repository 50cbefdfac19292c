//! Where the panel and its card lie, set by hand: figures in a form, which a script lets a finger drag on the photo.

use axum::extract::{Path, State};
use maud::{Markup, html};

use super::frame::{Framed, framed};
use super::home::camera;
use super::{Page, Refused, aside};
use crate::commands::bench::desk::Shared;
use crate::commands::bench::queue::{Photo, Stand};
use crate::commands::bench::work;
use crate::frame::placement::{PatchKind, Sighting};
use crate::frame::quad::Quad;

/// The corners as the panel hangs, by the letters that are drawn on photos.
const CORNERS: [(&str, &str); 4] = [
    ("a", "A, top left"),
    ("b", "B, top right"),
    ("c", "C, bottom right"),
    ("d", "D, bottom left"),
];

/// What a card can be: as it stands in the form, and in words.
pub(in crate::commands::bench) const CARDS: [(&str, &str, PatchKind); 3] = [
    ("grey", "a grey card", PatchKind::Grey),
    ("mirror", "an offcut of plain mirror", PatchKind::Mirror),
    ("bare", "bare glass painted black behind", PatchKind::Bare),
];

/// The page to set them on, for any photo.
pub(in crate::commands::bench) async fn corners(
    State(desk): State<Shared>,
    Path(number): Path<u32>,
) -> Page {
    let photo = desk.queue.photo(number).ok_or_else(Refused::no_photo)?;
    let size = match photo.size_px {
        Some(size) => size,
        None => {
            let _turn = desk.queue.turn_beside().await;
            let of = photo.clone();
            let size = aside(move || work::large(&of)).await?;
            desk.queue
                .change(number, |photo| photo.size_px = Some(size));
            size
        }
    };
    let (seen, why) = match &photo.stand {
        Stand::Answered(answered) => (
            Some(&answered.sighting),
            "Set the corners where the silver ends.",
        ),
        Stand::Unsure(unsure) => (unsure.sighting.as_ref(), unsure.why.as_str()),
        _ => (None, "Set the corners where the silver ends."),
    };
    let page = Framed {
        title: "Set the corners",
        ..Framed::default()
    };
    Ok(framed(&page, &editor(&photo, size, seen, why)))
}

/// What a form begins with where nothing was found.
fn guess([width, height]: [usize; 2]) -> Quad {
    let [w, h] = [width, height].map(|side| side as f64);
    Quad::rectangle(w * 0.2, h * 0.2, w * 0.6, h * 0.6)
}

/// The form.
pub(super) fn editor(
    photo: &Photo,
    size: [usize; 2],
    seen: Option<&Sighting>,
    why: &str,
) -> Markup {
    let [width, height] = size;
    let said = photo.said.corners;
    let quad = said
        .or(seen.map(|s| s.corners))
        .unwrap_or_else(|| guess(size));
    let found = seen.map(|s| s.patches.as_slice()).unwrap_or_default();
    let card = found.first();
    let [card_from, card_to] = card.map_or(
        [
            [width as f64 * 0.82, height as f64 * 0.1],
            [width as f64 * 0.94, height as f64 * 0.2],
        ],
        |patch| {
            let ([x0, x1], [y0, y1]) = (patch.corners.span(0), patch.corners.span(1));
            [[x0, y0], [x1, y1]]
        },
    );
    html! {
        main {
            h1 { "Where does the panel lie?" }
            p { (why) " Drag each letter to its corner; the first finger's breadth moves it finely." }
            form.place action={ "/photo/" (photo.number) "/again" } method="post" data-width=(width) data-height=(height) {
                div.stage {
                    img src={ "/photo/" (photo.number) "/large.jpg" } alt="The photo" width=(width) height=(height) draggable="false";
                }
                p.act { button.main type="submit" { "Read it by these corners" } }
                label {
                    "The card beside it"
                    select name="card" {
                        @if !found.is_empty() { option value="found" selected { "as it was found" } }
                        option value="" { "none" }
                        @for (key, says, _) in CARDS { option value=(key) { (says) } }
                    }
                }
                details {
                    summary { "Type the corners instead" }
                    fieldset {
                        legend { "In pixels of the photo, " (width) " across and " (height) " down" }
                        @for ((letter, says), [x, y]) in CORNERS.iter().zip(quad.0) {
                            div.sides data-point=(letter) data-says={ "Corner " (says) } {
                                (figure(&format!("{letter}x"), &format!("{says}: across"), x))
                                (figure(&format!("{letter}y"), &format!("{says}: down"), y))
                            }
                        }
                        div.sides data-point="p" data-says="The card's first corner" data-card {
                            (figure("px", "The card's first corner: across", card_from[0]))
                            (figure("py", "The card's first corner: down", card_from[1]))
                        }
                        div.sides data-point="q" data-says="The card's opposite corner" data-card {
                            (figure("qx", "The card's opposite corner: across", card_to[0]))
                            (figure("qy", "The card's opposite corner: down", card_to[1]))
                        }
                    }
                }
            }
            (camera(&photo.chosen, "Photograph it again"))
        }
    }
}

fn figure(name: &str, says: &str, value: f64) -> Markup {
    html! {
        label { (says) input name=(name) inputmode="decimal" autocomplete="off" required maxlength="12" value=(format!("{value:.1}")); }
    }
}
