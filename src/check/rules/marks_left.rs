//! The marks of git in a file: two versions of some lines stand one behind the other, and nobody has chosen.
//!
//! # On stage
//! Nothing of the book is sure until that is done, so nothing else is told of it.
//!
//! # Way out
//! Keep the right lines of the two versions, and take the marks out: `<<<<<<<`, `=======` and `>>>>>>>`.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! <<<<<<< mine
//! song "Quay" { verse: bed }
//! =======
//! song "Quay" { chorus: bed }
//! >>>>>>> theirs
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { verse: bed; chorus: bod }
//! >>>>>>> theirs
//! ```
//!
//! # Silent
//! ```scene
//! # =======
//! scene bed { mute }
//! song "Quay" { "<<<<<<< mine": bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::source::Span;

pub(super) const SEVERITY: Severity = Severity::Error;

/// How the lines begin that git puts; each is such a run alone, or with a name behind a blank.
const MARKS: [&str; 4] = ["<<<<<<<", "|||||||", "=======", ">>>>>>>"];

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (number, file) in facts.files.iter().filter(|(_, file)| !file.shipped) {
        let mut marks = marks(number, &file.text);
        let Some(first) = marks.next() else { continue };
        let mut told = Diagnostic::new(first, "git left the marks of a conflict here, and two versions of the lines");
        // One pair of versions shows how it looks.
        for mark in marks.take_while(|m| !facts.text(*m).starts_with('<')) {
            let says = if facts.text(mark).starts_with('>') { "the other version ends here" } else { "the other begins" };
            told = told.other(mark, says);
        }
        out.push(told.help("keep the lines that are right, and take out the marks `<<<<<<<`, `=======` and `>>>>>>>`"));
    }
}

/// The files that hold such marks: what else is found in them is made up.
pub(in crate::check) fn files(facts: &Facts<'_>) -> Vec<u32> {
    let marked = facts.files.iter().filter(|(number, file)| marks(*number, &file.text).next().is_some());
    marked.map(|(number, _)| number).collect()
}

fn marks(file: u32, text: &str) -> impl Iterator<Item = Span> {
    let mut at = 0;
    text.split_inclusive('\n').filter_map(move |line| {
        let start = at;
        at += line.len();
        // Most lines are told by their first letter.
        let mark = MARKS.iter().find(|m| line.starts_with(**m))?;
        let rest = line.get(mark.len()..)?;
        let bare = line.trim_end();
        (rest.is_empty() || rest.starts_with([' ', '\r', '\n'])).then(|| Span::new(file, start as u32, (start + bare.len()) as u32))
    })
}
