//! The command line: reads the arguments, hands them to a command, ends with its status.
#![forbid(unsafe_code)]

mod check;
mod compare;
mod event_loop;
mod exit;
mod files;
mod journal;
mod new;
mod night;
mod output;
mod page;
mod place;
mod serve;
mod stars;
mod sweep;
mod talk;
mod trial;
mod vet;

use clap::{Parser, Subcommand};
use exit::{Exit, Failure};
use std::process::ExitCode;

const ABOUT: &str = "\
A bench for geared telescope mounts: mount, sky and observer, simulated.

Without a command it plays a built-in night: an open evening on a school field.";

const STATUSES: &str = "\
Exit status: 0 all held, 1 an expectation failed or a figure got worse, 2 what
was given can't be used, 3 something outside failed (a port, a disk): try again.";

/// All of the command line.
#[derive(Parser)]
#[command(name = "nightbench", version, about = ABOUT, after_help = STATUSES)]
#[command(max_term_width = 80, disable_help_subcommand = true)]
struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    /// Play one night: print its table, write its folder of results
    #[command(after_help = STATUSES)]
    Night(night::NightArguments),
    /// Answer eight questions, and a scenario of your own is there
    #[command(after_help = STATUSES)]
    New(new::NewArguments),
    /// Judge scenario files without playing them
    #[command(after_help = STATUSES)]
    Check(check::CheckArguments),
    /// Play many nights of a file, compare strategies on the same draws
    #[command(after_help = STATUSES)]
    Sweep(sweep::SweepArguments),
    /// Make one sweep out of the shards of many machines
    #[command(after_help = STATUSES)]
    Merge(sweep::merge::MergeArguments),
    /// Compare two nights or two sweeps: what got better, what got worse
    #[command(after_help = STATUSES)]
    Compare(compare::CompareArguments),
    /// Tell where a thing is: observed place, hour angle, rise, transit, set
    #[command(after_help = STATUSES)]
    Place(place::PlaceArguments),
    /// Rank the next alignment stars by what each would buy
    #[command(after_help = STATUSES)]
    Stars(stars::StarsArguments),
    /// Be a mount to connect to, over TCP or a serial line
    #[command(after_help = STATUSES)]
    Serve(serve::ServeArguments),
    /// Open the live bench in a browser: a mount to play with, and lessons
    #[command(after_help = STATUSES)]
    Page(page::PageArguments),
    /// Put a program of your own on trial: a night, faults, a verdict
    #[command(after_help = STATUSES)]
    Trial(trial::TrialArguments),
    /// Type commands at a mount, or pipe them to it
    #[command(after_help = STATUSES)]
    Talk(talk::TalkArguments),
    /// Try the requirements of the line language against any implementation
    #[command(after_help = STATUSES)]
    Vet(vet::VetArguments),
}

fn main() -> ExitCode {
    let command = Arguments::parse().command.unwrap_or_else(|| Command::Night(Default::default()));
    let result = match command {
        Command::Night(arguments) => night::run(&arguments),
        Command::New(arguments) => new::run(&arguments),
        Command::Check(arguments) => check::run(&arguments),
        Command::Sweep(arguments) => sweep::run(&arguments),
        Command::Merge(arguments) => sweep::merge::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Place(arguments) => place::run(&arguments),
        Command::Stars(arguments) => stars::run(&arguments),
        Command::Serve(arguments) => serve::run(&arguments),
        Command::Page(arguments) => page::run(&arguments),
        Command::Trial(arguments) => trial::run(&arguments),
        Command::Talk(arguments) => talk::run(&arguments),
        Command::Vet(arguments) => vet::run(&arguments),
    };
    result.unwrap_or_else(told).into()
}

/// Says what went wrong on standard error.
fn told(failure: Failure) -> Exit {
    output::tell(&failure.message);
    failure.exit
}
