//! Importing rigs, ladders and the history.

use std::path::Path;

use super::super::super::text::fit_name;
use super::super::super::{Change, Writing, change, ladder, rig};
use super::super::studio::{HISTORY, HistoryFile, LADDERS, LaddersFile, RIGS, RigsFile};
use super::bounded::{shown, unfit};
use super::{Imported, Outcome};
use crate::error::{Result, Unfit};

pub(super) fn import_rigs(
    writing: &Writing<'_>,
    folder: &Path,
    file: &RigsFile,
) -> Result<Vec<Imported>> {
    let path = folder.join(RIGS);
    let mut all = Vec::new();
    for new in &file.rigs {
        let name = shown(&new.name);
        let refused = |why| Outcome::Refused(unfit(&path, why));
        let outcome = if new.is_sound() {
            match rig::import(writing, new)? {
                None => Outcome::New,
                Some(true) => Outcome::There,
                Some(false) => refused(Unfit::NameTaken { name: name.clone() }),
            }
        } else {
            refused(Unfit::Rig { name: name.clone() })
        };
        all.push(Imported { name, outcome });
    }
    for old in &file.earlier {
        let refused = |one: &Imported| {
            one.name == shown(&old.name) && matches!(one.outcome, Outcome::Refused(_))
        };
        if !old.is_sound() {
            let name = shown(&old.name);
            let outcome = Outcome::Refused(unfit(&path, Unfit::Rig { name: name.clone() }));
            all.push(Imported { name, outcome });
        } else if !all.iter().any(refused) {
            rig::import_earlier(writing, old)?;
        }
    }
    Ok(all)
}

pub(super) fn import_ladders(
    writing: &Writing<'_>,
    folder: &Path,
    file: &LaddersFile,
) -> Result<Vec<Imported>> {
    let path = folder.join(LADDERS);
    let mut all = Vec::new();
    for new in &file.ladders {
        let steps = &new.steps;
        let texts = fit_name(&new.name).is_ok() && steps.iter().all(|s| fit_name(&s.name).is_ok());
        let mut missing = None;
        for step in steps {
            if writing.id_of(&step.finish)?.is_none() {
                missing = Some(&step.finish);
            }
        }
        let there = ladder::steps(&writing.all, &new.name).map_err(writing.sql())?;
        let there: Vec<ladder::Step> = there.into_iter().map(|(step, _)| step).collect();
        let refused = |why| Outcome::Refused(unfit(&path, why));
        let name = shown(&new.name);
        let outcome = if !texts || steps.is_empty() {
            refused(Unfit::Ladder { name: name.clone() })
        } else if there == *steps {
            Outcome::There
        } else if !there.is_empty() {
            refused(Unfit::NameTaken {
                name: new.name.clone(),
            })
        } else if let Some(finish) = missing {
            refused(Unfit::Step {
                name: shown(finish),
            })
        } else {
            ladder::store(writing, &new.name, steps)?;
            Outcome::New
        };
        all.push(Imported { name, outcome });
    }
    Ok(all)
}

/// Adds the changes that are not noted yet.
pub(super) fn import_history(
    writing: &Writing<'_>,
    folder: &Path,
    file: &HistoryFile,
) -> Result<()> {
    let there = change::all(&writing.all, None).map_err(writing.sql())?;
    let there: Vec<Change> = there.into_iter().map(|(change, _)| change).collect();
    for new in &file.changes {
        if !new.is_sound() {
            let field = "changes";
            return Err(unfit(&folder.join(HISTORY), Unfit::Text { field }));
        }
        if !there.contains(new) {
            change::add(writing, None, new)?;
        }
    }
    Ok(())
}
