//! Whether a journal that lies beside a database can be its own.
//!
//! SQLite replays whatever journal it finds. One of a later archive would ruin a copy that was put in the archive's place, and the
//! journal names no database. But it holds the first page as it was before the write that was cut short, and that page counts the
//! writes (SQLite's file format, sections 1.3 and 3): the database beside its own journal is at that count or one past it, and has
//! the same form. A backup differs from its archive in that form (see [`super::backup`]), so that the two are told apart even where
//! their counts agree. A copy that was made by hand at that very count is just what the journal leads back to. Of a write that was
//! cut short before that page was noted only the number of pages is known; where it agrees nothing sure can be told.

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use super::journal::journals;
use super::schema::NEWEST;

/// How an SQLite database begins.
const DATABASE: &[u8] = b"SQLite format 3\0";

/// How a journal begins.
const JOURNAL: [u8; 8] = [0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7];

/// Times that the database is looked at again because another program wrote meanwhile.
const LOOKS: usize = 8;

/// What the first page says of a database.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Head {
    page_bytes: u32,
    /// It keeps a journal to roll back, and no log.
    rolls_back: bool,
    /// Writes so far.
    writes: u32,
    /// Pages, where that is noted.
    pages: Option<u32>,
    /// Changes of form so far.
    form: u32,
    /// Version of the schema.
    version: u32,
}

/// What a journal says of the database that it belongs to.
#[derive(Debug, PartialEq, Eq)]
struct Before {
    page_bytes: u32,
    /// Pages before the write.
    pages: u32,
    /// The first page before the write, where that page was noted.
    first: Option<Head>,
}

/// A journal beside a database that is surely another one's.
pub(super) fn alien(database: &Path) -> Option<PathBuf> {
    journals(database).find(|journal| {
        let length = std::fs::metadata(journal).map_or(0, |facts| facts.len());
        // The index of a log holds nothing of its own.
        length > 0 && !ends(journal, "-shm") && !may_belong(journal, database)
    })
}

fn ends(journal: &Path, ending: &str) -> bool {
    journal.to_string_lossy().ends_with(ending)
}

/// How many writes a database says it has seen.
pub(super) fn writes(database: &Path) -> Option<u32> {
    head_of(database).map(|head| head.writes)
}

/// Whether a database has seen a write since it said `before`. Where it could not be asked both times nothing is claimed.
pub(super) fn has_written(before: Option<u32>, database: &Path) -> bool {
    before
        .zip(writes(database))
        .is_some_and(|(before, since)| before != since)
}

fn may_belong(journal: &Path, database: &Path) -> bool {
    let is_log = ends(journal, "-wal");
    for _ in 0..LOOKS {
        let Some(head) = head_of(database) else {
            return true;
        };
        if is_log {
            return !head.rolls_back;
        }
        let before = before(journal);
        // Of another program that writes, what is read belongs together only where the database stood still.
        if head_of(database).as_ref() == Some(&head) {
            return before.is_none_or(|before| leads_back(&before, &head));
        }
    }
    true
}

/// Whether a database can be what the write of a journal made of what was before.
fn leads_back(before: &Before, now: &Head) -> bool {
    let counts = |was: u32| now.writes == was || now.writes == was.wrapping_add(1);
    before.page_bytes == now.page_bytes
        && match &before.first {
            // Only a step to a newer schema changes the form.
            Some(first) => {
                let same_form = first.version.cast_signed() != NEWEST || first.form == now.form;
                counts(first.writes) && same_form
            }
            // Before the first write there was no page.
            None if before.pages == 0 => counts(0),
            // A first page that was not noted is as it was.
            None => now.pages.is_none_or(|pages| pages == before.pages),
        }
}

fn head_of(database: &Path) -> Option<Head> {
    let mut page = Vec::new();
    File::open(database)
        .and_then(|file| file.take(100).read_to_end(&mut page))
        .ok()?;
    head(&page)
}

fn head(page: &[u8]) -> Option<Head> {
    if !page.starts_with(DATABASE) {
        return None;
    }
    let writes = number(page, 24)?;
    Some(Head {
        page_bytes: match u16::from_be_bytes([*page.get(16)?, *page.get(17)?]) {
            1 => 1 << 16,
            bytes => bytes.into(),
        },
        rolls_back: page.get(18..20)? == [1, 1],
        writes,
        pages: number(page, 28).filter(|_| number(page, 92) == Some(writes)),
        form: number(page, 40)?,
        version: number(page, 60)?,
    })
}

fn number(bytes: &[u8], at: usize) -> Option<u32> {
    let four = bytes.get(at..)?.first_chunk()?;
    Some(u32::from_be_bytes(*four))
}

/// `None` where it is no journal that would be replayed.
fn before(journal: &Path) -> Option<Before> {
    let file = File::open(journal).ok()?;
    let length = file.metadata().ok()?.len();
    let mut file = BufReader::new(file);
    let mut found: Option<Before> = None;
    let mut at = 0;
    loop {
        let mut segment = [0; 28];
        file.seek(SeekFrom::Start(at)).ok()?;
        let whole = file.read_exact(&mut segment).is_ok() && segment.starts_with(&JOURNAL);
        let [records, nonce, pages, sector, page_bytes] =
            [8, 12, 16, 20, 24].map(|at| number(&segment, at).unwrap_or(0));
        if !whole || !(32..=1 << 16).contains(&sector) {
            return found;
        }
        let before = found.get_or_insert(Before {
            page_bytes,
            pages,
            first: None,
        });
        // A page has its number before it and its checksum behind.
        let record = u64::from(before.page_bytes) + 8;
        at += u64::from(sector);
        let records = match u64::from(records) {
            0xffff_ffff => length.saturating_sub(at) / record,
            records => records,
        };
        for _ in 0..records {
            let mut which = [0; 4];
            file.seek(SeekFrom::Start(at)).ok()?;
            if file.read_exact(&mut which).is_err() {
                return found;
            }
            if u32::from_be_bytes(which) == 1 {
                let mut page = vec![0; usize::try_from(record - 4).ok()?];
                file.read_exact(&mut page).ok()?;
                let sum = page.split_off(page.len() - 4);
                if number(&sum, 0) == Some(checksum(nonce, &page)) {
                    before.first = head(&page);
                }
                return found;
            }
            at += record;
        }
        at = at.next_multiple_of(u64::from(sector));
    }
}

/// SQLite's checksum of a page in a journal: of every 200th byte from the end.
fn checksum(nonce: u32, page: &[u8]) -> u32 {
    let every = page.iter().rev().skip(199).step_by(200);
    // The first byte of all is left out.
    let bytes = every.take(page.len().saturating_sub(1) / 200);
    bytes.fold(nonce, |sum, byte| sum.wrapping_add(u32::from(*byte)))
}

#[cfg(test)]
mod tests {
    use super::super::{Archive, backup};
    use super::*;
    use rusqlite::Connection;

    /// A write of every file that was cut short: the journal, and the database at that moment.
    fn cut_short(path: &Path) -> (Vec<u8>, Vec<u8>) {
        let file = Connection::open(path).unwrap();
        file.execute_batch(
            "PRAGMA cache_size = 1; BEGIN IMMEDIATE;
             UPDATE file SET digest = digest || ' ';
             INSERT INTO file (digest, bytes) VALUES ('spilt', zeroblob(100000))",
        )
        .unwrap();
        let journal = std::fs::read(journals(path).next().unwrap()).unwrap();
        (journal, std::fs::read(path).unwrap())
    }

    fn write(path: &Path) {
        let file = Connection::open(path).unwrap();
        file.execute_batch(
            "INSERT INTO file (digest, bytes) VALUES (hex(randomblob(8)), zeroblob(20000))",
        )
        .unwrap();
    }

    #[test]
    fn a_write_is_claimed_only_where_the_file_could_be_asked_before_and_since() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.sqlite");
        assert!(!has_written(Some(1), &path));
        drop(Archive::open(&path).unwrap());
        let before = writes(&path);
        assert!(before.is_some() && !has_written(before, &path));
        write(&path);
        assert!(has_written(before, &path) && !has_written(None, &path));
        std::fs::remove_file(&path).unwrap();
        assert!(!has_written(before, &path));
    }

    #[test]
    fn a_journal_belongs_to_the_database_that_was_cut_short_and_to_no_copy_from_before() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let path = at("a.sqlite");
        drop(Archive::open(&path).unwrap());
        write(&path);
        std::fs::copy(&path, at("copied")).unwrap();
        backup(&path, &at("backed up")).unwrap();
        write(&path);
        let sound = std::fs::read(&path).unwrap();
        backup(&path, &at("of this state")).unwrap();
        let (journal, torn) = cut_short(&path);
        assert_ne!(torn, sound);
        let lies = at("a.sqlite-journal");
        for (database, belongs) in [
            (sound.clone(), true),
            (torn.clone(), true),
            (std::fs::read(at("copied")).unwrap(), false),
            (std::fs::read(at("backed up")).unwrap(), false),
            (std::fs::read(at("of this state")).unwrap(), false),
        ] {
            std::fs::write(&path, database).unwrap();
            std::fs::write(&lies, &journal).unwrap();
            assert_eq!(alien(&path).is_none(), belongs);
        }
        // What was cut short is undone.
        std::fs::write(&path, torn).unwrap();
        drop(Archive::open(&path).unwrap());
        assert_eq!(std::fs::read(&path).unwrap(), sound);
        assert!(!lies.exists());
        // A log belongs to no archive, and what is no journal is none.
        std::fs::write(at("a.sqlite-wal"), "a log").unwrap();
        assert_eq!(alien(&path), Some(at("a.sqlite-wal")));
        std::fs::remove_file(at("a.sqlite-wal")).unwrap();
        for nothing in [&b"no journal"[..], &[], &[0; 600]] {
            std::fs::write(&lies, nothing).unwrap();
            assert_eq!(alien(&path), None);
        }
    }

    #[test]
    fn the_journal_of_an_archive_that_was_being_made_belongs_to_none_that_holds_something() {
        let mut made = Before {
            page_bytes: 4096,
            pages: 0,
            first: None,
        };
        let now = Head {
            page_bytes: 4096,
            rolls_back: true,
            writes: 7,
            pages: Some(40),
            form: 3,
            version: 8,
        };
        assert!(!leads_back(&made, &now));
        let new = Head {
            writes: 1,
            ..now.clone()
        };
        assert!(leads_back(&made, &new));
        // The first page was not touched yet, so its number of pages is that of before.
        for (pages, belongs) in [(40, true), (41, false)] {
            made.pages = pages;
            assert_eq!(leads_back(&made, &now), belongs);
        }
        made.page_bytes = 1024;
        assert!(!leads_back(&made, &now));
    }
}
