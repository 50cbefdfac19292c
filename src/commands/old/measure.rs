//! `measure`: a reading of each photo.

use std::path::Path;

use super::args::MeasureArgs;
use super::context::Context;
use super::exit::Exit;
use super::photos::Photos;
use super::place;
use super::session;
use crate::error::Result;
use crate::report::Reading;

pub(super) fn run(args: &MeasureArgs, context: &mut Context) -> Result<Exit> {
    let photos = Photos::of(&args.photos)?;
    photos.one_at_a_time(&[&args.picture, &args.out.page])?;
    let rig = place::rig(args.read.rig.as_deref(), context)?;
    let read = |photo: &Path| {
        let reading = place::read_fit(photo, &args.read, rig.as_ref())?;
        place::draw(&reading, args.picture.as_deref())?;
        place::page(&reading, photo, args.out.page.as_deref())?;
        Ok((place::gone(&reading), reading.fingerprint))
    };
    let mut readings = Vec::new();
    let ends = photos.each(context, read, |photo, (gone, fingerprint), _| {
        readings.push((photo.to_owned(), gone, fingerprint));
        Ok(Exit::Done)
    })?;
    session::judge(readings.iter_mut().map(|(_, _, fingerprint)| fingerprint));
    let answers: Vec<Reading<'_>> = readings
        .iter()
        .map(|(photo, gone, fingerprint)| Reading {
            gone: *gone,
            ..place::report(photo, fingerprint)
        })
        .collect();
    context.answers(&answers, &args.out)?;
    photos.sum_up(&ends, args.out.json, context)
}
