//! `tipring slots`: which scene stands in which slot, and writing that into the book.

use super::kind::Kind;
use super::patch::{self, Patch};
use super::printing::{Printing, Records, Told};
use super::{CLEAN, Outcome, Trouble, output, report, wrong};
use crate::Compiled;
use crate::fill::slots::pin_edit;
use crate::print::slots as print;
use crate::syntax::edit;
use crate::syntax::format::format;

/// Show the slots, and pin those that the tool chose
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring slots examples/winter
  tipring slots examples/winter -o slots.csv
  tipring slots examples/winter --pin")]
pub(super) struct Args {
    /// Write today's choice into the book, so that it stays when songs change
    #[arg(long, conflicts_with_all = ["output", "format", "draft"])]
    pin: bool,
    #[command(flatten)]
    printing: Printing<Records>,
}

pub(super) fn run(args: &Args) -> Outcome {
    if !args.pin {
        return args.printing.run(|compiled, kind| {
            Ok(match kind {
                Kind::Csv => Told::Data(print::csv(compiled)),
                _ => print::doc(compiled).into(),
            })
        });
    }
    let compiled = args.printing.opening.open()?;
    if compiled.errors() > 0 {
        report::tell(&compiled.files, compiled.mistakes());
        output::complain("the book has errors: nothing was written");
        return Ok(wrong());
    }
    pin(&compiled)
}

fn pin(compiled: &Compiled) -> Outcome {
    let Some(edit) = pin_edit(&compiled.book, &compiled.files, &compiled.presets) else {
        output::print(b"every slot is pinned already\n")?;
        return Ok(CLEAN);
    };
    let file = compiled.files.get(edit.at.file).ok_or_else(|| Trouble("the book has no file".to_owned()))?;
    let mut text = edit::rewrite(&file.text, vec![edit]);
    // A file in its canonical look keeps it; another keeps its own.
    if format(0, &file.text).is_ok_and(|edits| edits.is_empty())
        && let Ok(edits) = format(0, &text)
    {
        text = edit::apply(&text, &edits);
    }
    if file.path == "-" {
        output::print(text.as_bytes())?;
        return Ok(CLEAN);
    }
    let patch = Patch { path: file.disk.clone(), shown: file.path.clone(), old: file.text.clone(), new: text };
    patch::write(vec![patch])?;
    let chosen = compiled.presets.iter().filter(|p| p.chosen).count();
    output::print(format!("pinned {chosen} slots in {}\n", file.path).as_bytes())?;
    Ok(CLEAN)
}
