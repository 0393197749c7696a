//! Names, numbers and units in statements whose meaning is computed elsewhere: leads and power.

use super::Binder;
use super::names::{Thing, Wanted, nfc};
use crate::book::Fault;
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
                Kind::Guitar | Kind::Supply | Kind::Patch => self.quantities(view),
                Kind::Chain => view.all(Kind::Link).for_each(|link| self.link(link)),
                Kind::Panel => view.all(Kind::PanelJack).for_each(|jack| self.panel_jack(jack)),
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
}

impl Wanted {
    /// True for a thing that the statements of this file may mention.
    pub(super) fn mentions(self, thing: Thing) -> bool {
        match self {
            Wanted::Supply => thing == Thing::Supply,
            Wanted::Linked => matches!(thing, Thing::Device(_) | Thing::Guitar(_)),
            _ => false,
        }
    }
}
