//! Times, temperatures and amounts as a studio writes them. What could be two things is neither.

use crate::error::Fault;

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

/// What a known word after a figure makes of it.
enum Unit {
    /// A time, of so many seconds each.
    Time(f64),
    Celsius,
    Fahrenheit,
    Amount,
    /// Nothing that is read.
    Refused(Fault),
}

/// All known words, in small letters. Degrees of a scale stand as `°` before it.
#[rustfmt::skip]
static UNITS: [(&str, Unit); 11] = [
    ("d day days", Unit::Time(86_400.0)),
    ("h hr hrs hour hours", Unit::Time(3600.0)),
    ("min mins minute minutes", Unit::Time(60.0)),
    ("s sec secs second seconds", Unit::Time(1.0)),
    ("c celsius °c °celsius", Unit::Celsius),
    ("f fahrenheit °f °fahrenheit", Unit::Fahrenheit),
    ("ml cl dl l cc g kg mg oz % drop drops", Unit::Amount),
    ("m", Unit::Refused(Fault::MinutesOrMetres)),
    ("ms msec msecs millisecond milliseconds", Unit::Refused(Fault::OtherTime)),
    ("wk wks week weeks month months year years", Unit::Refused(Fault::OtherTime)),
    ("k kelvin kelvins °k °kelvin °kelvins", Unit::Refused(Fault::OtherScale)),
];

/// Degrees, the longest word first.
const DEGREES: [&str; 4] = ["degrees", "degree", "deg", "°"];

/// How units of time begin, in the spelling of a neighbour too: an unknown unit that begins so is most likely one, mistyped.
const LIKE_TIMES: [&str; 5] = ["day", "hou", "min", "sec", "sek"];

/// Unknown units that begin so and are none: the sixtieth part of a fluid drachm, in old recipes.
const UNLIKE_TIMES: [&str; 2] = ["minim", "minims"];

/// Endings of counted words, which are no units.
const ORDINALS: [&str; 4] = ["st", "nd", "rd", "th"];

/// The figure that a part of a step is; `None` where it does not begin like one.
///
/// # Errors
/// It begins like a figure and is none, or could be two things.
pub(super) fn read(part: &str) -> Result<Option<Figure>, Fault> {
    let digits = part.trim_start_matches(['-', '+', '\u{2212}', '.', ' ']);
    if !digits.starts_with(|c: char| c.is_ascii_digit()) {
        return Ok(None);
    }
    let part = part.replacen('\u{2212}', "-", 1);
    let small = part.to_ascii_lowercase();
    if let Some((figure, "")) = leading(&small) {
        return figure.map(Some);
    }
    let (_, unit) = number(&small).ok_or(Fault::NoFigure)?;
    let begins = |begin: &&str| unit.trim_start().starts_with(begin);
    match unit.trim() {
        "" => Err(Fault::NoUnit),
        unit if DEGREES.contains(&unit) => Err(Fault::NoScale),
        unit if ORDINALS.contains(&unit) || !is_one_word(unit) => Err(Fault::NoFigure),
        unit if LIKE_TIMES.iter().any(begins) && !UNLIKE_TIMES.contains(&unit) => {
            Err(Fault::LikeTime)
        }
        _ => amount(&part).map(Some),
    }
}

/// An amount whose unit may be anything, or nothing.
pub(super) fn amount(text: &str) -> Result<Figure, Fault> {
    match number(text) {
        Some((number, unit)) if number >= 0.0 => Ok(Figure::Amount(number, spelled(unit.trim()))),
        _ => Err(Fault::NoFigure),
    }
}

/// A unit in its one spelling: `ML` and `mL` are `ml`, `g/L` is `g/l`; what is the studio's own stays as it is.
pub(super) fn spelled(unit: &str) -> String {
    let part = |part: &str| {
        let small = part.to_ascii_lowercase();
        match known(&small) {
            Some(Unit::Amount) => small,
            _ => part.to_owned(),
        }
    };
    unit.split('/').map(part).collect::<Vec<_>>().join("/")
}

/// The figures among words that would be a time, a temperature or an amount in a known unit if they stood alone.
pub(super) fn among(words: &str) -> impl Iterator<Item = &str> {
    let small = words.to_ascii_lowercase();
    words.char_indices().filter_map(move |(i, c)| {
        let mut before = words[..i].chars().rev();
        let (just, older) = (before.next(), before.next());
        // Not within another figure, and not within a name such as `A4`; but `2x20 s` is two.
        let begins = match just {
            Some('.' | ':') => !older.is_some_and(|c| c.is_ascii_digit()),
            Some('x' | 'X') | None => true,
            Some(c) => !c.is_alphanumeric(),
        };
        if !begins || !c.is_ascii_digit() {
            return None;
        }
        let point = just == Some('.') && !older.is_some_and(char::is_alphabetic);
        let start = i - usize::from(point);
        let (_, rest) = leading(&small[start..])?;
        Some(&words[start..words.len() - rest.len()])
    })
}

/// The figure with a known unit at the beginning of a text in small letters, or why it is not read; and the rest.
fn leading(text: &str) -> Option<(Result<Figure, Fault>, &str)> {
    if let Some((seconds, rest)) = clock(text) {
        return Some((Ok(Figure::Time(seconds)), rest));
    }
    let (number, word, mut rest) = counted(text)?;
    let figure = match known(&word)? {
        Unit::Refused(fault) => Err(fault.clone()),
        Unit::Celsius => Ok(Figure::Temperature(number)),
        Unit::Fahrenheit => {
            let tenths = (number - 32.0) * 5.0 / 9.0 * 10.0;
            Ok(Figure::Temperature(tenths.round() / 10.0))
        }
        _ if number < 0.0 => Err(Fault::NoFigure),
        Unit::Amount => Ok(Figure::Amount(number, word)),
        Unit::Time(seconds) => {
            let (mut sum, mut last) = (number * seconds, seconds);
            // `2 min 20 s` is one: from long to short, each once.
            while let Some((number, word, after)) = counted(rest.trim_start())
                && let Some(Unit::Time(seconds)) = known(&word)
                && number >= 0.0
                && *seconds < *last
            {
                sum += number * seconds;
                (last, rest) = (seconds, after);
            }
            Ok(Figure::Time(sum))
        }
    };
    Some((figure, rest))
}

/// A number, the word after it, and the rest.
fn counted(text: &str) -> Option<(f64, String, &str)> {
    let (number, unit) = number(text)?;
    let unit = unit.trim_start_matches([' ', '-']);
    let scale = DEGREES
        .iter()
        .find_map(|degrees| unit.strip_prefix(degrees));
    let (degrees, unit) = scale.map_or(("", unit), |scale| ("°", scale.trim_start()));
    let (word, rest) = split(unit, |c| c.is_alphabetic() || c == '%');
    Some((number, format!("{degrees}{word}"), rest))
}

fn known(word: &str) -> Option<&'static Unit> {
    let is_it = |(words, _): &&(&str, Unit)| words.split(' ').any(|known| known == word);
    UNITS.iter().find(is_it).map(|(_, unit)| unit)
}

/// One word of letters, or a sign for a share.
fn is_one_word(text: &str) -> bool {
    let fits = |c: char| c.is_alphabetic() || matches!(c, '%' | '‰' | '/' | '²' | '³');
    text.chars().all(fits) && text.chars().any(|c| c != '/')
}

/// A number, and what follows it.
fn number(text: &str) -> Option<(f64, &str)> {
    let sign = usize::from(text.starts_with(['-', '+']));
    let (_, rest) = split(&text[sign..], |c| c.is_ascii_digit() || c == '.');
    let number = text[..text.len() - rest.len()].parse().ok()?;
    Some((number, rest))
}

/// Minutes and seconds, or hours, minutes and seconds, with colons between; and what follows.
fn clock(text: &str) -> Option<(f64, &str)> {
    let (clock, rest) = split(text, |c| c.is_ascii_digit() || matches!(c, '.' | ':'));
    let clock = clock.trim_end_matches(['.', ':']);
    let parts: Vec<&str> = clock.split(':').collect();
    let (last, longer) = parts.split_last()?;
    let is_part = |part: &&str| {
        let whole = part.split('.').next().unwrap_or_default();
        whole.len() == 2 && whole < "60"
    };
    let fits = (1..=2).contains(&longer.len()) && parts[1..].iter().all(is_part);
    if !fits || parts[0].len() > 3 || rest.starts_with(char::is_alphabetic) {
        return None;
    }
    let mut seconds = 0.0;
    for part in longer {
        seconds = (seconds + f64::from(part.parse::<u16>().ok()?)) * 60.0;
    }
    Some((seconds + last.parse::<f64>().ok()?, &text[clock.len()..]))
}

/// The beginning of a text that `fits`, and the rest.
fn split(text: &str, fits: impl Fn(char) -> bool) -> (&str, &str) {
    text.split_at(text.find(|c| !fits(c)).unwrap_or(text.len()))
}
