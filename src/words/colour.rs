//! The colours of silver by the names that people give them.

use crate::compare::Match;
use crate::fingerprint::metric::PATINA_HUE;

/// The name of a hue, degrees in CIELAB (h_ab). Where brown passes into gold is a matter of taste; these are the hues of the
/// colours that go by those names on screens (SVG 1.1: sienna 51, saddlebrown 57, gold 91, green 136, cornflowerblue 281).
#[must_use]
pub fn hue(degrees: f64) -> &'static str {
    const UP_TO: [(f64, &str); 10] = [
        (25.0, "pink"),
        (54.0, "copper"),
        (78.0, "brown"),
        (105.0, "gold"),
        (125.0, "greenish gold"),
        (200.0, "green"),
        (240.0, "blue-green"),
        (300.0, "blue"),
        (345.0, "violet"),
        (360.0, "pink"),
    ];
    let named = UP_TO.iter().find(|(end, _)| degrees < *end);
    named.map_or("pink", |(_, name)| name)
}

/// Colour that gathers about the dark places, more or less of it than on the sample, by the name of the patina that has more.
pub(super) fn halo(m: &Match, more: bool) -> String {
    let row = m.measure(&PATINA_HUE);
    let named = row.and_then(|r| if more { r.panel.ok() } else { r.sample.ok() });
    let colour = named.map_or("colour", |e| hue(e.value));
    let how = if more { "more" } else { "less" };
    format!("{how} {colour} about the dark places")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ops::transfer::{lab, srgb_decode};

    #[test]
    fn colours_go_by_the_names_they_have_on_screens() {
        // SVG 1.1, section 4.4.
        for (rgb, name) in [
            ([160, 82, 45], "copper"),
            ([139, 69, 19], "brown"),
            ([255, 215, 0], "gold"),
            ([0, 128, 0], "green"),
            ([100, 149, 237], "blue"),
            ([255, 182, 193], "pink"),
        ] {
            let [_, a, b] = lab(rgb.map(|code| srgb_decode(f64::from(code) / 255.0)));
            let found = hue(b.atan2(a).to_degrees().rem_euclid(360.0));
            assert_eq!(found, name, "{rgb:?}");
        }
    }
}
