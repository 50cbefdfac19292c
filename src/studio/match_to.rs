//! A panel set beside a sample: inside what was signed or not, and what the maker decides about it.

use std::path::{Path, PathBuf};

use super::Studio;
use super::panel::{Panel, PanelSource};
use super::reading::{How, Reader, silver_kept};
use super::signed::Signed;
use crate::archive::{Archive, Overruling, question};
use crate::compare::{self, Match, Today, compare_today};
use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, Verdict};
use crate::placement::Given;
use crate::words::file_name;

/// What is asked.
#[derive(Debug, Clone, Default)]
pub struct Request {
    /// A photo, or the name of a kept finish.
    pub panel: String,
    /// The approved sample, or any kept finish.
    pub to: String,
    /// Photos of the sample itself, from the start and the end of the session.
    pub sample_today: Option<[PathBuf; 2]>,
    /// What the maker decides otherwise than the program, and why.
    pub decision: Option<(Verdict, String)>,
    /// How photos are read.
    pub how: How,
}

/// What was found.
pub struct Matched {
    /// The sample.
    pub sample: Signed,
    /// The panel.
    pub panel: Panel,
    /// The comparison.
    pub found: Match,
    /// How alike the sample in the panel's own photo is to what was kept of it, cell by cell, where it lies there.
    pub beside: Option<f64>,
    /// What the maker decided about it.
    pub overruled: Option<Overruling>,
    /// It was decided now, and not before.
    pub just_now: bool,
}

impl Matched {
    /// What holds: the maker's own verdict where there is one.
    #[must_use]
    pub fn holds(&self) -> Verdict {
        let decided = self.overruled.as_ref().map(|o| o.decided);
        decided.unwrap_or(self.found.verdict)
    }
}

/// Compares them, and remembers what the maker decides.
///
/// # Errors
/// The sample is not kept; the panel cannot be read, or not be judged by; a decision has no reason.
pub fn compare(request: &Request, studio: &mut Studio<'_>) -> Result<Matched> {
    let mut archive = studio.archive()?;
    let signed = Signed::named(&request.to, &archive)?;
    let reader = Reader::new(&request.how, &archive)?;
    let source = PanelSource::named(&request.panel, &archive)?;
    let photo = source.photo().map(Path::to_owned);
    let (panel, beside) = match (source.panel(&reader), photo) {
        (
            Err(alone @ (Error::PanelsFound { .. } | Error::PlacementMissing { .. })),
            Some(photo),
        ) if reader.has_no_rig(&photo) => beside_sample(&photo, &reader, &signed, &archive, alone)?,
        (alone, _) => (alone?, None),
    };
    let again = request.sample_today.as_ref();
    let again = again.map(|photos| read_sample(photos, &reader, &signed));
    let again = again.transpose()?;
    let today = match &again {
        Some(photos) => {
            let [start, end] = photos
                .each_ref()
                .map(|(name, fingerprint)| compare::Side { name, fingerprint });
            Some(Today::of(signed.side(), start, end)?)
        }
        None => None,
    };
    let found = compare_today(signed.side(), panel.side(), &signed.terms(), today.as_ref())?;
    let overruled = match &request.decision {
        Some((decided, reason)) => {
            let decided = decide(*decided, reason, &found, (&signed, &panel), studio)?;
            archive.overrule(&decided)?;
            Some(decided)
        }
        None => {
            let before = archive.overruled(&panel.fingerprint, &signed.sample.name);
            studio.sound(before)?.flatten()
        }
    };
    Ok(Matched {
        sample: signed,
        panel,
        found,
        beside,
        overruled,
        just_now: request.decision.is_some(),
    })
}

/// The panel of a photo in which the sample lies too, and how alike that is to what was kept of it. Where there are no two panels
/// what was wrong with the photo of one stays wrong.
fn beside_sample(
    photo: &Path,
    reader: &Reader,
    signed: &Signed,
    archive: &Archive,
    alone: Error,
) -> Result<(Panel, Option<f64>)> {
    let silver = silver_kept(&signed.sample, archive)?;
    match reader.read_beside(photo, &signed.sample, &silver) {
        Err(Error::NoTwoPanels { .. }) => Err(alone),
        // Something else beside the panel is no sample: what is missing is the size.
        Err(Error::SampleNotSeen { .. }) if matches!(alone, Error::PlacementMissing { .. }) => {
            Err(alone)
        }
        read => read.map(|b| (Panel::read(photo, b.reading), Some(b.alike))),
    }
}

/// The session's photos of the sample: they show it in its own size and stage, each with its own placement file.
fn read_sample(
    photos: &[PathBuf; 2],
    reader: &Reader,
    signed: &Signed,
) -> Result<[(String, Fingerprint); 2]> {
    let kept = &signed.sample.fingerprint.provenance.placement;
    let reader = reader.with(Given {
        size: Some(kept.size),
        patch_reflectance: Some(kept.patch_reflectance),
        side: Some(kept.side),
        stage: kept.stage,
        ..Given::default()
    });
    let read = |photo: &PathBuf| {
        let reading = reader.read_fit(photo)?;
        Ok::<_, Error>((file_name(photo), reading.fingerprint))
    };
    let [start, end] = photos;
    Ok([read(start)?, read(end)?])
}

fn decide(
    decided: Verdict,
    reason: &str,
    found: &Match,
    (signed, panel): (&Signed, &Panel),
    studio: &Studio<'_>,
) -> Result<Overruling> {
    if reason.trim().is_empty() {
        return Err(Error::NoReason);
    }
    Ok(Overruling {
        made_at: (studio.now)(),
        sample: signed.sample.name.clone(),
        panel: panel.name.clone(),
        photo_digest: panel.fingerprint.provenance.photo_digest.clone(),
        found: found.verdict,
        decided,
        reason: reason.trim().to_owned(),
        question: Some(question(&panel.fingerprint)),
    })
}
