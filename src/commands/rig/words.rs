//! What is said of a study of a rig.

use crate::compare::Study;
use crate::compare::study::{Apart, FEW_SESSIONS, LeftOut, OddOne, Row};
use crate::fingerprint::metric::{AGGRESSIVENESS, COVERAGE, Metric, Rule};

/// A study in words.
pub(super) fn sentences(rig: &str, study: &Study) -> Vec<String> {
    let (photos, panels) = (study.photos, study.panels);
    let of = if panels == 1 { "panel" } else { "panels" };
    let over = match study.sessions {
        1 => " in one session".to_owned(),
        n => format!(" in {n} sessions"),
    };
    let mut words = vec![
        format!("Rig `{rig}` studied on {photos} photos of {panels} {of}{over}."),
        told(study),
        rough(study),
    ];
    words.extend(study.odd.iter().take(MOST_ODD).map(odd));
    match study.sessions {
        1 => words.push(format!(
            "What other days add is not known: photograph the same panels on {FEW_SESSIONS} days or more, each with --session."
        )),
        n if study.more_sessions() > 0 => words.push(format!(
            "{n} sessions tell little of what days differ by: photograph the same panels on {FEW_SESSIONS} days or more."
        )),
        _ => {}
    }
    let more = study.more_photos();
    if more > 0 {
        words.push(format!(
            "So few photos make the intervals wider than need be: take {more} more of the same panels, and study all of them together."
        ));
    }
    words
}

/// Most of what stands apart is one mishap seen in many measures.
const MOST_ODD: usize = 3;

/// What stands apart.
fn odd(odd: &OddOne) -> String {
    let (name, title) = (&odd.name, odd.metric.title);
    match odd.apart {
        Apart::Photo => format!(
            "Look at {name}: in {title} it stands apart from the other photos of its panel. Perhaps it shows another panel, or the light had changed."
        ),
        Apart::Session => format!("Session `{name}` differs from the others in {title}."),
        Apart::Scatter => {
            format!(
                "Within session `{name}` the photos differ otherwise in {title} than in the others."
            )
        }
    }
}

/// What two readings of one panel may differ by, for the two measures a maker looks at first.
fn told(study: &Study) -> String {
    let limit = |metric: Metric| {
        let row = study.rows.iter().find(|row| *row.metric == metric)?;
        let limit = row.found.as_ref().ok()?.scatter().limit();
        Some(format!(
            "{} in {}",
            written(
                row.metric,
                in_words(row.metric, limit).max(least(row.metric))
            ),
            row.metric.title
        ))
    };
    let known: Vec<String> = [COVERAGE, AGGRESSIVENESS]
        .into_iter()
        .filter_map(limit)
        .collect();
    if known.is_empty() {
        return "How far two readings of one panel lie apart could not be told: the photos do not show it.".to_owned();
    }
    format!(
        "Two readings of one panel in this rig differ by less than {}, 95 times in 100; a difference under that is never called real.",
        known.join(" and ")
    )
}

/// A step on the scale of the rule in words' terms, with a decimal more than a reading: of a ratio the share.
pub(super) fn finer(metric: &Metric, step: f64) -> String {
    told_from(metric, in_words(metric, step))
}

/// The same, and where it is too small to be written what it is under: a difference is never real from nothing on.
pub(super) fn told_from(metric: &Metric, shown: f64) -> String {
    if shown.abs() < least(metric) / 2.0 {
        format!("under {}", written(metric, least(metric)))
    } else {
        written(metric, shown)
    }
}

/// The least step that is written otherwise than as nothing.
fn least(metric: &Metric) -> f64 {
    0.1_f64.powi(i32::try_from(metric.decimals + 1).unwrap_or(i32::MAX))
}

/// The same of a step that is in words' terms already.
pub(super) fn written(metric: &Metric, shown: f64) -> String {
    format!("{shown:.*}", metric.decimals + 1)
}

/// A step on the scale of the rule in words' terms: of a ratio the share.
pub(super) fn in_words(metric: &Metric, step: f64) -> f64 {
    match metric.rule {
        Rule::Ratio => step.exp_m1(),
        Rule::Difference | Rule::Axial | Rule::Circular => step,
    }
}

/// The starting allowance in the same terms, as it is stated: a share is one of whole hundredths.
pub(super) fn allowance(metric: &Metric) -> f64 {
    let shown = in_words(metric, metric.allowance);
    match metric.rule {
        Rule::Ratio => (shown * 100.0).round() / 100.0,
        Rule::Difference | Rule::Axial | Rule::Circular => shown,
    }
}

/// The unit of such a step.
pub(super) fn unit(metric: &Metric) -> &'static str {
    match metric.rule {
        Rule::Ratio => "as a share",
        Rule::Difference | Rule::Axial | Rule::Circular => metric.unit,
    }
}

/// Why a measure was left out.
pub(super) fn why(left_out: &LeftOut) -> String {
    match left_out {
        LeftOut::NotShown { photo, why } => format!("{why} ({photo})"),
        LeftOut::NothingThere => "there is nothing of it on these panels".to_owned(),
    }
}

/// Which measures the rig is too rough for.
fn rough(study: &Study) -> String {
    let rough: Vec<&str> = study
        .rows
        .iter()
        .filter(|row| is_rough(row))
        .map(|row| row.metric.title)
        .collect();
    if rough.is_empty() {
        return "Every measure that was studied repeats to within its starting allowance."
            .to_owned();
    }
    format!(
        "Too rough for the starting allowance, so that matches stay too close to call: {}. Check that the photos after each --panel are of one panel.",
        rough.join(", ")
    )
}

fn is_rough(row: &Row) -> bool {
    let limit = row.found.as_ref().map_or(0.0, |f| f.scatter().limit());
    limit > row.metric.allowance
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingerprint::metric::metric;

    #[test]
    fn no_difference_is_called_real_from_nothing_on() {
        let row = metric("dark_fraction").unwrap();
        assert_eq!(finer(row, 0.000_01), "under 0.0001");
        assert_eq!(finer(row, 0.000_12), "0.0001");
    }

    #[test]
    fn allowances_are_written_as_they_are_stated() {
        for (key, stated) in [
            ("speckle_density", "0.500"),
            ("speckle_diameter_median", "0.300"),
            ("speckle_diameter_p90", "0.400"),
            ("streak_spacing", "0.40"),
            ("cloud_scale", "1.00"),
            ("coverage", "0.0600"),
        ] {
            let row = metric(key).unwrap();
            assert_eq!(written(row, allowance(row)), stated, "{key}");
        }
    }
}
