//! What charts show, in words: for those who cannot see them, and beside those whose point is said nowhere else.

use crate::compare::lie::{Lie, Spot};

/// Where silver is gone, in a sentence.
#[must_use]
pub fn lie(found: Lie) -> String {
    let (most, least) = match found {
        Lie::Hardly => return "Hardly any silver is gone.".to_owned(),
        Lie::Evenly {
            more_along_edges: None,
        } => {
            return "Silver is gone about evenly: no third of the panel has plainly lost more than another.".to_owned();
        }
        Lie::Evenly {
            more_along_edges: Some(more),
        } => {
            let more = if more { "More" } else { "Less" };
            return format!(
                "{more} silver is gone along the edges than inside them; otherwise it is gone about evenly."
            );
        }
        Lie::Unevenly { most, least } => (spot(most), spot(least)),
    };
    match (most, least) {
        (Some(most), Some(least)) => format!("Most silver is gone {most}, least {least}."),
        (Some(most), None) => format!("Most silver is gone {most}."),
        (None, Some(least)) => format!("Least silver is gone {least}."),
        (None, None) => lie(Lie::Evenly {
            more_along_edges: None,
        }),
    }
}

fn spot([down, across]: Spot) -> Option<&'static str> {
    use crate::compare::lie::Third::{First, Last, Middle};
    Some(match (down, across) {
        (None, None) => return None,
        (Some(First), None) => "at the top",
        (Some(Middle), None) => "across the middle",
        (Some(Last), None) => "at the bottom",
        (None, Some(First)) => "at the left",
        (None, Some(Middle)) => "down the middle",
        (None, Some(Last)) => "at the right",
        (Some(First), Some(First)) => "in the upper left",
        (Some(First), Some(Middle)) => "in the middle of the top",
        (Some(First), Some(Last)) => "in the upper right",
        (Some(Middle), Some(First)) => "in the middle of the left side",
        (Some(Middle), Some(Middle)) => "in the middle",
        (Some(Middle), Some(Last)) => "in the middle of the right side",
        (Some(Last), Some(First)) => "in the lower left",
        (Some(Last), Some(Middle)) => "in the middle of the bottom",
        (Some(Last), Some(Last)) => "in the lower right",
    })
}

/// Between which silver levels most of the area lies.
#[must_use]
pub fn levels((low, high): (f64, f64)) -> String {
    format!("Most of the area, two thirds of it, lies between {low:.2} and {high:.2}.")
}

/// The same of a sample beside it.
#[must_use]
pub fn levels_of_sample((low, high): (f64, f64)) -> String {
    format!("Most of the sample's lies between {low:.2} and {high:.2}.")
}

/// Between which widths most specks are, mm; `None` of none.
#[must_use]
pub fn sizes(most: Option<(f64, f64)>) -> String {
    most.map_or_else(
        || "No specks are counted.".to_owned(),
        |(from, to)| {
            format!("Most specks, two thirds of them, are {from:.1} to {to:.1} mm across.")
        },
    )
}

/// Which way the streaks run.
#[must_use]
pub fn rose(deg: Option<f64>) -> String {
    deg.map_or_else(
        || "No direction stands out.".to_owned(),
        |deg| format!("The streaks run mostly near {deg:.0}°, counted from the bottom edge."),
    )
}

/// Amounts by name.
pub fn amounts<'a>(rows: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let all: Vec<String> = rows
        .map(|(name, amount)| format!("{name}: {amount}"))
        .collect();
    format!("{}.", all.join("; "))
}

/// Panels by number with their figures, those that stand apart said to, and their mean.
pub fn run(panels: impl Iterator<Item = (usize, String, bool)>, mean: &str) -> String {
    let one = |(number, figure, odd): (usize, String, bool)| {
        let apart = if odd { ", which stands apart" } else { "" };
        format!("panel {number} {figure}{apart}")
    };
    let all: Vec<String> = panels.map(one).collect();
    format!("Mean {mean}; {}.", all.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_named_as_far_as_it_is_known() {
        use crate::compare::lie::Third::{First, Last, Middle};
        let uneven = |most: Spot, least: Spot| lie(Lie::Unevenly { most, least });
        for (most, least, said) in [
            (
                [Some(Last), Some(First)],
                [Some(First), None],
                "Most silver is gone in the lower left, least at the top.",
            ),
            (
                [None, Some(Last)],
                [None, None],
                "Most silver is gone at the right.",
            ),
            (
                [None, None],
                [Some(Middle); 2],
                "Least silver is gone in the middle.",
            ),
        ] {
            assert_eq!(uneven(most, least), said);
        }
        assert_eq!(
            uneven([None; 2], [None; 2]),
            lie(Lie::Evenly {
                more_along_edges: None,
            })
        );
    }
}
