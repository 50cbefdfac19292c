//! What is said and shown of an answer: one list of blocks, from which the terminal, the page and the card are made.
//!
//! Before it decisions are made; here they are only shown. `terminal` writes the blocks as text, `page` as a page that opens with
//! no network and prints in black and white, `csv` makes a table of the answer's JSON; `panel` and `figures` make the blocks that
//! several answers share, `reading` the answer that is one reading, `card` and `line` what leaves the archive of a finish.

pub mod card;
pub mod csv;
pub mod figures;
pub mod json;
pub mod line;
pub mod page;
pub mod panel;
pub mod reading;
pub mod terminal;

use maud::Markup;
use serde_json::Value;

use crate::compare::Lean;
use crate::fingerprint::{Fingerprint, Verdict};
use crate::words::cautions::{self, Work};
use crate::words::headline::Headline;

pub use figures::{Figures, Row};

/// What a command answers: for programs and for people.
pub struct Answer {
    /// What is said and shown of it.
    pub document: Document,
    /// The answer itself, as a JSON object.
    pub json: Value,
    /// Its lines in a table.
    pub lines: Lines,
}

/// Which part of an answer's JSON the lines of a table are.
#[derive(Default)]
pub struct Lines {
    /// The entry whose members are the lines.
    pub list: &'static str,
    /// What each line repeats: the column, and the entry that stands in it.
    pub repeated: &'static [(&'static str, &'static str)],
    /// What stands in place of the entry, where a table says it otherwise.
    pub instead: Option<Value>,
}

/// What is said and shown of an answer, in order.
pub struct Document {
    /// What kind of answer it is.
    pub kind: &'static str,
    /// What it is about.
    pub about: String,
    /// The job it is given in.
    pub job: Option<String>,
    /// The verdict, where there is one, and which way the panel lies.
    pub verdict: Option<(Verdict, Lean)>,
    /// What to do, where it says that: it stands first.
    pub headline: Option<Headline>,
    /// What is said and shown.
    pub blocks: Vec<Block>,
    /// Its lines of [`Block::InText`] can be read back: on a terminal all others stand behind a `#`.
    pub reads_back: bool,
}

/// A piece of a document.
pub enum Block {
    /// What the answer is about, above it on a terminal; a page has it in its head.
    Title(String),
    /// A sentence of the answer. Where nothing is to be done the first stands as its heading.
    Sentence(String),
    /// What else is to be known of it.
    Note(String),
    /// A doubt about the answer that must not be overlooked.
    Remark(String),
    /// What is weak about a photo, and what to do.
    Sign(String),
    /// A caution beside advice that can lead to harm.
    Caution(&'static str),
    /// The figure that is asked for first, beside the answer: what it says, and its drawing.
    Lead(String, Markup),
    /// Names and what holds of them; what is empty is left out.
    Facts(Vec<(&'static str, String)>),
    /// Figures, one a row.
    Figures(Figures),
    /// A part under its heading.
    Part(&'static str, Vec<Block>),
    /// The same, and it may run over a page's end.
    LongPart(&'static str, Vec<Block>),
    /// Parts side by side.
    Pair(Vec<Block>),
    /// Parts in as many columns as there is room for.
    Columns(Vec<Block>),
    /// How what is drawn is to be read. A page alone shows it.
    Key(String),
    /// A drawing. A page alone shows it.
    Drawing(Markup),
    /// Pictures that a page shows before it goes on in words. A page alone shows them.
    Pictures(Vec<Block>),
    /// Blocks that a page alone shows.
    OnPage(Vec<Block>),
    /// Lines that are said where a page shows it otherwise.
    InText(Vec<String>),
}

impl Document {
    /// A document with nothing said yet.
    #[must_use]
    pub fn new(kind: &'static str, about: impl Into<String>) -> Self {
        Document {
            kind,
            about: about.into(),
            job: None,
            verdict: None,
            headline: None,
            blocks: Vec::new(),
            reads_back: false,
        }
    }

    /// With a verdict, and which way the panel lies.
    #[must_use]
    pub fn decided(self, verdict: Verdict, lean: Lean) -> Self {
        Document {
            verdict: Some((verdict, lean)),
            ..self
        }
    }

    /// With what to do, to stand first.
    #[must_use]
    pub fn headed(self, headline: Headline) -> Self {
        Document {
            headline: Some(headline),
            ..self
        }
    }

    /// What to do in words, for JSON; null where it says nothing of it.
    #[must_use]
    pub fn headline(&self) -> Option<&str> {
        self.headline.as_ref().map(|first| first.says.as_str())
    }

    /// Goes on with a block.
    pub fn push(&mut self, block: Block) {
        self.blocks.push(block);
    }

    /// Says sentences.
    pub fn say(&mut self, sentences: impl IntoIterator<Item = String>) {
        self.blocks
            .extend(sentences.into_iter().map(Block::Sentence));
    }

    /// Notes what else is to be known.
    pub fn note(&mut self, notes: impl IntoIterator<Item = String>) {
        self.blocks.extend(notes.into_iter().map(Block::Note));
    }

    /// Notes doubts.
    pub fn remark(&mut self, doubts: impl IntoIterator<Item = String>) {
        self.blocks.extend(doubts.into_iter().map(Block::Remark));
    }

    /// Says what is weak about a photo.
    pub fn signs(&mut self, fingerprint: &Fingerprint) {
        let facts = fingerprint.provenance.flags.facts();
        let sign =
            |f: &crate::quality::FlagFacts| Block::Sign(format!("{} {}", f.meaning, f.remedy));
        self.blocks.extend(facts.map(sign));
    }

    /// Lays the cautions of some work beside the advice that may lead to it, each once.
    pub fn caution(&mut self, works: &[Work]) {
        let there = self.cautions();
        let new = cautions::of_all(works).into_iter();
        let new = new.filter(|caution| !there.contains(caution));
        self.blocks.extend(new.map(Block::Caution));
    }

    /// Shows more on a page alone.
    pub fn on_page(&mut self, blocks: Vec<Block>) {
        self.push(Block::OnPage(blocks));
    }

    /// The sentences of the answer.
    #[must_use]
    pub fn sentences(&self) -> Vec<&str> {
        self.all(|block| match block {
            Block::Sentence(said) => Some(said.as_str()),
            _ => None,
        })
    }

    /// The doubts about it.
    #[must_use]
    pub fn remarks(&self) -> Vec<&str> {
        self.all(|block| match block {
            Block::Remark(said) => Some(said.as_str()),
            _ => None,
        })
    }

    /// The cautions beside it.
    #[must_use]
    pub fn cautions(&self) -> Vec<&'static str> {
        self.all(|block| match block {
            Block::Caution(caution) => Some(*caution),
            _ => None,
        })
    }

    fn all<'a, T>(&'a self, is_one: impl Fn(&'a Block) -> Option<T>) -> Vec<T> {
        self.blocks.iter().filter_map(is_one).collect()
    }
}
