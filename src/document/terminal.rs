//! A document as text: sentences first, figures in compact tables.

use anstyle::{AnsiColor, Style};
use comfy_table::{CellAlignment, Table, presets};

use super::{Block, Document, Figures};
use crate::fingerprint::Verdict;
use crate::words::job as say;
use crate::words::line;

/// For a terminal: its first line stands out, in a colour where it is a verdict. The word itself tells as much.
#[must_use]
pub fn coloured(document: &Document) -> String {
    let colour = document.verdict.map(|(verdict, _)| match verdict {
        Verdict::Within => AnsiColor::Green,
        Verdict::Outside => AnsiColor::Red,
        Verdict::Unsure => AnsiColor::Yellow,
    });
    let style = Style::new().bold().fg_color(colour.map(Into::into));
    let text = text(document);
    let job = heading(document);
    let job = job.filter(|job| text.starts_with(job.as_str()));
    let (above, text) = text.split_at(job.map_or(0, |job| job.len()));
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    format!("{above}{style}{first}{style:#}\n{rest}")
}

/// All that is said, and the figures.
#[must_use]
pub fn text(document: &Document) -> String {
    let mut lines = Vec::new();
    for block in &document.blocks {
        let mut said = Vec::new();
        write(std::slice::from_ref(block), true, &mut said);
        if document.reads_back && !matches!(block, Block::InText(_)) {
            let each = said.iter().flat_map(|said| said.lines());
            said = each.map(|line| format!("# {line}")).collect();
        }
        lines.extend(said);
    }
    let job = heading(document).unwrap_or_default();
    let text = job + &lines.join("\n") + "\n";
    // What is to be read back is as it was written.
    if document.reads_back {
        text
    } else {
        plain(&text)
    }
}

/// The line above all others, where the answer is given in a job.
fn heading(document: &Document) -> Option<String> {
    let job = document.job.as_ref()?;
    let mark = if document.reads_back { "# " } else { "" };
    Some(plain(&format!("{mark}{}\n", say::heading(job))))
}

/// A name may hold anything; what is shown of it moves no cursor and turns no direction.
fn plain(text: &str) -> String {
    text.split('\n').map(line).collect::<Vec<_>>().join("\n")
}

/// For a voice that reads it out, and for a card: what is said alone, a line each.
#[must_use]
pub fn spoken(document: &Document) -> String {
    let mut lines = Vec::new();
    lines.extend(document.job.as_ref().map(|job| say::heading(job)));
    write(&document.blocks, false, &mut lines);
    let lines = lines.iter().map(|l| l.trim().to_owned() + "\n");
    plain(&lines.collect::<String>())
}

fn write(blocks: &[Block], with_figures: bool, lines: &mut Vec<String>) {
    for block in blocks {
        match block {
            Block::Title(said) | Block::Sentence(said) | Block::Note(said) => {
                lines.push(said.clone());
            }
            Block::Remark(said) => lines.push(format!("  {said}")),
            Block::Sign(said) => lines.push(format!("  ! {said}")),
            Block::Caution(said) => lines.push(format!("  Caution: {said}")),
            Block::InText(said) => lines.extend(said.iter().cloned()),
            Block::Facts(facts) => {
                let told = facts.iter().filter(|(_, says)| !says.is_empty());
                lines.extend(told.map(|(name, says)| format!("{name}: {says}")));
            }
            Block::Figures(figures) if with_figures && !figures.rows.is_empty() => {
                lines.push(format!("\n{}\n", table(figures)));
            }
            Block::Part(_, inner)
            | Block::LongPart(_, inner)
            | Block::Pair(inner)
            | Block::Columns(inner) => write(inner, with_figures, lines),
            Block::Figures(_)
            | Block::Lead(..)
            | Block::Key(_)
            | Block::Drawing(_)
            | Block::OnPage(_) => {}
        }
    }
}

fn table(figures: &Figures) -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(&figures.head);
    for row in &figures.rows {
        let name = std::iter::once(row.title.as_str());
        table.add_row(name.chain(row.cells.iter().map(String::as_str)));
    }
    for column in 1..=figures.numbers {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Row;
    use maud::html;

    #[test]
    fn what_is_drawn_is_left_to_the_page_and_a_voice_hears_no_figures() {
        let mut document = Document::new("sheet", "a");
        document.say(["Within.".to_owned()]);
        document.remark(["Small.".to_owned()]);
        document.push(Block::Part(
            "Heading",
            vec![
                Block::Key("Black: much.".to_owned()),
                Block::Drawing(html! { svg {} }),
                Block::Figures(Figures {
                    head: vec!["", "value"],
                    numbers: 1,
                    rows: vec![Row {
                        title: "silver".to_owned(),
                        cells: vec!["0.8".to_owned()],
                        figure: String::new(),
                        says: String::new(),
                        drawing: None,
                    }],
                    ..Figures::default()
                }),
            ],
        ));
        assert_eq!(spoken(&document), "Within.\nSmall.\n");
        let text = text(&document);
        assert!(text.starts_with("Within.\n  Small.\n\n"), "{text}");
        assert!(text.contains("silver") && text.contains("0.8"), "{text}");
        assert!(!text.contains("much") && !text.contains("svg"), "{text}");
    }

    #[test]
    fn what_can_be_read_back_stands_beside_what_is_said_of_it() {
        let mut document = Document {
            reads_back: true,
            ..Document::new("card", "a")
        };
        document.note(["Notes: one\nstep: two".to_owned()]);
        document.push(Block::InText(vec!["step: rinse".to_owned()]));
        assert_eq!(text(&document), "# Notes: one\n# step: two\nstep: rinse\n");
        assert!(!spoken(&document).contains('#'));
    }
}
