//! Sheets to look at: self-contained HTML pages that open with no network and print on A4 and Letter in black and white.
//!
//! A sheet says the answer in words, then shows pictures, then figures. One file a sheet in `sheet`, one file a chart in
//! `chart`; `part` has what several sheets show, `most` where most of a list lies, `picture` the pictures inside them, `look.css` how all of it looks, and
//! `colour` its colours.

mod chart;
mod colour;
mod most;
mod part;
mod picture;
mod sheet;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::words::page as say;
use crate::compare::Lean;
use crate::fingerprint::Verdict;

pub use picture::Silver;
pub use sheet::{
    Piece, Signing, check, effect, ladder, matched, near, promise, reading, recipe, set, signing,
    study,
};

/// How every sheet looks.
const LOOK: &str = include_str!("look.css");

/// Nothing is fetched and nothing runs: pictures lie inside, and so does the look.
const FETCH_NOTHING: &str = "default-src 'none'; img-src data:; style-src 'unsafe-inline'";

/// A sheet before it is written out.
struct Sheet<'a> {
    /// What kind of sheet it is.
    kind: &'a str,
    /// What it is about.
    about: &'a str,
    /// The verdict, where there is one, and which way the panel lies.
    verdict: Option<(Verdict, Lean)>,
    /// The answer, its first line first.
    words: &'a [String],
    /// What else belongs to the answer: cautions, what to mend.
    beside: Markup,
    /// Pictures and figures.
    body: Markup,
}

impl Sheet<'_> {
    fn html(self) -> String {
        let words: Vec<String> = self.words.iter().map(|line| quoted(line)).collect();
        let (first, rest) = match words.as_slice() {
            [] => ("", [].as_slice()),
            [first, rest @ ..] => (first.as_str(), rest),
        };
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta http-equiv="Content-Security-Policy" content=(FETCH_NOTHING);
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    title { (self.about) ": " (self.kind) }
                    style { (PreEscaped(colour::properties())) (PreEscaped(LOOK)) }
                }
                body {
                    header {
                        p.kind { (self.kind) " · " (self.about) }
                        div.answer {
                            @if let Some((verdict, lean)) = self.verdict { (chart::seal(verdict, lean)) }
                            div {
                                h1 { (first) }
                                @for line in rest { p { (line) } }
                            }
                        }
                        (self.beside)
                    }
                    main {
                        (self.body)
                        // Browsers keep it beside what is before it on paper only where both have one parent.
                        footer { p { (say::FOOTER) } }
                    }
                }
            }
        }
        .into_string()
    }
}

/// Names stand between `backticks` on a terminal, and between curly quotes on paper.
fn quoted(line: &str) -> String {
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
