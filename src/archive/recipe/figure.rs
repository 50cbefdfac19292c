//! Times, temperatures and amounts as a studio writes them. What could be two things is neither.

use crate::error::Fault;

/// Words for parts of a time, with their seconds, the longest first.
const TIMES: [(&[&str], f64); 4] = [
    (&["d", "day", "days"], 86_400.0),
    (&["h", "hr", "hrs", "hour", "hours"], 3600.0),
    (&["min", "mins", "minute", "minutes"], 60.0),
    (&["s", "sec", "secs", "second", "seconds"], 1.0),
];

/// Units of time in which no step is timed, lest they be taken for those of an amount.
const OTHER_TIMES: [&str; 13] = [
    "ms",
    "msec",
    "msecs",
    "millisecond",
    "milliseconds",
    "wk",
    "wks",
    "week",
    "weeks",
    "month",
    "months",
    "year",
    "years",
];

/// How units of time begin, in the spelling of a neighbour too: what goes on otherwise is most likely one that was mistyped.
const LIKE_TIMES: [&str; 5] = ["day", "hou", "min", "sec", "sek"];

/// What begins like a unit of time and is one of amount: the sixtieth part of a fluid drachm, in old recipes.
const UNLIKE_TIMES: [&str; 2] = ["minim", "minims"];

/// Scales of temperature that are read.
const CELSIUS: [&str; 2] = ["c", "celsius"];
const FAHRENHEIT: [&str; 2] = ["f", "fahrenheit"];

/// Those that are not.
const OTHER_SCALES: [&str; 3] = ["k", "kelvin", "kelvins"];

/// Units of amounts that are known for such wherever they stand; whatever their case, they are kept as they are here.
const KNOWN_UNITS: [&str; 12] = [
    "ml", "cl", "dl", "l", "cc", "g", "kg", "mg", "oz", "%", "drop", "drops",
];

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
        l if OTHER_SCALES.contains(&scale(l)) => Err(Fault::OtherScale),
        l if number < 0.0 || ORDINALS.contains(&l) || !is_unit(unit) => Err(Fault::NoFigure),
        l if OTHER_TIMES.contains(&l) => Err(Fault::OtherTime),
        l if is_like_time(l) => Err(Fault::LikeTime),
        _ => Ok(Some(Figure::Amount(number, spelled(unit)))),
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
        let lower = part.to_lowercase();
        if KNOWN_UNITS.contains(&lower.as_str()) {
            lower
        } else {
            part.to_owned()
        }
    };
    unit.split('/').map(part).collect::<Vec<_>>().join("/")
}

/// The figures among words that would be a time, a temperature or an amount in a known unit if they stood alone.
pub(super) fn among(words: &str) -> impl Iterator<Item = &str> {
    let [mut older, mut last] = [None; 2];
    words.char_indices().filter_map(move |(i, c)| {
        let [before, just] = [older, last];
        (older, last) = (last, Some(c));
        if !c.is_ascii_digit() || !may_begin(before, just) {
            return None;
        }
        let point = just == Some('.') && !before.is_some_and(char::is_alphabetic);
        let start = if point { i - 1 } else { i };
        let end = known(&words[start..])?;
        Some(&words[start..start + end])
    })
}

/// A figure may begin after these two characters: not within another one, and not within a name such as `A4`. `2x20 s` is two.
fn may_begin(before: Option<char>, just: Option<char>) -> bool {
    match just {
        Some('.' | ':') => !before.is_some_and(|c| c.is_ascii_digit()),
        Some('x' | 'X') | None => true,
        Some(c) => !c.is_ascii_digit() && !c.is_alphabetic(),
    }
}

/// Where a figure with a known unit ends that stands at the beginning.
fn known(text: &str) -> Option<usize> {
    let mut end = known_part(text)?;
    // `2 min 20 s` is one.
    loop {
        let rest = text[end..].trim_start();
        let start = text.len() - rest.len();
        match known_part(rest) {
            Some(more) if time(&text[..start + more]).is_some() => end = start + more,
            _ => return Some(end),
        }
    }
}

fn known_part(text: &str) -> Option<usize> {
    let digits = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ':')));
    let (figure, rest) = text.split_at(digits.unwrap_or(text.len()));
    if figure.contains(':') {
        let figure = figure.trim_end_matches(['.', ':']);
        let alone = !rest.starts_with(char::is_alphabetic);
        return clock(figure).filter(|_| alone).map(|_| figure.len());
    }
    figure.parse::<f64>().ok()?;
    let unit = rest.trim_start_matches([' ', '-']);
    let at = text.len() - unit.len();
    let scaled = scale(unit);
    let ends = |text: &str| {
        let letter = |c: char| c.is_alphabetic() || c == '%';
        text.find(|c| !letter(c)).unwrap_or(text.len())
    };
    let word = scaled[..ends(scaled)].to_lowercase();
    if is_scale(&word) {
        return Some(text.len() - scaled.len() + ends(scaled));
    }
    let word = unit[..ends(unit)].to_lowercase();
    let word = word.as_str();
    let is_time = TIMES.iter().any(|(words, _)| words.contains(&word));
    let is_known = is_time || word == "m" || OTHER_TIMES.contains(&word);
    (is_known || KNOWN_UNITS.contains(&word)).then_some(at + ends(unit))
}

fn is_scale(word: &str) -> bool {
    let mut all = CELSIUS.iter().chain(&FAHRENHEIT).chain(&OTHER_SCALES);
    all.any(|scale| *scale == word)
}

fn is_like_time(unit: &str) -> bool {
    LIKE_TIMES.iter().any(|like| unit.starts_with(like)) && !UNLIKE_TIMES.contains(&unit)
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
    let scale = scale(unit).to_lowercase();
    if CELSIUS.contains(&scale.as_str()) {
        return Some(number);
    }
    let celsius = (number - 32.0) * 5.0 / 9.0;
    FAHRENHEIT
        .contains(&scale.as_str())
        .then(|| (celsius * 10.0).round() / 10.0)
}

/// What follows the degrees.
fn scale(unit: &str) -> &str {
    DEGREES
        .iter()
        .filter_map(|degrees| unit.strip_prefix(degrees))
        .map(str::trim_start)
        .min_by_key(|rest| rest.len())
        .unwrap_or(unit)
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
            ("2 days", Figure::Time(172_800.0)),
            ("1 d 2 h", Figure::Time(93_600.0)),
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
            ("30 ML", amount(30.0, "ml")),
            ("30mL", amount(30.0, "ml")),
            ("2 L", amount(2.0, "l")),
            ("5 G", amount(5.0, "g")),
            ("5 g/L", amount(5.0, "g/l")),
            ("2 Pumps", amount(2.0, "Pumps")),
            ("3 sprays", amount(3.0, "sprays")),
            ("4 passes", amount(4.0, "passes")),
            ("3 pours", amount(3.0, "pours")),
            ("2 sets", amount(2.0, "sets")),
            ("10 minims", amount(10.0, "minims")),
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
            ("140 ms", Fault::OtherTime),
            ("2 Weeks", Fault::OtherTime),
            ("140 seks", Fault::LikeTime),
            ("140 Sekunden", Fault::LikeTime),
            ("2 minuets", Fault::LikeTime),
            ("300 K", Fault::OtherScale),
            ("300 °K", Fault::OtherScale),
            ("300 kelvin", Fault::OtherScale),
            ("300 degrees kelvin", Fault::OtherScale),
        ] {
            assert_eq!(read(text), Err(fault), "{text}");
        }
    }

    #[test]
    fn a_figure_among_words_is_seen_and_a_number_in_a_name_is_not_taken_for_one() {
        for (words, figure) in [
            ("attack 140 s", "140 s"),
            ("attack 140 s rocked", "140 s"),
            ("2 min rinse", "2 min"),
            ("attack 2:20", "2:20"),
            ("rinse at 21 C", "21 C"),
            ("at 21 degrees Celsius or so", "21 degrees Celsius"),
            ("at 21° c", "21° c"),
            ("at 300 K", "300 K"),
            ("pour 30 ml", "30 ml"),
            ("about 30ML", "30ML"),
            ("cut by 5 %", "5 %"),
            ("about 140 s", "140 s"),
            ("~140 s", "140 s"),
            ("ca.140 s", "140 s"),
            ("t=140 s", "140 s"),
            ("for about .5 min", ".5 min"),
            ("for about 2 min 20 s or so", "2 min 20 s"),
            ("(2min20s)", "2min20s"),
            ("rinsed 2x20 s", "20 s"),
            ("a 140-second soak", "140-second"),
            ("left for 2 days", "2 days"),
            ("left for 2 weeks", "2 weeks"),
            ("flashed for 140 ms", "140 ms"),
            ("about 2 m", "2 m"),
            ("well after 1:02:20.", "1:02:20"),
        ] {
            assert_eq!(among(words).next(), Some(figure), "{words}");
        }
        for words in [
            "attack",
            "2nd pour",
            "coat 2",
            "wash 2 hot",
            "bath 3b",
            "with 3 sprays",
            "tilted by 5 degrees",
            "paper A4 s",
            "one part in 3:1",
            "1:2:3:4",
            "the 1.2.3 s",
            "half a minute",
            "5 degas",
        ] {
            assert_eq!(among(words).next(), None, "{words}");
        }
    }
}
