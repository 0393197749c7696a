//! `tipring explain`: what a code means, why it hurts, and the way out.

use super::kind::{Kind, formats};
use super::offer::meant;
use super::output::Out;
use super::{CLEAN, Outcome, Trouble};
use crate::check as rules;
use crate::print::pages;

/// Explain a code, or list all codes
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring explain
  tipring explain layers-disagree
  tipring explain --all -o codes.html")]
pub(super) struct Args {
    /// The code, as a diagnostic prints it
    code: Option<String>,
    /// All codes on one page, to read offline
    #[arg(long, conflicts_with = "code")]
    all: bool,
    #[command(flatten)]
    out: Out<Format>,
}

formats!(Format { Md, Html });

pub(super) fn run(args: &Args) -> Outcome {
    let format = if args.all { Some(args.out.format()?) } else { args.out.only(Kind::Text).map(|()| None)? };
    let text = match &args.code {
        None => match format {
            Some(Format::Html) => pages::html(),
            Some(Format::Md) => pages::markdown(),
            None => list(),
        },
        Some(code) => {
            let Some(rule) = rules::rule(code) else {
                let meant = meant(code, rules::RULES.iter().map(|r| r.code));
                let offer = meant.unwrap_or_else(|| "`tipring explain` lists all".to_owned());
                return Err(Trouble(format!("there is no code `{code}`; {offer}")));
            };
            pages::text(rule)
        }
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}

fn list() -> String {
    let mut out = String::new();
    for rule in rules::RULES {
        out += &format!("{:<26} {:<8} {}\n", rule.code, rule.severity.word(), pages::sentence(rule));
    }
    out
}
