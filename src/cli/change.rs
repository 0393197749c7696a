//! `tipring change`: wanted values of cells in, the least change of the text out.

use std::collections::BTreeMap;
use std::path::Path;

use super::open::Opening;
use super::patch::{self, Patch};
use super::wanted::{self, Given};
use super::{CLEAN, Outcome, Trouble, output, report, wrong};
use crate::Compiled;
use crate::edit::{Followed, Refusal, follow};
use crate::print::change as print;

/// So many lines of a file are compared one by one.
const MOST_LINES: usize = 2_000;

/// Let the text follow: the least change of statements after which cells hold what is wanted
#[derive(clap::Args)]
#[command(after_help = "What is wanted, one in quotes or a table of them:
  \"1.4 expression-1 40 %\"        a slot, a scene or a part; then a cell, or a pedal's level, and how it is to stand
  \"1.4 expression-1 step 51\"     the step that is stored, counted from 0
  \"summit: lever out\"            a pedal in or out
  \"summit larch channel lead\"    a control's state; `foot`, `foot from heel`, `stays`
  \"summit: rocker moves gully.blend from 60 % to 10 %\"  what a treadle on an input moves
  \"summit: remote 2 tip closed\"  a contact, an output, a message
  winter.csv                     what `tipring table BOOK -o winter.csv` wrote, with some cells changed

Cells of a table that are as they were printed ask for nothing. Nothing else moves, and nothing is written without
`--write`.

Examples:
  tipring change examples/winter \"summit: gully.blend 50 %\"
  tipring change examples/winter \"summit: lever out\" \"ridge: lever out\" --write
  tipring change examples/winter \"summit: gully.blend 50 %\" --take 2 --write
  tipring change examples/winter winter.csv")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// A cell and what it is to hold, or a table that ends in .csv (- is a table on standard input)
    #[arg(required = true)]
    wanted: Vec<String>,
    /// Write the change into the book
    #[arg(long)]
    write: bool,
    /// Make another of the changes that are offered, by its number
    #[arg(long, value_name = "NUMBER")]
    take: Option<usize>,
}

pub(super) fn run(args: &Args) -> Outcome {
    if args.opening.book == Path::new("-") && args.wanted.iter().any(|w| w == "-") {
        return Err(Trouble("standard input cannot be both the book and the table".to_owned()));
    }
    let compiled = args.opening.open()?.fill_least();
    let given = wanted::read(&compiled, &args.wanted)?;
    let cells: Vec<_> = given.iter().map(|g| g.wanted).collect();
    match follow(&compiled, &cells) {
        Ok(followed) => args.followed(&compiled, &given, &followed),
        Err(refused) => args.refused(&compiled, &given, &refused),
    }
}

impl Args {
    fn followed(&self, compiled: &Compiled, given: &[Given], followed: &Followed) -> Outcome {
        let named: Vec<print::Named<'_>> = given.iter().map(Given::named).collect();
        let mut out = print::wanted(compiled, &named, followed);
        if followed.touched == 0 {
            if self.take.is_some() {
                return Err(Trouble("`--take`: nothing is to do, so nothing is offered".to_owned()));
            }
            output::print((out + "nothing to do\n").as_bytes())?;
            return Ok(CLEAN);
        }
        let texts = match self.take {
            None | Some(1) => &followed.texts,
            Some(number) => {
                let offer = number.checked_sub(2).and_then(|n| followed.offers.get(n));
                let offer = offer.ok_or_else(|| no_such(number, followed.offers.len() + 1))?;
                out += &print::taken(compiled, offer);
                &offer.texts
            }
        };
        let patches = patches(compiled, texts);
        if !self.write || self.opening.book != Path::new("-") {
            out += &shown(&patches);
            if self.take.is_none() {
                out += &print::proved(followed);
            }
        }
        if !self.write && self.take.is_none() {
            out += &print::offers(compiled, &followed.offers);
        }
        self.end(compiled, out, patches)
    }

    fn refused(&self, compiled: &Compiled, given: &[Given], refused: &[Refusal]) -> Outcome {
        let named: Vec<print::Named<'_>> = given.iter().map(Given::named).collect();
        if let ([Refusal::Moves(offer)], Some(number)) = (refused, self.take) {
            if number != 1 {
                return Err(no_such(number, 1));
            }
            let patches = patches(compiled, &offer.texts);
            let mut out = print::taken(compiled, offer);
            if !self.write || self.opening.book != Path::new("-") {
                out += &shown(&patches);
            }
            return self.end(compiled, out, patches);
        }
        for reason in refused {
            output::complain(&print::refusal(compiled, &named, reason));
            if let Refusal::Broken(after) = reason {
                report::tell_errors(after);
            }
        }
        output::complain("nothing was written");
        Ok(wrong())
    }

    /// Shows, or writes: the files of the book, or the text that came in.
    fn end(&self, compiled: &Compiled, mut out: String, patches: Vec<Patch>) -> Outcome {
        if !self.write {
            out += "nothing is written yet; `--write` writes it\n";
            output::print(out.as_bytes())?;
            return Ok(CLEAN);
        }
        if self.opening.book == Path::new("-") {
            let text = patches.first().map_or("", |p| &p.new);
            output::print(text.as_bytes())?;
            return Ok(CLEAN);
        }
        let names: Vec<String> = patches.iter().map(|p| p.shown.clone()).collect();
        // A night's book leaves the book that it amends as it is.
        let night = compiled.book.night.as_ref().and_then(|night| compiled.files.get(night.file));
        if let (Some(night), Some(base)) = (night, patches.iter().find(|p| night.is_some_and(|n| n.disk != p.path))) {
            output::complain(&format!(
                "nothing was written: {} belongs to the book that {} amends for one night; say `instead …` there, or open that \
                 book by its own name",
                base.shown, night.path
            ));
            return Ok(wrong());
        }
        patch::write(patches)?;
        out += &format!("written: {}\n", names.join(", "));
        output::print(out.as_bytes())?;
        Ok(CLEAN)
    }
}

/// The files line by line; of very many lines nobody reads them all.
fn shown(patches: &[Patch]) -> String {
    let large = |p: &Patch| p.new.lines().zip(p.old.lines()).filter(|(new, old)| new != old).count() > MOST_LINES;
    let told = |p: &Patch| if large(p) { format!("{}: very many lines change\n", p.shown) } else { p.diff() };
    patches.iter().map(told).collect()
}

fn no_such(number: usize, most: usize) -> Trouble {
    Trouble(match most {
        1 => format!("`--take {number}`: there is only change 1"),
        most => format!("`--take {number}`: there are changes 1 to {most}"),
    })
}

/// Texts as changes of the book's files.
pub(super) fn patches(compiled: &Compiled, texts: &BTreeMap<u32, String>) -> Vec<Patch> {
    let patch = |(number, new): (&u32, &String)| {
        let file = compiled.files.get(*number)?;
        Some(Patch { path: file.disk.clone(), shown: file.path.clone(), old: file.text.clone(), new: new.clone() })
    };
    texts.iter().filter_map(patch).collect()
}
