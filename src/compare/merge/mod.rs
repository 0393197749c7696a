//! Two people's edits of one file, merged by scene and cell, not by line.
//!
//! The three files are lists of statements, each with its comments; a statement with a block holds such a list in
//! turn. Lists are merged as lists (`weave`), statements cell by cell (`join`). What one side alone changed comes
//! in as that side wrote it; where neither changed anything mine stays, byte for byte, and so do mine's line ends. What
//! both changed differently is a conflict: mine stays, and a comment above says what the other side wants.
//!
//! Comments never conflict. One that either side wrote is in the result; one that a side took out goes if the other
//! left it as it was, with its statement or without. What was written about a statement that went stays in its place.

mod align;
mod comments;
mod ends;
mod head;
mod join;
mod key;
mod lists;
mod outline;
mod rename;
mod side;
mod weave;
mod write;

pub use side::{Conflict, Side};

use crate::source::Span;
use crate::syntax::edit::{CONFLICT, Edit};
use crate::syntax::fault::{Fault, Within};
use crate::syntax::parse;

/// The merged text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Merged {
    /// Mine, with the other side's edits, and a comment at every conflict.
    pub text: String,
    /// What both changed differently.
    pub conflicts: Vec<Conflict>,
}

/// Merges what the other side did since `base` into mine.
pub fn merge(base: &str, mine: &str, theirs: &str) -> Merged {
    let [b, m, t] = [base, mine, theirs].map(ends::plain);
    let rename::Renamed { base, mine: own, theirs, conflicts } = rename::renamed(&b, &m, &t);
    let trees = [&base, &own, &theirs].map(|text| parse(0, text).0);
    let [bt, mt, tt] = &trees;
    let (b, m, t) = (
        outline::outline(Side { text: &base, tree: bt }),
        outline::outline(Side { text: &own, tree: mt }),
        outline::outline(Side { text: &theirs, tree: tt }),
    );
    let mut join = join::Join::new(conflicts);
    let text = join.list(&b, &m, &t);
    let text = if mine.is_empty() { text } else { ends::as_mine(mine, &text) };
    Merged { text, conflicts: join.all_conflicts() }
}

/// Where a text cannot be read as scenes, if anywhere: what its statements or its lines are is not certain there.
pub fn unreadable(faults: &[Fault]) -> Option<Span> {
    let broken = faults.iter().find(|fault| {
        matches!(
            fault,
            Fault::Unexpected { .. }
                | Fault::UnclosedBrace { .. }
                | Fault::StrayBrace { .. }
                | Fault::UnclosedText { .. }
                | Fault::NotUtf8 { .. }
                | Fault::OddEnd { within: Within::Statements | Within::Comment, .. }
        )
    });
    broken.map(Fault::at)
}

/// A comment above the statement around a place that the two sides do not go together there.
pub fn note(side: Side<'_>, at: Span, says: &str) -> Option<Edit> {
    let mut statements = side.tree.statements(side.text);
    let statement = statements.find(|v| v.span().start <= at.start && at.start < v.span().end)?;
    let start = statement.span().start;
    let before = side.text.get(..start as usize)?;
    let line = before.rfind('\n').map_or(0, |n| n + 1);
    let clear = before.get(line..)?.trim_matches(['\u{feff}', ' ', '\t']).is_empty();
    let end = if before.ends_with("\r\n") { "\r\n" } else { "\n" };
    let (about, _) = key::about(statement);
    let text = format!("{CONFLICT}{about}: {says}{end}");
    clear.then(|| Edit::new(Span::new(at.file, start, start), text))
}
