//! What to say so that a scene gets what it lacks: an edit of the book, made in memory and compiled before anybody is told.

use crate::Compiled;
use crate::book::What;
use crate::driver;
use crate::settle::why::{Rank, reasons};
use crate::settle::{Answer, Row};
use crate::source::Span;
use crate::syntax::edit::{Edit, rewrite};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// What a scene may lack.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Lack {
    /// A device that is out, by its index.
    Engaged(u16),
    /// An output that is off, from 1.
    On(u16),
}

/// What to say, where, and what it does besides.
#[derive(Clone, PartialEq, Debug)]
pub struct Wish {
    /// The statement to write.
    pub say: String,
    /// The statement of the scene's own that goes for it.
    pub instead: Option<String>,
    /// Other scenes in which the same thing changes, by their names.
    pub also: Vec<String>,
}

/// What to say in a scene; None where no such edit was proved: the book has errors before or after it, or the scene still
/// lacks it.
pub fn wish(book: &Compiled, scene: u32, lack: Lack) -> Option<Wish> {
    if book.errors() > 0 {
        return None;
    }
    let found = book.book.show.scene(scene)?;
    let (cell, say) = match lack {
        Lack::Engaged(d) => {
            let device = book.book.board.devices.get(d as usize)?;
            (book.table.cells.engages(d)?.0, format!("engage {}", device.name))
        }
        Lack::On(n) => (book.table.cells.output_cell(n)?, format!("output {n} on")),
    };
    let own = reasons(&book.book, &book.table, scene, cell).into_iter().filter(|r| r.rank == Rank::Own(scene));
    let own: Vec<Span> = own.map(|r| r.at).collect();
    let muted = |said: &crate::book::Saying| matches!(said.what, What::Mute { .. });
    if matches!(lack, Lack::On(_)) && book.book.show.said(found.own).iter().any(muted) {
        return None;
    }
    let text = &book.files.get(found.at.file)?.text;
    let tree = book.trees.get(found.at.file as usize)?;
    let view = tree.statements(text).find(|v| v.child(Kind::Name).is_some_and(|n| n.span() == found.at))?;
    let (edits, instead) = match own.as_slice() {
        [] => (vec![put_in(view, &say)?], None),
        [one] => {
            let (edit, was) = in_place(view, text, *one, &say)?;
            (vec![edit], Some(was))
        }
        _ => return None,
    };
    let new = rewrite(text, edits);
    let written = book.files.iter().filter(|(_, f)| !f.shipped);
    let texts =
        written.map(|(at, f)| (f.path.as_str(), if at == found.at.file { new.as_str() } else { f.text.as_str() }));
    let after = driver::compile_texts(&texts.collect::<Vec<_>>());
    if after.errors() > 0 {
        return None;
    }
    let name = |book: &Compiled, scene: u32| book.book.show.scene(scene).map(|s| s.name.clone());
    let has = |book: &Compiled, scene: u32| match lack {
        Lack::Engaged(d) => Row::of(&book.book, &book.table, scene).sounds(d),
        Lack::On(n) => Row::of(&book.book, &book.table, scene).lets_out(n),
    };
    let mut also = Vec::new();
    for other in 0..book.book.show.scenes.len() as u32 {
        // An edit inside a scene moves no other: else it is another book.
        if name(book, other) != name(&after, other) {
            return None;
        }
        if other != scene && has(book, other) != has(&after, other) {
            also.extend(name(book, other).map(|n| n.to_string()));
        }
    }
    also.sort_unstable();
    (has(&after, scene) == Answer::Yes).then_some(Wish { say, instead, also })
}

/// One more statement in a scene.
fn put_in(view: View<'_>, say: &str) -> Option<Edit> {
    let Some(body) = view.child(Kind::SceneBody) else {
        let end = view.span().end;
        return Some(Edit::new(Span::new(view.span().file, end, end), format!(" {{ {say} }}")));
    };
    let (at, text) = match body.children().filter(|v| v.kind() != Kind::Word).last() {
        Some(last) => (last.span().end, format!("; {say}")),
        None => (body.span().start + body.text().find('{')? as u32 + 1, format!(" {say} ")),
    };
    Some(Edit::new(Span::new(body.span().file, at, at), text))
}

/// A statement in place of another of the scene, and what that says: of a list only the one name goes.
fn in_place(view: View<'_>, text: &str, own: Span, say: &str) -> Option<(Edit, String)> {
    let body = view.child(Kind::SceneBody)?;
    let whole = body.children().find(|v| v.span().start <= own.start && own.end <= v.span().end)?;
    let word = whole.text().split_whitespace().next()?;
    let names: Vec<View<'_>> = whole.children().filter(|v| v.kind() != Kind::Word).collect();
    if whole.kind() != Kind::Bypass || names.len() < 2 {
        return Some((Edit::new(whole.span(), say), whole.text().to_owned()));
    }
    let part = |v: &View<'_>| text.get(v.span().start as usize..v.span().end as usize).unwrap_or("");
    let left: Vec<&str> = names.iter().filter(|v| v.span() != own).map(part).collect();
    let gone = names.iter().find(|v| v.span() == own).map(part)?;
    Some((Edit::new(whole.span(), format!("{word} {}; {say}", left.join(", "))), format!("{word} {gone}")))
}
