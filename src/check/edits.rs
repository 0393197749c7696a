//! The changes that rules offer, as edits of the text. Whether one holds is known by trying it (`mend::offers`).

use super::Facts;
use super::mend::Edits;
use crate::ids::{ColumnId, SayingId, SceneId};
use crate::settle::Value;
use crate::settle::why::{Rank, Reason, reasons};
use crate::source::Span;
use crate::syntax::edit::Edit;
use crate::syntax::kind::Kind;
use crate::syntax::tree::{Tree, View};
use crate::syntax::{cut, put};

/// What stands at the top of a file and has a block.
const BLOCKS: [Kind; 12] = [
    Kind::Scene,
    Kind::Layer,
    Kind::Default,
    Kind::Pedal,
    Kind::Buffer,
    Kind::Amp,
    Kind::Helper,
    Kind::Listener,
    Kind::Slots,
    Kind::Switcher,
    Kind::Song,
    Kind::Set,
];

/// One thing that a scene is to say: a statement, the cells that it settles, and whether it is a device left out, which is
/// best said by not engaging it.
pub(super) struct Step {
    pub(super) say: String,
    pub(super) cells: Vec<ColumnId>,
    pub(super) out: bool,
}

impl<'f> Facts<'f> {
    /// A statement in a scene, in place of what the scene itself says of the same cells.
    pub(super) fn in_scene(&self, scene: SceneId, say: &str, cells: &[ColumnId]) -> Option<Edits> {
        self.steps_in_scene(scene, &[Step { say: say.to_owned(), cells: cells.to_vec(), out: false }])
    }

    /// Several at once.
    pub(super) fn steps_in_scene(&self, scene: SceneId, steps: &[Step]) -> Option<Edits> {
        let (tree, text, view) = self.block(self.book.show.scene(scene)?.at)?;
        let (mut made, mut say, mut own): (Edits, Vec<&str>, Vec<Span>) = (Vec::new(), Vec::new(), Vec::new());
        for step in steps {
            let all = step.cells.iter().flat_map(|cell| reasons(self.book, self.table, scene, *cell));
            let (said, other): (Vec<Reason>, Vec<Reason>) = all.partition(|r| r.rank == Rank::Own(scene));
            let mut said: Vec<Span> = said.iter().map(|r| r.at).collect();
            said.sort_unstable();
            said.dedup();
            match said.as_slice() {
                [one] if step.out && other.iter().all(|r| r.value != Value::On) => made.extend(self.take_out(*one)?),
                _ => {
                    say.push(&step.say);
                    own.extend(said);
                }
            }
        }
        if !say.is_empty() {
            own.sort_unstable();
            own.dedup();
            made.extend(edits(put::instead(tree, text, view, &own, &say.join("; "))?));
        }
        Some(made)
    }

    /// One more statement in the block of a top-level statement that holds a place.
    pub(super) fn in_block(&self, at: Span, say: &str) -> Option<Edits> {
        let (.., view) = self.block(at)?;
        Some(edits(vec![put::into(view, say)]))
    }

    /// One more statement in a guitar's block, which may not be there yet.
    pub(super) fn in_guitar(&self, at: Span, say: &str) -> Option<Edits> {
        let file = self.files.get(at.file).filter(|f| !f.shipped)?;
        let view = self
            .trees
            .get(at.file as usize)?
            .statements(&file.text)
            .find(|v| v.span().start <= at.start && at.end <= v.span().end)?;
        let end = Span { start: view.span().end, end: view.span().end, ..at };
        match view.text().ends_with('}') {
            true => Some(edits(vec![put::into(view, say)])),
            false => Some(vec![(end, format!(" {{ {say} }}"))]),
        }
    }

    /// One more statement among the defaults; they stand behind the board's last line where there are none.
    pub(super) fn in_default(&self, say: &str) -> Option<Edits> {
        let said = self.book.show.said(self.book.show.default).first();
        match said {
            Some(said) => self.in_block(said.at, say),
            None => self.at_end(self.book.board.switcher.as_ref()?.at, &format!("default {{ {say} }}")),
        }
    }

    /// One more line at the end of the file of a place.
    pub(super) fn at_end(&self, at: Span, line: &str) -> Option<Edits> {
        let file = self.files.get(at.file).filter(|f| !f.shipped)?;
        let end = file.text.len() as u32;
        let joint = if file.text.ends_with('\n') { "" } else { "\n" };
        Some(vec![(Span { start: end, end, ..at }, format!("{joint}{line}\n"))])
    }

    /// A statement or one target of its list taken out.
    pub(super) fn take_out(&self, at: Span) -> Option<Edits> {
        let (tree, file) = (self.trees.get(at.file as usize)?, self.files.get(at.file).filter(|f| !f.shipped)?);
        Some(vec![(cut::without(tree, &file.text, at)?, String::new())])
    }

    /// A statement in such a block, in place of the one of its kind that stands there.
    pub(super) fn in_block_as(&self, at: Span, kind: Kind, say: &str) -> Option<Edits> {
        let (.., view) = self.block(at)?;
        match view.child(kind) {
            Some(old) => Some(vec![(old.span(), say.to_owned())]),
            None => self.in_block(at, say),
        }
    }

    /// The cells that a statement settles.
    pub(super) fn settled_by(&self, saying: SayingId) -> Vec<ColumnId> {
        let mut out = Vec::new();
        if let Some(saying) = self.saying(saying) {
            self.table.cells.settles(saying.what, |cell, _| out.push(cell));
        }
        out
    }

    /// The first loop that nothing sits in.
    pub(super) fn free_loop(&self) -> Option<u16> {
        let loops = self.book.board.switcher.as_ref()?.own_loops;
        (1..=loops).find(|number| self.book.board.in_loop(*number).is_none())
    }

    /// The statement around a place with a block of its own, in a file of the book's.
    fn block(&self, at: Span) -> Option<(&'f Tree, &'f str, View<'f>)> {
        let file = self.files.get(at.file).filter(|f| !f.shipped)?;
        let tree = self.trees.get(at.file as usize)?;
        let mut view = tree.before(&file.text, at.start)?;
        while !(BLOCKS.contains(&view.kind()) && at.end <= view.span().end) {
            view = tree.parent(&file.text, view)?;
        }
        (!view.broken()).then_some((tree, file.text.as_str(), view))
    }
}

fn edits(made: Vec<Edit>) -> Edits {
    made.into_iter().map(|edit| (edit.at, edit.text)).collect()
}
