//! `tipring explain`: what a code means, why it hurts, and the way out.

use super::offer::meant;
use super::{CLEAN, Outcome, Trouble, output};
use crate::check as rules;
use crate::print::pages;

/// Explain a code, or list all codes
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring explain
  tipring explain layers-disagree
  tipring explain --all --format html > codes.html")]
pub(super) struct Args {
    /// The code, as a diagnostic prints it
    code: Option<String>,
    /// All codes on one page, to read offline
    #[arg(long, conflicts_with = "code")]
    all: bool,
    /// How that page is written
    #[arg(long, value_enum, default_value_t = Format::Md, requires = "all")]
    format: Format,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    Html,
    Md,
}

pub(super) fn run(args: &Args) -> Outcome {
    let text = match &args.code {
        None if args.all && args.format == Format::Html => pages::html(),
        None if args.all => pages::markdown(),
        None => list(),
        Some(code) => {
            let Some(rule) = rules::rule(code) else {
                let meant = meant(code, rules::RULES.iter().map(|r| r.code));
                let offer = meant.unwrap_or_else(|| "`tipring explain` lists all".to_owned());
                return Err(Trouble(format!("there is no code `{code}`; {offer}")));
            };
            pages::text(rule)
        }
    };
    output::print(text.as_bytes())?;
    Ok(CLEAN)
}

fn list() -> String {
    let mut out = String::new();
    for rule in rules::RULES {
        out += &format!("{:<26} {:<8} {}\n", rule.code, rule.severity.word(), pages::sentence(rule));
    }
    out
}
