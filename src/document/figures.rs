//! Figures, one a row: columns on a terminal, a drawing beside each on a page.

use maud::Markup;

/// A table of figures.
#[derive(Default)]
pub struct Figures {
    /// Heading on a page; none where a page shows them otherwise.
    pub heading: &'static str,
    /// How the drawings are read.
    pub key: &'static str,
    /// Heads of the columns, that of the names first.
    pub head: Vec<&'static str>,
    /// How many columns after the names hold figures.
    pub numbers: usize,
    /// The rows.
    pub rows: Vec<Row>,
}

/// One of them.
#[derive(Default)]
pub struct Row {
    /// Its name.
    pub title: String,
    /// What stands in the columns after the name.
    pub cells: Vec<String>,
    /// The figure beside the name, where drawings are shown.
    pub figure: String,
    /// What is said of it there.
    pub says: String,
    /// Its drawing; where there is none, what is said stands in its place.
    pub drawing: Option<Markup>,
}
