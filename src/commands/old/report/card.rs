//! `card.txt`: a kept finish in words, for a drawer or a client.

use super::text::flags;
use super::words::{self, keeping, leaving, recipe};
use crate::archive::{Approval, Overruling, Recipe};
use crate::fingerprint::Fingerprint;

/// What stands on it.
#[derive(Debug, Clone, Copy)]
pub struct Card<'a> {
    /// The studio's name for it.
    pub name: &'a str,
    /// When it was kept.
    pub kept_at: &'a str,
    /// File name of the photo.
    pub photo_name: &'a str,
    /// Anything the maker wrote.
    pub notes: &'a str,
    /// What was signed.
    pub approval: Option<&'a Approval>,
    /// How it was made, all that was written, the earliest first.
    pub recipes: &'a [Recipe],
    /// What the maker decided about panels beside it.
    pub decisions: &'a [Overruling],
    /// The reading that holds; `None` where it is of another version.
    pub fingerprint: Option<&'a Fingerprint>,
    /// Readings there are, earlier ones too.
    pub readings: usize,
}

/// The card.
#[must_use]
pub fn card(card: &Card<'_>) -> String {
    let mut said = vec![leaving::title(card.name, card.kept_at, card.photo_name)];
    match card.fingerprint {
        Some(fingerprint) => {
            let p = &fingerprint.provenance.placement;
            said.push(leaving::made(p.size, p.stage));
            said.extend(words::reading(&fingerprint.measurements));
            said.extend(flags(fingerprint));
        }
        None => said.push(leaving::OTHER_VERSION.to_owned()),
    }
    if card.readings > 1 {
        said.push(leaving::earlier(card.readings - 1));
    }
    if let Some(approval) = card.approval {
        said.push(leaving::approved(&approval.approved_at));
        said.extend(keeping::limits(
            approval.light.as_deref(),
            approval.dark.as_deref(),
        ));
        said.extend(approval.variety.map(|v| keeping::variety(v).to_owned()));
        said.extend(leaving::allowances(&approval.allowances));
    }
    if !card.notes.is_empty() {
        said.push(keeping::notes(card.notes));
    }
    if let [earlier @ .., recipe] = card.recipes {
        said.extend(recipe::written(recipe));
        said.extend(recipe::earlier(earlier));
    }
    said.extend(card.decisions.iter().map(|o| {
        leaving::decided(
            &o.panel,
            &keeping::overruled_beside(&o.made_at, card.name, o.decided, &o.reason),
        )
    }));
    said.join("\n") + "\n"
}
