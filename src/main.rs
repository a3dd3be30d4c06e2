//! The binary: parse arguments, call a command, print.

use std::process::ExitCode;

use clap::Parser;
use forebore::cli::{Cli, run};

fn main() -> ExitCode {
    match run(Cli::parse()) {
        Ok(code) => code,
        Err(error) => {
            anstream::eprintln!("error: {error:#}");
            ExitCode::from(2)
        }
    }
}
