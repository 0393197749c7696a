//! A table that exists, as a book: its rows become scenes, with `from` and layers so that the text is short.
//!
//! Nothing is made up. What is not understood is listed, all of it; what is written was compiled, and stores what the
//! table says wherever that is heard.

mod branching;
mod close;
mod columns;
mod descent;
pub mod fault;
mod groups;
pub mod heads;
mod heard;
mod kept;
mod layers;
mod names;
mod needs;
pub mod plain;
mod presses;
mod reading;
mod rows;
mod share;
pub mod told;
mod ways;
mod words;
mod write;

use std::path::PathBuf;

use fault::Fault;
use groups::Groups;
use heads::Map;
use heard::Heard;
use names::Names;
use needs::Needs;
use reading::Scene;

use crate::Compiled;
use crate::book::Atom;
use crate::driver::{self, Options};
use crate::mend::Over;
use crate::source::load::Disk;
use crate::source::sheet::Sheet;
use crate::syntax::{edit, format::format};

/// What is asked for.
pub struct Wanted<'w> {
    pub sheet: &'w Sheet,
    /// What the table is called.
    pub shown: &'w str,
    pub map: Map,
    /// The board's file as the new book uses it, and the new book's own path; None for a board made of the columns.
    pub board: Option<String>,
    pub path: PathBuf,
    /// Steps of an expression port, where no board says them.
    pub steps: Option<u16>,
    /// Take over what is understood, although something is not.
    pub partial: bool,
}

/// A book made of a table.
pub struct Adopted {
    pub text: String,
    /// The book as it was compiled.
    pub compiled: Compiled,
    pub scenes: usize,
    pub layers: usize,
    /// Statements of its scenes and layers; before layers; and the least that any choice of parents takes before them.
    pub statements: usize,
    pub before: usize,
    pub bound: usize,
    /// What was left out.
    pub left_out: Vec<Fault>,
    /// Cells whose value is left to the tool, as nobody hears them.
    pub unheard: usize,
}

/// Makes a book of a table, or tells everything that is in the way.
pub fn adopt(wanted: &Wanted<'_>) -> Result<Adopted, Vec<Fault>> {
    let head = wanted.sheet.lines.iter().find(|line| line.cells.iter().filter(|c| !c.is_empty()).count() > 1);
    let head = head.or(wanted.sheet.lines.first()).ok_or_else(|| vec![Fault::Empty])?;
    let board = columns::board(wanted, head)?;
    let start = compile(wanted, &format!("{board}scene {}\n", unused(wanted)));
    if start.book.board.switcher.is_none() {
        return Err(vec![Fault::NoSwitcher]);
    }
    let columns = columns::of(wanted, head, &start)?;
    let mut left_out = columns::bare(wanted.sheet, head);
    let mut read = reading::read(&start, wanted.sheet, head.number, &columns);
    left_out.extend(read.faults);
    let mut heard = Heard::of(&start, &read.scenes);
    let unsaid = presses::settle(&start, &heard, &mut read.scenes, &columns);
    if !unsaid.is_empty() {
        heard = Heard::of(&start, &read.scenes);
    }
    left_out.extend(unsaid);
    let mut groups = Groups::of(&start);
    let (needs, faults) = needs::of(&start, &mut groups, &heard, &read.scenes, &columns);
    left_out.extend(faults);
    left_out.sort_by_key(Fault::place);
    if !left_out.iter().all(|fault| wanted.partial && fault.partial()) {
        return Err(left_out);
    }
    make(wanted, &start, groups, needs, &read.scenes, &board, left_out)
}

/// A scene's name that the table has not.
fn unused(wanted: &Wanted<'_>) -> String {
    let cells = || wanted.sheet.lines.iter().flat_map(|line| &line.cells);
    let mut name = "nothing-said".to_owned();
    while cells().any(|cell| *cell == name) {
        name.push_str("-yet");
    }
    name
}

fn compile(wanted: &Wanted<'_>, text: &str) -> Compiled {
    let texts = [(wanted.path.clone(), text.to_owned())].into();
    let shelf = Over { below: &Disk, texts };
    let options = Options { outside: true, ..Options::default() };
    driver::compile_from(&shelf, vec![wanted.path.clone()], options)
}

fn make(
    wanted: &Wanted<'_>,
    start: &Compiled,
    groups: Groups<'_>,
    mut needs: Needs,
    scenes: &[Scene],
    board: &str,
    left_out: Vec<Fault>,
) -> Result<Adopted, Vec<Fault>> {
    let default = share::default(&mut needs, &groups);
    let barred = barred(wanted, start, board, scenes);
    let shared = share::share(&needs, &groups, barred, scenes.iter().map(|s| s.name.as_str()).collect());
    let mut names = Names::of(&start.book);
    for scene in scenes {
        names.take(&scene.name);
    }
    let draft = write::Draft {
        scenes,
        parents: &shared.parents,
        bodies: &shared.bodies,
        pieces: &shared.pieces,
        default: &default,
        range: start.book.board.switcher.as_ref().and_then(|s| s.slots),
    };
    let text = format!("{}{board}{}", preface(wanted, scenes, &left_out), write::book(&draft, &groups, &mut names));
    let text = format(0, &text).map_or(text.clone(), |edits| edit::apply(&text, &edits));
    let compiled = compile(wanted, &text);
    let (otherwise, unheard) = kept::compare(&compiled, start, scenes);
    if !otherwise.is_empty() {
        let why = compiled.mistakes().iter().map(|mistake| Fault::Mistake { says: mistake.message.clone() });
        return Err(otherwise.into_iter().chain(why).collect());
    }
    let rows = scenes.iter().filter(|scene| scene.again.is_some()).count();
    let default = default.iter().map(|said| groups.weight(*said)).sum::<usize>() + usize::from(!default.is_empty());
    Ok(Adopted {
        text,
        compiled,
        scenes: scenes.len(),
        layers: shared.pieces.len(),
        statements: shared.statements + default + rows,
        before: shared.before + default + rows,
        bound: shared.bound + default + rows,
        left_out,
        unheard,
    })
}

/// Scenes of which a rule says something for all that derive from them: there nothing else may derive from them.
fn barred(wanted: &Wanted<'_>, start: &Compiled, board: &str, scenes: &[Scene]) -> Vec<bool> {
    // A rule that names a scene is not understood as long as there is none.
    if start.binding.is_empty() {
        return vec![false; scenes.len()];
    }
    let text: String = scenes.iter().map(|scene| format!("scene {}\n", scene.name)).collect();
    let compiled = compile(wanted, &format!("{board}{text}"));
    let mut spoken = std::collections::BTreeSet::new();
    for clause in compiled.book.board.rules.iter().flat_map(|rule| rule.form.parts()) {
        clause.atoms(&mut |atom, _| {
            if let Atom::Any(scene) = atom {
                spoken.extend(compiled.book.show.scene(scene).map(|s| s.name.to_string()));
            }
        });
    }
    scenes.iter().map(|scene| spoken.contains(&scene.name)).collect()
}

fn preface(wanted: &Wanted<'_>, scenes: &[Scene], left_out: &[Fault]) -> String {
    let slots: usize = scenes.iter().map(|scene| scene.slots.iter().filter(|slot| !slot.again).count()).sum();
    let (scenes, slots) = (told::counted(scenes.len(), "scene"), told::counted(slots, "slot"));
    let mut out = format!("# Taken over from {}: {scenes}, {slots}.\n", names::text(wanted.shown));
    out +=
        "# A table says nothing of songs and sets: they are still to be written. Nor does it say what only hands do.\n";
    if wanted.board.is_none() {
        out += "# It says nothing of pedals, amps, leads and power either; the board below is what its columns show.\n";
    }
    if !left_out.is_empty() {
        out += "# Taken over in part; left out:\n";
    }
    for fault in left_out {
        out += &format!("#   {}\n", told::fault(fault).replace(char::is_control, " "));
    }
    out + "\n"
}
