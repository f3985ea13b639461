//! The program: hands the command line to `cli`.

use std::process::ExitCode;

fn main() -> ExitCode {
    rungwright::cli::run()
}
