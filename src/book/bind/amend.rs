//! What a night's book puts in the place of the statements of the book that it uses.

use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;

use super::Binder;
use super::names::nfc;
use super::song::key_of;
use crate::book::Fault;
use crate::book::night::{Night, Replaced};
use crate::ids::DeviceId;
use crate::source::{Files, Span};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::unquoted;
use crate::syntax::tree::{Tree, View};

/// What a statement is known by: devices of every kind are one kind.
type Key = (Kind, SmolStr);

/// Which statements hold tonight. Nothing in a book that is not a night's.
#[derive(Default)]
pub(super) struct Amend<'t> {
    night: bool,
    /// Statements that others stand for, by where they begin.
    replaced: FxHashSet<Span>,
    /// For each statement that replaces: what it stands for.
    old: FxHashMap<Span, Vec<View<'t>>>,
    /// Replaced scenes that the new one derives from: they stay, and are stored nowhere.
    parents: FxHashSet<Span>,
}

impl<'t> Amend<'t> {
    pub(super) fn of(files: &'t Files, trees: &'t [Tree], faults: &mut Vec<Fault>) -> (Amend<'t>, Option<Box<Night>>) {
        let own = || trees.iter().zip(files.iter()).filter(|(_, (_, file))| !file.shipped);
        let all = || own().flat_map(|(tree, (_, file))| tree.statements(&file.text));
        let Some(first) = own().next().filter(|(tree, (_, file))| tree.amends(&file.text)) else {
            return (Amend::default(), None);
        };
        let mut night = Box::new(Night { file: first.0.file, ..Night::default() });
        let mut amend = Amend { night: true, ..Amend::default() };
        let mut news: FxHashMap<Key, View<'t>> = FxHashMap::default();
        let mut order = Vec::new();
        for view in first.0.statements(&first.1.1.text) {
            let texts = |v: View<'t>| v.all(Kind::Text).map(|t| unquoted(t.text()).to_owned()).collect::<Vec<_>>();
            match view.kind() {
                Kind::Use => night.bases.extend(texts(view)),
                Kind::Instead => {
                    for inner in view.children() {
                        if let (Kind::UseBy, [was, by]) = (inner.kind(), texts(inner).as_slice()) {
                            night.files.push((was.clone(), by.clone()));
                        } else if let Some(key) = key(inner) {
                            news.entry(key.clone()).or_insert(inner);
                            order.push((key, inner));
                        }
                    }
                }
                _ => {}
            }
        }
        for view in all() {
            let Some(new) = key(view).and_then(|key| news.get(&key)).copied() else { continue };
            if new.kind() == Kind::Scene && derives(new) {
                amend.parents.insert(view.span());
            } else {
                amend.replaced.insert(view.span());
            }
            amend.old.entry(new.span()).or_default().push(view);
        }
        for ((kind, _), inner) in order {
            let named = inner.children().find(|v| matches!(v.kind(), Kind::Name | Kind::Text));
            let at = named.map_or(
                Span { end: inner.span().start + inner.kind().name().len() as u32, ..inner.span() },
                View::span,
            );
            let name = named.map_or(String::new(), |v| unquoted(v.text()).to_owned());
            let old: Vec<Span> = amend.old.get(&inner.span()).into_iter().flatten().map(|v| v.span()).collect();
            if old.is_empty() && !files.partial() && news.values().any(|v| v.span() == inner.span()) {
                let named: Vec<&str> =
                    all().filter(|v| self::key(*v).is_some_and(|k| k.0 == kind)).filter_map(title).collect();
                let near = crate::near::nearest(&name, named).map(str::to_owned);
                faults.push(Fault::NothingReplaced { at, word: inner.kind().name(), name: name.clone(), near });
            }
            night.replaced.push(Replaced { kind: inner.kind(), name, at, old });
        }
        (amend, Some(night))
    }

    /// The statement that holds where this one stands: the one behind `instead`, itself, or none.
    pub(super) fn holds(&self, view: View<'t>) -> Option<View<'t>> {
        if !self.night {
            return Some(view);
        }
        match view.kind() {
            Kind::Instead => view.children().find(|inner| inner.kind() != Kind::UseBy),
            _ => Some(view).filter(|v| !self.replaced.contains(&v.span())),
        }
    }

    /// True for a scene that is there for others to derive from alone.
    pub(super) fn is_parent(&self, view: View<'t>) -> bool {
        self.night && self.parents.contains(&view.span())
    }

    /// What a statement stands for, when it speaks of it by its own name.
    pub(super) fn old_of(&self, view: View<'t>, named: View<'t>) -> Option<View<'t>> {
        let old = self.old.get(&view.span())?.first().copied()?;
        let own = view.children().find(|v| v.kind() == named.kind())?;
        let same = if named.kind() == Kind::Text {
            key_of(own) == key_of(named)
        } else {
            nfc(own.text()) == nfc(named.text())
        };
        same.then_some(old)
    }

    /// All that was replaced.
    pub(super) fn olds(&self) -> impl Iterator<Item = View<'t>> {
        let mut all: Vec<View<'t>> = self.old.values().flatten().copied().collect();
        all.sort_by_key(|v| v.span());
        all.into_iter()
    }

    /// True for what stands in the place of something.
    pub(super) fn replaces(&self, at: Span) -> bool {
        self.old.keys().any(|new| new.file == at.file && new.start <= at.start && at.end <= new.end)
    }
}

fn derives(new: View<'_>) -> bool {
    let of = |kind: Kind| new.child(kind).and_then(|f| f.child(Kind::Name)).map(|n| nfc(n.text()));
    of(Kind::From).is_some_and(|from| new.child(Kind::Name).is_some_and(|n| nfc(n.text()) == from))
}

fn title(view: View<'_>) -> Option<&str> {
    view.children().find(|v| matches!(v.kind(), Kind::Name | Kind::Text)).map(|v| unquoted(v.text()))
}

fn key(view: View<'_>) -> Option<Key> {
    let name = || view.child(Kind::Name).map(|n| SmolStr::from(nfc(n.text())));
    Some(match view.kind() {
        Kind::Pedal | Kind::Buffer | Kind::Amp | Kind::Helper | Kind::Listener => (Kind::Pedal, name()?),
        kind @ (Kind::Guitar | Kind::Supply | Kind::Treadle | Kind::Chain | Kind::Layer | Kind::Scene) => {
            (kind, name()?)
        }
        kind @ (Kind::Song | Kind::Set) => (kind, key_of(view.child(Kind::Text)?)),
        kind @ (Kind::Switcher | Kind::Panel | Kind::Default | Kind::Slots | Kind::Safe) => (kind, SmolStr::default()),
        _ => return None,
    })
}

impl<'t> Binder<'t> {
    /// Binds `without`, once the devices have their numbers.
    pub(super) fn out(&mut self) {
        let mut out: Vec<(DeviceId, Span)> = Vec::new();
        for name in std::mem::take(&mut self.found.without).into_iter().flat_map(|v| v.all(Kind::Name)) {
            let Some(device) = self.find(name, super::names::Wanted::DEVICE) else { continue };
            let at = name.span();
            let new = self.book.board.devices.get(device).map(|d| d.at).filter(|at| self.amend.replaces(*at));
            match out.iter().find(|(d, _)| *d == device).map(|(_, at)| *at).or(new) {
                Some(first) => self.faults.push(Fault::SaidTwice { at, first }),
                None => out.push((device, at)),
            }
        }
        // With a helper goes all that sits in it.
        for (device, at) in out.clone() {
            let inside = crate::book::out::with_inside(&self.book, &[device]);
            out.extend(
                inside.into_iter().filter(|d| out.iter().all(|(o, _)| o != d)).map(|d| (d, at)).collect::<Vec<_>>(),
            );
        }
        let Some(night) = &mut self.book.night else { return };
        // What the board of other nights has, and the one of tonight has not, is out unasked.
        let here =
            |at: Span| self.found.absent.iter().any(|a| a.file == at.file && a.start <= at.start && at.end <= a.end);
        for (at, device) in self.book.board.devices.pairs().filter(|(_, d)| here(d.at)) {
            night.absent.push(device.name.clone());
            if out.iter().all(|(known, _)| *known != at) {
                out.push((at, device.at));
            }
        }
        night.out = out;
    }
}
