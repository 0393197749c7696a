//! `tipring new`: a book to start from.

use std::path::PathBuf;

use super::replace::{Change, replace};
use super::{CLEAN, Outcome, Trouble, output};
use crate::source::{load, shipped};

/// Write a starter book that compiles clean
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring new my-tour
  tipring new my-tour --from starter-touring")]
pub(super) struct Args {
    /// The folder to make
    dir: PathBuf,
    /// Which starter: starter-small, starter-touring
    #[arg(long, value_name = "NAME", default_value = "starter-small")]
    from: String,
}

#[allow(clippy::disallowed_methods, reason = "the folder is made here")]
pub(super) fn run(args: &Args) -> Outcome {
    let Some(text) = shipped::starter(&args.from) else {
        let all: Vec<&str> = shipped::starters().collect();
        return Err(Trouble(format!("there is no starter `{}`; there are {}", args.from, all.join(", "))));
    };
    let file = args.dir.join("book.scene");
    if let Some(book) = load::files_of(&args.dir).ok().and_then(|files| files.into_iter().next()) {
        return Err(Trouble(format!(
            "{} holds a book already (`{}`); nothing was written",
            args.dir.display(),
            book.display()
        )));
    }
    std::fs::create_dir_all(&args.dir).map_err(|e| Trouble(format!("cannot make {}: {e}", args.dir.display())))?;
    replace(&[Change { path: file.clone(), was: None, bytes: text.into() }])?;
    output::print(format!("wrote {}; next: tipring check {}\n", file.display(), args.dir.display()).as_bytes())?;
    Ok(CLEAN)
}
