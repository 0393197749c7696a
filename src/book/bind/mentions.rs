//! Names, numbers and units in statements whose meaning is computed elsewhere: leads, power, rules, what is allowed.

use super::Binder;
use super::names::{Thing, Wanted, nfc};
use crate::book::{Allow, Fault};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;
use crate::syntax::units;

impl<'t> Binder<'t> {
    pub(super) fn mentions(&mut self) {
        let views = std::mem::take(&mut self.found.mentions);
        for device in self.found.devices.clone() {
            for power in device.all(Kind::Power) {
                self.power(power, &views);
            }
        }
        for view in views {
            match view.kind() {
                Kind::Guitar | Kind::Supply | Kind::Patch | Kind::Limit => self.quantities(view),
                Kind::Chain => view.all(Kind::Link).for_each(|link| self.link(link)),
                Kind::Panel => view.all(Kind::PanelJack).for_each(|jack| self.panel_jack(jack)),
                Kind::Rule => self.atoms(view),
                Kind::Allow => self.allow(view),
                _ => {}
            }
        }
    }

    /// Every quantity of a statement measures what its place wants.
    fn quantities(&mut self, view: View<'t>) {
        for (n, quantity) in view.all(Kind::Quantity).enumerate() {
            if let Some(wanted) = units::wanted(view.kind(), n) {
                self.measure(quantity, wanted);
            }
        }
        view.children().filter(|v| v.kind() != Kind::Quantity).for_each(|v| self.quantities(v));
    }

    /// `power brick.A, 60 mA`.
    fn power(&mut self, view: View<'t>, statements: &[View<'t>]) {
        let (Some(supply), Some(outlet)) = (view.nth(Kind::Name, 0), view.nth(Kind::Name, 1)) else { return };
        if self.find(supply, Wanted::Supply).is_none() {
            return;
        }
        let name = nfc(supply.text());
        let named = |v: &&View<'t>| v.child(Kind::Name).is_some_and(|n| nfc(n.text()) == name);
        let Some(found) = statements.iter().filter(|v| v.kind() == Kind::Supply).find(named) else { return };
        let outlets: Vec<&str> = found.all(Kind::Outlet).filter_map(|o| o.child(Kind::Name)).map(View::text).collect();
        if !found.broken() && !outlets.iter().any(|o| nfc(o) == nfc(outlet.text())) {
            let near = self.near(outlet.text(), outlets.into_iter());
            self.unknown(Fault::UnknownName { at: outlet.span(), wanted: "outlet", near });
        }
    }

    fn link(&mut self, view: View<'t>) {
        if let Some(cable) = view.child(Kind::Cable) {
            return self.quantities(cable);
        }
        let what = if view.says("output") { "output" } else { "loop" };
        for number in view.all(Kind::Number) {
            self.jack_number(number, what);
        }
        self.linked(view);
    }

    fn panel_jack(&mut self, view: View<'t>) {
        let what = ["output", "remote", "expression"].into_iter().find(|w| view.says(w));
        if let (Some(what), Some(number)) = (what, view.nth(Kind::Number, 1)) {
            self.jack_number(number, what);
        }
        self.linked(view);
    }

    /// What a lead comes from or goes to; `guitar` is whichever guitar the song wants.
    fn linked(&mut self, view: View<'t>) {
        if let Some(name) = view.child(Kind::Name)
            && name.text() != "guitar"
        {
            self.find(name, Wanted::Linked);
        }
    }

    fn atoms(&mut self, view: View<'t>) {
        for inner in view.children() {
            if inner.kind() != Kind::Atom {
                self.atoms(inner);
            } else if let Some(name) = inner.child(Kind::Name) {
                let part = inner.nth(Kind::Name, 1).is_some() || inner.child(Kind::Compared).is_some();
                let wanted = match (inner.says("any"), part || inner.says("foot")) {
                    (true, _) => Wanted::Scene,
                    (_, true) => Wanted::Device,
                    _ => Wanted::Sound,
                };
                self.find(name, wanted);
            }
        }
    }

    fn allow(&mut self, view: View<'t>) {
        let mut names = view.all(Kind::Name);
        let Some(code) = names.next() else { return };
        let about: Vec<View<'t>> = names.collect();
        for name in &about {
            self.find(*name, Wanted::Any);
        }
        let name = |n: usize| about.get(n).map(|v| nfc(v.text()).into_owned());
        self.book.allows.push(Allow { code: code.text().to_owned(), name: name(0), to: name(1), at: view.span() });
    }
}

impl Wanted {
    /// True for a thing that the statements of this file may mention.
    pub(super) fn mentions(self, thing: Thing) -> bool {
        match self {
            Wanted::Supply => thing == Thing::Supply,
            Wanted::Linked => matches!(thing, Thing::Device(_) | Thing::Guitar(_)),
            Wanted::Sound => matches!(thing, Thing::Device(_) | Thing::Scene(_)),
            Wanted::Any => true,
            _ => false,
        }
    }
}
