//! A document as a page: self-contained HTML that opens with no network and prints on A4 and Letter in black and white.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{Block, Document, Figures, Row};
use crate::draw::{chart, colour};
use crate::words::captions as say;

/// How every page looks.
const LOOK: &str = include_str!("look.css");

/// Nothing is fetched and nothing runs: pictures lie inside, and so does the look.
const FETCH_NOTHING: &str = "default-src 'none'; img-src data:; style-src 'unsafe-inline'";

/// How every page looks, as a file of its own.
#[must_use]
pub fn look() -> String {
    colour::properties() + LOOK
}

/// The whole page.
#[must_use]
pub fn page(document: &Document) -> String {
    let Document { kind, about, .. } = document;
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(FETCH_NOTHING);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (about) ": " (kind) }
                style { (PreEscaped(look())) }
            }
            body { (within(document)) }
        }
    }
    .into_string()
}

/// What stands within a page: the answer, then what is shown of it.
#[must_use]
pub fn within(document: &Document) -> Markup {
    let body = document.blocks.iter().position(is_shown);
    let (answer, shown) = document
        .blocks
        .split_at(body.unwrap_or(document.blocks.len()));
    html! {
        header {
            p.kind { (document.kind) " · " (document.about) }
            div.answer {
                @if let Some((verdict, lean)) = document.verdict { (chart::seal(verdict, lean)) }
                div { (sentences(answer)) }
            }
            @for block in answer {
                @if let Block::Lead(says, drawing) = block {
                    div.first { p { b { (says) } } (drawing) }
                }
            }
            (beside(say::FLAGS, answer, |block| match block {
                Block::Remark(said) | Block::Sign(said) => Some(said.as_str()),
                _ => None,
            }))
            (beside("Before any work", answer, |block| match block {
                Block::Caution(said) => Some(said),
                _ => None,
            }))
        }
        main {
            @for block in shown { (written(block)) }
            // Browsers keep it beside what is before it on paper only where both have one parent.
            footer { p { "Made by paneprint on the studio's own machine. It certifies nothing: the signed piece and the eye decide." } }
        }
    }
}

/// What belongs to the answer stands above what is shown of it.
fn is_shown(block: &Block) -> bool {
    !matches!(
        block,
        Block::Title(_)
            | Block::Sentence(_)
            | Block::Note(_)
            | Block::Remark(_)
            | Block::Sign(_)
            | Block::Caution(_)
            | Block::Lead(..)
            | Block::InText(_)
    )
}

/// The answer, its first line as the page's heading.
fn sentences(answer: &[Block]) -> Markup {
    let mut said = answer.iter().filter_map(|block| match block {
        Block::Sentence(said) | Block::Note(said) => Some(quoted(said)),
        _ => None,
    });
    html! {
        h1 { (said.next().unwrap_or_default()) }
        @for line in said { p { (line) } }
    }
}

/// What stands beside the answer and must not be overlooked; nothing where there is nothing.
fn beside<'a>(
    heading: &str,
    answer: &'a [Block],
    is_one: impl Fn(&'a Block) -> Option<&'a str>,
) -> Markup {
    let lines: Vec<&str> = answer.iter().filter_map(is_one).collect();
    html! {
        @if !lines.is_empty() {
            div.beside {
                h2 { (heading) }
                ul { @for line in lines { li { (quoted(line)) } } }
            }
        }
    }
}

/// One block of a page's body.
#[must_use]
pub fn written(block: &Block) -> Markup {
    let all = |blocks: &[Block]| html! { @for block in blocks { (written(block)) } };
    match block {
        Block::Title(_) | Block::Lead(..) | Block::InText(_) => html! {},
        Block::Sentence(said) | Block::Note(said) | Block::Remark(said) | Block::Sign(said) => {
            html! { p { (quoted(said)) } }
        }
        Block::Caution(said) => html! { p { (said) } },
        Block::Facts(facts) => html! {
            dl.facts {
                @for (name, says) in facts.iter().filter(|(_, says)| !says.is_empty()) {
                    dt { (name) } dd { (quoted(says)) }
                }
            }
        },
        Block::Figures(figures) => html! {
            @if !figures.heading.is_empty() && !figures.rows.is_empty() { (measures(figures)) }
        },
        Block::Part(heading, inner) => html! { section { h2 { (heading) } (all(inner)) } },
        Block::LongPart(heading, inner) => {
            html! { section.long { h2 { (heading) } (all(inner)) } }
        }
        Block::Pair(inner) => html! { div.pair { (all(inner)) } },
        Block::Columns(inner) => html! { div.charts { (all(inner)) } },
        Block::Key(says) => html! { p.soft { (quoted(says)) } },
        Block::Drawing(drawing) => drawing.clone(),
        Block::OnPage(inner) => all(inner),
    }
}

/// Figures under their heading, below how their drawings are read.
fn measures(figures: &Figures) -> Markup {
    html! {
        section.long {
            h2 { (figures.heading) }
            @if !figures.key.is_empty() { p.soft.key { (figures.key) } }
            dl.measures { @for row in &figures.rows { (measure(row)) } }
        }
    }
}

/// One of them: its name and figure, and its drawing beside them.
fn measure(row: &Row) -> Markup {
    html! {
        div.measure {
            @if let Some(drawing) = &row.drawing {
                dt {
                    b { (row.title) } " " (row.figure)
                    @if !row.says.is_empty() { span.soft { (row.says) } }
                }
                dd { (drawing) }
            } @else {
                dt { b { (row.title) } " " (row.figure) }
                dd { (row.says) }
            }
        }
    }
}

/// Names stand between `backticks` on a terminal, and between curly quotes on paper.
#[must_use]
pub fn quoted(line: &str) -> String {
    let mut open = false;
    line.trim_start()
        .chars()
        .map(|c| match c {
            '`' => {
                open = !open;
                if open { '‘' } else { '’' }
            }
            c => c,
        })
        .collect()
}
