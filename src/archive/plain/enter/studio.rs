//! Taking in rigs and ladders.

use std::path::Path;

use super::super::super::{KeptRig, Writing, fit_name, ladder, rig};
use super::super::SCHEMA;
use super::super::bounded::unfit;
use super::super::studio::{LADDERS, LaddersFile, RIGS, RigsFile};
use super::{Came, Outcome};
use crate::error::{Result, Unfit};

pub(super) fn keep_rigs(writing: &Writing<'_>, folder: &Path, file: RigsFile) -> Result<Vec<Came>> {
    let path = folder.join(RIGS);
    newer(&path, file.schema)?;
    let mut came = Vec::new();
    for new in file.rigs.into_iter().map(KeptRig::from) {
        let name = shown(&new.name);
        let refused = |why| Outcome::Refused(unfit(&path, why));
        let outcome = if new.is_sound() {
            match rig::enter(writing, &new)? {
                None => Outcome::New,
                Some(true) => Outcome::There,
                Some(false) => refused(Unfit::NameTaken { name: name.clone() }),
            }
        } else {
            refused(Unfit::Rig { name: name.clone() })
        };
        came.push(Came { name, outcome });
    }
    for old in file.earlier.into_iter().map(KeptRig::from) {
        let refused = |came: &Came| {
            came.name == shown(&old.name) && matches!(came.outcome, Outcome::Refused(_))
        };
        if !old.is_sound() {
            let name = shown(&old.name);
            let outcome = Outcome::Refused(unfit(&path, Unfit::Rig { name: name.clone() }));
            came.push(Came { name, outcome });
        } else if !came.iter().any(refused) {
            rig::enter_earlier(writing, &old)?;
        }
    }
    Ok(came)
}

pub(super) fn keep_ladders(
    writing: &Writing<'_>,
    folder: &Path,
    file: LaddersFile,
) -> Result<Vec<Came>> {
    let path = folder.join(LADDERS);
    newer(&path, file.schema)?;
    let mut came = Vec::new();
    for new in file.ladders {
        let steps: Vec<ladder::Step> = new
            .steps
            .into_iter()
            .map(|s| ladder::Step {
                name: s.step,
                finish: s.finish,
            })
            .collect();
        let texts = fit_name(&new.name).is_ok() && steps.iter().all(|s| fit_name(&s.name).is_ok());
        let mut missing = None;
        for step in &steps {
            if writing.id_of(&step.finish)?.is_none() {
                missing = Some(step.finish.clone());
            }
        }
        let there = ladder::steps(&writing.all, &new.name).map_err(writing.sql())?;
        let there: Vec<ladder::Step> = there.into_iter().map(|(step, _)| step).collect();
        let refused = |why| Outcome::Refused(unfit(&path, why));
        let outcome = if !texts || steps.is_empty() {
            refused(Unfit::Ladder {
                name: shown(&new.name),
            })
        } else if there == steps {
            Outcome::There
        } else if !there.is_empty() {
            refused(Unfit::NameTaken {
                name: new.name.clone(),
            })
        } else if let Some(name) = missing {
            refused(Unfit::Step { name: shown(&name) })
        } else {
            ladder::store(writing, &new.name, &steps)?;
            Outcome::New
        };
        came.push(Came {
            name: shown(&new.name),
            outcome,
        });
    }
    Ok(came)
}

fn newer(path: &Path, found: u32) -> Result<()> {
    if found <= SCHEMA {
        return Ok(());
    }
    Err(unfit(
        path,
        Unfit::Newer {
            found,
            newest: SCHEMA,
        },
    ))
}

/// A name as it can be shown.
fn shown(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).take(80).collect()
}
