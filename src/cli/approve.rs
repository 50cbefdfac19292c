//! `approve`: mark a kept finish as the approved sample, with what the studio says of it.

use std::collections::BTreeMap;

use super::args::ApproveArgs;
use super::context::Context;
use super::exit::Exit;
use super::terms::Signed;
use crate::archive::{Approval, Archive};
use crate::compare::Side;
use crate::compare::terms::check_limit;
use crate::error::{Error, Result};
use crate::fingerprint::metric::{LOOK, allowed_of, figures};
use crate::report::words::keeping;

pub(super) fn run(args: &ApproveArgs, context: &mut Context) -> Result<Exit> {
    let allowances = args
        .allow
        .iter()
        .map(|a| allowance(a))
        .collect::<Result<BTreeMap<_, _>>>()?;
    let mut archive = context.archive()?;
    check(args, &archive)?;
    let approval = Approval {
        approved_at: Context::now(),
        allowances,
        light: args.light.clone(),
        dark: args.dark.clone(),
        variety: args.variety.map(Into::into),
    };
    archive.approve(&args.name, &approval)?;
    let signed = Signed::of(&args.name, &archive)?;
    let [light, dark] = signed.limits();
    if args.json {
        let object = serde_json::json!({
            "name": args.name,
            "approved_at": signed.sample.approval.as_ref().map(|a| &a.approved_at),
            "light": light,
            "dark": dark,
            "variety": signed.variety(),
            "allowances": signed.allowances(),
        });
        context.say(&object.to_string())?;
        return Ok(Exit::Done);
    }
    context.say(&keeping::approved(&args.name))?;
    if let Some(limits) = keeping::limits(light, dark) {
        context.say(&limits)?;
    }
    if let Some(variety) = signed.variety() {
        context.say(keeping::variety(variety))?;
    }
    if signed.terms().only_start() {
        context.say(keeping::ONLY_START)?;
    }
    Ok(Exit::Done)
}

/// Refuses limit pieces on the wrong side before anything is signed.
fn check(args: &ApproveArgs, archive: &Archive) -> Result<()> {
    let sample = archive.finish_named(&args.name)?;
    for (piece, lighter) in [(&args.light, true), (&args.dark, false)] {
        let Some(name) = piece else { continue };
        let piece = archive.finish_named(name)?;
        let side = |name, fingerprint| Side { name, fingerprint };
        check_limit(
            side(&args.name, &sample.fingerprint),
            side(name, &piece.fingerprint),
            lighter,
        )?;
    }
    Ok(())
}

/// Reads `coverage=0.04`.
fn allowance(text: &str) -> Result<(String, f64)> {
    let refused = || Error::NoSuchAllowance {
        given: text.to_owned(),
        known: figures()
            .map(|m| m.key)
            .chain([LOOK.key])
            .collect::<Vec<_>>()
            .join(", "),
    };
    let (key, figure) = text.split_once('=').ok_or_else(refused)?;
    let row = allowed_of(key.trim()).ok_or_else(refused)?;
    let figure: f64 = figure.trim().parse().map_err(|_| refused())?;
    if figure.is_finite() && figure > 0.0 {
        Ok((row.key.to_owned(), figure))
    } else {
        Err(refused())
    }
}
