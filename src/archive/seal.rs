//! Seals: every row holds the digest of what it says, so that a change is found wherever in the file it was made. Bytes have
//! their own digest (see [`super::file`]), and so have the texts of readings and recipes; a seal then holds that digest.

use rusqlite::Connection;

use super::problem::Problem;

/// A table whose rows are sealed.
struct Sealed {
    table: &'static str,
    /// The columns that a seal is the digest of, as SQL.
    says: &'static str,
    /// The name of what a row belongs to, as SQL.
    whose: &'static str,
    /// What is wrong where a seal is broken.
    broken: fn(String) -> Problem,
}

/// The name of the finish of a row, as SQL.
const FINISH: &str = "(SELECT finish.name FROM finish WHERE finish.id = finish_id)";

/// What `finish` says besides is worked out from the reading that holds, and is held against that.
const SEALED: [Sealed; 11] = [
    Sealed {
        table: "finish",
        says: "id, name, kept_at, photo_name, photo_digest, notes",
        whose: "name",
        broken: Problem::FinishChanged,
    },
    Sealed {
        table: "reading",
        says: "finish_id, read_at, source, silver_map, picture, fingerprint_digest, colour",
        whose: FINISH,
        broken: Problem::ReadingChanged,
    },
    Sealed {
        table: "photo",
        says: "finish_id, digest",
        whose: FINISH,
        broken: Problem::PhotoChanged,
    },
    Sealed {
        table: "recipe",
        says: "id, finish_id, written_at, digest",
        whose: FINISH,
        broken: Problem::RecipeChanged,
    },
    Sealed {
        table: "approval",
        says: "finish_id, approved_at, allowances, light_id, dark_id, variety",
        whose: FINISH,
        broken: Problem::ApprovalChanged,
    },
    Sealed {
        table: "overruling",
        says: "id, made_at, sample_id, panel, photo_digest, found, decided, reason, question",
        whose: "(SELECT finish.name FROM finish WHERE finish.id = sample_id)",
        broken: Problem::DecisionChanged,
    },
    Sealed {
        table: "look",
        says: "finish_id, form, kind, hex(point)",
        whose: FINISH,
        broken: Problem::LookChanged,
    },
    Sealed {
        table: "ladder_step",
        says: "ladder, place, step, finish_id",
        whose: "ladder",
        broken: Problem::LadderChanged,
    },
    Sealed {
        table: "rig",
        says: "name, made_at, rig",
        whose: "name",
        broken: Problem::RigChanged,
    },
    Sealed {
        table: "rig_study",
        says: "rig, studied_at, study",
        whose: "rig",
        broken: Problem::RigChanged,
    },
    Sealed {
        table: "earlier_rig",
        says: "id, name, made_at, rig, studied_at, study",
        whose: "name",
        broken: Problem::RigChanged,
    },
];

impl Sealed {
    /// The seal that a row should have, as SQL.
    fn due(&self) -> String {
        format!("blake3(json_array({}))", self.says)
    }
}

/// Seals what is not sealed yet.
pub(super) fn seal(connection: &Connection) -> rusqlite::Result<()> {
    for sealed in &SEALED {
        let (table, due) = (sealed.table, sealed.due());
        connection
            .prepare_cached(&format!(
                "UPDATE {table} SET seal = {due} WHERE seal IS NULL"
            ))?
            .execute([])?;
    }
    Ok(())
}

/// What is wrong with the rows whose seal is broken.
pub(super) fn broken(connection: &Connection) -> rusqlite::Result<Vec<Problem>> {
    let mut problems = Vec::new();
    for sealed in &SEALED {
        let (table, whose, due) = (sealed.table, sealed.whose, sealed.due());
        let query =
            format!("SELECT DISTINCT coalesce({whose}, '?') FROM {table} WHERE seal IS NOT {due}");
        let mut ask = connection.prepare(&query)?;
        for name in ask.query_map([], |row| row.get(0))? {
            problems.push((sealed.broken)(name?));
        }
    }
    Ok(problems)
}

#[cfg(test)]
mod tests {
    use super::super::steps::TABLES;
    use super::*;

    #[test]
    fn every_table_is_sealed_but_that_of_bytes() {
        let mut sealed = SEALED.map(|s| s.table);
        sealed.sort_unstable();
        let all: Vec<&str> = TABLES.into_iter().filter(|t| *t != "file").collect();
        assert_eq!(sealed, all[..]);
    }

    #[test]
    fn what_is_sealed_elsewhere_is_sealed_alike() {
        let says = |table: &str| SEALED.iter().find(|s| s.table == table).unwrap().says;
        for (table, query, named) in [
            ("approval", include_str!("sql/get_finish.sql"), true),
            ("finish", include_str!("sql/get_finish_row.sql"), true),
            ("overruling", include_str!("sql/get_overrulings.sql"), true),
            ("ladder_step", include_str!("sql/get_ladder.sql"), true),
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
            let own = says(table).replace(", ", &format!(", {of}"));
            let due = format!("{of}seal IS blake3(json_array({of}{own}))");
            assert!(query.contains(&due), "{due}");
        }
        let given = format!("INTO reading ({}, fingerprint, seal)", says("reading"));
        assert!(include_str!("sql/add_reading.sql").contains(&given));
    }
}
