//! Jobs, for any front end: what is said once of an order, and the panels made for it. What that gives to a reading, a match and a
//! wall is in [`super::holds`].

use std::path::{Path, PathBuf};

use super::Studio;
use super::folder;
use super::holds::Holds;
use super::keep::ToKeep;
use super::reading::{How, Reader};
use crate::archive::{Approval, Archive, Job, WallSize};
use crate::compare::wall::arrange::Grid;
use crate::error::{Error, Result};
use crate::frame::placement::{Side, Stage};
use crate::units::{Metres, SizeMm};
use crate::words::file_name;

/// What is said of a job; `None` where nothing is said, and an empty text takes away what was said.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// Its sample: the name of a kept finish.
    pub sample: Option<String>,
    /// The rig its panels are photographed in.
    pub rig: Option<String>,
    /// For whom.
    pub client: Option<String>,
    /// Where the panels will hang.
    pub room: Option<String>,
    /// Size of its panels.
    pub size: Option<SizeMm>,
    /// How far the work has gone when they are photographed.
    pub stage: Option<Stage>,
    /// The side that faces the camera then.
    pub side: Option<Side>,
    /// How they will hang.
    pub wall: Option<Grid>,
    /// From how far they will be looked at.
    pub viewed_from: Option<Metres>,
    /// The folder that its sheets go into.
    pub folder: Option<String>,
    /// The folder that the camera's photos come into.
    pub camera_folder: Option<String>,
}

impl Said {
    /// A job of which this is said now.
    fn of(&self, mut job: Job, archive: &Archive) -> Result<Job> {
        let text = |now: &Option<String>, before: &mut Option<String>| {
            if let Some(now) = now {
                *before = Some(now.trim().to_owned()).filter(|text| !text.is_empty());
            }
        };
        let details = &mut job.details;
        text(&self.sample, &mut job.sample);
        text(&self.rig, &mut job.rig);
        text(&self.client, &mut details.client);
        text(&self.room, &mut details.room);
        text(&self.folder, &mut details.folder);
        text(&self.camera_folder, &mut details.camera_folder);
        details.size = self.size.or(details.size);
        details.stage = self.stage.or(details.stage);
        details.side = self.side.or(details.side);
        let wall = self.wall.map(|grid| WallSize {
            across: grid.cols,
            down: grid.rows,
        });
        details.wall = wall.or(details.wall);
        let metres = self.viewed_from.map(|distance| distance.0);
        details.viewed_from_m = metres.or(details.viewed_from_m);
        // A rig that is not there would be missed only at the first panel.
        if let Some(rig) = job.rig.as_ref().filter(|_| self.rig.is_some()) {
            archive.rig(rig)?;
        }
        for folder in [&mut details.folder, &mut details.camera_folder] {
            *folder = folder.take().map(|folder| folder::from_the_root(&folder));
        }
        Ok(job)
    }
}

/// A job to begin.
#[derive(Debug, Clone, Default)]
pub struct Request {
    /// The studio's name for it.
    pub name: String,
    /// What is said of it; its sample may be the photo of one, which is kept then.
    pub said: Said,
    /// Real size of the sample, where its photo is named and it is not of the panels' size.
    pub sample_size: Option<SizeMm>,
}

/// Begins a job. A sample that is named by its photo is read in the job's rig and kept as `NAME sample`, both or neither.
///
/// # Errors
/// There is a job of that name; its rig or its sample is not kept; the photo cannot be read or not be judged by.
pub fn begin(request: &Request, studio: &mut Studio<'_>) -> Result<Job> {
    let archive = studio.archive()?;
    if archive
        .jobs()?
        .iter()
        .flatten()
        .any(|job| job.name == request.name)
    {
        return Err(Error::JobThere {
            name: request.name.clone(),
        });
    }
    let opened_at = (studio.now)();
    let job = Job {
        name: request.name.clone(),
        opened_at: opened_at.clone(),
        ..Job::default()
    };
    let mut job = request.said.of(job, &archive)?;
    let photo = job.sample.as_ref().map(PathBuf::from);
    let photo = photo.filter(|photo| photo.is_file());
    let photo = match (photo, &job.sample) {
        (Some(photo), Some(sample)) if archive.finish(sample)?.is_none() => Some(photo),
        _ => None,
    };
    let sample = photo.map(|photo| read_sample(&photo, request, &job, &archive));
    let sample = sample.transpose()?;
    if sample.is_some() {
        job.sample = Some(format!("{} sample", job.name));
    }
    drop(archive);
    let mut archive = studio.archive_or_new()?;
    match (&sample, &job.sample) {
        (Some((read, photo)), Some(name)) => {
            let kept = read.new_finish(name, &opened_at, photo, "");
            archive.begin_job(&job, Some(&kept))?;
        }
        _ => archive.begin_job(&job, None)?,
    }
    Ok(job)
}

/// The sample of a job, read from its photo, and the name of that.
fn read_sample(
    photo: &Path,
    request: &Request,
    job: &Job,
    archive: &Archive,
) -> Result<(ToKeep, String)> {
    let holds = Holds {
        job: Some(job.clone()),
        usual: archive.usual()?,
    };
    let mut how = holds.how(How::default());
    how.given.size = request.sample_size;
    let reading = Reader::new(&how, archive)?.read_fit(photo)?;
    // A replacement years on is read again from the photo itself.
    Ok((ToKeep::of(reading)?.with_photo(photo)?, file_name(photo)))
}

/// The job of a name, or the current one where none is named.
///
/// # Errors
/// There is none of that name, or none is current.
pub fn named(name: Option<&str>, studio: &Studio<'_>) -> Result<Job> {
    let archive = studio.archive()?;
    match name {
        Some(name) => archive.job(name),
        None => archive.current_job()?.ok_or(Error::NoJob),
    }
}

/// What was signed of a job's sample; nothing where it is not signed, or the job has none.
///
/// # Errors
/// It has changed since; the archive cannot be read.
pub fn signed_of(job: &Job, studio: &Studio<'_>) -> Result<Option<Approval>> {
    let archive = studio.archive()?;
    let sample = job.sample.as_deref();
    let signed = sample.map(|name| archive.approval(name)).transpose()?;
    Ok(signed.flatten())
}

/// Says more of a job, or otherwise; gives it another name where one is given.
///
/// # Errors
/// As for [`named`]; there is a job of the new name; its rig or its sample is not kept.
pub fn change(
    name: Option<&str>,
    said: &Said,
    renamed: Option<&str>,
    studio: &Studio<'_>,
) -> Result<Job> {
    let before = named(name, studio)?;
    let mut archive = studio.archive()?;
    let mut job = said.of(before.clone(), &archive)?;
    if let Some(renamed) = renamed {
        renamed.clone_into(&mut job.name);
    }
    archive.change_job(&before.name, &job)?;
    Ok(job)
}

/// Closes a job: no panel is kept in it any more, and it is no longer the current one.
///
/// # Errors
/// As for [`named`]; it is closed already.
pub fn close(name: Option<&str>, studio: &Studio<'_>) -> Result<Job> {
    let mut job = named(name, studio)?;
    if !job.is_open() {
        return Err(Error::JobClosed { name: job.name });
    }
    job.closed_at = Some((studio.now)());
    studio.archive()?.change_job(&job.name, &job)?;
    Ok(job)
}

/// Opens a closed job again, the one closed last where none is named, and makes it the current one.
///
/// # Errors
/// There is no such job.
pub fn reopen(name: Option<&str>, studio: &Studio<'_>) -> Result<Job> {
    let mut archive = studio.archive()?;
    let mut job = match name {
        Some(name) => archive.job(name)?,
        None => {
            let closed = archive.jobs()?.into_iter().flatten();
            let closed = closed.filter(|job| !job.is_open());
            let last = closed.max_by(|a, b| a.closed_at.cmp(&b.closed_at));
            last.ok_or(Error::NoJob)?
        }
    };
    job.closed_at = None;
    archive.change_job(&job.name, &job)?;
    archive.use_job(Some(&job.name))?;
    Ok(job)
}

/// Makes a job the current one.
///
/// # Errors
/// There is no such job, or it is closed.
pub fn take_up(name: &str, studio: &Studio<'_>) -> Result<Job> {
    let mut archive = studio.archive()?;
    archive.use_job(Some(name))?;
    archive.job(name)
}

/// No job is current any more; all stay as they are.
///
/// # Errors
/// The archive cannot be written.
pub fn lay_down(studio: &Studio<'_>) -> Result<()> {
    studio.archive()?.use_job(None)
}

/// Notes kept finishes as panels of the current job.
///
/// # Errors
/// No job is current; one of them is not kept.
pub fn add(finishes: &[String], studio: &Studio<'_>) -> Result<Job> {
    let job = named(None, studio)?;
    let mut archive = studio.archive()?;
    archive.add_to_job(&job.name, finishes)?;
    archive.job(&job.name)
}

/// Takes finishes out of the current job; they stay kept.
///
/// # Errors
/// No job is current; one of them is no panel of it.
pub fn take_out(finishes: &[String], studio: &Studio<'_>) -> Result<Job> {
    let job = named(None, studio)?;
    let mut archive = studio.archive()?;
    archive.take_out_of_job(&job.name, finishes)?;
    archive.job(&job.name)
}

/// All jobs in the order in which they were begun, and the name of the current one. What is damaged is heard of, and left out.
///
/// # Errors
/// The archive cannot be read.
pub fn all(studio: &mut Studio<'_>) -> Result<(Vec<Job>, Option<String>)> {
    let archive = studio.archive()?;
    let mut jobs = Vec::new();
    for job in archive.jobs()? {
        jobs.extend(studio.sound(job)?);
    }
    let current = studio.sound(archive.current_job())?.flatten();
    Ok((jobs, current.map(|job| job.name)))
}
