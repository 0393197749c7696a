//! `tipring supply`: does the power suffice, and does it fit?

use super::kind::{self, Kind};
use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, wrong};
use crate::print::supply as print;
use crate::study::supply::budget;

/// Add up the power: outlets, what hangs on them, and what does not fit
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring supply examples/winter
  tipring supply examples/winter -o power.csv")]
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
    let budget = budget(&compiled.book);
    let text = match format {
        Format::Text => print::text(&compiled.book, &budget),
        Format::Csv => print::csv(&compiled.book, &budget),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}
