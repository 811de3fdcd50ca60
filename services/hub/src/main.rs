//! The binary `haulout`.

use std::process::ExitCode;

fn main() -> ExitCode {
    haulout_hub::cli::run()
}
