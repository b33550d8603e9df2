//! The stemwise command: parses, calls, prints.

mod args;
mod batch;
mod evidence;
mod files;
mod run;
mod serve;
mod show;
mod site;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    match args::Cli::try_parse() {
        Ok(cli) => run::run(cli),
        Err(error) => {
            // Help that nobody reads to its end is no failure.
            let _ = error.print();
            ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
        }
    }
}
