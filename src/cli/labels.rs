//! `tipring labels`: strips for tape.

use super::kind::{Format as _, formats};
use super::open::{Drafting, Opening};
use super::output::Out;
use super::paper::PaperArgs;
use super::{CLEAN, Outcome, Trouble, wrong};
use crate::print::labels::{self, strips};
use crate::print::sheet::{self, Wanted, reading};

/// Print labels for loops, panel and leads on tape, true to size, with marks to cut by
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring labels examples/winter -o labels.pdf
  tipring labels examples/winter --tape 12 --copies 2 -o labels.pdf
  tipring labels examples/winter")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// The width of the tape in mm; both when left out
    #[arg(long, value_parser = ["9", "12"])]
    tape: Option<String>,
    /// How many of each; one when left out
    #[arg(long, value_parser = clap::value_parser!(u16).range(1..=20))]
    copies: Option<u16>,
    #[command(flatten)]
    paper: PaperArgs,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out<Format>,
}

formats!(Format {
    /// What stands on each label, for a program that prints them
    Csv,
    /// Strips to cut
    Pdf
});

pub(super) fn run(args: &Args) -> Outcome {
    let format = args.out.format()?;
    args.paper.suits(format.kind())?;
    if format == Format::Csv && (args.tape.is_some() || args.copies.is_some()) {
        return Err(Trouble("`--tape` and `--copies` go with a PDF: CSV names each label once".to_owned()));
    }
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    let labels = labels::labels(&compiled);
    if format == Format::Csv {
        args.out.write(labels::csv(&labels).as_bytes())?;
        return Ok(CLEAN);
    }
    let given = args.paper.font()?;
    let fonts = args.paper.fonts(given.as_deref())?;
    let sheet = sheet::sheet(&compiled, &Wanted::default());
    let tapes: Vec<f32> = match args.tape.as_deref() {
        Some("9") => vec![9.0],
        Some("12") => vec![12.0],
        _ => vec![9.0, 12.0],
    };
    let title = format!("{}: labels", reading::heading(&sheet));
    let small = sheet.small.join(" · ");
    let laid = strips::lay(&labels, &title, &small, &tapes, args.copies.unwrap_or(1), args.paper.paper(), &fonts);
    args.out.write(&args.paper.pdf(vec![laid], &fonts, given.as_deref())?)?;
    Ok(CLEAN)
}
