//! The command line: one binary, one table of commands, one way to fail.

mod backup;
mod check;
pub mod database;
mod generate;
mod output;
mod paths;
mod person;
mod plan;
mod post;
mod region;
mod rules;
mod schema;
pub mod serve;
mod solve;
mod statement;
mod template;
mod token;
mod verify;

use clap::{Parser, Subcommand};
use std::process::ExitCode;

pub use output::Failure;

/// Places for rescued turtles, tortoises and crocodilians, and a count that stays true.
///
/// Exit codes: 0 good, 1 the answer is "no" (errors found, mismatch), 2 could not be done.
#[derive(Debug, Parser)]
#[command(
    name = "haulout",
    version,
    propagate_version = true,
    max_term_width = 100,
    after_help = "Example:\n  haulout check night.ndjson"
)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Demo(crate::demo::Demo),
    Serve(serve::Serve),
    Check(check::Check),
    Post(post::Post),
    Generate(generate::Generate),
    Schema(schema::Schema),
    Template(template::Template),
    Rules(rules::Rules),
    Region(region::Region),
    Plan(plan::Plan),
    #[command(hide = true)]
    Solve(solve::Solve),
    Statement(statement::Statement),
    Person(person::Person),
    Token(token::Token),
    Verify(verify::Verify),
    Rebuild(verify::Rebuild),
    Backup(backup::Backup),
}

impl Command {
    fn run(self) -> Result<Verdict, Failure> {
        match self {
            Self::Demo(command) => command.run(),
            Self::Serve(command) => command.run(),
            Self::Check(command) => command.run(),
            Self::Post(command) => command.run(),
            Self::Generate(command) => command.run(),
            Self::Schema(command) => command.run(),
            Self::Template(command) => command.run(),
            Self::Rules(command) => command.run(),
            Self::Region(command) => command.run(),
            Self::Person(command) => command.run(),
            Self::Token(command) => command.run(),
            Self::Plan(command) => command.run(),
            Self::Solve(command) => command.run(),
            Self::Statement(command) => command.run(),
            Self::Verify(command) => command.run(),
            Self::Rebuild(command) => command.run(),
            Self::Backup(command) => command.run(),
        }
    }
}

/// What a command that could be done answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Good: exit code 0.
    Yes,
    /// The answer is "no": exit code 1.
    No,
}

/// Runs the command line of this process.
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            let _ = error.print();
            return if error.use_stderr() { ExitCode::from(2) } else { ExitCode::SUCCESS };
        }
    };
    match cli.command.run() {
        Ok(Verdict::Yes) => ExitCode::SUCCESS,
        Ok(Verdict::No) => ExitCode::from(1),
        // Whoever reads a pipe may stop reading: that is no failure to speak of.
        Err(failure) if failure.is_closed_pipe() => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("haulout: {failure}");
            ExitCode::from(2)
        }
    }
}
