//! `tipring buildcheck`: in which order to plug and test.

use super::kind::{self, Kind};
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
  tipring buildcheck examples/winter -o buildcheck.csv")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out<Format>,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    Text,
    Csv,
}

impl kind::Format for Format {
    fn kind(self) -> Kind {
        match self {
            Format::Text => Kind::Text,
            Format::Csv => Kind::Csv,
        }
    }
}

pub(super) fn run(args: &Args) -> Outcome {
    let format = args.out.format()?;
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    let leads = wiring(&compiled.book);
    let steps = buildcheck::steps(&compiled.book, &leads);
    let text = match format {
        Format::Text => print::check_text(&compiled.book, &leads, &steps),
        Format::Csv => print::check_csv(&compiled.book, &leads, &steps),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}
