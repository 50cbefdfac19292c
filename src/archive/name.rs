//! Names. Two that differ only in capitals or spaces are one: a second is refused, and either finds the finish, the rig or the
//! ladder. A space between two figures stays, for panel 1 12 is not panel 11 2.

use rusqlite::params;

use super::change::{self, Change, Done, Thing, name_json};
use super::text::fit_name;
use super::{Archive, Writing};
use crate::error::{Error, Result};

/// What a name is told from others by: its letters and figures without capitals and spaces.
fn plain(name: &str) -> impl Iterator<Item = char> + '_ {
    let mut rest = name.trim().chars().peekable();
    let mut before = None;
    std::iter::from_fn(move || {
        let mut spaced = false;
        while rest.next_if(|c| c.is_whitespace()).is_some() {
            spaced = true;
        }
        let is_figure = |c: Option<char>| c.is_some_and(char::is_numeric);
        if spaced && is_figure(before) && is_figure(rest.peek().copied()) {
            before = None;
            return Some(' ');
        }
        before = rest.next();
        before
    })
    .flat_map(char::to_lowercase)
}

/// Whether two names differ in nothing but capitals or spaces.
pub(super) fn is_alike(one: &str, other: &str) -> bool {
    plain(one).eq(plain(other))
}

/// The name of several that is typed: the very same, or else the first that is alike.
pub(super) fn found_in(names: impl IntoIterator<Item = String>, typed: &str) -> Option<String> {
    let mut alike = None;
    for name in names {
        if name == typed {
            return Some(name);
        }
        if alike.is_none() && is_alike(&name, typed) {
            alike = Some(name);
        }
    }
    alike
}

impl Archive {
    /// The name that a finish is kept under, where there is one of that name, or one that differs from it only in capitals or
    /// spaces. What is in the bin is not found.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub(super) fn kept_as(&self, typed: &str) -> Result<Option<String>> {
        let the_same =
            "SELECT name FROM finish WHERE name = ?1 AND id NOT IN (SELECT finish_id FROM bin)";
        let the_same = self.one(the_same, typed, |row| row.get("name"))?;
        match the_same {
            Some(name) => Ok(Some(name)),
            None => Ok(found_in(self.names()?, typed)),
        }
    }

    /// The name that a finish is kept under.
    ///
    /// # Errors
    /// There is no such finish, or it is in the bin; the archive cannot be read.
    pub fn kept_name(&self, typed: &str) -> Result<String> {
        match self.kept_as(typed)? {
            Some(name) => Ok(name),
            None => Err(self.not_kept(typed)),
        }
    }

    /// The error of a name that is not found: what was removed can be brought back.
    pub(super) fn not_kept(&self, typed: &str) -> Error {
        let in_bin = self.bin().unwrap_or_default().into_iter();
        let removed = found_in(in_bin.map(|one| one.removed.name), typed);
        removed.map_or_else(
            || self.no_such(typed),
            |name| Error::InBin {
                name,
                path: self.path.clone(),
            },
        )
    }

    /// Gives a finish another name. All that belongs to it, or names it, goes with it.
    ///
    /// # Errors
    /// There is no such finish; the new name is taken, empty or unprintable; the archive cannot be written.
    pub fn rename(&mut self, old: &str, new: &str, made_at: &str) -> Result<()> {
        fit_name(new)?;
        let old = self.kept_name(old)?;
        self.write(|writing| {
            let id = writing.id_named(&old)?;
            writing.refuse_alike(new, Some(id))?;
            writing.name_finish(id, new)?;
            let change = Change {
                made_at: made_at.to_owned(),
                thing: Thing::Finish,
                name: old.clone(),
                done: Done::Renamed,
                before: name_json(&old),
                after: name_json(new),
                reason: String::new(),
            };
            change::add(writing, Some(id), &change)
        })
    }
}

impl Writing<'_> {
    /// Refuses the name of a finish where another bears it, or one that differs only in capitals or spaces.
    pub(super) fn refuse_alike(&self, new: &str, but: Option<i64>) -> Result<()> {
        let all: Vec<String> = self
            .all
            .prepare_cached("SELECT name FROM finish WHERE id IS NOT ?1")
            .and_then(|mut list| list.query_map([but], |row| row.get(0))?.collect())
            .map_err(self.sql())?;
        let path = || self.path.to_owned();
        match found_in(all, new) {
            None => Ok(()),
            Some(name) if name == new => Err(Error::NameTaken { name, path: path() }),
            Some(name) => Err(Error::NameAlike {
                given: new.to_owned(),
                name,
                path: path(),
            }),
        }
    }

    /// Gives a finish a name that is free.
    pub(super) fn name_finish(&self, id: i64, name: &str) -> Result<()> {
        self.run(
            "UPDATE finish SET name = ?2, seal = NULL WHERE id = ?1",
            params![id, name],
        )?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_differ_only_in_capitals_or_spaces_are_one() {
        for (one, other) in [
            ("Bar Sample", "bar sample"),
            ("bar  sample ", "Bar sample"),
            ("barsample", "bar sample"),
            ("alcove 2", "Alcove2"),
            ("ÜBER", "über"),
            ("panel 1  12", "Panel 1 12"),
        ] {
            assert!(is_alike(one, other), "{one} / {other}");
        }
        for (one, other) in [
            ("bar", "bars"),
            ("panel 1 12", "panel 11 2"),
            ("panel 1 1", "panel 11"),
            ("bar-sample", "bar sample"),
        ] {
            assert!(!is_alike(one, other), "{one} / {other}");
        }
    }

    #[test]
    fn the_very_same_name_goes_before_one_that_is_alike() {
        let names = || ["Bar", "bar"].map(str::to_owned);
        assert_eq!(found_in(names(), "bar").as_deref(), Some("bar"));
        assert_eq!(found_in(names(), "BAR").as_deref(), Some("Bar"));
        assert_eq!(found_in(names(), "barn"), None);
    }
}
