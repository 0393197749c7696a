//! Leads: chains, patch leads, and the panel of the board.

use super::electric::Least;
use super::names::{Named, nfc};
use super::{Binder, said_twice};
use crate::book::electric::{A_LEG, Chain, Lead, Leads, Link, LinkWhat, OwnJack, Panel, PanelJack, PanelWhat, Side};
use crate::book::{Fault, Meaning};
use crate::ids::DeviceId;
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;
use crate::syntax::units::Dimension;

/// What a name in a chain or in the panel stands for.
enum Linked {
    Guitar(Option<usize>),
    Device(DeviceId),
}

const WANTED: &str = "pedal, buffer, amp or guitar";

impl<'t> Binder<'t> {
    /// Binds chains, patch leads and the panel; devices are bound already.
    pub(super) fn leads(&mut self) {
        for view in std::mem::take(&mut self.found.chains) {
            let Some(name) = view.child(Kind::Name) else { continue };
            let links: Vec<Link> =
                view.all(Kind::Link).enumerate().map(|(nth, link)| self.link(link, nth == 0)).collect();
            let faulty =
                view.broken() || links.iter().any(|l| matches!(l.what, LinkWhat::Unknown | LinkWhat::Cable(None)));
            let name_text = nfc(name.text()).into_owned();
            self.book.board.chains.push(Chain { name: name_text, at: name.span(), links, faulty });
        }
        for view in std::mem::take(&mut self.found.patches) {
            let first = self.book.board.leads.at;
            if first != Span::default() {
                said_twice(&mut self.faults, first, view);
                continue;
            }
            self.book.board.leads = self.leads_by_kind(view);
        }
        for view in std::mem::take(&mut self.found.panels) {
            if let Some(first) = &self.book.board.panel {
                said_twice(&mut self.faults, first.at, view);
                continue;
            }
            let at = Span { end: view.span().start + "panel".len() as u32, ..view.span() };
            let jacks = view.all(Kind::PanelJack).filter_map(|jack| self.panel_jack(jack)).collect();
            self.book.board.panel = Some(Panel { at, jacks, faulty: view.broken() });
        }
    }

    /// Reads `patch leads 30 cm at 100 pF/m, for amp 6 m at 100 pF/m, for remote 3 m`.
    fn leads_by_kind(&mut self, view: View<'t>) -> Leads {
        let mut leads = Leads { patch: self.lead(view), at: view.span(), ..Leads::default() };
        let mut said: Vec<(&str, Span)> = Vec::new();
        for of in view.all(Kind::LeadsOf) {
            let Some(word) = of.child(Kind::Word) else { continue };
            if let Some((_, first)) = said.iter().find(|(kind, _)| *kind == word.text()) {
                said_twice(&mut self.faults, *first, word);
                continue;
            }
            said.push((word.text(), word.span()));
            match word.text() {
                "guitar" => leads.guitar = self.lead(of),
                "amp" => leads.amp = self.lead(of),
                kind => {
                    let length = of.child(Kind::Quantity);
                    let length = length.and_then(|q| self.quantity(q, Dimension::Length, Least::Zero));
                    let place = match kind {
                        "remote" => &mut leads.remote,
                        "expression" => &mut leads.expression,
                        "midi" => &mut leads.midi,
                        _ => &mut leads.power,
                    };
                    *place = length.map(|l| l.value);
                }
            }
        }
        leads
    }

    /// Reads `6 m at 100 pF/m`.
    pub(super) fn lead(&mut self, view: View<'t>) -> Option<Lead> {
        let mut quantities = view.all(Kind::Quantity);
        let length = quantities.next().and_then(|q| self.quantity(q, Dimension::Length, Least::Zero));
        let per_metre = quantities.next().and_then(|q| self.quantity(q, Dimension::CapacitancePerLength, Least::Zero));
        Some(Lead { length: length?.value, per_metre: per_metre?.value, at: view.span() })
    }

    fn linked_name(&mut self, name: View<'t>) -> Option<Linked> {
        let at = name.span();
        if name.text() == "guitar" {
            return Some(Linked::Guitar(None));
        }
        match self.names.get(name.text()) {
            Some((Named::Device(n), _)) => {
                self.used(name, Named::Device(n));
                Some(Linked::Device(n))
            }
            Some((Named::Guitar(n), _)) => {
                self.used(name, Named::Guitar(n));
                Some(Linked::Guitar(Some(n as usize)))
            }
            Some((Named::Broken, _)) => None,
            Some((thing, there)) => {
                self.faults.push(Fault::OtherKind { at, wanted: WANTED, is: thing.word(), there });
                None
            }
            None => {
                let all: Vec<String> = self.chained().collect();
                let near = self.near(name.text(), all.iter().map(String::as_str));
                self.faults.push(Fault::UnknownName { at, wanted: WANTED, near });
                None
            }
        }
    }

    fn chained(&self) -> impl Iterator<Item = String> {
        let kinds = |t: Named| matches!(t, Named::Device(_) | Named::Guitar(_));
        let mut names: Vec<String> =
            self.names.all().filter(|(_, t)| kinds(*t)).map(|(name, _)| name.to_owned()).collect();
        names.sort();
        names.into_iter()
    }

    /// The jack of a device that a link or the panel names; a leg alone is what it sends where a chain begins with it, else
    /// what it takes in. Told when the device has no such leg.
    fn own_jack(&mut self, view: View<'t>, device: DeviceId, first: bool) -> Result<Option<OwnJack>, ()> {
        let Some(name) = view.all(Kind::Name).nth(1) else {
            let jack = [("send", OwnJack::Send), ("return", OwnJack::Return), ("key", OwnJack::Key)];
            return Ok(jack.into_iter().find(|(word, _)| view.says(word)).map(|(_, jack)| jack));
        };
        let Some(found) = self.book.board.devices.get(device) else { return Err(()) };
        let wanted = nfc(name.text());
        if let Some(leg) = found.electric.legs.iter().position(|l| l.name == wanted) {
            let sends = view.says("send") || first && !view.says("return");
            let leg = leg as u16;
            self.note(name, Meaning::Leg(device, leg), false);
            return Ok(Some(if sends { OwnJack::LegSend(leg) } else { OwnJack::LegReturn(leg) }));
        }
        if !found.faulty {
            let all: Vec<String> = found.electric.legs.iter().map(|l| l.name.clone()).collect();
            let near = self.near(name.text(), all.iter().map(String::as_str));
            self.faults.push(Fault::UnknownName { at: name.span(), wanted: A_LEG, near });
        }
        Err(())
    }

    fn link(&mut self, view: View<'t>, first: bool) -> Link {
        let numbers: Vec<View<'t>> = view.all(Kind::Number).collect();
        let what = if let Some(cable) = view.child(Kind::Cable) {
            LinkWhat::Cable(self.lead(cable))
        } else if let Some(name) = view.child(Kind::Name) {
            match self.linked_name(name) {
                Some(Linked::Guitar(guitar)) => LinkWhat::Guitar(guitar),
                Some(Linked::Device(device)) => match self.own_jack(view, device, first) {
                    Ok(jack) => LinkWhat::Device { device, jack, sides: sides(view) },
                    Err(()) => LinkWhat::Unknown,
                },
                None => LinkWhat::Unknown,
            }
        } else {
            let what = if view.says("output") { "output" } else { "loop" };
            let of = view.child(Kind::OfHelper);
            let number = |n: &View<'t>| match of {
                Some(of) => self.helper_loop(*n, of),
                None => self.jack_number(*n, what),
            };
            let found: Vec<Option<u16>> = numbers.iter().map(number).collect();
            match (what, found.as_slice()) {
                ("output", [Some(n)]) => LinkWhat::Output(*n),
                (_, [Some(n)]) => LinkWhat::Loops(*n, *n),
                (_, [Some(a), Some(b)]) => LinkWhat::Loops(*a, *b),
                _ => LinkWhat::Unknown,
            }
        };
        Link { what, at: view.span() }
    }

    fn panel_jack(&mut self, view: View<'t>) -> Option<PanelJack> {
        let mut numbers = view.all(Kind::Number);
        let number = self.count(numbers.next()?, 1, 999, "a jack of the panel")? as u16;
        let what = if let Some(name) = view.child(Kind::Name) {
            match self.linked_name(name) {
                Some(Linked::Guitar(guitar)) => PanelWhat::Guitar(guitar),
                Some(Linked::Device(device)) => match self.own_jack(view, device, !view.says("out")) {
                    Ok(jack) => PanelWhat::Device { device, jack, side: sides(view).first().copied() },
                    Err(()) => PanelWhat::Unknown,
                },
                None => PanelWhat::Unknown,
            }
        } else {
            let what = ["output", "remote", "expression"].into_iter().find(|w| view.says(w)).unwrap_or("output");
            match (what, self.jack_number(numbers.next()?, what)) {
                ("output", Some(n)) => PanelWhat::Output(n),
                ("remote", Some(n)) => PanelWhat::Remote(n),
                (_, Some(n)) => PanelWhat::Expression(n),
                _ => PanelWhat::Unknown,
            }
        };
        Some(PanelJack { out: view.says("out"), number, what, at: view.span() })
    }
}

fn sides(view: View<'_>) -> Vec<Side> {
    let words = view.all(Kind::Word).filter_map(|w| match w.text() {
        "left" => Some(Side::Left),
        "right" => Some(Side::Right),
        _ => None,
    });
    words.collect()
}
