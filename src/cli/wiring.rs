//! `tipring wiring`: every lead from jack to jack.

use super::Outcome;
use super::kind::Kind;
use super::printing::{Printing, Records, Told};
use crate::print::wiring as print;

/// List every lead from jack to jack, with its kind, and count them
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring wiring examples/winter
  tipring wiring examples/winter -o wiring.csv")]
pub(super) struct Args {
    #[command(flatten)]
    printing: Printing<Records>,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run(|compiled, kind| {
        let leads = compiled.wiring();
        Ok(match kind {
            Kind::Csv => Told::Data(print::csv(&compiled.book, leads)),
            _ => print::doc(compiled, leads).into(),
        })
    })
}
