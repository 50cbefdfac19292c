//! What a rig repeats: photos of the same panels, taken again and again, set against each other.
//!
//! One-way analysis with the panels as groups (ISO 5725-2): the variance within panels is the rig's, the variance between
//! them theirs. Counts and sizes are studied in logarithms, axes as turns about the panel's own mean axis. The panel's own
//! intervals play no part: they speak of its finish, which is the same in every photo of it.

use std::collections::BTreeMap;

use super::verdict::{Side, refuse_unlike};
use crate::error::{Error, Result};
use crate::fingerprint::metric::{METRICS, Metric, Rule};
use crate::fingerprint::{Repeatability, Scatter};
use crate::stats::anova::OneWay;
use crate::stats::axial::mean_axis;
use crate::units::{Unmeasured, axial_difference};

/// A study of a rig.
#[derive(Debug, Clone)]
pub struct Study {
    /// Panels photographed.
    pub panels: usize,
    /// Photos of them.
    pub photos: usize,
    /// Measure by measure.
    pub rows: Vec<Row>,
    /// What readings in this rig are to know of it.
    pub repeatability: Repeatability,
}

/// One measure of a study.
#[derive(Debug, Clone)]
pub struct Row {
    /// The measure.
    pub metric: &'static Metric,
    /// What was found, on the scale of its rule, or why it is left out.
    pub found: Result<Found, LeftOut>,
}

/// How one measure scatters, on the scale of its rule.
#[derive(Debug, Clone, Copy)]
pub struct Found {
    /// Within panels: the rig's.
    pub within: Scatter,
    /// Standard deviation between panels, their own; `None` of a single panel.
    pub between_sd: Option<f64>,
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
/// Fewer than two photos of a panel, the same photo twice, or photos of one panel that cannot be compared.
pub fn study(panels: &[Vec<Side<'_>>]) -> Result<Study> {
    let photos: Vec<&Side<'_>> = panels.iter().flatten().collect();
    let too_few = |panel| Error::OnePhotoOfPanel { panel };
    let first = photos.first().ok_or(too_few(1))?;
    for (i, panel) in panels.iter().enumerate() {
        if panel.len() < 2 {
            return Err(too_few(i + 1));
        }
        for photo in &panel[1..] {
            refuse_unlike(panel[0], *photo)?;
        }
    }
    refuse_twice(&photos)?;
    let rows = METRICS
        .iter()
        .map(|metric| {
            let found = match figures(metric, panels) {
                Ok(figures) => match Found::of(&figures).ok_or(too_few(1))? {
                    found if found.within.sd > 0.0 => Ok(found),
                    _ => Err(LeftOut::NothingThere),
                },
                Err(left_out) => Err(left_out),
            };
            Ok(Row { metric, found })
        })
        .collect::<Result<Vec<Row>>>()?;
    let measures: BTreeMap<String, Scatter> = rows
        .iter()
        .filter_map(|row| Some((row.metric.key.to_owned(), row.found.as_ref().ok()?.within)))
        .collect();
    Ok(Study {
        panels: panels.len(),
        photos: photos.len(),
        rows,
        repeatability: Repeatability {
            version: first.fingerprint.version,
            settings_digest: first.fingerprint.settings_digest.clone(),
            measures,
        },
    })
}

/// The same photo again repeats perfectly and says nothing.
fn refuse_twice(photos: &[&Side<'_>]) -> Result<()> {
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

impl Found {
    /// Of the figures of each panel; `None` where no panel has two.
    fn of(figures: &[Vec<f64>]) -> Option<Found> {
        let found = OneWay::of(figures)?;
        Some(Found {
            within: Scatter {
                sd: found.within.sqrt(),
                dof: found.within_dof,
            },
            between_sd: found.between_variance().map(f64::sqrt),
        })
    }
}

/// The figures of a measure, panel by panel, on the scale of its rule.
fn figures(metric: &Metric, panels: &[Vec<Side<'_>>]) -> Result<Vec<Vec<f64>>, LeftOut> {
    let read = |side: &Side<'_>| {
        let measure = (metric.of)(&side.fingerprint.measurements);
        measure
            .map(|e| metric.on_scale(e.value))
            .map_err(|why| LeftOut::NotShown {
                photo: side.name.to_owned(),
                why,
            })
    };
    let figures = panels
        .iter()
        .map(|panel| panel.iter().map(read).collect())
        .collect::<Result<Vec<Vec<f64>>, LeftOut>>()?;
    Ok(match metric.rule {
        Rule::Axial => turns(&figures),
        Rule::Difference | Rule::Ratio => figures,
    })
}

/// Axes as turns: each about its panel's mean axis, and that about the mean axis of all panels, so that 179° and 1° are
/// neighbours.
fn turns(panels: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let means: Vec<f64> = panels.iter().map(|panel| mean_axis(panel)).collect();
    let middle = mean_axis(&means);
    let about = |(panel, mean): (&Vec<f64>, &f64)| {
        let panels_own = axial_difference(middle, *mean);
        panel
            .iter()
            .map(|axis| panels_own + axial_difference(*mean, *axis))
            .collect()
    };
    panels.iter().zip(&means).map(about).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_scatter_about_their_panels_own() {
        let turns = turns(&[vec![179.0, 1.0], vec![20.0, 22.0]]);
        let found = OneWay::of(&turns).unwrap();
        // Two squares of 1 about each mean, over two degrees of freedom.
        assert!((found.within - 2.0).abs() < 1e-9, "{turns:?}");
        assert!((turns[1][0] - turns[0][0] - 21.0).abs() < 1e-9);
    }
}
