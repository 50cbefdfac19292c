//! Jobs: what is said again and again of the panels of one order, said once, and the panels made for it. One of them is the
//! current one, which [`super::usual`] keeps.

mod details;

use rusqlite::{Connection, OptionalExtension, params};

use super::text::{Json, fit_name};
use super::usual::{CURRENT, forget, kept, say};
use super::{Archive, NewFinish, Writing};
use crate::error::{Error, Result};

pub use details::{Job, JobDetails, WallSize};

impl Archive {
    /// Begins a job, which is the current one from now on, and keeps its sample with it where that is new.
    ///
    /// # Errors
    /// There is a job of that name, or the name is empty or unprintable; its sample or a panel is not kept; the archive cannot be
    /// written.
    pub fn begin_job(&mut self, job: &Job, sample: Option<&NewFinish<'_>>) -> Result<()> {
        fit_job(job)?;
        sample.map_or(Ok(()), |sample| fit_name(sample.name))?;
        self.write(|writing| {
            if there(&writing.all, &job.name)
                .map_err(writing.sql())?
                .is_some()
            {
                return Err(Error::JobThere {
                    name: job.name.clone(),
                });
            }
            sample.map_or(Ok(()), |sample| sample.add(writing))?;
            add(writing, job)?;
            say(writing, CURRENT, &job.name)
        })
    }

    /// Writes down what has changed of a job: its name, what it says, whether it is closed. Its panels stay as they are. A job
    /// that is closed is no longer the current one.
    ///
    /// # Errors
    /// There is no such job, or another of the new name; its sample is not kept; the archive cannot be written.
    pub fn change_job(&mut self, name: &str, job: &Job) -> Result<()> {
        fit_job(job)?;
        self.write(|writing| {
            let current = kept(&writing.all).map_err(writing.sql())?;
            let current = current.is_some_and(|kept| kept.current.as_deref() == Some(name));
            let taken = job.name != name
                && there(&writing.all, &job.name)
                    .map_err(writing.sql())?
                    .is_some();
            if taken {
                return Err(Error::JobThere {
                    name: job.name.clone(),
                });
            }
            let (sample, details) = columns(writing, job)?;
            let changed = writing.run(
                include_str!("../sql/change_job.sql"),
                params![name, job.name, job.closed_at, sample, job.rig, details],
            )?;
            if changed == 0 {
                return Err(no_such(name, writing.path));
            }
            match (current, job.is_open()) {
                (true, true) => say(writing, CURRENT, &job.name),
                (true, false) => forget(writing, CURRENT),
                (false, _) => Ok(()),
            }
        })
    }

    /// Makes a job the current one, or none.
    ///
    /// # Errors
    /// There is no such job, or it is closed; the archive cannot be written.
    pub fn use_job(&mut self, name: Option<&str>) -> Result<()> {
        self.write(|writing| match name {
            Some(name) => {
                open_there(writing, name)?;
                say(writing, CURRENT, name)
            }
            None => forget(writing, CURRENT),
        })
    }

    /// Notes kept finishes as panels of a job, after those that it has; what is among them already stays where it is.
    ///
    /// # Errors
    /// There is no such job, or it is closed; a finish is not kept; the archive cannot be written.
    pub fn add_to_job(&mut self, job: &str, finishes: &[String]) -> Result<()> {
        self.write(|writing| {
            finishes
                .iter()
                .try_for_each(|finish| note(writing, job, finish))
        })
    }

    /// Takes finishes out of a job. They stay kept.
    ///
    /// # Errors
    /// There is no such job, or one of them is no panel of it; the archive cannot be written.
    pub fn take_out_of_job(&mut self, job: &str, finishes: &[String]) -> Result<()> {
        self.write(|writing| {
            let id = id_of(writing, job)?;
            for finish in finishes {
                let taken = writing.run(
                    "DELETE FROM job_panel WHERE job_id = ?1 AND finish_id = ?2",
                    params![id, writing.id_named(finish)?],
                )?;
                if taken == 0 {
                    return Err(Error::NotOfJob {
                        name: finish.clone(),
                        job: job.to_owned(),
                    });
                }
            }
            Ok(())
        })
    }

    /// Keeps a finish and notes it as a panel of a job, both or neither.
    ///
    /// # Errors
    /// As for [`Archive::keep`]; there is no such job, or it is closed.
    pub fn keep_in_job(&mut self, job: &str, new: &NewFinish<'_>) -> Result<()> {
        fit_name(new.name)?;
        self.write(|writing| {
            new.add(writing)?;
            note(writing, job, new.name)
        })
    }

    /// The name that the next panel of a job gets: the job's own with the number after the last. No number comes twice, also where
    /// a panel has another name by now.
    ///
    /// # Errors
    /// There is no such job; the archive cannot be read.
    pub fn next_in_job(&self, job: &str) -> Result<String> {
        let number = |name: String| -> Option<u64> {
            let (of, number) = name.rsplit_once('-')?;
            let is_of_job = of.to_lowercase() == job.to_lowercase();
            is_of_job.then(|| number.parse().ok()).flatten()
        };
        let names: Vec<String> = self.read(|file| {
            file.prepare_cached("SELECT name FROM finish")?
                .query_map([], |row| row.get(0))?
                .collect()
        })?;
        let named = names.into_iter().filter_map(number).max().unwrap_or(0);
        let made = "SELECT coalesce(max(place), 0) FROM job_panel JOIN job ON job.id = job_id WHERE name = ?1";
        let made: i64 = self.one(made, job, |row| row.get(0))?.unwrap_or(0);
        let last = named.max(u64::try_from(made).unwrap_or(0));
        Ok(format!("{job}-{}", last.saturating_add(1)))
    }

    /// The panel of a job that was read from this very photo, where there is one.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn of_photo_in_job(&self, job: &str, photo_digest: &str) -> Result<Option<String>> {
        self.read(|file| {
            file.prepare_cached(include_str!("../sql/photo_in_job.sql"))?
                .query_row([job, photo_digest], |row| row.get(0))
                .optional()
        })
    }

    /// The job of a name.
    ///
    /// # Errors
    /// There is none of that name, or it is not what was kept; the archive cannot be read.
    pub fn job(&self, name: &str) -> Result<Job> {
        let found = self.read_jobs(Some(name))?.pop();
        found.ok_or_else(|| no_such(name, &self.path))?
    }

    /// The current job, where there is one.
    ///
    /// # Errors
    /// It is not what was kept; the archive cannot be read.
    pub fn current_job(&self) -> Result<Option<Job>> {
        self.current_name()?.map(|name| self.job(&name)).transpose()
    }

    /// All jobs in the order in which they were begun, those that are damaged as what is wrong with them.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn jobs(&self) -> Result<Vec<Result<Job>>> {
        self.read_jobs(None)
    }

    fn read_jobs(&self, name: Option<&str>) -> Result<Vec<Result<Job>>> {
        let unreadable = |name: &str| Error::JobUnreadable {
            name: name.to_owned(),
            path: self.path.clone(),
        };
        let names: Vec<String> = match name {
            Some(name) => vec![name.to_owned()],
            None => self.read(|file| {
                file.prepare_cached("SELECT name FROM job ORDER BY id")?
                    .query_map([], |row| row.get(0))?
                    .collect()
            })?,
        };
        let mut jobs = Vec::new();
        for name in names {
            match self.read(|file| there(file, &name)) {
                Ok(None) => {}
                Ok(Some((job, true))) if job.is_sound() => jobs.push(Ok(job)),
                Ok(Some(_)) => jobs.push(Err(unreadable(&name))),
                Err(Error::ArchiveDamaged { .. }) => jobs.push(Err(unreadable(&name))),
                Err(other) => return Err(other),
            }
        }
        Ok(jobs)
    }
}

fn fit_job(job: &Job) -> Result<()> {
    fit_name(&job.name)?;
    if job.is_sound() {
        return Ok(());
    }
    Err(Error::JobUnfit {
        name: job.name.clone(),
    })
}

fn no_such(name: &str, path: &std::path::Path) -> Error {
    Error::NoSuchJob {
        name: name.to_owned(),
        path: path.to_owned(),
    }
}

/// The job of a name with its panels, and whether all of it is unchanged.
pub(super) fn there(connection: &Connection, name: &str) -> rusqlite::Result<Option<(Job, bool)>> {
    let row = |row: &rusqlite::Row<'_>| {
        let Json(details) = row.get("details")?;
        let job = Job {
            name: row.get("name")?,
            opened_at: row.get("opened_at")?,
            closed_at: row.get("closed_at")?,
            sample: row.get("sample")?,
            rig: row.get("rig")?,
            details,
            panels: Vec::new(),
        };
        Ok((row.get::<_, i64>("id")?, job, row.get("unchanged")?))
    };
    let found = connection
        .prepare_cached(include_str!("../sql/get_jobs.sql"))?
        .query_row([name], row)
        .optional()?;
    let Some((id, mut job, mut unchanged)) = found else {
        return Ok(None);
    };
    let panels: Vec<(String, bool)> = connection
        .prepare_cached(include_str!("../sql/get_job_panels.sql"))?
        .query_map([id], |row| Ok((row.get("finish")?, row.get("unchanged")?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (panel, sound) in panels {
        unchanged &= sound;
        job.panels.push(panel);
    }
    Ok(Some((job, unchanged)))
}

/// Writes a job that is not there, with its panels.
pub(super) fn add(writing: &Writing<'_>, job: &Job) -> Result<()> {
    let (sample, details) = columns(writing, job)?;
    writing.run(
        include_str!("../sql/add_job.sql"),
        params![
            job.name,
            job.opened_at,
            job.closed_at,
            sample,
            job.rig,
            details
        ],
    )?;
    let id = id_of(writing, &job.name)?;
    for panel in &job.panels {
        add_panel(writing, id, panel)?;
    }
    Ok(())
}

/// The columns of a job that are worked out: the row of its sample, and its details.
fn columns(writing: &Writing<'_>, job: &Job) -> Result<(Option<i64>, String)> {
    let sample = job.sample.as_deref().map(|name| writing.id_named(name));
    let details = serde_json::to_string(&job.details);
    let details = details.map_err(|e| super::damaged(writing.path, &e))?;
    Ok((sample.transpose()?, details))
}

fn id_of(writing: &Writing<'_>, job: &str) -> Result<i64> {
    writing
        .all
        .prepare_cached("SELECT id FROM job WHERE name = ?1")
        .and_then(|mut get| get.query_row([job], |row| row.get(0)).optional())
        .map_err(writing.sql())?
        .ok_or_else(|| no_such(job, writing.path))
}

/// A job that is there and open.
fn open_there(writing: &Writing<'_>, name: &str) -> Result<Job> {
    let found = there(&writing.all, name).map_err(writing.sql())?;
    match found {
        None => Err(no_such(name, writing.path)),
        Some((job, _)) if !job.is_open() => Err(Error::JobClosed { name: job.name }),
        Some((job, _)) => Ok(job),
    }
}

/// Notes a kept finish as a panel of an open job, unless it is one.
fn note(writing: &Writing<'_>, job: &str, finish: &str) -> Result<()> {
    let found = open_there(writing, job)?;
    if found.panels.iter().any(|panel| panel == finish) {
        return Ok(());
    }
    add_panel(writing, id_of(writing, job)?, finish)
}

fn add_panel(writing: &Writing<'_>, job: i64, finish: &str) -> Result<()> {
    let finish = writing.id_named(finish)?;
    writing.run(
        include_str!("../sql/add_job_panel.sql"),
        params![job, finish],
    )?;
    Ok(())
}
