//! Times, temperatures and amounts as a studio writes them. What could be two things is neither.

use crate::error::Fault;

/// Words for parts of a time, with their seconds, the longest first.
const TIMES: [(&[&str], f64); 3] = [
    (&["h", "hr", "hrs", "hour", "hours"], 3600.0),
    (&["min", "mins", "minute", "minutes"], 60.0),
    (&["s", "sec", "secs", "second", "seconds"], 1.0),
];

/// Units that after a step's word show that a comma is missing.
const KNOWN_UNITS: [&str; 10] = ["ml", "cl", "dl", "l", "g", "kg", "mg", "%", "drop", "drops"];

/// Degrees without their scale.
const DEGREES: [&str; 4] = ["°", "deg", "degree", "degrees"];

/// Endings of counted words, which are no units.
const ORDINALS: [&str; 4] = ["st", "nd", "rd", "th"];

/// A figure of a step.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Figure {
    /// Seconds.
    Time(f64),
    /// Degrees Celsius.
    Temperature(f64),
    /// How much, and of what.
    Amount(f64, String),
}

/// The figure that a part of a step is; `None` where it does not begin like one.
///
/// # Errors
/// It begins like a figure and is none, or could be two things.
pub(super) fn read(part: &str) -> Result<Option<Figure>, Fault> {
    let begins = part.trim_start_matches(['-', '+', '\u{2212}', '.', ' ']);
    if !begins.starts_with(|c: char| c.is_ascii_digit()) {
        return Ok(None);
    }
    if let Some(seconds) = time(part) {
        return Ok(Some(Figure::Time(seconds)));
    }
    let (number, rest) = number(part).ok_or(Fault::NoFigure)?;
    let unit = rest.trim();
    if let Some(celsius) = temperature(number, unit) {
        return Ok(Some(Figure::Temperature(celsius)));
    }
    let lower = unit.to_lowercase();
    match lower.as_str() {
        "" => Err(Fault::NoUnit),
        "m" => Err(Fault::MinutesOrMetres),
        l if DEGREES.contains(&l) => Err(Fault::NoScale),
        l if number < 0.0 || ORDINALS.contains(&l) || !is_unit(unit) => Err(Fault::NoFigure),
        _ => Ok(Some(Figure::Amount(number, unit.to_owned()))),
    }
}

/// An amount whose unit may be anything, or nothing.
pub(super) fn amount(text: &str) -> Result<Figure, Fault> {
    match number(text) {
        Some((number, unit)) if number >= 0.0 => Ok(Figure::Amount(number, unit.trim().to_owned())),
        _ => Err(Fault::NoFigure),
    }
}

/// A figure stands at the end of a step's word: the comma between them is missing.
pub(super) fn ends_in_figure(word: &str) -> bool {
    let starts = word.match_indices(' ').map(|(at, _)| &word[at + 1..]);
    starts.into_iter().any(|end| match read(end) {
        Ok(Some(Figure::Time(_) | Figure::Temperature(_))) => true,
        Ok(Some(Figure::Amount(_, unit))) => KNOWN_UNITS.contains(&unit.to_lowercase().as_str()),
        _ => false,
    })
}

/// One word of letters, or a sign for a share.
fn is_unit(text: &str) -> bool {
    let fits = |c: char| c.is_alphabetic() || matches!(c, '%' | '‰' | '/' | '²' | '³');
    text.chars().all(fits) && text.chars().any(|c| c != '/')
}

/// A figure and what follows it.
fn number(text: &str) -> Option<(f64, &str)> {
    let text = text.trim_start();
    let (sign, digits) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let end = digits
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .unwrap_or(digits.len());
    let number: f64 = digits[..end].parse().ok()?;
    Some((sign * number, &digits[end..]))
}

/// `140 s`, `140s`, `2 min 20 s`, `2:20` or `1:02:20`, in seconds.
fn time(text: &str) -> Option<f64> {
    if text.contains(':') {
        return clock(text);
    }
    let mut rest = text;
    let mut seconds = 0.0;
    let mut longer = TIMES.len() + 1;
    while !rest.trim().is_empty() {
        let (figure, after) = number(rest)?;
        let after = after.trim_start();
        let end = after
            .find(|c: char| !c.is_alphabetic())
            .unwrap_or(after.len());
        let word = after[..end].to_lowercase();
        let place = TIMES
            .iter()
            .position(|(words, _)| words.contains(&word.as_str()))?;
        // From long to short, each once.
        let rank = TIMES.len() - place;
        if figure < 0.0 || rank >= longer {
            return None;
        }
        longer = rank;
        seconds += figure * TIMES[place].1;
        rest = &after[end..];
    }
    Some(seconds)
}

/// Minutes and seconds, or hours, minutes and seconds.
fn clock(text: &str) -> Option<f64> {
    let parts: Vec<&str> = text.trim().split(':').collect();
    if !(2..=3).contains(&parts.len()) {
        return None;
    }
    let mut seconds = 0.0;
    for (i, part) in parts.iter().enumerate() {
        let last = i + 1 == parts.len();
        let digits = part.split('.').next().unwrap_or_default();
        let plain = !part.is_empty()
            && digits.len() <= 3
            && part
                .chars()
                .all(|c| c.is_ascii_digit() || (last && c == '.'));
        let figure: f64 = part.parse().ok().filter(|_| plain)?;
        if i > 0 && (figure >= 60.0 || digits.len() != 2) {
            return None;
        }
        seconds = seconds * 60.0 + figure;
    }
    Some(seconds)
}

/// °C; what was read in °F is rounded to a tenth of a degree.
fn temperature(number: f64, unit: &str) -> Option<f64> {
    let scale = DEGREES
        .iter()
        .filter_map(|degrees| unit.strip_prefix(degrees))
        .map(str::trim_start)
        .min_by_key(|rest| rest.len())
        .unwrap_or(unit);
    match scale.to_lowercase().as_str() {
        "c" | "celsius" => Some(number),
        "f" | "fahrenheit" => {
            let celsius = (number - 32.0) * 5.0 / 9.0;
            Some((celsius * 10.0).round() / 10.0)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_read_as_a_studio_writes_them() {
        let amount = |n, unit: &str| Figure::Amount(n, unit.to_owned());
        // 70 °F is 21.1 °C, 212 °F 100 °C and -40 the same in both: the scale's definition, ISO 80000-5.
        for (text, figure) in [
            ("140s", Figure::Time(140.0)),
            ("140 s", Figure::Time(140.0)),
            ("140 Seconds", Figure::Time(140.0)),
            ("2 min 20 s", Figure::Time(140.0)),
            ("2min20s", Figure::Time(140.0)),
            ("2:20", Figure::Time(140.0)),
            ("1:02:20", Figure::Time(3740.0)),
            ("0:07.5", Figure::Time(7.5)),
            ("1.5 h", Figure::Time(5400.0)),
            ("1 h 30 min", Figure::Time(5400.0)),
            (".5 min", Figure::Time(30.0)),
            ("21 C", Figure::Temperature(21.0)),
            ("21C", Figure::Temperature(21.0)),
            ("21 °C", Figure::Temperature(21.0)),
            ("21° c", Figure::Temperature(21.0)),
            ("21 degrees celsius", Figure::Temperature(21.0)),
            ("70F", Figure::Temperature(21.1)),
            ("212 °F", Figure::Temperature(100.0)),
            ("-40 F", Figure::Temperature(-40.0)),
            ("\u{2212}5 C", Figure::Temperature(-5.0)),
            ("30 ml", amount(30.0, "ml")),
            ("30ml", amount(30.0, "ml")),
            ("2.5 g/l", amount(2.5, "g/l")),
            ("5 %", amount(5.0, "%")),
            ("3 Tropfen", amount(3.0, "Tropfen")),
        ] {
            assert_eq!(read(text), Ok(Some(figure)), "{text}");
        }
        for text in ["rocked", "about 140 s", "", "- slowly", "π"] {
            assert_eq!(read(text), Ok(None), "{text}");
        }
    }

    #[test]
    fn what_could_be_two_things_is_refused() {
        for (text, fault) in [
            ("140", Fault::NoUnit),
            ("1.5", Fault::NoUnit),
            ("2 m", Fault::MinutesOrMetres),
            ("21°", Fault::NoScale),
            ("21 degrees", Fault::NoScale),
            ("2nd", Fault::NoFigure),
            ("2 thin coats", Fault::NoFigure),
            ("2:75", Fault::NoFigure),
            ("2:2", Fault::NoFigure),
            ("1:2:3:4", Fault::NoFigure),
            ("20 s 2 min", Fault::NoFigure),
            ("2 s 20 s", Fault::NoFigure),
            ("-5 s", Fault::NoFigure),
            ("-5 ml", Fault::NoFigure),
            ("1e9 s", Fault::NoFigure),
            ("1.2.3 s", Fault::NoFigure),
            ("30 ml 5", Fault::NoFigure),
            ("1/2 l", Fault::NoFigure),
        ] {
            assert_eq!(read(text), Err(fault), "{text}");
        }
    }

    #[test]
    fn a_missing_comma_is_seen_and_a_figure_in_a_word_is_not_taken_for_one() {
        for word in ["attack 140 s", "attack 2:20", "rinse at 21 C", "pour 30 ml"] {
            assert!(ends_in_figure(word), "{word}");
        }
        for word in ["attack", "2nd pour", "coat 2", "wash 2 hot", "bath 3b"] {
            assert!(!ends_in_figure(word), "{word}");
        }
    }
}
