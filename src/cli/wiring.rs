//! `tipring wiring`: every lead from jack to jack.

use super::kind::{self, Kind};
use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, wrong};
use crate::print::wiring as print;
use crate::study::wiring::wiring;

/// List every lead from jack to jack, with its kind, and count them
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring wiring examples/winter
  tipring wiring examples/winter -o wiring.csv")]
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
    let text = match format {
        Format::Text => print::text(&compiled.book, &leads),
        Format::Csv => print::csv(&compiled.book, &leads),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}
