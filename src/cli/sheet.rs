//! `tipring sheet`: the gig sheet.

use std::path::{Path, PathBuf};

use super::kind::{self, Kind};
use super::offer::no_set;
use super::open::{self, Drafting, Opening};
use super::output::Out;
use super::paper::PaperArgs;
use super::{CLEAN, Outcome, Trouble, output, wrong};
use crate::Compiled;
use crate::book::song::title_key;
use crate::print::page::{self, Fonts, Laid};
use crate::print::sheet::{self, Wanted, legible, tonight};
use crate::print::stage;
use crate::source::load::{Disk, Shelf};

/// Print the gig sheet: songs in set order with slots, hands and feet, then presets and labels
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring sheet examples/winter --set \"club night\"
  tipring sheet examples/winter --set \"hall night\" --for player -o hall.pdf
  tipring sheet examples/winter --for tech --paper letter -o tech.html
  tipring sheet examples/winter --program
  tipring sheet examples/winter --songs tonight.txt")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// One set; all of them when left out
    #[arg(long, value_name = "TITLE")]
    set: Option<String>,
    /// Tonight's order: a file with a title a line (- is standard input); the book stays as it is
    #[arg(long, value_name = "FILE", conflicts_with = "set")]
    songs: Option<PathBuf>,
    /// Leave the stage page, for a phone or a tablet, in this file as well
    #[arg(long, value_name = "FILE")]
    stage: Option<PathBuf>,
    /// Add the worksheet for programming the unit from empty
    #[arg(long)]
    program: bool,
    /// Who reads it: large and short for the floor, or everything for the bench; both at reading size when left out
    #[arg(long = "for", value_enum, value_name = "WHO")]
    reader: Option<Reader>,
    #[command(flatten)]
    paper: PaperArgs,
    /// How far the player's eyes are from the floor, in metres: `1.7m`
    #[arg(long, value_parser = metres, default_value = "1.7m")]
    distance: f32,
    /// Letters of 15 minutes of arc instead of 20
    #[arg(long)]
    small: bool,
    /// A date to print; else that of SOURCE_DATE_EPOCH, if it is set
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    #[command(flatten)]
    drafting: Drafting,
    #[command(flatten)]
    out: Out<Format>,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    Text,
    Html,
    Pdf,
}

impl kind::Format for Format {
    fn kind(self) -> Kind {
        match self {
            Format::Text => Kind::Text,
            Format::Html => Kind::Html,
            Format::Pdf => Kind::Pdf,
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Reader {
    Player,
    Tech,
}

pub(super) fn run(args: &Args) -> Outcome {
    let format = args.out.format()?;
    let given = args.paper.font()?;
    let fonts = Fonts::new(given.as_deref()).map_err(|e| Trouble(format!("`--font`: {e}")))?;
    let Some(compiled) = args.opening.open_clean(&args.drafting)? else { return Ok(wrong()) };
    let wanted = wanted(args, &compiled)?;
    let sheet = sheet::sheet(&compiled, &wanted);
    if let Some(path) = &args.stage {
        output::replace(path, stage::write(&sheet).as_bytes())?;
    }
    if format == Format::Text {
        args.out.write(sheet::text::write(&sheet).as_bytes())?;
        return Ok(CLEAN);
    }
    let minutes = if args.small { legible::LEAST } else { legible::PREFERRED };
    let docs = match args.reader {
        None => vec![sheet::reading::doc(&sheet)],
        Some(Reader::Tech) => vec![sheet::tech::doc(&compiled, &sheet)],
        Some(Reader::Player) => sheet::player::docs(&sheet, legible::size(&fonts, args.distance, minutes)),
    };
    if docs.is_empty() {
        return Err(Trouble("the book has no song to print".to_owned()));
    }
    if format == Format::Html {
        args.out.write(page::html::write(&docs).as_bytes())?;
        return Ok(CLEAN);
    }
    let laid: Vec<Laid> = docs.iter().map(|doc| page::flow::lay(doc, args.paper.paper(), &fonts)).collect();
    if args.reader == Some(Reader::Player) {
        let capitals = legible::capitals(args.distance, minutes);
        for (laid, night) in laid.iter().zip(&sheet.nights).filter(|(laid, _)| laid.pages.len() > 1) {
            output::complain(&format!(
                "`{}` takes {} pages: capitals of {capitals:.1} mm are read from {} m, and nothing is shrunk to fit",
                night.title,
                laid.pages.len(),
                args.distance
            ));
        }
    }
    args.out.write(&args.paper.pdf(laid, &fonts, given.as_deref())?)?;
    Ok(CLEAN)
}

fn metres(text: &str) -> Result<f32, String> {
    let number = text.trim().trim_end_matches('m').trim_end();
    let metres: f32 = number.parse().map_err(|_| "say a distance in metres, as in `1.7m`".to_owned())?;
    if (0.2..=20.0).contains(&metres) { Ok(metres) } else { Err("a distance is from 0.2 m to 20 m".to_owned()) }
}

fn wanted(args: &Args, compiled: &Compiled) -> Result<Wanted, Trouble> {
    let wanted = choose(args.set.as_deref(), args.songs.as_deref(), compiled)?;
    let draft = args.drafting.draft && compiled.errors() > 0;
    Ok(Wanted { program: args.program, draft, date: date(args)?, ..wanted })
}

/// What is to be played: a set, or tonight's list.
pub(super) fn choose(set: Option<&str>, songs: Option<&Path>, compiled: &Compiled) -> Result<Wanted, Trouble> {
    let sets = &compiled.book.sets;
    if let Some(title) = set
        && !sets.iter().any(|s| title_key(&s.title) == title_key(title))
    {
        return Err(no_set(&compiled.book, title));
    }
    let songs = songs.map(|path| listed(path, compiled)).transpose()?;
    Ok(Wanted { set: set.map(str::to_owned), songs, ..Wanted::default() })
}

fn listed(path: &Path, compiled: &Compiled) -> Result<Vec<usize>, Trouble> {
    let cannot = |why| Trouble(format!("cannot read {}: {why}", path.display()));
    let bytes = if path == Path::new("-") { open::input()? } else { Disk.read(path).map_err(cannot)? };
    let text = String::from_utf8(bytes).map_err(|_| Trouble(format!("{} is not UTF-8", path.display())))?;
    tonight::songs(&compiled.book, &text).map_err(Trouble)
}

#[allow(clippy::disallowed_methods, reason = "the environment is read here")]
fn date(args: &Args) -> Result<Option<String>, Trouble> {
    if args.date.is_some() {
        return Ok(args.date.clone());
    }
    let Ok(epoch) = std::env::var("SOURCE_DATE_EPOCH") else { return Ok(None) };
    let seconds: i64 =
        epoch.trim().parse().map_err(|_| Trouble(format!("SOURCE_DATE_EPOCH is no number: `{epoch}`")))?;
    Ok(Some(day(seconds)))
}

/// The day, UTC, of a number of seconds since 1970, by the proleptic Gregorian calendar (years of 365.2425 days).
fn day(seconds: i64) -> String {
    let days = seconds.div_euclid(86_400) + 719_468;
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::day;

    /// Known days: the epoch, a leap day, the last second of a century's year.
    #[test]
    fn seconds_become_days() {
        assert_eq!(day(0), "1970-01-01");
        assert_eq!(day(951_782_400), "2000-02-29");
        assert_eq!(day(951_782_399), "2000-02-28");
        assert_eq!(day(4_102_444_799), "2099-12-31");
        assert_eq!(day(-1), "1969-12-31");
    }
}
