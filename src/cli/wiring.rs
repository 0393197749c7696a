//! `tipring wiring`: every lead from jack to jack.

use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, wrong};
use crate::print::wiring as print;
use crate::study::wiring::wiring;

/// List every lead from jack to jack, with its kind, and count them
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring wiring examples/winter
  tipring wiring examples/winter --format csv -o wiring.csv")]
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
    let leads = wiring(&compiled.book);
    let text = match args.format {
        Format::Text => print::text(&compiled.book, &leads),
        Format::Csv => print::csv(&compiled.book, &leads),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}
