//! News for open pages, as they happen: which photo has changed.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::stream::{Stream, unfold};
use tokio::sync::broadcast::error::RecvError;

use super::desk::Shared;

/// A page that is gone is noticed by this.
const ALIVE: Duration = Duration::from_secs(15);

/// Tells the numbers of photos that have changed; `all` where more has happened than could be told.
pub(super) async fn live(
    State(desk): State<Shared>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>> + use<>> {
    let news = unfold(desk.queue.listen(), |mut news| async move {
        let of = match news.recv().await {
            Ok(number) => number.to_string(),
            Err(RecvError::Lagged(_)) => "all".to_owned(),
            Err(RecvError::Closed) => return None,
        };
        Some((Ok(Event::default().data(of)), news))
    });
    Sse::new(news).keep_alive(KeepAlive::new().interval(ALIVE))
}
