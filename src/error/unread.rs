//! What of a recipe that was typed cannot be read. Nothing is guessed.

/// Why a line of a recipe cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unread {
    /// A part of a step.
    #[error("`{part}` cannot be read: {fault}{}", read_so_far(read))]
    Part {
        /// The part, as far as it can be shown.
        part: String,
        /// What is wrong with it.
        fault: Fault,
        /// What was read of the step before it.
        read: String,
    },
    /// A line without a name, or with one that is not known.
    #[error(
        "`{line}` is not a line of a recipe (expected technique, step, backing or change, a colon, and your words)"
    )]
    Line {
        /// The line, as far as it can be shown.
        line: String,
    },
    /// A line that may stand once.
    #[error("{what} is said twice (expected once)")]
    Twice {
        /// Which.
        what: &'static str,
    },
}

/// What is wrong with a part of a step.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// The step's word is not there, or a figure stands in its place.
    #[error("a step begins with your word for it")]
    NoWord,
    /// The word and a figure in one part.
    #[error("a comma is missing between the step's word and the figure")]
    NoComma,
    /// A figure that stands alone.
    #[error("the figure has no unit")]
    NoUnit,
    /// Degrees of an unsaid scale.
    #[error("degrees of which scale (expected C or F)")]
    NoScale,
    /// Minutes, or metres.
    #[error("m may be minutes or metres (expected min for minutes)")]
    MinutesOrMetres,
    /// A unit of time that is not read.
    #[error("a time in a unit that is not known here (expected s, min, h or days)")]
    OtherTime,
    /// A unit that begins like one of time.
    #[error(
        "the unit is most likely one of time, mistyped (expected s, min, h or days; or `amount` before it, where it is an amount)"
    )]
    LikeTime,
    /// A scale of temperature that is not read.
    #[error("a temperature on a scale that is not known here (expected C or F)")]
    OtherScale,
    /// A figure with its unit among other words.
    #[error(
        "`{figure}` stands among other words (expected `{figure}` alone between commas, or all of them at the end as `note: {part}`)"
    )]
    Among {
        /// The figure.
        figure: String,
        /// All the words, as far as they can be shown.
        part: String,
    },
    /// It begins like a figure and goes on otherwise.
    #[error("it begins with a figure and is no time, amount or temperature")]
    NoFigure,
    /// A second time, amount, temperature, motion or drying.
    #[error("{0} was said already in this step")]
    Again(&'static str),
}

fn read_so_far(read: &str) -> String {
    if read.is_empty() {
        String::new()
    } else {
        format!(" (read so far: {read})")
    }
}
