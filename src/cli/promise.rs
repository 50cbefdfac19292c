//! `promise`: what a sample can say about a panel of another size.

use super::args::PromiseArgs;
use super::context::Context;
use super::exit::Exit;
use super::terms::Signed;
use crate::compare::promise::{promise, speckles};
use crate::error::Result;
use crate::report::promise::{Asked, json, text};

pub(super) fn run(args: &PromiseArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.archive()?;
    let signed = Signed::of(&args.name, &archive)?;
    let sample = &signed.sample.fingerprint;
    let asked = Asked {
        name: &args.name,
        sample: sample.provenance.placement.size,
        size: args.size,
        speckles: args.speckles.map(|n| (n.get(), speckles(sample, n.get()))),
    };
    let found = args.size.map(|size| promise(sample, size, &signed.terms()));
    if args.json {
        context.say(&json(&asked, found.as_ref()).to_string())?;
    } else {
        context.say(&text(&asked, found.as_ref()))?;
    }
    Ok(Exit::Done)
}
