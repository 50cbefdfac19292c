//! A document as a page: self-contained HTML that opens with no network and prints on A4 and Letter in black and white.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{Block, Document, Figures, Row};
use crate::draw::{chart, colour};
use crate::words::captions as say;
use crate::words::cautions::danger;
use crate::words::job as say_job;

/// How every page looks.
const LOOK: &str = include_str!("look.css");

/// How a page says who made it: one that does is written over by its like.
pub const MADE_HERE: &str = r#"<meta name="generator" content="paneprint">"#;

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
    let class = kind.replace(' ', "-");
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(FETCH_NOTHING);
                meta name="viewport" content="width=device-width, initial-scale=1";
                (PreEscaped(MADE_HERE))
                title { (about) ": " (kind) }
                style { (PreEscaped(look())) }
            }
            body class=(class) { (within(document)) }
        }
    }
    .into_string()
}

/// What stands within a page: what to do, the pictures, the rest of the answer, then what else is shown.
#[must_use]
pub fn within(document: &Document) -> Markup {
    let body = document.blocks.iter().position(is_shown);
    let (answer, shown) = document
        .blocks
        .split_at(body.unwrap_or(document.blocks.len()));
    let pictures = document.blocks.iter().filter_map(|block| match block {
        Block::Pictures(inner) => Some(inner),
        _ => None,
    });
    let pictures: Vec<&Block> = pictures.flatten().collect();
    let mut said = answer.iter().filter_map(|block| match block {
        Block::Sentence(said) | Block::Note(said) => Some(quoted(said)),
        _ => None,
    });
    let first = document.headline().map(quoted);
    let first = first.or_else(|| said.next()).unwrap_or_default();
    // Pictures come before prose: beside the heading stands one sentence, and the others below what they are about.
    let beside_it = if pictures.is_empty() { usize::MAX } else { 1 };
    html! {
        header {
            p.kind {
                (document.kind) " · " (document.about)
                @if let Some(job) = &document.job { " · " (quoted(&say_job::heading(job))) }
            }
            div.answer {
                @if let Some((verdict, lean)) = document.verdict { (chart::seal(verdict, lean, document.headline.as_ref())) }
                div {
                    h1 { (first) }
                    @for line in said.by_ref().take(beside_it) { p { (line) } }
                }
            }
            @if pictures.is_empty() { (around(answer)) }
        }
        main {
            @if !pictures.is_empty() {
                @for block in pictures { (written(block)) }
                div.prose {
                    @for line in said { p { (line) } }
                    (around(answer))
                }
            }
            @for block in shown { (written(block)) }
            // Browsers keep it beside what is before it on paper only where both have one parent.
            footer { p { "Made by paneprint on the studio's own machine. It certifies nothing: the signed piece and the eye decide." } }
        }
    }
}

/// What stands around the sentences of the answer: the first figure, doubts, and the cautions.
fn around(answer: &[Block]) -> Markup {
    let cautions = lines(answer, |block| match block {
        Block::Caution(said) => Some(said),
        _ => None,
    });
    let dangers: Vec<&str> = cautions.iter().map(|said| danger(said)).collect();
    html! {
        @for block in answer {
            @if let Block::Lead(says, drawing) = block {
                div.first { p { b { (says) } } (drawing) }
            }
        }
        (beside(say::FLAGS, &lines(answer, |block| match block {
            Block::Remark(said) | Block::Sign(said) => Some(said.as_str()),
            _ => None,
        })))
        @if !cautions.is_empty() {
            div.beside {
                h2 { (say::CAUTIONS) }
                p.named { (dangers.join("; ")) "." }
                (folded(&html! { (list(&cautions)) }))
            }
        }
    }
}

/// What a phone shows when it is asked for, and paper and wide screens at once. It is folded by the look of the page alone: where a
/// browser does not know how, all of it is shown.
fn folded(inner: &Markup) -> Markup {
    html! {
        label.unfold { input type="checkbox"; " " (say::SHOW_ALL) }
        div.folded { (inner) }
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
            | Block::Pictures(_)
    )
}

/// The lines of an answer that are of one kind.
fn lines<'a>(answer: &'a [Block], is_one: impl Fn(&'a Block) -> Option<&'a str>) -> Vec<&'a str> {
    answer.iter().filter_map(is_one).collect()
}

/// What stands beside the answer and must not be overlooked; nothing where there is nothing.
fn beside(heading: &str, lines: &[&str]) -> Markup {
    html! {
        @if !lines.is_empty() {
            div.beside { h2 { (heading) } (list(lines)) }
        }
    }
}

fn list(lines: &[&str]) -> Markup {
    html! { ul { @for line in lines { li { (quoted(line)) } } } }
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
        Block::Pictures(_) => html! {},
        Block::OnPage(inner) => all(inner),
    }
}

/// Figures under their heading, below how their drawings are read.
fn measures(figures: &Figures) -> Markup {
    html! {
        section.long {
            h2 { (figures.heading) }
            @if !figures.key.is_empty() { p.soft.key { (figures.key) } }
            (folded(&html! { dl.measures { @for row in &figures.rows { (measure(row)) } } }))
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
