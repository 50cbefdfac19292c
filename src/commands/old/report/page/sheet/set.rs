//! The set and wall sheet: the panels as they would hang, the odd ones, the joints, and what drifts.

use maud::{Markup, html};

use super::super::chart::{self, Hung, ToDo};
use super::super::{Sheet, part, picture, quoted, say};
use crate::compare::Lean;
use crate::compare::set::Run;
use crate::compare::wall::Joint;
use crate::error::Result;
use crate::fingerprint::Verdict;
use crate::report::picture::Hanging;
use crate::report::set::Shown;
use crate::words;

/// Long side of a panel's picture, pixels.
const LONG_SIDE_PX: usize = 360;

/// A set as a page. `panels` in the order given.
///
/// # Errors
/// A picture cannot be written out.
pub fn set(report: &Shown<'_>, panels: &[Hanging<'_>]) -> Result<String> {
    let pictures = panels
        .iter()
        .map(|p| picture::small(p.picture, LONG_SIDE_PX))
        .collect::<Result<Vec<String>>>()?;
    let hung: Vec<Hung> = panels
        .iter()
        .enumerate()
        .map(|(i, p)| Hung {
            size_mm: [p.size.width, p.size.height],
            id: id(i),
            odd: p.odd,
            to_do: to_do(report, i),
        })
        .collect();
    let alt = say::plan_alt(panels.len());
    let sheet = Sheet {
        kind: say::SET,
        about: &report.names.join(", "),
        verdict: Some((report.set.verdict, Lean::Neither)),
        words: &report.answer(),
        beside: part::beside(say::CAUTIONS, &report.cautions()),
        body: html! {
            (kept(&pictures))
            (part::part(say::WALL, &html! {
                (chart::plan(&hung, report.wall, say::WALL, &alt, say::ODD))
                p.soft { (plan_key(report, &hung)) }
            }))
            (joints(report))
            (part::long_part(say::PANELS, &cards(report, panels)))
            (runs(report))
        },
    };
    Ok(sheet.html())
}

/// What has to be done to a panel for the set to agree; nothing while it is too close to call, or where it goes with the rest.
fn to_do(report: &Shown<'_>, panel: usize) -> Option<ToDo> {
    let called = report.set.verdict == Verdict::Outside;
    let mut remakes = report.set.remakes.iter().filter(|r| called && !r.turned);
    let remake = remakes.find(|r| r.panel == panel)?;
    Some(ToDo {
        word: say::to_do(remake),
        further: remake.can_go_further(),
    })
}

/// How the signs are read that are drawn in the plan.
fn plan_key(report: &Shown<'_>, hung: &[Hung]) -> String {
    let to_do = |further: bool| {
        let mut all = hung.iter().filter_map(|h| h.to_do.as_ref());
        all.any(|to_do| to_do.further == further)
    };
    let joint = |look: Joint| report.wall.joints.iter().any(|met| met.look == look);
    let drawn = [
        (true, say::PLAN_ARROW),
        (hung.iter().any(|h| h.odd), say::PLAN_ODD),
        (to_do(false), say::PLAN_REMAKE),
        (to_do(true), say::PLAN_FURTHER),
        (joint(Joint::Noticeable), say::PLAN_NOTICEABLE),
        (joint(Joint::Clash), say::PLAN_CLASH),
    ];
    let says = drawn.iter().filter(|(drawn, _)| *drawn);
    says.map(|(_, says)| *says).collect::<Vec<_>>().join(" ")
}

fn id(panel: usize) -> String {
    format!("panel-{panel}")
}

/// The pictures, once for all that show them: each is one by one and is stretched where it is used.
fn kept(pictures: &[String]) -> Markup {
    html! {
        svg aria-hidden="true" width="0" height="0" style="position:absolute" {
            defs {
                @for (i, uri) in pictures.iter().enumerate() {
                    image id=(id(i)) href=(uri) width="1" height="1" preserveAspectRatio="none" {}
                }
            }
        }
    }
}

/// Each panel in hanging order: its picture, its name, what is odd about it.
fn cards(report: &Shown<'_>, panels: &[Hanging<'_>]) -> Markup {
    html! {
        ol.cards {
            @for (place, hung) in report.wall.hung.iter().enumerate() {
                @let panel = &panels[hung.panel];
                @let tall = 100.0 * panel.size.height / panel.size.width;
                li.odd[panel.odd] {
                    svg role="img" viewBox={ "0 0 100 " (format!("{tall:.2}")) } width="220" {
                        title { (panel.name) }
                        (chart::picture(&id(hung.panel), [0.0, 0.0], [100.0, tall], hung.turned))
                    }
                    b { (place + 1) " · " (panel.name) }
                    @if let Some(to_do) = to_do(report, hung.panel) { " · " (to_do.word) }
                    @if hung.turned { p.soft { (say::TURNED) } }
                    @if let Some(why) = report.why(hung.panel) { p { (quoted(&why)) } }
                }
            }
        }
    }
}

/// The joints at which a step is seen.
fn joints(report: &Shown<'_>) -> Markup {
    let seen: Vec<String> = report
        .wall
        .joints
        .iter()
        .filter(|met| met.look != Joint::Fine)
        .map(|met| {
            let [a, b] = met.places.map(|place| place + 1);
            words::set::joint(&report.meeting(met), a, b, met.look)
        })
        .collect();
    html! {
        @if !seen.is_empty() {
            (part::part(say::JOINTS, &html! { ul.plain { @for line in &seen { li { (quoted(line)) } } } }))
        }
    }
}

/// How much silver is left in the order of making, and whatever drifts.
fn runs(report: &Shown<'_>) -> Markup {
    let drifts = report.set.drift.as_deref().unwrap_or_default();
    let apart: Vec<usize> = (0..report.names.len())
        .filter(|panel| !report.set.odd[*panel].is_empty())
        .collect();
    let limits = report.set.runs.iter().any(|run| run.limits.is_some());
    let says = say::run_key(limits, !apart.is_empty());
    let shown = report
        .set
        .runs
        .iter()
        .enumerate()
        .filter(|(i, run)| *i == 0 || drifts.iter().any(|d| d.metric == run.metric));
    html! {
        @if !report.set.runs.is_empty() {
            (part::part(say::DRIFT, &html! {
                div.charts { @for (_, run) in shown { (one_run(run, &apart, report.names.len())) } }
                p.soft { (says) }
            }))
        }
    }
}

/// One measure in the order of making, and which of the panels that stand apart show none of it.
fn one_run(run: &Run, apart: &[usize], panels: usize) -> Markup {
    let title = part::titled(run.metric);
    let write = |v: f64| run.metric.format(v);
    let shows = |panel: usize| run.points.iter().any(|p| p.panel == panel);
    let missing: Vec<usize> = apart
        .iter()
        .filter(|p| !shows(**p))
        .map(|p| p + 1)
        .collect();
    let figures = run
        .points
        .iter()
        .map(|p| (p.panel + 1, write(p.value), p.odd));
    let alt = say::seen::run(figures, &write(run.mean));
    let says = say::run_without(&missing);
    part::charted_below(&title, &chart::run(run, panels, &title, &alt, write), &says)
}
