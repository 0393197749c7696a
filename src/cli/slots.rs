//! `tipring slots`: which scene stands in which slot, and writing that into the book.

use super::kind::Kind;
use super::open::Opening;
use super::output::To;
use super::{CLEAN, Outcome, Trouble, output, report, wrong};
use crate::Compiled;
use crate::check::Severity;
use crate::fill::slots::pin_edit;
use crate::syntax::edit;
use crate::syntax::format::format;

/// Show the slots, and pin those that the tool chose
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring slots examples/winter
  tipring slots examples/winter --pin")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// Write today's choice into the book, so that it stays when songs change
    #[arg(long, conflicts_with = "output")]
    pin: bool,
    #[command(flatten)]
    out: To,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.out.only(Kind::Text)?;
    let compiled = args.opening.open()?;
    if compiled.errors() > 0 {
        report::tell(&compiled, |d| d.severity == Severity::Error);
        output::complain("the book has errors: nothing was written");
        return Ok(wrong());
    }
    if args.pin {
        return pin(&compiled);
    }
    args.out.write(list(&compiled).as_bytes())?;
    Ok(CLEAN)
}

fn list(compiled: &Compiled) -> String {
    let range = compiled.book.switcher.as_ref().and_then(|s| s.slots);
    let mut out = String::new();
    for preset in &compiled.presets {
        let name = compiled.book.scene(preset.scene).map_or("", |s| &s.name);
        let slot = preset.slot.zip(range).map_or("-".to_owned(), |(slot, range)| range.show(slot));
        out += &format!("{slot:<6} {name}{}\n", if preset.chosen { "  (auto)" } else { "" });
    }
    out
}

fn pin(compiled: &Compiled) -> Outcome {
    let Some(edit) = pin_edit(&compiled.book, &compiled.files, &compiled.presets) else {
        output::print(b"every slot is pinned already\n")?;
        return Ok(CLEAN);
    };
    let file = compiled.files.get(edit.at.file).ok_or_else(|| Trouble("the book has no file".to_owned()))?;
    let mut text = edit::apply(&file.text, std::slice::from_ref(&edit));
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
    output::replace(std::path::Path::new(&file.path), text.as_bytes())?;
    let chosen = compiled.presets.iter().filter(|p| p.chosen).count();
    output::print(format!("pinned {chosen} slots in {}\n", file.path).as_bytes())?;
    Ok(CLEAN)
}
