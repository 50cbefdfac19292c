//! Recipes stay: written again they are added to, damaged they are told of, and they leave and come back with their finish.

use paneprint::Error;
use paneprint::archive::exchange::folder_name;
use paneprint::archive::{Archive, Motion, Problem, Recipe, RecipeStep, verify};

use super::{ARCHIVE, keep_tiny};
use crate::bench::Bench;

fn recipe(written_at: &str, technique: &str) -> Recipe {
    let attack = RecipeStep {
        step: "attack".to_owned(),
        seconds: Some(140.1),
        amount: Some(30.0),
        unit: "ml".to_owned(),
        temperature_c: Some(21.0),
        motion: Some(Motion::Rocked),
        dried: "with warm air".to_owned(),
        note: "<b>'; DROP TABLE recipe; --</b> 🪞".to_owned(),
    };
    Recipe {
        written_at: written_at.to_owned(),
        technique: technique.to_owned(),
        steps: vec![attack],
        backing: "two coats of black".to_owned(),
        change: "less".to_owned(),
    }
}

const THEN: &str = "2026-01-02T03:04:05Z";
const LATER: &str = "2026-02-02T03:04:05Z";

/// The recipes, all of which must be sound.
fn sound(found: Vec<Result<Recipe, Error>>) -> Vec<Recipe> {
    found.into_iter().map(Result::unwrap).collect()
}

fn sql(bench: &Bench, sql: &str) {
    let file = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    file.execute_batch(sql).unwrap();
}

#[test]
fn the_latest_holds_the_earlier_stay_and_an_unknown_finish_has_none() {
    let bench = Bench::new();
    for name in ["bar", "alcove", "plain"] {
        keep_tiny(&bench, name).exits(0);
    }
    let mut archive = Archive::open(&bench.path(ARCHIVE)).unwrap();
    assert_eq!(archive.recipe("bar").unwrap(), None);
    let (first, second) = (recipe(THEN, "poured"), recipe(LATER, "rinsed early"));
    archive.write_recipe("bar", &first).unwrap();
    archive.write_recipe("bar", &second).unwrap();
    archive.write_recipe("alcove", &first).unwrap();
    drop(archive);
    let mut archive = Archive::open(&bench.path(ARCHIVE)).unwrap();
    assert_eq!(archive.recipe("bar").unwrap().as_ref(), Some(&second));
    assert_eq!(
        sound(archive.recipes_of("bar").unwrap()),
        [first.clone(), second.clone()]
    );
    let all = archive.recipes().unwrap().into_iter();
    let mut all: Vec<(String, Recipe)> = all.map(|(name, r)| (name, r.unwrap())).collect();
    // Kept within one second, finishes come by name.
    all.sort_by(|a, b| a.0.cmp(&b.0));
    assert_eq!(
        all,
        [
            ("alcove".to_owned(), first.clone()),
            ("bar".to_owned(), second)
        ]
    );
    let listed = archive.listed().unwrap();
    let with: Vec<bool> = listed.iter().map(|l| l.has_recipe).collect();
    assert_eq!(with, [true, true, false]);
    for name in ["gone", "'; DROP TABLE recipe; --"] {
        assert!(matches!(
            archive.write_recipe(name, &first),
            Err(Error::NoSuchFinish { .. })
        ));
        assert!(matches!(
            archive.recipe(name),
            Err(Error::NoSuchFinish { .. })
        ));
    }
    let unfit = recipe(THEN, "two\nlines");
    assert!(matches!(
        archive.write_recipe("bar", &unfit),
        Err(Error::RecipeUnfit { .. })
    ));
    assert_eq!(archive.recipes_of("bar").unwrap().len(), 2);
    let verified = verify(&bench.path(ARCHIVE)).unwrap();
    assert_eq!((verified.recipes, verified.problems), (3, vec![]));
}

#[test]
fn a_recipe_that_was_changed_or_is_none_is_told_of_and_the_rest_is_shown() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    Archive::open(&bench.path(ARCHIVE))
        .unwrap()
        .write_recipe("bar", &recipe(THEN, "poured"))
        .unwrap();
    let before = bench.bytes(ARCHIVE);
    let digest = blake3::hash(b"{}").to_hex();
    let unreadable = format!("UPDATE recipe SET recipe = '{{}}', digest = '{digest}'");
    for (harm, problem) in [
        (
            "UPDATE recipe SET recipe = replace(recipe, '140', '14')",
            Problem::RecipeChanged("bar".to_owned()),
        ),
        (&unreadable, Problem::RecipeUnreadable("bar".to_owned())),
        (
            "UPDATE recipe SET written_at = '2020-01-01T00:00:00Z'",
            Problem::RecipeUnreadable("bar".to_owned()),
        ),
        (
            "PRAGMA foreign_keys = OFF; UPDATE recipe SET finish_id = 99",
            Problem::Reference {
                from: "recipe".to_owned(),
                to: "finish".to_owned(),
            },
        ),
    ] {
        bench.file(ARCHIVE, &before);
        sql(&bench, harm);
        let verified = verify(&bench.path(ARCHIVE)).unwrap();
        assert_eq!(verified.problems.first(), Some(&problem), "{harm}");
        // The look is there all the same, and so is the way to write it down again.
        if bench.run(&["recipe", "bar"]).code() != Some(0) {
            let shown = bench.run(&["show", "bar"]).exits(2);
            shown.complains("damaged").says("of the silver is left");
            let again = bench.run(&["recipe", "bar", "--technique", "poured again"]);
            again.exits(2).complains("damaged").says("poured again");
            bench.run(&["recipe", "bar"]).exits(2).says("poured again");
            bench.run(&["show", "bar"]).exits(0).says("poured again");
        }
    }
    // A finish with a recipe cannot be lost, whoever tries.
    bench.file(ARCHIVE, &before);
    let file = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    file.pragma_update(None, "foreign_keys", "ON").unwrap();
    assert!(file.execute("DELETE FROM finish", []).is_err());
}

#[test]
fn every_recipe_leaves_and_comes_back_byte_for_byte_and_an_older_export_has_none() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    let written = [
        recipe(THEN, "poured \"still\""),
        recipe(LATER, "rinsed, then dried"),
    ];
    let mut archive = Archive::open(&bench.path(ARCHIVE)).unwrap();
    for one in &written {
        archive.write_recipe("bar", one).unwrap();
    }
    drop(archive);
    let other = |args: &[&str]| bench.run_bare(&[&["--archive", "other.sqlite"], args].concat());
    bench.run(&["export", "out"]).exits(0);
    other(&["import", "out"]).exits(0).says("1 finish kept.");
    let there = Archive::open(&bench.path("other.sqlite")).unwrap();
    assert_eq!(sound(there.recipes_of("bar").unwrap()), written);
    drop(there);
    other(&["export", "again"]).exits(0);
    let file = format!("finishes/{}/finish.json", folder_name("bar"));
    let text = String::from_utf8(bench.bytes(&format!("out/{file}"))).unwrap();
    assert_eq!(text.as_bytes(), bench.bytes(&format!("again/{file}")));
    other(&["verify"]).exits(0).says("2 recipes");
    // Written by a program that knew no recipes.
    let start = text.find("  \"recipes\"").unwrap();
    let end = text.find("  \"readings\"").unwrap();
    let older =
        (text[..start].to_owned() + &text[end..]).replacen("\"schema\": 4", "\"schema\": 1", 1);
    bench.file(&format!("out/{file}"), &older);
    bench
        .run_bare(&["--archive", "older.sqlite", "import", "out"])
        .exits(0)
        .says("1 finish kept.");
    // What cannot be a recipe comes from nobody.
    let digest = |recipe: &str| blake3::hash(recipe.as_bytes()).to_hex().to_string();
    let kept = serde_json::to_string(&written[1]).unwrap();
    let harmed = kept.replacen("140.1", "-140.1", 1);
    let mut sealed = text.replacen(&kept, &harmed, 1);
    sealed = sealed.replacen(&digest(&kept), &digest(&harmed), 1);
    bench.file(&format!("out/{file}"), &sealed);
    bench
        .run_bare(&["--archive", "harmed.sqlite", "import", "out"])
        .exits(2)
        .complains("a recipe in it cannot be used");
    for (from, to, said) in [
        ("140.1", "141.1", "it has changed since it was written"),
        ("\"recipe_digest\"", "\"digest\"", "it cannot be understood"),
    ] {
        bench.file(&format!("out/{file}"), text.replacen(from, to, 1));
        bench
            .run_bare(&["--archive", "harmed.sqlite", "import", "out"])
            .exits(2)
            .complains(said);
    }
}
