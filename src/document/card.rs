//! `card.txt`: a finish that leaves the archive in words, for a drawer or a client.

use crate::archive::{Approval, Overruling, Recipe};
use crate::fingerprint::Fingerprint;
use crate::frame::placement::Stage;
use crate::words::{self, day, keeping, recipe};

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
    let mut said = vec![
        finish.name.to_owned(),
        format!(
            "Kept on {} from {}.",
            day(finish.kept_at),
            finish.photo_name
        ),
    ];
    match finish.fingerprint {
        Some(fingerprint) => {
            let p = &fingerprint.provenance;
            let stage = photographed(p.placement.stage);
            said.push(format!("A panel of {}{stage}.", p.placement.size));
            said.extend(words::reading(&fingerprint.measurements));
            let signs = p.flags.facts();
            said.extend(signs.map(|f| format!("! {} {}", f.meaning, f.remedy)));
        }
        None => said.push(OTHER_VERSION.to_owned()),
    }
    said.extend(match finish.readings {
        0 | 1 => None,
        2 => Some("One earlier reading of it is kept too.".to_owned()),
        n => Some(format!("{} earlier readings of it are kept too.", n - 1)),
    });
    said.extend(finish.approval.into_iter().flat_map(keeping::signed));
    if !finish.notes.is_empty() {
        said.push(keeping::notes(finish.notes));
    }
    if let [earlier @ .., recipe] = finish.recipes {
        said.extend(recipe::written(recipe));
        said.extend(recipe::earlier(earlier));
    }
    said.extend(finish.decisions.iter().map(|o| {
        let decided = keeping::overruled_beside(&o.made_at, finish.name, o.decided, &o.reason);
        format!("Panel {}: {decided}", o.panel)
    }));
    said.join("\n") + "\n"
}

/// Where the reading is not this program's.
pub const OTHER_VERSION: &str =
    "It was measured by another version of the measures; its figures are in finish.json.";

/// How far the work had gone, after the panel's size.
fn photographed(stage: Option<Stage>) -> &'static str {
    match stage {
        None => "",
        Some(Stage::Wet) => ", photographed wet",
        Some(Stage::Dry) => ", photographed dry, its back not painted",
        Some(Stage::Backed) => ", photographed with its back painted",
    }
}
