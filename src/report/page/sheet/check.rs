//! The picture check sheet: is it good enough to judge by, and where the panel was found.

use image::RgbImage;
use maud::html;

use super::super::{Sheet, part, picture, say};
use crate::error::Result;
use crate::report::Checked;

/// A check as a page; `placed` is the photo with what was found drawn on it, where anything was.
///
/// # Errors
/// The picture cannot be written out.
pub fn check(report: &Checked<'_>, placed: Option<&RgbImage>) -> Result<String> {
    let uri = placed.map(picture::photo).transpose()?;
    let sheet = Sheet {
        kind: say::CHECK,
        about: &report.title,
        verdict: None,
        words: &report.answer(),
        beside: html! {},
        body: html! {
            @if let Some(uri) = uri {
                (part::part(say::FOUND, &html! {
                    figure { img src=(uri) alt=(say::placed_alt(&report.title)); }
                }))
            }
        },
    };
    Ok(sheet.html())
}
