//! Electric facts: of devices, of guitars, and supplies with their outlets.

use super::names::nfc;
use super::{Binder, content, said_twice};
use crate::book::amount::Amount;
use crate::book::device::Device;
use crate::book::electric::{Battery, Gain, Outlet, Pickup, Polarity, Power, Supply, Volume};
use crate::book::{Fault, Guitar, Meaning, Spanned};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;
use crate::syntax::units::Dimension;

/// What may be said of a value beside its unit.
#[derive(Clone, Copy)]
pub(super) enum Least {
    /// It may be below nothing: a gain.
    Any,
    /// Nothing at all is allowed: an ideal source, a lead of no length.
    Zero,
    /// It must be more than nothing: a load, a voltage.
    More,
}

impl<'t> Binder<'t> {
    /// Reads a quantity that measures `wanted` and is not below `least`.
    pub(super) fn quantity(&mut self, view: View<'t>, wanted: Dimension, least: Least) -> Option<Spanned<Amount>> {
        let said = self.measure(view, wanted)?;
        let range = match least {
            Least::Zero if said.value.mantissa < 0 => "0 or more",
            Least::More if said.value.mantissa <= 0 => "more than 0",
            _ => return Some(said),
        };
        let what = wanted.says().split(" in ").next().unwrap_or_default().trim_end_matches(',').to_owned();
        self.faults.push(Fault::OutOfRange { at: said.at, what, range: range.to_owned(), there: None });
        None
    }

    /// Binds an electric fact of a device.
    pub(super) fn electric(&mut self, device: &mut Device, view: View<'t>) {
        use Dimension::{Decibel, Resistance};
        let at = view.span();
        match view.kind() {
            Kind::Bare => return device.electric.bare = Some(at),
            Kind::Inverts => return device.electric.inverts = true,
            Kind::Keeps => return device.electric.keeps = Some(at),
            Kind::InsertStays => return device.electric.insert_stays = Some(at),
            Kind::Leg => return,
            Kind::Takes => return device.electric.instrument = Some(at),
            Kind::Earthed => return device.electric.earthed = Some(at),
            _ => {}
        }
        if view.kind() == Kind::OwnLeads {
            device.electric.leads = self.lead(view);
            device.faulty |= device.electric.leads.is_none();
            return;
        }
        if let Some(line) = view.child(Kind::AtLine) {
            device.electric.line = Some(line.span());
        }
        let Some(quantity) = view.child(Kind::Quantity) else { return };
        let mut read = |wanted, least| self.quantity(quantity, wanted, least);
        let facts = &mut device.electric;
        let understood = match view.kind() {
            Kind::Input => read(Resistance, Least::More).map(|v| facts.input = Some(v)),
            Kind::Output => read(Resistance, Least::Zero).map(|v| facts.output = Some(v)),
            Kind::KeyInput => read(Resistance, Least::More).map(|v| facts.key = Some(v)),
            Kind::Send => read(Resistance, Least::Zero).map(|v| facts.send = Some(v)),
            Kind::Return => read(Resistance, Least::More).map(|v| facts.return_in = Some(v)),
            Kind::Gain => {
                let level = read(Decibel, Least::Any);
                level.map(|level| facts.gain = Some(Gain { level, measured: view.says("measured") }))
            }
            Kind::Battery => {
                let mut all = view.all(Kind::Quantity);
                let mut next = |wanted| all.next().and_then(|q| self.quantity(q, wanted, Least::More));
                let (charge, current) = (next(Dimension::Charge), next(Dimension::Current));
                charge.zip(current).map(|(charge, current)| facts.battery = Some(Battery { charge, current }))
            }
            Kind::Power => {
                facts.power = Some(self.power(view));
                Some(())
            }
            _ => return,
        };
        device.faulty |= understood.is_none();
    }

    fn power(&mut self, view: View<'t>) -> Power {
        let mut quantities = view.all(Kind::Quantity);
        let current = quantities.next().and_then(|q| self.quantity(q, Dimension::Current, Least::More));
        let mut volts = quantities.map(|q| self.quantity(q, Dimension::Voltage, Least::More));
        let first = volts.next().flatten();
        let last = volts.next().map_or(first, |v| v);
        let mut names = view.all(Kind::Name);
        let supply = names.next().and_then(|name| self.supply_named(name));
        let outlet = names.next().and_then(|name| self.outlet_named(supply?, name));
        let polarity = polarity(view);
        Power {
            supply,
            outlet,
            current,
            volts: first.zip(last),
            polarity,
            peak: self.peak(view, current),
            alternating: view.says("AC"),
            reversed: view.says("reversing"),
            isolated: view.says("isolated"),
            at: view.span(),
        }
    }

    /// The current of a moment, which is no less than the steady one.
    fn peak(&mut self, view: View<'t>, steady: Option<Spanned<Amount>>) -> Option<Spanned<Amount>> {
        let quantity = view.child(Kind::Peak)?.child(Kind::Quantity)?;
        let peak = self.quantity(quantity, Dimension::Current, Least::More)?;
        if steady.is_some_and(|steady| peak.value.value() < steady.value.value()) {
            let (what, range) = ("a peak".to_owned(), "no less than what is drawn all the time".to_owned());
            self.faults.push(Fault::OutOfRange { at: peak.at, what, range, there: None });
            return None;
        }
        Some(peak)
    }

    fn supply_named(&mut self, name: View<'t>) -> Option<usize> {
        let text = nfc(name.text());
        let found = self.book.board.supplies.iter().position(|s| s.name == text);
        if found.is_none() && self.names.get(&text).is_none_or(|(thing, _)| thing != super::names::Named::Broken) {
            let all: Vec<String> = self.book.board.supplies.iter().map(|s| s.name.clone()).collect();
            let near = self.near(&text, all.iter().map(String::as_str));
            self.faults.push(Fault::UnknownName { at: name.span(), wanted: "supply", near });
        }
        if let Some(found) = found {
            self.note(name, Meaning::Supply(found), false);
        }
        found
    }

    fn outlet_named(&mut self, supply: usize, name: View<'t>) -> Option<usize> {
        let text = nfc(name.text());
        let number = supply;
        let supply = self.book.board.supplies.get(number)?;
        let found = supply.outlets.iter().position(|o| o.name == text);
        if found.is_none() && !supply.faulty {
            let all: Vec<String> = supply.outlets.iter().map(|o| o.name.clone()).collect();
            let near = self.near(&text, all.iter().map(String::as_str));
            self.faults.push(Fault::UnknownName { at: name.span(), wanted: "outlet", near });
        }
        if let Some(found) = found {
            self.note(name, Meaning::Outlet(number, found), false);
        }
        found
    }

    /// Binds the facts of a guitar.
    pub(super) fn guitar(&mut self, view: View<'t>, name: View<'t>) -> Guitar {
        let mut guitar = Guitar {
            name: nfc(name.text()).into_owned(),
            title: view.child(Kind::Text).map(content),
            at: name.span(),
            pickup: None,
            volume: None,
            cable: None,
            input: None,
            when: Vec::new(),
            faulty: view.broken(),
        };
        let facts: Vec<View<'t>> = view.children().collect();
        for (i, fact) in facts.iter().enumerate() {
            let said = matches!(fact.kind(), Kind::Pickup | Kind::Volume | Kind::Cable | Kind::OnInput);
            if let Some(first) = facts.iter().take(i).find(|f| said && f.kind() == fact.kind()) {
                said_twice(&mut self.faults, first.span(), *fact);
                continue;
            }
            let understood = match fact.kind() {
                Kind::Pickup => self.pickup(*fact).map(|p| guitar.pickup = Some(p)),
                Kind::Volume => self.volume(*fact).map(|v| guitar.volume = Some(v)),
                Kind::Cable => self.lead(*fact).map(|c| guitar.cable = Some(c)),
                _ => Some(()),
            };
            guitar.faulty |= understood.is_none();
        }
        guitar
    }

    fn pickup(&mut self, view: View<'t>) -> Option<Pickup> {
        let wanted = [
            (Dimension::Inductance, Least::Zero),
            (Dimension::Resistance, Least::Zero),
            (Dimension::Capacitance, Least::Zero),
            (Dimension::Resistance, Least::More),
        ];
        // All are read before one is found wanting, so that every mistake is told.
        let read: Vec<Option<Amount>> =
            view.all(Kind::Quantity).zip(wanted).map(|(q, (w, l))| self.quantity(q, w, l).map(|s| s.value)).collect();
        let (inductance, resistance, capacitance, loss) = match *read.as_slice() {
            [Some(l), Some(r), Some(c)] => (l, r, c, None),
            [Some(l), Some(r), Some(c), Some(loss)] => (l, r, c, Some(loss)),
            _ => return None,
        };
        Some(Pickup { inductance, resistance, capacitance, loss, at: view.span() })
    }

    fn volume(&mut self, view: View<'t>) -> Option<Volume> {
        let mut quantities = view.all(Kind::Quantity);
        let track = quantities.next().and_then(|q| self.quantity(q, Dimension::Resistance, Least::More));
        let position = quantities.next().and_then(|q| self.measure(q, Dimension::Percent));
        if let Some(p) = position.filter(|p| !(0.0..=100.0).contains(&p.value.value())) {
            let what = "the volume".to_owned();
            self.faults.push(Fault::OutOfRange { at: p.at, what, range: "from 0 % to 100 %".to_owned(), there: None });
            return None;
        }
        Some(Volume { track: track?.value, position: position?.value, at: view.span() })
    }

    /// Binds the supplies.
    pub(super) fn supplies(&mut self) {
        for view in std::mem::take(&mut self.found.supplies) {
            let Some(name) = view.child(Kind::Name) else { continue };
            let mut supply = Supply {
                name: nfc(name.text()).into_owned(),
                title: view.child(Kind::Text).map(content),
                at: name.span(),
                margin: None,
                total: None,
                outlets: Vec::new(),
                faulty: view.broken(),
            };
            for fact in view.children() {
                match fact.kind() {
                    Kind::Margin => self.margin(&mut supply, fact),
                    Kind::Total => self.total(&mut supply, fact),
                    Kind::Outlet => self.outlet(&mut supply, fact),
                    _ => {}
                }
            }
            self.book.board.supplies.push(supply);
        }
        // What hangs on an outlet asks for it by name, so their order is free until then.
        self.book.board.supplies.sort_by(|a, b| a.name.cmp(&b.name));
        let power = self.found.power.take().map(|view| self.power(view));
        if let Some(switcher) = &mut self.book.board.switcher {
            switcher.power = power;
        }
    }

    fn margin(&mut self, supply: &mut Supply, view: View<'t>) {
        if let Some(first) = supply.margin {
            return said_twice(&mut self.faults, first.at, view);
        }
        let Some(margin) = view.child(Kind::Quantity).and_then(|q| self.measure(q, Dimension::Percent)) else { return };
        if (0.0..100.0).contains(&margin.value.value()) {
            supply.margin = Some(margin);
        } else {
            let what = "the margin".to_owned();
            self.faults.push(Fault::OutOfRange {
                at: margin.at,
                what,
                range: "from 0 % to below 100 %".to_owned(),
                there: None,
            });
        }
    }

    fn total(&mut self, supply: &mut Supply, view: View<'t>) {
        if let Some(first) = supply.total {
            return said_twice(&mut self.faults, first.at, view);
        }
        let total = view.child(Kind::Quantity).and_then(|q| self.quantity(q, Dimension::Current, Least::More));
        supply.total = total;
    }

    fn outlet(&mut self, supply: &mut Supply, view: View<'t>) {
        let Some(name) = view.child(Kind::Name) else { return };
        let text = nfc(name.text()).into_owned();
        if let Some(first) = supply.outlets.iter().find(|o| o.name == text) {
            return self.faults.push(Fault::DuplicateName { at: name.span(), first: first.at, kind: "outlet" });
        }
        let mut quantities = view.all(Kind::Quantity);
        let volts = quantities.next().and_then(|q| self.quantity(q, Dimension::Voltage, Least::More));
        let current = quantities.next().and_then(|q| self.quantity(q, Dimension::Current, Least::More));
        let isolated = (view.says("isolated") != view.says("shared")).then(|| view.says("isolated"));
        let polarity = polarity(view);
        let (peak, alternating) = (self.peak(view, current), view.says("AC"));
        supply.outlets.push(Outlet {
            name: text,
            at: name.span(),
            volts,
            current,
            peak,
            alternating,
            polarity,
            isolated,
        });
    }
}

/// The polarity that a statement names; None when it names none, or both.
fn polarity(view: View<'_>) -> Option<Polarity> {
    match (view.says("centre-negative"), view.says("centre-positive")) {
        (true, false) => Some(Polarity::CentreNegative),
        (false, true) => Some(Polarity::CentrePositive),
        _ => None,
    }
}
