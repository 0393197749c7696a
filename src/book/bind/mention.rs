//! Where names stand: noted while they are bound, and only when that is asked for.

use super::Binder;
use super::names::Named;
use super::song::key_of;
use crate::book::{Meaning, Mention};
use crate::ids::{ControlId, DeviceId, Numbered};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// The names found so far.
#[derive(Default)]
pub(super) struct Notes {
    list: Vec<Mention>,
    /// The device that is being bound, and its statement: names elsewhere are handed on to it by `like`.
    device: DeviceId,
    block: Span,
}

impl Notes {
    pub(super) fn list(self) -> Vec<Mention> {
        self.list
    }

    pub(super) fn add(&mut self, more: Notes) {
        self.list.extend(more.list);
    }

    /// Gives devices and guitars the numbers of the board's order.
    pub(super) fn renumber(&mut self, devices: &Numbered<DeviceId, DeviceId>, guitars: &Numbered<usize, usize>) {
        for mention in &mut self.list {
            mention.means = match mention.means {
                Meaning::Guitar(n) => Meaning::Guitar(guitars.get(n).copied().unwrap_or(n)),
                other => other.with_device(|d| devices.get(d).copied().unwrap_or(d)),
            };
        }
    }
}

impl<'t> Binder<'t> {
    pub(super) fn note(&mut self, name: View<'t>, means: Meaning, given: bool) {
        self.note_at(name.span(), means, given);
    }

    fn note_at(&mut self, at: Span, means: Meaning, given: bool) {
        if let Some(notes) = &mut self.notes {
            notes.list.push(Mention { at, means, given, own: true });
        }
    }

    /// A name is used for what it was found to be.
    pub(super) fn used(&mut self, name: View<'t>, thing: Named) {
        self.note_named(name.span(), thing, false);
    }

    /// The same of a name that stands for what has it in the book.
    pub(super) fn used_as_known(&mut self, name: View<'t>) {
        if self.notes.is_some()
            && let Some((thing, _)) = self.names.get(name.text())
        {
            self.used(name, thing);
        }
    }

    fn note_named(&mut self, at: Span, thing: Named, given: bool) {
        if self.notes.is_none() {
            return;
        }
        // What has no number while names are read goes by where its name is given.
        let board = &self.book.board;
        let there = self.names.get(self.files.text(at)).map(|(_, there)| there);
        let means = match thing {
            Named::Scene(id) => Some(Meaning::Scene(id)),
            Named::Device(id) => Some(Meaning::Device(id)),
            Named::Layer(id) => Some(Meaning::Layer(id)),
            Named::Guitar(n) => Some(Meaning::Guitar(n as usize)),
            Named::Treadle(_) => board.treadles.iter().position(|t| Some(t.at) == there).map(Meaning::Treadle),
            Named::Supply => board.supplies.iter().position(|s| Some(s.at) == there).map(Meaning::Supply),
            Named::Chain => board.chains.iter().position(|c| Some(c.at) == there).map(Meaning::Chain),
            Named::Broken => None,
        };
        if let Some(means) = means {
            self.note_at(at, means, given);
        }
    }

    /// From here on a device is bound.
    pub(super) fn begin(&mut self, device: DeviceId, view: View<'t>) {
        if let Some(notes) = &mut self.notes {
            (notes.device, notes.block) = (device, view.span());
        }
    }

    pub(super) fn note_control(&mut self, name: View<'t>, control: ControlId, given: bool) {
        self.note_inside(name, given, |device| Meaning::Control(device, control));
    }

    pub(super) fn note_state(&mut self, name: View<'t>, control: ControlId, state: usize, given: bool) {
        self.note_inside(name, given, |device| Meaning::State(device, control, state as u16));
    }

    pub(super) fn note_leg(&mut self, name: View<'t>, leg: usize) {
        self.note_inside(name, true, |device| Meaning::Leg(device, leg as u16));
    }

    /// A name that stands in the description of the device that is being bound.
    fn note_inside(&mut self, name: View<'t>, given: bool, means: impl FnOnce(DeviceId) -> Meaning) {
        if let Some(notes) = &mut self.notes {
            let (at, block) = (name.span(), notes.block);
            let own = at.file == block.file && block.start <= at.start && at.end <= block.end;
            notes.list.push(Mention { at, means: means(notes.device), given, own });
        }
    }

    /// Songs or sets that others stand for tonight bear the titles of those.
    pub(super) fn replaced(&mut self, kind: Kind, means: impl Fn(&Self, &str) -> Option<Meaning>) {
        if self.notes.is_none() {
            return;
        }
        let olds: Vec<View<'t>> = self.amend.olds().filter(|v| v.kind() == kind).collect();
        for title in olds.into_iter().filter_map(|old| old.child(Kind::Text)) {
            if let Some(means) = means(self, &key_of(title)) {
                self.note(title, means, false);
            }
        }
    }

    /// Notes where the names of the book are given, once all is bound.
    pub(super) fn given(&mut self) {
        if self.notes.is_none() {
            return;
        }
        let names = std::sync::Arc::clone(&self.names);
        for (thing, at) in names.given() {
            if !matches!(thing, Named::Treadle(_) | Named::Supply | Named::Chain | Named::Broken) {
                self.note_named(at, thing, true);
            }
        }
        let board = &self.book.board;
        let treadles = board.treadles.iter().enumerate().map(|(n, t)| (t.at, Meaning::Treadle(n)));
        let chains = board.chains.iter().enumerate().map(|(n, c)| (c.at, Meaning::Chain(n)));
        let supplies = board.supplies.iter().enumerate().map(|(n, s)| (s.at, Meaning::Supply(n)));
        let outlets =
            board.supplies.iter().enumerate().flat_map(|(n, s)| {
                s.outlets.iter().enumerate().map(move |(outlet, o)| (o.at, Meaning::Outlet(n, outlet)))
            });
        let all: Vec<(Span, Meaning)> = treadles.chain(chains).chain(supplies).chain(outlets).collect();
        for (at, means) in all {
            self.note_at(at, means, true);
        }
        // What others stand for tonight bears their names.
        let olds: Vec<View<'t>> = self.amend.olds().filter(|v| v.kind() != Kind::Song).collect();
        for name in olds.into_iter().filter_map(|old| old.child(Kind::Name)) {
            self.used_as_known(name);
        }
    }
}
