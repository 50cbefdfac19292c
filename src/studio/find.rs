//! The kept finishes that look most like a panel.

use std::cmp::Ordering;
use std::num::NonZero;

use super::Studio;
use super::panel::{Panel, PanelSource};
use super::reading::{How, Reader};
use crate::archive::{Archive, Finish, Recipe};
use crate::compare::find::{HowNear, LOOKED_AT, Near, nearest};
use crate::compare::{Match, Side, Terms, compare};
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::fingerprint::look::Look;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Request {
    /// A photo, or the name of a kept finish.
    pub panel: String,
    /// How many finishes are wanted.
    pub most: NonZero<usize>,
    /// How a photo is read.
    pub how: How,
}

/// One of them.
pub struct NearFinish {
    /// It.
    pub finish: Finish,
    /// How far from the panel, in allowances.
    pub distance: f64,
    /// It beside the panel.
    pub beside: Match,
    /// How it was made, where that is written down.
    pub recipe: Option<Recipe>,
}

/// The finishes nearest to a panel.
pub struct Nearest {
    /// The panel.
    pub panel: Panel,
    /// The nearest first.
    pub found: Vec<NearFinish>,
    /// How many were looked through.
    pub searched: usize,
}

/// Finds them.
///
/// # Errors
/// The panel cannot be read, or not be judged by.
pub fn find(request: &Request, studio: &mut Studio<'_>) -> Result<Nearest> {
    let mut archive = studio.archive()?;
    let reader = Reader::new(&request.how, &archive)?;
    let panel = PanelSource::named(&request.panel, &archive)?.panel(&reader)?;
    let looks = archive.looks(&Look::kind_of(&panel.fingerprint))?;
    for error in looks.damaged {
        studio.sound::<()>(Err(error))?;
    }
    let looks = looks.all;
    // More than are wanted, for those are put in order by a closer look; a kept finish is nearest to itself, and left out.
    let some = request.most.checked_add(LOOKED_AT).unwrap_or(request.most);
    let near = nearest(&looks, &Look::of(&panel.fingerprint), some);
    let searched = looks.len() - usize::from(panel.is_kept() && !looks.is_empty());
    let found = described(&near, request.most, &panel, &archive, studio)?;
    Ok(Nearest {
        panel,
        found,
        searched,
    })
}

/// The wanted number of them in order, each beside the panel by the comparison that a match makes.
fn described(
    near: &[Near],
    most: NonZero<usize>,
    panel: &Panel,
    archive: &Archive,
    studio: &mut Studio<'_>,
) -> Result<Vec<NearFinish>> {
    let texture = |fingerprint: &Fingerprint| fingerprint.measurements.texture.clone();
    let own = texture(&panel.fingerprint);
    let mut finishes = Vec::new();
    for one in near {
        let Some(name) = studio.sound(archive.name_of(one.id))? else {
            continue;
        };
        if panel.is_kept() && name == panel.name {
            continue;
        }
        let Some(finish) = studio.sound(archive.finish_named(&name))? else {
            continue;
        };
        let how_near = HowNear::of(one, &own, &texture(&finish.fingerprint));
        finishes.push((how_near, finish));
    }
    // Stable: of equally near ones the scan's order holds.
    finishes.sort_by(|a, b| a.0.partial_cmp(&b.0).unwrap_or(Ordering::Equal));
    let mut found = Vec::new();
    for (how_near, finish) in finishes.into_iter().take(most.get()) {
        let side = Side {
            name: &finish.name,
            fingerprint: &finish.fingerprint,
        };
        found.push(NearFinish {
            distance: how_near.in_allowances(),
            // What stands under a finish is said of the finish.
            beside: compare(panel.side(), side, &Terms::default())?,
            recipe: studio.sound(archive.recipe(&finish.name))?.flatten(),
            finish,
        });
    }
    Ok(found)
}
