//! `bench`: the page for the phone. It shows and does what the command line does, by the same use cases and documents.

mod actions;
mod chosen;
mod desk;
mod folder;
mod guard;
mod key;
mod lifted;
mod live;
mod next;
mod pages;
mod phones;
mod queue;
mod routes;
mod serve;
mod sheets;
mod swept;
mod uploads;
mod work;

use std::ffi::OsString;
use std::io::{self, IsTerminal};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::sync::Arc;

use super::context::Context;
use super::exit::Exit;
use crate::error::{Error, Result};
use desk::Desk;
use folder::Folder;
use guard::Door;
use key::Key;
use queue::Queue;
use sheets::Sheets;

/// Open the page for the bench: photograph with the phone, know, keep
#[derive(Debug, Default, clap::Args)]
pub(super) struct Args {
    /// The port to listen on [default: any that is free]
    #[arg(
        long,
        value_name = "NUMBER",
        default_value = "0",
        hide_default_value = true
    )]
    port: u16,

    /// Do not open the browser
    #[arg(long)]
    no_open: bool,

    /// Let phones of the same network in: a code to photograph carries the link
    #[arg(long)]
    phones: bool,
}

/// Photos that are read at once: each takes some 300 MB while it is.
const MOST_AT_WORK: usize = 3;

/// Said below the link.
const HOW_TO_END: &str =
    "The bench is open. Ctrl-C closes it; photos that were not kept go with it.";

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let failed = |source| Error::BenchNotOpened { source };
    let folder = Folder::new().map_err(failed)?;
    let at = if args.phones {
        phones::own_address().map_err(failed)?
    } else {
        IpAddr::V4(Ipv4Addr::LOCALHOST)
    };
    let listener = TcpListener::bind(SocketAddr::new(at, args.port)).map_err(failed)?;
    listener.set_nonblocking(true).map_err(failed)?;
    let port = listener.local_addr().map_err(failed)?.port();
    let key = Key::fresh().map_err(failed)?;
    let link = format!("http://{}/?key={}", SocketAddr::new(at, port), key.text());
    let mut names = vec![host(at)];
    if at.is_loopback() {
        names.push("localhost".to_owned());
    }
    let desk = Desk {
        archive: context.archive_path()?,
        now: context.studio()?.now,
        queue: Queue::new(at_once()),
        sheets: Sheets::new(folder.path()),
        private: folder.path().to_owned(),
        for_phones: args.phones.then(|| link.clone()),
    };
    let routes = routes::routes(Arc::new(desk), Door::new(&names, port, key));
    let runtime = serve::runtime().map_err(failed)?;
    context.say(&link)?;
    context.note(HOW_TO_END);
    if let Some(code) = args.phones.then(|| phones::for_terminal(&link)).flatten() {
        context.note(&code);
    }
    if !args.no_open {
        // A computer without a browser still has the link.
        let _ = open::that_detached(&link);
    }
    serve::serve(runtime, listener, &routes).map_err(failed)?;
    Ok(Exit::Done)
}

/// An address as it stands before the port.
fn host(at: IpAddr) -> String {
    match at {
        IpAddr::V4(at) => at.to_string(),
        IpAddr::V6(at) => format!("[{at}]"),
    }
}

fn at_once() -> usize {
    std::thread::available_parallelism().map_or(1, |threads| threads.get().min(MOST_AT_WORK))
}

/// The program was started with nothing said and no terminal to say it in, as a double click does.
pub(super) fn is_meant(mut line: impl Iterator<Item = OsString>) -> bool {
    let alone = line.next().is_some() && line.next().is_none();
    alone
        && !(io::stdin().is_terminal() || io::stdout().is_terminal() || io::stderr().is_terminal())
}
