//! `rigs.json`, `ladders.json` and `history.json`: what belongs to the studio and to no single finish.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::super::rig::KeptRig;
use super::super::{Archive, Change, Step, Thing};
use super::{SCHEMA, pretty};
use crate::error::{Error, Result};

/// The file of the rigs with their studies.
pub const RIGS: &str = "rigs.json";

/// The file of the ladders.
pub const LADDERS: &str = "ladders.json";

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RigsFile {
    pub(super) schema: u32,
    pub(super) rigs: Vec<KeptRig>,
    /// Those that another of the same name replaced.
    #[serde(default)]
    pub(super) earlier: Vec<KeptRig>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LaddersFile {
    pub(super) schema: u32,
    pub(super) ladders: Vec<Ladder>,
}

/// The file of what was changed that belongs to no finish any more, or never did.
pub const HISTORY: &str = "history.json";

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HistoryFile {
    pub(super) schema: u32,
    pub(super) changes: Vec<Change>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Ladder {
    pub(super) name: String,
    pub(super) steps: Vec<Step>,
}

impl Archive {
    /// `rigs.json`, and an error for each rig that is damaged and not in it.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn rigs_file(&self) -> Result<(Vec<u8>, Vec<Error>)> {
        let mut damaged = Vec::new();
        let mut sound = |rigs: Vec<KeptRig>| {
            let (sound, torn): (Vec<_>, Vec<_>) = rigs.into_iter().partition(KeptRig::is_sound);
            damaged.extend(torn.iter().map(|rig| self.unreadable_rig(&rig.name)));
            sound
        };
        let file = RigsFile {
            schema: SCHEMA,
            rigs: sound(self.rigs()?),
            earlier: sound(self.earlier_rigs()?),
        };
        Ok((pretty(&file).map_err(|e| self.damaged(&e))?, damaged))
    }

    /// `ladders.json` with the ladders whose finishes are all among those named, and an error for each ladder that is damaged.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn ladders_file(&self, finishes: &BTreeSet<String>) -> Result<(Vec<u8>, Vec<Error>)> {
        let (mut ladders, mut damaged) = (Vec::new(), Vec::new());
        for name in self.ladders()? {
            let steps = match self.ladder(&name) {
                Err(error) if error.is_loss() => {
                    damaged.push(error);
                    continue;
                }
                other => other?,
            };
            if steps.iter().all(|step| finishes.contains(&step.finish)) {
                ladders.push(Ladder { name, steps });
            }
        }
        let file = LaddersFile {
            schema: SCHEMA,
            ladders,
        };
        Ok((pretty(&file).map_err(|e| self.damaged(&e))?, damaged))
    }

    /// `history.json`: what was changed of rigs and ladders, and what is known of finishes that left the bin for good. Beside
    /// single finishes it holds the changes of rigs alone.
    ///
    /// # Errors
    /// What was noted has changed; the archive cannot be read.
    pub fn history_file(&self, of_rigs_alone: bool) -> Result<(Vec<u8>, Vec<Error>)> {
        let mut changes = self.other_changes()?;
        changes.retain(|change| !of_rigs_alone || change.thing == Thing::Rig);
        let file = HistoryFile {
            schema: SCHEMA,
            changes,
        };
        Ok((pretty(&file).map_err(|e| self.damaged(&e))?, Vec::new()))
    }
}
