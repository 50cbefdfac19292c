//! A step as one line: its word, then parts with commas between, in any order. What is written is read back the same.
//!
//! A part is read whole or refused; nothing of it is guessed, and no figure goes by unseen:
//!
//! - A time is in s, min, h or days, or as 2:20; a temperature in C or F. Milliseconds, weeks, kelvins and the like are refused.
//! - An amount may be in any word of the studio's, such as `sprays`; but one that begins like a unit of time (`seks`) is refused.
//!   `ml`, `l`, `g` and the other known units are kept in small letters, so that `30 ML` is `30 ml`. After `amount` the unit may
//!   be anything.
//! - `rocked`, `still` and `dried …` are themselves; all else is a note.
//! - Among other words (`about 140 s`, also in the step's own word) no time, no temperature and no amount in a known unit may
//!   stand: who reads the recipes for their figures would never find it. `1:10` may: among words it is a dilution or an hour of the
//!   day as well.
//! - After `note:`, to the end of the step, and after `dried` every word is taken as it is.

use super::figure::{self, Figure};
use super::{Motion, Recipe, RecipeStep};
use crate::error::{Fault, Unread};

/// Before a step where it is shown, and so in what is copied from there.
const STEP: &str = "step:";

/// Before a note that would be taken for something else.
const NOTE: &str = "note:";

/// Before an amount whose unit would be taken for something else.
const AMOUNT: &str = "amount ";

/// How a dried step begins to say how.
const DRIED: &str = "dried";

/// Most characters of a part that are shown.
const SHOWN: usize = 60;

/// As much of a text as can be shown.
pub(super) fn shown(text: &str) -> String {
    let mut shown: String = text.chars().take(SHOWN).collect();
    if text.chars().nth(SHOWN).is_some() {
        shown.push('…');
    }
    shown
}

impl std::str::FromStr for RecipeStep {
    type Err = Unread;

    /// Reads `attack, 140 s, 30 ml, 21 C, rocked, dried with warm air, and anything else`.
    fn from_str(text: &str) -> Result<Self, Unread> {
        let text = Recipe::tidy(text);
        let (word, mut rest) = cut(strip(&text, STEP).unwrap_or(&text));
        let mut step = RecipeStep::default();
        let refuse = |step: &RecipeStep, part: &str, fault| Unread::Part {
            part: shown(part),
            fault,
            read: step.line(),
        };
        if word.is_empty() || !matches!(figure::read(word), Ok(None) | Err(Fault::NoFigure)) {
            return Err(refuse(&step, word, Fault::NoWord));
        }
        if figure::among(word).next().is_some() {
            return Err(refuse(&step, word, Fault::NoComma));
        }
        word.clone_into(&mut step.step);
        while !rest.is_empty() {
            if let Some(note) = strip(rest, NOTE) {
                step.add_note(note);
                break;
            }
            let (part, next) = cut(rest);
            let added = step.add(part);
            added.map_err(|fault| refuse(&step, part, fault))?;
            rest = next;
        }
        Ok(step)
    }
}

impl RecipeStep {
    /// The step as a line that is read back as it is.
    #[must_use]
    pub fn line(&self) -> String {
        let mut parts = vec![self.step.clone()];
        parts.extend(self.seconds.map(time));
        parts.extend(self.amount.map(|amount| {
            let plain = format!("{amount} {}", self.unit);
            match figure::read(&plain) {
                Ok(Some(Figure::Amount(..))) => plain,
                _ => format!("{AMOUNT}{}", plain.trim_end()),
            }
        }));
        parts.extend(self.temperature_c.map(|celsius| format!("{celsius} °C")));
        parts.extend(self.motion.map(|motion| motion.word().to_owned()));
        match self.dried.as_str() {
            "" => {}
            DRIED => parts.push(DRIED.to_owned()),
            how => parts.push(format!("{DRIED} {how}")),
        }
        if !self.note.is_empty() {
            let alone = RecipeStep {
                step: "plain".to_owned(),
                note: self.note.clone(),
                ..RecipeStep::default()
            };
            let reads_back = format!("plain, {}", self.note).parse() == Ok(alone);
            let mark = if reads_back { "" } else { "note: " };
            parts.push(format!("{mark}{}", self.note));
        }
        parts.join(", ")
    }

    /// Takes in one part.
    fn add(&mut self, part: &str) -> Result<(), Fault> {
        let is_figure = |text: &&str| text.starts_with(|c: char| c.is_ascii_digit() || c == '-');
        let figure = match strip(part, AMOUNT).filter(is_figure) {
            Some(amount) => Some(figure::amount(amount)?),
            None => figure::read(part)?,
        };
        match figure {
            Some(Figure::Time(seconds)) => once(&mut self.seconds, seconds, "a time"),
            Some(Figure::Temperature(celsius)) => {
                once(&mut self.temperature_c, celsius, "a temperature")
            }
            Some(Figure::Amount(amount, unit)) => {
                once(&mut self.amount, amount, "an amount")?;
                self.unit = unit;
                Ok(())
            }
            None => self.add_words(part),
        }
    }

    fn add_words(&mut self, part: &str) -> Result<(), Fault> {
        let mut motions = [Motion::Rocked, Motion::Still].into_iter();
        if let Some(motion) = motions.find(|motion| part.eq_ignore_ascii_case(motion.word())) {
            return once(&mut self.motion, motion, "rocked or still");
        }
        let how = strip(part, DRIED).filter(|how| !how.starts_with(char::is_alphanumeric));
        if let Some(how) = how {
            if !self.dried.is_empty() {
                return Err(Fault::Again("how it was dried"));
            }
            let how = how.trim_start_matches([':', ' ']);
            (if how.is_empty() { DRIED } else { how }).clone_into(&mut self.dried);
        } else if let Some(figure) = figure::among(part).find(|figure| !figure.contains(':')) {
            return Err(Fault::Among {
                figure: figure.replace('-', " "),
                part: shown(part),
            });
        } else {
            self.add_note(part);
        }
        Ok(())
    }

    fn add_note(&mut self, note: &str) {
        let note = note.trim();
        if !self.note.is_empty() && !note.is_empty() {
            self.note.push_str(", ");
        }
        self.note.push_str(note);
    }
}

impl Motion {
    /// As it is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Motion::Rocked => "rocked",
            Motion::Still => "still",
        }
    }
}

/// A time: whole days from two on as days, whole minutes from two on as minutes, else seconds.
fn time(seconds: f64) -> String {
    let units = [(86_400.0, "days"), (60.0, "min")];
    let whole = |(unit, _): &(f64, _)| seconds >= 2.0 * unit && seconds % unit == 0.0;
    let (unit, word) = units.into_iter().find(whole).unwrap_or((1.0, "s"));
    format!("{} {word}", seconds / unit)
}

/// The part before the first comma, and what follows it.
fn cut(text: &str) -> (&str, &str) {
    let (part, rest) = text.split_once(',').unwrap_or((text, ""));
    (part.trim(), rest.trim())
}

/// What follows a beginning, in whatever case it is written.
fn strip<'a>(text: &'a str, beginning: &str) -> Option<&'a str> {
    let (head, rest) = text.split_at_checked(beginning.len())?;
    head.eq_ignore_ascii_case(beginning).then_some(rest)
}

fn once<T>(place: &mut Option<T>, value: T, what: &'static str) -> Result<(), Fault> {
    if place.is_some() {
        return Err(Fault::Again(what));
    }
    *place = Some(value);
    Ok(())
}
