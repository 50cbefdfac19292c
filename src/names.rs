//! Names as people type them: what counts as the same name, and which names are near one that was mistyped.

/// A name as it is looked up: in lower case, with one space where gaps, hyphens and underscores stand. A comma joins nothing.
#[must_use]
pub fn folded(typed: &str) -> String {
    let apart = |c: char| c.is_whitespace() || matches!(c, '-' | '_' | ',');
    let words = typed.split(apart).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Most names that are offered: more would be a list to read.
const MOST_OFFERED: usize = 3;

/// Letters of a name for one that may be wrong: a slip a word, and two in a long name.
const LETTERS_A_SLIP: usize = 3;

/// A part of a name is known again from so many letters on.
const LEAST_PART: usize = 3;

/// The known names that whoever typed this may have meant, the nearest first: names that differ by a few letters (Damerau's
/// distance: one wrong, missing, added or swapped), and names of which a part was typed.
#[must_use]
pub fn near_names<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let typed = folded(typed);
    let length = typed.chars().count();
    let near = |name: &'a str| {
        let other = folded(name);
        let slips = strsim::damerau_levenshtein(&typed, &other);
        let may = length.min(other.chars().count()).div_ceil(LETTERS_A_SLIP);
        let part = length >= LEAST_PART && other.contains(&typed);
        // What was typed on its way to a longer name comes after a slip.
        let far = if part { slips.min(may + 1) } else { slips };
        (part || (slips <= may && slips < length)).then_some((far, name))
    };
    let mut all: Vec<(usize, &str)> = known.into_iter().filter_map(near).collect();
    all.sort_unstable();
    all.dedup();
    all.truncate(MOST_OFFERED);
    all.into_iter().map(|(_, name)| name.to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_gaps_hyphens_and_underscores_make_no_other_name() {
        for typed in [
            "Silver Left",
            "silver_left",
            " SILVER-left ",
            "silver  left",
        ] {
            assert_eq!(folded(typed), "silver left");
        }
        assert_eq!(folded("tone, pink to green"), folded("tone pink to green"));
    }

    #[test]
    fn a_slip_is_near_and_another_name_is_not() {
        let known = ["alcove", "alcove two", "landing", "hall"];
        let near = |typed: &str| near_names(typed, known);
        assert_eq!(near("alcvoe")[0], "alcove");
        assert_eq!(near("ALCOVE")[0], "alcove");
        assert_eq!(near("lading"), ["landing"]);
        assert_eq!(near("two"), ["alcove two"]);
        assert!(near("stairs").is_empty());
        assert!(near("x").is_empty() && near("").is_empty());
    }
}
