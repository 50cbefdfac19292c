//! Importing jobs, and what is usual in the studio.

use std::path::Path;

use super::super::super::{Job, Usual, Writing, job, usual};
use super::super::jobs::{JOBS, JobsFile};
use super::bounded::{shown, unfit};
use super::{Imported, Outcome};
use crate::error::{Result, Unfit};

/// Keeps the jobs that are not there. What is usual here, and which job is current, stays where anything is.
pub(super) fn import_jobs(
    writing: &Writing<'_>,
    folder: &Path,
    file: &JobsFile,
) -> Result<Vec<Imported>> {
    let path = folder.join(JOBS);
    let mut all = Vec::new();
    for new in &file.jobs {
        let name = shown(&new.name);
        let outcome = match outcome_of(writing, new)? {
            Ok(outcome) => outcome,
            Err(why) => Outcome::Refused(unfit(&path, why)),
        };
        if matches!(outcome, Outcome::New) {
            job::add(writing, new)?;
        }
        all.push(Imported { name, outcome });
    }
    let here = usual::kept(&writing.all).map_err(writing.sql())?;
    // What is damaged here is left for its owner to look at.
    let Some(here) = here else { return Ok(all) };
    if !file.usual.is_sound() {
        all.push(Imported {
            name: JOBS.to_owned(),
            outcome: Outcome::Refused(unfit(&path, Unfit::Usual)),
        });
    } else if here.usual == Usual::default() {
        usual::store(writing, &file.usual)?;
    }
    let came = |name: &&String| {
        let one = file
            .jobs
            .iter()
            .zip(&all)
            .find(|(job, _)| job.name == **name);
        one.is_some_and(|(job, one)| job.is_open() && matches!(one.outcome, Outcome::New))
    };
    if let Some(current) = file.current.as_ref().filter(came)
        && here.current.is_none()
    {
        usual::say(writing, usual::CURRENT, current)?;
    }
    Ok(all)
}

/// What is to become of a job, or why it cannot be used.
fn outcome_of(writing: &Writing<'_>, new: &Job) -> Result<std::result::Result<Outcome, Unfit>> {
    let name = shown(&new.name);
    let twice = (1..new.panels.len()).any(|i| new.panels[..i].contains(&new.panels[i]));
    if !new.is_sound() || twice {
        return Ok(Err(Unfit::Job { name }));
    }
    if let Some((there, _)) = job::there(&writing.all, &new.name).map_err(writing.sql())? {
        return Ok(if there == *new {
            Ok(Outcome::There)
        } else {
            Err(Unfit::NameTaken { name })
        });
    }
    for finish in new.panels.iter().chain(&new.sample) {
        if writing.id_of(finish)?.is_none() {
            let name = shown(finish);
            return Ok(Err(Unfit::OfJob { name }));
        }
    }
    Ok(Ok(Outcome::New))
}
