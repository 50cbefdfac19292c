//! Names that may have been meant where one is not kept here.

use rusqlite::Connection;

use crate::names::near_names;

/// A kind of thing that is kept under a name.
#[derive(Debug, Clone, Copy)]
pub(super) enum Named {
    Finish,
    Rig,
    Ladder,
}

/// The kept names near one that was typed. An archive that cannot be read offers none: why it cannot is said elsewhere.
pub(super) fn near(connection: &Connection, kind: Named, typed: &str) -> Vec<String> {
    let query = match kind {
        Named::Finish => "SELECT name FROM finish WHERE id NOT IN (SELECT finish_id FROM bin)",
        Named::Rig => "SELECT name FROM rig",
        Named::Ladder => "SELECT DISTINCT ladder FROM ladder_step",
    };
    let names: rusqlite::Result<Vec<String>> = connection
        .prepare_cached(query)
        .and_then(|mut get| get.query_map([], |row| row.get(0))?.collect());
    near_names(typed, names.unwrap_or_default().iter().map(String::as_str))
}
