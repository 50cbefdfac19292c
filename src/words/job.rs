//! What is said of a job, and of what is usual in the studio.

use std::path::Path;

use super::captions::{side, stage};
use super::{day, list};
use crate::archive::{Job, LengthUnit, Usual, UsualPaper};
use crate::units::SizeMm;

/// Stands above every answer that is given in a job.
#[must_use]
pub fn heading(name: &str) -> String {
    format!("Job `{name}`")
}

/// Whether it is current, open or closed, and since when.
#[must_use]
pub fn state(job: &Job, is_current: bool) -> String {
    let name = &job.name;
    match &job.closed_at {
        Some(closed) => format!("`{name}` was closed on {}.", day(closed)),
        None if is_current => format!(
            "`{name}` is the current job, begun on {}.",
            day(&job.opened_at)
        ),
        None => format!("`{name}` is open, begun on {}.", day(&job.opened_at)),
    }
}

/// What is known of a job: names, and what holds of them. A length is said in the studio's own unit.
#[must_use]
pub fn facts(job: &Job, unit: Option<LengthUnit>) -> Vec<(&'static str, String)> {
    let details = &job.details;
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let wall = details.wall.map(|wall| {
        format!(
            "{} across, {} down: {} panels",
            wall.across,
            wall.down,
            wall.across * wall.down
        )
    });
    vec![
        ("Client", text(&details.client)),
        ("Room", text(&details.room)),
        ("Sample", text(&job.sample)),
        ("Rig", text(&job.rig)),
        (
            "Panel size",
            details.size.map_or_else(String::new, |s| size(s, unit)),
        ),
        (
            "Stage",
            details
                .stage
                .map_or_else(String::new, |s| stage(Some(s)).to_owned()),
        ),
        (
            "Photographed from",
            details
                .side
                .map_or_else(String::new, |s| side(s).to_owned()),
        ),
        ("Wall", text(&wall)),
        (
            "Looked at from",
            details
                .viewed_from_m
                .map_or_else(String::new, |m| format!("{m} m")),
        ),
        ("Sheets go into", text(&details.folder)),
        ("Photos come into", text(&details.camera_folder)),
        ("Panels", panels(job)),
    ]
}

/// The panels made for it, and how many are wanted.
fn panels(job: &Job) -> String {
    let names: Vec<&str> = job.panels.iter().map(String::as_str).collect();
    let wanted = job.details.wall.map(|wall| wall.across * wall.down);
    match (names.len(), wanted) {
        (0, _) => "none yet".to_owned(),
        (made, Some(wanted)) => format!("{made} of {wanted}: {}", list(&names)),
        (made, None) => format!("{made}: {}", list(&names)),
    }
}

/// A size in the studio's own unit, inches to the eighth.
fn size(size: SizeMm, unit: Option<LengthUnit>) -> String {
    let eighths = |mm: f64| (mm / 25.4 * 8.0).round() / 8.0;
    match unit {
        Some(LengthUnit::In) => format!("{} x {} in", eighths(size.width), eighths(size.height)),
        Some(LengthUnit::Mm) | None => size.to_string(),
    }
}

/// What to do next in a job that was begun.
#[must_use]
pub fn next(job: &Job) -> &'static str {
    match job.sample {
        Some(_) => "Every command works in it now: paneprint match PHOTO, paneprint keep PHOTO.",
        None => "It has no sample yet: paneprint job change --sample NAME.",
    }
}

/// A sample that was kept with its job.
#[must_use]
pub fn sample_kept(name: &str) -> String {
    format!("Its sample is kept as `{name}`. Once it is signed: paneprint approve \"{name}\".")
}

/// A sample that nobody signed.
#[must_use]
pub fn not_signed(name: &str) -> String {
    format!("Its sample is not signed yet: paneprint approve \"{name}\".")
}

/// No job is current.
pub const NONE: &str = "No job is current.";

/// How one comes about.
pub const BEGIN: &str = "Begin one: paneprint job new NAME --sample NAME --rig NAME --size WxHmm.";

/// There are some.
pub const TAKE_UP: &str =
    "Go on with one: paneprint job use NAME. All of them: paneprint job list.";

/// A panel that was kept in a job.
#[must_use]
pub fn kept_in_job(name: &str, job: &str, archive: &Path) -> String {
    format!(
        "Kept as `{name}` in {}, a panel of the job `{job}`",
        archive.display()
    )
}

/// The wall of a job while there are not as many panels as places.
#[must_use]
pub fn wall_later(places: usize, panels: usize) -> String {
    format!(
        "The wall has {places} places and there are {panels} panels: they are hung in one row for now."
    )
}

/// Panels that were left out of a set.
#[must_use]
pub fn left_out(names: &[&str]) -> String {
    match names {
        [one] => format!("{one} could not be used, and is left out."),
        names => format!("{} could not be used, and are left out.", list(names)),
    }
}

/// What is usual: names, and what holds of them.
#[must_use]
pub fn usual(usual: &Usual) -> Vec<(&'static str, String)> {
    let paper = usual.paper.map(|paper| match paper {
        UsualPaper::A4 => "A4",
        UsualPaper::Letter => "Letter",
    });
    let unit = usual.units.map(|unit| match unit {
        LengthUnit::Mm => "millimetres",
        LengthUnit::In => "inches",
    });
    let said = |text: Option<&str>| text.unwrap_or_default().to_owned();
    vec![
        ("Rig", said(usual.rig.as_deref())),
        ("Stage", said(usual.stage.map(|s| stage(Some(s))))),
        ("Photographed from", said(usual.side.map(side))),
        ("Paper", said(paper)),
        ("Sizes are said in", said(unit)),
        ("Photos come into", said(usual.camera_folder.as_deref())),
    ]
}

/// What that means.
pub const USUAL: &str = "This holds wherever neither the job nor what is typed says otherwise.";

/// Nothing is usual yet.
pub const NOTHING_USUAL: &str =
    "Nothing is said yet. Say it once: paneprint studio --rig NAME --stage dry --paper a4.";

/// A folder is being watched.
#[must_use]
pub fn watching(folder: &Path) -> String {
    format!(
        "Watching {}. Take the photos; each is answered as it comes in. End with Ctrl-C.",
        folder.display()
    )
}
