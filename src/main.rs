//! The program `pulsewright`.

use std::process::ExitCode;

fn main() -> ExitCode {
    pulsewright::cli::main()
}
