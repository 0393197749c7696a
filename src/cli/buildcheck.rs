//! `tipring buildcheck`: in which order to plug and test.

use super::Outcome;
use super::kind::Kind;
use super::printing::{Printing, Records, Told};
use crate::print::wiring as print;
use crate::study::buildcheck;

/// Print the order to plug in: after each lead one test, with one new thing to blame
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring buildcheck examples/winter
  tipring buildcheck examples/winter -o buildcheck.pdf")]
pub(super) struct Args {
    #[command(flatten)]
    printing: Printing<Records>,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run(|compiled, kind| {
        let leads = compiled.wiring();
        let steps = buildcheck::steps(&compiled.book.board, compiled.route(), leads);
        Ok(match kind {
            Kind::Csv => Told::Data(print::check::csv(&compiled.book, leads, &steps)),
            _ => print::check::doc(compiled, leads, &steps).into(),
        })
    })
}
