//! `tipring sheet`: the gig sheet.

use std::path::PathBuf;

use super::date;
use super::kind::{Kind, formats};
use super::offer::{listed, titles};
use super::output::To;
use super::played::{self, Played};
use super::printing::{Printing, Told};
use super::since::{Known, Since};
use super::{Outcome, Trouble};
use crate::Compiled;
use crate::book::song::title_key;
use crate::print::doc::Doc;
use crate::print::sheet::{self, Sheet, Wanted, legible, player, tonight};
use crate::print::stage;

/// Print the gig sheet: songs in set order with slots, hands and feet, then presets and labels
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring sheet examples/winter --set \"club night\"
  tipring sheet examples/winter --set \"hall night\" --for player -o hall.pdf
  tipring sheet examples/winter --set \"hall night\" --for player --pages large -o hall.pdf
  tipring sheet examples/winter --for tech --paper letter -o tech.html
  tipring sheet examples/winter --for tech --program
  tipring sheet examples/spring --since examples/winter
  tipring sheet my-tour --for tech --from-memory
  tipring sheet examples/winter --for tech --notes notes.txt -o tech.pdf
  tipring sheet examples/winter --set \"club night\" --format songs > tonight.txt
  tipring sheet examples/winter --songs tonight.txt")]
pub(super) struct Args {
    #[command(flatten)]
    played: Played,
    #[command(flatten)]
    since: Since,
    /// Leave the stage page, for a phone or a tablet, in this file as well (- is standard output)
    #[arg(long, value_name = "FILE")]
    stage: Option<PathBuf>,
    /// Add the worksheet for programming the unit from empty
    #[arg(long)]
    program: bool,
    /// Who reads it: large and short for the floor, or everything for the bench; both at reading size when left out
    #[arg(long = "for", value_enum, value_name = "WHO")]
    reader: Option<Reader>,
    /// For the player: so many sides in letters as large as fit, 2 when left out (one sheet, the front read standing); or
    /// `large`: as many pages as letters take that are read from `--distance`
    #[arg(long, value_parser = pages, value_name = "SIDES")]
    pages: Option<PageCount>,
    /// How far the player's eyes are from the floor, in metres: `1.7m` for `--pages large`; on so many sides, told when
    /// they are too small for it
    #[arg(long, value_parser = metres)]
    distance: Option<f32>,
    /// For the player: letters of 15 minutes of arc are enough, instead of 20
    #[arg(long)]
    small: bool,
    /// For the player: lines to write on
    #[arg(long)]
    lines: bool,
    /// For the tech: what the player noted on the stage page, each with a box (- is standard input)
    #[arg(long, value_name = "FILE")]
    notes: Option<PathBuf>,
    /// A date to print; else that of SOURCE_DATE_EPOCH, if it is set
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    #[command(flatten)]
    printing: Printing<Format>,
}

formats!(Format {
    Text,
    Md,
    Html,
    /// On paper
    Pdf,
    /// The order of one set, as `--songs` takes it
    Songs = List
});

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Reader {
    Player,
    Tech,
}

/// What the player's sheet is laid on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum PageCount {
    /// So many sides.
    Sides(u16),
    /// As many pages as the distance asks.
    Large,
}

/// How far the eyes are from the floor unless somebody says otherwise, in metres.
const STANDING: f32 = 1.7;

pub(super) fn run(args: &Args) -> Outcome {
    let out = args.printing.out.to();
    out.spares(args.notes.as_deref())?;
    let stage = args.stage.as_deref().map(|path| To::aside(path, out, Kind::Html)).transpose()?;
    args.printing.run_played(&args.played, |compiled, kind| {
        suits(args, kind)?;
        if kind == Kind::List {
            return order(args, compiled).map(Told::Data);
        }
        let mut sheet = sheet::sheet(compiled, &wanted(args, compiled)?);
        if let Some(path) = &args.notes {
            sheet.answers = played::noted(path)?;
        }
        let docs = match args.reader {
            None => vec![sheet::reading::doc(&sheet)],
            Some(Reader::Tech) => vec![sheet::tech::doc(compiled, &sheet)],
            Some(Reader::Player) => for_the_floor(args, &sheet)?.into_iter().chain(player::lid(&sheet)).collect(),
        };
        if docs.is_empty() {
            return Err(Trouble("the book has no song to print".to_owned()));
        }
        Ok(match stage {
            Some(to) => Told::Beside(docs, to, page_for_a_stage(compiled, &sheet, &args.played)?),
            None => Told::Report(docs),
        })
    })
}

/// The order of the one set that is asked for.
fn order(args: &Args, compiled: &Compiled) -> Result<String, Trouble> {
    let asked = args.played.title().map(title_key);
    let mut sets = compiled.book.show.sets.iter().filter(|s| asked.as_ref().is_none_or(|a| *a == title_key(&s.title)));
    match (sets.next(), sets.next()) {
        (Some(set), None) => Ok(tonight::write(&compiled.book, &set.items)),
        (None, _) => Err(Trouble("the book has no set to list".to_owned())),
        _ => {
            Err(Trouble(format!("the book has several sets: name one with `--set`{}", listed(titles(&compiled.book)))))
        }
    }
}

/// Refuses what means nothing for such a reader or such a file.
fn suits(args: &Args, kind: Kind) -> Result<(), Trouble> {
    let asked = [
        ("--for", args.reader.is_some()),
        ("--program", args.program),
        (args.since.option().unwrap_or_default(), args.since.option().is_some()),
        ("--date", args.date.is_some()),
    ];
    if let Some((option, _)) = asked.iter().find(|(_, asked)| *asked && kind == Kind::List) {
        return Err(Trouble(format!("`{option}` means nothing in a list of songs")));
    }
    let player = args.reader == Some(Reader::Player);
    if args.program && player {
        return Err(Trouble("`--program` is for who programs the unit: leave it out, or say `--for tech`".to_owned()));
    }
    if args.notes.is_some() && args.reader != Some(Reader::Tech) {
        return Err(Trouble("`--notes` are listed on the technician's sheet: say `--for tech`".to_owned()));
    }
    let sized = kind == Kind::Pdf || (args.pages == Some(PageCount::Large) && kind == Kind::Html);
    let asked = [
        ("--distance", args.distance.is_some(), sized),
        ("--small", args.small, sized),
        ("--lines", args.lines, matches!(kind, Kind::Pdf | Kind::Html)),
        ("--pages", args.pages.is_some(), sized),
    ];
    match asked.iter().find(|(_, said, goes)| *said && !(player && *goes)) {
        Some((option, _, _)) => {
            let way =
                "goes with the player's sheet on paper: say `--for player`, as PDF (or HTML, with `--pages large`)";
            Err(Trouble(format!("`{option}` {way}")))
        }
        None => Ok(()),
    }
}

/// A sheet a night: of so many sides, or in letters as large as the distance asks.
fn for_the_floor(args: &Args, sheet: &Sheet) -> Result<Vec<Doc>, Trouble> {
    let minutes = if args.small { legible::LEAST } else { legible::PREFERRED };
    let sides = match args.pages {
        Some(PageCount::Large) => return large(args, sheet, minutes),
        Some(PageCount::Sides(sides)) => usize::from(sides),
        None => 2,
    };
    let wish = player::Wish { sides, distance: args.distance, minutes, lines: args.lines };
    Ok(player::docs(sheet, wish))
}

fn pages(text: &str) -> Result<PageCount, String> {
    match text.parse() {
        Ok(sides @ 1..=99) => Ok(PageCount::Sides(sides)),
        _ if text == "large" => Ok(PageCount::Large),
        _ => Err("say how many sides, from 1 to 99, or `large`".to_owned()),
    }
}

fn large(args: &Args, sheet: &Sheet, minutes: f32) -> Result<Vec<Doc>, Trouble> {
    let given = args.printing.paper.font()?;
    let fonts = args.printing.paper.fonts(given.as_deref())?;
    let distance = args.distance.unwrap_or(STANDING);
    let capitals = legible::capitals(distance, minutes);
    let why = format!("capitals of {capitals:.1} mm are read from {distance} m, and nothing is shrunk to fit");
    let mut docs = sheet::large::docs(sheet, legible::size(&fonts, distance, minutes), args.lines);
    for (doc, night) in docs.iter_mut().zip(&sheet.nights) {
        doc.one_page = Some((night.title.clone(), why.clone()));
    }
    Ok(docs)
}

/// The page for a phone or a tablet.
pub(super) fn page_for_a_stage(compiled: &Compiled, sheet: &Sheet, played: &Played) -> Result<String, Trouble> {
    if sheet.nights.is_empty() {
        return Err(Trouble("the book has no song to show".to_owned()));
    }
    Ok(stage::write(&stage::show(compiled, sheet, played.is_list())))
}

fn metres(text: &str) -> Result<f32, String> {
    let number = text.trim().trim_end_matches('m').trim_end();
    let metres: f32 = number.parse().map_err(|_| "say a distance in metres, as in `1.7m`".to_owned())?;
    if (0.2..=20.0).contains(&metres) { Ok(metres) } else { Err("a distance is from 0.2 m to 20 m".to_owned()) }
}

fn wanted(args: &Args, compiled: &Compiled) -> Result<Wanted, Trouble> {
    let draft = args.printing.drafting.draft && compiled.errors() > 0;
    let set = args.played.title().map(str::to_owned);
    let Known { stale, standing, record } = args.since.known(compiled, &args.printing.opening.book)?;
    Ok(Wanted { set, program: args.program, stale, standing, record, draft, date: date::of(args.date.as_deref())? })
}
