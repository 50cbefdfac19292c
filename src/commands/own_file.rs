//! Pages, tables and pictures beside an answer: each is written over one of its own kind only, made here for the same question,
//! and where nobody names it gets a name of its own.
//!
//! A page says in its head who made it and what it is about, a picture in a text of its own. A table
//! has no room for that: it is known by its head row and its first column, which is what it is about.

use std::path::{Path, PathBuf};

use super::whole_file::{is_original, write_whole};
use crate::document::page::MADE_HERE;
use crate::error::{Error, Result};
use crate::silver;

/// Longest readable part of a file's own name, characters.
const LONGEST_NAME: usize = 60;

/// So many files of one name are counted up.
const MOST_OF_A_NAME: usize = 1000;

/// A kind of file that is written beside an answer.
#[derive(Clone, Copy)]
pub(super) struct FileKind {
    /// How such files end; the first is that of one without a name.
    pub(super) endings: &'static [&'static str],
    /// The same in words.
    expected: &'static str,
    /// It may be the standard output too.
    pub(super) to_output: bool,
}

/// A page.
pub(super) const HTML: FileKind = FileKind {
    endings: &["html", "htm"],
    expected: ".html",
    to_output: true,
};

/// A table.
pub(super) const CSV: FileKind = FileKind {
    endings: &["csv", "txt"],
    expected: ".csv",
    to_output: true,
};

/// A picture.
pub(super) const PNG: FileKind = FileKind {
    endings: &["png"],
    expected: ".png",
    to_output: false,
};

impl FileKind {
    /// A file that is named must end as its kind does: what comes after an option whose file may be left out is easily something
    /// else.
    ///
    /// # Errors
    /// It ends otherwise.
    pub(super) fn is_ending_of(self, file: &Path) -> Result<()> {
        let ending = file.extension().map(|e| e.to_string_lossy().to_lowercase());
        let fits = ending.is_some_and(|ending| self.endings.contains(&ending.as_str()));
        // A device is written to, whatever its name is.
        if fits || std::fs::metadata(file).is_ok_and(|facts| !facts.is_file()) {
            return Ok(());
        }
        Err(Error::FileKind {
            path: file.to_owned(),
            expected: self.expected,
        })
    }
}

/// Writes a file that was asked for, unless that would cost one that is not of the same question.
///
/// # Errors
/// Another's file lies there, and it is not to be replaced; and as for [`write_whole`].
pub(super) fn write_own(file: &Path, content: &[u8], replace: bool) -> Result<()> {
    if !replace && is_of_another(file, content) && !is_original(file, content) {
        return Err(Error::FileOfAnother {
            path: file.to_owned(),
        });
    }
    write_whole(file, content)
}

/// The first name in a folder, beginning with `stem`, that is free or belongs to the same question.
pub(super) fn own_name(folder: &Path, stem: &str, ending: &str, content: &[u8]) -> PathBuf {
    let name = |number: usize| match number {
        1 => folder.join(format!("{stem}.{ending}")),
        number => folder.join(format!("{stem}-{number}.{ending}")),
    };
    let free = |file: &PathBuf| !is_of_another(file, content);
    let mut names = (1..=MOST_OF_A_NAME).map(name);
    names.find(free).unwrap_or_else(|| name(MOST_OF_A_NAME))
}

/// Words as the readable part of a file's name: letters and figures, all else as single dashes.
pub(super) fn stem(words: &str) -> String {
    let mut stem = String::new();
    for c in words.chars().take(LONGEST_NAME) {
        if c.is_alphanumeric() {
            stem.extend(c.to_lowercase());
        } else if !stem.is_empty() && !stem.ends_with('-') {
            stem.push('-');
        }
    }
    stem.trim_end_matches('-').to_owned()
}

/// What lies there is a file, holds something, and does not answer the question that the new content answers.
fn is_of_another(file: &Path, content: &[u8]) -> bool {
    let is_file = std::fs::metadata(file).is_ok_and(|facts| facts.is_file() && facts.len() > 0);
    if !is_file {
        return false;
    }
    let Ok(there) = std::fs::read(file) else {
        return true;
    };
    there != content && (question(&there).is_none() || question(&there) != question(content))
}

/// The question that a file belongs to which was made here; `None` of any other.
fn question(content: &[u8]) -> Option<Vec<String>> {
    if let Some(shows) = silver::shown_in(content) {
        return Some(vec![shows]);
    }
    let text = std::str::from_utf8(content).ok()?;
    if text.starts_with("<!DOCTYPE") {
        let (head, _) = text.split_once("</head>")?;
        let (_, title) = head.split_once("<title>")?;
        let (title, _) = title.split_once("</title>")?;
        return head.contains(MADE_HERE).then(|| vec![title.to_owned()]);
    }
    let mut table = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(content);
    let mut rows = table.records();
    let mut question: Vec<String> = rows.next()?.ok()?.iter().map(str::to_owned).collect();
    // A list of words is no table of ours.
    if question.len() < 2 {
        return None;
    }
    for row in rows {
        question.push(row.ok()?.get(0)?.to_owned());
    }
    Some(question)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Document, page};

    fn page_about(about: &str) -> Vec<u8> {
        page::page(&Document::new("match sheet", about)).into_bytes()
    }

    fn picture_of(grey: u8, question: &str) -> Vec<u8> {
        let picture = image::GrayImage::from_pixel(3, 2, image::Luma([grey]));
        silver::drawing(&silver::png(&picture).unwrap(), question)
    }

    #[test]
    fn a_file_is_written_over_one_of_the_same_question_only() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("file");
        let table = |rows: &str| format!("photo,value\r\n{rows}").into_bytes();
        for (old, new, same) in [
            (page_about("a.jpg"), page_about("a.jpg"), true),
            (page_about("a.jpg"), page_about("b.jpg"), false),
            (
                b"<!DOCTYPE html><title>mine</title></head>".to_vec(),
                page_about("a.jpg"),
                false,
            ),
            (picture_of(1, "a"), picture_of(2, "a"), true),
            (picture_of(1, "a"), picture_of(2, "b"), false),
            (table("a.jpg,1\r\n"), table("a.jpg,2\r\n"), true),
            (table("a.jpg,1\r\n"), table("b.jpg,1\r\n"), false),
            (b"my own notes\n".to_vec(), table("a.jpg,1\r\n"), false),
            (b"a,b\n1,2\n".to_vec(), table("a.jpg,1\r\n"), false),
            (Vec::new(), table("a.jpg,1\r\n"), true),
        ] {
            std::fs::write(&file, &old).unwrap();
            let written = write_own(&file, &new, false);
            assert_eq!(written.is_ok(), same, "{}", String::from_utf8_lossy(&new));
            let there = std::fs::read(&file).unwrap();
            assert_eq!(there, if same { new.clone() } else { old });
            if !same {
                assert!(matches!(written, Err(Error::FileOfAnother { .. })));
                write_own(&file, &new, true).unwrap();
                assert_eq!(std::fs::read(&file).unwrap(), new);
            }
        }
    }

    #[test]
    fn without_a_name_a_file_gets_one_that_is_free_or_its_own() {
        let folder = tempfile::tempdir().unwrap();
        let stem = stem("Bar 1.jpg / the sample");
        assert_eq!(stem, "bar-1-jpg-the-sample");
        let at = |name: &str| folder.path().join(name);
        std::fs::write(at("a.html"), "mine").unwrap();
        let own = own_name(folder.path(), "a", "html", &page_about("a"));
        assert_eq!(own, at("a-2.html"));
        std::fs::write(&own, page_about("a")).unwrap();
        assert_eq!(own_name(folder.path(), "a", "html", &page_about("a")), own);
        let other = own_name(folder.path(), "a", "html", &page_about("b"));
        assert_eq!(other, at("a-3.html"));
    }
}
