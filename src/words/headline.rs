//! What to do, in a few words: it stands first in an answer, before what differs and why.

/// What to do, as its sign shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToDo {
    /// Nothing: it is as it should be.
    Leave,
    /// A little more of the same work.
    Further,
    /// Nothing yet: look first.
    Look,
    /// All of it again.
    Strip,
}

/// The first words of an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Headline {
    /// What to do.
    pub to_do: ToDo,
    /// The same in words.
    pub says: String,
}

impl Headline {
    /// What to do, and how that is said.
    #[must_use]
    pub fn new(to_do: ToDo, says: impl Into<String>) -> Self {
        Headline {
            to_do,
            says: says.into(),
        }
    }
}
