//! Cells that somebody wants otherwise, by words or by a table; or all that could not be understood of them.

use std::path::{Path, PathBuf};

use super::ask::{nothing, nowhere};
use super::offer::offer;
use super::{Trouble, open};
use crate::Compiled;
use crate::ask::{self, NoSpot, Unclear};
use crate::book::amount;
use crate::edit::Wanted;
use crate::edit::table::{self, Bad};
use crate::print::change::Named;
use crate::source::load::{Disk, Shelf};

/// So many mistakes of a table are told one by one.
const MOST: usize = 20;

/// A wanted cell, and how it was given.
pub(super) struct Given {
    /// What is wanted.
    pub wanted: Wanted,
    /// The words, or where it stands in the table.
    says: String,
}

impl Given {
    pub(super) fn named(&self) -> Named<'_> {
        Named { wanted: self.wanted, says: &self.says }
    }
}

/// Reads all that is wanted.
pub(super) fn read(compiled: &Compiled, all: &[String]) -> Result<Vec<Given>, Trouble> {
    let (mut out, mut wrong) = (Vec::new(), Vec::new());
    for said in all {
        if said == "-" || said.to_lowercase().ends_with(".csv") {
            let text = text(Path::new(said))?;
            match table::table(compiled, &text) {
                Ok(cells) => out.extend(cells.into_iter().map(|asked| {
                    let column = compiled.table.cells.list.get(asked.wanted.cell).map_or("", |c| &c.name);
                    Given { wanted: asked.wanted, says: format!("{said} line {}, {column}", asked.line) }
                })),
                Err(bad) => {
                    let count = bad.len();
                    wrong.extend(bad.iter().take(MOST).map(|bad| format!("{said} {}", self::bad(compiled, bad))));
                    if count > MOST {
                        wrong.push(format!("{said}: and {} more like these", count - MOST));
                    }
                }
            }
            continue;
        }
        match ask::wanted(compiled, said) {
            Ok(cells) => out.extend(cells.into_iter().map(|wanted| Given { wanted, says: said.clone() })),
            Err(why) => wrong.push(format!("`{said}`: {}", unclear(compiled, why))),
        }
    }
    if wrong.is_empty() { Ok(out) } else { Err(Trouble(wrong.join("\ntipring: "))) }
}

fn text(path: &Path) -> Result<String, Trouble> {
    let bytes = match path == Path::new("-") {
        true => open::input()?,
        false => {
            Disk.read(&PathBuf::from(path)).map_err(|why| Trouble(format!("cannot read {}: {why}", path.display())))?
        }
    };
    String::from_utf8(bytes)
        .map_err(|_| Trouble(format!("{} is not UTF-8: save the table as CSV in UTF-8", path.display())))
}

fn unclear(compiled: &Compiled, why: Unclear) -> String {
    match why {
        Unclear::NoPlace(NoSpot::Nothing) => {
            "it begins with no scene, no filled slot and no part; say `SCENE: PEDAL in`, `1.4 expression-1 40 %`"
                .to_owned()
        }
        Unclear::NoPlace(no) => nowhere(compiled, "it", no),
        Unclear::Several(names) => {
            format!("it may be about {}: begin with the one that is meant", ticked(&names, "or"))
        }
        Unclear::Thing(words, doubt) => nothing(compiled, &words, doubt),
        Unclear::Bare(number) => format!(
            "`{number}` may be a step, a position or the pedal's own value; say `step {number}`, or say its unit: `{number} %`"
        ),
        Unclear::NoStep(steps) => format!("there are {steps} steps, from 0 to {}", steps.saturating_sub(1)),
        Unclear::Unit(to) => format!("it is not told in that unit: it goes up to {}", amount::show(to)),
        Unclear::Outside(from, to) => format!("it goes from {} to {}", amount::show(from), amount::show(to)),
        Unclear::How(thing) => {
            format!("say how {thing} is to stand: a state, `in`, `out`, `closed`, `40 %`, `step 51`, `foot`")
        }
        Unclear::Said(so) => format!("write it in the scene yourself, in a line as `{so}`"),
        Unclear::Always(thing) => format!("{thing} always sounds: no preset takes it in or out"),
    }
}

fn bad(compiled: &Compiled, bad: &Bad) -> String {
    let scenes = || compiled.book.show.scenes.iter().map(|s| &*s.name);
    match bad {
        Bad::Csv(why) => format!("cannot be read as a table: {why}"),
        Bad::Head => {
            "has no line of names as `tipring table BOOK --format csv` prints it: slot, scene, then cells".to_owned()
        }
        Bad::Column(name) => {
            let names = compiled.table.cells.list.iter().map(|c| c.name.as_str());
            format!("has a column `{name}`, which this board has not, or has twice{}", offer(name, names))
        }
        Bad::Scene(line, name) if name.is_empty() => format!("line {line} names no scene"),
        Bad::Scene(line, name) => format!("line {line}: there is no scene `{name}`{}", offer(name, scenes())),
        Bad::Slot(line, slot, Some(holds)) => {
            format!("line {line}: slot {slot} holds `{holds}`; which scene stands in a slot is said in `slots`")
        }
        Bad::Slot(line, slot, None) => format!("line {line}: slot {slot} holds no scene of that name"),
        Bad::Cell(line, column, text) => format!("line {line}: `{column}` cannot hold `{text}`"),
        Bad::Switch(line, column) => {
            format!("line {line}: `{column}` says something else; what a switch does is changed in the scene, by hand")
        }
        Bad::Rows(one, other, scene, column) => format!(
            "lines {one} and {other} are both `{scene}`, and want `{column}` otherwise; a scene is one sound: change both, \
             or make another scene of it"
        ),
    }
}

fn ticked(names: &[String], word: &str) -> String {
    let all: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
    match all.as_slice() {
        [before @ .., last] if !before.is_empty() => format!("{} {word} {last}", before.join(", ")),
        _ => all.concat(),
    }
}
