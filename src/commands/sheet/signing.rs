//! `sheet --for`: one page for the client to sign. Pictures and words, no figures of the program's.

use std::path::{Path, PathBuf};

use maud::{Markup, html};
use serde_json::json;

use super::super::context::Context;
use super::super::own_file::write_own;
use crate::archive::exchange::folder_name;
use crate::archive::{Archive, Finish, Job};
use crate::document::{Answer, Block, Document, Lines, page};
use crate::draw::embedded;
use crate::error::Result;
use crate::fingerprint::Variety;
use crate::silver::Silver;
use crate::studio::reading::silver_kept;
use crate::studio::signed::Signed;
use crate::units::Metres;
use crate::words::{captions as say, day};

/// What stands on the page that a client signs; what is not said stays a line to write on
#[derive(Debug, Clone, Default, clap::Args)]
#[group(requires = "sample")]
pub(super) struct ToSign {
    /// Where to write the page [default: paneprint-sign-off-NAME.html in this folder]
    #[arg(long, value_name = "FILE.html")]
    page: Option<PathBuf>,

    /// The job
    #[arg(long, value_name = "TEXT")]
    job: Option<String>,

    /// The client
    #[arg(long, value_name = "TEXT")]
    client: Option<String>,

    /// The room
    #[arg(long, value_name = "TEXT")]
    room: Option<String>,

    /// The studio's own name for the finish [default: the sample's name]
    #[arg(long, value_name = "TEXT")]
    finish: Option<String>,

    /// How heavy the ageing is, such as light, medium or heavy
    #[arg(long, value_name = "TEXT")]
    level: Option<String>,

    /// What is fixed, such as backing colour, tone, edges, direction
    #[arg(long, value_name = "TEXT")]
    fixed: Option<String>,

    /// What may vary
    #[arg(long, value_name = "TEXT")]
    may_vary: Option<String>,

    /// Kind and thickness of the glass
    #[arg(long, value_name = "TEXT")]
    glass: Option<String>,

    /// Safety backing, such as yes or no
    #[arg(long, value_name = "TEXT")]
    safety_backing: Option<String>,

    /// How many panels of which size, and spares
    #[arg(long, value_name = "TEXT")]
    panels: Option<String>,

    /// From how far panels are judged
    #[arg(long, value_name = "DISTANCE")]
    viewed_from: Option<Metres>,

    /// In which light they are judged
    #[arg(long, value_name = "TEXT")]
    lighting: Option<String>,

    /// Who keeps which signed piece
    #[arg(long, value_name = "TEXT")]
    kept_by: Option<String>,

    /// Write over a page that was not made for the same sample
    #[arg(long)]
    replace_file: bool,
}

impl ToSign {
    /// With what the job says of what is not typed.
    fn in_job(mut self, job: Option<&Job>) -> Self {
        let Some(job) = job else { return self };
        let details = &job.details;
        self.job = self.job.or_else(|| Some(job.name.clone()));
        self.client = self.client.or_else(|| details.client.clone());
        self.room = self.room.or_else(|| details.room.clone());
        self.viewed_from = self.viewed_from.or(details.viewed_from_m.map(Metres));
        let wanted = details.wall.map(|wall| wall.across * wall.down);
        let panels = wanted.zip(details.size);
        let panels = panels.map(|(panels, size)| format!("{panels} of {size}"));
        self.panels = self.panels.or(panels);
        self
    }
}

/// What hand work is; and what the signed limit pieces say of it, where both are there.
const HAND: &str = "Hand process, exact match not promised. Panels made by hand differ from the sample and from each other";
const BETWEEN: &str = "; those between the signed light and dark pieces are of this finish";

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

/// Lines of the page: a name, and what is said of it. One that is left empty is there to be written on by hand.
type Blanks = Vec<(&'static str, String)>;

/// Writes the page of a sample, and answers where.
pub(super) fn write(name: &str, args: &ToSign, context: &mut Context) -> Result<Answer> {
    let args = &args.clone().in_job(context.holds()?.job.as_ref());
    let archive = context.studio()?.archive()?;
    let signed = Signed::named(name, &archive)?;
    // One file for each sample where nobody says.
    let here = || PathBuf::from(format!("paneprint-sign-off-{}.html", folder_name(name)));
    let file = args.page.clone().unwrap_or_else(here);
    let sheet = sheet(&signed, args, &archive)?;
    write_own(&file, page::page(&sheet).as_bytes(), args.replace_file)?;
    let shown = file.to_string_lossy();
    let mut document = Document::new(say::SIGNING, name);
    document.say([format!(
        "Written: {shown}. Print it at 100 % on one page, and sign it."
    )]);
    Ok(Answer {
        document,
        json: json!({"files": [shown], "sample": name}),
        lines: Lines::default(),
    })
}

fn sheet(signed: &Signed, args: &ToSign, archive: &Archive) -> Result<Document> {
    let sample = &signed.sample;
    let finish = args.finish.as_deref().unwrap_or(&sample.name);
    let [light, dark] = signed.pieces();
    let between = light.and(dark).map_or("", |_| BETWEEN);
    let mut document = Document::new(say::SIGNING, sample.name.as_str());
    document.say([
        format!("Finish for signature: {finish}"),
        format!("{HAND}{between}."),
    ]);
    let lines = [
        job(args, finish, sample),
        agreed(args, signed.variety()),
        judged(args, sample),
    ];
    let pieces = [Some(sample), light, dark].into_iter().flatten();
    let names = pieces.map(|piece| piece.name.as_str()).chain([finish]);
    let said = lines.iter().flatten().map(|(_, says)| says.as_str());
    let letters = said.chain(names).map(|text| text.chars().count()).sum();
    let whole = match &sample.approval {
        Some(_) => "The signed sample",
        None => "The sample",
    };
    let shown = [
        ("Lightest that is accepted", light),
        (whole, Some(sample)),
        ("Darkest that is accepted", dark),
    ];
    let silver = |piece: &Finish| silver_kept(piece, archive);
    let shown = shown.map(|(heading, finish)| piece(heading, finish, silver));
    let body = body(&lines, shown, (sample, &silver(sample)?), fullness(letters))?;
    document.push(Block::Drawing(body));
    Ok(document)
}

/// The side of the piece in its real size, mm, and how full a page of so many letters is.
fn fullness(letters: usize) -> (f64, &'static str) {
    let mut steps = STEPS.iter().rev();
    let step = steps.find(|(from, ..)| letters >= *from);
    step.map_or((0.0, ""), |(_, side_mm, class)| (*side_mm, *class))
}

fn job(args: &ToSign, finish: &str, sample: &Finish) -> Blanks {
    vec![
        ("Job", said(&args.job)),
        ("Client", said(&args.client)),
        ("Room", said(&args.room)),
        ("Finish", finish.to_owned()),
        ("Sample", about(sample)),
        ("Panels and spares", said(&args.panels)),
    ]
}

fn agreed(args: &ToSign, variety: Option<Variety>) -> Blanks {
    let variety = variety.map_or("", |variety| match variety {
        Variety::Uniform => "uniform: the same all over",
        Variety::Slight => "slight: a little from place to place",
        Variety::Moderate => "moderate: plainly from place to place",
        Variety::Random => "random: no two places alike",
    });
    vec![
        ("Light, medium or heavy", said(&args.level)),
        ("Variation", variety.to_owned()),
        ("Fixed", said(&args.fixed)),
        ("May vary", said(&args.may_vary)),
        ("Glass", said(&args.glass)),
        ("Safety backing", said(&args.safety_backing)),
    ]
}

fn judged(args: &ToSign, sample: &Finish) -> Blanks {
    vec![
        (
            "Looked at from",
            args.viewed_from.map_or_else(String::new, from_how_far),
        ),
        ("In this light", said(&args.lighting)),
        ("Photographed", photographed(sample)),
        ("Signed pieces kept by", said(&args.kept_by)),
    ]
}

fn said(given: &Option<String>) -> String {
    given.clone().unwrap_or_default()
}

/// A distance, to the centimetre.
fn from_how_far(distance: Metres) -> String {
    let metres = (distance.0 * 100.0).round() / 100.0;
    format!("{metres} m, upright, square on")
}

/// Size, stage and days of the sample.
fn about(sample: &Finish) -> String {
    let placement = &sample.fingerprint.provenance.placement;
    let stage = placement.stage.map(|stage| say::stage(Some(stage)));
    let stage = stage.map_or_else(String::new, |stage| format!(", {stage}"));
    let approved = sample.approval.as_ref();
    let signed = approved.and_then(|a| a.signature.as_ref());
    let signed = signed.map_or_else(String::new, |s| format!(", signed by {}", s.by));
    let approved = approved.map(|a| format!(", approved {}{signed}", day(&a.approved_at)));
    format!(
        "{}{stage}, kept {}{}",
        placement.size,
        day(&sample.kept_at),
        approved.unwrap_or_default()
    )
}

/// How the sample was photographed.
fn photographed(sample: &Finish) -> String {
    let provenance = &sample.fingerprint.provenance;
    let phone = provenance.capture.model.as_ref();
    let with = phone.map(|phone| format!(", {phone}"));
    let rig = provenance.rig.as_ref();
    let rig = rig.map(|rig| format!(", in `{rig}`: one plain board, the lamps fixed"));
    format!(
        "{}{}{}",
        Path::new(&sample.photo_name).display(),
        with.unwrap_or_default(),
        rig.unwrap_or_default()
    )
}

/// The page below its head.
fn body(
    [job, agreed, judged]: &[Blanks; 3],
    pieces: [Result<Markup>; 3],
    (sample, silver): (&Finish, &Silver),
    (side_mm, fullness): (f64, &str),
) -> Result<Markup> {
    let (uri, side_mm) = embedded::from_the_middle(silver, side_mm)?;
    let caption = say::scale::real_from_the_middle(side_mm);
    let alt = say::panel_alt(&sample.name);
    let [light, whole, dark] = pieces;
    Ok(html! {
        div class={ "signing " (fullness) } {
            section { h2 { "The job" } (blanks(job)) }
            section.limits { (light?) (whole?) (dark?) }
            section.real {
                (embedded::in_real_size(&uri, &alt, side_mm, &caption))
                div { h2 { "What is fixed and what may vary" } (blanks(agreed)) }
            }
            section { h2 { "How it is judged" } (blanks(judged)) }
            section.by-hand { h2 { "Signed" }
                @for who in ["For the studio", "For the client"] {
                    (blanks(&[who, "Date"].map(|line| (line, String::new()))))
                }
            }
        }
    })
}

/// Lines to read or to write on.
fn blanks(lines: &[(&str, String)]) -> Markup {
    html! {
        dl.blanks { @for (name, says) in lines { div { dt { (name) } dd { (page::quoted(says)) } } } }
    }
}

fn piece(
    heading: &str,
    piece: Option<&Finish>,
    silver: impl Fn(&Finish) -> Result<Silver>,
) -> Result<Markup> {
    let Some(piece) = piece else {
        return Ok(
            html! { figure { div.none { "no piece signed" } figcaption { b { (heading) } } } },
        );
    };
    let silver = silver(piece)?;
    let uri = embedded::small(&silver.coloured(LONG_SIDE_PX), LONG_SIDE_PX)?;
    let caption = html! { b { (heading) } ": " (piece.name) };
    let [width_mm, height_mm] = silver.size_mm();
    let alt = say::panel_alt(&piece.name);
    let figure = embedded::figure(&uri, &alt, (width_mm, width_mm), &caption);
    let tall = format!("{:.3}", height_mm / width_mm.max(1e-9));
    Ok(html! { div style={ "--tall:" (tall) } { (figure) } })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_end_at_centimetres() {
        for (metres, said) in [
            (1.828_799_999_999_999_8, "1.83 m,"),
            (1.8, "1.8 m,"),
            (2.0, "2 m,"),
        ] {
            let found = from_how_far(Metres(metres));
            assert!(found.starts_with(said), "{found}");
        }
    }
}
