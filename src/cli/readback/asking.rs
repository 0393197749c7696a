//! A person at the unit is asked, preset by preset: questions to standard error, answers from standard input, a line each.

use std::io::BufRead;

use crate::Compiled;
use crate::cli::{Trouble, output};
use crate::compare::beside::{self, Switch};
use crate::compare::stored::columns;
use crate::compare::unit::Holds;
use crate::print::looks::{Look, LookCell};
use crate::print::{readings, seen};
use crate::written::switch::NOTHING;

/// What was answered to a question.
enum Answer {
    Yes,
    No,
    Skip,
    /// Or there is nobody any more.
    Quit,
    /// Anything else, as it was typed.
    Words(String),
}

/// Where answers come from.
struct Person<R>(R);

impl<R: BufRead> Person<R> {
    fn ask(&mut self, question: &str) -> Result<Answer, Trouble> {
        loop {
            output::complain(question);
            let mut line = String::new();
            let read = self.0.read_line(&mut line).map_err(|e| Trouble(format!("cannot read the answer: {e}")))?;
            if read == 0 {
                return Ok(Answer::Quit);
            }
            let line = line.trim();
            return Ok(match line.to_lowercase().as_str() {
                "" => continue,
                "y" | "yes" => Answer::Yes,
                "n" | "no" => Answer::No,
                "s" | "skip" => Answer::Skip,
                "q" | "quit" => Answer::Quit,
                _ => Answer::Words(line.to_owned()),
            });
        }
    }
}

/// Asks about all looks, and hands on what each came to, until the last or until `quit`.
pub(super) fn ask(
    compiled: &Compiled,
    looks: &[&Look],
    mut seen: impl FnMut(&Look, Holds) -> Result<(), Trouble>,
) -> Result<(), Trouble> {
    let mut person = Person(input());
    for (number, look) in looks.iter().enumerate() {
        let question = format!("{}\nis it so? yes, no, skip, quit", shown(look, number + 1, looks.len()));
        let answer = loop {
            match person.ask(&question)? {
                Answer::Words(words) => output::complain(&format!("`{words}` is no answer to this")),
                answer => break answer,
            }
        };
        let mut holds = Holds { cells: vec![None; compiled.table.cells.len()], ..Holds::default() };
        let mut more = true;
        match answer {
            Answer::Yes => {
                holds.name.clone_from(&look.name);
                for cell in &look.cells {
                    put(compiled, &mut holds, cell, &cell.wants);
                }
                let switches = look.switches.iter().map(|switch| (switch.name.clone(), switch.wants.clone()));
                holds.beside.switches = switches.collect();
            }
            Answer::No => more = piece_by_piece(compiled, &mut person, look, &mut holds)?,
            Answer::Skip | Answer::Words(_) => continue,
            Answer::Quit => return Ok(()),
        }
        seen(look, holds)?;
        if !more {
            return Ok(());
        }
    }
    Ok(())
}

#[allow(clippy::disallowed_methods, reason = "standard input is read here, a line at a time")]
fn input() -> impl BufRead {
    std::io::stdin().lock()
}

/// Asks about one cell after the other; false when that was enough.
fn piece_by_piece(
    compiled: &Compiled,
    person: &mut Person<impl BufRead>,
    look: &Look,
    holds: &mut Holds,
) -> Result<bool, Trouble> {
    if let Some(name) = &look.name {
        match person.ask(&format!("    name `{name}`? yes, or what it shows; skip, quit"))? {
            Answer::Yes => holds.name = Some(name.clone()),
            // It shows something else, and nobody said what.
            Answer::No => holds.name = Some(String::new()),
            Answer::Words(words) => holds.name = Some(words),
            Answer::Skip => {}
            Answer::Quit => return Ok(false),
        }
    }
    for cell in &look.cells {
        let no = if cell.other.is_some() { "yes, no" } else { "yes, or what it shows" };
        let mut question = format!("    {}: {}? {no}; skip, quit", cell.says, cell.shows);
        loop {
            match (person.ask(&question)?, &cell.other) {
                (Answer::Yes, _) => put(compiled, holds, cell, &cell.wants),
                (Answer::No, Some((other, _))) => put(compiled, holds, cell, other),
                (Answer::No, None) => {
                    question = format!("    {}: what does it show? skip, quit", cell.says);
                    continue;
                }
                (Answer::Words(words), _) => {
                    if !put(compiled, holds, cell, &words) {
                        let kind = compiled.table.cells.list.get(cell.at).map_or("", readings::values);
                        output::complain(&format!("    `{words}` is no value of it; say {kind}"));
                        continue;
                    }
                    true
                }
                (Answer::Skip, _) => true,
                (Answer::Quit, _) => return Ok(false),
            };
            break;
        }
    }
    inside(compiled, person, look, holds)
}

/// Asks about one switch inside the preset after the other; false when that was enough.
fn inside(
    compiled: &Compiled,
    person: &mut Person<impl BufRead>,
    look: &Look,
    holds: &mut Holds,
) -> Result<bool, Trouble> {
    let columns = columns(compiled);
    for switch in &look.switches {
        let question = format!("    switch {} {}? yes, no, or what it does; skip, quit", switch.name, switch.says);
        let does = loop {
            match person.ask(&question)? {
                Answer::Yes => break Some(switch.wants.clone()),
                // What else it does nobody said.
                Answer::No => break Some(Switch::Other),
                Answer::Skip => break None,
                Answer::Quit => return Ok(false),
                Answer::Words(words) => match beside::read(compiled, &columns, &words) {
                    Some(does) => break Some(does),
                    None => output::complain(&format!(
                        "    `{words}` is nothing that a switch does; say it as `tipring table BOOK --format csv` prints it, or \
                         `{}`",
                        NOTHING
                    )),
                },
            }
        };
        holds.beside.switches.extend(does.map(|does| (switch.name.clone(), does)));
    }
    Ok(true)
}

/// Takes what stands in a cell; false for what is no value of it.
fn put(compiled: &Compiled, holds: &mut Holds, cell: &LookCell, text: &str) -> bool {
    let Some(column) = compiled.table.cells.list.get(cell.at) else { return false };
    let expected = seen::read(&compiled.book.board, column, &cell.wants, crate::settle::Value::Unknown);
    let step = cell.step.map(crate::settle::Value::Step);
    let expected = step.or(expected).unwrap_or(crate::settle::Value::Unknown);
    match (seen::read(&compiled.book.board, column, text, expected), holds.cells.get_mut(cell.at.index())) {
        (Some(value), Some(slot)) => {
            *slot = Some(value);
            true
        }
        _ => false,
    }
}

/// What a preset must look like: loops that are in and out side by side, all else a line each.
fn shown(look: &Look, number: usize, of: usize) -> String {
    let songs = match look.songs {
        0 => "in no song".to_owned(),
        1 => "in 1 song".to_owned(),
        n => format!("in {n} songs"),
    };
    let mut out = format!("{number} of {of}: {} {}, {songs}", look.slot, look.scene);
    if let Some(name) = &look.name {
        out += &format!("\n    name: {name}");
    }
    for word in ["in", "out"] {
        let those: Vec<&str> = look.cells.iter().filter(|c| c.shows == word).map(|c| c.says.as_str()).collect();
        if !those.is_empty() {
            out += &format!("\n    {word}: {}", those.join(", "));
        }
    }
    for cell in look.cells.iter().filter(|c| c.shows != "in" && c.shows != "out") {
        out += &format!("\n    {}: {}", cell.says, cell.shows);
    }
    for switch in &look.switches {
        out += &format!("\n    switch {} {}", switch.name, switch.says);
    }
    out
}
