//! Export of a finish: the files that it becomes.

use std::collections::BTreeMap;

use super::super::file::FileRef;
use super::super::kept::KeptFinish;
use super::super::{Archive, KeptReading};
use super::{COLOUR, FINISH, PICTURE, SILVER, plain, pretty};
use crate::error::Result;

/// Longest ending of a photo's file name that is kept.
const LONGEST_ENDING: usize = 5;

/// A finish as plain files.
pub struct FinishFiles {
    /// The content of `finish.json`.
    pub finish: KeptFinish,
    /// The files by name, `finish.json` among them.
    pub files: Vec<(String, Vec<u8>)>,
    /// A photo was kept with it but stays in the archive.
    pub photo_stays: bool,
}

impl Archive {
    /// A finish as plain files.
    ///
    /// # Errors
    /// There is no such finish, or something of it is damaged; the archive cannot be read.
    pub fn export(&self, name: &str, with_photo: bool) -> Result<FinishFiles> {
        let mut finish = self.kept(name)?;
        let mut files = Vec::new();
        for (file, picture) in name_pictures(&mut finish.readings) {
            files.push((file, self.bytes(&picture, name)?));
        }
        let mut photo_stays = false;
        if let Some(photo) = &mut finish.photo {
            if with_photo {
                let file = photo_file(&finish.photo_name);
                files.push((file.clone(), self.bytes(photo, name)?));
                photo.file = Some(file);
            } else {
                photo_stays = true;
            }
        }
        let text = pretty(&finish).map_err(|e| self.damaged(&e))?;
        files.push((FINISH.to_owned(), text));
        Ok(FinishFiles {
            finish,
            files,
            photo_stays,
        })
    }
}

/// Names the file of each picture, and returns those to be written. A picture that several readings share is written once, under
/// the latest one's name.
fn name_pictures(readings: &mut [KeptReading]) -> Vec<(String, FileRef)> {
    let latest = readings.len();
    let (mut written, mut named) = (Vec::new(), BTreeMap::new());
    for (before, reading) in readings.iter_mut().enumerate().rev() {
        let number = before + 1;
        let earlier = if number == latest {
            String::new()
        } else {
            format!("-{number}")
        };
        for (picture, what) in reading.files_mut().zip([SILVER, PICTURE, COLOUR]) {
            let name = named
                .entry((what, picture.digest.clone()))
                .or_insert_with(|| {
                    let name = format!("{what}{earlier}.png");
                    written.push((name.clone(), picture.clone()));
                    name
                });
            picture.file = Some(name.clone());
        }
    }
    written
}

/// The name of the photo's file: what can be read of its own name, with its ending.
fn photo_file(photo_name: &str) -> String {
    let (stem, ending) = photo_name.rsplit_once('.').unwrap_or((photo_name, ""));
    let stem = plain(stem, super::READABLE);
    if ending.is_empty() {
        format!("photo-{stem}")
    } else {
        format!("photo-{stem}.{}", plain(ending, LONGEST_ENDING))
    }
}
