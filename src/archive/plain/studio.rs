//! `rigs.json` and `ladders.json`: what belongs to the studio and to no single finish.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use super::super::{Archive, KeptRig, KeptStudy, Step};
use super::{SCHEMA, pretty};
use crate::error::{Error, Result};

/// The rigs with their studies.
pub const RIGS: &str = "rigs.json";

/// The ladders.
pub const LADDERS: &str = "ladders.json";

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RigsFile {
    pub(super) schema: u32,
    pub(super) rigs: Vec<RigFile>,
    /// Those that others of their names took the place of.
    #[serde(default)]
    pub(super) earlier: Vec<RigFile>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RigFile {
    pub(super) name: String,
    pub(super) made_at: String,
    pub(super) rig: Box<RawValue>,
    pub(super) study: Option<StudyFile>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StudyFile {
    pub(super) studied_at: String,
    pub(super) study: Box<RawValue>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LaddersFile {
    pub(super) schema: u32,
    pub(super) ladders: Vec<LadderFile>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LadderFile {
    pub(super) name: String,
    pub(super) steps: Vec<StepFile>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StepFile {
    pub(super) step: String,
    pub(super) finish: String,
}

impl From<Step> for StepFile {
    fn from(step: Step) -> Self {
        StepFile {
            step: step.name,
            finish: step.finish,
        }
    }
}

impl TryFrom<KeptRig> for RigFile {
    type Error = serde_json::Error;

    fn try_from(rig: KeptRig) -> serde_json::Result<Self> {
        let study = rig.study.map(|s| {
            Ok(StudyFile {
                studied_at: s.studied_at,
                study: RawValue::from_string(s.study)?,
            })
        });
        Ok(RigFile {
            name: rig.name,
            made_at: rig.made_at,
            rig: RawValue::from_string(rig.rig)?,
            study: study.transpose()?,
        })
    }
}

impl From<RigFile> for KeptRig {
    fn from(file: RigFile) -> Self {
        KeptRig {
            name: file.name,
            made_at: file.made_at,
            rig: file.rig.get().to_owned(),
            study: file.study.map(|s| KeptStudy {
                studied_at: s.studied_at,
                study: s.study.get().to_owned(),
            }),
            unchanged: true,
        }
    }
}

impl Archive {
    /// `rigs.json`, and what is wrong with the rigs that are not in it.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn rigs_file(&self) -> Result<(Vec<u8>, Vec<Error>)> {
        let mut damaged = Vec::new();
        let mut files = |rigs: Vec<KeptRig>| {
            let (sound, torn): (Vec<_>, Vec<_>) = rigs.into_iter().partition(KeptRig::is_sound);
            damaged.extend(torn.iter().map(|rig| self.unreadable_rig(&rig.name)));
            let files = sound.into_iter().map(RigFile::try_from);
            files.collect::<serde_json::Result<_>>()
        };
        let (rigs, earlier) = (files(self.rigs()?), files(self.earlier_rigs()?));
        let file = RigsFile {
            schema: SCHEMA,
            rigs: rigs.map_err(|e| self.damaged(&e))?,
            earlier: earlier.map_err(|e| self.damaged(&e))?,
        };
        Ok((pretty(&file).map_err(|e| self.damaged(&e))?, damaged))
    }

    /// `ladders.json`, with those ladders of which all finishes are among the ones named; and what is wrong with those that cannot
    /// be told.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn ladders_file(&self, finishes: &BTreeSet<String>) -> Result<(Vec<u8>, Vec<Error>)> {
        let (mut ladders, mut damaged) = (Vec::new(), Vec::new());
        for name in self.ladders()? {
            let steps = match self.ladder(&name) {
                Err(error) if error.is_damage() => {
                    damaged.push(error);
                    continue;
                }
                other => other?,
            };
            if steps.iter().all(|step| finishes.contains(&step.finish)) {
                ladders.push(LadderFile {
                    name,
                    steps: steps.into_iter().map(Into::into).collect(),
                });
            }
        }
        let file = LaddersFile {
            schema: SCHEMA,
            ladders,
        };
        Ok((pretty(&file).map_err(|e| self.damaged(&e))?, damaged))
    }
}
