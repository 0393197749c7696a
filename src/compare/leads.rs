//! Leads of two books: which plugs go elsewhere, which leads come and go, which numbers turn, and what the panel forgot.

use std::collections::BTreeSet;
use std::mem::{Discriminant, discriminant};

use super::pairing::Matched;
use crate::Compiled;
use crate::book::Board;
use crate::book::electric::Taker;
use crate::ids::DeviceId;
use crate::study::route::leg_of;
use crate::study::wiring::{Jack, Lead, Purpose, end, off_board};

/// What differs in the leads. Leads are indexes of `Wiring::leads` of their own book.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Leads {
    /// To take out, by their old numbers.
    pub out: Vec<usize>,
    /// Plugs that go elsewhere.
    pub moved: Vec<Moved>,
    /// Leads at their old jacks that must be longer, shorter or the other way round: old and new.
    pub other: Vec<(usize, usize)>,
    /// Leads that stay, whose number is another one: old and new, by old numbers.
    pub renumbered: Vec<(usize, usize)>,
    /// Plugs that stay, in a jack of another name.
    pub renamed: Vec<Moved>,
    /// To put in, by their new numbers.
    pub put_in: Vec<usize>,
    /// What the panel forgot.
    pub forgotten: Vec<Forgotten>,
}

/// One plug of a lead that goes from a jack of the old book to one of the new.
#[derive(Clone, PartialEq, Debug)]
pub struct Moved {
    /// The lead, old and new.
    pub lead: (usize, usize),
    /// Where the plug was, in the old book.
    pub from: Jack,
    /// Where it is, in the new book.
    pub to: Jack,
}

/// A jack of the panel that was forgotten.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Forgotten {
    /// It was used, is still there, and no lead leads to it.
    Unfed(Jack),
    /// What stands on the stage is reached past the panel: its old jack there, if it had one; its own; the other end.
    Past { was: Option<Jack>, stage: Jack, other: Jack },
    /// It led to the stage, and leads back into the board.
    Inward { jack: Jack, to: Jack },
}

impl Leads {
    /// Nothing to do.
    pub fn is_empty(&self) -> bool {
        *self == Leads::default()
    }
}

/// A jack of the old book as the new one numbers it; None when it has no such thing.
struct Translated<'c> {
    old: &'c Board,
    new: &'c Board,
    matched: &'c Matched,
}

impl Translated<'_> {
    fn device(&self, old: DeviceId) -> Option<DeviceId> {
        self.matched.devices.new_of(old)
    }

    /// A leg by its name, in whatever order they are described.
    fn leg(&self, device: DeviceId, old: u16) -> Option<u16> {
        let name = leg_of(self.old, device, old);
        let now = self.new.devices.get(self.device(device)?)?;
        now.electric.legs.iter().position(|l| l.name == name).map(|at| at as u16)
    }

    fn jack(&self, jack: &Jack) -> Option<Jack> {
        Some(match jack {
            Jack::Guitar(Some(g)) => Jack::Guitar(Some(nth(*g, &self.old.guitars, &self.new.guitars, |g| &g.name)?)),
            Jack::Treadle(t) => Jack::Treadle(nth(*t, &self.old.treadles, &self.new.treadles, |t| &t.name)?),
            Jack::Outlet(s, o) => {
                let now = nth(*s, &self.old.supplies, &self.new.supplies, |s| &s.name)?;
                let (was, supply) = (self.old.supplies.get(*s)?, self.new.supplies.get(now)?);
                Jack::Outlet(now, nth(*o, &was.outlets, &supply.outlets, |o| &o.name)?)
            }
            Jack::Input(d, side) => Jack::Input(self.device(*d)?, *side),
            Jack::Output(d, side) => Jack::Output(self.device(*d)?, *side),
            Jack::Send(d) => Jack::Send(self.device(*d)?),
            Jack::LegSend(d, leg) => Jack::LegSend(self.device(*d)?, self.leg(*d, *leg)?),
            Jack::LegReturn(d, leg) => Jack::LegReturn(self.device(*d)?, self.leg(*d, *leg)?),
            Jack::Key(d) => Jack::Key(self.device(*d)?),
            Jack::Return(d, side) => Jack::Return(self.device(*d)?, *side),
            Jack::RemoteIn(d, tip, ring) => Jack::RemoteIn(self.device(*d)?, *tip, *ring),
            Jack::ExpressionIn(d) => Jack::ExpressionIn(self.device(*d)?),
            Jack::MidiIn(d) => Jack::MidiIn(self.device(*d)?),
            Jack::MidiThru(d) => Jack::MidiThru(self.device(*d)?),
            Jack::Power(Taker::Device(d)) => Jack::Power(Taker::Device(self.device(*d)?)),
            same => same.clone(),
        })
    }
}

/// Where a thing of one list stands in another, by its name; in a draft the name may be there twice.
fn nth<T>(at: usize, old: &[T], new: &[T], name: impl Fn(&T) -> &String) -> Option<usize> {
    let wanted = name(old.get(at)?);
    let before = old.iter().take(at).filter(|one| name(one) == wanted).count();
    new.iter().enumerate().filter(|(_, one)| name(one) == wanted).nth(before).map(|(at, _)| at)
}

/// The same jack, whichever of its contacts are used.
fn one(a: &Jack, b: &Jack) -> bool {
    match (a, b) {
        (Jack::RemoteIn(a, ..), Jack::RemoteIn(b, ..)) => a == b,
        (a, b) => a == b,
    }
}

/// A lead of the old book with its ends as the new one numbers them.
struct Was<'c> {
    lead: &'c Lead,
    from: Option<Jack>,
    to: Vec<Option<Jack>>,
}

impl Was<'_> {
    fn stays_from(&self, now: &Lead) -> bool {
        self.from.as_ref().is_some_and(|from| one(from, &now.from))
    }

    fn stays_to(&self, now: &Lead) -> bool {
        self.to.len() == now.to.len() && self.strayed(now).is_empty()
    }

    /// The ends at which a plug sits elsewhere now.
    fn strayed(&self, now: &Lead) -> Vec<(usize, usize)> {
        let stays = |was: &Option<Jack>, now: &Jack| was.as_ref().is_some_and(|was| one(was, now));
        let gone =
            (0..self.to.len()).filter(|w| self.to.get(*w).is_some_and(|was| !now.to.iter().any(|n| stays(was, n))));
        let come =
            (0..now.to.len()).filter(|n| now.to.get(*n).is_some_and(|now| !self.to.iter().any(|w| stays(w, now))));
        gone.zip(come).collect()
    }

    /// A piece of the same make: it can be plugged elsewhere.
    fn alike(&self, now: &Lead) -> bool {
        self.lead.kind == now.kind && self.lead.length == now.length && self.to.len() == now.to.len()
    }

    /// The end by which a lead is known: patch leads of a loop stay with the switcher, all others with the device.
    fn known_by_from(&self) -> bool {
        matches!(self.lead.purpose, Purpose::Send(_))
    }
}

/// Compares the leads of two books.
pub(super) fn differences(old: &Compiled, new: &Compiled, matched: &Matched) -> Leads {
    let (was, now) = (&old.wiring().leads, &new.wiring().leads);
    let translated = Translated { old: &old.book.board, new: &new.book.board, matched };
    let was: Vec<Was<'_>> = was
        .iter()
        .map(|lead| Was {
            lead,
            from: translated.jack(&lead.from),
            to: lead.to.iter().map(|to| translated.jack(to)).collect(),
        })
        .collect();
    let mut partner: Vec<Option<usize>> = vec![None; was.len()];
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    type Pass = fn(&Was<'_>, &Lead) -> bool;
    let both: Pass = |was, now| was.lead.kind == now.kind && was.stays_from(now) && was.stays_to(now);
    let known: Pass =
        |was, now| was.alike(now) && if was.known_by_from() { was.stays_from(now) } else { was.stays_to(now) };
    let either: Pass = |was, now| {
        let end = was.stays_from(now) && was.strayed(now).len() == 1;
        was.alike(now) && (end || was.stays_to(now))
    };
    for pass in [both, known, either] {
        for (slot, was) in partner.iter_mut().zip(&was).filter(|(slot, _)| slot.is_none()) {
            let found = now.iter().enumerate().find(|(at, now)| !taken.contains(at) && pass(was, now));
            *slot = found.map(|(at, _)| at);
            taken.extend(*slot);
        }
    }
    let mut out = Leads::default();
    for (w, (partner, was)) in partner.into_iter().zip(&was).enumerate() {
        let Some((n, now)) = partner.and_then(|n| Some((n, now.get(n)?))) else {
            out.out.push(w);
            continue;
        };
        let lead = (w, n);
        if !was.stays_from(now) {
            out.moved.push(Moved { lead, from: was.lead.from.clone(), to: now.from.clone() });
        }
        for (gone, come) in was.strayed(now) {
            if let (Some(from), Some(to)) = (was.lead.to.get(gone), now.to.get(come)) {
                out.moved.push(Moved { lead, from: from.clone(), to: to.clone() });
            }
        }
        if (was.lead.length, was.lead.polarity) != (now.length, now.polarity) {
            out.other.push(lead);
        }
        if was.lead.number != now.number {
            out.renumbered.push(lead);
        }
        out.renamed.extend(renamed(translated.old, translated.new, lead, was, now));
    }
    out.put_in = (0..now.len()).filter(|at| !taken.contains(at)).collect();
    out.forgotten = forgotten(old, new, &translated);
    out
}

/// Plugs in the same jack, which has another name.
fn renamed(old: &Board, new: &Board, lead: (usize, usize), was: &Was<'_>, now: &Lead) -> Vec<Moved> {
    let ends = std::iter::once((&was.lead.from, &was.from)).chain(was.lead.to.iter().zip(&was.to));
    let all: Vec<&Jack> = std::iter::once(&now.from).chain(&now.to).collect();
    let turned = ends.filter_map(|(from, translated)| {
        let to = *all.iter().find(|jack| translated.as_ref().is_some_and(|was| one(was, jack)))?;
        (end(old, from) != end(new, to)).then(|| Moved { lead, from: from.clone(), to: to.clone() })
    });
    turned.collect()
}

fn panel(jack: &Jack) -> bool {
    matches!(jack, Jack::PanelIn(_) | Jack::PanelOut(_))
}

/// A plug: its jack, the jack at the other end, and what the lead is for.
type Plug<'c> = (&'c Jack, &'c Jack, Discriminant<Purpose>);

fn plugs(compiled: &Compiled) -> Vec<Plug<'_>> {
    let ends =
        compiled.wiring().leads.iter().flat_map(|l| l.to.iter().map(|to| (&l.from, to, discriminant(&l.purpose))));
    ends.flat_map(|(a, b, purpose)| [(a, b, purpose), (b, a, purpose)]).collect()
}

/// Jacks of the panel that the old book used and the new one lost sight of, and what stands on the stage and is reached
/// past the panel, though it was not, or nothing of its kind was.
fn forgotten(old: &Compiled, new: &Compiled, translated: &Translated<'_>) -> Vec<Forgotten> {
    let (was, now) = (plugs(old), plugs(new));
    let mut out: BTreeSet<Forgotten> = BTreeSet::new();
    for (jack, ..) in was.iter().filter(|(jack, ..)| panel(jack)) {
        if new.wiring().unused.contains(jack) {
            out.insert(Forgotten::Unfed((*jack).clone()));
        }
    }
    let stood: Vec<(Jack, &Plug<'_>)> = was
        .iter()
        .filter(|(jack, ..)| off_board(translated.old, jack))
        .filter_map(|plug| Some((translated.jack(plug.0)?, plug)))
        .collect();
    let all_by_panel = |purpose: Discriminant<Purpose>| {
        let mut kind = was.iter().filter(|(jack, _, p)| *p == purpose && off_board(translated.old, jack)).peekable();
        kind.peek().is_some() && kind.all(|(_, other, _)| panel(other))
    };
    let panelled = new.book.board.panel.is_some();
    for (stage, other, purpose) in &now {
        if !panelled || panel(other) || !off_board(translated.new, stage) {
            continue;
        }
        let before = stood.iter().find(|(jack, _)| one(jack, stage)).map(|(_, (_, other, _))| *other);
        if before.map_or_else(|| all_by_panel(*purpose), panel) {
            let (stage, other) = ((*stage).clone(), (*other).clone());
            out.insert(Forgotten::Past { was: before.cloned(), stage, other });
        }
    }
    let reaches = |jack: &Jack| now.iter().filter(move |(a, ..)| *a == jack).map(|(_, b, _)| *b).collect::<Vec<_>>();
    for (jack, ..) in was.iter().filter(|(jack, stage, _)| panel(jack) && off_board(translated.old, stage)) {
        let to = reaches(jack);
        if !to.iter().any(|b| off_board(translated.new, b)) {
            let inward = to.into_iter().filter(|b| b.device().is_some()).cloned();
            out.extend(inward.map(|to| Forgotten::Inward { jack: (*jack).clone(), to }));
        }
    }
    out.into_iter().collect()
}
