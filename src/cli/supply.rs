//! `tipring supply`: does the power suffice, and does it fit?

use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, wrong};
use crate::print::supply as print;
use crate::study::supply::budget;

/// Add up the power: outlets, what hangs on them, and what does not fit
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring supply examples/winter
  tipring supply examples/winter --format csv -o power.csv")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// How to print
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    Text,
    Csv,
}

pub(super) fn run(args: &Args) -> Outcome {
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    let budget = budget(&compiled.book);
    let text = match args.format {
        Format::Text => print::text(&compiled.book, &budget),
        Format::Csv => print::csv(&compiled.book, &budget),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}
