//! `tipring without`: what if a part dies.

use super::kind::{Kind, formats};
use super::offer;
use super::played::Played;
use super::printing::{Printing, Told};
use super::{Outcome, Trouble};
use crate::Compiled;
use crate::print::without as print;
use crate::study::without::heard::Weights;
use crate::study::without::{self, Asked, Part, REACH, part};

/// What if a part dies: the songs it touches, what to do by hand, what to press instead
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring without examples/winter
  tipring without examples/winter hasp
  tipring without examples/winter hasp --set \"hall night\" -o hasp.pdf
  tipring without examples/winter remote 2
  tipring without examples/winter larch.channel lead --reach 5
  tipring without examples/winter switcher --weights amp=8,pedal=4,state=2,level=2
  tipring without examples/winter --format csv

A PART is a pedal, an amp or one setting of it, a guitar, a treadle, `loop 5`, `remote 2`, `output 1`, an outlet or a supply,
`lead 12` as `tipring wiring` numbers it, or `switcher`; all when left out.")]
pub(super) struct Args {
    #[command(flatten)]
    played: Played,
    /// How much counts: an amp that sounds or not, a pedal in or out, a setting that stands otherwise, a level from one end
    /// to the other [default: amp=8,pedal=4,state=2,level=2]
    #[arg(long, value_parser = weights, value_name = "WEIGHTS")]
    weights: Option<Weights>,
    /// So many presses are in reach
    #[arg(long, value_name = "PRESSES", default_value_t = REACH)]
    reach: u32,
    #[command(flatten)]
    printing: Printing<Format>,
    /// The part; all when left out
    part: Vec<String>,
}

formats!(Format {
    Text,
    Md,
    Html,
    /// On paper
    Pdf,
    /// For spreadsheets
    Csv,
    /// For programs
    Json
});

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run_played(&args.played, |compiled, kind| {
        let part = if args.part.is_empty() { None } else { Some(named(compiled, &args.part.join(" "))?) };
        let set = args.played.title().map(str::to_owned);
        let of = set.as_ref().map_or("all that is played".to_owned(), |set| format!("\"{set}\""));
        let weights = args.weights.unwrap_or_default();
        let asked = Asked { set, part, weights, reach: args.reach, near: true };
        let study = without::study(&compiled.given(), &asked);
        Ok(match kind {
            Kind::Csv => Told::Data(print::csv(compiled, &study)),
            Kind::Json => Told::Data(print::json::write(compiled, &study)),
            _ => print::doc(compiled, &study, &of).into(),
        })
    })
}

/// The part that is meant.
fn named(compiled: &Compiled, said: &str) -> Result<Part, Trouble> {
    let all: Vec<(String, Part)> = part::all(&compiled.book.board, compiled.wiring())
        .into_iter()
        .map(|part| (part.name(&compiled.book.board, compiled.wiring()), part))
        .collect();
    let key = |name: &str| name.to_lowercase().replace('-', " ");
    let exact = all.iter().find(|(name, _)| name == said);
    if let Some((_, part)) = exact.or_else(|| all.iter().find(|(name, _)| key(name) == key(said))) {
        return Ok(*part);
    }
    let names = all.iter().filter(|(_, part)| !matches!(part, Part::Lead(_))).map(|(name, _)| name.as_str());
    let way = offer::offer(said, names);
    let way = if way.is_empty() { "; `tipring without BOOK` lists them".to_owned() } else { way };
    Err(Trouble(format!("the board has no part `{said}`{way}")))
}

fn weights(text: &str) -> Result<Weights, String> {
    let wrong = || "say it as in `amp=8,pedal=4,state=2,level=2`, each from 0 to 1000".to_owned();
    let mut weights = Weights::default();
    for piece in text.split(',') {
        let (what, number) = piece.split_once('=').ok_or_else(wrong)?;
        let number = number.trim().parse().ok().filter(|n| *n <= 1000).ok_or_else(wrong)?;
        match what.trim() {
            "amp" => weights.amp = number,
            "pedal" => weights.pedal = number,
            "state" => weights.state = number,
            "level" => weights.level = number,
            _ => return Err(wrong()),
        }
    }
    Ok(weights)
}
