//! A folder watched: each new photo is answered as it comes in, and whatever becomes of one, the next is waited for.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::context::Context;
use super::exit::Exit;
use super::interrupt;
use crate::error::{Error, Result};
use crate::studio::watch::Watch;
use crate::words::job;

/// To answer photos as they come in
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct WatchArgs {
    /// Answer each new photo of a folder as it comes in, until Ctrl-C [without a name: the folder your camera's photos come into]
    #[arg(long, value_name = "FOLDER")]
    watch: Option<Option<PathBuf>>,
}

impl WatchArgs {
    /// The folder to watch, where one is to be watched: `None` of the inner two stands for the camera's own.
    pub(super) fn folder(&self) -> Option<Option<&Path>> {
        self.watch.as_ref().map(Option::as_deref)
    }
}

/// Does `work` for each photo that comes into the folder. The answer is the worst of all.
///
/// # Errors
/// The folder is not known, or cannot be read; nobody hears the answers any more.
pub(super) fn each_new(
    folder: Option<&Path>,
    context: &mut Context,
    mut work: impl FnMut(&Path, &mut Context) -> Result<Exit>,
) -> Result<Exit> {
    let folder = context.holds()?.camera_folder(folder)?;
    let stop = Arc::new(AtomicBool::new(false));
    let mut watch = Watch::begin(&folder, Arc::clone(&stop))?;
    interrupt::tell(move || stop.store(true, Ordering::Relaxed));
    context.note(&job::watching(&folder));
    let mut worst = Exit::Done;
    while let Some(photo) = watch.next_photo()? {
        // Another program may have said more of the job meanwhile.
        context.look_again();
        let end = match work(&photo, context) {
            Ok(end) => end,
            Err(error @ Error::Output { .. }) => return Err(error),
            Err(error) => {
                context.complain(&error);
                Exit::from(&error)
            }
        };
        worst = worst.max(end);
    }
    Ok(worst)
}
