//! Checksums of rows. Each is the digest of what its row says, so a change is found wherever in the file it was made; its column
//! is named `seal`. Bytes have a digest of their own (see [`super::file`]), and so have the texts of readings and recipes: the
//! checksum of their row covers that digest.

use rusqlite::Connection;
use rusqlite::functions::FunctionFlags;
use rusqlite::types::ValueRef;

use super::problem::Problem;

/// The checksum of the rows of a table.
struct Checksum {
    table: &'static str,
    /// The columns that the checksum covers, as SQL.
    columns: &'static str,
    /// The name of the thing that a row belongs to, as SQL.
    owner: &'static str,
    /// The problem where a row does not match its checksum.
    broken: fn(String) -> Problem,
}

/// The name of the finish that a row belongs to, as SQL.
const FINISH: &str = "(SELECT finish.name FROM finish WHERE finish.id = finish_id)";

/// The other columns of `finish` are worked out from the reading that holds, and are checked against it.
const CHECKSUMS: [Checksum; 18] = [
    Checksum {
        table: "finish",
        columns: "id, name, kept_at, photo_name, photo_digest, notes",
        owner: "name",
        broken: Problem::FinishChanged,
    },
    Checksum {
        table: "reading",
        columns: "finish_id, read_at, source, silver_map, picture, fingerprint_digest, colour",
        owner: FINISH,
        broken: Problem::ReadingChanged,
    },
    Checksum {
        table: "photo",
        columns: "finish_id, digest",
        owner: FINISH,
        broken: Problem::PhotoChanged,
    },
    Checksum {
        table: "recipe",
        columns: "id, finish_id, written_at, digest",
        owner: FINISH,
        broken: Problem::RecipeChanged,
    },
    Checksum {
        table: "approval",
        columns: "finish_id, approved_at, allowances, light_id, dark_id, variety",
        owner: FINISH,
        broken: Problem::ApprovalChanged,
    },
    Checksum {
        table: "overruling",
        columns: "id, made_at, sample_id, panel, photo_digest, found, decided, reason, question",
        owner: "(SELECT finish.name FROM finish WHERE finish.id = sample_id)",
        broken: Problem::DecisionChanged,
    },
    Checksum {
        table: "look",
        columns: "finish_id, form, kind, hex(point)",
        owner: FINISH,
        broken: Problem::LookChanged,
    },
    Checksum {
        table: "ladder_step",
        columns: "ladder, place, step, finish_id",
        owner: "ladder",
        broken: Problem::LadderChanged,
    },
    Checksum {
        table: "rig",
        columns: "name, made_at, rig",
        owner: "name",
        broken: Problem::RigChanged,
    },
    Checksum {
        table: "rig_study",
        columns: "rig, studied_at, study",
        owner: "rig",
        broken: Problem::RigChanged,
    },
    Checksum {
        table: "earlier_rig",
        columns: "id, name, made_at, rig, studied_at, study",
        owner: "name",
        broken: Problem::RigChanged,
    },
    Checksum {
        table: "job",
        columns: "id, name, opened_at, closed_at, sample_id, rig, details",
        owner: "name",
        broken: Problem::JobChanged,
    },
    Checksum {
        table: "job_panel",
        columns: "job_id, place, finish_id",
        owner: "(SELECT job.name FROM job WHERE job.id = job_id)",
        broken: Problem::JobChanged,
    },
    Checksum {
        table: "studio_default",
        columns: "key, value",
        owner: "key",
        broken: Problem::UsualChanged,
    },
    Checksum {
        table: "change",
        columns: "id, made_at, thing, name, done, before, after, reason, finish_id",
        owner: "name",
        broken: Problem::ChangeChanged,
    },
    Checksum {
        table: "bin",
        columns: "finish_id, name, removed_at",
        owner: "name",
        broken: Problem::BinChanged,
    },
    Checksum {
        table: "tag",
        columns: "finish_id, tag",
        owner: FINISH,
        broken: Problem::TagChanged,
    },
    Checksum {
        table: "signature",
        columns: "finish_id, signed_by, signed_at",
        owner: FINISH,
        broken: Problem::ApprovalChanged,
    },
];

impl Checksum {
    /// The checksum that a row should have, as SQL.
    fn due(&self) -> String {
        format!("blake3(json_array({}))", self.columns)
    }
}

/// Defines the SQL function `blake3`, which the checksums are made with.
pub(super) fn define(connection: &Connection) -> rusqlite::Result<()> {
    let flags = FunctionFlags::SQLITE_UTF8 | FunctionFlags::SQLITE_DETERMINISTIC;
    connection.create_scalar_function("blake3", 1, flags, |row| {
        let bytes = match row.get_raw(0) {
            ValueRef::Blob(bytes) | ValueRef::Text(bytes) => bytes,
            _ => &[],
        };
        Ok(super::digest(bytes))
    })
}

/// Gives a checksum to every row that has none yet.
pub(super) fn fill(connection: &Connection) -> rusqlite::Result<()> {
    for checksum in &CHECKSUMS {
        let (table, due) = (checksum.table, checksum.due());
        connection
            .prepare_cached(&format!(
                "UPDATE {table} SET seal = {due} WHERE seal IS NULL"
            ))?
            .execute([])?;
    }
    Ok(())
}

/// The rows that do not match their checksums.
pub(super) fn broken(connection: &Connection) -> rusqlite::Result<Vec<Problem>> {
    let mut problems = Vec::new();
    for checksum in &CHECKSUMS {
        let (table, owner, due) = (checksum.table, checksum.owner, checksum.due());
        let query =
            format!("SELECT DISTINCT coalesce({owner}, '?') FROM {table} WHERE seal IS NOT {due}");
        let mut ask = connection.prepare(&query)?;
        for name in ask.query_map([], |row| row.get(0))? {
            problems.push((checksum.broken)(name?));
        }
    }
    Ok(problems)
}

#[cfg(test)]
mod tests {
    use super::super::schema::TABLES;
    use super::*;

    #[test]
    fn every_table_has_checksums_but_that_of_bytes() {
        let mut tables = CHECKSUMS.map(|c| c.table);
        tables.sort_unstable();
        let all: Vec<&str> = TABLES.into_iter().filter(|t| *t != "file").collect();
        assert_eq!(tables, all[..]);
    }

    #[test]
    fn checksums_written_out_in_queries_cover_the_same_columns() {
        let columns = |table: &str| CHECKSUMS.iter().find(|c| c.table == table).unwrap().columns;
        for (table, query, named) in [
            ("approval", include_str!("sql/get_approval.sql"), true),
            ("signature", include_str!("sql/get_approval.sql"), true),
            ("bin", include_str!("sql/get_bin.sql"), true),
            ("change", include_str!("sql/get_changes.sql"), false),
            ("finish", include_str!("sql/get_finish.sql"), true),
            ("overruling", include_str!("sql/get_overrulings.sql"), true),
            ("ladder_step", include_str!("sql/get_ladder.sql"), true),
            ("job", include_str!("sql/get_jobs.sql"), true),
            ("job_panel", include_str!("sql/get_job_panels.sql"), true),
            (
                "studio_default",
                include_str!("sql/get_defaults.sql"),
                false,
            ),
            ("rig", include_str!("sql/get_rigs.sql"), true),
            ("rig_study", include_str!("sql/get_rigs.sql"), true),
            (
                "earlier_rig",
                include_str!("sql/get_earlier_rigs.sql"),
                false,
            ),
        ] {
            let of = if named {
                format!("{table}.")
            } else {
                String::new()
            };
            let own = columns(table).replace(", ", &format!(", {of}"));
            let due = format!("{of}seal IS blake3(json_array({of}{own}))");
            assert!(query.contains(&due), "{due}");
        }
        let given = format!("INTO reading ({}, fingerprint, seal)", columns("reading"));
        assert!(include_str!("sql/add_reading.sql").contains(&given));
    }
}
