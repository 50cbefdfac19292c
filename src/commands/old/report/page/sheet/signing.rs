//! The sign-off sheet: one page for the client to sign. Pictures and words, no figures of the program's.

use maud::{Markup, html};

use super::super::picture::{self, Silver};
use super::super::{Sheet, part, quoted, say};
use crate::error::Result;
use crate::words::captions::signing as words;

/// Long side of a picture, pixels.
const LONG_SIDE_PX: usize = 640;

/// From how many letters on pictures are smaller on paper, the side of the piece that is shown in its real size, mm, and the
/// name of that in `look.css`: all must go on one page. From the last on the footer is left off as well. So twelve lines of 110
/// letters fit on A4 and on Letter beside the pieces of both limits, and some 1,700 letters in all; what is more runs on to a
/// second page.
const STEPS: [(usize, f64, &str); 3] = [
    (0, 48.0, ""),
    (700, 34.0, "full"),
    (1500, 24.0, "full brimful"),
];

/// A signed piece.
pub struct Piece<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its silver level.
    pub silver: Silver<'a>,
}

/// What stands on the sheet. Lines that are left empty are there to be written on by hand.
pub struct Signing<'a> {
    /// The studio's own name for the finish.
    pub finish: &'a str,
    /// The sample.
    pub sample: Piece<'a>,
    /// It is approved.
    pub approved: bool,
    /// The lightest piece that was signed.
    pub light: Option<Piece<'a>>,
    /// The darkest.
    pub dark: Option<Piece<'a>>,
    /// The job, line by line: name and what is said of it.
    pub job: Vec<(&'static str, String)>,
    /// What is fixed and what may vary.
    pub agreed: Vec<(&'static str, String)>,
    /// How it is judged.
    pub judged: Vec<(&'static str, String)>,
}

impl Signing<'_> {
    /// The side of the piece in its real size, mm, and how full the sheet is.
    fn fullness(&self) -> (f64, &'static str) {
        let letters = self.letters();
        let mut steps = STEPS.iter().rev();
        let step = steps.find(|(from, ..)| letters >= *from);
        step.map_or((0.0, ""), |(_, side_mm, class)| (*side_mm, *class))
    }

    /// How much is written on it, letters.
    fn letters(&self) -> usize {
        let lines = [&self.job, &self.agreed, &self.judged];
        let said = lines.into_iter().flatten().map(|(_, says)| says.as_str());
        let pieces = [Some(&self.sample), self.light.as_ref(), self.dark.as_ref()];
        let names = pieces.into_iter().flatten().map(|piece| piece.name);
        let all = said.chain(names).chain([self.finish]);
        all.map(|text| text.chars().count()).sum()
    }
}

/// The sheet as a page.
///
/// # Errors
/// A picture cannot be written out.
pub fn signing(s: &Signing<'_>) -> Result<String> {
    let hand = if s.light.is_some() && s.dark.is_some() {
        words::HAND
    } else {
        words::HAND_ALONE
    };
    let whole = if s.approved {
        words::WHOLE
    } else {
        words::WHOLE_UNSIGNED
    };
    let (side_mm, fullness) = s.fullness();
    let (uri, side_mm) = s.sample.silver.real_size(side_mm)?;
    let real = picture::in_real_size(
        &uri,
        &say::panel_alt(s.sample.name),
        side_mm,
        &say::scale::real_from_the_middle(side_mm),
    );
    let signatures = [words::STUDIO_SIGNS, words::CLIENT_SIGNS];
    let sheet = Sheet {
        kind: say::SIGNING,
        about: s.sample.name,
        verdict: None,
        words: &[words::title(s.finish), hand.to_owned()],
        beside: html! {},
        body: html! {
            div class={ "signing " (fullness) } {
                (part::part(words::JOB, &blanks(&s.job)))
                section.limits {
                    (piece(words::LIGHT, s.light.as_ref())?)
                    (piece(whole, Some(&s.sample))?)
                    (piece(words::DARK, s.dark.as_ref())?)
                }
                section.real {
                    (real)
                    div { h2 { (words::AGREED) } (blanks(&s.agreed)) }
                }
                (part::part(words::JUDGED, &blanks(&s.judged)))
                section.by-hand { h2 { (words::SIGNED) }
                    @for who in signatures { (blanks(&[who, words::DATE].map(|line| (line, String::new())))) }
                }
            }
        },
    };
    Ok(sheet.html())
}

/// Lines to read or to write on.
fn blanks(lines: &[(&str, String)]) -> Markup {
    html! {
        dl.blanks { @for (name, says) in lines { div { dt { (name) } dd { (quoted(says)) } } } }
    }
}

fn piece(heading: &str, piece: Option<&Piece<'_>>) -> Result<Markup> {
    let Some(piece) = piece else {
        return Ok(
            html! { figure { div.none { (words::NO_LIMIT) } figcaption { b { (heading) } } } },
        );
    };
    let whole = piece.silver.coloured(LONG_SIDE_PX);
    let uri = picture::small(&whole, LONG_SIDE_PX)?;
    let caption = html! { b { (heading) } ": " (piece.name) };
    let [width_mm, height_mm] = piece.silver.size_mm();
    let figure = picture::figure(
        &uri,
        &say::panel_alt(piece.name),
        (width_mm, width_mm),
        &caption,
    );
    Ok(
        html! { div style={ "--tall:" (format!("{:.3}", height_mm / width_mm.max(1e-9))) } { (figure) } },
    )
}
