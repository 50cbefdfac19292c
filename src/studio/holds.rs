//! What holds where nothing is typed: the one place where it is worked out. What is typed goes first, then the placement file beside
//! a photo, then the current job, then what is usual in the studio.

use std::path::{Path, PathBuf};

use super::Studio;
use super::folder;
use super::reading::How;
use crate::archive::{Archive, Job, Usual};
use crate::compare::wall::arrange::Grid;
use crate::error::{Error, Result};
use crate::placement::Given;
use crate::units::Metres;

/// The word for the photo that came into the camera's folder last.
pub const NEWEST: &str = "newest";

/// What holds where nothing is typed.
#[derive(Debug, Clone, Default)]
pub struct Holds {
    /// The current job.
    pub job: Option<Job>,
    /// What is usual in the studio.
    pub usual: Usual,
}

impl Holds {
    /// What holds now; without the current job where it is to be left out for once.
    ///
    /// # Errors
    /// The archive cannot be read, or the job or what is usual is damaged.
    pub fn now(studio: &Studio<'_>, with_job: bool) -> Result<Holds> {
        let archive = studio.archive()?;
        Ok(Holds {
            job: with_job
                .then(|| archive.current_job())
                .transpose()?
                .flatten(),
            usual: archive.usual()?,
        })
    }

    /// How photos are read, where so much is typed.
    #[must_use]
    pub fn how(&self, typed: How) -> How {
        let usual = Given {
            stage: self.usual.stage,
            side: self.usual.side,
            ..Given::default()
        };
        let job = self.job.as_ref();
        let of_job = job.map(|job| Given {
            size: job.details.size,
            stage: job.details.stage,
            side: job.details.side,
            ..Given::default()
        });
        let rig = job.and_then(|job| job.rig.clone());
        How {
            otherwise: of_job.unwrap_or_default().or(usual),
            rig: typed.rig.or(rig).or_else(|| self.usual.rig.clone()),
            ..typed
        }
    }

    /// The sample that panels are set beside.
    ///
    /// # Errors
    /// None is typed, and the job has none.
    pub fn sample(&self, typed: Option<&str>) -> Result<String> {
        let job = self.job.as_ref();
        let of_job = || job.and_then(|job| job.sample.clone());
        let sample = typed.map(str::to_owned).or_else(of_job);
        sample.ok_or_else(|| Error::NoSampleNamed {
            job: job.map(|job| job.name.clone()),
        })
    }

    /// The panels of a set: those typed, else all that were made for the job.
    ///
    /// # Errors
    /// None are typed, and the job has none.
    pub fn panels(&self, typed: &[String]) -> Result<Vec<String>> {
        let of_job = || self.job.iter().flat_map(|job| job.panels.clone()).collect();
        let panels: Vec<String> = match typed {
            [] => of_job(),
            typed => typed.to_vec(),
        };
        if panels.is_empty() {
            return Err(Error::NoPanelsNamed {
                job: self.job.as_ref().map(|job| job.name.clone()),
            });
        }
        Ok(panels)
    }

    /// How the job's panels are to hang.
    #[must_use]
    pub fn wall(&self) -> Option<Grid> {
        let wall = self.job.as_ref()?.details.wall?;
        Some(Grid {
            rows: wall.down,
            cols: wall.across,
        })
    }

    /// From how far panels are looked at.
    #[must_use]
    pub fn viewed_from(&self, typed: Option<Metres>) -> Metres {
        let of_job = self.job.as_ref();
        let of_job = of_job.and_then(|job| job.details.viewed_from_m.map(Metres));
        typed.or(of_job).unwrap_or_default()
    }

    /// The folder that the camera's photos come into.
    ///
    /// # Errors
    /// None is typed, and none is known.
    pub fn camera_folder(&self, typed: Option<&Path>) -> Result<PathBuf> {
        let of_job = self.job.as_ref();
        let of_job = of_job.and_then(|job| job.details.camera_folder.as_ref());
        let known = of_job.or(self.usual.camera_folder.as_ref());
        let folder = typed
            .map(Path::to_owned)
            .or_else(|| known.map(PathBuf::from));
        folder.ok_or(Error::NoCameraFolder)
    }

    /// The panel of a name, which may be the newest photo.
    ///
    /// # Errors
    /// As for [`Holds::photo`], or the archive cannot be read.
    pub fn panel(&self, named: &str, archive: &Archive) -> Result<String> {
        if named != NEWEST || archive.finish(named)?.is_some() {
            return Ok(named.to_owned());
        }
        let photo = self.photo(Path::new(named))?;
        Ok(photo.to_string_lossy().into_owned())
    }

    /// The photo of a name: where the word is `newest`, and no file has that name, the newest in the camera's folder.
    ///
    /// # Errors
    /// That folder is not known, cannot be read, or holds no picture.
    pub fn photo(&self, named: &Path) -> Result<PathBuf> {
        if named != Path::new(NEWEST) || named.exists() {
            return Ok(named.to_owned());
        }
        folder::newest_in(&self.camera_folder(None)?)
    }
}

/// Says what is usual from now on: what is given takes the place of what was, and an empty text takes it away.
///
/// # Errors
/// There is no such rig; the archive cannot be written.
pub fn say_usual(said: Usual, studio: &Studio<'_>) -> Result<Usual> {
    let mut archive = studio.archive_or_new()?;
    let before = archive.usual()?;
    let text = |now: Option<String>, before: Option<String>| match now {
        Some(now) => Some(now.trim().to_owned()).filter(|text| !text.is_empty()),
        None => before,
    };
    let usual = Usual {
        rig: text(said.rig, before.rig),
        stage: said.stage.or(before.stage),
        side: said.side.or(before.side),
        paper: said.paper.or(before.paper),
        units: said.units.or(before.units),
        camera_folder: text(said.camera_folder, before.camera_folder)
            .map(|folder| folder::from_the_root(&folder)),
    };
    if let Some(rig) = &usual.rig {
        archive.rig(rig)?;
    }
    archive.set_usual(&usual)?;
    Ok(usual)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::archive::JobDetails;
    use crate::frame::placement::{Side, Stage};
    use crate::units::SizeMm;

    fn size(width: f64) -> SizeMm {
        SizeMm {
            width,
            height: 100.0,
        }
    }

    #[test]
    fn what_is_typed_wins_over_the_job_and_the_job_over_what_is_usual() {
        let holds = Holds {
            job: Some(Job {
                name: "bar".to_owned(),
                sample: Some("signed".to_owned()),
                rig: Some("corner".to_owned()),
                details: JobDetails {
                    size: Some(size(600.0)),
                    stage: Some(Stage::Wet),
                    viewed_from_m: Some(3.0),
                    ..JobDetails::default()
                },
                ..Job::default()
            }),
            usual: Usual {
                rig: Some("bench".to_owned()),
                stage: Some(Stage::Dry),
                side: Some(Side::Back),
                ..Usual::default()
            },
        };
        let how = holds.how(How::default());
        assert_eq!(how.rig.as_deref(), Some("corner"));
        let otherwise = &how.otherwise;
        assert_eq!(otherwise.size, Some(size(600.0)));
        assert_eq!(otherwise.stage, Some(Stage::Wet));
        assert_eq!(otherwise.side, Some(Side::Back));
        let typed = How {
            rig: Some("other".to_owned()),
            ..How::default()
        };
        assert_eq!(holds.how(typed).rig.as_deref(), Some("other"));
        assert_eq!(holds.sample(None).unwrap(), "signed");
        assert_eq!(holds.sample(Some("mine")).unwrap(), "mine");
        assert_eq!(holds.viewed_from(None), Metres(3.0));
        assert_eq!(holds.viewed_from(Some(Metres(1.0))), Metres(1.0));
        let none = Holds {
            job: None,
            ..holds.clone()
        };
        assert_eq!(none.how(How::default()).rig.as_deref(), Some("bench"));
        assert!(matches!(
            none.sample(None),
            Err(Error::NoSampleNamed { job: None })
        ));
        assert!(matches!(
            holds.panels(&[]),
            Err(Error::NoPanelsNamed { job: Some(_) })
        ));
    }
}
