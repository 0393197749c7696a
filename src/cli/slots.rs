//! `tipring slots`: which scene stands in which slot, where they would cost the fewest presses, and writing either into the
//! book.

use std::collections::BTreeMap;

use super::kind::Kind;
use super::patch::{self, Patch};
use super::played::{self, Played};
use super::printing::{Printing, Records, Told};
use super::{CLEAN, Outcome, Trouble, output, report, wrong};
use crate::Compiled;
use crate::driver;
use crate::fill::Preset;
use crate::fill::helpers::keep_edits;
use crate::fill::pin;
use crate::print::slots as print;
use crate::source::Span;
use crate::study::slots::{self, Best, Missing, Rule};
use crate::syntax::edit::{self, Edit};
use crate::syntax::format::format;
use crate::syntax::kind::Kind as Word;
use crate::syntax::parse;

/// Show the slots, find better ones, and pin those that the tool chose
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring slots examples/winter
  tipring slots examples/winter -o slots.csv
  tipring slots examples/winter --set \"club night\"
  tipring slots examples/winter --pin
  tipring slots examples/winter --best
  tipring slots examples/winter --best --bank-a-song --pin")]
pub(super) struct Args {
    #[command(flatten)]
    played: Played,
    /// Where presets would cost the fewest presses over all sets; pinned slots stay
    #[arg(long, conflicts_with_all = ["set", "songs"])]
    best: bool,
    /// With `--best`: keep each song's sounds beside each other in a bank of its own, in the order of its parts
    #[arg(long)]
    bank_a_song: bool,
    /// Write the choice into the book, so that it stays when songs change; take its lines out of `slots` to undo that
    #[arg(long, conflicts_with_all = ["output", "format", "draft", "set", "songs"])]
    pin: bool,
    #[command(flatten)]
    printing: Printing<Records>,
}

pub(super) fn run(args: &Args) -> Outcome {
    if args.bank_a_song && !args.best {
        let says = "`--bank-a-song` says how to look for better slots, so it goes with `--best`: `tipring slots BOOK --best --bank-a-song`";
        return Err(Trouble(says.to_owned()));
    }
    if !args.pin {
        return args.printing.run_played(&args.played, |compiled, kind| {
            let presets = args.played.title().map_or_else(|| compiled.presets.clone(), |set| needed(compiled, set));
            let best = args.best.then(|| best(compiled, args.rule())).transpose()?;
            Ok(match (kind, &best) {
                (Kind::Csv, Some(best)) => Told::Data(print::best_csv(compiled, best)),
                (Kind::Csv, None) => Told::Data(print::csv(compiled, &presets)),
                (_, Some(best)) => print::best(compiled, best, args.rule()).into(),
                (_, None) => print::doc(compiled, &presets).into(),
            })
        });
    }
    let compiled = args.printing.opening.open()?;
    if compiled.errors() > 0 {
        report::tell_errors(&compiled);
        output::complain("the book has errors: nothing was written");
        return Ok(wrong());
    }
    if !args.best {
        return args.pin(&compiled, &compiled.presets, "");
    }
    let best = best(&compiled, args.rule())?;
    let (before, after) = best.presses();
    args.pin(&compiled, &best.presets, &format!(": {after} presses over all sets, {before} before"))
}

/// The presets that a set plays from, in slot order.
fn needed(compiled: &Compiled, set: &str) -> Vec<Preset> {
    let scenes = played::scenes(compiled, set);
    compiled.presets.iter().filter(|p| scenes.contains(p.scene.index())).copied().collect()
}

fn best(compiled: &Compiled, rule: Rule) -> Result<Best, Trouble> {
    slots::best(&compiled.book, &compiled.presets, rule).map_err(|missing| {
        let says = match missing {
            Missing::Slots => "the switcher has no slots: say `banks 1..8, switches 1..5` in `switcher`",
            Missing::Presses => {
                "what a press costs is not said: say `presses: same bank 1, bank step 1` in `switcher`, as the unit has it"
            }
            Missing::Called => {
                "parts are called from outside, and better slots are not looked for with them: they cost no press, and moving \
                 them makes the computer's file stale; a way around, which counts a foot for every part: take `called from outside` \
                 out in a copy of the book, run `slots --best --pin` on the copy, put its `slots` block in place of this book's, and \
                 give the computer a new file by `calls`, for programs go by the slots"
            }
            Missing::Songs => "no song plays a scene: there are no presses to spare",
        };
        Trouble(says.to_owned())
    })
}

/// Told beside what was pinned.
const UNPIN: &str = "to let the tool choose again, take these lines out of `slots`";

/// A file in its canonical look keeps it; of another the blocks of slots that were laid so, or on one line, are, and the rest
/// keeps its own.
fn laid(old: &str, new: String) -> String {
    let (Ok(before), Ok(after)) = (format(0, old), format(0, &new)) else { return new };
    if before.is_empty() {
        return edit::apply(&new, &after);
    }
    let blocks = |text: &str| -> Vec<Span> {
        let (tree, _) = parse(0, text);
        tree.statements(text).filter(|view| view.kind() == Word::Slots).map(|view| view.span()).collect()
    };
    let within = |block: &Span, edits: &[Edit]| -> Vec<Edit> {
        edits.iter().filter(|e| block.start <= e.at.start && e.at.end <= block.end).cloned().collect()
    };
    let pairs = blocks(old).into_iter().zip(blocks(&new));
    let kept = pairs.filter(|(was, _)| {
        let line = old.get(was.start as usize..was.end as usize).is_some_and(|text| !text.contains('\n'));
        line || within(was, &before).is_empty()
    });
    let edits: Vec<Edit> = kept.flat_map(|(_, now)| within(&now, &after)).collect();
    edit::apply(&new, &edits)
}

impl Args {
    fn rule(&self) -> Rule {
        if self.bank_a_song { Rule::BankASong } else { Rule::Fewest }
    }

    fn pin(&self, compiled: &Compiled, presets: &[Preset], says: &str) -> Outcome {
        let slots = pin::edits(&compiled.book, &compiled.files, presets);
        let helpers = keep_edits(&compiled.book, &compiled.files, &compiled.helpers);
        if let Some(edit) = slots.first()
            && compiled.book.night.as_ref().is_some_and(|night| night.file != edit.at.file)
        {
            let path = compiled.files.path(edit.at);
            output::complain(&format!(
                "the slots stand in {path}, and a night's book leaves the book that it amends as it is: say `instead slots` in it, \
                 or pin them in the book itself"
            ));
            return Ok(wrong());
        }
        let mut by_file: BTreeMap<u32, Vec<Edit>> = BTreeMap::new();
        for edit in slots.iter().chain(&helpers) {
            by_file.entry(edit.at.file).or_default().push(edit.clone());
        }
        if by_file.is_empty() {
            output::print(b"every slot is pinned already\n")?;
            return Ok(CLEAN);
        }
        let mut texts: BTreeMap<u32, String> = BTreeMap::new();
        for (number, edits) in by_file {
            let file = compiled.files.get(number).ok_or_else(|| Trouble("the book has no file".to_owned()))?;
            let text = laid(&file.text, edit::rewrite(&file.text, edits));
            texts.insert(number, text);
        }
        // Elsewhere a preset may be come to from elsewhere, and wake the unit: what is right today may be wrong then.
        if self.best {
            let pinned = driver::compile_changed(compiled, &texts);
            if pinned.errors() > 0 {
                report::tell_errors(&pinned);
                output::complain("with these slots the book would have errors: nothing was written");
                return Ok(wrong());
            }
        }
        let mut patches = Vec::new();
        for (number, text) in texts {
            let Some(file) = compiled.files.get(number) else { continue };
            if file.path == "-" {
                output::print(text.as_bytes())?;
                return Ok(CLEAN);
            }
            patches.push(Patch {
                path: file.disk.clone(),
                shown: file.path.clone(),
                old: file.text.clone(),
                new: text,
            });
        }
        patch::write(patches)?;
        if let Some(edit) = slots.first() {
            let chosen = pin::pinned(presets).count();
            let s = if chosen == 1 { "" } else { "s" };
            let path = compiled.files.path(edit.at);
            output::print(format!("pinned {chosen} slot{s} in {path}{says}\n{UNPIN}\n").as_bytes())?;
            let left = print::left(compiled, presets);
            output::print(left.map_or(String::new(), |says| format!("{says}\n")).as_bytes())?;
        }
        for edit in &helpers {
            let kept = edit.text.lines().filter(|line| !line.trim().is_empty()).count();
            let s = if kept == 1 { "" } else { "s" };
            let path = compiled.files.path(edit.at);
            output::print(format!("pinned {kept} preset{s} of a helper in {path}\n").as_bytes())?;
        }
        Ok(CLEAN)
    }
}
