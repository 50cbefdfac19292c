//! What is shown of a set: the panels as they would hang, the odd ones, the joints, and what drifts.

use maud::{Markup, html};

use super::words::{joint, why};
use crate::compare::set::Run;
use crate::compare::wall::Joint;
use crate::compare::wall::arrange::Hung;
use crate::document::page::quoted;
use crate::document::{Block, Figures, Row, panel};
use crate::draw::chart;
use crate::draw::wall::Hanging;
use crate::error::Result;
use crate::fingerprint::Verdict;
use crate::studio::set::HungSet;
use crate::words::captions as say;

/// The panels to hang, in the order given. Nothing has to be done to them while it is too close to call, nor to one whose photo may
/// be turned.
pub(super) fn hangings(found: &HungSet) -> Vec<Hanging<'_>> {
    let called = found.set.verdict == Verdict::Outside;
    let members = found.members.iter().enumerate();
    members
        .map(|(i, member)| {
            let mut remakes = found.set.remakes.iter().filter(|r| called && !r.turned);
            Hanging {
                name: &member.name,
                picture: &member.picture,
                size: member.fingerprint.provenance.placement.size,
                odd: !found.set.odd[i].is_empty(),
                remake: remakes.find(|r| r.panel == i).copied(),
            }
        })
        .collect()
}

/// Who hangs where, in words; a page has the wall itself.
pub(super) fn places(found: &HungSet) -> Block {
    let grid = found.wall.grid;
    let row = |(place, hung): (usize, &Hung)| {
        let (row, col) = (place / grid.cols + 1, place % grid.cols + 1);
        // The number is that of the picture.
        let title = match grid.rows {
            1 => format!("{}", place + 1),
            _ => format!("{} (row {row}, {col})", place + 1),
        };
        let said = |is: bool, word: &str| String::from(if is { word } else { "" });
        let odd = !found.set.odd[hung.panel].is_empty();
        Row {
            title,
            cells: vec![
                found.members[hung.panel].name.clone(),
                said(hung.turned, say::TURNED),
                said(odd, say::ODD),
            ],
            figure: String::new(),
            says: String::new(),
            drawing: None,
        }
    };
    Block::Figures(Figures {
        head: vec!["place", "panel", "", ""],
        rows: found.wall.hung.iter().enumerate().map(row).collect(),
        ..Figures::default()
    })
}

/// The wall as it is to hang.
pub(super) fn wall(found: &HungSet) -> Result<Vec<Block>> {
    let panels = hangings(found);
    let key = format!("{} {}", plan_key(found, &panels), say::CONTRAST);
    Ok(vec![
        Block::Drawing(chart::pictures(&panels)?),
        panel::charted(say::WALL, chart::plan(&panels, &found.wall), key),
    ])
}

/// Its joints, its panels, and what changes in the order of making.
pub(super) fn pictures(found: &HungSet) -> Vec<Block> {
    let panels = hangings(found);
    let mut blocks: Vec<Block> = joints(found).into_iter().collect();
    let cards = vec![Block::Drawing(cards(found, &panels))];
    blocks.push(Block::LongPart(say::PANELS, cards));
    blocks.extend(runs(found));
    blocks
}

/// How the signs are read that are drawn in the plan.
fn plan_key(found: &HungSet, panels: &[Hanging<'_>]) -> String {
    let to_do = |further: bool| {
        let mut all = panels.iter().filter_map(|p| p.remake);
        all.any(|remake| remake.can_go_further() == further)
    };
    let joint = |look: Joint| found.wall.joints.iter().any(|met| met.look == look);
    let drawn = [
        (true, "The arrow points to the panel's own top."),
        (
            panels.iter().any(|p| p.odd),
            "A thick frame: the panel stands apart.",
        ),
        (
            to_do(false),
            "A black corner: to be stripped, of its silver or its paint.",
        ),
        (to_do(true), "A white corner: to be taken a little further."),
        (
            joint(Joint::Noticeable),
            "Open circle: a step that is seen when looked for.",
        ),
        (
            joint(Joint::Clash),
            "Filled circle: a step that is seen at once.",
        ),
    ];
    let says = drawn.iter().filter(|(drawn, _)| *drawn);
    says.map(|(_, says)| *says).collect::<Vec<_>>().join(" ")
}

/// Each panel in hanging order: its picture, its name, what is odd about it.
fn cards(found: &HungSet, panels: &[Hanging<'_>]) -> Markup {
    html! {
        ol.cards {
            @for (place, hung) in found.wall.hung.iter().enumerate() {
                @let panel = &panels[hung.panel];
                li.odd[panel.odd] {
                    (chart::card(panel, *hung))
                    b { (place + 1) " · " (panel.name) }
                    @if let Some(remake) = &panel.remake { " · " (say::to_do(remake)) }
                    @if hung.turned { p.soft { (say::TURNED) } }
                    @if let Some(why) = why(found, hung.panel) { p { (quoted(&why)) } }
                }
            }
        }
    }
}

/// The joints at which a step is seen.
fn joints(found: &HungSet) -> Option<Block> {
    let seen = found.wall.joints.iter();
    let mut seen = seen.filter_map(|met| joint(found, met)).peekable();
    seen.peek()?;
    let lines = html! { ul.plain { @for line in seen { li { (quoted(&line)) } } } };
    Some(Block::Part(
        "Joints to look at",
        vec![Block::Drawing(lines)],
    ))
}

/// How much silver is left in the order of making, and whatever drifts.
fn runs(found: &HungSet) -> Option<Block> {
    let set = &found.set;
    let drifts = set.drift.as_deref().unwrap_or_default();
    let panels = found.members.len();
    let apart: Vec<usize> = (0..panels).filter(|i| !set.odd[*i].is_empty()).collect();
    let limits = set.runs.iter().any(|run| run.limits.is_some());
    let drifting = |run: &Run| drifts.iter().any(|d| d.metric == run.metric);
    let shown = set.runs.iter().enumerate();
    let shown = shown.filter(|(i, run)| *i == 0 || drifting(run));
    let charts = shown.map(|(_, run)| Block::Drawing(one_run(run, &apart, panels)));
    let key = Block::Key(say::run_key(limits, !apart.is_empty()));
    let part = vec![Block::Columns(charts.collect()), key];
    (!set.runs.is_empty()).then_some(Block::Part("In the order they were made", part))
}

/// One measure in the order of making, and which of the panels that stand apart show none of it.
fn one_run(run: &Run, apart: &[usize], panels: usize) -> Markup {
    let title = panel::titled(run.metric);
    let write = |v: f64| run.metric.format(v);
    let shows = |panel: usize| run.points.iter().any(|p| p.panel == panel);
    let missing = apart.iter().filter(|p| !shows(**p));
    let missing: Vec<usize> = missing.map(|p| p + 1).collect();
    let figures = run.points.iter();
    let figures = figures.map(|p| (p.panel + 1, write(p.value), p.odd));
    let alt = say::seen::run(figures, &write(run.mean));
    let says = say::run_without(&missing);
    html! {
        section {
            h3 { (title) }
            (chart::run(run, panels, &title, &alt, write))
            @if !says.is_empty() { p.soft { (says) } }
        }
    }
}
