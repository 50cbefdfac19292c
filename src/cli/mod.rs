//! Arguments in, words or JSON out, an exit code back. One subcommand, one file; no logic here.

mod approve;
mod args;
mod backup;
mod check;
mod context;
mod demo;
mod effect;
mod exit;
mod export;
mod find;
mod import;
mod keep;
mod ladder;
mod list;
mod match_to;
mod measure;
mod panel;
mod panels;
mod photos;
mod pictured;
mod place;
mod promise;
mod recipe;
mod remeasure;
mod rig;
mod session;
mod set;
mod several;
mod sheet;
mod show;
mod signing;
mod study;
mod terms;
mod verify;
mod whole_file;

use std::process::ExitCode;

use clap::Parser;

use crate::error::Result;
use args::{Args, Command};
use context::Context;
use exit::Exit;

/// Runs the program on the arguments of the process.
#[must_use]
pub fn main() -> ExitCode {
    // A decoder that panics on a hostile file is caught where it is called; its own message would only confuse.
    std::panic::set_hook(Box::new(|_| {}));
    let args = Args::parse();
    let run = std::panic::AssertUnwindSafe(|| {
        let mut context = Context::of_process(args.archive.clone(), args.words);
        let done = run(&args, &mut context);
        context.finish(done)
    });
    std::panic::catch_unwind(run)
        .unwrap_or_else(|_| Context::of_process(None, true).broken())
        .into()
}

fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    match &args.command {
        Command::Demo(args) => demo::run(args, context),
        Command::Check(args) => check::run(args, context),
        Command::Measure(args) => measure::run(args, context),
        Command::Keep(args) => keep::run(args, context),
        Command::Approve(args) => approve::run(args, context),
        Command::Match(args) => match_to::run(args, context),
        Command::Set(args) => set::run(args, context),
        Command::Ladder(args) => ladder::run(args, context),
        Command::Find(args) => find::run(args, context),
        Command::Promise(args) => promise::run(args, context),
        Command::Recipe(args) => recipe::run(args, context),
        Command::Effect(args) => effect::run(args, context),
        Command::Rig(args) => rig::run(args, context),
        Command::Sheet(args) => sheet::run(args, context),
        Command::List(args) => list::run(args, context),
        Command::Show(args) => show::run(args, context),
        Command::Remeasure(args) => remeasure::run(args, context),
        Command::Export(args) => export::run(args, context),
        Command::Import(args) => import::run(args, context),
        Command::Backup(args) => backup::run(args, context),
        Command::Verify(args) => verify::run(args, context),
    }
}
