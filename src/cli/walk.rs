//! `tipring walk`: what each change of a set costs.

use rustc_hash::FxHashMap;

use super::ask::point;
use super::kind::{Kind, formats};
use super::played::Played;
use super::printing::{Printing, Told};
use super::{Outcome, Trouble};
use crate::Compiled;
use crate::ask::Spot;
use crate::ids::SongId;
use crate::print;

/// Walk through the sets: presses, what moves, what hands and feet do, what jumps, what is cut
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring walk examples/winter
  tipring walk examples/winter --set \"first night\"
  tipring walk examples/winter --songs tonight.txt
  tipring walk examples/winter --from solo --to verse
  tipring walk examples/winter --from \"solo of Marl\" --to \"intro of Candle Tax\"
  tipring walk examples/winter -o walk.html")]
pub(super) struct Args {
    #[command(flatten)]
    played: Played,
    /// Only the change from this part (of every song that has both, or `solo of TITLE`), scene or slot
    #[arg(long, value_name = "PART", requires = "to", conflicts_with_all = ["set", "songs"])]
    from: Option<String>,
    /// The part, scene or slot to go to; of the same song unless it says of which
    #[arg(long, value_name = "PART", requires = "from")]
    to: Option<String>,
    #[command(flatten)]
    printing: Printing<Format>,
}

formats!(Format {
    /// For the eye
    Text,
    /// For programs
    Json,
    /// A page with a drawn strip of each set
    Html,
    Md,
    /// On paper
    Pdf
});

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run_played(&args.played, |compiled, kind| {
        if let Some((from, to)) = args.from.as_ref().zip(args.to.as_ref()) {
            let between = print::walk::between(compiled, &pairs(compiled, from, to)?);
            return Ok(match kind {
                Kind::Json => Told::Data(print::walk::json(&between)),
                _ => print::walk::straight(compiled, &between).into(),
            });
        }
        let pages = print::walk::pages(compiled, args.played.title());
        Ok(match kind {
            Kind::Json => Told::Data(print::walk::json(&pages)),
            _ => print::walk::doc(compiled, &pages).into(),
        })
    })
}

/// From every place that is meant to every one that is. Parts that say no song are of one song.
fn pairs(compiled: &Compiled, from: &str, to: &str) -> Result<Vec<[Spot; 2]>, Trouble> {
    let [starts, ends] = [parts(compiled, from)?, parts(compiled, to)?];
    let song = |spot: &Spot| spot.part.map(|(song, _)| song);
    let mut of: FxHashMap<Option<SongId>, Vec<Spot>> = FxHashMap::default();
    ends.iter().for_each(|end| of.entry(song(end)).or_default().push(*end));
    let all = || starts.iter().flat_map(|a| ends.iter().map(move |b| [*a, *b]));
    // A scene is of no song, and so of any.
    let mut together: Vec<[Spot; 2]> = Vec::new();
    for start in &starts {
        let near = if song(start).is_none() { Some(&ends) } else { of.get(&song(start)) };
        let loose = of.get(&None).filter(|_| song(start).is_some());
        together.extend(near.into_iter().chain(loose).flatten().map(|end| [*start, *end]));
    }
    let one = |spots: &[Spot]| spots.windows(2).all(|w| matches!(w, [a, b] if song(a) == song(b)));
    match together.is_empty() {
        false => Ok(together),
        true if one(&starts) && one(&ends) => Ok(all().collect()),
        true => Err(Trouble(format!("no song has both `{from}` and `{to}`: say of which song each is"))),
    }
}

/// The parts that are meant, as they ask more than the scene that they play; else the scene.
fn parts(compiled: &Compiled, said: &str) -> Result<Vec<Spot>, Trouble> {
    let (parts, scenes): (Vec<Spot>, Vec<Spot>) = point(compiled, said)?.into_iter().partition(|s| s.part.is_some());
    Ok(if parts.is_empty() { scenes } else { parts })
}
