//! Changes of blocks as edits of the text: what is not touched stays byte for byte, comments too.

use rustc_hash::FxHashMap;

use super::model::muted;
use super::spell::{list, statement};
use super::{Block, Change, Put};
use crate::Compiled;
use crate::book::{What, night};
use crate::ids::SayingId;
use crate::settle::Cells;
use crate::source::Span;
use crate::syntax::edit::Edit;
use crate::syntax::kind::Kind;
use crate::syntax::tree::{Tree, View};
use crate::syntax::{cut, parse};

/// The words that take a list.
const LISTS: [Kind; 5] = [Kind::Engage, Kind::Bypass, Kind::Close, Kind::Open, Kind::Pulse];

/// Where the blocks of a book are written.
pub(super) struct Blocks<'b> {
    book: &'b Compiled,
    /// Scenes and layers, by where their names stand.
    named: FxHashMap<Span, View<'b>>,
    defaults: Vec<View<'b>>,
}

impl<'b> Blocks<'b> {
    pub(super) fn of(book: &'b Compiled) -> Blocks<'b> {
        let mut blocks = Blocks { book, named: FxHashMap::default(), defaults: Vec::new() };
        for (view, _) in night::statements(&book.book, &book.files, &book.trees) {
            match view.kind() {
                Kind::Default => blocks.defaults.push(view),
                Kind::Scene | Kind::Layer => {
                    blocks.named.extend(view.child(Kind::Name).map(|name| (name.span(), view)));
                }
                _ => {}
            }
        }
        blocks
    }

    /// The top-level statements that a block is written in: one, or several of the default.
    fn find(&self, block: Block) -> Vec<View<'b>> {
        let show = &self.book.book.show;
        let at = match block {
            Block::Scene(id) => show.scene(id).map(|s| s.at),
            Block::Layer(id) => show.layers.get(id).map(|l| l.at),
            Block::Default => return self.defaults.clone(),
        };
        at.and_then(|at| self.named.get(&at)).copied().into_iter().collect()
    }
}

/// True where the book has a default to write in.
pub(super) fn has_default(book: &Compiled) -> bool {
    night::statements(&book.book, &book.files, &book.trees).any(|(view, _)| view.kind() == Kind::Default)
}

/// The edits of one block; or the place of a statement that cannot be taken out of its list.
pub(super) fn block(blocks: &Blocks<'_>, change: &Change) -> Result<Vec<Edit>, Span> {
    let book = blocks.book;
    let at = |sayings: &[SayingId]| book.book.show.sayings.get(*sayings.first()?).map(|s| s.at);
    let mut out: Vec<(Span, &[SayingId])> = change.out.iter().filter_map(|s| Some((at(s)?, s.as_slice()))).collect();
    // The last one first: what stands before it keeps its place. The sayings of one statement go together.
    out.sort_by_key(|(at, _)| std::cmp::Reverse((at.file, at.start)));
    out.dedup_by_key(|(at, _)| *at);
    // What comes takes the place of what goes, where both are about the same.
    let mut put = change.put.clone();
    let mut instead = |sayings: &[SayingId]| {
        let at = put.iter().position(|p| meets(book, sayings, *p))?;
        Some(put.remove(at))
    };
    let turns: Vec<(Span, Option<Put>)> = out.iter().map(|(at, sayings)| (*at, instead(sayings))).collect();
    let views = blocks.find(change.block);
    let inside = |view: &View<'_>, at: &Span| {
        view.span().file == at.file && view.span().start <= at.start && at.end <= view.span().end
    };
    // What comes new goes where something goes, else into the first.
    let home = views.iter().position(|v| turns.iter().any(|(at, _)| inside(v, at))).unwrap_or(0);
    let mut edits = Vec::new();
    for (number, view) in views.iter().enumerate() {
        let mut text = view.text().to_owned();
        let mut come: Vec<String> = Vec::new();
        for (at, instead) in turns.iter().filter(|(at, _)| inside(view, at)) {
            let own = Span::new(0, at.start - view.span().start, at.end - view.span().start);
            text = turned(book, &text, own, *instead, &mut come).ok_or(*at)?;
        }
        if number == home {
            text = put.iter().fold(text, |text, put| added(book, text, *put));
        }
        for say in come {
            text = appended(text, &say);
        }
        edits.extend(difference(view, &text));
    }
    Ok(edits)
}

/// True when a statement is about cells of another.
fn meets(book: &Compiled, sayings: &[SayingId], put: Put) -> bool {
    let cells: &Cells = &book.table.cells;
    let mut mine = Vec::new();
    cells.settles(put.what, |cell, _| mine.push(cell));
    if let What::Mute { .. } = put.what {
        mine.extend(muted(&book.book.board).filter_map(|output| cells.output_cell(output)));
    }
    let mut hit = false;
    for said in sayings.iter().filter_map(|s| book.book.show.sayings.get(*s)) {
        cells.settles(said.what, |cell, _| hit |= mine.contains(&cell));
    }
    hit
}

/// A block's text without the statement there, or with another in its place. What takes the place of one name of a list
/// comes behind.
fn turned(book: &Compiled, text: &str, at: Span, instead: Option<Put>, come: &mut Vec<String>) -> Option<String> {
    let (tree, _) = parse(0, text);
    let alone = whole(&tree, text, at);
    let say = instead.and_then(|put| statement(&book.book, put));
    let (cuts, new) = match (alone, say) {
        (Some(whole), Some(say)) => (vec![whole], say),
        (_, say) => {
            come.extend(say);
            (cuts(&tree, text, at)?, String::new())
        }
    };
    let mut text = text.to_owned();
    for cut in cuts.into_iter().rev() {
        text.replace_range(cut.start as usize..cut.end as usize, &new);
    }
    Some(text)
}

/// What to take out, in the order of the text. The last name of a list goes with its comma, whatever stands between.
fn cuts(tree: &Tree, text: &str, at: Span) -> Option<Vec<Span>> {
    if let Some(cut) = cut::without(tree, text, at) {
        return Some(vec![cut]);
    }
    let body = tree.statements(text).next()?.child(Kind::SceneBody)?;
    let list = body.children().find(|v| v.span().start <= at.start && at.end <= v.span().end)?;
    let names: Vec<View<'_>> = list.children().collect();
    let [.., before, last] = names.as_slice() else { return None };
    let comma = text.get(before.span().end as usize..)?.find(',')? as u32 + before.span().end;
    (last.span() == at).then(|| vec![Span::new(0, comma, comma + 1), at])
}

/// The whole statement, where it is no one name among others.
fn whole(tree: &Tree, text: &str, at: Span) -> Option<Span> {
    let body = tree.statements(text).next()?.child(Kind::SceneBody)?;
    let holds = |v: &View<'_>| v.span().start <= at.start && at.end <= v.span().end;
    let found = body.children().find(holds)?;
    let several = LISTS.contains(&found.kind()) && found.children().count() > 1;
    (!several).then(|| found.span())
}

/// One statement more: in the list of its word, else behind the last.
fn added(book: &Compiled, text: String, put: Put) -> String {
    if let Some((word, target)) = list(&book.book, put.what) {
        let (tree, _) = parse(0, &text);
        let body = tree.statements(&text).next().and_then(|v| v.child(Kind::SceneBody));
        let same = |v: &View<'_>| LISTS.contains(&v.kind()) && v.text().split_whitespace().next() == Some(word);
        if let Some(end) = body.and_then(|b| b.children().filter(same).last()).map(|v| v.span().end as usize) {
            let mut text = text;
            text.insert_str(end, &format!(", {target}"));
            return text;
        }
    }
    match statement(&book.book, put) {
        Some(say) => appended(text, &say),
        None => text,
    }
}

/// One statement more, behind the last: on a line of its own where that one has one.
fn appended(mut text: String, say: &str) -> String {
    let (tree, _) = parse(0, &text);
    let Some(body) = tree.statements(&text).next().and_then(|v| v.child(Kind::SceneBody)) else {
        text.push_str(&format!(" {{ {say} }}"));
        return text;
    };
    let (at, new) = match body.children().filter(|v| v.kind() != Kind::Word).last() {
        Some(last) => behind(&text, last.span(), say),
        None => {
            let open = body.span().start as usize + body.text().find('{').map_or(0, |at| at + 1);
            let rest = text.get(open..).unwrap_or("");
            let line = rest.split('\n').next().unwrap_or("").trim_end_matches('\r');
            if line.len() < rest.len() && !line.split('#').next().unwrap_or("").contains('}') {
                (open + line.len(), format!("\n  {say}"))
            } else if rest.starts_with(char::is_whitespace) {
                (open, format!(" {say}"))
            } else {
                (open, format!(" {say} "))
            }
        }
    };
    text.insert_str(at, &new);
    text
}

fn behind(text: &str, last: Span, say: &str) -> (usize, String) {
    let (start, end) = (last.start as usize, last.end as usize);
    let before = text.get(..start).and_then(|t| t.rsplit('\n').next()).unwrap_or("");
    let rest = text.get(end..).unwrap_or("");
    let line = rest.split('\n').next().unwrap_or("").trim_end_matches('\r');
    let bare = line.trim_start();
    let ends = bare.is_empty() || bare.starts_with(['#', ';']) && !bare.split('#').next().unwrap_or("").contains('}');
    if before.trim().is_empty() && ends && rest.contains('\n') {
        return (end + line.len(), format!("\n{before}{say}"));
    }
    (end, format!("; {say}"))
}

/// What changed of a block, no more; None when nothing did.
fn difference(view: &View<'_>, new: &str) -> Option<Edit> {
    let old = view.text();
    if old == new {
        return None;
    }
    let same = |(a, b): &(char, char)| a == b;
    let head: usize = old.chars().zip(new.chars()).take_while(same).map(|(c, _)| c.len_utf8()).sum();
    let (old_rest, new_rest) = (old.get(head..)?, new.get(head..)?);
    let backwards = old_rest.chars().rev().zip(new_rest.chars().rev());
    let tail: usize = backwards.take_while(same).map(|(c, _)| c.len_utf8()).sum();
    let Span { file, start, end } = view.span();
    let at = Span::new(file, start + head as u32, end - tail as u32);
    Some(Edit::new(at, new_rest.get(..new_rest.len() - tail)?))
}
