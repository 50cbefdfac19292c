//! Lengths and sizes as they are typed: `40x30cm`, `400 x 300 mm`, `15 3/4 x 11 7/8 in`, `1.2x0.8m`.

use std::str::FromStr;

use super::{Metres, MetresError, SizeError, SizeMm};

/// A unit of length that people type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// Millimetres.
    Mm,
    /// Centimetres.
    Cm,
    /// Metres.
    M,
    /// Inches.
    In,
    /// Feet.
    Ft,
}

/// Millimetres in an inch, exactly (international inch, 1959).
const MM_PER_INCH: f64 = 25.4;

/// What each unit is called.
const CALLED: [(&str, LengthUnit); 19] = [
    ("mm", LengthUnit::Mm),
    ("millimetre", LengthUnit::Mm),
    ("millimetres", LengthUnit::Mm),
    ("cm", LengthUnit::Cm),
    ("centimetre", LengthUnit::Cm),
    ("centimetres", LengthUnit::Cm),
    ("m", LengthUnit::M),
    ("metre", LengthUnit::M),
    ("metres", LengthUnit::M),
    ("in", LengthUnit::In),
    ("inch", LengthUnit::In),
    ("inches", LengthUnit::In),
    ("\"", LengthUnit::In),
    ("”", LengthUnit::In),
    ("″", LengthUnit::In),
    ("ft", LengthUnit::Ft),
    ("foot", LengthUnit::Ft),
    ("feet", LengthUnit::Ft),
    ("'", LengthUnit::Ft),
];

impl LengthUnit {
    /// How many millimetres one of it is.
    #[must_use]
    pub fn mm(self) -> f64 {
        match self {
            LengthUnit::Mm => 1.0,
            LengthUnit::Cm => 10.0,
            LengthUnit::M => 1000.0,
            LengthUnit::In => MM_PER_INCH,
            LengthUnit::Ft => 12.0 * MM_PER_INCH,
        }
    }

    /// The unit of a name, whatever its capitals.
    fn called(name: &str) -> Option<LengthUnit> {
        let name = name.trim().trim_end_matches('.').to_lowercase();
        let known = CALLED.iter().find(|(called, _)| *called == name);
        known.map(|(_, unit)| *unit)
    }
}

/// A figure, and the unit behind it where one stands there.
struct Typed {
    figure: f64,
    unit: Option<LengthUnit>,
}

impl Typed {
    /// Reads `40`, `40cm`, `15 3/4 in`.
    fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let in_figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | '+' | '-');
        let end = text.rfind(in_figure).map_or(0, |last| last + 1);
        let (figure, unit) = text.split_at_checked(end)?;
        let unit = match unit.trim() {
            "" => None,
            unit => Some(LengthUnit::called(unit)?),
        };
        Some(Typed {
            figure: with_fraction(figure)?,
            unit,
        })
    }
}

/// Reads `11.5`, `7/8` and `11 7/8`, also as `11-7/8`.
fn with_fraction(text: &str) -> Option<f64> {
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    let Some((above, below)) = text.split_once('/') else {
        return number(text);
    };
    let (whole, above) = match above.trim().rsplit_once([' ', '-']) {
        Some((whole, above)) => (number(whole)?, above),
        None => (0.0, above),
    };
    let part = number(above)? / number(below)?;
    (0.0..1.0).contains(&part).then_some(whole + part)
}

/// Millimetres of a length with its unit, such as `0.6 mm` or `1/4 in`.
#[must_use]
pub fn length_mm(text: &str) -> Option<f64> {
    let typed = Typed::read(text)?;
    Some(typed.figure * typed.unit?.mm())
}

impl SizeMm {
    /// Reads a width and a height, with a unit behind each or behind the last. Where none is typed they are in `usual`.
    ///
    /// # Errors
    /// It is no size; there is no unit, and none is usual, for a guess could be 25 times off; no pane of glass has this size.
    pub fn typed(text: &str, usual: Option<LengthUnit>) -> Result<Self, SizeError> {
        let asked = || SizeError::Form(text.to_owned());
        let (width, height) = text.split_once(['x', 'X', '×', '*']).ok_or_else(asked)?;
        let [width, height] = [width, height].map(|side| Typed::read(side).ok_or_else(asked));
        let (width, height) = (width?, height?);
        let unit = |side: Option<LengthUnit>, other| side.or(other).or(usual);
        let mm = |side: &Typed, other| {
            let unit = unit(side.unit, other).ok_or_else(|| SizeError::NoUnit(text.to_owned()))?;
            Ok(side.figure * unit.mm())
        };
        let size = SizeMm {
            width: mm(&width, height.unit)?,
            height: mm(&height, width.unit)?,
        };
        // 5 mm to 10 m holds every pane a studio can hang and stops a slipped decimal point.
        let possible = 5.0..=10_000.0;
        if possible.contains(&size.width) && possible.contains(&size.height) {
            Ok(size)
        } else {
            Err(SizeError::Impossible(text.to_owned()))
        }
    }
}

/// Reads a size with its unit, as [`SizeMm::typed`] does where no unit is usual.
impl FromStr for SizeMm {
    type Err = SizeError;

    fn from_str(text: &str) -> Result<Self, SizeError> {
        SizeMm::typed(text, None)
    }
}

/// Reads `1.8m`, `1800 mm`, `6ft`, `72in`; one without a unit is refused.
impl FromStr for Metres {
    type Err = MetresError;

    fn from_str(text: &str) -> Result<Self, MetresError> {
        let metres = length_mm(text).map(|mm| mm / 1000.0);
        let metres = metres.filter(|m| (0.2..=100.0).contains(m));
        metres
            .map(Metres)
            .ok_or_else(|| MetresError(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(text: &str) -> [f64; 2] {
        let size: SizeMm = text.parse().unwrap_or_else(|e| panic!("{text}: {e}"));
        [size.width, size.height]
    }

    #[test]
    fn sizes_are_read_as_workshops_write_them() {
        for (text, width, height) in [
            ("600x400mm", 600.0, 400.0),
            ("40x30cm", 400.0, 300.0),
            ("40 X 30 CM", 400.0, 300.0),
            ("400 x 300 mm", 400.0, 300.0),
            ("400mm x 300mm", 400.0, 300.0),
            ("40cm x 300 mm", 400.0, 300.0),
            ("400×300 mm", 400.0, 300.0),
            ("1.2x0.8m", 1200.0, 800.0),
            ("6X6in", 152.4, 152.4),
            ("24\" x 16\"", 609.6, 406.4),
            ("15 3/4 x 11 7/8 in", 400.05, 301.625),
            ("15-3/4 in x 11-7/8 in", 400.05, 301.625),
            ("3/4x1in", 19.05, 25.4),
        ] {
            let found = size(text);
            assert!((found[0] - width).abs() < 1e-9, "{text}: {found:?}");
            assert!((found[1] - height).abs() < 1e-9, "{text}: {found:?}");
        }
    }

    #[test]
    fn a_size_without_a_unit_is_in_the_studios_own_or_refused() {
        let usual = SizeMm::typed("40×30", Some(LengthUnit::Cm)).unwrap();
        assert_eq!((usual.width, usual.height), (400.0, 300.0));
        // What is typed goes before what is usual.
        let typed = SizeMm::typed("400x300mm", Some(LengthUnit::Cm)).unwrap();
        assert!((typed.width - 400.0).abs() < 1e-9);
        let refused = SizeMm::typed("40x30", None).unwrap_err();
        assert!(matches!(refused, SizeError::NoUnit(_)));
        assert!(refused.to_string().contains("40x30cm"), "{refused}");
    }

    #[test]
    fn sizes_that_cannot_be_panels_are_refused() {
        for text in [
            "0x0mm",
            "150x150",
            "150mm",
            "-5x10mm",
            "nanx10mm",
            "1x1mm",
            "infx10mm",
            "x",
            "1/0x1in",
            "9/4x5in",
            "10xmm",
            "10x10xmm",
            "10x10 furlongs",
            "é x é",
            "",
        ] {
            assert!(text.parse::<SizeMm>().is_err(), "{text}");
        }
    }

    #[test]
    fn distances_are_read_with_their_unit_only() {
        for (text, metres) in [
            ("1.8m", 1.8),
            ("1800 mm", 1.8),
            ("180cm", 1.8),
            ("6ft", 1.8288),
            ("6 Feet", 1.8288),
            ("72in", 1.8288),
        ] {
            assert!(
                (text.parse::<Metres>().unwrap().0 - metres).abs() < 1e-9,
                "{text}"
            );
        }
        for text in ["1.8", "m", "0m", "1km", "nanm"] {
            assert!(text.parse::<Metres>().is_err(), "{text}");
        }
    }
}
