//! The studio's fixed corner: learnt from a plain mirror, and studied for what it repeats.

use std::path::PathBuf;

use super::Studio;
use super::reading::{How, Reader};
use super::several::all;
use crate::compare::study::Session as Studied;
use crate::compare::{Side, Study, study};
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::normalize::Rig;
use crate::pipeline;
use crate::placement::Given;
use crate::settings::Settings;
use crate::words::file_name;

/// What a rig is learnt from.
#[derive(Debug, Clone)]
pub struct Lesson {
    /// The name for the rig.
    pub name: String,
    /// Photo of a plain, unaged mirror in the panel's place.
    pub plain: PathBuf,
    /// Photo of the card of greys alone; where it lies there is then said by the steps given.
    pub card: Option<PathBuf>,
    /// Where things lie.
    pub given: Given,
    /// It takes the place of one of its name.
    pub replace: bool,
}

/// A rig that was learnt and kept.
pub struct Learnt {
    /// It.
    pub rig: Rig,
    /// A study of an older one of its name went with that.
    pub study_dropped: bool,
}

/// Learns a rig and keeps it.
///
/// # Errors
/// There is a rig of that name and it is not to be replaced; the mirror cannot be found or learnt from; the archive cannot be
/// written.
pub fn learn(lesson: &Lesson, studio: &Studio<'_>) -> Result<Learnt> {
    let Lesson {
        name, plain, card, ..
    } = lesson;
    let (given, settings) = (lesson.given.clone(), Settings::default());
    if !lesson.replace {
        // That is said before a photo is read.
        studio.archive()?.refuse_rig(name)?;
    }
    let rig = pipeline::learn_rig_by(name, plain, card.as_deref(), given, &settings)?;
    let mut archive = studio.archive_or_new()?;
    let study_dropped = archive.store_rig(&rig, &(studio.now)(), lesson.replace)?;
    Ok(Learnt { rig, study_dropped })
}

/// The photos of one session.
#[derive(Debug, Clone, Default)]
pub struct Session {
    /// Its name; empty where none was given.
    pub name: String,
    /// The photos of each panel, the same panels in every session.
    pub panels: Vec<Vec<PathBuf>>,
}

/// What a study is made of.
#[derive(Debug, Clone)]
pub struct Request {
    /// The rig.
    pub rig: String,
    /// The photos.
    pub sessions: Vec<Session>,
    /// Where things lie in them.
    pub given: Given,
}

/// Studies a rig, and keeps what was found with it.
///
/// # Errors
/// There is no such rig; a photo cannot be read or judged by; the panels cannot be compared.
pub fn study_of(request: &Request, studio: &mut Studio<'_>) -> Result<Study> {
    // A picture that cannot be judged by would pass for the rig's own scatter: nothing goes on anyway here.
    let how = How {
        given: request.given.clone(),
        rig: Some(request.rig.clone()),
        ..How::default()
    };
    // A rig that is not there is said before an hour of photos is read.
    let reader = Reader::new(&how, &studio.archive()?)?;
    let photos = request.sessions.iter();
    let photos: Vec<&PathBuf> = photos.flat_map(|s| s.panels.iter().flatten()).collect();
    let read = |photo: &&PathBuf| reader.read_fit(photo).map(|r| r.fingerprint);
    let readings = all(&photos, |photo| file_name(photo), read, studio.hear)?;
    let named = photos.iter().map(|photo| file_name(photo)).zip(readings);
    let named: Vec<(String, Fingerprint)> = named.collect();
    let mut sides = named
        .iter()
        .map(|(name, fingerprint)| Side { name, fingerprint });
    let sessions: Vec<Studied<'_>> = request
        .sessions
        .iter()
        .map(|session| Studied {
            name: &session.name,
            panels: session
                .panels
                .iter()
                .map(|photos| sides.by_ref().take(photos.len()).collect())
                .collect(),
        })
        .collect();
    let found = study(&sessions)?;
    let mut archive = studio.archive()?;
    archive.store_study(&request.rig, &found.repeatability, &(studio.now)())?;
    Ok(found)
}
