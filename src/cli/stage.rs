//! `tipring stage`: the page for a phone or a tablet.

use super::kind::Kind;
use super::open::{Drafting, Opening};
use super::output::To;
use super::played::Played;
use super::sheet::page_for_a_stage;
use super::since::Since;
use super::{CLEAN, Outcome, wrong};
use crate::print::sheet::{self, Wanted};

/// Write the stage page: one offline page that steps through the set on a phone or a tablet
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring stage examples/winter -o stage.html
  tipring stage examples/winter --set \"club night\" -o stage.html
  tipring stage examples/winter --songs tonight.txt -o stage.html
  tipring stage examples/spring --since examples/winter -o stage.html

On the page: arrow keys, space, page keys, swipe or the buttons move; it remembers its place.")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    #[command(flatten)]
    played: Played,
    #[command(flatten)]
    since: Since,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: To,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.out.only(Kind::Html)?;
    args.played.spared_by(&args.out)?;
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    let Some(compiled) = args.played.of(compiled, &args.drafting)? else { return Ok(wrong()) };
    let draft = args.drafting.draft && compiled.errors() > 0;
    let wanted = Wanted {
        set: args.played.title().map(str::to_owned),
        draft,
        stale: args.since.stale(&compiled)?,
        ..Wanted::default()
    };
    let sheet = sheet::sheet(&compiled, &wanted);
    args.out.write(page_for_a_stage(&sheet)?.as_bytes())?;
    Ok(CLEAN)
}
