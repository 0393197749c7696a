//! `tipring midi`: a set as a standard MIDI file, or each preset's bytes.

use super::kind::formats;
use super::open::{Drafting, Opening};
use super::output::Out;
use super::played::Played;
use super::{CLEAN, Outcome, Trouble, output, wrong};
use crate::print;
use crate::settle::CellKind;

/// Write the MIDI of a set as a file, or show the bytes of each preset
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring midi examples/winter --format hex
  tipring midi examples/winter --set \"first night\" -o first-night.mid

In the file the next part begins where a part says that it is over (`lasts 1:30`). A part that does not say it has
four quarters, or as long as its preset still sends: a place to move what follows from, and no time that anybody knows.")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    #[command(flatten)]
    played: Played,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out<Format>,
}

formats!(Format {
    /// A standard MIDI file of one set
    File = Midi,
    /// Bytes for a person to check, preset by preset
    Hex = Text,
    /// The same for programs
    Json
});

pub(super) fn run(args: &Args) -> Outcome {
    let format = args.out.format()?;
    if let Some(option) = args.played.option().filter(|_| format != Format::File) {
        let word = if format == Format::Hex { "hex" } else { "json" };
        return Err(Trouble(format!(
            "`{option}` goes with the file: `--format {word}` lists every preset, in whatever set"
        )));
    }
    args.played.spared_by(args.out.to())?;
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    match format {
        Format::Hex => args.out.write(print::midi::hex(&compiled).as_bytes())?,
        Format::Json => args.out.write(print::midi::json(&compiled).as_bytes())?,
        Format::File => {
            let Some(compiled) = args.played.of(compiled, args.drafting.draft)? else { return Ok(wrong()) };
            let run = args.played.one(&compiled)?;
            let Some(walked) = compiled.walk().runs.iter().find(|walked| walked.run == run) else {
                return Err(Trouble("the book plays nothing".to_owned()));
            };
            let cells = &compiled.table.cells.list;
            if !cells.iter().any(|cell| matches!(cell.kind, CellKind::Message { .. })) {
                output::complain("no device of the board listens to MIDI: the file holds markers and tempos alone");
            }
            args.out.write(&print::midi::set(&compiled, walked))?;
        }
    }
    Ok(CLEAN)
}
