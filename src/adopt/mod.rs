//! A table that exists, as a book: its rows become scenes, with `from` and layers so that the text is short.
//!
//! Nothing is made up. What is not understood is listed, all of it; what is written was compiled, and stores what the
//! table says wherever that is heard.

mod branching;
mod close;
mod descent;
pub mod fault;
mod groups;
pub mod heads;
mod layers;
mod names;
mod needs;
pub mod plain;
mod reading;
mod share;
pub mod told;
mod words;
mod write;

use crate::ids::SceneId;
use std::path::PathBuf;

use fault::Fault;
use groups::Groups;
use heads::{Map, Target};
use names::Names;
use needs::Needs;
use reading::{Column, Scene};

use crate::Compiled;
use crate::book::Atom;
use crate::driver::{self, Options};
use crate::mend::Over;
use crate::source::load::Disk;
use crate::source::sheet::{Line, Sheet};
use crate::syntax::{edit, format::format};
use crate::written::cell;

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
    let board = board(wanted, head)?;
    let start = compile(wanted, &format!("{board}scene {}\n", unused(wanted)));
    if start.book.board.switcher.is_none() {
        return Err(vec![Fault::NoSwitcher]);
    }
    let columns = columns(wanted, head, &start)?;
    let mut left_out = bare(wanted.sheet, head);
    let read = reading::read(&start, wanted.sheet, head.number, &columns);
    left_out.extend(read.faults);
    let mut groups = Groups::of(&start);
    let (needs, faults) = needs::of(&start, &mut groups, &read.scenes, &columns);
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

/// The text before the scenes: the board's file is used, or a board is made of the columns.
fn board(wanted: &Wanted<'_>, head: &Line) -> Result<String, Vec<Fault>> {
    if let Some(path) = &wanted.board {
        return Ok(format!("use \"{path}\"\n\n"));
    }
    let word = |name: &str| wanted.map.says(name).map_or_else(|| name.to_owned(), str::to_owned);
    let (mut names, mut feet) = (Vec::new(), Vec::new());
    let mut slots = Vec::new();
    let mut banks: (Vec<String>, Vec<String>) = Default::default();
    for (at, name) in head.cells.iter().enumerate().filter(|(_, name)| !name.is_empty()) {
        let texts = || plain::texts(wanted.sheet, head.number, at);
        match word(name).as_str() {
            "slot" => slots = texts(),
            "bank" => banks.0 = plain::rows(wanted.sheet, head.number, at),
            "switch" => banks.1 = plain::rows(wanted.sheet, head.number, at),
            "scene" | "text" | "nothing" => {}
            said => {
                let column = said.split_whitespace().collect::<Vec<_>>().join("-");
                let told = plain::knows(&column).then_some(column);
                let column = told.or_else(|| heads::hardware(said)).or_else(|| plain::needs_board(said));
                let foot = texts().iter().any(|text| text.eq_ignore_ascii_case("foot"));
                feet.extend(column.clone().filter(|_| foot));
                names.extend(column);
            }
        }
    }
    for (bank, switch) in banks.0.iter().zip(&banks.1).filter(|(bank, _)| !bank.is_empty()) {
        let point = if switch.starts_with(|c: char| c.is_ascii_digit()) { "." } else { "" };
        slots.push(format!("{bank}{point}{switch}"));
    }
    let made = plain::board(&names, &feet, &slots, wanted.steps);
    made.map(|text| format!("{text}\n")).map_err(|lacks| lacks.into_iter().map(Fault::Board).collect())
}

/// Cells below no head.
fn bare(sheet: &Sheet, head: &Line) -> Vec<Fault> {
    let mut found: Vec<Fault> = Vec::new();
    let mut seen = std::collections::BTreeSet::new();
    for line in sheet.lines.iter().filter(|line| line.number > head.number) {
        for (column, text) in line.cells.iter().enumerate() {
            let headless = head.cells.get(column).is_none_or(String::is_empty);
            if headless && !text.is_empty() && seen.insert(column) {
                found.push(Fault::NoHead { column, row: line.number });
            }
        }
    }
    found
}

fn columns(wanted: &Wanted<'_>, head: &Line, start: &Compiled) -> Result<Vec<Column>, Vec<Fault>> {
    let (board, cells) = (&start.book.board, &start.table.cells);
    let (mut columns, mut guesses, mut faults) = (Vec::<Column>::new(), Vec::new(), Vec::new());
    let words = heads::words(board, cells);
    for (at, name) in head.cells.iter().enumerate().filter(|(_, name)| !name.is_empty()) {
        let said = wanted.map.says(name);
        let Some(target) = heads::target(said.unwrap_or(name), board, cells) else {
            match said {
                Some(word) => {
                    let near = crate::near::nearest(word, words.iter().map(String::as_str)).map(str::to_owned);
                    faults.push(Fault::MapWord { head: name.clone(), word: word.to_owned(), near });
                }
                None => guesses.push((at, name.clone(), heads::guess(name, board, cells))),
            }
            continue;
        };
        let twin = columns.iter().find(|c| c.target == target && target != Target::Nothing);
        if let Some(first) = twin.map(|c| c.at) {
            faults.push(Fault::Twice { first, second: at, word: said.unwrap_or(name).to_owned() });
            continue;
        }
        columns.push(Column { at, head: name.clone(), target });
    }
    let known = || head.cells.iter().map(String::as_str);
    faults.extend(wanted.map.strangers(known()).into_iter().map(|head| {
        let near = crate::near::nearest(&head, known()).map(str::to_owned);
        Fault::MapHead { head, near }
    }));
    let has = |target: Target| columns.iter().find(|c| c.target == target);
    if !guesses.is_empty() {
        faults.push(Fault::Heads { guesses });
    } else if has(Target::Scene).is_none() {
        faults.push(Fault::NoColumn { word: "scene" });
    }
    match (has(Target::Bank), has(Target::Switch)) {
        (Some(_), None) => faults.push(Fault::NoColumn { word: "switch" }),
        (None, Some(_)) => faults.push(Fault::NoColumn { word: "bank" }),
        _ => {}
    }
    let slots = board.switcher.as_ref().and_then(|s| s.slots);
    if let Some(column) = has(Target::Slot).or(has(Target::Bank)).filter(|_| slots.is_none()) {
        let filled = plain::texts(wanted.sheet, head.number, column.at);
        if !filled.iter().all(|text| words::says_nothing(text)) {
            faults.push(Fault::NoSlots { column: column.at });
        }
    }
    if faults.is_empty() { Ok(columns) } else { Err(faults) }
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
    let (otherwise, unheard) = compare(&compiled, start, scenes);
    if !otherwise.is_empty() {
        let why = compiled.mistakes().iter().map(|mistake| Fault::Mistake { says: mistake.message.clone() });
        return Err(otherwise.into_iter().chain(why).collect());
    }
    let default = default.iter().map(|said| groups.weight(*said)).sum::<usize>() + usize::from(!default.is_empty());
    Ok(Adopted {
        text,
        compiled,
        scenes: scenes.len(),
        layers: shared.pieces.len(),
        statements: shared.statements + default,
        before: shared.before + default,
        bound: shared.bound + default,
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
    let slots: usize = scenes.iter().map(|scene| scene.slots.len()).sum();
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

/// Where the book stores something else than was read, and how many cells nobody hears.
fn compare(compiled: &Compiled, start: &Compiled, scenes: &[Scene]) -> (Vec<Fault>, usize) {
    let (book, table) = (&compiled.book, &compiled.table);
    let range = book.board.switcher.as_ref().and_then(|s| s.slots);
    let numbers: rustc_hash::FxHashMap<&str, SceneId> =
        book.show.scenes.numbered().map(|(scene, number)| (scene.name.as_str(), number)).collect();
    let (mut faults, mut unheard) = (Vec::new(), 0);
    for scene in scenes {
        let Some(number) = numbers.get(scene.name.as_str()).copied() else { continue };
        for (value, (at, cell)) in scene.values.iter().zip(start.table.cells.list.pairs()) {
            let Some(value) = *value else { continue };
            if table.idle(number, at) {
                unheard += usize::from(Some(value) != table.empty(at));
                continue;
            }
            let stored = table.stored(number, at);
            if stored == value || stored.unstarted() == value {
                continue;
            }
            let (mut wanted, mut found) = (String::new(), String::new());
            cell::write(&mut wanted, &start.book.board, cell, value);
            cell::write(&mut found, &book.board, cell, stored);
            if wanted != found {
                let slot = scene.slots.first().zip(range).map_or(String::new(), |(slot, range)| range.show(*slot));
                let (scene, column) = (scene.name.clone(), cell.name.clone());
                faults.push(Fault::Otherwise { slot, scene, column, wanted, found });
            }
        }
    }
    (faults, unheard)
}
