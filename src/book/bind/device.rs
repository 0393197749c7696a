//! Devices: facts of their own, and those of the description they are `like`.

use rustc_hash::FxHashMap;

use super::line::{End, LONGEST_LINE, Line};
use super::names::{Named, nfc};
use super::{Binder, content, said_twice};
use crate::book::device::{Control, Device, DeviceKind, How, MOST, Place};
use crate::book::electric::Electric;
use crate::book::{Fault, Spanned};
use crate::ids::{DeviceId, Numbered};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// A fact, and whether it comes from the description that the device is like.
#[derive(Clone, Copy)]
pub(super) struct Fact<'t> {
    pub view: View<'t>,
    pub inherited: bool,
}

impl<'t> Binder<'t> {
    pub(super) fn devices(&mut self) {
        let own = self.found.devices.len();
        let all: Vec<View<'t>> = self.found.devices.iter().chain(&self.found.shipped).copied().collect();
        if let Some(view) = all.get(MOST).filter(|_| own > MOST) {
            let at = view.child(Kind::Name).map_or(view.span(), View::span);
            self.faults.push(Fault::TooMany { at, what: "pedals, buffers and amps", of: None, most: MOST });
        }
        let likes = self.likes(&all);
        for (id, view) in all.iter().take(own.min(MOST)).enumerate() {
            let absent = self.found.absent.contains(&view.span());
            let (told, now) = (self.faults.len(), self.book.board.switcher.clone());
            if absent && self.switcher_before.is_some() {
                self.book.board.switcher.clone_from(&self.switcher_before);
            }
            self.begin(DeviceId::nth(id), *view);
            let mut device = self.device(id, *view, &all, &likes);
            if absent {
                self.book.board.switcher = now;
                self.faults.truncate(told);
                Self::absent(&mut device);
            }
            // A second one of a name is read for its mistakes alone: it takes no place on the board.
            if !matches!(self.names.get(&device.name), Some((Named::Device(n), _)) if n.index() == id) {
                device.controls.clear();
                (device.loop_at, device.fed_by, device.helper, device.faulty) = (None, None, None, true);
            }
            self.book.board.devices.push(device);
        }
        self.columns();
        self.claims();
    }

    /// Messages and what a foot moves have a column each: beside those of the switcher no more than can be counted.
    fn columns(&mut self) {
        let jacks = self.book.board.switcher.as_ref();
        let jacks = jacks.map_or(0, |s| [s.loops, s.jacks, s.jacks, s.ports, s.outputs].map(usize::from).iter().sum());
        let devices = self.book.board.devices.iter_mut();
        let own = |c: &&mut Control| !matches!(c.how, How::Remote { .. } | How::Port { .. } | How::Unknown);
        let mut over = devices.flat_map(|d| d.controls.iter_mut()).filter(own).skip(MOST - jacks).peekable();
        // A device with too many is told already.
        let told = self.faults.iter().any(|f| matches!(f, Fault::TooMany { .. }));
        if let (Some(first), false) = (over.peek(), told) {
            let (at, what) = (first.at, "messages and moves by foot, the jacks counted in");
            self.faults.push(Fault::TooMany { at, what, of: None, most: MOST });
        }
        over.for_each(|control| control.how = How::Unknown);
    }

    /// What each device is like, the book's own before the shipped ones. Circles and lines too long are told.
    fn likes(&mut self, all: &[View<'t>]) -> Likes {
        let own = self.found.devices.len();
        let mut shipped: FxHashMap<&str, usize> = FxHashMap::default();
        for (number, view) in self.found.shipped.iter().enumerate() {
            if self.files.get(view.span().file).is_some_and(|f| !f.shipped) {
                continue;
            }
            if let Some(name) = view.child(Kind::Name) {
                shipped.entry(name.text()).or_insert(own + number);
            }
        }
        let link = |view: &View<'t>| view.child(Kind::Like).and_then(|l| l.child(Kind::Name));
        let own_old = |view: &View<'t>, name: View<'t>| {
            let old = self.amend.old_of(*view, name)?;
            all.iter().position(|v| v.span() == old.span())
        };
        let olds: Vec<Option<usize>> = all.iter().map(|view| own_old(view, link(view)?)).collect();
        // Its own name for the one that it stands for.
        for name in all.iter().zip(&olds).filter(|(_, old)| old.is_some()).filter_map(|(view, _)| link(view)) {
            self.used_as_known(name);
        }
        let above: Vec<Option<usize>> =
            all.iter().zip(&olds).map(|(view, old)| old.or_else(|| self.described(link(view)?, &shipped))).collect();
        let lost = |(view, above): (&View<'t>, &Option<usize>)| link(view).is_some() && above.is_none();
        let mut unsound: Vec<bool> = all.iter().zip(&above).map(lost).collect();
        let line = Line::of(above);
        for circle in &line.circles {
            let named = |id: &usize| {
                let view = all.get(*id)?;
                Some((view.child(Kind::Name).map_or(String::new(), |n| n.text().to_owned()), link(view)?.span()))
            };
            let named: Vec<(String, Span)> = circle.iter().filter_map(named).collect();
            if let Some((_, at)) = named.first() {
                self.faults.push(Fault::CircularLike { at: *at, circle: named });
            }
            for id in circle {
                if let Some(slot) = unsound.get_mut(*id) {
                    *slot = true;
                }
            }
        }
        for id in &line.order {
            let end = line.end(*id);
            let at = all.get(*id).and_then(|v| v.child(Kind::Name)).filter(|_| *id < own);
            if let Some(at) = at.filter(|_| end == End::Far) {
                self.faults.push(Fault::LineTooLong { at: at.span(), word: "like" });
            }
            let above = line.above.get(*id).copied().flatten();
            let lost = |a: usize| unsound.get(a) == Some(&true) || all.get(a).is_some_and(|v| v.broken());
            let so = end != End::Near || above.is_some_and(lost);
            if let Some(slot) = unsound.get_mut(*id) {
                *slot |= so;
            }
        }
        let replaces = olds.iter().map(Option::is_some).collect();
        Likes { line, unsound, replaces }
    }

    fn device(&mut self, id: usize, view: View<'t>, all: &[View<'t>], likes: &Likes) -> Device {
        let facts = facts(id, all, likes);
        let name = view.child(Kind::Name);
        let mut device = Device {
            kind: kind_of(view),
            name: name.map_or(String::new(), |n| nfc(n.text()).into_owned()),
            title: view.child(Kind::Text).map(content),
            like: described_as(id, all, likes),
            at: name.map_or(view.span(), View::span),
            code: None,
            loop_at: None,
            stereo: false,
            always_on: false,
            place: None,
            tap: false,
            clock: false,
            tempo: None,
            tail: None,
            programs_cut: false,
            fed_by: None,
            tuner: None,
            engaged_by: None,
            helper: None,
            own_switch: None,
            knobs: Vec::new(),
            electric: Electric::default(),
            controls: Numbered::default(),
            faulty: view.broken() || likes.unsound.get(id) == Some(&true),
        };
        self.once_each(&facts);
        for fact in &facts {
            self.fact(&mut device, *fact);
        }
        self.controls(&mut device, &facts);
        self.given_tempo(&mut device, &facts);
        self.legs(&mut device, &facts);
        self.state_maps(&mut device, &facts);
        if let Some(fact) = facts.iter().rev().find(|f| f.view.kind() == Kind::EngagedBy) {
            self.engaged_by(&mut device, fact.view);
        }
        if device.kind == DeviceKind::Helper {
            self.helper(&mut device, view);
        }
        device
    }

    /// The description that `like` names: a device of the book, or one that ships with the tool.
    fn described(&mut self, like: View<'t>, shipped: &FxHashMap<&str, usize>) -> Option<usize> {
        match self.names.get(like.text()) {
            Some((Named::Device(n), _)) => {
                self.used(like, Named::Device(n));
                return Some(n.index());
            }
            Some((Named::Broken, _)) => return None,
            _ => {}
        }
        let found = shipped.get(like.text()).copied();
        if found.is_none() {
            let own = self.names.all().filter(|(_, t)| matches!(t, Named::Device(_))).map(|(n, _)| n);
            let shipped: Vec<&str> = crate::source::shipped::devices().collect();
            let near = self.near(like.text(), own.chain(shipped));
            self.unknown(Fault::UnknownName { at: like.span(), wanted: "pedal or shipped description", near });
        }
        found
    }

    /// A device says each fact once in its own block.
    fn once_each(&mut self, facts: &[Fact<'t>]) {
        // One of each kind: few.
        let mut first: Vec<View<'t>> = Vec::new();
        for view in facts.iter().filter(|f| !f.inherited).map(|f| f.view) {
            let repeats = matches!(
                view.kind(),
                Kind::Control
                    | Kind::Level
                    | Kind::Leg
                    | Kind::Knob
                    | Kind::Kept
                    | Kind::Broken
                    | Kind::Name
                    | Kind::Text
                    | Kind::Like
            );
            match first.iter().find(|v| v.kind() == view.kind()) {
                _ if repeats => {}
                Some(first) => said_twice(&mut self.faults, first.span(), view),
                None => first.push(view),
            }
        }
    }

    fn fact(&mut self, device: &mut Device, fact: Fact<'t>) {
        let view = fact.view;
        let at = view.span();
        match view.kind() {
            Kind::Code => {
                let Some(code) = view.child(Kind::Name) else { return };
                if code.text().chars().count() > 3 {
                    self.faults.push(Fault::CodeLength { at: code.span() });
                }
                device.code = Some(Spanned { value: nfc(code.text()).to_uppercase(), at: code.span() });
            }
            Kind::Loop => {
                let Some(number) = view.child(Kind::Number) else { return };
                let of = view.child(Kind::OfHelper);
                // `loop 5` is the place, not what may follow it.
                let at = Span { end: of.unwrap_or(number).span().end, ..at };
                match self.loop_number(number, of, at) {
                    // Said twice, and told: the first holds.
                    Some(_) if device.loop_at.is_some() => {}
                    Some(value) => device.loop_at = Some(Spanned { value, at }),
                    None => device.faulty = true,
                }
                device.stereo = view.says("stereo");
            }
            Kind::AlwaysOn => device.always_on = true,
            Kind::Place => {
                let value = if view.says("top") { Place::Top } else { Place::Under };
                device.place = Some(Spanned { value, at });
            }
            Kind::Tap => device.tap = true,
            Kind::Beat => device.clock = super::tempo::by_clock(view),
            Kind::Tuner => device.tuner = Some(at),
            Kind::Tail => self.tail(device, view, at),
            Kind::OwnSwitch => device.own_switch = Some(view.says("on")),
            Kind::FedBy => {
                let Some(number) = view.child(Kind::Number) else { return };
                match self.jack_number(number, "output") {
                    Some(value) => device.fed_by = Some(Spanned { value, at }),
                    None => device.faulty = true,
                }
            }
            Kind::Knob => {
                let mut words = view.children();
                if let (Some(name), Some(setting)) = (words.next(), words.next()) {
                    let setting =
                        if setting.kind() == Kind::Text { content(setting) } else { setting.text().to_owned() };
                    device.knobs.retain(|(n, _)| n != name.text());
                    device.knobs.push((name.text().to_owned(), setting));
                }
            }
            Kind::Broken => device.faulty = true,
            _ => self.electric(device, view),
        }
    }
}

/// What devices are like.
struct Likes {
    line: Line<usize>,
    /// For each device: what it is like cannot be trusted.
    unsound: Vec<bool>,
    /// For each device: what it is like is the one that it stands for tonight, whose place it takes.
    replaces: Vec<bool>,
}

/// The names and texts of what a device is like, the nearest first.
fn described_as(id: usize, all: &[View<'_>], likes: &Likes) -> Vec<String> {
    let above = |id: &usize| likes.line.above.get(*id).copied().flatten();
    let line = std::iter::successors(Some(id), above).skip(1).take(LONGEST_LINE as usize);
    let views = line.filter_map(|id| all.get(id));
    let says =
        |v: &View<'_>| [v.child(Kind::Name).map(|n| nfc(n.text()).into_owned()), v.child(Kind::Text).map(content)];
    views.flat_map(says).flatten().collect()
}

/// The facts of a device: those of what it is like first, so that its own come later and win.
fn facts<'t>(first: usize, all: &[View<'t>], likes: &Likes) -> Vec<Fact<'t>> {
    let above = |id: &usize| likes.line.above.get(*id).copied().flatten();
    let line: Vec<usize> = std::iter::successors(Some(first), above).take(LONGEST_LINE as usize + 1).collect();
    let mut facts = Vec::new();
    for (depth, id) in line.iter().enumerate().rev() {
        let Some(view) = all.get(*id) else { continue };
        let inherited = depth > 0;
        // Where a device sits is its own: a second one like it sits elsewhere.
        let own =
            |k: Kind| matches!(k, Kind::Loop | Kind::Code | Kind::Power | Kind::Battery | Kind::FedBy | Kind::OwnLeads);
        let said = |k: Kind| depth == 1 && all.get(first).is_some_and(|v| v.child(k).is_some());
        let place = depth == 1 && likes.replaces.get(first) == Some(&true);
        let taken = view.children().filter(|f| !inherited || !own(f.kind()) || (place && !said(f.kind())));
        facts.extend(taken.map(|view| Fact { view, inherited }));
    }
    facts
}

fn kind_of(view: View<'_>) -> DeviceKind {
    match view.kind() {
        Kind::Buffer => DeviceKind::Buffer,
        Kind::Amp => DeviceKind::Amp,
        Kind::Helper => DeviceKind::Helper,
        Kind::Listener => DeviceKind::Listener,
        _ => DeviceKind::Pedal,
    }
}
