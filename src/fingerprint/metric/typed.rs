//! Measures and their figures as people type them: by the key, or by the title that tables and sheets give them.

use super::{LOOK, METRICS, Metric, Rule};
use crate::error::{Error, Result};
use crate::names::{folded, near_names};
use crate::units::{length_mm, share_typed};

impl Metric {
    /// The row is called so, by its key or by its title, with its unit or without, whatever the capitals and the gaps.
    fn is_called(&self, name: &str) -> bool {
        let with_unit = folded(&format!("{} {}", self.title, self.unit));
        [folded(self.key), folded(self.title), with_unit].contains(&folded(name))
    }

    /// It is a share of one, which people write in per cent as well.
    fn is_share(&self) -> bool {
        self.unit.is_empty() && self.rule == Rule::Difference && self.range.1 <= 1.0
    }

    /// What a figure of it may look like, in words.
    fn form(&self) -> String {
        match self.unit {
            _ if self.is_share() => "a share such as 4 % or 0.04".to_owned(),
            "mm" => "a length such as 0.6 mm or 1/32 in".to_owned(),
            "" => "a figure".to_owned(),
            unit => format!("a figure in {unit}"),
        }
    }

    /// What an allowance of it may look like, in words.
    fn form_of_allowance(&self) -> String {
        match self.rule {
            Rule::Ratio => "a share of the sample's own such as 30 % or 0.3".to_owned(),
            Rule::Difference if self.is_share() || self.unit == "mm" => self.form(),
            Rule::Difference => "a figure over 0".to_owned(),
            Rule::Axial | Rule::Circular => "degrees such as 10".to_owned(),
        }
    }

    /// A figure of one panel as it is typed: `82 %` or `0.82`, `0.6 mm`, `1/32 in`, or a figure in its own unit.
    ///
    /// # Errors
    /// It is no such figure.
    pub fn figure_typed(&self, text: &str) -> Result<f64> {
        let read = if self.is_share() {
            share_typed(text)
        } else {
            self.in_its_unit(text)
        };
        read.ok_or_else(|| self.unfit(text, self.form()))
    }

    /// How far it may differ, as it is typed: `4 %` or `0.04`, and of what is set in proportion a share.
    ///
    /// # Errors
    /// It is no such figure, or it is not over 0.
    pub fn allowance_typed(&self, text: &str) -> Result<f64> {
        let read = if self.is_share() {
            share_typed(text).filter(|part| *part <= self.range.1 - self.range.0)
        } else if self.rule == Rule::Ratio {
            share_typed(text)
        } else {
            self.in_its_unit(text)
        };
        let read = read.filter(|figure| *figure > 0.0);
        read.ok_or_else(|| self.unfit(text, self.form_of_allowance()))
    }

    fn in_its_unit(&self, text: &str) -> Option<f64> {
        let of_length = (self.unit == "mm").then(|| length_mm(text)).flatten();
        let bare = text.trim();
        let bare = bare.strip_suffix(self.unit).unwrap_or(bare);
        of_length.or_else(|| number(bare))
    }

    fn unfit(&self, given: &str, expected: String) -> Error {
        Error::FigureUnfit {
            given: given.to_owned(),
            of: self.title,
            expected,
        }
    }
}

fn number(text: &str) -> Option<f64> {
    text.trim().parse().ok().filter(|n: &f64| n.is_finite())
}

/// The row of a measure of which every panel has a figure, as it is typed.
///
/// # Errors
/// No measure is called so.
pub fn measure_typed(typed: &str) -> Result<&'static Metric> {
    called(typed, Metric::is_figure)
}

/// The row of a measure that the studio may set an allowance of its own for: a figure, or the look as a whole.
///
/// # Errors
/// No such measure is called so.
pub fn allowed_typed(typed: &str) -> Result<&'static Metric> {
    called(typed, |row| row.is_figure() || *row == LOOK)
}

fn called(typed: &str, may_be: impl Fn(&Metric) -> bool) -> Result<&'static Metric> {
    let rows = || METRICS.iter().filter(|row| may_be(row));
    let found = rows().find(|row| row.is_called(typed));
    found.ok_or_else(|| Error::NoSuchMeasure {
        given: typed.to_owned(),
        near: near_names(typed, rows().flat_map(|row| [row.title, row.key])),
        known: rows().map(|row| row.title).collect::<Vec<_>>().join("; "),
    })
}

#[cfg(test)]
mod tests {
    use super::super::{
        AGGRESSIVENESS, COVERAGE, DARK_FRACTION, SPECKLE_DENSITY, SPECKLE_DIAMETER_MEDIAN, TONE_A,
    };
    use super::*;

    #[test]
    fn no_two_rows_are_called_the_same() {
        for row in &METRICS {
            for name in [row.key, row.title] {
                let called = METRICS.iter().filter(|other| other.is_called(name));
                assert_eq!(called.count(), 1, "{name}");
            }
        }
    }

    #[test]
    fn a_measure_goes_by_its_key_and_by_its_title() {
        for (typed, row) in [
            ("coverage", &COVERAGE),
            ("Silver Left", &COVERAGE),
            ("silver-left", &COVERAGE),
            ("DARK_FRACTION", &DARK_FRACTION),
            (" dark  area ", &DARK_FRACTION),
            ("tone, pink to green", &TONE_A),
            ("Speckles per cm²", &SPECKLE_DENSITY),
        ] {
            assert!(measure_typed(typed).unwrap() == row, "{typed}");
        }
        assert!(measure_typed("look").is_err() && allowed_typed("look").is_ok());
    }

    #[test]
    fn a_name_that_is_none_offers_the_near_ones() {
        let Err(Error::NoSuchMeasure { near, .. }) = measure_typed("silver lfet") else {
            panic!("it was taken");
        };
        assert_eq!(near, ["silver left"]);
    }

    #[test]
    fn shares_are_read_in_per_cent_and_lengths_in_their_units() {
        for (row, typed, figure) in [
            (&COVERAGE, "4 %", 0.04),
            (&COVERAGE, "4%", 0.04),
            (&COVERAGE, "0.04", 0.04),
            (&SPECKLE_DIAMETER_MEDIAN, "0.6 mm", 0.6),
            (&SPECKLE_DIAMETER_MEDIAN, "0.6", 0.6),
            (&SPECKLE_DIAMETER_MEDIAN, "1/8in", 3.175),
            (&SPECKLE_DENSITY, "2 per cm²", 2.0),
            (&AGGRESSIVENESS, "31", 31.0),
            (&TONE_A, "-1.5", -1.5),
        ] {
            let read = row.figure_typed(typed).unwrap();
            assert!((read - figure).abs() < 1e-9, "{typed}: {read}");
        }
        assert!(AGGRESSIVENESS.figure_typed("31 %").is_err());
        assert!((SPECKLE_DENSITY.allowance_typed("50 %").unwrap() - 0.5).abs() < 1e-9);
        for typed in ["4", "0", "-1 %", "nan", "much"] {
            let refused = COVERAGE.allowance_typed(typed).unwrap_err().to_string();
            assert!(refused.contains("4 % or 0.04"), "{refused}");
        }
    }
}
