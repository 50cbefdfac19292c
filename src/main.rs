//! The `paneprint` program: arguments in, exit code out.

use std::process::ExitCode;

/// Planes of tens of megabytes come and go in a reading; the system's allocator would map and clear each of them anew.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    paneprint::commands::main()
}
