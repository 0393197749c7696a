//! `tipring signal`: what each scene does to level and treble.

use super::kind::{self, Kind};
use super::offer::meant;
use super::open::{Drafting, Opening};
use super::output::Out;
use super::{CLEAN, Outcome, Trouble, why, wrong};
use crate::Compiled;
use crate::book::Amount;
use crate::print::signal::{self as print, Wanted};
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
    #[command(flatten)]
    opening: Opening,
    /// A scene's name, or a slot as the switcher shows it; all scenes when left out
    scene: Option<String>,
    /// One guitar alone
    #[arg(long, value_name = "NAME")]
    guitar: Option<String>,
    /// Print the difference in level from this scene
    #[arg(long, value_name = "SCENE")]
    against: Option<String>,
    /// The curves: a sketch as text, points as CSV and JSON (HTML always draws them)
    #[arg(long)]
    curves: bool,
    /// The same as `--format cir`
    #[arg(long, requires = "scene", conflicts_with_all = ["curves", "against", "format", "buffers"])]
    netlist: bool,
    /// Find the fewest buffers so that every scene keeps its treble up to this frequency
    #[arg(long, value_name = "FREQUENCY", conflicts_with_all = ["scene", "curves", "against", "format"])]
    buffers: Option<String>,
    /// The input of the buffers to try
    #[arg(long, value_name = "RESISTANCE", default_value = "1 Mohm", requires = "buffers")]
    buffer_input: String,
    /// The output of the buffers to try
    #[arg(long, value_name = "RESISTANCE", default_value = "150 ohm", requires = "buffers")]
    buffer_output: String,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out<Format>,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    Text,
    Json,
    Csv,
    Html,
    /// The circuit of one scene as a SPICE deck
    Cir,
}

impl kind::Format for Format {
    fn kind(self) -> Kind {
        match self {
            Format::Text => Kind::Text,
            Format::Json => Kind::Json,
            Format::Csv => Kind::Csv,
            Format::Html => Kind::Html,
            Format::Cir => Kind::Circuit,
        }
    }
}

pub(super) fn run(args: &Args) -> Outcome {
    let format = format(args)?;
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    let scene = |name: &Option<String>| name.as_ref().map(|n| why::find(&compiled, n)).transpose();
    let guitar = args.guitar.as_ref().map(|n| guitar(&compiled, n)).transpose()?;
    let wanted = Wanted { scene: scene(&args.scene)?, guitar, against: scene(&args.against)? };
    let mut signal = Signal::new(&compiled.book, &compiled.table);
    if compiled.book.guitars.is_empty() {
        return Err(Trouble("the book has no guitar; say `guitar NAME { pickup 2.5 H, 7.5 kohm, 110 pF }`".to_owned()));
    }
    if let Some(target) = &args.buffers {
        let text = tried(args, &compiled, &signal, target)?;
        args.out.write(text.as_bytes())?;
        return Ok(CLEAN);
    }
    if format == Format::Cir {
        let text = netlist(&compiled, &mut signal, wanted)?;
        args.out.write(text.as_bytes())?;
        return Ok(CLEAN);
    }
    let rows = print::rows(&compiled, &mut signal, wanted);
    let text = match format {
        Format::Text | Format::Cir => print::text::figures(&rows, &mut signal, args.curves),
        Format::Json => print::json::figures(&compiled, &rows, &mut signal, args.curves),
        Format::Csv if args.curves => print::csv::curves(&rows, &mut signal),
        Format::Csv => print::csv::figures(&rows),
        Format::Html => print::html::page(&compiled, &rows, &mut signal),
    };
    args.out.write(text.as_bytes())?;
    Ok(CLEAN)
}

/// What is to be written, and whether the rest of the line goes with it.
fn format(args: &Args) -> Result<Format, Trouble> {
    if args.buffers.is_some() {
        return args.out.only(Kind::Text).map(|()| Format::Text);
    }
    let format = if args.netlist { args.out.only(Kind::Circuit).map(|()| Format::Cir)? } else { args.out.format()? };
    if format == Format::Cir && (args.scene.is_none() || args.curves || args.against.is_some()) {
        return Err(Trouble("a circuit is that of one scene: name it, without `--curves` and `--against`".to_owned()));
    }
    Ok(format)
}

fn guitar(compiled: &Compiled, name: &str) -> Result<usize, Trouble> {
    let guitars = &compiled.book.guitars;
    guitars.iter().position(|g| g.name == name).ok_or_else(|| {
        let meant = meant(name, guitars.iter().map(|g| g.name.as_str()));
        let offer = meant.map_or(String::new(), |meant| format!("; {meant}"));
        Trouble(format!("there is no guitar called `{name}`{offer}"))
    })
}

fn netlist(compiled: &Compiled, signal: &mut Signal<'_>, wanted: Wanted) -> Result<String, Trouble> {
    let book = &compiled.book;
    let (scene, guitar) = (wanted.scene.unwrap_or_default(), wanted.guitar.unwrap_or_default());
    let name = book.scene(scene).map_or("", |s| &s.name);
    let played = book.guitars.get(guitar).map_or("", |g| g.name.as_str());
    let found = signal.found(scene, guitar);
    let found = found.ok_or_else(|| Trouble("no chain starts at the guitar".to_owned()))?;
    print::spice::deck(book, name, played, &found).ok_or_else(|| {
        let lacks: Vec<String> =
            found.path.missing.iter().map(|m| crate::study::signal::words::missing(book, *m)).collect();
        let why = if lacks.is_empty() {
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

fn tried(args: &Args, compiled: &Compiled, signal: &Signal<'_>, target: &str) -> Result<String, Trouble> {
    let hz = quantity(target, Dimension::Frequency)?;
    let input = quantity(&args.buffer_input, Dimension::Resistance)?;
    let output = quantity(&args.buffer_output, Dimension::Resistance)?;
    let found = buffers::search(signal, &compiled.book, hz, input, output);
    Ok(print::buffers::text(&compiled.book, signal, &found, target, (&args.buffer_input, &args.buffer_output)))
}
