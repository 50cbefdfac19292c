//! Photos that come in: read off the network in pieces, each under a limit of bytes and of time, into files that are named here.

use std::time::Duration;

use axum::extract::State;
use axum::extract::multipart::{Field, Multipart, MultipartRejection};
use axum::http::header::CONTENT_LENGTH;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Redirect;
use tempfile::TempDir;
use tokio::fs::File;
use tokio::io::AsyncWriteExt;
use tokio::time::timeout;

use super::chosen::Chosen;
use super::desk::Shared;
use super::pages::Refused;
use super::queue;
use super::work;

/// Largest photo, bytes: a phone's of 48 megapixels has 25 million.
const MOST_BYTES: u64 = 64 << 20;

/// Photos in one sending.
const MOST_PHOTOS: usize = 30;

/// Longest text in a field, bytes.
const MOST_TEXT: usize = 1000;

/// Bytes of one sending.
pub(super) const MOST_SENT: usize = 640 << 20;

/// The next piece of a photo must come within this time.
const STALLED: Duration = Duration::from_secs(20);

/// All of a sending must come within this time.
const SLOW: Duration = Duration::from_secs(600);

/// What is said where nothing or half a photo came.
const AGAIN: &str = "Go back, and send it again.";

/// Takes photos in, and leads to the page of the one, or of all.
pub(super) async fn take(
    State(desk): State<Shared>,
    headers: HeaderMap,
    sent: Result<Multipart, MultipartRejection>,
) -> Result<Redirect, Refused> {
    // What is claimed counts: nobody need wait until it has come.
    let claimed = headers
        .get(CONTENT_LENGTH)
        .and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    if claimed.is_some_and(|bytes| bytes > MOST_SENT) {
        return Err(broken_off(StatusCode::PAYLOAD_TOO_LARGE));
    }
    let sent = sent.map_err(|_| garbled())?;
    if desk.queue.is_full() {
        let next = "Wait until some are answered, and send it again.";
        return Err(Refused::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "Too many photos wait already.",
            next,
        ));
    }
    let numbers = timeout(SLOW, all(&desk, sent))
        .await
        .map_err(|_| slow())??;
    match numbers[..] {
        [] => Err(Refused::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "No photo came.",
            AGAIN,
        )),
        [one] => Ok(Redirect::to(&format!("/photo/{one}"))),
        _ => Ok(Redirect::to("/photos")),
    }
}

/// The photos of a sending, by number. None is begun before all of them and what was chosen for them are there.
async fn all(desk: &Shared, mut sent: Multipart) -> Result<Vec<u32>, Refused> {
    let (mut chosen, mut photos) = (Chosen::default(), Vec::new());
    while let Some(field) = next(&mut sent).await? {
        let name = field.name().unwrap_or_default().to_owned();
        if name != "photo" {
            if !chosen.take(&name, text(field).await?) {
                return Err(garbled());
            }
            continue;
        }
        if photos.len() == MOST_PHOTOS {
            let says = format!("More than {MOST_PHOTOS} photos came at once.");
            return Err(Refused::new(
                StatusCode::PAYLOAD_TOO_LARGE,
                says,
                "Send them in two parts.",
            ));
        }
        photos.extend(photo(desk, field).await?);
    }
    chosen.size().map_err(|says| {
        Refused::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            says,
            "Go back, and type both sides, or none.",
        )
    })?;
    let numbers = photos.into_iter().map(|(number, folder)| {
        desk.queue.take(number, chosen.clone(), folder);
        work::begin(desk, number);
        number
    });
    Ok(numbers.collect())
}

async fn next(sent: &mut Multipart) -> Result<Option<Field<'_>>, Refused> {
    let field = timeout(STALLED, sent.next_field()).await;
    field
        .map_err(|_| slow())?
        .map_err(|error| broken_off(error.status()))
}

/// A photo written to a file of its own; nothing where its field is empty, as it is where none was chosen.
async fn photo(desk: &Shared, mut field: Field<'_>) -> Result<Option<(u32, TempDir)>, Refused> {
    let unwritten = |error| Refused::of(&desk.unwritten(&desk.private, error));
    let number = desk.queue.number();
    let folder = TempDir::new_in(&desk.private).map_err(unwritten)?;
    let mut file = File::create(folder.path().join(queue::name(number)))
        .await
        .map_err(unwritten)?;
    let mut bytes = 0;
    loop {
        let piece = timeout(STALLED, field.chunk()).await.map_err(|_| slow())?;
        let Some(piece) = piece.map_err(|error| broken_off(error.status()))? else {
            break;
        };
        bytes += piece.len() as u64;
        if bytes > MOST_BYTES {
            let says = format!("A photo is larger than {} MB.", MOST_BYTES >> 20);
            let next = "Photograph it with 12 megapixels; that is plenty.";
            return Err(Refused::new(StatusCode::PAYLOAD_TOO_LARGE, says, next));
        }
        file.write_all(&piece).await.map_err(unwritten)?;
    }
    file.flush().await.map_err(unwritten)?;
    Ok((bytes > 0).then_some((number, folder)))
}

/// The text of a field.
async fn text(mut field: Field<'_>) -> Result<String, Refused> {
    let mut text = Vec::new();
    loop {
        let piece = timeout(STALLED, field.chunk()).await.map_err(|_| slow())?;
        match piece.map_err(|error| broken_off(error.status()))? {
            Some(piece) if text.len() + piece.len() <= MOST_TEXT => text.extend_from_slice(&piece),
            Some(_) => return Err(garbled()),
            None => return String::from_utf8(text).map_err(|_| garbled()),
        }
    }
}

fn slow() -> Refused {
    Refused::new(
        StatusCode::REQUEST_TIMEOUT,
        "The photo stopped coming half way.",
        AGAIN,
    )
}

fn broken_off(status: StatusCode) -> Refused {
    if status == StatusCode::PAYLOAD_TOO_LARGE {
        return Refused::new(
            status,
            "More came at once than is taken.",
            "Send fewer photos at once.",
        );
    }
    garbled()
}

fn garbled() -> Refused {
    Refused::new(
        StatusCode::BAD_REQUEST,
        "What came could not be read as photos.",
        AGAIN,
    )
}
