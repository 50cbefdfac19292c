//! The studio's own named steps from light to heavy, and where a panel stands between them.

use super::Studio;
use super::panel::{Panel, PanelSource};
use super::reading::{How, Reader};
use crate::archive::{Archive, Finish, Step};
use crate::compare::Side;
use crate::compare::ladder::{Rung, Standing, rungs, stand};
use crate::error::{Error, Result};

/// What is asked of a panel.
#[derive(Debug, Clone)]
pub struct Request {
    /// A photo, or the name of a kept finish.
    pub panel: String,
    /// The ladder.
    pub on: String,
    /// How a photo is read.
    pub how: How,
}

/// A panel on a ladder.
pub struct OnLadder {
    /// The panel.
    pub panel: Panel,
    /// Name of the ladder.
    pub ladder: String,
    /// Its steps, from light to heavy.
    pub steps: Vec<Step>,
    /// Where the panel stands.
    pub standing: Standing,
}

/// Keeps a ladder of steps from light to heavy. One that does not rise is refused before it takes the place of one that does.
/// Returns the steps with the names that their finishes are kept under.
///
/// # Errors
/// Two steps have one name; a finish is not kept, or not heavier than the one before it; there is a ladder of that name and it is
/// not to be replaced; the archive cannot be written.
pub fn make(name: &str, steps: &[Step], replace: bool, studio: &Studio<'_>) -> Result<Vec<Step>> {
    let mut archive = studio.archive()?;
    for (i, step) in steps.iter().enumerate() {
        if steps[..i].iter().any(|s| s.name == step.name) {
            return Err(Error::StepTwice {
                step: step.name.clone(),
            });
        }
    }
    let finishes = finishes(steps, &archive)?;
    let named = steps.iter().zip(&finishes).map(|(step, finish)| Step {
        name: step.name.clone(),
        finish: finish.name.clone(),
    });
    let steps: Vec<Step> = named.collect();
    rungs(&rungs_of(&steps, &finishes))?;
    archive.store_ladder(name, &steps, &(studio.now)(), replace)?;
    Ok(steps)
}

/// Says where a panel stands.
///
/// # Errors
/// There is no such ladder, or one of its finishes is damaged; the panel cannot be read, or not be judged by.
pub fn place(request: &Request, studio: &Studio<'_>) -> Result<OnLadder> {
    let archive = studio.archive()?;
    let steps = archive.ladder(&request.on)?;
    let finishes = finishes(&steps, &archive)?;
    let reader = Reader::new(&request.how, &archive)?;
    let panel = PanelSource::named(&request.panel, &archive)?.panel(&reader)?;
    Ok(OnLadder {
        standing: stand(panel.side(), &rungs_of(&steps, &finishes))?,
        panel,
        ladder: request.on.clone(),
        steps,
    })
}

fn finishes(steps: &[Step], archive: &Archive) -> Result<Vec<Finish>> {
    let kept = |step: &Step| archive.finish_named(&step.finish);
    steps.iter().map(kept).collect()
}

fn rungs_of<'a>(steps: &'a [Step], finishes: &'a [Finish]) -> Vec<Rung<'a>> {
    let rung = |(step, finish): (&'a Step, &'a Finish)| Rung {
        name: &step.name,
        side: Side {
            name: &finish.name,
            fingerprint: &finish.fingerprint,
        },
    };
    steps.iter().zip(finishes).map(rung).collect()
}
