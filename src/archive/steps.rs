//! The steps of the file's history, and taking them.
//!
//! Before an older archive is brought up a copy of it is laid beside it; then all steps are taken in one transaction, so
//! that the file is as it was or as it is to be, whenever the program is stopped.

use std::path::{Path, PathBuf};

use rusqlite::functions::FunctionFlags;
use rusqlite::{Connection, TransactionBehavior};

use super::copy::copy;
use super::{APPLICATION_ID, refused, seal};
use crate::error::{Error, Result};

/// Every step; only ever appended to.
const STEPS: [&str; 8] = [
    include_str!("sql/1_finishes.sql"),
    include_str!("sql/2_rig_studies.sql"),
    include_str!("sql/3_decisions.sql"),
    include_str!("sql/4_readings.sql"),
    include_str!("sql/5_recipes.sql"),
    include_str!("sql/6_seals.sql"),
    include_str!("sql/7_colour.sql"),
    include_str!("sql/8_overrulings.sql"),
];

/// How many steps this program knows.
pub(super) const NEWEST: i32 = 8;

/// The tables of a file that has taken all steps.
pub(super) const TABLES: [&str; 12] = [
    "approval",
    "earlier_rig",
    "file",
    "finish",
    "ladder_step",
    "look",
    "overruling",
    "photo",
    "reading",
    "recipe",
    "rig",
    "rig_study",
];

/// Which step a file has come to; 0 for an empty one.
///
/// # Errors
/// The file belongs to another program, is newer than this one, or a table is missing.
pub(super) fn taken(connection: &Connection, path: &Path) -> Result<i32> {
    let number = |sql: &str| {
        connection
            .query_row(sql, [], |row| row.get::<_, i32>(0))
            .map_err(|e| refused(path, &e))
    };
    let tables = number("SELECT count(*) FROM sqlite_schema")?;
    if tables > 0 && number("PRAGMA application_id")? != APPLICATION_ID {
        return Err(Error::NotAnArchive {
            path: path.to_owned(),
        });
    }
    let found = number("PRAGMA user_version")?;
    if found > NEWEST {
        return Err(Error::ArchiveNewer {
            path: path.to_owned(),
            found,
            newest: NEWEST,
        });
    }
    if number("SELECT count(*) FROM sqlite_schema WHERE type IN ('trigger', 'view')")? > 0 {
        return Err(Error::ArchiveDamaged {
            path: path.to_owned(),
            detail: "it holds a trigger or a view, which are not this program's".to_owned(),
        });
    }
    if found == NEWEST {
        for table in TABLES {
            let there = connection
                .prepare_cached("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?1")
                .and_then(|mut ask| ask.exists([table]))
                .map_err(|e| refused(path, &e))?;
            if !there {
                return Err(Error::ArchiveDamaged {
                    path: path.to_owned(),
                    detail: format!("its table {table} is gone"),
                });
            }
        }
    }
    Ok(found.max(0))
}

/// Takes the steps that are missing.
///
/// # Errors
/// The file is damaged, write-protected or held by another program; the disk is full. It is then as it was.
pub(super) fn take(connection: &mut Connection, path: &Path) -> Result<()> {
    let sql = |e: rusqlite::Error| refused(path, &e);
    add_functions(connection).map_err(sql)?;
    let found = taken(connection, path)?;
    if found == NEWEST {
        return Ok(());
    }
    if found > 0 && connection.is_readonly("main").map_err(sql)? {
        return Err(Error::ArchiveOlder {
            path: path.to_owned(),
            found,
            newest: NEWEST,
        });
    }
    let steps = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(sql)?;
    // Another program may have taken them meanwhile.
    let found = taken(&steps, path)?;
    if found == NEWEST {
        return Ok(());
    }
    if found > 0 {
        whole(&steps, path)?;
        copy(path, &copy_beside(path, found))?;
    }
    for step in STEPS.iter().skip(usize::try_from(found).unwrap_or(0)) {
        steps.execute_batch(step).map_err(sql)?;
    }
    seal::seal(&steps).map_err(sql)?;
    steps
        .pragma_update(None, "application_id", APPLICATION_ID)
        .and_then(|()| steps.pragma_update(None, "user_version", NEWEST))
        .map_err(sql)?;
    steps.commit().map_err(sql)
}

/// What the steps need beyond SQL.
fn add_functions(connection: &Connection) -> rusqlite::Result<()> {
    let flags = FunctionFlags::SQLITE_UTF8 | FunctionFlags::SQLITE_DETERMINISTIC;
    connection.create_scalar_function("blake3", 1, flags, |row| {
        let bytes = match row.get_raw(0) {
            rusqlite::types::ValueRef::Blob(bytes) | rusqlite::types::ValueRef::Text(bytes) => {
                bytes
            }
            _ => &[],
        };
        Ok(super::digest(bytes))
    })
}

/// Refuses a file of which a page is missing or scribbled over.
fn whole(connection: &Connection, path: &Path) -> Result<()> {
    let found: String = connection
        .query_row("PRAGMA quick_check(1)", [], |row| row.get(0))
        .map_err(|e| refused(path, &e))?;
    if found == "ok" {
        return Ok(());
    }
    let lines: Vec<&str> = found.lines().map(|l| l.trim_matches([' ', '*'])).collect();
    Err(Error::ArchiveDamaged {
        path: path.to_owned(),
        detail: lines.join(": "),
    })
}

/// Where the copy of an older archive goes: beside it, under the first name that is free.
fn copy_beside(path: &Path, version: i32) -> PathBuf {
    let named = |again: u32| {
        let mut name = path.file_name().unwrap_or_default().to_owned();
        match again {
            1 => name.push(format!(".v{version}-before.sqlite")),
            n => name.push(format!(".v{version}-before-{n}.sqlite")),
        }
        path.with_file_name(name)
    };
    let mut again = 1;
    while named(again).exists() {
        again += 1;
    }
    named(again)
}

#[cfg(test)]
mod tests {
    use super::super::Archive;
    use super::*;

    /// An archive that has taken so many steps, with a rig and a finish in it.
    fn older(path: &Path, version: usize) {
        let file = Connection::open(path).unwrap();
        add_functions(&file).unwrap();
        for step in &STEPS[..version] {
            file.execute_batch(step).unwrap();
        }
        file.pragma_update(None, "application_id", APPLICATION_ID)
            .unwrap();
        let taken = i32::try_from(version).unwrap();
        file.pragma_update(None, "user_version", taken).unwrap();
        file.execute(
            "INSERT INTO rig (name, made_at, rig) VALUES ('corner', 'then', 'its light')",
            [],
        )
        .unwrap();
        if version < 4 {
            let fingerprint = r#"{"version":1,"measurements":{"coverage":{"Ok":{"value":0.75}}}}"#;
            file.execute(
                "INSERT INTO finish VALUES (7, 'bar', 'then', 'bar.jpg', 'd', 's', 1, 'dry', ?1, x'01', x'02', 'mine')",
                [fingerprint],
            )
            .unwrap();
        } else {
            file.execute_batch(
                "INSERT INTO finish (id, name, kept_at, photo_name, photo_digest, settings_digest, version, notes, coverage)
                 VALUES (7, 'bar', 'then', 'bar.jpg', 'd', 's', 1, 'mine', 0.75)",
            )
            .unwrap();
        }
    }

    /// Everything that defines the tables, in order.
    fn schema(path: &Path) -> Vec<(String, String)> {
        let file = Connection::open(path).unwrap();
        let mut ask = file
            .prepare("SELECT name, coalesce(sql, '') FROM sqlite_schema ORDER BY name")
            .unwrap();
        let rows = ask.query_map([], |row| Ok((row.get(0)?, row.get(1)?)));
        rows.unwrap().collect::<rusqlite::Result<_>>().unwrap()
    }

    #[test]
    fn a_new_archive_has_taken_all_steps_and_holds_the_tables_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.sqlite");
        drop(Archive::open(&path).unwrap());
        let file = Connection::open(&path).unwrap();
        assert_eq!(taken(&file, &path).unwrap(), NEWEST);
        assert_eq!(STEPS.len(), usize::try_from(NEWEST).unwrap());
        let tables: Vec<String> = file
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<rusqlite::Result<_>>()
            .unwrap();
        assert_eq!(tables, TABLES);
        file.execute_batch("DROP TABLE overruling").unwrap();
        assert!(matches!(
            Archive::open(&path),
            Err(Error::ArchiveDamaged { .. })
        ));
    }

    #[test]
    fn an_archive_of_every_older_version_becomes_as_a_new_one_keeps_what_it_holds_and_leaves_a_copy()
     {
        let folder = tempfile::tempdir().unwrap();
        let fresh = folder.path().join("fresh.sqlite");
        drop(Archive::open(&fresh).unwrap());
        for version in 1..STEPS.len() {
            let path = folder.path().join(format!("{version}.sqlite"));
            older(&path, version);
            let upgraded = Archive::open(&path).unwrap();
            let rig: String = upgraded
                .connection
                .query_row("SELECT rig FROM rig WHERE name = 'corner'", [], |r| {
                    r.get(0)
                })
                .unwrap();
            assert_eq!(rig, "its light");
            let listed = upgraded.listed().unwrap();
            assert_eq!(listed.len(), 1);
            assert_eq!(
                (listed[0].name.as_str(), listed[0].coverage),
                ("bar", Some(0.75))
            );
            assert_eq!(listed[0].notes, "mine");
            assert!(!listed[0].has_recipe);
            drop(upgraded);
            assert_eq!(schema(&path), schema(&fresh), "from version {version}");
            let copy = folder
                .path()
                .join(format!("{version}.sqlite.v{version}-before.sqlite"));
            let copy = Connection::open(copy).unwrap();
            assert_eq!(
                taken(&copy, &path).unwrap(),
                i32::try_from(version).unwrap()
            );
            let kept: String = copy
                .query_row("SELECT notes FROM finish", [], |r| r.get(0))
                .unwrap();
            assert_eq!(kept, "mine");
        }
    }

    #[test]
    fn the_seals_of_readings_take_on_their_colour_and_a_broken_one_stays_broken() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("6.sqlite");
        older(&path, 6);
        let file = Connection::open(&path).unwrap();
        add_functions(&file).unwrap();
        file.execute_batch(
            "INSERT INTO file (digest, bytes) VALUES ('m', x'01');
             INSERT INTO reading (id, finish_id, read_at, source, silver_map, picture, fingerprint_digest, fingerprint)
             VALUES (1, 7, 'then', 'photo', 'm', 'm', 'd', '{}'), (2, 7, 'then', 'photo', 'm', 'm', 'd', '{}');
             UPDATE reading SET seal = blake3(json_array(finish_id, read_at, source, silver_map, picture, fingerprint_digest));
             UPDATE reading SET read_at = 'another day' WHERE id = 2;",
        )
        .unwrap();
        drop(file);
        let upgraded = Archive::open(&path).unwrap();
        let sound: Vec<bool> = upgraded
            .connection
            .prepare(
                "SELECT seal IS blake3(json_array(finish_id, read_at, source, silver_map, picture, fingerprint_digest, colour))
                 FROM reading ORDER BY id",
            )
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<rusqlite::Result<_>>()
            .unwrap();
        assert_eq!(sound, [true, false]);
    }

    #[test]
    fn decisions_from_before_are_sealed_anew_unless_they_were_broken() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("old.sqlite");
        older(&path, 6);
        let file = Connection::open(&path).unwrap();
        add_functions(&file).unwrap();
        let said = "id, made_at, sample_id, panel, photo_digest, found, decided, reason";
        file.execute_batch(&format!(
            "INSERT INTO overruling VALUES (1, 'then', 7, 'p', 'd', 'within', 'outside', 'so', NULL);
             INSERT INTO overruling VALUES (2, 'then', 7, 'p', 'd', 'within', 'outside', 'so', NULL);
             UPDATE overruling SET seal = blake3(json_array({said}));
             UPDATE overruling SET reason = 'not so' WHERE id = 2;"
        ))
        .unwrap();
        drop(Archive::open(&path).unwrap());
        let sound: Vec<i64> = file
            .prepare(&format!(
                "SELECT id FROM overruling WHERE seal IS blake3(json_array({said}, question))"
            ))
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<rusqlite::Result<_>>()
            .unwrap();
        assert_eq!(sound, [1]);
    }

    #[test]
    fn an_older_archive_that_is_damaged_is_left_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("old.sqlite");
        older(&path, 3);
        let mut bytes = std::fs::read(&path).unwrap();
        let last = bytes.len() - 4096;
        bytes[last..].fill(0xa5);
        std::fs::write(&path, &bytes).unwrap();
        assert!(matches!(
            Archive::open(&path),
            Err(Error::ArchiveDamaged { .. })
        ));
        assert_eq!(bytes, std::fs::read(&path).unwrap());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
