//! `tipring walk`: what each change of a set costs.

use super::kind::{Kind, formats};
use super::offer::no_set;
use super::printing::{Printing, Told};
use super::{Outcome, Trouble};
use crate::Compiled;
use crate::print;
use crate::study::ways;

/// Walk through the sets: presses, what moves, what hands and feet do, what jumps, what is cut
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring walk examples/winter
  tipring walk examples/winter --set \"first night\"
  tipring walk examples/winter -o walk.html")]
pub(super) struct Args {
    /// Only this set
    #[arg(long, value_name = "NAME")]
    set: Option<String>,
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
    args.printing.run(|compiled, kind| {
        known(compiled, args.set.as_deref())?;
        let pages = print::walk::pages(compiled, args.set.as_deref());
        Ok(match kind {
            Kind::Json => Told::Data(print::walk::json(&pages)),
            _ => print::walk::doc(compiled, &pages).into(),
        })
    })
}

/// The set is one of the book's.
pub(super) fn known(compiled: &Compiled, set: Option<&str>) -> Result<(), Trouble> {
    let key = crate::book::song::title_key;
    let runs = ways::runs(&compiled.book);
    let titles = || runs.iter().map(|run| run.title(&compiled.book));
    let Some(wanted) = set.filter(|s| !titles().any(|t| key(t) == key(s))) else { return Ok(()) };
    Err(no_set(&compiled.book, wanted))
}
