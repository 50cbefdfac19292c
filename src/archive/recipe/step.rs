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
use super::{Motion, RecipeStep};
use crate::error::{Fault, Unread};

/// Before a step where it is shown, and so in what is copied from there.
const STEP: &str = "step:";

/// Before a note that would be taken for something else.
const NOTE: &str = "note:";

/// Before an amount whose unit would be taken for something else.
const AMOUNT: &str = "amount ";

/// How a dried step begins to say how.
const DRIED: &str = "dried";

/// Seconds of a minute, and of a day.
const MINUTE: f64 = 60.0;
const DAY: f64 = 86_400.0;

/// Most characters of a part that are shown.
const SHOWN: usize = 60;

/// A text in one line, each gap in it one space.
pub(super) fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

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
        let text = tidy(text);
        let text = strip(&text, STEP).map_or(text.as_str(), str::trim_start);
        let (word, mut rest) = cut(text);
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
        while let Some(after) = rest {
            if let Some(note) = strip(after, NOTE) {
                step.add_note(note);
                break;
            }
            let (part, next) = cut(after);
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
                step: NOTE.to_owned(),
                note: self.note.clone(),
                ..RecipeStep::default()
            };
            let plain = format!("{NOTE}, {}", self.note);
            parts.push(match plain.parse::<RecipeStep>() {
                Ok(read) if read == alone => self.note.clone(),
                _ => format!("{NOTE} {}", self.note),
            });
        }
        parts.join(", ")
    }

    /// Takes in one part.
    fn add(&mut self, part: &str) -> Result<(), Fault> {
        let amount = strip(part, AMOUNT)
            .filter(|amount| amount.starts_with(|c: char| c.is_ascii_digit() || c == '-'));
        let figure = match amount {
            Some(amount) => Some(figure::amount(amount)?),
            None => figure::read(part)?,
        };
        match figure {
            Some(Figure::Time(seconds)) => once(&mut self.seconds, seconds, "a time")?,
            Some(Figure::Temperature(celsius)) => {
                once(&mut self.temperature_c, celsius, "a temperature")?;
            }
            Some(Figure::Amount(amount, unit)) => {
                once(&mut self.amount, amount, "an amount")?;
                self.unit = unit;
            }
            None => self.add_word(part)?,
        }
        Ok(())
    }

    fn add_word(&mut self, part: &str) -> Result<(), Fault> {
        let motion = [Motion::Rocked, Motion::Still]
            .into_iter()
            .find(|motion| part.eq_ignore_ascii_case(motion.word()));
        if let Some(motion) = motion {
            return once(&mut self.motion, motion, "rocked or still");
        }
        let how = strip(part, DRIED).filter(|how| !how.starts_with(char::is_alphanumeric));
        let Some(how) = how else {
            if let Some(figure) = figure::among(part).find(|figure| !figure.contains(':')) {
                return Err(Fault::Among {
                    figure: figure.replace('-', " "),
                    part: shown(part),
                });
            }
            self.add_note(part);
            return Ok(());
        };
        if !self.dried.is_empty() {
            return Err(Fault::Again("how it was dried"));
        }
        let how = how.trim_start_matches([':', ' ']);
        (if how.is_empty() { DRIED } else { how }).clone_into(&mut self.dried);
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
    let whole = |unit: f64| seconds >= 2.0 * unit && seconds % unit == 0.0;
    if whole(DAY) {
        format!("{} days", seconds / DAY)
    } else if whole(MINUTE) {
        format!("{} min", seconds / MINUTE)
    } else {
        format!("{seconds} s")
    }
}

/// The part before the first comma, and what follows it.
fn cut(text: &str) -> (&str, Option<&str>) {
    match text.split_once(',') {
        Some((part, rest)) => (part.trim(), Some(rest.trim()).filter(|r| !r.is_empty())),
        None => (text.trim(), None),
    }
}

/// What follows a beginning, in whatever case it is written.
fn strip<'a>(text: &'a str, beginning: &str) -> Option<&'a str> {
    let head = text.get(..beginning.len())?;
    head.eq_ignore_ascii_case(beginning)
        .then(|| &text[beginning.len()..])
}

fn once<T>(place: &mut Option<T>, value: T, what: &'static str) -> Result<(), Fault> {
    if place.is_some() {
        return Err(Fault::Again(what));
    }
    *place = Some(value);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(text: &str) -> RecipeStep {
        text.parse().unwrap_or_else(|why| panic!("{text}: {why}"))
    }

    fn attack() -> RecipeStep {
        RecipeStep {
            step: "attack".to_owned(),
            seconds: Some(140.0),
            amount: Some(30.0),
            unit: "ml".to_owned(),
            temperature_c: Some(21.0),
            motion: Some(Motion::Rocked),
            dried: "with warm air".to_owned(),
            note: String::new(),
        }
    }

    #[test]
    fn parts_are_read_in_any_order() {
        for text in [
            "attack, 140 s, 30 ml, 21 C, rocked, dried with warm air",
            "attack, dried with warm air, Rocked, 21 °C, 30ml, 2:20",
            " attack ,2 min 20 s,\n30 ml,  21C , rocked, Dried:  with warm air,",
        ] {
            assert_eq!(step(text), attack(), "{text}");
        }
        assert_eq!(step("rinse").step, "rinse");
        assert_eq!(step("still, 5 s").step, "still");
        assert_eq!(step("2nd pour, still").motion, Some(Motion::Still));
        let noted = step("pour, from the left, 30 ml, slowly");
        assert_eq!(noted.note, "from the left, slowly");
        assert_eq!(
            step("pour, note: 30 ml, then 40 ml").note,
            "30 ml, then 40 ml"
        );
        assert_eq!(step("pour, driedup").note, "driedup");
        assert_eq!(step("pour, amount 2 thin coats").unit, "thin coats");
        assert_eq!(step("pour, dried").dried, "dried");
        assert_eq!(step("pour, 30 mL").unit, "ml");
        assert_eq!(step("pour, note: about 140 s").note, "about 140 s");
        assert_eq!(step("pour, dried 2 min at 40 C").dried, "2 min at 40 C");
        assert_eq!(step("pour, diluted 1:10").note, "diluted 1:10");
        assert_eq!(step("pour, with 3 sprays").note, "with 3 sprays");
    }

    #[test]
    fn what_cannot_be_read_is_told_with_what_was_read_before_it() {
        for (text, fault, read) in [
            ("", Fault::NoWord, ""),
            (", 140 s", Fault::NoWord, ""),
            ("140 s, attack", Fault::NoWord, ""),
            ("30 ml", Fault::NoWord, ""),
            ("attack 140 s", Fault::NoComma, ""),
            ("attack, 140", Fault::NoUnit, "attack"),
            (
                "attack, 140 s, 2 m",
                Fault::MinutesOrMetres,
                "attack, 140 s",
            ),
            (
                "attack, 140 s, 2:20",
                Fault::Again("a time"),
                "attack, 140 s",
            ),
            (
                "attack, 30 ml, 5 g",
                Fault::Again("an amount"),
                "attack, 30 ml",
            ),
            (
                "attack, rocked, still",
                Fault::Again("rocked or still"),
                "attack, rocked",
            ),
            (
                "attack, 21 C, 70 F",
                Fault::Again("a temperature"),
                "attack, 21 °C",
            ),
            (
                "attack, dried by hand, dried by air",
                Fault::Again("how it was dried"),
                "attack, dried by hand",
            ),
            ("attack, amount -3 ml", Fault::NoFigure, "attack"),
            ("attack, 140 ms", Fault::OtherTime, "attack"),
            ("attack, 140 seks", Fault::LikeTime, "attack"),
            ("attack, 300 K", Fault::OtherScale, "attack"),
            ("attack 140 s rocked", Fault::NoComma, ""),
            ("60 C bath", Fault::NoComma, ""),
        ] {
            match text.parse::<RecipeStep>() {
                Err(Unread::Part {
                    fault: found,
                    read: so_far,
                    ..
                }) => assert_eq!((found, so_far.as_str()), (fault, read), "{text}"),
                other => panic!("{text}: {other:?}"),
            }
        }
    }

    #[test]
    fn a_figure_does_not_go_by_among_words() {
        for (part, figure) in [
            ("about 140 s", "140 s"),
            ("~140 s", "140 s"),
            ("ca. 140 s", "140 s"),
            ("t=140 s", "140 s"),
            ("time 140 s", "140 s"),
            ("a 140-second soak", "140 second"),
            ("warmed to 300 K", "300 K"),
            ("about 30 ML", "30 ML"),
            ("amount about 30 ml", "30 ml"),
            ("diluted 1:10 for 140 s", "140 s"),
            ("rocked for 140 s", "140 s"),
        ] {
            let fault = Fault::Among {
                figure: figure.to_owned(),
                part: part.to_owned(),
            };
            let refused = Unread::Part {
                part: part.to_owned(),
                fault,
                read: "attack, rocked".to_owned(),
            };
            let read = format!("attack, rocked, {part}").parse::<RecipeStep>();
            assert_eq!(read, Err(refused.clone()), "{part}");
            assert!(refused.to_string().contains(&format!("`note: {part}`")));
        }
    }

    #[test]
    fn what_is_written_is_read_back_the_same() {
        let of = |text: &str| step(text).line();
        assert_eq!(
            attack().line(),
            "attack, 140 s, 30 ml, 21 °C, rocked, dried with warm air"
        );
        assert_eq!(of("bake, 1 h"), "bake, 60 min");
        assert_eq!(of("age, 2 days"), "age, 2 days");
        // Read by an earlier version, which took every unit for one of amount and every part for a note.
        let earlier = RecipeStep {
            amount: Some(300.0),
            unit: "K".to_owned(),
            dried: "for 2 min".to_owned(),
            note: "about 140 s".to_owned(),
            ..step("warm")
        };
        let line = "warm, amount 300 K, dried for 2 min, note: about 140 s";
        assert_eq!(earlier.line(), line);
        assert_eq!(step(line), earlier);
        for text in [
            "attack, 140.1 s, 0.1 ml, 70 F, still, dried, and <b>more</b> \"so\"; DROP TABLE recipe",
            "attack, 90 s, note: 30 ml, rocked, dried by hand, 2nd, note: 5",
            "pour, amount 30",
            "pour, amount 140 seks, 2:20, dried: 2 min",
            "pour, amount 2 thin coats, amount of care, by the window",
            "pour, 0.000001 s, 100000000 g",
            "銀, 5 g, 🪞, e\u{301}",
        ] {
            let once = step(text);
            assert_eq!(step(&once.line()), once, "{text}: {}", once.line());
        }
    }
}
