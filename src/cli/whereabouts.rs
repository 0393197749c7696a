//! `tipring where`: in which songs, parts and scenes something is used.

use super::Outcome;
use super::ask::thing;
use super::kind::Kind;
use super::printing::{Printing, Records, Told};
use crate::ask::used;
use crate::print::whereabouts as print;

/// Tell in which songs, parts and scenes something is used
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring where examples/winter rotary
  tipring where examples/winter tide.depth above 40 %
  tipring where examples/winter larch channel lead -o lead.pdf
  tipring where examples/winter remote 2 tip closed
  tipring where examples/winter program 12 on midi 5
  tipring where examples/winter drop D
Nothing found is an answer too: exit code 0.")]
pub(super) struct Args {
    #[command(flatten)]
    printing: Printing<Records>,
    /// A pedal or amp by any word that the book has for it, how one is set, a jack, a message, a guitar, a tuning, a scene,
    /// a switch inside presets, `order` where loops have an order of their own
    #[arg(required = true, allow_negative_numbers = true)]
    thing: Vec<String>,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run(|compiled, kind| {
        let thing = thing(compiled, &args.thing.join(" "))?;
        let used = used(compiled, &thing);
        Ok(match kind {
            Kind::Csv => Told::Data(print::csv(compiled, &used)),
            _ => print::doc(compiled, &thing, &used).into(),
        })
    })
}
