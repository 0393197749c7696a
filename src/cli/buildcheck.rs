//! `tipring buildcheck`: in which order to plug and test.

use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, wrong};
use crate::print::wiring as print;
use crate::study::buildcheck;
use crate::study::wiring::wiring;

/// Print the order to plug in: after each lead one test, with one new thing to blame
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring buildcheck examples/winter
  tipring buildcheck examples/winter --format csv -o buildcheck.csv")]
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
    let steps = buildcheck::steps(&compiled.book, &leads);
    let text = match args.format {
        Format::Text => print::check_text(&compiled.book, &leads, &steps),
        Format::Csv => print::check_csv(&compiled.book, &leads, &steps),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}
