//! The columns of a table: what each says, and a board of them where no file describes one.

use super::Wanted;
use super::fault::Fault;
use super::heads::{self, Target};
use super::plain;
use super::reading::Column;
use super::words;
use crate::Compiled;
use crate::source::sheet::{Line, Sheet};
use crate::written::switch;

/// The text before the scenes: the board's file is used, or a board is made of the columns.
pub(super) fn board(wanted: &Wanted<'_>, head: &Line) -> Result<String, Vec<Fault>> {
    if let Some(path) = &wanted.board {
        return Ok(format!("use \"{path}\"\n\n"));
    }
    let word = |name: &str| wanted.map.says(name).map_or_else(|| name.to_owned(), str::to_owned);
    let (mut names, mut feet) = (Vec::new(), Vec::new());
    let mut slots = Vec::new();
    let mut inside = plain::Inside::default();
    let mut banks: (Vec<String>, Vec<String>) = Default::default();
    for (at, name) in head.cells.iter().enumerate().filter(|(_, name)| !name.is_empty()) {
        let texts = || plain::texts(wanted.sheet, head.number, at);
        match word(name).as_str() {
            "slot" => slots = texts(),
            "bank" => banks.0 = plain::rows(wanted.sheet, head.number, at),
            "switch" => banks.1 = plain::rows(wanted.sheet, head.number, at),
            "scene" | "text" | "nothing" => {}
            said => {
                if let Some(column) = heads::of_switch(said) {
                    inside.column(column, plain::rows(wanted.sheet, head.number, at));
                    continue;
                }
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
    names.extend(inside.moved());
    let made = plain::board(&names, &feet, &slots, &inside, wanted.steps);
    made.map(|text| format!("{text}\n")).map_err(|lacks| lacks.into_iter().map(Fault::Board).collect())
}

/// Cells below no head.
pub(super) fn bare(sheet: &Sheet, head: &Line) -> Vec<Fault> {
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

/// What each column says; all that is wrong with the heads.
pub(super) fn of(wanted: &Wanted<'_>, head: &Line, start: &Compiled) -> Result<Vec<Column>, Vec<Fault>> {
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
                None if wanted.board.is_some() && heads::of_switch(name).is_some() => {
                    let has = switch::used(board).into_iter().map(|name| name.replacen('-', " ", 1)).collect();
                    faults.push(Fault::NotInside { column: at, head: name.clone(), has });
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
