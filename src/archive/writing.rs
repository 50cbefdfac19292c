//! A change under way: all of it is written, or none.

use std::path::Path;

use rusqlite::{OptionalExtension, Transaction};

use super::disk::refused;
use super::near::{Named, near};
use crate::error::{Error, Result};

/// A transaction that writes.
pub(super) struct Writing<'a> {
    pub(super) all: Transaction<'a>,
    pub(super) path: &'a Path,
}

impl Writing<'_> {
    pub(super) fn sql(&self) -> impl Fn(rusqlite::Error) -> Error + '_ {
        |e| refused(self.path, &e)
    }

    /// Runs one statement, and says how many rows it touched.
    pub(super) fn run(&self, sql: &str, with: impl rusqlite::Params) -> Result<usize> {
        self.all
            .prepare_cached(sql)
            .and_then(|mut statement| statement.execute(with))
            .map_err(self.sql())
    }

    /// The row id of a finish, where one of that name is kept.
    pub(super) fn id_of(&self, finish: &str) -> Result<Option<i64>> {
        self.all
            .prepare_cached("SELECT id FROM finish WHERE name = ?1")
            .and_then(|mut get| get.query_row([finish], |row| row.get(0)).optional())
            .map_err(self.sql())
    }

    /// The row id of a finish that must be there.
    pub(super) fn id_named(&self, finish: &str) -> Result<i64> {
        self.id_of(finish)?.ok_or_else(|| Error::NoSuchFinish {
            name: finish.to_owned(),
            near: near(&self.all, Named::Finish, finish),
            path: self.path.to_owned(),
        })
    }
}
