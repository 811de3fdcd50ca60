//! The binary `haulout`.

use std::process::ExitCode;

/// Checking makes and drops a small tree for every record, on all cores at once.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    haulout_hub::cli::run()
}
