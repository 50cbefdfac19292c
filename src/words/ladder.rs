//! What is said of a panel on a ladder.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places on a ladder are small and positive"
)]

use crate::compare::ladder::{Beyond, Standing, met};

/// Where a panel stands, and which step it looks most like where that is another.
#[must_use]
pub fn standing(s: &Standing, steps: &[&str]) -> String {
    let worn = worn(s, steps);
    let beside = [s.place.value.floor(), s.place.value.ceil()];
    match s.looks_like {
        Some(step) if !beside.contains(&(step as f64)) => match steps.get(step - 1) {
            Some(name) => format!("{worn} Its look is more that of `{name}`."),
            None => worn,
        },
        _ => worn,
    }
}

/// Where its wear puts it, in one sentence or two.
fn worn(s: &Standing, steps: &[&str]) -> String {
    let (first, last) = (steps.first().unwrap_or(&""), steps.last().unwrap_or(&""));
    match s.beyond {
        Some(Beyond::Lighter) => return format!("Lighter than `{first}`, the lightest step."),
        Some(Beyond::Heavier) => return format!("Heavier than `{last}`, the heaviest step."),
        None => {}
    }
    let place = s.place;
    let (below, above) = between(place.value, steps);
    let sentence = match at_step(place.value, steps) {
        Some(step) => format!("It stands at `{step}`."),
        None => format!(
            "Between `{below}` and `{above}`, {} of the way.",
            share(place.value.fract())
        ),
    };
    let met = |at: f64| met(at).map(|step| step as f64);
    let low = met(place.low).unwrap_or(place.low.floor());
    let high = met(place.high).unwrap_or(place.high.ceil());
    let doubt = if high - low > 1.0 {
        let name = |at: f64| steps.get(at as usize - 1).copied().unwrap_or_default();
        format!(
            " It may be anywhere from `{}` to `{}`.",
            name(low),
            name(high)
        )
    } else {
        let part = |at: f64| share((at - low).clamp(0.0, 1.0));
        match (part(place.low), part(place.high)) {
            (from, to) if from == to || met(place.value).is_some() => String::new(),
            (from, to) => format!(" It may be {from} of the way, or {to}."),
        }
    };
    sentence + &doubt
}

fn at_step<'a>(place: f64, steps: &[&'a str]) -> Option<&'a str> {
    steps.get(met(place)? - 1).copied()
}

fn between<'a>(place: f64, steps: &[&'a str]) -> (&'a str, &'a str) {
    let below = (place.floor() as usize).clamp(1, steps.len().saturating_sub(1).max(1));
    let name = |i: usize| steps.get(i).copied().unwrap_or_default();
    (name(below - 1), name(below))
}

fn share(part: f64) -> &'static str {
    match part {
        p if p < 0.2 => "a little",
        p if p < 0.29 => "a quarter",
        p if p < 0.42 => "a third",
        p if p < 0.58 => "half",
        p if p < 0.71 => "two thirds",
        p if p < 0.8 => "three quarters",
        _ => "nearly all",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Estimate;

    fn said_of(value: f64, low: f64, high: f64) -> String {
        let place = Estimate { value, low, high };
        let standing = Standing {
            place,
            panel: place,
            steps: Vec::new(),
            beyond: None,
            looks_like: None,
        };
        super::standing(&standing, &["light", "middle", "heavy"])
    }

    #[test]
    fn a_place_is_said_in_the_studios_own_steps() {
        let between = "Between `middle` and `heavy`, a third of the way.";
        assert_eq!(said_of(2.3, 2.29, 2.35), between);
        assert_eq!(
            said_of(2.3, 2.1, 2.5),
            format!("{between} It may be a little of the way, or half.")
        );
        assert_eq!(
            said_of(2.3, 1.8, 2.5),
            format!("{between} It may be anywhere from `light` to `heavy`.")
        );
        assert_eq!(said_of(3.0, 2.95, 3.0), "It stands at `heavy`.");
    }
}
