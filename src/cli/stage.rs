//! `tipring stage`: the page for a phone or a tablet.

use super::kind::Kind;
use super::open::{Drafting, Opening};
use super::output::To;
use super::played::Played;
use super::sheet::page_for_a_stage;
use super::since::Since;
use super::{CLEAN, Outcome, wrong};
use crate::print::sheet::{self, Wanted};

/// Write the stage page: one offline page for a phone or a tablet that steps through the set, and takes changes and notes
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring stage examples/winter -o stage.html
  tipring stage examples/winter --set \"club night\" -o stage.html
  tipring stage examples/winter --songs tonight.txt -o stage.html
  tipring stage examples/spring --since examples/winter -o stage.html

On the page: arrow keys, space, Enter, page keys, swipe or the buttons move, and a part can be touched. The order of the
night is changed by touch and given back as text that `sheet --songs` reads; notes are given back the same way. It
keeps its place, the order and the notes on the device, by book, set, song and part: a new version opens at the same song.

What leads is at least so large that capitals fill 20 minutes of arc (NUREG-0700) at 0.6 m on a phone of 68 mm width, and
at 1.2 m on a tablet of 160 mm.")]
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
    let Some(compiled) = args.played.of(compiled, args.drafting.draft)? else { return Ok(wrong()) };
    let draft = args.drafting.draft && compiled.errors() > 0;
    let wanted = Wanted {
        set: args.played.title().map(str::to_owned),
        draft,
        stale: args.since.known(&compiled, &args.opening.book)?.stale,
        ..Wanted::default()
    };
    let sheet = sheet::sheet(&compiled, &wanted);
    args.out.write(page_for_a_stage(&compiled, &sheet, &args.played)?.as_bytes())?;
    Ok(CLEAN)
}
