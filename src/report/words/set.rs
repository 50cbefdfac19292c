//! What is said of a set: who is odd, what to remake, what drifts, how it hangs.

use super::list;
use super::matching::differences;
use crate::compare::set::{Drift, Remake, Set, Variance};
use crate::compare::wall::Joint;
use crate::compare::{Lean, Verdict};
use crate::fingerprint::metric::metric;
use crate::report::cautions::Work;

/// The answer in one sentence.
#[must_use]
pub fn verdict(set: &Set, names: &[&str]) -> String {
    let odd: Vec<&str> = (0..names.len())
        .filter(|i| !set.odd[*i].is_empty())
        .map(|i| names[i])
        .collect();
    match (set.verdict, odd.as_slice()) {
        (Verdict::Within, _) => format!("The {} panels agree.", names.len()),
        (Verdict::Unsure, _) => {
            "Too close to call: these panels vary too much within themselves to be told apart."
                .to_owned()
        }
        (Verdict::Outside, []) => format!(
            "The {} panels do not all agree, though none stands apart from all others.",
            names.len()
        ),
        (Verdict::Outside, [one]) => format!(
            "One of {} panels does not go with the rest: {one}.",
            names.len()
        ),
        (Verdict::Outside, some) => format!(
            "{} of {} panels do not go with the rest: {}.",
            some.len(),
            names.len(),
            list(some)
        ),
    }
}

/// What is odd about a panel; `None` where it goes with the rest.
#[must_use]
pub fn odd(set: &Set, panel: usize) -> Option<String> {
    let first = set.odd.get(panel)?.first()?;
    let beside = set.beside.get(panel)?.as_ref();
    let lean = match beside.map(|m| m.lean) {
        Some(Lean::Lighter) => "lighter than the rest. ",
        Some(Lean::Darker) => "darker than the rest. ",
        _ => "",
    };
    match beside.filter(|m| m.verdict != Verdict::Within) {
        Some(m) => Some(format!("{lean}{}", differences(m))),
        None => {
            let title = metric(first.key).map_or(first.key, |row| row.title);
            Some(format!("{lean}It stands apart in {title}."))
        }
    }
}

/// What to remake, and the work that may lead to.
#[must_use]
pub fn remakes(set: &Set, names: &[&str]) -> (Vec<String>, Option<Work>) {
    if set.remakes.is_empty() {
        return (vec!["None needs remaking.".to_owned()], None);
    }
    let further = |r: &&Remake| r.lean == Lean::Lighter && r.can_go_further;
    let name = |r: &Remake| names[r.panel];
    let light: Vec<&str> = set.remakes.iter().filter(further).map(name).collect();
    let others: Vec<&str> = set
        .remakes
        .iter()
        .filter(|r| !further(r))
        .map(name)
        .collect();
    let mut said = Vec::new();
    if !others.is_empty() {
        said.push(format!(
            "For the set to agree, remake {}: strip and re-silver the same glass, or use it elsewhere.",
            list(&others)
        ));
    }
    if !light.is_empty() {
        said.push(format!(
            "For the set to agree, take {} a little further before the back is painted: stop at about three quarters of the change, rinse, look again.",
            list(&light)
        ));
    }
    let work = if others.is_empty() {
        Work::GoFurther
    } else {
        Work::StripAndSilver
    };
    (said, Some(work))
}

/// What changes in the order of making.
#[must_use]
pub fn drift(set: &Set) -> String {
    if set.drift.is_empty() {
        return "Nothing drifts in the order given.".to_owned();
    }
    let one = |d: &Drift| {
        let said = if d.more { d.metric.more } else { d.metric.less };
        format!("{said} (by {} in all)", d.metric.format(d.by.abs()))
    };
    let all: Vec<String> = set.drift.iter().map(one).collect();
    format!(
        "In the order given the panels drift: {}. Look at the age of the mix, its warmth and the room's.",
        all.join(", ")
    )
}

/// Where the variety lies.
#[must_use]
pub fn variety(set: &Set) -> Option<String> {
    let silver = set.variance.iter().find(|v| v.metric.key == "coverage")?;
    Some(format!(
        "Of what differs in silver from place to place, {:.0} % lies between the panels and {:.0} % within them.",
        silver.between_share * 100.0,
        (1.0 - silver.between_share) * 100.0
    ))
}

/// The same of any measure, for a list.
#[must_use]
pub fn share(v: &Variance) -> String {
    format!("{:.0} %", v.between_share * 100.0)
}

/// How the joints look, and which to look at.
#[must_use]
pub fn joints(joints: &[(String, Joint)], distance_m: f64) -> String {
    let of = |look: Joint| -> Vec<&str> {
        joints
            .iter()
            .filter(|(_, j)| *j == look)
            .map(|(between, _)| between.as_str())
            .collect()
    };
    let (fine, noticeable, clash) = (of(Joint::Fine), of(Joint::Noticeable), of(Joint::Clash));
    let mut parts = Vec::new();
    if !fine.is_empty() {
        parts.push(format!(
            "{} of {} joints show no step",
            fine.len(),
            joints.len()
        ));
    }
    if !noticeable.is_empty() {
        parts.push(format!("seen when looked for: {}", noticeable.join(", ")));
    }
    if !clash.is_empty() {
        parts.push(format!("seen at once: {}", clash.join(", ")));
    }
    format!(
        "Hung like this and looked at from {distance_m:.1} m, {}.",
        parts.join("; ")
    )
}

/// How sure it is that no order is better.
#[must_use]
pub fn order(exact: bool) -> &'static str {
    if exact {
        "No other order has a smaller largest step."
    } else {
        "No better order was found; with so many panels not all could be tried."
    }
}
