//! `tipring check`: is the book right?

use super::kind::formats;
use super::offer::meant;
use super::open::Opening;
use super::output::Out;
use super::{CLEAN, Outcome, Trouble, mend, output, patch, report, wrong};
use crate::Compiled;
use crate::check::{self as rules, Diagnostic, Severity};
use crate::mend::offers;
use crate::print;

/// Check a book: every mistake, each with its line, what it clashes with, and the way out
#[derive(clap::Args)]
#[command(
    after_help = "A momentary contact is tried on every way into a scene: power-up and the preset that the unit wakes on, the first part
of each set, any part of a song to any other, the last part to the next song's first. `ways any` and `ways as listed`
change that.

Examples:
  tipring check examples/winter
  tipring check songs.scene --deny warnings
  tipring check examples/winter --fix --dry-run
  tipring check - --format json < songs.scene"
)]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// Fail on `warnings` too, or on one CODE; may be given more than once
    #[arg(long, value_name = "warnings|CODE")]
    deny: Vec<String>,
    /// Mend what can be mended safely, file by file, and tell what is left
    #[arg(long)]
    fix: bool,
    /// With --fix: write nothing, and show what would change
    #[arg(long, requires = "fix")]
    dry_run: bool,
    #[command(flatten)]
    out: Out<Format>,
}

formats!(Format {
    /// For people
    Text,
    /// One JSON object a line
    Json,
    /// SARIF 2.1.0
    Sarif
});

/// More than anybody reads at once.
const MOST_SHOWN: usize = 200;

pub(super) fn run(args: &Args) -> Outcome {
    let format = args.out.format()?;
    let known = |word: &String| word == "warnings" || rules::rule(word).is_some();
    if let Some(word) = args.deny.iter().find(|w| !known(w)) {
        let meant = meant(word, rules::RULES.iter().map(|r| r.code).chain(["warnings"]));
        let offer = meant.unwrap_or_else(|| "`tipring explain` lists all codes".to_owned());
        return Err(Trouble(format!("`--deny {word}`: there is no such code; {offer}")));
    }
    let compiled = if args.fix { mended(args)? } else { args.opening.open()? };
    let found = offers::tried(&compiled, compiled.diagnostics());
    let told = match format {
        Format::Sarif => print::sarif::sarif(&compiled, &found),
        Format::Json => print::diagnostics::json_lines(&compiled.files, &found),
        Format::Text => text(&compiled, &found, args.out.to().colour()),
    };
    match format {
        Format::Text if args.out.to().colour() => output::show_coloured(&told)?,
        _ => args.out.write(told.as_bytes())?,
    }
    let denied = |d: &Diagnostic| {
        d.severity == Severity::Error
            || args.deny.iter().any(|w| w == d.code || (w == "warnings" && d.severity == Severity::Warning))
    };
    let failed = compiled.diagnostics().iter().any(denied);
    // The process ends here: taking a large book apart piece by piece would only cost time.
    std::mem::forget(compiled);
    Ok(if failed { wrong() } else { CLEAN })
}

/// The book after its mends; its files are rewritten, or the change is shown.
fn mended(args: &Args) -> Result<Compiled, Trouble> {
    let mended = mend::mend(&args.opening.book, args.opening.options())?;
    let files = mended.patches.len();
    if args.dry_run {
        for patch in &mended.patches {
            output::print(patch.diff().as_bytes())?;
        }
    } else {
        patch::write(mended.patches)?;
    }
    // Machines read standard output: what people are told goes beside it.
    for line in mended.mends.iter().take(MOST_SHOWN) {
        output::complain(line);
    }
    if mended.mends.len() > MOST_SHOWN {
        output::complain(&format!("… and {} more", mended.mends.len() - MOST_SHOWN));
    }
    let (n, files) = (count(mended.mends.len(), "mend"), count(files, "file"));
    let done = if args.dry_run { "would be made" } else { "made" };
    let more = if mended.waiting { "; more can be mended once every line can be read" } else { "" };
    output::complain(&format!("{n} {done} in {files}{more}"));
    Ok(mended.compiled)
}

/// What people read: the diagnostics, then a line that sums up.
fn text(compiled: &Compiled, found: &[Diagnostic], colour: bool) -> String {
    let mut told = report::render(&compiled.files, colour, found.iter().take(MOST_SHOWN));
    if found.len() > MOST_SHOWN {
        told += &format!("… and {} more; `--format json` lists all\n", found.len() - MOST_SHOWN);
    }
    told + &summary(compiled)
}

/// `72 scenes, 25 songs, 3 sets: 1 error, 2 warnings`.
fn summary(compiled: &Compiled) -> String {
    let book = &compiled.book;
    let scenes = book.show.scenes.iter().filter(|s| !s.repeated).count();
    let found = |severity: Severity| compiled.diagnostics().iter().filter(|d| d.severity == severity).count();
    let parts = [(scenes, "scene"), (book.show.songs.len(), "song"), (book.show.sets.len(), "set")];
    let marks = [Severity::Error, Severity::Warning, Severity::Hint].map(|s| (found(s), s.word()));
    let marks: Vec<String> = marks.iter().filter(|(n, _)| *n > 0).map(|(n, word)| count(*n, word)).collect();
    let marks = match (marks.is_empty(), scenes) {
        (false, _) if found(Severity::Error) > 0 => {
            let it = if found(Severity::Error) == 1 { "it is" } else { "they are" };
            format!("{}; warnings are looked for once {it} mended", marks.join(", "))
        }
        (false, _) => marks.join(", "),
        (true, 0) => "no scene to check".to_owned(),
        (true, _) => "nothing wrong".to_owned(),
    };
    format!("{}: {marks}\n", parts.map(|(n, word)| count(n, word)).join(", "))
}

fn count(n: usize, word: &str) -> String {
    format!("{n} {word}{}", if n == 1 { "" } else { "s" })
}
