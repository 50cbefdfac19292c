//! The short cautions that stand beside advice which can lead to harm. The program ships no recipe and certifies
//! nothing: the supplier's safety sheet, local codes and licensed practice decide.

/// Work that advice may lead to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Work {
    /// Taking a little more silver off.
    GoFurther,
    /// Taking all silver off and silvering again.
    StripAndSilver,
    /// Taking backing paint off.
    StripPaint,
    /// Looking after the mix.
    Mix,
    /// Hanging panels.
    Hang,
}

/// The cautions beside a piece of work.
#[must_use]
pub fn beside(work: Work) -> &'static [&'static str] {
    match work {
        Work::GoFurther => &[ATTACK, WASTE],
        Work::StripAndSilver => &[SILVERING, ATTACK, SOLVENTS, OLD_MIRRORS, WASTE],
        Work::StripPaint => &[SOLVENTS, ATTACK, WASTE],
        Work::Mix => &[SILVERING, ATTACK, WASTE],
        Work::Hang => &[GLAZING],
    }
}

/// The cautions beside several pieces of work, each once.
#[must_use]
pub fn of_all(works: &[Work]) -> Vec<&'static str> {
    let mut all = Vec::new();
    for caution in works.iter().flat_map(|w| beside(*w)) {
        if !all.contains(caution) {
            all.push(*caution);
        }
    }
    all
}

/// The danger that a caution warns of, in a few words.
#[must_use]
pub fn danger(caution: &str) -> &str {
    const NAMED: [(&str, &str); 6] = [
        (SILVERING, "silver mix that can turn explosive"),
        (ATTACK, "acids, caustics and bleach"),
        (SOLVENTS, "solvents"),
        (OLD_MIRRORS, "mercury in old mirrors"),
        (GLAZING, "heavy glass, and where it will hang"),
        (WASTE, "silver waste and cut glass"),
    ];
    let named = NAMED.iter().find(|(all, _)| *all == caution);
    named.map_or(caution, |(_, danger)| danger)
}

/// Cautions that were told in full before, by their dangers; nothing where there are none.
#[must_use]
pub fn in_one_line(cautions: &[&str]) -> Option<String> {
    let dangers: Vec<&str> = cautions.iter().map(|caution| danger(caution)).collect();
    (!dangers.is_empty()).then(|| {
        format!(
            "  Caution: {}. Told in full today, and on the sheet (--page).",
            dangers.join("; ")
        )
    })
}

const SILVERING: &str = "Mixed ammoniacal silver: use it at once, never store it, never let it dry; it can form explosive solids.";
const ATTACK: &str = "Acids, caustics, tin salts, bleach: gloves, goggles, moving air, the supplier's safety sheet; never bleach with acid or ammonia.";
const SOLVENTS: &str =
    "Solvents: gloves, goggles, moving air, no flame, the supplier's safety sheet.";
const OLD_MIRRORS: &str = "Old mirrors may hold mercury: photograph them, do not strip them.";
const GLAZING: &str = "Glass is heavy and cuts. Where a panel will hang may call for safety glazing or backing: local codes and licensed practice decide.";
const WASTE: &str = "Collect silver waste. Handle cut glass and heavy sheets with care.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_hurts_stands_without_a_caution() {
        for work in [
            Work::GoFurther,
            Work::StripAndSilver,
            Work::StripPaint,
            Work::Mix,
        ] {
            assert!(beside(work).contains(&WASTE));
        }
        assert!(beside(Work::StripAndSilver).contains(&SILVERING));
    }

    #[test]
    fn every_caution_names_its_danger_shorter() {
        let all = [Work::StripAndSilver, Work::Mix, Work::Hang];
        for caution in of_all(&all) {
            assert!(danger(caution).len() < caution.len() / 2, "{caution}");
        }
    }
}
