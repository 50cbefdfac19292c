//! What cannot be shown or done, in words on a page.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::html;

use super::frame::{Framed, framed};
use crate::commands::bench::next::{next, said};
use crate::document::page::quoted;
use crate::error::Error;
use crate::words;

/// Why something is refused.
#[derive(Debug)]
pub(in crate::commands::bench) struct Refused {
    status: StatusCode,
    says: String,
    next: String,
    /// Said to somebody who has no key.
    outside: bool,
}

impl Refused {
    /// With a status, what is wrong, and the next step.
    pub(in crate::commands::bench) fn new(
        status: StatusCode,
        says: impl Into<String>,
        next: &str,
    ) -> Self {
        Refused {
            status,
            says: says.into(),
            next: next.to_owned(),
            outside: false,
        }
    }

    /// The same, said to somebody who has no key.
    pub(in crate::commands::bench) fn outside(status: StatusCode, says: &str, next: &str) -> Self {
        Refused {
            outside: true,
            ..Refused::new(status, says, next)
        }
    }

    /// An error of the program's.
    pub(in crate::commands::bench) fn of(error: &Error) -> Self {
        let status = match error {
            Error::NoSuchFinish { .. } | Error::NotFound { .. } | Error::NoSuchPanel { .. } => {
                StatusCode::NOT_FOUND
            }
            Error::NameTaken { .. } => StatusCode::CONFLICT,
            Error::Io { .. } => StatusCode::INTERNAL_SERVER_ERROR,
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        Refused::new(status, said(error), next(error))
    }

    /// The program itself failed.
    pub(in crate::commands::bench) fn broken() -> Self {
        let says = words::FAILED[0].trim_start_matches("paneprint: ");
        Refused::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            says,
            words::FAILED[1].trim(),
        )
    }

    /// There is no such page.
    pub(in crate::commands::bench) fn no_page() -> Self {
        Refused::new(
            StatusCode::NOT_FOUND,
            "There is no such page.",
            "Begin with Photograph, above.",
        )
    }

    /// The photo was thrown away, or never there.
    pub(in crate::commands::bench) fn no_photo() -> Self {
        Refused::new(
            StatusCode::NOT_FOUND,
            "This photo is no longer held: it was thrown away, made room for newer ones, or the bench was started again since.",
            "Photograph the panel again.",
        )
    }
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let page = html! {
            main {
                h1 { (quoted(&self.says)) }
                p { (quoted(&self.next)) }
                @if !self.outside { p { a.button href="/" { "To the beginning" } } }
            }
        };
        let title = Framed {
            title: "Not done",
            alone: self.outside,
            ..Framed::default()
        };
        (self.status, framed(&title, &page)).into_response()
    }
}
