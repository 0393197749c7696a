//! `tipring walk`: what each change of a set costs.

use super::Outcome;
use super::kind::{Kind, formats};
use super::played::Played;
use super::printing::{Printing, Told};
use crate::print;

/// Walk through the sets: presses, what moves, what hands and feet do, what jumps, what is cut
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring walk examples/winter
  tipring walk examples/winter --set \"first night\"
  tipring walk examples/winter --songs tonight.txt
  tipring walk examples/winter -o walk.html")]
pub(super) struct Args {
    #[command(flatten)]
    played: Played,
    #[command(flatten)]
    printing: Printing<Format>,
}

formats!(Format {
    /// For the eye
    Text,
    /// For programs
    Json,
    /// A page with a drawn strip of each set
    Html,
    Md,
    /// On paper
    Pdf
});

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run_played(&args.played, |compiled, kind| {
        let pages = print::walk::pages(compiled, args.played.title());
        Ok(match kind {
            Kind::Json => Told::Data(print::walk::json(&pages)),
            _ => print::walk::doc(compiled, &pages).into(),
        })
    })
}
