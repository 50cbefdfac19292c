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
    let photo = placed
        .map(|placed| picture::photo(placed, &report.title))
        .transpose()?;
    let sheet = Sheet {
        kind: say::CHECK,
        about: &report.title,
        verdict: None,
        words: &report.answer(),
        beside: html! {},
        body: html! {
            @if let Some(photo) = photo { (part::part(say::FOUND, &photo)) }
        },
    };
    Ok(sheet.html())
}
