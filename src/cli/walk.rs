//! `tipring walk`: what each change of a set costs.

use super::kind::{self, Kind};
use super::offer::no_set;
use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, Trouble, wrong};
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
    #[command(flatten)]
    opening: Opening,
    /// Only this set
    #[arg(long, value_name = "NAME")]
    set: Option<String>,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out<Format>,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// For the eye
    Text,
    /// For programs
    Json,
    /// A page with a drawn strip of each set
    Html,
}

impl kind::Format for Format {
    fn kind(self) -> Kind {
        match self {
            Format::Text => Kind::Text,
            Format::Json => Kind::Json,
            Format::Html => Kind::Html,
        }
    }
}

pub(super) fn run(args: &Args) -> Outcome {
    let format = args.out.format()?;
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    known(&compiled, args.set.as_deref())?;
    let pages = print::walk::pages(&compiled, args.set.as_deref());
    let text = match format {
        Format::Text => print::walk::text(&pages),
        Format::Json => print::walk::json(&pages),
        Format::Html => print::walk::html(&pages),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}

/// The set is one of the book's.
pub(super) fn known(compiled: &Compiled, set: Option<&str>) -> Result<(), Trouble> {
    let key = crate::book::song::title_key;
    let runs = ways::runs(&compiled.book);
    let titles = || runs.iter().map(|run| run.title(&compiled.book));
    let Some(wanted) = set.filter(|s| !titles().any(|t| key(t) == key(s))) else { return Ok(()) };
    Err(no_set(&compiled.book, wanted))
}
