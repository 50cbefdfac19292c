//! The pages of a bench.

pub(super) mod archive;
pub(super) mod corners;
mod frame;
pub(super) mod home;
pub(super) mod photo;
pub(super) mod photos;
pub(super) mod refused;
mod states;

use axum::response::Html;

pub(super) use refused::Refused;

/// A page, or why there is none.
pub(super) type Page = Result<Html<String>, Refused>;

/// Does work that reads files or the archive on a thread that may wait.
///
/// # Errors
/// That of the work.
pub(super) async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> crate::error::Result<T> + Send + 'static,
) -> Result<T, Refused> {
    let done = tokio::task::spawn_blocking(work).await;
    done.map_err(|_| Refused::broken())?
        .map_err(|error| Refused::of(&error))
}
