//! `tipring table`: what each preset stores.

use super::kind::{Kind, formats};
use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, Trouble, wrong};
use crate::print;
use crate::print::model::Shape;

/// Print the truth table: one row a preset, one column a cell
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring table examples/winter
  tipring table examples/winter -o winter.csv
  tipring table examples/winter -o winter.xlsx
  tipring table examples/winter --format json --why
  tipring table examples/winter --format words")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// Print `-` in cells whose value does not matter, not the value stored (text always does)
    #[arg(long)]
    free: bool,
    /// Show how many contacts move over the sets, and what the choice of free cells saves
    #[arg(long)]
    why_free: bool,
    /// With each cell, the statements behind it, the winner first (json and yaml)
    #[arg(long)]
    why: bool,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out<Format>,
}

formats!(Format {
    /// A table for the eye, at most 80 columns wide
    Text,
    /// For spreadsheets
    Csv,
    /// A spreadsheet's own file, with its heads in view
    Xlsx,
    /// For programs
    Json,
    /// The same as YAML
    Yaml,
    /// Each scene in the musician's words
    Words = Text
});

pub(super) fn run(args: &Args) -> Outcome {
    let format = if args.why_free { args.out.only(Kind::Text).map(|()| Format::Text)? } else { args.out.format()? };
    if args.why && !matches!(format, Format::Json | Format::Yaml) {
        return Err(Trouble("`--why` goes with `--format json` or `yaml`; or ask `tipring why`".to_owned()));
    }
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    if args.why_free {
        args.out.write(print::free::why(&compiled).as_bytes())?;
        return Ok(CLEAN);
    }
    let shape = Shape { free: args.free, why: args.why };
    let text = match format {
        Format::Text => print::text::table(&compiled),
        Format::Csv => print::csv::table(&compiled, args.free),
        Format::Xlsx => {
            args.out.write(&print::xlsx::table(&compiled, args.free)?)?;
            return Ok(CLEAN);
        }
        Format::Json => print::json::table(&compiled, shape),
        Format::Yaml => print::yaml::table(&compiled, shape),
        Format::Words => print::words::table(&compiled),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}
