//! `approve`: mark a kept finish as the approved sample.

use std::collections::BTreeMap;

use super::args::ApproveArgs;
use super::context::Context;
use super::exit::Exit;
use crate::error::{Error, Result};
use crate::fingerprint::metric::{METRICS, metric};

pub(super) fn run(args: &ApproveArgs, context: &mut Context) -> Result<Exit> {
    let allowances = args
        .allow
        .iter()
        .map(|a| allowance(a))
        .collect::<Result<BTreeMap<_, _>>>()?;
    let mut archive = context.archive()?;
    archive.approve(&args.name, &Context::now(), &allowances)?;
    context.say(&format!("`{}` is an approved sample.", args.name))?;
    let approval = archive.finish_named(&args.name)?.approval;
    if approval.is_none_or(|a| a.allowances.is_empty()) {
        context.say("No allowances of your own: matches use starting allowances until you give some with --allow.")?;
    }
    Ok(Exit::Done)
}

/// Reads `coverage=0.04`.
fn allowance(text: &str) -> Result<(String, f64)> {
    let refused = || Error::NoSuchAllowance {
        given: text.to_owned(),
        known: METRICS.map(|m| m.key).join(", "),
    };
    let (key, figure) = text.split_once('=').ok_or_else(refused)?;
    let row = metric(key.trim()).ok_or_else(refused)?;
    let figure: f64 = figure.trim().parse().map_err(|_| refused())?;
    if figure.is_finite() && figure > 0.0 {
        Ok((row.key.to_owned(), figure))
    } else {
        Err(refused())
    }
}
