//! `tipring stage`: the page for a phone or a tablet.

use std::path::PathBuf;

use super::kind::Kind;
use super::open::{Drafting, Opening};
use super::output::To;
use super::sheet::{choose, page_for_a_stage};
use super::{CLEAN, Outcome, wrong};
use crate::print::sheet;

/// Write the stage page: one offline page that steps through the set on a phone or a tablet
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring stage examples/winter -o stage.html
  tipring stage examples/winter --set \"club night\" -o stage.html
  tipring stage examples/winter --songs tonight.txt -o stage.html

On the page: arrow keys, space, page keys, swipe or the buttons move; it remembers its place.")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// One set; all of them when left out
    #[arg(long, value_name = "TITLE")]
    set: Option<String>,
    /// Tonight's order: a file with a title a line (- is standard input); the book stays as it is
    #[arg(long, value_name = "FILE", conflicts_with = "set")]
    songs: Option<PathBuf>,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: To,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.out.only(Kind::Html)?;
    args.out.spares(args.songs.as_deref())?;
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    let mut wanted = choose(args.set.as_deref(), args.songs.as_deref(), &compiled)?;
    wanted.draft = args.drafting.draft && compiled.errors() > 0;
    let sheet = sheet::sheet(&compiled, &wanted);
    args.out.write(page_for_a_stage(&sheet)?.as_bytes())?;
    Ok(CLEAN)
}
