//! What is read of recipes, what is refused, and that what is written is read back.

use super::figure::among;
use super::*;
use crate::error::{Fault, Unread};

/// The rows of a table: what comes of it, then the texts it comes of.
fn rows(table: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    let rows = table.lines().map(|row| row.split_once("<- ").unwrap());
    rows.flat_map(|(of, texts)| texts.split(" | ").map(move |text| (of.trim(), text.trim())))
}

#[track_caller]
fn step(text: &str) -> RecipeStep {
    text.parse().unwrap_or_else(|why| panic!("{text}: {why}"))
}

fn recipe(steps: Vec<RecipeStep>) -> Recipe {
    Recipe {
        written_at: "2026-01-02T03:04:05Z".to_owned(),
        steps,
        ..Recipe::default()
    }
}

#[test]
fn figures_are_read_as_a_studio_writes_them() {
    // 70 °F is 21.1 °C, 212 °F 100 °C and -40 the same in both: the scale's definition, ISO 80000-5.
    let table = "\
        140 s <- 140s | 140 s | 140 Seconds | 140-second | 2 min 20 s | 2min20s | 2:20
        3740 s <- 1:02:20
        7.5 s <- 0:07.5
        90 min <- 1.5 h | 1 h 30 min
        30 s <- .5 min
        2 days <- 2 days
        1560 min <- 1 d 2 h
        21 °C <- 21 C | 21C | 21 °C | 21° c | 21 degrees celsius
        21.1 °C <- 70F | 70 Degrees F
        100 °C <- 212 °F
        -40 °C <- -40 F
        -5 °C <- \u{2212}5 C
        30 ml <- 30 ml | 30ml | 30 ML | 30mL
        2.5 g/l <- 2.5 g/l | 2.5 g/L
        5 % <- 5 %
        3 Tropfen <- 3 Tropfen
        2 Pumps <- 2 Pumps
        2 sets <- 2 sets
        10 minims <- 10 minims
        rocked <- Rocked
        π, - slowly <- π, - slowly";
    for (read, text) in rows(table) {
        assert_eq!(
            step(&format!("pour, {text}")).line(),
            format!("pour, {read}")
        );
    }
}

#[test]
fn what_could_be_two_things_is_refused() {
    let table = "\
        has no unit <- 140 | 1.5
        may be minutes or metres <- 2 m
        degrees of which scale <- 21° | 21 degrees
        is no time, amount or temperature <- 2nd | 2 thin coats | 2:75 | 2:2 | 1:2:3:4 | 20 s 2 min
        is no time, amount or temperature <- 2 s 20 s | -5 s | -5 ml | 2 min -5 s | 1e9 s | 1.2.3 s
        is no time, amount or temperature <- 30 ml 5 | 1/2 l | 5° s | amount -3 ml
        a time in a unit that is not known here <- 140 ms | 2 Weeks
        most likely one of time <- 140 seks | 140 Sekunden | 2 minuets
        a scale that is not known here <- 300 K | 300 °K | 300 kelvin | 300 degrees kelvin";
    for (fault, text) in rows(table) {
        let refused = format!("pour, {text}").parse::<RecipeStep>().unwrap_err();
        assert!(refused.to_string().contains(fault), "{refused}");
    }
}

#[test]
fn a_figure_among_words_is_seen_and_a_number_in_a_name_is_not_taken_for_one() {
    let table = "\
        140 s <- attack 140 s | attack 140 s rocked | about 140 s | ~140 s | ca.140 s | t=140 s
        140-second <- a 140-second soak
        2 min <- 2 min rinse
        2:20 <- attack 2:20
        1:02:20 <- well after 1:02:20.
        .5 min <- for about .5 min
        2 min 20 s <- for about 2 min 20 s or so
        2min20s <- (2min20s)
        20 s <- rinsed 2x20 s
        21 C <- rinse at 21 C
        21 degrees Celsius <- at 21 degrees Celsius or so
        21° c <- at 21° c
        300 K <- at 300 K
        30ML <- about 30ML
        5 % <- cut by 5 %
        2 weeks <- left for 2 weeks
        2 m <- about 2 m
         <- attack | 2nd pour | coat 2 | wash 2 hot | bath 3b | with 3 sprays | tilted by 5 degrees
         <- paper A4 s | one part in 3:1 | 1:2:3:4 | the 1.2.3 s | half a minute | 5 degas";
    for (figure, words) in rows(table) {
        assert_eq!(among(words).next().unwrap_or_default(), figure, "{words}");
    }
}

fn attack() -> RecipeStep {
    RecipeStep {
        step: "attack".to_owned(),
        seconds: Some(140.0),
        amount: Some(30.0),
        unit: "ml".to_owned(),
        temperature_c: Some(21.0),
        motion: Some(Motion::Rocked),
        dried: "with warm air".to_owned(),
        note: String::new(),
    }
}

#[test]
fn parts_are_read_in_any_order() {
    for text in [
        "attack, 140 s, 30 ml, 21 C, rocked, dried with warm air",
        "step: attack, dried with warm air, Rocked, 21 °C, 30ml, 2:20",
        " attack ,2 min 20 s,\n30 ml,  21C , rocked, Dried:  with warm air,",
    ] {
        assert_eq!(step(text), attack(), "{text}");
    }
    assert_eq!(step("still, 5 s").step, "still");
    assert_eq!(step("2nd pour, still").motion, Some(Motion::Still));
    assert_eq!(step("pour, amount 2 thin coats").unit, "thin coats");
    for (text, dried) in [
        ("pour, dried", "dried"),
        ("pour, dried 2 min at 40 C", "2 min at 40 C"),
    ] {
        assert_eq!(step(text).dried, dried);
    }
    for (text, note) in [
        (
            "pour, from the left, 30 ml, slowly",
            "from the left, slowly",
        ),
        ("pour, note: 30 ml, then 40 ml", "30 ml, then 40 ml"),
        ("pour, note: about 140 s", "about 140 s"),
        ("pour, driedup", "driedup"),
        ("pour, diluted 1:10", "diluted 1:10"),
        ("pour, with 3 sprays", "with 3 sprays"),
    ] {
        assert_eq!(step(text).note, note);
    }
}

#[test]
fn what_cannot_be_read_is_told_with_what_was_read_before_it() {
    use Fault::{Again, NoComma, NoFigure, NoUnit, NoWord};
    for (read, part, fault) in [
        ("", "140 s, attack", NoWord),
        ("", "30 ml", NoWord),
        ("", ", 140 s", NoWord),
        ("", "", NoWord),
        ("", "attack 140 s rocked", NoComma),
        ("", "60 C bath", NoComma),
        ("attack", "140", NoUnit),
        ("attack", "amount -3 ml", NoFigure),
        ("attack, 140 s", "2 m", Fault::MinutesOrMetres),
        ("attack, 140 s", "2:20", Again("a time")),
        ("attack, 30 ml", "5 g", Again("an amount")),
        ("attack, rocked", "still", Again("rocked or still")),
        ("attack, 21 °C", "70 F", Again("a temperature")),
        (
            "attack, dried by hand",
            "dried by air",
            Again("how it was dried"),
        ),
    ] {
        let text = format!("{read}, {part}");
        let text = if read.is_empty() { part } else { &text };
        let expected = Unread::Part {
            part: part.split(',').next().unwrap().to_owned(),
            fault,
            read: read.to_owned(),
        };
        assert_eq!(text.parse::<RecipeStep>(), Err(expected), "{text}");
    }
}

#[test]
fn a_figure_does_not_go_by_among_words() {
    for (part, figure) in [
        ("ca. 140 s", "140 s"),
        ("a 140-second soak", "140 second"),
        ("amount about 30 ml", "30 ml"),
        ("diluted 1:10 for 140 s", "140 s"),
        ("rocked for 140 s", "140 s"),
    ] {
        let fault = Fault::Among {
            figure: figure.to_owned(),
            part: part.to_owned(),
        };
        let refused = Unread::Part {
            part: part.to_owned(),
            fault,
            read: "attack, rocked".to_owned(),
        };
        assert!(refused.to_string().contains(&format!("`note: {part}`")));
        let read = format!("attack, rocked, {part}").parse::<RecipeStep>();
        assert_eq!(read, Err(refused), "{part}");
    }
}

#[test]
fn what_is_written_is_read_back_the_same() {
    let of = |text: &str| step(text).line();
    assert_eq!(
        attack().line(),
        "attack, 140 s, 30 ml, 21 °C, rocked, dried with warm air"
    );
    assert_eq!(of("bake, 1 h"), "bake, 60 min");
    assert_eq!(of("age, 2 days"), "age, 2 days");
    // Read by an earlier version, which took every unit for one of amount and every part for a note.
    let earlier = RecipeStep {
        amount: Some(300.0),
        unit: "K".to_owned(),
        dried: "for 2 min".to_owned(),
        note: "about 140 s".to_owned(),
        ..step("warm")
    };
    let line = "warm, amount 300 K, dried for 2 min, note: about 140 s";
    assert_eq!(earlier.line(), line);
    assert_eq!(step(line), earlier);
    for text in [
        "attack, 140.1 s, 0.1 ml, 70 F, still, dried, and <b>more</b> \"so\"; DROP TABLE recipe",
        "attack, 90 s, note: 30 ml, rocked, dried by hand, 2nd, note: 5",
        "pour, amount 30",
        "pour, amount 140 seks, 2:20, dried: 2 min",
        "pour, amount 2 thin coats, amount of care, by the window",
        "pour, 0.000001 s, 100000000 g",
        "銀, 5 g, 🪞, e\u{301}",
    ] {
        let once = step(text);
        assert_eq!(step(&once.line()), once, "{text}: {}", once.line());
    }
}

#[test]
fn a_text_is_read_and_written_back_and_a_line_that_is_none_is_told_by_its_number() {
    let text = "\u{feff}# mine\r\n\r\nTechnique:  poured: still  \r\n step: attack, 140 s\r\nstep: rinse\r\nbacking: # 2 black\r\nchange: less\r\n";
    let recipe = Recipe::from_text(text).unwrap();
    let lines = recipe.lines();
    assert_eq!(
        lines.join("\n"),
        "technique: poured: still\nstep: attack, 140 s\nstep: rinse\nbacking: # 2 black\nchange: less"
    );
    assert_eq!(Recipe::from_text(&lines.join("\n")).unwrap(), recipe);
    assert!(Recipe::from_text("# nothing\n\n").unwrap().is_empty());
    for (text, line) in [
        ("technique: a\ncolour: b", 2),
        ("no colon here", 1),
        ("\n\nstep: 140 s", 3),
        ("backing: a\nbacking: b", 2),
        ("step:", 1),
    ] {
        assert_eq!(Recipe::from_text(text).unwrap_err().line, line, "{text}");
    }
}

#[test]
fn settings_are_named_by_their_steps_and_no_two_share_a_name() {
    let steps = [
        " Attack , 140 s, 30 ml, 21 C",
        "attack, 60 s",
        "attack 2, 5 s",
        "rinse",
    ];
    let settings = recipe(steps.map(step).into()).settings();
    let said = settings
        .iter()
        .map(|(name, figure, unit)| format!("{name} {figure} {unit}"));
    let expected = [
        "attack seconds 140 s",
        "attack amount 30 ml",
        "attack temperature 21 °C",
        "attack 2 seconds 60 s",
        "attack 2 2 seconds 5 s",
    ];
    assert_eq!(said.collect::<Vec<_>>(), expected);
}

#[test]
fn what_cannot_be_is_refused_and_what_can_is_not() {
    let with = |text: &str| recipe(vec![step(text)]);
    let saying = |technique: String| Recipe {
        technique,
        ..with("attack, 140 s")
    };
    saying("é".repeat(LONGEST_TEXT)).check().unwrap();
    let timed = |seconds| RecipeStep {
        seconds: Some(seconds),
        ..step("a")
    };
    let nameless = RecipeStep::default();
    let undated = Recipe {
        written_at: "then".to_owned(),
        ..with("a")
    };
    let bad = [
        saying("é".repeat(LONGEST_TEXT + 1)),
        saying("one\ntwo".to_owned()),
        undated,
        recipe(vec![nameless]),
        recipe(vec![timed(-1.0)]),
        recipe(vec![timed(f64::NAN)]),
        recipe(vec![timed(f64::INFINITY)]),
        with("a, 9000 C"),
        recipe(vec![step("a"); MOST_STEPS + 1]),
    ];
    for one in bad {
        let refused = one.check();
        assert!(matches!(refused, Err(Error::RecipeUnfit { .. })), "{one:?}");
    }
}
