//! `tipring diff`: what changed between two books.

use std::path::PathBuf;

use super::output::Out;
use super::{CLEAN, Outcome, Trouble, open, report, wrong};
use crate::Compiled;
use crate::check::Severity;
use crate::compare::compare;
use crate::print::diff;

/// Compare two books: what is heard differently, and what must be reprogrammed
#[derive(clap::Args)]
#[command(after_help = "Exit codes: 0 no difference, 1 they differ, 2 the tool could not run.
Examples:
  tipring diff examples/winter examples/spring
  tipring diff old.scene new.scene --format json")]
pub struct Args {
    /// The book as it was: a file or a folder
    old: PathBuf,
    /// The book as it is
    new: PathBuf,
    /// How to print
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Add the text diff of the files
    #[arg(long)]
    source: bool,
    /// Compare books that have errors too, as far as they are understood
    #[arg(long)]
    draft: bool,
    /// Let `use` name files outside the book's folder
    #[arg(long)]
    outside: bool,
    #[command(flatten)]
    out: Out,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    Text,
    Json,
}

pub fn run(args: &Args) -> Outcome {
    let old = clean(open::open(&args.old, args.outside)?, args.draft)?;
    let new = clean(open::open(&args.new, args.outside)?, args.draft)?;
    let comparison = compare(&old, &new);
    let source = args.source.then(|| diff::source::unified(&old.files, &new.files));
    let text = match args.format {
        Format::Text => match source.filter(|s| !s.is_empty()) {
            Some(source) => diff::text::all(&comparison) + "\nSource\n" + &source,
            None => diff::text::all(&comparison),
        },
        Format::Json => diff::json::all(&comparison, source.as_deref()),
    };
    args.out.write(text.as_bytes())?;
    Ok(if comparison.same() { CLEAN } else { wrong() })
}

/// A book without errors, or any where a draft will do.
fn clean(compiled: Compiled, draft: bool) -> Result<Compiled, Trouble> {
    if compiled.errors() == 0 || draft {
        return Ok(compiled);
    }
    report::tell(&compiled, |d| d.severity == Severity::Error);
    Err(Trouble("a book with errors was not compared; `--draft` compares what is known".to_owned()))
}
