//! `tipring readback`: what is in the unit against what should be there, and the record of both.

mod asking;
mod changing;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::Compiled;
use crate::book::Slot;
use crate::cli::kind::{Format as _, Kind};
use crate::cli::printing::{Printing, Records, Told, send};
use crate::cli::record::{self, Keeping};
use crate::cli::{CLEAN, Outcome, Trouble, open, output, wrong};
use crate::compare::back::{Back, read_back};
use crate::compare::stored::memory;
use crate::compare::unit::Unit;
use crate::print::diff::back as print;
use crate::print::lookpage;
use crate::print::looks::{Look, looks};
use crate::print::readings::{self, Readings};
use crate::print::record::{How, Source, lines};
use crate::source::load::{Disk, Shelf};

/// Hold what was read off the unit against the book, and keep the record of what is in it
#[derive(clap::Args)]
#[command(
    after_help = "Exit codes: 0 all that is heard was read and is right, 1 something is wrong or was not read, 2 the tool could not run.
Examples:
  tipring readback examples/winter read.csv
  tipring readback examples/winter read.csv -o todo.pdf
  tipring readback examples/winter read.csv --keep --by Ines --date 2026-11-27
  tipring readback examples/winter read.csv --change
  tipring readback examples/winter --ask --keep
  tipring readback examples/winter --html -o unit.html
  tipring readback examples/winter --programmed all
  tipring readback examples/winter --programmed 1A,1B,7D --by Ines --date 2026-11-27
  tipring diff examples/winter --from-memory
A TABLE is CSV as `table BOOK --format csv` prints it: a line a slot, a column a cell; an empty cell was not read.
The record is a text, a line a fact, and lies beside the book: which slot, what was put there or read there, by whom, when, and \
by which version of the book. Lines are only ever added. `sheet --from-memory` marks each slot by it, `diff --from-memory` \
starts from it."
)]
pub(super) struct Args {
    #[command(flatten)]
    printing: Printing<Records>,
    /// What was read off the unit: a table in CSV (- is standard input)
    table: Option<PathBuf>,
    /// Be asked at the unit, preset by preset (by standard error, answered by standard input)
    #[arg(long, conflicts_with = "table")]
    ask: bool,
    /// Write a page for the phone at the unit's side: it asks the same, works offline, and gives what was read as a TABLE
    #[arg(long, conflicts_with_all = ["table", "ask"])]
    html: bool,
    /// Keep in the record what was read; with `--ask` preset by preset, and those that were read from this very book and were
    /// right are not asked again
    #[arg(long)]
    keep: bool,
    /// Ask about all presets again
    #[arg(long, requires_all = ["ask", "keep"])]
    again: bool,
    /// What was read is right: show the least change of the text that says so, instead of what to program
    #[arg(long, conflicts_with_all = ["html", "output", "format"])]
    change: bool,
    /// Make that change
    #[arg(long, requires = "change")]
    write: bool,
    /// Keep in the record that these slots were programmed as the book says: `1A,1B`, or `all`
    #[arg(long, value_name = "SLOTS", conflicts_with_all = ["table", "ask", "html", "keep", "change", "output", "format"])]
    programmed: Option<String>,
    #[command(flatten)]
    keeping: Keeping,
}

pub(super) fn run(args: &Args) -> Outcome {
    let out = &args.printing.out;
    let kind = if args.html { out.only(Kind::Html).map(|()| Kind::Html)? } else { out.format()?.kind() };
    args.printing.paper.suits(kind)?;
    suits(args)?;
    out.to().spares(args.table.as_deref())?;
    let Some(compiled) = args.printing.opening.open_clean(&args.printing.drafting)? else { return Ok(wrong()) };
    if let Some(slots) = &args.programmed {
        return programmed(args, &compiled, slots);
    }
    if args.html {
        out.write(lookpage::write(&lookpage::show(&compiled)).as_bytes())?;
        return Ok(CLEAN);
    }
    if args.ask {
        return ask(args, &compiled, kind);
    }
    let table = args.table.as_deref().unwrap_or(Path::new("-"));
    let read = readings::read(&compiled, &text_of(table)?)
        .map_err(|why| Trouble(format!("{}: nothing was compared\n{why}", table.display())))?;
    let back = read_back(&compiled, &read.unit);
    if args.keep {
        keep(args, &compiled, &read)?;
    }
    told(args, &compiled, kind, &back, read.passed)
}

/// Refuses what means nothing together.
fn suits(args: &Args) -> Result<(), Trouble> {
    let refuse = |why: &str| Err(Trouble(why.to_owned()));
    if args.table.is_none() && !args.ask && !args.html && args.programmed.is_none() {
        return refuse("say what was read off the unit: a TABLE in CSV, `--ask`, `--html`, or `--programmed SLOTS`");
    }
    if args.html && args.keep {
        return refuse("the page gives a TABLE: `--keep` goes with that");
    }
    if args.keeping.given() && !args.keep && args.programmed.is_none() {
        return refuse("`--record`, `--by` and `--date` go with `--keep` and `--programmed`");
    }
    if args.write && args.printing.opening.book == Path::new("-") {
        return refuse("a book from standard input is not written: name its file");
    }
    let input = |path: &Path| path == Path::new("-");
    if input(&args.printing.opening.book) && (args.ask || args.table.as_deref().is_some_and(input)) {
        return refuse("standard input holds the book, or what was read: name a file for one of them");
    }
    Ok(())
}

/// Asks a person, and keeps each answer at once where it is to be kept.
fn ask(args: &Args, compiled: &Compiled, kind: Kind) -> Outcome {
    let looks = looks(compiled);
    if looks.is_empty() {
        return Err(Trouble("there is nothing to look at: no slot holds anything that is heard".to_owned()));
    }
    let mut unit = Unit::default();
    let mut record = None;
    if args.keep {
        let (source, path) = (args.keeping.source(compiled)?, args.keeping.path(&args.printing.opening.book)?);
        if let Some(known) = record::read(&path)?.filter(|_| !args.again) {
            let sure = known.sure(compiled, &source.fingerprint);
            unit.slots = known.unit(compiled).slots.into_iter().filter(|(slot, _)| sure.contains(slot)).collect();
        }
        record = Some((source, path));
    }
    let open: Vec<&Look> = looks.iter().filter(|look| !unit.slots.contains_key(&look.at)).collect();
    let before = looks.len() - open.len();
    if before > 0 {
        output::complain(&format!("{before} of {} were read before and were right; `--again` asks all", looks.len()));
    }
    asking::ask(compiled, &open, |look, holds| {
        if let Some((source, path)) = &record {
            let one = Unit { slots: BTreeMap::from([(look.at, holds.clone())]), ..Unit::default() };
            record::add(path, &lines(compiled, &one, How::Read, &|_| source.clone()))?;
        }
        unit.slots.insert(look.at, holds);
        Ok(())
    })?;
    told(args, compiled, kind, &read_back(compiled, &unit), 0)
}

/// The report.
fn told(args: &Args, compiled: &Compiled, kind: Kind, back: &Back, passed: usize) -> Outcome {
    if args.change {
        return changing::change(compiled, back, args.write);
    }
    let told = match kind {
        Kind::Csv => Told::Data(print::csv(compiled, back)),
        _ => print::doc(compiled, back, passed).into(),
    };
    send(told, kind, &args.printing.paper, &args.printing.out)?;
    Ok(if back.clean() { CLEAN } else { wrong() })
}

/// Adds what was read; what the table says of who and when goes before what the command line says.
fn keep(args: &Args, compiled: &Compiled, read: &Readings) -> Result<(), Trouble> {
    let all = args.keeping.source(compiled)?;
    for said in read.said.values().filter(|said| !said.date.is_empty()) {
        record::told(&said.date)?;
    }
    let source = |slot: Slot| {
        let said = read.said.get(&slot).cloned().unwrap_or_default();
        let or = |said: String, all: &String| if said.is_empty() { all.clone() } else { said };
        let (version, fingerprint) = match said.version.as_str() {
            "" => (all.version.clone(), all.fingerprint.clone()),
            said => record::version(said),
        };
        Source { date: or(said.date, &all.date), by: or(said.by, &all.by), version, fingerprint }
    };
    record::add(&args.keeping.path(&args.printing.opening.book)?, &lines(compiled, &read.unit, How::Read, &source))
}

/// Adds that slots were programmed as the book says.
fn programmed(args: &Args, compiled: &Compiled, list: &str) -> Outcome {
    let slots = slots(compiled, list)?;
    let source = args.keeping.source(compiled)?;
    let path = args.keeping.path(&args.printing.opening.book)?;
    let unit = Unit::programmed(compiled, &slots);
    record::add(&path, &lines(compiled, &unit, How::Programmed, &|_| source.clone()))?;
    let s = if slots.len() == 1 { "slot" } else { "slots" };
    output::print(format!("{} {s} recorded in {}\n", slots.len(), path.display()).as_bytes())?;
    Ok(CLEAN)
}

/// The slots of a list, or all that the book fills; what is wrong with the list is told at once.
fn slots(compiled: &Compiled, list: &str) -> Result<BTreeSet<Slot>, Trouble> {
    let filled: BTreeSet<Slot> = memory(compiled).iter().map(|row| row.slot).collect();
    let Some(range) = compiled.book.board.switcher.as_ref().and_then(|s| s.slots) else {
        return Err(Trouble("the switcher has no slots: say `banks 1..8, switches 1..5` in `switcher`".to_owned()));
    };
    if list.trim() == "all" {
        return Ok(filled);
    }
    let (mut slots, mut wrong) = (BTreeSet::new(), Vec::new());
    let mut words: Vec<String> = Vec::new();
    for word in list.split([',', ' ']).filter(|word| !word.is_empty()) {
        match words.last_mut().filter(|_| word == "again") {
            Some(slot) => *slot += " again",
            None => words.push(word.to_owned()),
        }
    }
    for word in &words {
        match readings::slot(range, word) {
            Some(slot) if filled.contains(&slot) => drop(slots.insert(slot)),
            Some(_) => wrong.push(format!("the book fills no slot {word}")),
            None => wrong.push(format!("`{word}` is no slot of this switcher")),
        }
    }
    match (wrong.is_empty(), slots.is_empty()) {
        (false, _) => Err(Trouble(format!("nothing was recorded: {}", wrong.join("; ")))),
        (_, true) => Err(Trouble("name a slot, or say `all`".to_owned())),
        _ => Ok(slots),
    }
}

/// The words of a file, or of standard input.
fn text_of(path: &Path) -> Result<String, Trouble> {
    let cannot = |why| Trouble(format!("cannot read {}: {why}", path.display()));
    let bytes = if path == Path::new("-") { open::input()? } else { Disk.read(path).map_err(cannot)? };
    String::from_utf8(bytes).map_err(|_| Trouble(format!("{} is not UTF-8", path.display())))
}
