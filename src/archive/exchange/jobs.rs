//! `jobs.json`: the jobs, which of them is current, and what is usual in the studio.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::super::{Archive, Job, Usual};
use super::{SCHEMA, pretty};
use crate::error::{Error, Result};

/// The file of the jobs.
pub const JOBS: &str = "jobs.json";

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JobsFile {
    pub(super) schema: u32,
    pub(super) usual: Usual,
    pub(super) current: Option<String>,
    pub(super) jobs: Vec<Job>,
}

impl Archive {
    /// `jobs.json` with the jobs whose finishes are all among those named, and an error for each that is damaged. Nothing where
    /// nothing is said in it.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn jobs_file(&self, finishes: &BTreeSet<String>) -> Result<(Option<Vec<u8>>, Vec<Error>)> {
        let (mut jobs, mut damaged) = (Vec::new(), Vec::new());
        for job in self.jobs()? {
            match job {
                Err(error) => damaged.push(error),
                Ok(job) => {
                    let leaves = job
                        .panels
                        .iter()
                        .chain(&job.sample)
                        .all(|finish| finishes.contains(finish));
                    jobs.extend(leaves.then_some(job));
                }
            }
        }
        let kept = match self.kept_usual() {
            Err(error) if error.is_loss() => {
                damaged.push(error);
                super::super::usual::Kept::default()
            }
            kept => kept?,
        };
        let leaves = |name: &String| jobs.iter().any(|job| job.name == *name);
        let file = JobsFile {
            schema: SCHEMA,
            current: kept.current.filter(leaves),
            usual: kept.usual,
            jobs,
        };
        let says_nothing = file.jobs.is_empty() && file.usual == Usual::default();
        let text = pretty(&file).map_err(|e| self.damaged(&e))?;
        Ok(((!says_nothing).then_some(text), damaged))
    }
}
