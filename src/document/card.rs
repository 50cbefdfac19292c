//! `card.txt`: a finish that leaves the archive in words, for a drawer or a client.

use crate::archive::{Approval, Overruling, Recipe};
use crate::fingerprint::Fingerprint;
use crate::words::{self, keeping, leaving, recipe};

/// What is told of a finish that leaves.
#[derive(Debug, Clone, Copy)]
pub struct Leaving<'a> {
    /// The studio's name for it.
    pub name: &'a str,
    /// When it was kept, RFC 3339.
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
    /// Its folder in the export.
    pub folder: &'a str,
}

/// The card.
#[must_use]
pub fn card(finish: &Leaving<'_>) -> String {
    let mut said = vec![leaving::title(
        finish.name,
        finish.kept_at,
        finish.photo_name,
    )];
    match finish.fingerprint {
        Some(fingerprint) => {
            let p = &fingerprint.provenance;
            said.push(leaving::made(p.placement.size, p.placement.stage));
            said.extend(words::reading(&fingerprint.measurements));
            let signs = p.flags.facts();
            said.extend(signs.map(|f| format!("! {} {}", f.meaning, f.remedy)));
        }
        None => said.push(leaving::OTHER_VERSION.to_owned()),
    }
    if finish.readings > 1 {
        said.push(leaving::earlier(finish.readings - 1));
    }
    if let Some(approval) = finish.approval {
        let [light, dark] = [&approval.light, &approval.dark].map(Option::as_deref);
        said.push(leaving::approved(&approval.approved_at));
        said.extend(keeping::limits(light, dark));
        said.extend(approval.variety.map(|v| keeping::variety(v).to_owned()));
        said.extend(leaving::allowances(&approval.allowances));
    }
    if !finish.notes.is_empty() {
        said.push(keeping::notes(finish.notes));
    }
    if let [earlier @ .., recipe] = finish.recipes {
        said.extend(recipe::written(recipe));
        said.extend(recipe::earlier(earlier));
    }
    said.extend(finish.decisions.iter().map(|o| {
        let decided = keeping::overruled_beside(&o.made_at, finish.name, o.decided, &o.reason);
        leaving::decided(&o.panel, &decided)
    }));
    said.join("\n") + "\n"
}
