//! A photo of the bench read and answered: the same reading, comparison and document as on the command line.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use maud::{Markup, html};

use super::desk::{Desk, Heard, Shared};
use super::next::{is_about_place, next, said};
use super::queue::{Answered, Photo, Stand, Unfit, Unsure};
use super::swept::swept;
use crate::commands::match_to;
use crate::document::reading::{self, Named};
use crate::document::{Block, Document, page};
use crate::draw::{embedded, picture};
use crate::error::{Error, Result};
use crate::frame::placement::Sighting;
use crate::intake;
use crate::quality::Flag;
use crate::studio::check::look;
use crate::studio::keep::{Place, ToKeep};
use crate::studio::match_to::{Matched, Request, compare};
use crate::studio::reading::{How, Reader, silver_kept, silver_read};
use crate::words;

/// Long side of a photo that is shown in large, pixels: all of 12 megapixels.
const LARGE_PX: usize = 4096;

/// The file of it.
const LARGE: &str = "large.jpg";

/// Nothing of the studio's own decided.
const ONLY_A_START: &str = "The allowances are only a start, not the studio's own: keep the lightest and the darkest signed piece, and approve the sample with them on the command line.";

/// Sends a photo to be read, when its turn comes.
pub(super) fn begin(desk: &Shared, number: u32) {
    let desk = desk.clone();
    tokio::spawn(async move {
        let Some(turn) = desk.queue.turn_to_read().await else {
            return;
        };
        desk.queue
            .change(number, |photo| photo.stand = Stand::Reading);
        let Some(photo) = desk.queue.photo(number) else {
            return;
        };
        let at = desk.clone();
        let read = tokio::task::spawn_blocking(move || read(&photo, &at));
        let stand = read.await.unwrap_or_else(|_| failed());
        desk.queue.change(number, |photo| {
            photo.stand = stand;
            photo.said.decided = None;
        });
        drop(turn);
    });
}

/// The program itself failed.
fn failed() -> Stand {
    Stand::Unfit(Arc::new(Unfit {
        says: words::FAILED[0]
            .trim_start_matches("paneprint: ")
            .to_owned(),
        next: words::FAILED[1].trim().to_owned(),
        wants_size: false,
        may_go_on: false,
    }))
}

/// Reads a photo; what stops it is an answer too.
fn read(photo: &Photo, desk: &Desk) -> Stand {
    let answer = if photo.chosen.sample.is_empty() {
        alone(photo, desk)
    } else {
        beside_sample(photo, desk)
    };
    match answer {
        Ok(answered) => Stand::Answered(Arc::new(answered)),
        Err(error) => unanswered(photo, &error, desk),
    }
}

/// How a photo is read: by what was chosen for it, and what was said of it.
fn how(photo: &Photo) -> How {
    // What is typed was looked at when the photo came.
    let mut how = photo.chosen.how().unwrap_or_default();
    how.given.corners = photo.said.corners;
    how.given.patches = photo.said.patches.clone().unwrap_or_default();
    how.anyway = photo.said.anyway;
    how
}

fn matched(photo: &Photo, desk: &Desk, heard: &mut Heard) -> Result<Matched> {
    let request = Request {
        panel: photo.file().to_string_lossy().into_owned(),
        to: photo.chosen.sample.clone(),
        decision: photo.said.decided.clone(),
        how: how(photo),
        ..Request::default()
    };
    compare(&request, &mut desk.studio(heard))
}

/// The panel beside the sample.
fn beside_sample(photo: &Photo, desk: &Desk) -> Result<Answered> {
    let mut heard = Heard::default();
    let matched = matched(photo, desk, &mut heard)?;
    let archive = desk.studio(&mut heard).archive()?;
    let silver = [
        silver_kept(&matched.sample.sample, &archive)?,
        matched.panel.silver(&archive)?,
    ];
    let mut document = match_to::answer(&matched, Some(&silver))?.document;
    let names = [
        matched.sample.sample.name.as_str(),
        matched.panel.name.as_str(),
    ];
    let sweep = Block::Part(
        "One swept over the other",
        vec![Block::Drawing(swept(names, &silver)?)],
    );
    after_the_first_part(&mut document, sweep);
    let placement = &matched.panel.fingerprint.provenance.placement;
    answered(
        photo,
        document,
        placement.into(),
        Some(matched.holds()),
        heard,
        desk,
    )
}

/// The panel alone.
fn alone(photo: &Photo, desk: &Desk) -> Result<Answered> {
    let (reading, heard) = read_alone(photo, desk)?;
    let file = photo.file();
    let named = Named::of_photo(&file, &reading.fingerprint);
    let document = reading::document(&named, Some(&silver_read(&reading)))?;
    let sighting = Sighting::from(&reading.fingerprint.provenance.placement);
    answered(photo, document, sighting, None, heard, desk)
}

fn read_alone(photo: &Photo, desk: &Desk) -> Result<(crate::pipeline::Reading, Heard)> {
    let mut heard = Heard::default();
    let studio = desk.studio(&mut heard);
    let reader = Reader::open(&how(photo), &studio)?;
    let reading = reader.read_fit(&photo.file())?;
    Ok((reading, heard))
}

/// The answer with the photo drawn, figures folded, laid out for a page.
fn answered(
    photo: &Photo,
    mut document: Document,
    sighting: Sighting,
    verdict: Option<crate::compare::Verdict>,
    heard: Heard,
    desk: &Desk,
) -> Result<Answered> {
    let sentences = document.sentences();
    // What to do leads where something was compared: the third line says it.
    let headline = [
        sentences.first(),
        sentences.get(2).filter(|_| verdict.is_some()),
    ];
    let headline: Vec<String> = headline
        .into_iter()
        .flatten()
        .map(|s| page::quoted(s))
        .collect();
    document.remark(heard.0);
    at_the_bench(&mut document);
    fold_figures(&mut document);
    let found = Block::Part(
        "What was found in the photo",
        vec![Block::Drawing(found(photo, &sighting))],
    );
    let first = document
        .blocks
        .iter()
        .position(|block| matches!(block, Block::OnPage(_)));
    match first.map(|at| &mut document.blocks[at]) {
        Some(Block::OnPage(blocks)) => blocks.insert(0, found),
        _ => document.push(found),
    }
    let sheet = desk.lay(&page::within(&document).into_string())?;
    Ok(Answered {
        verdict,
        headline: headline.join(" "),
        sheet,
        sighting,
    })
}

/// The photo with what was found; drawn when it is first asked for, so that the answer need not wait.
fn found(photo: &Photo, sighting: &Sighting) -> Markup {
    let number = photo.number;
    let how = words::found(sighting).unwrap_or_else(|| words::CORNERS_GIVEN.to_owned());
    html! {
        figure {
            img src={ "/photo/" (number) "/found.jpg" } alt={ (photo.name()) " with the panel's outline and the patches drawn on it" } loading="lazy";
            figcaption { (how) " " a href={ "/photo/" (number) "/corners" } { "Set the corners by hand" } }
        }
    }
}

/// What is said with options of the command line, as it is meant here.
fn at_the_bench(document: &mut Document) {
    for block in &mut document.blocks {
        if let Block::Remark(said) = block
            && *said == words::ONLY_A_START
        {
            *said = ONLY_A_START.to_owned();
        }
    }
}

/// Figures are for those who ask: folded, at the end.
pub(super) fn fold_figures(document: &mut Document) {
    let is_figures = |block: &mut Block| matches!(block, Block::Figures(_));
    let figures: Vec<Block> = document.blocks.extract_if(.., is_figures).collect();
    let written = figures.iter().map(page::written);
    let folded = html! {
        details { summary { "Every figure" } @for figures in written { (figures) } }
    };
    document.push(Block::Drawing(folded));
}

/// Puts a part after the first one of what a page alone shows.
fn after_the_first_part(document: &mut Document, part: Block) {
    for block in &mut document.blocks {
        if let Block::OnPage(blocks) = block {
            let at = blocks.len().min(1);
            blocks.insert(at, part);
            return;
        }
    }
}

/// Where a photo stands that has no answer.
fn unanswered(photo: &Photo, error: &Error, desk: &Desk) -> Stand {
    let unsure = Flag::PlaceUnsure.facts().meaning;
    let place_unsure =
        matches!(error, Error::PictureNotUsable { meaning, .. } if *meaning == unsure);
    if (place_unsure || is_about_place(error)) && photo.said.corners.is_none() {
        let why = if place_unsure {
            unsure.to_owned()
        } else {
            said(error)
        };
        if let Some(unsure) = to_place(photo, why, place_unsure, desk) {
            return Stand::Unsure(Arc::new(unsure));
        }
    }
    let (says, may_go_on) = match error {
        Error::PictureNotUsable { meaning, .. } => ((*meaning).to_owned(), true),
        error => (said(error), false),
    };
    Stand::Unfit(Arc::new(Unfit {
        says,
        next: page::quoted(next(error)),
        wants_size: matches!(error, Error::PlacementMissing { .. }),
        may_go_on,
    }))
}

/// What was found in a photo in which it is not sure where things lie; nothing where the photo cannot be shown.
fn to_place(photo: &Photo, why: String, look_again: bool, desk: &Desk) -> Option<Unsure> {
    let seen = look_again.then(|| {
        let mut heard = Heard::default();
        let studio = desk.studio(&mut heard);
        let reader = Reader::open(&how(photo), &studio).ok()?;
        look(&photo.file(), &reader).ok()?.sighting()
    });
    let size_px = large(photo).ok()?;
    desk.queue
        .change(photo.number, |photo| photo.size_px = Some(size_px));
    Some(Unsure {
        why,
        sighting: seen.flatten(),
    })
}

/// Makes the photo's large picture; width and height of the photo itself, pixels.
///
/// # Errors
/// The photo cannot be opened, or the picture not be written.
pub(super) fn large(photo: &Photo) -> Result<[usize; 2]> {
    let opened = intake::read(&photo.file(), &intake::Limits::default())?;
    let picture = picture::shown(&opened, LARGE_PX);
    write(&photo.picture(LARGE), &embedded::jpeg(&picture)?)?;
    Ok([opened.width, opened.height])
}

/// The photo's large picture, once it was made.
///
/// # Errors
/// It was not.
pub(super) fn large_picture(photo: &Photo) -> Result<Vec<u8>> {
    picture_of(&photo.picture(LARGE))
}

/// The photo with what was found drawn on it.
///
/// # Errors
/// The photo cannot be opened, or the picture not be written.
pub(super) fn found_picture(photo: &Photo, sighting: &Sighting) -> Result<Vec<u8>> {
    let opened = intake::read(&photo.file(), &intake::Limits::default())?;
    embedded::jpeg(&picture::placed(&opened, sighting))
}

/// Keeps what a photo shows under a name, or under its number in the job: it is read once more, for nothing of a reading waits in
/// memory. Returns the name.
///
/// # Errors
/// The name is taken, or none; the archive cannot be written.
pub(super) fn keep(
    photo: &Photo,
    name: &str,
    notes: &str,
    with_photo: bool,
    desk: &Desk,
) -> Result<String> {
    let mut heard = Heard::default();
    let file = photo.file();
    let mut archive = desk.studio(&mut heard).archive_or_new()?;
    let reading = if photo.chosen.sample.is_empty() {
        None
    } else {
        matched(photo, desk, &mut heard)?.panel.into_reading()
    };
    let reading = match reading {
        Some(reading) => reading,
        None => read_alone(photo, desk)?.0,
    };
    let to_keep = ToKeep::of(reading)?;
    let to_keep = if with_photo {
        to_keep.with_photo(&file)?
    } else {
        to_keep
    };
    let job = Some(photo.chosen.job.as_str()).filter(|job| !job.is_empty());
    let place = Place {
        given: Some(name).filter(|name| job.is_none() || !name.is_empty()),
        photos: 1,
        job,
    };
    let (kept_at, photo_name) = ((desk.now)(), photo.name());
    let name = place.name(&file, &to_keep, &archive)?;
    place.keep(
        &to_keep.new_finish(&name, &kept_at, &photo_name, notes),
        &mut archive,
    )?;
    Ok(name)
}

fn write(file: &Path, bytes: &[u8]) -> Result<()> {
    fs::write(file, bytes).map_err(|source| Error::Io {
        path: file.to_owned(),
        action: "written",
        source,
    })
}

fn picture_of(file: &Path) -> Result<Vec<u8>> {
    fs::read(file).map_err(|source| Error::Io {
        path: file.to_owned(),
        action: "read",
        source,
    })
}
