//! The `paneprint` program: arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    paneprint::cli::main()
}
