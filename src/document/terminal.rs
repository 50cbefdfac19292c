//! A document as text: sentences first, figures in compact tables.

use anstyle::{AnsiColor, Style};
use comfy_table::{CellAlignment, Table, presets};

use super::{Block, Document, Figures};
use crate::fingerprint::Verdict;
use crate::words::cautions;
use crate::words::job as say;
use crate::words::line;

/// For a terminal: its first line stands out, in a colour where there is a verdict; its words tell as much. Cautions that were `told` in
/// full before are named in one line.
#[must_use]
pub fn coloured(document: &Document, told: &[&str]) -> String {
    let of_verdict = |verdict| match verdict {
        Verdict::Within => AnsiColor::Green,
        Verdict::Outside => AnsiColor::Red,
        Verdict::Unsure => AnsiColor::Yellow,
    };
    let colour = document.verdict.map(|(verdict, _)| of_verdict(verdict));
    let style = Style::new().bold().fg_color(colour.map(Into::into));
    let text = text(document, told);
    let job = heading(document);
    let job = job.filter(|job| text.starts_with(job.as_str()));
    let (above, text) = text.split_at(job.map_or(0, |job| job.len()));
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    format!("{above}{style}{first}{style:#}\n{rest}")
}

/// All that is said, and the figures.
#[must_use]
pub fn text(document: &Document, told: &[&str]) -> String {
    let mut lines: Vec<String> = document.headline().map(str::to_owned).into_iter().collect();
    let mut cautions = Cautions::new(told);
    for block in &document.blocks {
        let mut said = Vec::new();
        write(std::slice::from_ref(block), true, &mut cautions, &mut said);
        if document.reads_back && !matches!(block, Block::InText(_)) {
            let each = said.iter().flat_map(|said| said.lines());
            said = each.map(|line| format!("# {line}")).collect();
        }
        lines.extend(said);
    }
    lines.extend(cautions.named());
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

/// For a voice that reads it out: what is said alone, a line each.
#[must_use]
pub fn spoken(document: &Document, told: &[&str]) -> String {
    let job = document.job.as_ref().map(|job| say::heading(job));
    let first = document.headline().map(str::to_owned);
    let mut lines: Vec<String> = job.into_iter().chain(first).collect();
    let mut cautions = Cautions::new(told);
    write(&document.blocks, false, &mut cautions, &mut lines);
    lines.extend(cautions.named());
    let lines = lines.iter().map(|l| l.trim().to_owned() + "\n");
    plain(&lines.collect::<String>())
}

/// Cautions that were told in full before: they are named in one line, so that what is new is not lost among them.
struct Cautions<'a> {
    told: &'a [&'a str],
    named: Vec<&'static str>,
}

impl<'a> Cautions<'a> {
    fn new(told: &'a [&'a str]) -> Self {
        Cautions {
            told,
            named: Vec::new(),
        }
    }

    /// The caution in full, where it was not told before.
    fn line(&mut self, caution: &'static str) -> Option<String> {
        if self.told.contains(&caution) {
            self.named.push(caution);
            return None;
        }
        Some(format!("  Caution: {caution}"))
    }

    /// The dangers of the others, in one line.
    fn named(self) -> Option<String> {
        cautions::in_one_line(&self.named)
    }
}

fn write(
    blocks: &[Block],
    with_figures: bool,
    cautions: &mut Cautions<'_>,
    lines: &mut Vec<String>,
) {
    for block in blocks {
        match block {
            Block::Title(said) | Block::Sentence(said) | Block::Note(said) => {
                lines.push(said.clone());
            }
            Block::Remark(said) => lines.push(format!("  {said}")),
            Block::Sign(said) => lines.push(format!("  ! {said}")),
            Block::Caution(said) => lines.extend(cautions.line(said)),
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
            | Block::Columns(inner) => write(inner, with_figures, cautions, lines),
            Block::Figures(_)
            | Block::Lead(..)
            | Block::Key(_)
            | Block::Drawing(_)
            | Block::Pictures(_)
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
    use crate::words::cautions::Work;
    use crate::words::headline::{Headline, ToDo};
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
        assert_eq!(spoken(&document, &[]), "Within.\nSmall.\n");
        let text = text(&document, &[]);
        assert!(text.starts_with("Within.\n  Small.\n\n"), "{text}");
        assert!(text.contains("silver") && text.contains("0.8"), "{text}");
        assert!(!text.contains("much") && !text.contains("svg"), "{text}");
    }

    #[test]
    fn what_to_do_stands_first_and_cautions_told_before_are_named_in_one_line() {
        let headline = Headline::new(ToDo::Strip, "Strip it.");
        let mut document = Document::new("sheet", "a").headed(headline);
        document.say(["Outside.".to_owned()]);
        document.caution(&[Work::StripPaint]);
        let in_full = text(&document, &[]);
        assert!(in_full.starts_with("Strip it.\nOutside.\n"), "{in_full}");
        assert_eq!(in_full.matches("  Caution: ").count(), 3);
        let all = document.cautions();
        assert_eq!(
            text(&document, &all),
            "Strip it.\nOutside.\n  Caution: solvents; acids, caustics and bleach; silver waste and cut glass. Told in full today, and on the sheet (--page).\n"
        );
        // One that is new is told in full, and none is lost.
        let part = text(&document, &all[..2]);
        assert!(
            part.contains(all[2]) && part.contains("solvents; acids"),
            "{part}"
        );
        assert!(spoken(&document, &all).contains("Caution: solvents"));
    }

    #[test]
    fn what_can_be_read_back_stands_beside_what_is_said_of_it() {
        let mut document = Document {
            reads_back: true,
            ..Document::new("card", "a")
        };
        document.note(["Notes: one\nstep: two".to_owned()]);
        document.push(Block::InText(vec!["step: rinse".to_owned()]));
        assert_eq!(
            text(&document, &[]),
            "# Notes: one\n# step: two\nstep: rinse\n"
        );
        assert!(!spoken(&document, &[]).contains('#'));
    }
}
