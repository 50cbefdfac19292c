//! All measures of a panel against the sample's, and the verdict that follows.

use super::floor::at_floor;
use super::lean::{Lean, lean, place, toward};
use super::overall::{Unsure, overall};
use super::paint::{Paint, paint_on, paint_to_come, stages_differ};
use super::rules::{Comparison, Doubt, MeasureMatch, set_against};
use super::side::Side;
use super::terms::{AllowanceSource, Allowed, Sampled, Terms};
use super::today::Today;
use super::unlike::refuse_unlike;
use super::whereabouts::Place;
use super::wholes::{WholeMatch, wholes};
use crate::error::Result;
use crate::fingerprint::metric::{LOOK, Metric, Topic, figures};
use crate::fingerprint::{Fingerprint, Scatter, Verdict};
use crate::frame::placement::Stage;
use crate::measure::{DARK_BELOW, Measurements, SILVER_BINS};
use crate::ops::transfer::colour_difference;
use crate::units::Measure;

/// A panel set against a sample.
#[derive(Debug, Clone)]
pub struct Match {
    /// Outside, within or unsure, as the `overall` rule has it.
    pub verdict: Verdict,
    /// Why it is unsure, where it is.
    pub unsure: Option<Unsure>,
    /// Which way the panel lies, where its silver alone is beyond what it may differ by: what heads the answer.
    pub lean: Lean,
    /// Which way it lies at all, be it little: what decides on what can still be done.
    pub toward: Lean,
    /// Measure by measure.
    pub measures: Vec<MeasureMatch>,
    /// What a single figure would miss.
    pub wholes: Vec<WholeMatch>,
    /// Where on the panel the difference sits, where it leans or its specks differ.
    pub place: Option<Place>,
    /// How far the work on the panel has gone.
    pub stage: Option<Stage>,
    /// Speckles were compared from this diameter up, mm.
    pub floor_mm: f64,
    /// How far apart the eye sees the two silvers' tones at equal lightness, CIEDE2000; `None` where one has no tone.
    pub tone_difference: Option<f64>,
    /// What the panel has more of under half of full silver is bare, as blots are, and not only deeply veiled.
    pub new_dark_is_bare: bool,
    /// What paint may still do, where one of the two is backed and the other not.
    pub paint: Option<Paint>,
    /// What else must be known of it.
    pub remarks: Vec<Remark>,
}

/// What else must be known of a match.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Remark {
    /// No allowance of the studio's own was used.
    OnlyStartingAllowances,
    /// The photo of one of them could not be judged by, and was measured all the same.
    NotUsable,
    /// One was backed and the other not.
    StagesDiffer,
    /// They were read in unlike rigs.
    RigsDiffer,
    /// Two photos of the sample differ today by more than the panel does.
    CannotTellToday,
    /// The sample alone is too small, or too varied, to be sure of the panel.
    SampleTooSmall,
    /// The rig repeats too roughly to be sure of it.
    RigTooRough,
    /// It is the piece that was signed as the lightest.
    SignedLight,
    /// It is the piece that was signed as the darkest.
    SignedDark,
}

impl Match {
    /// What was signed is within in all it shows.
    fn all_within(&mut self) {
        (self.verdict, self.unsure) = (Verdict::Within, None);
        for found in self.measures.iter_mut().filter_map(|m| m.found.as_mut()) {
            found.verdict = Verdict::Within;
        }
        for whole in &mut self.wholes {
            whole.verdict = Verdict::Within;
        }
    }

    /// The remark was made.
    #[must_use]
    pub fn has(&self, remark: Remark) -> bool {
        self.remarks.contains(&remark)
    }

    /// What is outside is only that too little silver was taken off: more work may mend it.
    #[must_use]
    pub fn work_may_mend(&self) -> bool {
        let mends = |topic: Topic, more: bool, verdict: Verdict| {
            verdict != Verdict::Outside
                || match topic {
                    Topic::Loss => true,
                    // Work makes more of them, and larger ones; it never takes one away.
                    Topic::SpeckNumber | Topic::SpeckSize | Topic::Blots | Topic::Edges => !more,
                    Topic::FineTexture | Topic::MiddleTexture | Topic::Clouds => !more,
                    Topic::Lines | Topic::Patina | Topic::PatinaStrength | Topic::Halo => !more,
                    Topic::Levels | Topic::Look => true,
                    _ => false,
                }
        };
        let measures = self
            .measures
            .iter()
            .filter_map(|m| Some((m.metric.topic, m.found?)));
        let measures = measures.map(|(topic, f)| mends(topic, f.difference > 0.0, f.verdict));
        let wholes = self
            .wholes
            .iter()
            .map(|w| mends(w.whole.topic, w.difference > 0.0, w.verdict));
        self.toward == Lean::Lighter && measures.chain(wholes).all(|m| m)
    }

    /// Nothing but the way the streaks run is outside: perhaps the photo is turned, and not the finish another.
    #[must_use]
    pub fn perhaps_turned(&self) -> bool {
        let outside = |verdict: Verdict| verdict == Verdict::Outside;
        let measures = self
            .measures
            .iter()
            .filter(|m| m.found.is_some_and(|f| outside(f.verdict)))
            .map(|m| m.metric.topic);
        let wholes = self.wholes.iter().filter(|w| outside(w.verdict));
        let mut topics = measures.chain(wholes.map(|w| w.whole.topic)).peekable();
        topics.peek().is_some() && topics.all(|t| t == Topic::StreakAngle)
    }

    /// A row as it was set against the sample's.
    #[must_use]
    pub fn measure(&self, row: &Metric) -> Option<&MeasureMatch> {
        self.measures.iter().find(|m| m.metric == row)
    }

    /// What was found of a row, where it was compared.
    #[must_use]
    pub fn found(&self, row: &Metric) -> Option<Comparison> {
        self.measure(row)?.found
    }
}

/// Sets a panel against a sample, by the studio's terms.
///
/// # Errors
/// Unlike versions or settings, one seen from the front and the other from the back, only one read against full
/// silver; a limit piece that cannot be set beside the sample.
pub fn compare(sample: Side<'_>, panel: Side<'_>, terms: &Terms<'_>) -> Result<Match> {
    compare_today(sample, panel, terms, None)
}

/// The same with two photos of the sample, taken at the start and at the end of the session in which the panel was.
///
/// # Errors
/// As for [`compare`].
pub fn compare_today(
    sample: Side<'_>,
    panel: Side<'_>,
    terms: &Terms<'_>,
    today: Option<&Today<'_>>,
) -> Result<Match> {
    refuse_unlike(sample, panel)?;
    terms.check(sample)?;
    let both = Both {
        sample,
        panel,
        terms,
        floor_mm: floor_mm(sample, panel, terms, today),
    };
    let found = both.set_apart(today);
    let open_for_today = today.is_some()
        && found.verdict == Verdict::Unsure
        && both.set_apart(None).verdict != Verdict::Unsure;
    Ok(both.remarked(found, open_for_today))
}

/// Specks are compared from where every reading that has a say shows them.
fn floor_mm(
    sample: Side<'_>,
    panel: Side<'_>,
    terms: &Terms<'_>,
    today: Option<&Today<'_>>,
) -> f64 {
    let limits = terms.light.into_iter().chain(terms.dark);
    let again = today.into_iter().flat_map(Today::sides);
    [sample, panel]
        .into_iter()
        .chain(limits)
        .chain(again)
        .map(|side| side.fingerprint.measurements.speckle_floor_mm)
        .fold(0.0, f64::max)
}

/// A sample, a panel, and what is said of them.
struct Both<'a> {
    sample: Side<'a>,
    panel: Side<'a>,
    terms: &'a Terms<'a>,
    floor_mm: f64,
}

impl Both<'_> {
    fn set_apart(&self, today: Option<&Today<'_>>) -> Match {
        let (a, b) = (self.sample.fingerprint, self.panel.fingerprint);
        let paint = stages_differ(a, b).then(|| paint_on(a, b, self.terms));
        let mut measures: Vec<MeasureMatch> =
            figures().map(|m| self.measure(m, today, paint)).collect();
        let wholes = wholes(self.sample, self.panel, self.terms, self.floor_mm, today);
        leave_out_sizes(&mut measures, &wholes);
        let (verdict, unsure) = overall(&measures, &wholes);
        let toward = toward(&measures);
        let mut found = Match {
            verdict,
            unsure,
            lean: lean(&measures, toward),
            toward,
            place: None,
            stage: b.provenance.placement.stage,
            floor_mm: self.floor_mm,
            tone_difference: tone_difference(&a.measurements, &b.measurements),
            paint,
            new_dark_is_bare: new_dark_is_bare(&a.measurements, &b.measurements),
            remarks: Vec::new(),
            measures,
            wholes,
        };
        if self.signed_piece().is_some() {
            found.all_within();
        }
        found.place = place(toward, &found.measures, &a.measurements, &b.measurements);
        found
    }

    /// The panel is a piece that the studio signed as a limit of the sample: what it may differ by is what it differs by.
    fn signed_piece(&self) -> Option<Remark> {
        let is = |limit: Option<Side<'_>>| {
            let [a, b] = [limit?, self.panel].map(|s| &s.fingerprint.provenance);
            (a.photo_digest == b.photo_digest && a.placement.size == b.placement.size).then_some(())
        };
        let light = is(self.terms.light).map(|()| Remark::SignedLight);
        light.or(is(self.terms.dark).map(|()| Remark::SignedDark))
    }

    fn measure(
        &self,
        m: &'static Metric,
        today: Option<&Today<'_>>,
        paint: Option<Paint>,
    ) -> MeasureMatch {
        let (a, b) = (self.sample.fingerprint, self.panel.fingerprint);
        let one_light = a.provenance.silver_scale == b.provenance.silver_scale;
        let read = |f: &Fingerprint| {
            let wide = f.widened(m, at_floor(f, m, self.floor_mm));
            if one_light { wide } else { f.lit(m, wide) }
        };
        let allowed = at_floor(a, m, self.floor_mm).map_or_else(
            |_| Allowed::start(m, 0.0),
            |e| self.terms.allowed(m, e, &Sampled::of(a), self.floor_mm),
        );
        let (lower, raise) = if paint.is_some_and(|p| p.decides) {
            paint_to_come(a, b, m)
        } else {
            (0.0, 0.0)
        };
        let doubt = Doubt {
            limit: Scatter::limit_of_two(a.scatter(m), b.scatter(m)),
            today: today.map_or(0.0, |t| t.apart(m, self.floor_mm)),
            lower,
            raise,
        };
        set_against(m, read(a), read(b), doubt, allowed)
    }

    fn remarked(&self, mut found: Match, open_for_today: bool) -> Match {
        let (a, b) = (
            &self.sample.fingerprint.provenance,
            &self.panel.fingerprint.provenance,
        );
        let only_start = found
            .measures
            .iter()
            .all(|m| m.allowed.source == AllowanceSource::Start);
        let (small, rough) = self.sample_fills_allowance(&found);
        let remarks = [
            (only_start, Remark::OnlyStartingAllowances),
            (a.anyway || b.anyway, Remark::NotUsable),
            (found.paint.is_some(), Remark::StagesDiffer),
            (a.rig != b.rig, Remark::RigsDiffer),
            (open_for_today, Remark::CannotTellToday),
            (small, Remark::SampleTooSmall),
            (rough && !small, Remark::RigTooRough),
        ];
        let made = remarks.into_iter().filter(|(holds, _)| *holds);
        let made = made.map(|(_, remark)| remark);
        found.remarks = made.chain(self.signed_piece()).collect();
        found
    }

    /// It is too close to call, and would be even of a panel known exactly: the sample's own interval fills the allowance; or
    /// that interval with what the rig does not repeat.
    fn sample_fills_allowance(&self, found: &Match) -> (bool, bool) {
        let fills = |m: &MeasureMatch, sample: Measure| {
            let (Some(f), Ok(sample)) = (m.found, sample) else {
                return false;
            };
            let (below, above) = m.metric.arms(sample);
            let allowance = m
                .metric
                .difference(sample.value, sample.value + f.allowance);
            f.verdict == Verdict::Unsure && below.max(above) > allowance.abs()
        };
        let own = |m: &MeasureMatch| at_floor(self.sample.fingerprint, m.metric, self.floor_mm);
        let unsure = found.verdict == Verdict::Unsure;
        (
            unsure && found.measures.iter().any(|m| fills(m, own(m))),
            unsure && found.measures.iter().any(|m| fills(m, m.sample)),
        )
    }
}

/// The size of clouds, of patches and the distance of streaks leap from one kind of texture to another where two are equally
/// strong. Where both panels have as much texture at every scale they have the same clouds, and where they have the same look
/// all three have nothing to add.
fn leave_out_sizes(measures: &mut [MeasureMatch], wholes: &[WholeMatch]) {
    let alike = |w: &WholeMatch| w.verdict == Verdict::Within;
    let textures = || wholes.iter().filter(|w| w.whole.blurs_mm().is_some());
    let same_clouds = textures().next().is_some() && textures().all(alike);
    let same_look = wholes.iter().any(|w| *w.whole == LOOK && alike(w));
    for m in measures {
        let nothing_to_add = match m.metric.topic {
            Topic::Clouds => same_clouds || same_look,
            Topic::StreakSpacing | Topic::PatinaSize => same_look,
            _ => false,
        };
        if nothing_to_add {
            m.found = None;
        }
    }
}

/// Mean level of the dark area that the panel has more of: blots and specks are bare, clouds seldom under a quarter.
fn new_dark_is_bare(sample: &Measurements, panel: &Measurements) -> bool {
    let level = |i: usize| (i as f64 + 0.5) / SILVER_BINS as f64;
    let (mut gained, mut silver) = (0.0, 0.0);
    let bins = sample.silver_histogram.iter().zip(&panel.silver_histogram);
    let dark = bins.enumerate().take_while(|(i, _)| level(*i) < DARK_BELOW);
    for (i, (a, b)) in dark {
        gained += b - a;
        silver += (b - a) * level(i);
    }
    gained > 0.0 && silver < BARE * gained
}

/// Under this silver level a place is bare rather than veiled.
const BARE: f64 = 0.25;

fn tone_difference(sample: &Measurements, panel: &Measurements) -> Option<f64> {
    // Of two colours of one lightness the formula takes no notice of which it is.
    let tone = |m: &Measurements| Some([50.0, m.tone_a.ok()?.value, m.tone_b.ok()?.value]);
    Some(colour_difference(tone(sample)?, tone(panel)?))
}

#[cfg(test)]
mod tests;
