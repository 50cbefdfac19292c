//! What is said of a set: who is odd, what to remake, what drifts, how it hangs.

use crate::compare::set::{Drift, Remake, Set};
use crate::compare::wall::{Joint, Met};
use crate::compare::{Lean, Verdict};
use crate::frame::placement::Stage;
use crate::studio::set::HungSet;
use crate::words::captions::TURNED;
use crate::words::cautions::Work;
use crate::words::headline::{Headline, ToDo};
use crate::words::job;
use crate::words::{ONLY_A_START, differences, list};

/// The answer, what is odd, what to do, what drifts, how it hangs; and the work that may lead to.
pub(super) fn answer(found: &HungSet) -> (Vec<String>, Vec<Work>) {
    let (set, names) = (&found.set, found.names());
    let mut said = vec![verdict(found)];
    for (i, name) in names.iter().enumerate() {
        said.extend(why(found, i).map(|why| format!("  {name}: {why}")));
    }
    let mut works = Vec::new();
    // Nothing is to be done while it is too close to call.
    if set.verdict != Verdict::Unsure {
        let (to_do, work) = remakes(set, &names);
        said.extend(to_do);
        works.extend(work);
    }
    said.extend(settle(set, &names));
    said.extend(open_pairs(set));
    let (drifts, work) = drift(set);
    said.push(drifts);
    works.extend(work);
    said.extend(variety(set));
    if !found.wall.joints.is_empty() {
        said.extend([hung(found), joints(found)]);
        said.push(order(found.wall.exact).to_owned());
    }
    works.push(Work::Hang);
    said.extend(set.only_start.then(|| only_start(set).to_owned()));
    (said, works)
}

/// More panels than so are counted in a headline, and named below it.
const MOST_IN_HEADLINE: usize = 3;

/// Panels by name, or how many of them where they are many.
fn those(panels: &[&str]) -> String {
    if panels.len() > MOST_IN_HEADLINE {
        format!("{} panels", panels.len())
    } else {
        list(panels)
    }
}

fn strip_or_use(panels: &[&str]) -> String {
    let them = if panels.len() == 1 { "it" } else { "them" };
    format!("Strip {}, or use {them} elsewhere.", those(panels))
}

/// What to do, in a few words.
pub(super) fn headline(found: &HungSet) -> Headline {
    let (set, names) = (&found.set, found.names());
    let of = |is: fn(&Remake) -> bool| -> Vec<&str> {
        let panels = set.remakes.iter().filter(|r| is(r));
        panels.map(|r| names[r.panel]).collect()
    };
    let mut look: Vec<&str> = set.settle.iter().map(|i| names[*i]).collect();
    look.extend(of(|r| r.turned));
    let (strip, further) = (
        of(|r| !r.turned && !r.can_go_further()),
        of(|r| !r.turned && r.can_go_further()),
    );
    match (set.verdict, strip.as_slice(), further.as_slice()) {
        (Verdict::Within, ..) => {
            Headline::new(ToDo::Leave, "Leave them as they are, and hang them.")
        }
        (Verdict::Outside, [], []) | (Verdict::Unsure, ..) if look.is_empty() => {
            Headline::new(ToDo::Look, "Stop and look at them side by side.")
        }
        (Verdict::Outside, [], []) | (Verdict::Unsure, ..) => {
            Headline::new(ToDo::Look, format!("Stop and look at {}.", those(&look)))
        }
        (Verdict::Outside, strip, []) => Headline::new(ToDo::Strip, strip_or_use(strip)),
        (Verdict::Outside, [], further) => Headline::new(
            ToDo::Further,
            format!("A little more on {}.", those(further)),
        ),
        (Verdict::Outside, strip, further) => Headline::new(
            ToDo::Strip,
            format!(
                "A little more on {}. {}",
                those(further),
                strip_or_use(strip)
            ),
        ),
    }
}

/// The answer in one sentence.
fn verdict(found: &HungSet) -> String {
    let (set, names, sample) = (&found.set, found.names(), found.sample.as_deref());
    let named = |is: &dyn Fn(usize) -> bool| -> Vec<&str> {
        let those = (0..names.len()).filter(|i| is(*i));
        those.map(|i| names[i]).collect()
    };
    let odd = named(&|i| !set.odd[i].is_empty());
    let of_sample =
        |wanted: Verdict| named(&|i| sample.is_some() && set.beside[i].verdict == wanted);
    let (outside, unsure) = (of_sample(Verdict::Outside), of_sample(Verdict::Unsure));
    let n = names.len();
    match (set.verdict, odd.as_slice()) {
        (Verdict::Within, _) => match sample {
            Some(sample) => format!("The {n} panels agree, and are like `{sample}`."),
            None => format!("The {n} panels agree."),
        },
        (Verdict::Unsure, _) if !unsure.is_empty() => format!(
            "Too close to call beside `{}`: {}.",
            sample.unwrap_or_default(),
            list(&unsure)
        ),
        (Verdict::Unsure, _) => format!(
            "Too close to call: {} of {} pairs of these panels cannot be told apart, nor be called alike.",
            set.unsure_pairs, set.pairs
        ),
        (Verdict::Outside, []) if !outside.is_empty() => format!(
            "{} not like `{}`: {}.",
            if outside.len() == 1 {
                "One panel is".to_owned()
            } else {
                format!("{} panels are", outside.len())
            },
            sample.unwrap_or_default(),
            list(&outside)
        ),
        (Verdict::Outside, []) if n == 2 => {
            "The two panels do not agree: one of them must change.".to_owned()
        }
        (Verdict::Outside, []) => {
            format!("The {n} panels do not all agree, though none stands apart from all others.")
        }
        (Verdict::Outside, [one]) => format!("One of {n} panels does not go with the rest: {one}."),
        (Verdict::Outside, some) => {
            format!(
                "{} of {n} panels do not go with the rest: {}.",
                some.len(),
                list(some)
            )
        }
    }
}

/// What is wrong with a panel that is odd or must change; `None` where it goes with the rest.
pub(super) fn why(found: &HungSet, panel: usize) -> Option<String> {
    let set = &found.set;
    let odd = set.odd.get(panel)?.first();
    let must_change = set.remakes.iter().any(|r| r.panel == panel) || set.settle.contains(&panel);
    if odd.is_none() && !must_change {
        return None;
    }
    let beside = set.beside.get(panel)?;
    let others = if set.beside.len() == 2 {
        "the other"
    } else {
        "the rest"
    };
    let sample = found.sample.as_deref();
    let than = sample.map_or_else(|| others.to_owned(), |name| format!("`{name}`"));
    let lean = match beside.lean {
        Lean::Lighter => format!("lighter than {than}. "),
        Lean::Darker => format!("darker than {than}. "),
        Lean::Neither => String::new(),
    };
    if beside.verdict != Verdict::Within {
        return Some(format!("{lean}{}", differences(beside)));
    }
    let said = odd.map_or_else(
        || "It differs from some of the others.".to_owned(),
        |o| format!("It stands apart in {}.", o.metric.title),
    );
    Some(lean + &said)
}

/// What to do, and the work that may lead to.
fn remakes(set: &Set, names: &[&str]) -> (Vec<String>, Vec<Work>) {
    if set.remakes.is_empty() {
        let said = set
            .settle
            .is_empty()
            .then(|| "None needs remaking.".to_owned());
        return (said.into_iter().collect(), Vec::new());
    }
    let of = |is: fn(&Remake) -> bool| -> Vec<&str> {
        let those = set.remakes.iter().filter(|r| is(r));
        those.map(|r| names[r.panel]).collect()
    };
    let groups: [(Vec<&str>, [&str; 2], Work); 4] = [
        (
            of(|r| !r.too_light && !r.turned),
            [
                "remake ",
                ": strip and re-silver the same glass, or use it elsewhere",
            ],
            Work::StripAndSilver,
        ),
        (
            of(|r| r.too_light && matches!(r.stage, Some(Stage::Wet | Stage::Dry))),
            [
                "take ",
                " a little further before the back is painted: stop at about three quarters of the change, rinse, look again",
            ],
            Work::GoFurther,
        ),
        (
            of(|r| r.too_light && r.stage.is_none()),
            [
                "take ",
                " a little further if the back is not painted yet: stop at about three quarters of the change, rinse, look again; once painted, only by stripping the paint",
            ],
            Work::StripPaint,
        ),
        (
            of(|r| r.too_light && r.stage == Some(Stage::Backed)),
            [
                "change ",
                ": too light and backed, so going further means stripping the paint off the back, which can scratch the silver",
            ],
            Work::StripPaint,
        ),
    ];
    let (mut said, mut works) = (Vec::new(), Vec::new());
    for (panels, [before, after], work) in groups {
        if !panels.is_empty() {
            said.push(format!(
                "For the set to agree, {before}{}{after}.",
                list(&panels)
            ));
            works.push(work);
        }
    }
    let turned = of(|r| r.turned);
    if !turned.is_empty() {
        said.push(format!(
            "Only the streaks of {} point another way: see first that the photo shows the panel as it hangs, its top at the top.",
            list(&turned)
        ));
    }
    (said, works)
}

/// Panels to be looked at before anything is done to them; nothing where there are none.
fn settle(set: &Set, names: &[&str]) -> Option<String> {
    let those: Vec<&str> = set.settle.iter().map(|i| names[*i]).collect();
    let among = if set.to_sample {
        "nothing that was signed speaks against them, yet they do not all agree with the others"
    } else {
        "which of those that do not agree are wrong is not certain; an approved sample, named with --to, would tell"
    };
    (!those.is_empty()).then(|| {
        format!(
            "Look at {} beside the others before anything is done: {among}.",
            list(&those)
        )
    })
}

/// What changes in the order of making, and the work that may lead to.
fn drift(set: &Set) -> (String, Option<Work>) {
    let Some(drifts) = &set.drift else {
        return ("Too few panels to see whether they drift.".to_owned(), None);
    };
    if drifts.is_empty() {
        return ("Nothing drifts in the order given.".to_owned(), None);
    }
    let one = |d: &Drift| {
        let said = if d.more { d.metric.more } else { d.metric.less };
        format!("{said} (by {} in all)", d.metric.format(d.by.abs()))
    };
    let all: Vec<String> = drifts.iter().map(one).collect();
    let said = format!(
        "In the order given the panels drift: {}. Look at the age of the mix, its warmth and the room's.",
        all.join(", ")
    );
    (said, Some(Work::Mix))
}

/// Pairs that are too close to call, where the set agrees all the same.
fn open_pairs(set: &Set) -> Option<String> {
    (set.verdict == Verdict::Within && set.unsure_pairs > 0).then(|| {
        let (unsure, pairs) = (set.unsure_pairs, set.pairs);
        format!("{unsure} of {pairs} pairs are too close to call.")
    })
}

/// Nothing of the studio's own decided.
fn only_start(set: &Set) -> &'static str {
    if set.to_sample {
        ONLY_A_START
    } else {
        "The allowances are only a start, not the studio's own: name the approved sample with --to."
    }
}

/// Where the variety lies.
fn variety(set: &Set) -> Option<String> {
    let silver = set.variance.iter().find(|v| v.metric.leads)?;
    Some(format!(
        "Of what differs in silver from place to place, {:.0} % lies between the panels and {:.0} % within them.",
        silver.between_share * 100.0,
        (1.0 - silver.between_share) * 100.0
    ))
}

/// How the panels hang, row by row from left to right, and which are turned.
fn hung(found: &HungSet) -> String {
    let panels = found.wall.hung.iter().map(|hung| {
        let name = &found.members[hung.panel].name;
        match hung.turned {
            true => format!("{name} {TURNED}"),
            false => name.clone(),
        }
    });
    let panels: Vec<String> = panels.collect();
    let rows = panels.chunks(found.wall.grid.cols.max(1));
    let rows: Vec<String> = rows.map(|row| row.join(", ")).collect();
    if let [one] = rows.as_slice() {
        return format!("Hang from left to right: {one}.");
    }
    let rows = rows.iter().enumerate();
    let rows = rows.map(|(i, row)| format!("row {}: {row}", i + 1));
    let rows = rows.collect::<Vec<_>>().join("; ");
    format!("Hang from the top down and from left to right, {rows}.")
}

/// How the joints look, and which to look at.
fn joints(found: &HungSet) -> String {
    let all = &found.wall.joints;
    let of = |look: Joint| -> Vec<String> {
        let those = all.iter().filter(|met| met.look == look);
        those.map(|met| meeting(found, met)).collect()
    };
    let (fine, noticeable, clash) = (of(Joint::Fine), of(Joint::Noticeable), of(Joint::Clash));
    let mut parts = Vec::new();
    if fine.len() == all.len() {
        parts.push("no joint shows a step".to_owned());
    } else if !fine.is_empty() {
        let (fine, all) = (fine.len(), all.len());
        parts.push(format!("{fine} of {all} joints without a step"));
    }
    for (panels, when) in [(noticeable, LOOKED_FOR), (clash, AT_ONCE)] {
        if !panels.is_empty() {
            parts.push(format!("a step that is seen {when}: {}", panels.join(", ")));
        }
    }
    let from_m = found.viewed_from.0;
    format!("Hung so, from {from_m:.1} m: {}.", parts.join("; "))
}

/// Two panels that meet.
fn meeting(found: &HungSet, met: &Met) -> String {
    let [first, second] = found.meeting(met);
    let where_to = if met.below { "below" } else { "beside" };
    format!("{second} {where_to} {first}")
}

const LOOKED_FOR: &str = "when looked for";
const AT_ONCE: &str = "at once";

/// A joint at which a step is seen, with the numbers of its two places.
pub(super) fn joint(found: &HungSet, met: &Met) -> Option<String> {
    let when = match met.look {
        Joint::Fine => return None,
        Joint::Noticeable => LOOKED_FOR,
        Joint::Clash => AT_ONCE,
    };
    let ([first, second], meeting) = (met.places.map(|place| place + 1), meeting(found, met));
    Some(format!(
        "{first} and {second}, {meeting}: a step is seen {when}."
    ))
}

/// How sure it is that no order is better.
fn order(exact: bool) -> &'static str {
    if exact {
        "No other order has a smaller largest step."
    } else {
        "No better order was found; with so many panels not all could be tried."
    }
}

/// What else is to be known: what was left out, and a wall that is not full yet.
pub(super) fn besides(found: &HungSet) -> Vec<String> {
    let names: Vec<&str> = found.left_out.iter().map(String::as_str).collect();
    let left_out = (!names.is_empty()).then(|| job::left_out(&names));
    let later = found.places_to_come;
    let later = later.map(|places| job::wall_later(places, found.members.len()));
    left_out.into_iter().chain(later).collect()
}
