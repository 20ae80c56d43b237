//! The program: its command line is read by [`roundhand::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    roundhand::cli::run()
}
