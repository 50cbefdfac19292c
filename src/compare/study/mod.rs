//! What a rig repeats: photos of the same panels, taken again and again, set against each other.
//!
//! Of one session a one-way analysis with the panels as groups (ISO 5725-2): the variance within panels is the rig's, s_r², the
//! variance between them theirs. Of several sessions a crossed one, every panel in every session (a nested one of a single
//! panel): what sessions add is the rig's as well, and a reading on another day is off by s_R, the root of both. Counts and
//! sizes are studied in logarithms, axes as turns about the panel's own mean axis. The panel's own intervals play no part: they
//! speak of its finish, which is the same in every photo of it. What stands apart is named (`odd`).

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "degrees of freedom are small and positive"
)]

mod odd;

use std::collections::BTreeMap;

use self::odd::{note, odd_ones};
use super::side::Side;
use super::unlike::refuse_unlike;
use crate::error::{Error, Result};
use crate::fingerprint::metric::{self, Metric, Rule};
use crate::fingerprint::{Repeatability, Scatter};
use crate::stats::anova::OneWay;
use crate::stats::axial::{mean_axis, mean_direction};
use crate::stats::crossed::Crossed;
use crate::stats::precision::Precision;
use crate::units::{Unmeasured, axial_difference, circular_difference};

pub use odd::{Apart, OddOne};

/// The photos of one session, panel by panel.
#[derive(Debug, Clone)]
pub struct Session<'a> {
    /// Its name; empty where there is only one.
    pub name: &'a str,
    /// The photos of each panel, the same panels in every session.
    pub panels: Vec<Vec<Side<'a>>>,
}

/// A study of a rig.
#[derive(Debug, Clone)]
pub struct Study {
    /// Panels photographed.
    pub panels: usize,
    /// Sessions.
    pub sessions: usize,
    /// Photos of them.
    pub photos: usize,
    /// Measure by measure.
    pub rows: Vec<Row>,
    /// What stands apart, the plainest first.
    pub odd: Vec<OddOne>,
    /// What readings in this rig are to know of it.
    pub repeatability: Repeatability,
}

/// With fewer degrees of freedom Student's t adds a fifth and more to the intervals: t(8)/z = 1.18, t(7)/z = 1.21.
const FEW: usize = 8;

/// Sessions from which on their scatter is known well enough.
pub const FEW_SESSIONS: usize = 4;

impl Study {
    /// How many more photos of the same panels would keep the intervals from being wider than need be.
    #[must_use]
    pub fn more_photos(&self) -> usize {
        FEW.saturating_sub(self.photos - self.panels * self.sessions)
    }

    /// How many more sessions would tell what days differ by.
    #[must_use]
    pub fn more_sessions(&self) -> usize {
        FEW_SESSIONS.saturating_sub(self.sessions)
    }
}

/// One measure of a study.
#[derive(Debug, Clone)]
pub struct Row {
    /// The measure.
    pub metric: &'static Metric,
    /// What was found, on the scale of its rule, or why it is left out.
    pub found: Result<MeasureScatter, LeftOut>,
}

/// How one measure scatters, on the scale of its rule.
#[derive(Debug, Clone, Copy)]
pub struct MeasureScatter {
    /// Within panels and sessions: repeatability.
    pub within: Scatter,
    /// Of a reading on any day: reproducibility, never less; `None` of a single session.
    pub any_day: Option<Scatter>,
    /// Standard deviation between panels, their own; `None` of a single panel.
    pub between_sd: Option<f64>,
}

impl MeasureScatter {
    /// What a reading in this rig is off by: that of any day where it is known.
    #[must_use]
    pub fn scatter(&self) -> Scatter {
        self.any_day.unwrap_or(self.within)
    }
}

/// Why a measure is left out of a study.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LeftOut {
    /// A photo does not show it.
    NotShown {
        /// The first such photo.
        photo: String,
        /// Why it does not.
        why: Unmeasured,
    },
    /// Its figure is the same in every photo of each panel, as of blots where there are none: that is no repeatability.
    NothingThere,
}

/// Studies a rig on photos of panels, at least two of each.
///
/// # Errors
/// Fewer than two photos of a panel, the same photo twice, photos of one panel that cannot be compared, or sessions that do
/// not show the same panels equally often.
pub fn study(sessions: &[Session<'_>]) -> Result<Study> {
    let panels = sessions.first().map_or(0, |s| s.panels.len());
    let photos: Vec<Side<'_>> = sessions
        .iter()
        .flat_map(|s| s.panels.iter().flatten().copied())
        .collect();
    let first = photos.first().ok_or(Error::OnePhotoOfPanel { panel: 1 })?;
    check(sessions, panels)?;
    refuse_twice(&photos)?;
    let mut odd = Vec::new();
    let rows = metric::figures()
        .map(|metric| {
            let found = figures(metric, sessions).and_then(|figures| {
                note(&mut odd, odd_ones(metric, &figures, sessions));
                let found = MeasureScatter::of(&figures).filter(|f| f.within.sd > 0.0);
                found.ok_or(LeftOut::NothingThere)
            });
            Row { metric, found }
        })
        .collect::<Vec<Row>>();
    let measures: BTreeMap<String, Scatter> = rows
        .iter()
        .filter_map(|row| {
            Some((
                row.metric.key.to_owned(),
                row.found.as_ref().ok()?.scatter(),
            ))
        })
        .collect();
    Ok(Study {
        panels,
        sessions: sessions.len(),
        photos: photos.len(),
        rows,
        odd,
        repeatability: Repeatability {
            version: first.fingerprint.version,
            settings_digest: first.fingerprint.settings_digest.clone(),
            sessions: sessions.len(),
            measures,
        },
    })
}

/// Refuses what no study can be made of.
fn check(sessions: &[Session<'_>], panels: usize) -> Result<()> {
    let shots = sessions
        .first()
        .and_then(|s| s.panels.first())
        .map_or(0, Vec::len);
    for session in sessions {
        if session.panels.is_empty() {
            return Err(Error::SessionEmpty {
                session: session.name.to_owned(),
            });
        }
        for (i, panel) in session.panels.iter().enumerate() {
            if panel.len() < 2 {
                return Err(Error::OnePhotoOfPanel { panel: i + 1 });
            }
            for photo in panel {
                refuse_unlike(sessions[0].panels.get(i).map_or(panel[0], |p| p[0]), *photo)?;
            }
        }
        // Of one session panels may be photographed unequally often.
        let even = session.panels.iter().all(|p| p.len() == shots);
        if sessions.len() > 1 && (session.panels.len() != panels || !even) {
            return Err(Error::SessionsUnlike {
                session: session.name.to_owned(),
                found: session
                    .panels
                    .iter()
                    .map(|p| p.len().to_string())
                    .collect::<Vec<_>>()
                    .join(", "),
                expected: format!("{panels} panels, {shots} photos of each"),
            });
        }
    }
    Ok(())
}

/// The same photo again repeats perfectly and says nothing.
pub(in crate::compare) fn refuse_twice(photos: &[Side<'_>]) -> Result<()> {
    let digest = |side: &Side<'_>| side.fingerprint.provenance.photo_digest.clone();
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for photo in photos {
        if let Some(first) = seen.insert(digest(photo), photo.name) {
            return Err(Error::SamePhotoTwice {
                first: first.to_owned(),
                again: photo.name.to_owned(),
            });
        }
    }
    Ok(())
}

/// The figures of a measure by panel, session and photo, on the scale of its rule.
type Figures = Vec<Vec<Vec<f64>>>;

impl MeasureScatter {
    /// Of the figures by panel, session and photo; `None` where no panel has two.
    fn of(figures: &Figures) -> Option<MeasureScatter> {
        let sessions = figures.first()?.len();
        if sessions < 2 {
            let of_panels: Vec<Vec<f64>> = figures.iter().map(|panel| panel.concat()).collect();
            let found = OneWay::new(&of_panels)?;
            return Some(MeasureScatter {
                within: Scatter {
                    sd: found.within.sqrt(),
                    dof: found.within_dof,
                },
                any_day: None,
                between_sd: found.between_variance().map(f64::sqrt),
            });
        }
        if let Some(found) = Crossed::new(figures) {
            let dof = found.pooled.unwrap_or(found.repeat).dof;
            return Some(MeasureScatter {
                within: Scatter {
                    sd: found.repeatability.sqrt(),
                    dof,
                },
                any_day: Some(any_day(
                    found.repeatability,
                    dof,
                    found.reproducibility,
                    sessions,
                )),
                between_sd: Some(found.between_panels.sqrt()),
            });
        }
        let found = Precision::new(figures.first()?)?;
        let dof = figures[0].iter().map(|s| s.len() - 1).sum();
        let within = found.repeatability * found.repeatability;
        Some(MeasureScatter {
            within: Scatter {
                sd: found.repeatability,
                dof,
            },
            any_day: Some(any_day(
                within,
                dof,
                found.between * found.between,
                sessions,
            )),
            between_sd: None,
        })
    }
}

/// The scatter of a reading on any day: both variances, with the degrees of freedom of their sum (Satterthwaite 1946).
fn any_day(within: f64, within_dof: usize, between: f64, sessions: usize) -> Scatter {
    let both = within + between;
    let parts = within * within / within_dof.max(1) as f64
        + between * between / (sessions - 1).max(1) as f64;
    let dof = if parts > 0.0 {
        both * both / parts
    } else {
        1.0
    };
    Scatter {
        sd: both.sqrt(),
        dof: (dof.floor() as usize).max(1),
    }
}

/// The figures of a measure.
fn figures(metric: &Metric, sessions: &[Session<'_>]) -> Result<Figures, LeftOut> {
    let read = |side: &Side<'_>| {
        let measure = metric.of(&side.fingerprint.measurements);
        measure
            .map(|e| metric.on_scale(e.value))
            .map_err(|why| LeftOut::NotShown {
                photo: side.name.to_owned(),
                why,
            })
    };
    let panels = sessions.first().map_or(0, |s| s.panels.len());
    let figures = (0..panels)
        .map(|panel| {
            let of_session = |s: &Session<'_>| s.panels[panel].iter().map(read).collect();
            sessions.iter().map(of_session).collect()
        })
        .collect::<Result<Figures, LeftOut>>()?;
    Ok(match metric.rule {
        Rule::Axial => turns(&figures, mean_axis, axial_difference),
        Rule::Circular => turns(&figures, mean_direction, circular_difference),
        Rule::Difference | Rule::Ratio => figures,
    })
}

/// Axes or directions as turns: each about its panel's mean, and that about the mean of all panels, so that 179° and 1° are
/// neighbours, or 359° and 1°.
fn turns(panels: &Figures, of_all: fn(&[f64]) -> f64, difference: fn(f64, f64) -> f64) -> Figures {
    let means: Vec<f64> = panels.iter().map(|panel| of_all(&panel.concat())).collect();
    let middle = of_all(&means);
    let about = |(panel, mean): (&Vec<Vec<f64>>, &f64)| {
        let panels_own = difference(middle, *mean);
        let turn = |one: &f64| panels_own + difference(*mean, *one);
        panel
            .iter()
            .map(|session| session.iter().map(turn).collect())
            .collect()
    };
    panels.iter().zip(&means).map(about).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_scatter_about_their_panels_own() {
        let turns = turns(
            &vec![vec![vec![179.0, 1.0]], vec![vec![20.0, 22.0]]],
            mean_axis,
            axial_difference,
        );
        let found = MeasureScatter::of(&turns).unwrap();
        // Two squares of 1 about each mean, over two degrees of freedom.
        assert!((found.within.sd - 2.0_f64.sqrt()).abs() < 1e-9, "{turns:?}");
        assert!((turns[1][0][0] - turns[0][0][0] - 21.0).abs() < 1e-9);
    }

    #[test]
    fn a_day_adds_what_it_shifts() {
        // Two panels, three days that shift all by −1, 0 and 1, and repeats that lie 0.1 about it.
        let day = |panel: f64, shift: f64| vec![panel + shift - 0.1, panel + shift + 0.1];
        let panel = |at: f64| [-1.0, 0.0, 1.0].map(|shift| day(at, shift)).to_vec();
        let found = MeasureScatter::of(&vec![panel(10.0), panel(20.0)]).unwrap();
        let any_day = found.any_day.unwrap();
        // Repeats: squares 0.02 in each of six cells over six; pooled with an interaction of none over eight.
        assert!(
            (found.within.sd.powi(2) - 0.12 / 8.0).abs() < 1e-9,
            "{found:?}"
        );
        assert!(any_day.sd > 0.99 && any_day.sd < 1.02, "{found:?}");
        assert_eq!(any_day.dof, 2);
    }
}
