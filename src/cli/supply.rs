//! `tipring supply`: does the power suffice, and does it fit?

use super::Outcome;
use super::kind::Kind;
use super::printing::{Printing, Records, Told};
use crate::print::supply as print;

/// Add up the power: outlets, what hangs on them, and what does not fit
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring supply examples/winter
  tipring supply examples/winter -o power.csv")]
pub(super) struct Args {
    #[command(flatten)]
    printing: Printing<Records>,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run(|compiled, kind| {
        let budget = compiled.supply();
        Ok(match kind {
            Kind::Csv => Told::Data(print::csv(&compiled.book.board, budget)),
            _ => print::doc(compiled, budget).into(),
        })
    })
}
