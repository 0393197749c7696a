//! `tipring diff`: what changed between two books.

use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

use super::kind::{Format as _, Kind, formats};
use super::offer::no_set;
use super::open::{self, Fill};
use super::output::Out;
use super::paper::PaperArgs;
use super::played::{self, Played};
use super::printing::{Told, send};
use super::{CLEAN, Outcome, Trouble, record, report, wrong};
use crate::Compiled;
use crate::book::song::title_key;
use crate::compare::beside::Known;
use crate::compare::unit::Unit;
use crate::compare::{Comparison, Options, compare, pairing, todo, with_unit};
use crate::driver;
use crate::mend::switched::{Switched, switched};
use crate::print::diff;
use crate::print::diff::page::Reader;
use crate::print::doc::{Block, head};
use crate::source::git::Revision;

/// Compare two books: what is heard differently, and what must be reprogrammed
#[derive(clap::Args)]
#[command(after_help = "Exit codes: 0 no difference, 1 they differ, 2 the tool could not run.
Examples:
  tipring diff examples/winter examples/spring
  tipring diff examples/winter examples/spring --for player
  tipring diff examples/winter examples/spring --for tech -o todo.pdf
  tipring diff examples/winter examples/spring --set \"hall night\"   twelve minutes before the doors
  tipring diff examples/winter examples/spring --songs tonight.txt
  tipring diff examples/winter examples/spring --exact --no-copies
  tipring diff examples/winter examples/spring --notes notes.txt
  tipring diff my-tour --from-memory          what the unit's record says against the book
  tipring diff my-tour --git HEAD            the last commit against the working copy
  tipring diff my-tour --git winter..spring  two revisions
Leave `git diff` as it is: it shows every line that changed, and --git tells what the lines mean. A driver for
`git diff` sees one file of a book at a time, and would hide what it cannot read by itself.")]
#[command(mut_arg("set", |set| set.help("Only what this set of NEW plays, in playing order, with how far it is right after each slot")))]
pub(super) struct Args {
    /// The book as it was, then as it is: files or folders; one book alone with --git
    #[arg(required = true, num_args = 1..=2, value_name = "OLD NEW")]
    books: Vec<PathBuf>,
    /// Compare a revision of the book with the working copy, or two revisions
    #[arg(long, value_name = "REV|A..B")]
    git: Option<String>,
    /// For whom: the player hears, the tech does; both when left out (JSON holds both)
    #[arg(long = "for", value_enum, value_name = "READER")]
    reader: Option<For>,
    /// Take nothing for renamed unless `was` says so
    #[arg(long)]
    no_renames: bool,
    /// What must be reprogrammed in a unit that holds what its record says (`readback`), instead of an old book; the record
    /// beside the book when none is named
    #[arg(long, value_name = "RECORD", num_args = 0..=1, require_equals = true)]
    #[arg(conflicts_with_all = ["git", "exact", "no_renames", "source", "notes"])]
    from_memory: Option<Option<PathBuf>>,
    #[command(flatten)]
    played: Played,
    /// The unit holds OLD to the letter, as after programming it from empty by `sheet --program` (with the same `--fill`)
    #[arg(long, value_enum, value_name = "FILL", num_args = 0..=1, require_equals = true, default_missing_value = "least")]
    exact: Option<Fill>,
    /// Store no preset in another slot: each is edited where it stands
    #[arg(long)]
    no_copies: bool,
    /// What the player noted on the stage page: which of those scenes changed, and which did not (- is standard input)
    #[arg(long, value_name = "FILE")]
    notes: Option<PathBuf>,
    /// Add the text diff of the files, by words inside lines
    #[arg(long)]
    source: bool,
    /// Compare books that have errors too, as far as they are understood
    #[arg(long)]
    draft: bool,
    /// Let `use` name files outside the book's folder
    #[arg(long)]
    outside: bool,
    #[command(flatten)]
    paper: PaperArgs,
    #[command(flatten)]
    out: Out<Format>,
}

formats!(Format { Text, Html, Pdf, Md, Json });

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum For {
    Player,
    Tech,
}

pub(super) fn run(args: &Args) -> Outcome {
    let kind = args.out.format()?.kind();
    suits(args, kind)?;
    args.out.to().spares(args.notes.as_deref())?;
    args.played.spared_by(args.out.to())?;
    let noted = args.notes.as_deref().map(played::noted).transpose()?.unwrap_or_default();
    if let Some(given) = &args.from_memory {
        return from_memory(args, kind, given.as_deref());
    }
    let (old, new) = books(args)?;
    let (old, new) = (clean(old, args.draft)?, clean(new, args.draft)?);
    // To the letter is what `table` prints: free cells as they were chosen. Else what rules ask of free cells is known.
    let old = match args.exact {
        Some(Fill::Least) => old.fill_least(),
        Some(Fill::Open) => old.fill_kept(),
        None => ruled(old),
    };
    let Some(new) = args.played.of(ruled(new), args.draft)? else { return Ok(wrong()) };
    // The process ends when the diff is told: nothing is gained by giving the books' memory back bit by bit.
    let (old, new) = (ManuallyDrop::new(old), ManuallyDrop::new(new));
    let options = Options { renames: !args.no_renames, exact: args.exact.is_some(), copies: !args.no_copies };
    if let Some(title) = args.played.title() {
        return tonight(args, kind, (&old, &Known::of_book(&old), &new), options, title);
    }
    let comparison = ManuallyDrop::new(compare(&old, &new, options));
    let reader = match args.reader {
        Some(For::Player) => Reader::Player,
        Some(For::Tech) => Reader::Tech,
        None => Reader::Both,
    };
    let source = |colour| diff::source::words(&old.files, &new.files, colour);
    let lines = if args.source { source(false) } else { String::new() };
    let told = if kind == Kind::Json {
        Told::Data(diff::json::all(&comparison, args.source.then_some(lines.as_str())))
    } else {
        let mut doc = diff::story::doc(&comparison, reader);
        doc.blocks.extend(diff::noted::section(&comparison, &noted));
        if reader != Reader::Player {
            doc.blocks.extend(less(&comparison, options));
        }
        if !lines.is_empty() {
            doc.blocks.extend([head(2, "Source"), Block::Code { lines, coloured: source(true) }]);
        }
        doc.into()
    };
    send(told, kind, &args.paper, &args.out)?;
    Ok(if comparison.same() { CLEAN } else { wrong() })
}

/// Where a switch on its old contact leaves less to program than the presets for the new one.
fn less(comparison: &Comparison<'_>, options: Options) -> Vec<Block> {
    let (old, new) = (comparison.old, comparison.new);
    let ways = switched(old, new).into_iter().filter_map(|way| {
        let Switched { device, control, contact, file, compiled } = way;
        let compiled = ManuallyDrop::new(ruled(compiled));
        let other = ManuallyDrop::new(compare(old, &compiled, options));
        diff::less::line(comparison, &other, &device, &control, &contact, &file)
    });
    diff::less::section(ways.collect())
}

/// With free cells as the rules ask for them.
fn ruled(compiled: Compiled) -> Compiled {
    if compiled.book.board.rules.is_empty() { compiled } else { compiled.fill_kept() }
}

/// What must be reprogrammed by the record of what is in the unit.
fn from_memory(args: &Args, kind: Kind, given: Option<&Path>) -> Outcome {
    let [book] = args.books.as_slice() else {
        return Err(Trouble("`--from-memory` takes one book: the record stands for the old one".to_owned()));
    };
    if args.reader == Some(For::Player) {
        return Err(Trouble("a record tells nothing of what is heard: leave out `--for player`".to_owned()));
    }
    let options = driver::Options { outside: args.outside, errors_only: true, ..driver::Options::default() };
    let new = ruled(clean(open::open(book, options)?, args.draft)?);
    let Some(new) = args.played.of(new, args.draft)? else { return Ok(wrong()) };
    let unit = Unit { record: record::name(given, book)?, ..record::there(given, book)?.unit(&new) };
    let old = unit.as_book(&new);
    let options = Options { renames: false, exact: false, copies: !args.no_copies };
    if let Some(title) = args.played.title() {
        return tonight(args, kind, (&old, &unit.known(), &new), options, title);
    }
    let comparison = with_unit((&old, &unit), &new, options);
    let told = match kind {
        Kind::Json => Told::Data(diff::json::all(&comparison, None)),
        _ => diff::story::of_unit(&comparison, &unit).into(),
    };
    send(told, kind, &args.paper, &args.out)?;
    Ok(if comparison.same() { CLEAN } else { wrong() })
}

/// What one set needs of the unit.
fn tonight(
    args: &Args,
    kind: Kind,
    (old, known, new): (&Compiled, &Known, &Compiled),
    options: Options,
    title: &str,
) -> Outcome {
    let sets = &new.book.show.sets;
    let set = sets.iter().find(|s| title_key(&s.title) == title_key(title)).ok_or_else(|| no_set(&new.book, title))?;
    let tonight = todo::tonight((old, known), new, &pairing::matched(old, new, options.renames), options, set);
    let told = match kind {
        Kind::Json => Told::Data(diff::tonight::data((old, new), &tonight)),
        _ => diff::tonight::doc((old, new), &tonight).into(),
    };
    send(told, kind, &args.paper, &args.out)?;
    Ok(if tonight.steps.is_empty() { CLEAN } else { wrong() })
}

/// Refuses what means nothing for such a file.
fn suits(args: &Args, kind: Kind) -> Result<(), Trouble> {
    if args.reader.is_some() && kind == Kind::Json {
        return Err(Trouble(
            "`--for` is for people: JSON holds what the player hears and what the tech does".to_owned(),
        ));
    }
    if let (Some(option), true) =
        (args.played.option(), args.reader == Some(For::Player) || args.source || args.notes.is_some())
    {
        let way =
            "lists what is reprogrammed for one order of songs: leave out `--for player`, `--source` and `--notes`";
        return Err(Trouble(format!("`{option}` {way}")));
    }
    if args.notes.is_some() && kind == Kind::Json {
        return Err(Trouble("`--notes` is for people: JSON holds the scenes that changed".to_owned()));
    }
    if args.source && kind == Kind::Pdf {
        return Err(Trouble(
            "`--source` points at letters, and a PDF has none of one width; say `--format html`".to_owned(),
        ));
    }
    args.paper.suits(kind)
}

/// Both books; two that are on the disk are compiled side by side.
fn books(args: &Args) -> Result<(Compiled, Compiled), Trouble> {
    let options = driver::Options { outside: args.outside, errors_only: true, ..driver::Options::default() };
    let revision = |path: &Path, name: &str| {
        let (shelf, files) = Revision::of(path, name).map_err(Trouble)?;
        let options = options.of(path, &files);
        Ok::<_, Trouble>(driver::compile_from(&shelf, files, options))
    };
    match (args.books.as_slice(), args.git.as_deref()) {
        ([book], Some(git)) => match git.split_once("..") {
            // As git has it, the side that is left out is the last commit.
            Some((old, new)) => {
                let side = |name: &str| revision(book, if name.is_empty() { "HEAD" } else { name });
                Ok((side(old)?, side(new)?))
            }
            None => Ok((revision(book, git)?, open::open(book, options)?)),
        },
        ([old, new], None) if old == Path::new("-") && new == Path::new("-") => {
            Err(Trouble("standard input holds one book, not two".to_owned()))
        }
        ([old, new], None) => {
            let checked = |path: &Path| {
                let compiled = open::open(path, options)?;
                compiled.mistakes();
                Ok::<_, Trouble>(compiled)
            };
            let (old, new) = rayon::join(|| checked(old), || checked(new));
            Ok((old?, new?))
        }
        (_, Some(_)) => Err(Trouble("`--git` takes one book, and compares its revisions".to_owned())),
        _ => Err(Trouble("two books are needed, or one and `--git`".to_owned())),
    }
}

/// A book without errors, or any where a draft will do.
fn clean(compiled: Compiled, draft: bool) -> Result<Compiled, Trouble> {
    if compiled.errors() == 0 || draft {
        return Ok(compiled);
    }
    report::tell_errors(&compiled);
    Err(Trouble("a book with errors was not compared; `--draft` compares what is known".to_owned()))
}
