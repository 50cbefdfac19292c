//! A letter with an accent can be written as one sign or as two (Unicode Standard Annex 15), and looks the same. Disks and phones
//! write it one way, keyboards the other.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use unicode_normalization::UnicodeNormalization;

/// What was typed, or what lies there under a name that looks the same; else with each letter as one sign, as finishes are named.
pub(super) fn as_it_lies(typed: OsString) -> OsString {
    let Some(text) = typed.to_str().filter(|text| !text.is_ascii()) else {
        return typed;
    };
    let option = text.split_once('=').filter(|(o, _)| o.starts_with("--"));
    let (option, named) = option.map_or(("", text), |(o, named)| (&text[..=o.len()], named));
    let mut whole = OsString::from(option);
    match lies(Path::new(named)) {
        Some(path) => whole.push(path),
        None => whole.push(composed(named)),
    }
    whole
}

/// The file or folder, or a file to be made in a folder, whose names look the same.
fn lies(typed: &Path) -> Option<PathBuf> {
    if typed.exists() {
        return Some(typed.to_owned());
    }
    let mut at = PathBuf::new();
    for part in typed.components() {
        let next = at.join(part);
        let name = part.as_os_str().to_str()?;
        at = if next.exists() {
            next
        } else {
            same(&at, name).unwrap_or_else(|| at.join(composed(name)))
        };
    }
    let folder = at.parent().filter(|folder| !folder.as_os_str().is_empty());
    (at.exists() || folder.is_some_and(Path::exists)).then_some(at)
}

/// What lies in a folder under a name that looks the same.
fn same(folder: &Path, name: &str) -> Option<PathBuf> {
    let wanted = composed(name);
    let here = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let inside = std::fs::read_dir(here).ok()?.flatten();
    let mut names = inside.map(|entry| entry.file_name());
    let found = names.find(|there| there.to_str().is_some_and(|t| composed(t) == wanted))?;
    Some(folder.join(found))
}

fn composed(text: &str) -> String {
    text.nfc().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_looks_the_same_is_found_and_other_words_stay() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name).into_os_string();
        std::fs::create_dir(at("ju\u{308}ngst")).unwrap();
        std::fs::write(at("ju\u{308}ngst/e\u{301}toile.jpg"), "").unwrap();
        let lying = at("ju\u{308}ngst/e\u{301}toile.jpg");
        for typed in [
            "j\u{fc}ngst/\u{e9}toile.jpg",
            "ju\u{308}ngst/\u{e9}toile.jpg",
            "ju\u{308}ngst/e\u{301}toile.jpg",
        ] {
            assert_eq!(as_it_lies(at(typed)), lying);
        }
        // A file to be made in it.
        let made = as_it_lies(at("j\u{fc}ngst/\u{e9}.csv"));
        assert_eq!(made, at("ju\u{308}ngst/\u{e9}.csv"));
        let mut option = OsString::from("--csv=");
        option.push(at("j\u{fc}ngst/\u{e9}toile.jpg"));
        assert!(
            as_it_lies(option)
                .to_str()
                .unwrap()
                .ends_with("e\u{301}toile.jpg")
        );
        for (typed, said) in [
            ("e\u{301}toile", "\u{e9}toile"),
            ("--name=e\u{301}toile", "--name=\u{e9}toile"),
            ("a // b", "a // b"),
            ("\u{e9} // b=c", "\u{e9} // b=c"),
        ] {
            assert_eq!(as_it_lies(typed.into()), said);
        }
    }
}
