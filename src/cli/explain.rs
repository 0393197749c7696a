//! `tipring explain`: what a word of the language says, and what a code means.

use super::kind::{Kind, formats};
use super::offer::meant;
use super::output::Out;
use super::paper::PaperArgs;
use super::{CLEAN, Outcome, Trouble};
use crate::check::{self as rules, page};
use crate::guide;
use crate::print::pages;

/// Explain a word of the language or a code, or write the whole guide
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring explain
  tipring explain pedal
  tipring explain layers-disagree
  tipring explain --all -o guide.html")]
pub(super) struct Args {
    /// A word as a book has it, or a code as a diagnostic prints it
    #[arg(value_name = "WORD")]
    code: Option<String>,
    /// The guide: a page for every word in the order of need, then one for every code
    #[arg(long, conflicts_with = "code")]
    all: bool,
    #[command(flatten)]
    out: Out<Format>,
}

formats!(Format {
    Md,
    Html,
    /// On A4
    Pdf
});

pub(super) fn run(args: &Args) -> Outcome {
    let format = if args.all { Some(args.out.format()?) } else { args.out.only(Kind::Text).map(|()| None)? };
    let text = match (&args.code, format) {
        (None, Some(Format::Html)) => pages::html().into_bytes(),
        (None, Some(Format::Md)) => pages::markdown().into_bytes(),
        (None, Some(Format::Pdf)) => {
            let paper = PaperArgs::default();
            paper.write(&[pages::doc(&paper.fonts(None)?)], Kind::Pdf)?
        }
        (None, None) => list().into_bytes(),
        (Some(word), _) => one(word)?.into_bytes(),
    };
    args.out.write(&text)?;
    Ok(CLEAN)
}

/// The page of a code, or the pages of a word.
fn one(word: &str) -> Result<String, Trouble> {
    if let Some(rule) = rules::rule(word) {
        return Ok(pages::text(rule));
    }
    let found = guide::pages_of(word);
    if !found.is_empty() {
        return Ok(pages::word(&found));
    }
    let all: Vec<&str> = rules::RULES.iter().map(|r| r.code).chain(guide::words()).collect();
    let offer = meant(word, all).unwrap_or_else(|| "`tipring explain` lists all".to_owned());
    Err(Trouble(format!("there is no word and no code `{word}`; {offer}")))
}

fn list() -> String {
    let mut out = String::new();
    for page in guide::pages() {
        out += &format!("{:<26} {:<8} {}\n", page.title, "word", pages::sentence(&page.text));
    }
    for rule in rules::RULES {
        out += &format!("{:<26} {:<8} {}\n", rule.code, rule.severity.word(), pages::sentence(&page::page(rule)));
    }
    out
}
