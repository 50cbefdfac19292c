//! `promise`: what a sample can say about a panel of another size.

use super::args::PromiseArgs;
use super::context::Context;
use super::exit::Exit;
use super::pictured::small;
use super::terms::Signed;
use super::whole_file::write_whole;
use crate::compare::promise::{promise, speckles};
use crate::error::Result;
use crate::report::promise::Asked;
use crate::report::{Promised, page};

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
    let report = Promised { asked, found };
    if let Some(file) = &args.out.page {
        let page = page::promise(&report, &small(&signed.sample, &archive)?)?;
        write_whole(file, page.as_bytes())?;
    }
    context.answer(&report, &args.out)?;
    Ok(Exit::Done)
}
