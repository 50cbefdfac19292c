//! What stands around every page of the bench.

use axum::response::Html;
use maud::{DOCTYPE, Markup, html};

/// A page to be framed.
#[derive(Default)]
pub(super) struct Framed<'a> {
    /// What it is called.
    pub(super) title: &'a str,
    /// A stylesheet of its own.
    pub(super) look: Option<&'a str>,
    /// Of which photo it hears news: a number, or `all`.
    pub(super) live: Option<String>,
    /// It has no part that a person without the key may not see, and so no way to the others.
    pub(super) alone: bool,
}

/// The whole page.
pub(super) fn framed(page: &Framed<'_>, inside: &Markup) -> Html<String> {
    let whole = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="format-detection" content="telephone=no";
                title { (page.title) " · paneprint" }
                link rel="icon" href="data:,";
                link rel="stylesheet" href="/look.css";
                @if let Some(look) = page.look { link rel="stylesheet" href=(look); }
                script src="/bench.js" defer {}
                @if page.live.is_some() {
                    noscript { meta http-equiv="refresh" content="3"; }
                }
            }
            body.bench data-live=[page.live.as_deref()] {
                @if !page.alone {
                    nav aria-label="The bench" {
                        a href="/" { "Photograph" }
                        a href="/photos" { "Photos" }
                        a href="/archive" { "Archive" }
                    }
                }
                div #page { (inside) }
            }
        }
    };
    Html(whole.into_string())
}
