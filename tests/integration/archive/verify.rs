//! `verify` looks at everything and says in words what is wrong, and with which finish.

use super::{ARCHIVE, keep_tiny};
use crate::bench::Bench;

#[test]
fn each_thing_that_is_wrong_is_said_in_words_with_the_finish_it_belongs_to() {
    let bench = Bench::new();
    bench.run(&["verify"]).exits(2).refuses_in_two_lines();
    assert!(!bench.path(ARCHIVE).exists(), "looking made an archive");
    keep_tiny(&bench, "bar").exits(0);
    keep_tiny(&bench, "alcove").exits(0);
    bench.run(&["approve", "bar", "--light", "alcove"]).exits(2);
    bench.run(&["approve", "bar"]).exits(0);
    bench
        .run(&["verify"])
        .exits(0)
        .quietly()
        .says("All is as it was kept: 2 finishes, 2 readings and 1 approved sample");
    let sound = bench.bytes(ARCHIVE);
    let png = "CREATE TEMP TABLE t AS SELECT silver_map AS d FROM reading LIMIT 1;";
    for (sql, said) in [
        (
            "PRAGMA foreign_keys = OFF; UPDATE approval SET finish_id = 99",
            "Something in `approval` belongs to something in `finish` that is gone.",
        ),
        (
            "PRAGMA foreign_keys = OFF; DELETE FROM reading WHERE finish_id = 1",
            "`bar` has no reading.",
        ),
        (
            "UPDATE reading SET fingerprint = '{}' WHERE finish_id = 2",
            "The reading of `alcove` has changed since it was kept.",
        ),
        (
            &format!(
                "PRAGMA foreign_keys = OFF; {png} DELETE FROM file WHERE digest = (SELECT d FROM t)"
            ),
            "A picture of `bar` is gone or has changed since it was kept.",
        ),
        (
            "UPDATE approval SET allowances = '{\"coverage\": 0.9}'",
            "What was signed of `bar` has changed since it was kept.",
        ),
        (
            "UPDATE finish SET notes = 'another' WHERE id = 1",
            "What is noted of `bar` has changed since it was kept.",
        ),
        (
            "UPDATE finish SET kept_at = 'yesterday' WHERE id = 1",
            "What is noted of `bar` has changed since it was kept.",
        ),
        (
            "UPDATE finish SET reading_id = NULL WHERE id = 1",
            "What is listed of `bar` is not what its latest reading says.",
        ),
        (
            "UPDATE finish SET reading_id = 2 WHERE id = 1",
            "What is listed of `bar` is not what its latest reading says.",
        ),
        (
            "UPDATE finish SET coverage = 0.5 WHERE id = 1",
            "What is listed of `bar` is not what its latest reading says.",
        ),
        (
            "UPDATE finish SET version = 99 WHERE id = 1",
            "What is listed of `bar` is not what its latest reading says.",
        ),
        (
            "UPDATE look SET point = zeroblob(80) WHERE finish_id = 1",
            "Where `bar` stands among those that look alike has changed since it was kept.",
        ),
        (
            "INSERT INTO rig (name, made_at, rig) VALUES ('corner', 'then', 'its light')",
            "The rig `corner`, or its study, has changed since it was kept.",
        ),
        (
            "INSERT INTO overruling VALUES (1, 'then', 1, 'p', 'd', 'within', 'perhaps', 'so', NULL, NULL)",
            "A decision beside `bar` cannot be understood.",
        ),
        ("DROP INDEX reading_of_finish", ""),
    ] {
        bench.file(ARCHIVE, &sound);
        rusqlite::Connection::open(bench.path(ARCHIVE))
            .unwrap()
            .execute_batch(sql)
            .unwrap();
        let before = bench.bytes(ARCHIVE);
        if said.is_empty() {
            bench.run(&["verify"]).exits(0);
        } else {
            bench
                .run(&["verify"])
                .exits(2)
                .says(said)
                .says("was left as it is");
        }
        assert_eq!(before, bench.bytes(ARCHIVE), "{sql}");
    }
    // What would change rows behind the program's back is not opened at all.
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch("CREATE TRIGGER theirs AFTER INSERT ON recipe BEGIN DELETE FROM look; END")
        .unwrap();
    for command in ["verify", "list"] {
        bench
            .run(&[command])
            .exits(2)
            .complains("it holds a trigger");
    }
}
