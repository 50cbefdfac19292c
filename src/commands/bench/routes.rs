//! Which address shows or does what.

use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Router, middleware};
use tower_http::compression::CompressionLayer;

use super::desk::Shared;
use super::guard::{Door, PHOTOS, guard};
use super::pages::{Refused, archive, aside, corners, home, photo, photos};
use super::queue::Stand;
use super::{actions, live, uploads, work};
use crate::document::page;

/// Largest form, bytes.
const MOST_IN_A_FORM: usize = 64 << 10;

/// How the bench looks beyond what every page does.
const LOOK: &str = include_str!("bench.css");

/// What runs in the browser.
const SCRIPT: &str = concat!(
    include_str!("script/send.js"),
    include_str!("script/live.js"),
    include_str!("script/sweep.js"),
    include_str!("script/corners.js"),
);

/// Everything, behind the door.
pub(super) fn routes(desk: Shared, door: Door) -> Router {
    let photos_in = post(uploads::take).layer(DefaultBodyLimit::max(uploads::MOST_SENT));
    Router::new()
        .route("/", get(home::choose))
        .route("/photograph", get(home::photograph))
        .route(PHOTOS, photos_in.get(photos::photos))
        .route("/live", get(live::live))
        .route("/photo/{number}", get(photo::photo))
        .route("/photo/{number}/corners", get(corners::corners))
        .route("/photo/{number}/again", post(actions::again))
        .route("/photo/{number}/decide", post(actions::decide))
        .route("/photo/{number}/keep", post(actions::keep))
        .route("/photo/{number}/away", post(actions::away))
        .route("/photo/{number}/found.jpg", get(found))
        .route("/photo/{number}/large.jpg", get(large))
        .route("/sheet/{sheet}/{file}", get(of_sheet))
        .route("/archive", get(archive::archive))
        .route("/finish", get(archive::finish))
        .route("/finish/approve", post(actions::approve))
        .route("/small", get(small))
        .route("/look.css", get(look))
        .route("/bench.js", get(script))
        .fallback(async || Refused::no_page())
        .with_state(desk)
        .layer(DefaultBodyLimit::max(MOST_IN_A_FORM))
        // Drawings are text, and a phone at the far end of the workshop waits for each byte; pictures and news go as they are.
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn_with_state(Arc::new(door), guard))
}

/// A file that is as it is as long as the bench is open.
fn file(kind: &'static str, bytes: impl IntoResponse) -> Response {
    let headers = [
        (CONTENT_TYPE, kind),
        (CACHE_CONTROL, "private, max-age=3600"),
    ];
    (headers, bytes).into_response()
}

async fn look() -> Response {
    let headers = [
        (CONTENT_TYPE, "text/css; charset=utf-8"),
        (CACHE_CONTROL, "no-cache"),
    ];
    (headers, page::look() + LOOK).into_response()
}

async fn script() -> Response {
    let headers = [
        (CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (CACHE_CONTROL, "no-cache"),
    ];
    (headers, SCRIPT).into_response()
}

/// A picture or the stylesheet of a sheet, by numbers alone.
async fn of_sheet(
    State(desk): State<Shared>,
    Path((sheet, name)): Path<(u32, String)>,
) -> Result<Response, Refused> {
    let gone = |_| Refused::no_page();
    if name == "look.css" {
        let look = desk.sheets.look(sheet).map_err(gone)?;
        return Ok(file("text/css; charset=utf-8", look));
    }
    let number = name
        .strip_suffix(".jpg")
        .and_then(|number| number.parse().ok());
    let picture = desk
        .sheets
        .picture(sheet, number.ok_or_else(Refused::no_page)?);
    Ok(file("image/jpeg", picture.map_err(gone)?))
}

async fn small(
    state: State<Shared>,
    query: axum::extract::Query<archive::Finish>,
) -> Result<Response, Refused> {
    Ok(file("image/png", archive::small(state, query).await?))
}

/// A photo with what was found drawn on it.
async fn found(State(desk): State<Shared>, Path(number): Path<u32>) -> Result<Response, Refused> {
    let photo = desk.queue.photo(number).ok_or_else(Refused::no_photo)?;
    let Stand::Answered(answered) = photo.stand.clone() else {
        return Err(Refused::no_page());
    };
    let _turn = desk.queue.turn_beside().await;
    let picture = aside(move || work::found_picture(&photo, &answered.sighting)).await?;
    let headers = [
        (CONTENT_TYPE, "image/jpeg"),
        (CACHE_CONTROL, "private, no-cache"),
    ];
    Ok((headers, picture).into_response())
}

/// A photo as large as it is.
async fn large(State(desk): State<Shared>, Path(number): Path<u32>) -> Result<Response, Refused> {
    let photo = desk.queue.photo(number).ok_or_else(Refused::no_photo)?;
    let picture = aside(move || work::large_picture(&photo)).await?;
    Ok(file("image/jpeg", picture))
}
