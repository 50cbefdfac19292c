//! What an interrupt ends: the work that asked to be told of it, once; else the program, after the change that is under way.

use std::sync::{Mutex, MutexGuard, PoisonError};

use super::context::Context;
use crate::archive;
use crate::words::STOPPED;

/// The exit code of a program that was interrupted (128 and the number of the signal, as shells count).
const INTERRUPTED: i32 = 130;

/// What is told instead of ending the program.
static TOLD: Mutex<Option<Box<dyn FnOnce() + Send>>> = Mutex::new(None);

/// Listens for interrupts from here on. Where that cannot be had, one ends the program as any other.
pub(super) fn listen() {
    let _ = ctrlc::try_set_handler(|| {
        let told = told().take();
        if let Some(tell) = told {
            return tell();
        }
        let stopped = STOPPED[usize::from(archive::stop())];
        Context::of_process(None, true, true).note(stopped);
        std::process::exit(INTERRUPTED);
    });
}

/// Lets the next interrupt be told to some work, which then ends by itself. One more ends the program.
pub(super) fn tell(work: impl FnOnce() + Send + 'static) {
    *told() = Some(Box::new(work));
}

fn told() -> MutexGuard<'static, Option<Box<dyn FnOnce() + Send>>> {
    TOLD.lock().unwrap_or_else(PoisonError::into_inner)
}
