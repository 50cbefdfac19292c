//! The schema of the file, and its version (`user_version`).

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};

use super::{APPLICATION_ID, damaged, refused};
use crate::error::{Error, Result};

/// Each version of the file, and the statements that make it of the one before: the first makes an archive of an empty file.
/// A step is only ever appended.
const STEPS: [(i32, &str); 3] = [
    (8, include_str!("sql/8_archive.sql")),
    (9, include_str!("sql/9_taking_back.sql")),
    (10, include_str!("sql/10_jobs.sql")),
];

/// The oldest version that is opened.
const OLDEST: i32 = STEPS[0].0;

/// The version that all steps lead to.
pub(super) const NEWEST: i32 = STEPS[STEPS.len() - 1].0;

/// The tables of that version.
pub(super) const TABLES: [&str; 19] = [
    "approval",
    "bin",
    "change",
    "earlier_rig",
    "file",
    "finish",
    "job",
    "job_panel",
    "ladder_step",
    "look",
    "overruling",
    "photo",
    "reading",
    "recipe",
    "rig",
    "rig_study",
    "signature",
    "studio_default",
    "tag",
];

/// The version of a file; `None` of an empty one.
///
/// # Errors
/// The file belongs to another program, has a version that is not known, or lacks a table.
pub(super) fn version(connection: &Connection, path: &Path) -> Result<Option<i32>> {
    let number = |sql: &str| {
        connection
            .query_row(sql, [], |row| row.get::<_, i32>(0))
            .map_err(|e| refused(path, &e))
    };
    let is_empty = number("SELECT count(*) FROM sqlite_schema")? == 0;
    if !is_empty && number("PRAGMA application_id")? != APPLICATION_ID {
        return Err(Error::NotAnArchive {
            path: path.to_owned(),
        });
    }
    let found = number("PRAGMA user_version")?;
    if is_empty && found == 0 {
        return Ok(None);
    }
    if found > NEWEST {
        return Err(Error::ArchiveNewer {
            path: path.to_owned(),
            found,
            newest: NEWEST,
        });
    }
    if found < OLDEST {
        return Err(Error::ArchiveOlder {
            path: path.to_owned(),
            found,
            oldest: OLDEST,
        });
    }
    if number("SELECT count(*) FROM sqlite_schema WHERE type IN ('trigger', 'view')")? > 0 {
        let detail = "it holds a trigger or a view, which are not this program's";
        return Err(damaged(path, &detail));
    }
    if found == NEWEST {
        for table in TABLES {
            let there = connection
                .prepare_cached("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?1")
                .and_then(|mut ask| ask.exists([table]))
                .map_err(|e| refused(path, &e))?;
            if !there {
                return Err(damaged(path, &format!("its table {table} is gone")));
            }
        }
    }
    Ok(Some(found))
}

/// Takes the steps that the file lacks, all of them or none.
///
/// # Errors
/// As for [`version`]; the file is write-protected or held by another program; the disk is full.
pub(super) fn bring_up(connection: &mut Connection, path: &Path) -> Result<()> {
    if version(connection, path)? == Some(NEWEST) {
        return Ok(());
    }
    let sql = |e: rusqlite::Error| refused(path, &e);
    let all = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(sql)?;
    let _under_way = super::stop::change();
    // Another program may have taken them meanwhile.
    let found = version(&all, path)?;
    for (_, step) in STEPS.iter().filter(|(version, _)| Some(*version) > found) {
        all.execute_batch(step).map_err(sql)?;
    }
    all.pragma_update(None, "application_id", APPLICATION_ID)
        .and_then(|()| all.pragma_update(None, "user_version", NEWEST))
        .map_err(sql)?;
    all.commit().map_err(sql)
}

#[cfg(test)]
mod tests {
    use super::super::Archive;
    use super::*;

    #[test]
    fn a_new_archive_has_the_newest_version_and_holds_the_tables_named() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.sqlite");
        drop(Archive::open(&path).unwrap());
        let file = Connection::open(&path).unwrap();
        assert_eq!(version(&file, &path).unwrap(), Some(NEWEST));
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
    fn every_step_leads_to_a_later_version() {
        assert!(STEPS.is_sorted_by(|(before, _), (after, _)| before < after));
    }

    #[test]
    fn an_archive_of_an_unknown_version_is_refused_and_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.sqlite");
        drop(Archive::open(&path).unwrap());
        for found in [-1, 0, 3, OLDEST - 1, NEWEST + 1] {
            let file = Connection::open(&path).unwrap();
            file.pragma_update(None, "user_version", found).unwrap();
            drop(file);
            let before = std::fs::read(&path).unwrap();
            let error = Archive::open(&path).err().unwrap();
            let (Error::ArchiveOlder { .. } | Error::ArchiveNewer { .. }) = error else {
                panic!("{error}");
            };
            let known = if found < OLDEST { OLDEST } else { NEWEST };
            let said = error.to_string();
            assert!(said.contains(&format!("has version {found};")), "{said}");
            assert!(said.contains(&format!(" {known}: ")), "{said}");
            assert_eq!(before, std::fs::read(&path).unwrap());
        }
    }
}
