use super::super::drawn::{matched, row, whole};
use super::super::lean::Lean;
use super::*;
use crate::fingerprint::metric::{
    AGGRESSIVENESS, BLOT_FRACTION, CLOUD_SCALE, EDGE_LOSS, FINE_TEXTURE, LOOK, SPECKLE_DENSITY,
    SPECKLE_DIAMETER_MEDIAN, TONE_B, UNEVENNESS,
};
use Verdict::{Outside, Unsure, Within};

fn keys(verdict: Verdict, measures: &[MeasureMatch], wholes: &[WholeMatch]) -> Vec<&'static str> {
    let found = matched(Lean::Neither, verdict, measures.to_vec(), wholes.to_vec()).differences();
    found.named.iter().map(|d| d.metric.key).collect()
}

#[test]
fn of_a_panel_within_nothing_is_named() {
    assert!(keys(Within, &[row(&COVERAGE, Outside, 2.0)], &[]).is_empty());
    let found = matched(
        Lean::Neither,
        Within,
        vec![row(&COVERAGE, Unsure, 2.0)],
        Vec::new(),
    )
    .differences();
    assert!(found.open.is_empty() && found.agree.is_empty());
}

#[test]
fn sure_ones_come_first_then_the_weightiest_and_one_of_a_topic() {
    let rows = [
        row(&TONE_B, Unsure, 9.0),
        row(&SPECKLE_DENSITY, Outside, 2.0),
        row(&SPECKLE_DIAMETER_MEDIAN, Outside, -3.0),
        row(&EDGE_LOSS, Within, 0.1),
    ];
    let wanted = ["speckle_diameter_median", "speckle_density", "tone_b"];
    assert_eq!(keys(Outside, &rows, &[]), wanted);
    // Loss: coverage weighs half as much again.
    let loss = |coverage| {
        keys(
            Outside,
            &[
                row(&COVERAGE, Outside, coverage),
                row(&AGGRESSIVENESS, Outside, 3.0),
            ],
            &[],
        )
    };
    assert_eq!(loss(-2.1), ["coverage"]);
    assert_eq!(loss(-1.9), ["aggressiveness"]);
}

#[test]
fn what_is_not_sure_is_named_from_a_share_of_its_allowance_on() {
    let alone = |weight| keys(Unsure, &[row(&TONE_B, Unsure, weight)], &[]).len();
    assert_eq!([alone(0.59), alone(0.61), alone(-0.61)], [0, 1, 1]);
    let beside = |weight| {
        keys(
            Outside,
            &[
                row(&SPECKLE_DENSITY, Outside, 2.0),
                row(&TONE_B, Unsure, weight),
            ],
            &[],
        )
        .len()
    };
    assert_eq!([beside(0.89), beside(0.91)], [1, 2]);
    // Where nothing stands out, what leaves it open is said.
    let found = matched(
        Lean::Neither,
        Unsure,
        vec![row(&TONE_B, Unsure, 0.1)],
        vec![whole(&LOOK, Unsure, 0.1)],
    );
    let open: Vec<&str> = found.differences().open.iter().map(|m| m.key).collect();
    assert_eq!(open, ["tone_b", "look"]);
}

#[test]
fn what_follows_from_what_is_named_is_not() {
    let specks = row(&SPECKLE_DENSITY, Outside, 2.0);
    let texture = whole(&FINE_TEXTURE, Outside, 3.0);
    assert_eq!(keys(Outside, &[specks], &[texture]), ["speckle_density"]);
    assert_eq!(keys(Outside, &[], &[texture]), ["fine_texture"]);
    assert_eq!(
        keys(Outside, &[specks], &[whole(&LOOK, Outside, 9.0)]),
        ["speckle_density"]
    );
    assert_eq!(keys(Outside, &[], &[whole(&LOOK, Outside, 9.0)]), ["look"]);
    let edges = row(&EDGE_LOSS, Outside, 2.0);
    let rest = [
        edges,
        row(&BLOT_FRACTION, Outside, 3.0),
        row(&CLOUD_SCALE, Outside, 4.0),
        row(&UNEVENNESS, Outside, 5.0),
    ];
    assert_eq!(keys(Outside, &rest, &[]), ["edge_loss"]);
}

#[test]
fn a_loss_without_texture_is_a_veil_and_what_was_not_there_is_new() {
    let how = |rows: Vec<MeasureMatch>, wholes: Vec<WholeMatch>| {
        matched(Lean::Darker, Outside, rows, wholes)
            .differences()
            .named[0]
            .how
    };
    let mut dark = row(&COVERAGE, Outside, -2.0);
    assert_eq!(how(vec![dark], Vec::new()), How::Veil);
    // The texture moved by a quarter of the loss, in points.
    let texture = |share: f64| {
        let mut moved = whole(&FINE_TEXTURE, Within, 0.0);
        moved.difference = share * 100.0 * 2.0 * COVERAGE.allowance;
        moved
    };
    assert_eq!(how(vec![dark], vec![texture(0.24)]), How::Veil);
    assert_eq!(how(vec![dark], vec![texture(-0.26)]), How::Amount);
    if let Some(found) = &mut dark.found {
        found.verdict = Unsure;
    }
    assert_eq!(how(vec![dark], Vec::new()), How::Amount);
    // Blots where there were hardly any, and where there were.
    let mut blots = row(&BLOT_FRACTION, Outside, 2.0);
    let had = |share: f64, of: &mut MeasureMatch| {
        of.sample = of.sample.map(|e| crate::units::Estimate {
            value: share * BLOT_FRACTION.allowance,
            ..e
        });
    };
    had(0.49, &mut blots);
    assert_eq!(how(vec![blots], Vec::new()), How::New);
    had(0.51, &mut blots);
    assert_eq!(how(vec![blots], Vec::new()), How::Amount);
    let mut clouds = matched(Lean::Darker, Outside, vec![blots], Vec::new());
    clouds.new_dark_is_bare = false;
    assert_eq!(clouds.differences().named[0].how, How::Patches);
    // Streaks are new on a panel whose sample has no direction.
    let strength = row(&STREAK_STRENGTH, Outside, 2.0);
    let mut angle = row(&STREAK_ANGLE, Within, 0.0);
    assert_eq!(how(vec![strength, angle], Vec::new()), How::Amount);
    angle.sample = Err(crate::units::Unmeasured::NoDirection);
    assert_eq!(how(vec![strength, angle], Vec::new()), How::New);
}

#[test]
fn a_group_agrees_where_all_that_is_compared_of_it_does() {
    let agree = |rows: Vec<MeasureMatch>| {
        matched(Lean::Neither, Outside, rows, Vec::new())
            .differences()
            .agree
    };
    let [number, size] = [
        row(&SPECKLE_DENSITY, Within, 0.1),
        row(&SPECKLE_DIAMETER_MEDIAN, Within, 0.1),
    ];
    assert_eq!(agree(vec![number, size]), [Group::Specks]);
    let mut unknown = size;
    unknown.found = None;
    assert_eq!(agree(vec![number, unknown]), [Group::Specks]);
    assert!(agree(vec![unknown]).is_empty() && agree(Vec::new()).is_empty());
    assert!(agree(vec![number, row(&SPECKLE_DIAMETER_MEDIAN, Unsure, 0.1)]).is_empty());
    assert_eq!(
        agree(vec![number, row(&EDGE_LOSS, Within, 0.1)]),
        [Group::Specks, Group::Edges]
    );
}
