//! All photos of the bench and where each stands: on a laptop beside the phones, answers come as they are made.

use axum::extract::State;
use maud::html;

use super::Page;
use super::frame::{Framed, framed};
use super::states::row;
use crate::commands::bench::desk::Shared;
use crate::commands::bench::queue::Stand;

/// The list, the newest first.
pub(in crate::commands::bench) async fn photos(State(desk): State<Shared>) -> Page {
    let photos = desk.queue.all();
    let at_work = photos
        .iter()
        .filter(|photo| matches!(photo.stand, Stand::Waiting | Stand::Reading));
    let waiting = at_work.count();
    let inside = html! {
        main {
            h1 { @if photos.is_empty() { "No photo has come yet" } @else { "Photos" } }
            p role="status" {
                @match (photos.len(), waiting) {
                    (0, _) => "Photograph a panel: its answer appears here by itself.",
                    (_, 0) => "All are answered.",
                    (_, 1) => "One is still being read.",
                    (_, n) => { (n) " are still being read." },
                }
            }
            ul.rows { @for photo in &photos { (row(photo)) } }
            p { "Photos lie in a private folder of this computer, and go when the bench is closed. What is kept in the archive stays." }
        }
    };
    let page = Framed {
        title: "Photos",
        live: Some("all".to_owned()),
        ..Framed::default()
    };
    Ok(framed(&page, &inside))
}
