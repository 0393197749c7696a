//! Arguments in, exit codes and all output out. One command, one file.

mod adopt;
mod ask;
mod buildcheck;
mod calls;
mod change;
mod check;
mod date;
mod diff;
mod draft;
mod explain;
mod fmt;
mod kind;
mod labels;
mod linecheck;
mod mend;
mod merge;
mod midi;
mod new;
mod offer;
mod open;
mod output;
mod paper;
mod patch;
mod place;
mod played;
mod printing;
mod progress;
mod readback;
mod record;
mod replace;
mod report;
mod safe;
mod sheet;
mod signal;
mod since;
mod slots;
mod stage;
mod supply;
mod table;
mod unfinished;
mod walk;
mod wanted;
mod whereabouts;
mod why;
mod wiring;
mod without;

use std::process::ExitCode;

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

/// What a command ends with.
pub type Outcome = Result<ExitCode, Trouble>;

/// Why the tool could not run at all: told in one line, exit code 2.
pub struct Trouble(pub String);

impl From<crate::CannotOpen> for Trouble {
    fn from(error: crate::CannotOpen) -> Trouble {
        Trouble(error.to_string())
    }
}

impl From<String> for Trouble {
    fn from(says: String) -> Trouble {
        Trouble(says)
    }
}

/// Done, and nothing was wrong.
pub const CLEAN: ExitCode = ExitCode::SUCCESS;

/// The book has errors, or two things differ.
pub fn wrong() -> ExitCode {
    ExitCode::from(1)
}

#[derive(Parser)]
#[command(
    name = "tipring",
    version,
    about = "Scene books for a pedalboard's loop switcher: conflicts found, presets compiled, gig sheets printed",
    after_help = "Exit codes: 0 clean, 1 the book has errors (or two books differ), 2 the tool could not run.\n\
                  A BOOK is a file, a folder of .scene files, or - for standard input.",
    propagate_version = true
)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Check(check::Args),
    Fmt(fmt::Args),
    Explain(explain::Args),
    Merge(merge::Args),
    New(new::Args),
    Adopt(adopt::Args),
    Table(table::Args),
    Why(why::Args),
    #[command(name = "where")]
    Where(whereabouts::Args),
    Walk(walk::Args),
    Sheet(sheet::Args),
    Stage(stage::Args),
    Labels(labels::Args),
    Midi(midi::Args),
    Calls(calls::Args),
    Change(change::Args),
    Diff(diff::Args),
    Slots(slots::Args),
    Readback(readback::Args),
    Wiring(wiring::Args),
    Buildcheck(buildcheck::Args),
    Linecheck(linecheck::Args),
    Supply(supply::Args),
    Signal(signal::Args),
    Without(without::Args),
}

/// The commands by the task at hand, as `--help` lists them.
pub const TASKS: [(&str, &[&str]); 5] = [
    ("Write the book", &["check", "fmt", "explain", "merge", "new", "adopt"]),
    ("Ask it", &["table", "why", "where", "walk", "without"]),
    ("Hand it over", &["sheet", "stage", "labels", "midi", "calls"]),
    ("Change it", &["change", "diff", "slots", "readback"]),
    ("Build the board", &["wiring", "buildcheck", "linecheck", "supply", "signal"]),
];

/// Runs the command line.
pub fn main() -> ExitCode {
    let command = match command().try_get_matches().and_then(|given| Cli::from_arg_matches(&given)) {
        Ok(cli) => cli.command,
        Err(error) => return refused(&error),
    };
    // This thread works too, instead of waiting for others.
    let _ = rayon::ThreadPoolBuilder::new().use_current_thread().build_global();
    let outcome = match command {
        Command::Check(args) => check::run(&args),
        Command::Fmt(args) => fmt::run(&args),
        Command::Table(args) => table::run(&args),
        Command::Change(args) => change::run(&args),
        Command::Diff(args) => diff::run(&args),
        Command::Walk(args) => walk::run(&args),
        Command::Midi(args) => midi::run(&args),
        Command::Calls(args) => calls::run(&args),
        Command::Merge(args) => merge::run(&args),
        Command::Why(args) => why::run(&args),
        Command::Where(args) => whereabouts::run(&args),
        Command::Explain(args) => explain::run(&args),
        Command::Sheet(args) => sheet::run(&args),
        Command::Stage(args) => stage::run(&args),
        Command::Labels(args) => labels::run(&args),
        Command::Slots(args) => slots::run(&args),
        Command::Readback(args) => readback::run(&args),
        Command::Signal(args) => signal::run(&args),
        Command::Supply(args) => supply::run(&args),
        Command::Wiring(args) => wiring::run(&args),
        Command::Buildcheck(args) => buildcheck::run(&args),
        Command::Linecheck(args) => linecheck::run(&args),
        Command::New(args) => new::run(&args),
        Command::Without(args) => without::run(&args),
        Command::Adopt(args) => adopt::run(&args),
    };
    outcome.unwrap_or_else(|Trouble(says)| {
        output::complain(&format!("tipring: {says}"));
        ExitCode::from(2)
    })
}

/// Help, or what is wrong with the arguments: told as it comes, or made safe when an argument holds a control.
fn refused(error: &clap::Error) -> ExitCode {
    if std::env::args_os().all(|word| safe::plain(&word.to_string_lossy())) {
        error.exit();
    }
    let plain = command().styles(clap::builder::Styles::plain()).try_get_matches();
    let says = plain.err().map(|error| error.render().ansi().to_string()).unwrap_or_default();
    output::complain(says.trim_end());
    ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
}

/// The command line as clap knows it, for completions and manual pages.
pub fn command() -> clap::Command {
    let command = Cli::command();
    let tasks = tasks(&command);
    let template = format!("{{about}}\n\n{{usage-heading}} {{usage}}\n{tasks}\n{{options}}{{after-help}}");
    command.help_template(template)
}

fn tasks(command: &clap::Command) -> String {
    let (head, literal) = (command.get_styles().get_header(), command.get_styles().get_literal());
    let wide = command.get_subcommands().map(|c| c.get_name().len()).max().unwrap_or(0);
    let mut out = String::new();
    for (task, names) in TASKS {
        out += &format!("\n{head}{task}:{head:#}\n");
        for one in names.iter().filter_map(|name| command.find_subcommand(name)) {
            let about = one.get_about().map(ToString::to_string).unwrap_or_default();
            out += &format!("  {literal}{:wide$}{literal:#}  {about}\n", one.get_name());
        }
    }
    out
}
