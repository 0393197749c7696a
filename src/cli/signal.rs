//! `tipring signal`: what each scene does to level and treble.

use super::kind::{Kind, formats};
use super::offer::meant;
use super::printing::{Printing, Told};
use super::{Outcome, Trouble, ask};
use crate::Compiled;
use crate::book::Amount;
use crate::ids::SceneId;
use crate::print::signal::{self as print, Wanted};
use crate::settle::{Answer, Row};
use crate::study::signal::{Signal, buffers};
use crate::syntax::units::Dimension;

/// Compute what each scene does to level and treble, for each guitar
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring signal examples/winter
  tipring signal examples/winter summit --curves
  tipring signal examples/winter --against plain -o signal.csv
  tipring signal examples/winter smoulder --guitar slab -o smoulder.cir
  tipring signal examples/winter --buffers \"4 kHz\"")]
pub(super) struct Args {
    /// A scene's name, or a slot as the switcher shows it; all scenes when left out
    #[arg(index = 2)]
    scene: Option<String>,
    /// One guitar alone
    #[arg(long, value_name = "NAME")]
    guitar: Option<String>,
    /// Print the difference in level from this scene
    #[arg(long, value_name = "SCENE")]
    against: Option<String>,
    /// The curves: drawn on pages, a sketch as text, points as CSV and JSON
    #[arg(long)]
    curves: bool,
    /// The same as `--format cir`
    #[arg(long, requires = "scene", conflicts_with_all = ["curves", "against", "format", "buffers"])]
    netlist: bool,
    /// Find the fewest buffers so that every scene keeps its treble up to this frequency
    #[arg(long, value_name = "FREQUENCY", conflicts_with_all = ["scene", "guitar", "curves", "against"])]
    buffers: Option<String>,
    /// The input of the buffers to try
    #[arg(long, value_name = "RESISTANCE", default_value = "1 Mohm", requires = "buffers")]
    buffer_input: String,
    /// The output of the buffers to try
    #[arg(long, value_name = "RESISTANCE", default_value = "150 ohm", requires = "buffers")]
    buffer_output: String,
    #[command(flatten)]
    printing: Printing<Format>,
}

formats!(Format {
    Text,
    Json,
    Csv,
    Html,
    Md,
    /// On paper
    Pdf,
    /// The circuit of one scene as a SPICE deck
    Cir = Circuit
});

pub(super) fn run(args: &Args) -> Outcome {
    if args.netlist {
        args.printing.out.only(Kind::Circuit)?;
    }
    args.printing.run(|compiled, kind| {
        let kind = if args.netlist { Kind::Circuit } else { kind };
        if compiled.book.board.guitars.is_empty() {
            let way = "the book has no guitar; say `guitar NAME { pickup 2.5 H, 7.5 kohm, 110 pF }`";
            return Err(Trouble(way.to_owned()));
        }
        let scene = |name: &Option<String>| name.as_ref().map(|n| ask::scene(compiled, n)).transpose();
        let guitar = args.guitar.as_ref().map(|n| guitar(compiled, n)).transpose()?;
        let wanted = Wanted { scene: scene(&args.scene)?, guitar, against: scene(&args.against)? };
        let mut signal = Signal::new(&compiled.book, &compiled.table);
        if let Some(target) = &args.buffers {
            return match kind {
                Kind::Circuit => {
                    Err(Trouble("a circuit is that of one scene: name it, without `--buffers`".to_owned()))
                }
                _ => tried(args, compiled, &signal, target, kind),
            };
        }
        if kind == Kind::Circuit {
            if args.scene.is_none() || args.curves || args.against.is_some() {
                let way = "a circuit is that of one scene: name it, without `--curves` and `--against`";
                return Err(Trouble(way.to_owned()));
            }
            return netlist(compiled, &mut signal, wanted).map(Told::Data);
        }
        let rows = print::rows(compiled, &mut signal, wanted);
        if let (Some(scene), Some(guitar), true) = (wanted.scene, wanted.guitar, rows.is_empty()) {
            return Err(unheard(compiled, scene, guitar));
        }
        Ok(match kind {
            Kind::Json => Told::Data(print::json::figures(compiled, &rows, &mut signal, args.curves)),
            Kind::Csv if args.curves => Told::Data(print::csv::curves(&rows, &mut signal)),
            Kind::Csv => Told::Data(print::csv::figures(&rows)),
            _ => print::doc::doc(compiled, &rows, &mut signal, args.curves).into(),
        })
    })
}

fn guitar(compiled: &Compiled, name: &str) -> Result<usize, Trouble> {
    let guitars = &compiled.book.board.guitars;
    guitars.iter().position(|g| g.name == name).ok_or_else(|| {
        let meant = meant(name, guitars.iter().map(|g| g.name.as_str()));
        let offer = meant.map_or(String::new(), |meant| format!("; {meant}"));
        Trouble(format!("there is no guitar called `{name}`{offer}"))
    })
}

/// A scene that hears another guitar has no figures for this one.
fn unheard(compiled: &Compiled, scene: SceneId, guitar: usize) -> Trouble {
    let book = &compiled.book;
    let name = book.show.scene(scene).map_or("", |s| &s.name);
    let row = Row::of(book, &compiled.table, scene);
    let all = book.board.guitars.iter().enumerate();
    let heard = all.filter(|(at, _)| row.hears(*at) == Answer::Yes).map(|(_, g)| format!("`{}`", g.name));
    let heard: Vec<String> = heard.collect();
    let heard = if heard.is_empty() { "no guitar for certain".to_owned() } else { heard.join(" and ") };
    let wanted = book.board.guitars.get(guitar).map_or("", |g| g.name.as_str());
    Trouble(format!("`{name}` does not hear `{wanted}`: it hears {heard}"))
}

fn netlist(compiled: &Compiled, signal: &mut Signal<'_>, wanted: Wanted) -> Result<String, Trouble> {
    let book = &compiled.book;
    let scene = wanted.scene.unwrap_or_default();
    let name = book.show.scene(scene).map_or("", |s| &s.name);
    let row = Row::of(book, &compiled.table, scene);
    let heard = |guitar: &usize| row.hears(*guitar) == Answer::Yes;
    let guitar = wanted.guitar.or_else(|| (0..book.board.guitars.len()).find(heard)).unwrap_or_default();
    let played = book.board.guitars.get(guitar).map_or("", |g| g.name.as_str());
    if !heard(&guitar) {
        return Err(unheard(compiled, scene, guitar));
    }
    let found = signal.found(scene, guitar);
    let found = found.ok_or_else(|| Trouble("no chain starts at the guitar".to_owned()))?;
    print::spice::deck(book, name, played, &found).ok_or_else(|| {
        let lacks: Vec<String> =
            found.path.missing.iter().map(|m| crate::study::signal::words::missing(&book.board, *m)).collect();
        let why = if !found.path.as_magnitudes.is_empty() {
            "legs are added as magnitudes, which no circuit does".to_owned()
        } else if lacks.is_empty() {
            "nothing is heard in it".to_owned()
        } else {
            format!("missing: {}", lacks.join(", "))
        };
        Trouble(format!("`{name}` has no circuit: {why}"))
    })
}

/// A quantity on the command line: `4 kHz`.
fn quantity(text: &str, wanted: Dimension) -> Result<f64, Trouble> {
    let read = Amount::read(text.trim()).filter(|a| a.dimension == wanted && a.mantissa > 0);
    read.map(Amount::value).ok_or_else(|| Trouble(format!("`{text}`: say {}", wanted.says())))
}

fn tried(args: &Args, compiled: &Compiled, signal: &Signal<'_>, target: &str, kind: Kind) -> Result<Told, Trouble> {
    let hz = quantity(target, Dimension::Frequency)?;
    let input = quantity(&args.buffer_input, Dimension::Resistance)?;
    let output = quantity(&args.buffer_output, Dimension::Resistance)?;
    let found = buffers::search(signal, &compiled.book, hz, input, output);
    Ok(match kind {
        Kind::Json => Told::Data(print::buffers::json(compiled, signal, &found, hz)),
        Kind::Csv => Told::Data(print::buffers::csv(compiled, signal, &found)),
        _ => print::buffers::doc(compiled, signal, &found, target, (&args.buffer_input, &args.buffer_output)).into(),
    })
}
