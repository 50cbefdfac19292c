//! Which cautions were told in full today: those are named in one line until tomorrow. Where that cannot be known, and in another
//! archive's story, they are told in full.

use std::fs;
use std::path::PathBuf;

use super::whole_file::write_whole;
use crate::archive::private_folder;

/// The file in the program's data folder: the day, then each caution that was told on it, a line each.
const FILE: &str = "cautions-told.txt";

/// The cautions told in full on one day.
#[derive(Debug, Default)]
pub(super) struct Told {
    /// Where it is noted; nowhere where there is no such folder.
    file: Option<PathBuf>,
    day: String,
    cautions: Vec<String>,
}

impl Told {
    /// Those of a day, as they are noted in the program's data folder.
    pub(super) fn on(day: &str, folder: Option<PathBuf>) -> Self {
        let file = folder.map(|folder| folder.join(FILE));
        let noted = file.as_ref().and_then(|file| fs::read_to_string(file).ok());
        let mut lines = noted.iter().flat_map(|noted| noted.lines());
        let same_day = lines.next() == Some(day);
        Told {
            day: day.to_owned(),
            cautions: lines.filter(|_| same_day).map(str::to_owned).collect(),
            file,
        }
    }

    /// The cautions that were told.
    pub(super) fn cautions(&self) -> Vec<&str> {
        self.cautions.iter().map(String::as_str).collect()
    }

    /// Notes those that were told just now. What cannot be noted is told again.
    pub(super) fn add(&mut self, cautions: &[&str]) {
        let before = self.cautions.len();
        for caution in cautions {
            if !self.cautions.iter().any(|told| told == caution) {
                self.cautions.push((*caution).to_owned());
            }
        }
        let Some(file) = self.file.as_ref().filter(|_| self.cautions.len() > before) else {
            return;
        };
        let lines = [&[self.day.clone()][..], &self.cautions].concat();
        let folder = file.parent().map_or(Ok(()), private_folder);
        let noted =
            folder.is_ok() && write_whole(file, (lines.join("\n") + "\n").as_bytes()).is_ok();
        if !noted {
            self.file = None;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_told_is_known_until_the_day_is_over() {
        let folder = tempfile::tempdir().unwrap();
        let told = |day: &str| Told::on(day, Some(folder.path().join("new")));
        let mut today = told("2026-05-01");
        assert!(today.cautions().is_empty());
        today.add(&["Gloves.", "Goggles."]);
        today.add(&["Goggles."]);
        assert_eq!(told("2026-05-01").cautions(), ["Gloves.", "Goggles."]);
        assert!(told("2026-05-02").cautions().is_empty());
        // Where there is no folder it is known as long as the program runs.
        let mut nowhere = Told::on("2026-05-01", None);
        nowhere.add(&["Gloves."]);
        assert_eq!(nowhere.cautions(), ["Gloves."]);
    }
}
