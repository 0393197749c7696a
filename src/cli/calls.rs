//! `tipring calls`: which program calls which preset, part by part, and the file for the computer that sends them.

use super::kind::{Kind, formats};
use super::played::Played;
use super::printing::{Printing, Told};
use super::{Outcome, Trouble};
use crate::print::calls as print;

/// Tell which program calls which preset from outside, part by part, or write the file for the computer that sends them
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring calls examples/fly
  tipring calls examples/fly -o calls.csv
  tipring calls examples/fly --set \"one hour\" -o one-hour.mid
  tipring diff my-tour-1 my-tour-2             tells what in the computer's file is stale

In the MIDI file the next part begins where a part says that it is over (`lasts 1:30`). A part that does not say
it has four quarters: a place to move what follows from, and no time that anybody knows.")]
pub(super) struct Args {
    #[command(flatten)]
    played: Played,
    #[command(flatten)]
    printing: Printing<Format>,
}

formats!(Format {
    Text,
    Md,
    Html,
    /// On paper
    Pdf,
    /// A record a preset, for spreadsheets
    Csv,
    /// For programs
    Json,
    /// A standard MIDI file of one set: a marker for each part, and what calls it at its start
    File = Midi
});

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run_played(&args.played, |compiled, kind| {
        if let Some(lacks) = print::lacks(compiled) {
            return Err(Trouble(lacks.to_owned()));
        }
        if kind == Kind::Midi {
            return Ok(Told::Bytes(print::file(compiled, &args.played.one(compiled)?)));
        }
        if kind == Kind::Csv
            && let Some(option) = args.played.option()
        {
            return Err(Trouble(format!(
                "`{option}` goes with parts: `--format csv` lists every preset, in whatever set"
            )));
        }
        let pages =
            print::pages(compiled, args.played.title()).ok_or_else(|| Trouble("nothing is called".to_owned()))?;
        Ok(match kind {
            Kind::Csv => Told::Data(print::csv(&pages)),
            Kind::Json => Told::Data(print::json(&pages)),
            _ => print::doc(compiled, &pages).into(),
        })
    })
}
