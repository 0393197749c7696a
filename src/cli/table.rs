//! `tipring table`: what each preset stores.

use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, wrong};
use crate::print;

/// Print the truth table: one row a preset, one column a cell
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring table examples/winter
  tipring table examples/winter --format csv -o winter.csv
  tipring table examples/winter --format words")]
pub struct Args {
    #[command(flatten)]
    opening: Opening,
    /// How to print
    #[arg(long, value_enum, default_value_t = Format::Csv)]
    format: Format,
    /// Print `-` in cells whose value does not matter
    #[arg(long)]
    free: bool,
    /// Show how many contacts move over the sets, and what the choice of free cells saves
    #[arg(long)]
    why_free: bool,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    Csv,
}

pub fn run(args: &Args) -> Outcome {
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    if args.why_free {
        args.out.write(print::free::why(&compiled).as_bytes())?;
        return Ok(CLEAN);
    }
    let text = match args.format {
        Format::Csv => print::csv::table(&compiled, args.free),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}
