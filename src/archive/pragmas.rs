//! Every pragma that is set, and why.
//!
//! The archive is one file, because makers copy it to a stick by hand. So SQLite keeps a rollback journal, which is gone when the
//! change is done, and what was reported as kept is in the file itself. A write-ahead log would be faster for many writers, and
//! would be left behind by whoever copies the file alone.

use rusqlite::Connection;

/// A setting of SQLite.
#[derive(Debug, Clone, Copy)]
pub struct Pragma {
    /// SQLite's name for it.
    pub name: &'static str,
    /// The value that is set.
    pub value: &'static str,
    /// The value that SQLite answers with when it is set.
    pub reads: &'static str,
    /// Why it is set.
    pub why: &'static str,
}

/// The pragmas that are set each time the file is opened, in this order.
pub const PRAGMAS: [Pragma; 9] = [
    Pragma {
        name: "busy_timeout",
        value: "30000",
        reads: "30000",
        why: "another program that is writing is waited for, 30 s",
    },
    Pragma {
        name: "journal_mode",
        value: "DELETE",
        reads: "delete",
        why: "one file: no companion that must be copied with it; the journal is there only while something is written",
    },
    Pragma {
        name: "synchronous",
        value: "EXTRA",
        reads: "3",
        why: "a write returns when the disk has it, and has also forgotten the journal: a cut of the power undoes nothing that was reported",
    },
    Pragma {
        name: "fullfsync",
        value: "ON",
        reads: "1",
        why: "the same on a Mac, where the disk's own cache needs asking",
    },
    Pragma {
        name: "foreign_keys",
        value: "ON",
        reads: "1",
        why: "an approval cannot lose its finish, nor a study outlive its rig",
    },
    Pragma {
        name: "cell_size_check",
        value: "ON",
        reads: "1",
        why: "a scribbled page is noticed when it is read",
    },
    Pragma {
        name: "trusted_schema",
        value: "OFF",
        reads: "0",
        why: "a file from elsewhere runs nothing of its own",
    },
    Pragma {
        name: "temp_store",
        value: "MEMORY",
        reads: "2",
        why: "no files beside the archive or elsewhere",
    },
    Pragma {
        name: "mmap_size",
        value: "0",
        reads: "0",
        why: "a file that is cut while it is read is an error, not a crash",
    },
];

/// The pragmas that stand in the file itself, and why.
pub const IN_THE_FILE: [(&str, &str); 2] = [
    (
        "application_id",
        "tells an archive from any other SQLite file",
    ),
    (
        "user_version",
        "the version of its schema (`src/archive/schema.rs`)",
    ),
];

/// Sets all pragmas. The file stays as it is.
pub(super) fn apply(connection: &Connection) -> rusqlite::Result<()> {
    connection.set_db_config(rusqlite::config::DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    for pragma in PRAGMAS {
        connection
            .pragma_update_and_check(None, pragma.name, pragma.value, |_| Ok(()))
            .or_else(|e| match e {
                // Some pragmas answer nothing when they are set.
                rusqlite::Error::QueryReturnedNoRows => Ok(()),
                e => Err(e),
            })?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_setting_reads_back_as_it_was_set() {
        let folder = tempfile::tempdir().unwrap();
        let file = Connection::open(folder.path().join("a.sqlite")).unwrap();
        apply(&file).unwrap();
        for pragma in PRAGMAS {
            let text = |row: &rusqlite::Row<'_>| {
                Ok(match row.get_ref(0)? {
                    rusqlite::types::ValueRef::Integer(n) => n.to_string(),
                    other => other.as_str()?.to_owned(),
                })
            };
            let read = file.pragma_query_value(None, pragma.name, text).unwrap();
            assert_eq!(read, pragma.reads, "{}", pragma.name);
        }
    }
}
