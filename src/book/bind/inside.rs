//! What the unit can do inside a preset, and what scenes and parts ask of it.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::names::Wanted;
use super::{Binder, said_twice};
use crate::book::device::Contact;
use crate::book::fault::NotInside;
use crate::book::inside::{Again, Does, Inside, MOST_SWITCHES, Moved, Owner, Press};
use crate::book::{Fault, How, Switcher, What};
use crate::ids::{SceneId, SongId};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

impl<'t> Binder<'t> {
    /// Reads `inside: switches 6..7, toggles 2, holds 1, rows 2`.
    pub(super) fn inside(&mut self, fact: View<'t>) -> Option<Inside> {
        let mut inside = Inside { at: fact.span(), switches: None, toggles: 0, holds: 0, rows: 1 };
        let mut said: Vec<(&str, Span)> = Vec::new();
        for has in fact.all(Kind::InsideHas) {
            let word = has.text().split_whitespace().next().unwrap_or("");
            if let Some((_, first)) = said.iter().find(|(known, _)| *known == word) {
                said_twice(&mut self.faults, *first, has);
                return None;
            }
            said.push((word, has.span()));
            let numbers: Vec<View<'t>> = has.all(Kind::Number).collect();
            let names: Vec<View<'t>> = has.all(Kind::Name).collect();
            let mut count = |most: u32, what: &str| numbers.first().and_then(|n| self.count(*n, 0, most, what));
            match word {
                "switches" => {
                    let found = self.switches(has, &names, &numbers)?;
                    if found.1 > MOST_SWITCHES {
                        let range = format!("at most {MOST_SWITCHES}: each combination of them is looked at");
                        let what = "the switches inside a preset".to_owned();
                        self.faults.push(Fault::OutOfRange { at: has.span(), what, range, there: None });
                        return None;
                    }
                    inside.switches = Some(found);
                }
                "toggles" => inside.toggles = count(MOST_SWITCHES, "the switches that toggle")?,
                "holds" => inside.holds = count(MOST_SWITCHES, "the switches that hold")?,
                _ => inside.rows = count(2, "the rows of a slot")?.max(1),
            }
        }
        Some(inside)
    }

    /// A switch inside a preset is none that calls one. The slots learn what is called how.
    pub(super) fn inside_apart(&mut self, switcher: &mut Switcher) {
        let (Some(inside), Some(range)) = (&switcher.inside, &mut switcher.slots) else { return };
        range.rows = inside.rows as u8;
        let Some((first, count)) = inside.switches else { return };
        range.inside = Some(first);
        let taken: Vec<String> = (0..range.switches).map(|n| range.first_switch.plus(n)).collect();
        if let Some(name) = (0..count).map(|n| first.plus(n)).find(|name| taken.contains(name)) {
            self.faults.push(Fault::Inside { at: inside.at, why: NotInside::CallsPresets(name), there: None });
            switcher.inside = None;
            switcher.faulty = true;
        }
    }

    /// Binds what a body says of switches; false when some of it was not understood.
    pub(super) fn presses(&mut self, owner: Owner, body: Option<View<'t>>) -> bool {
        let mut whole = true;
        for view in body.into_iter().flat_map(View::children) {
            whole &= match view.kind() {
                Kind::Press => self.press(owner, view),
                Kind::Again => self.again(owner, view),
                _ => true,
            };
        }
        whole
    }

    fn press(&mut self, owner: Owner, view: View<'t>) -> bool {
        let Some(switch) = view.children().next().and_then(|name| self.inside_switch(name)) else { return false };
        let said = self.book.show.presses_of(owner);
        if let Some(first) = said.iter().find(|p| p.switch == switch) {
            said_twice(&mut self.faults, first.at, view);
            return false;
        }
        let moved = match view.child(Kind::PressMoves) {
            None => None,
            Some(moved) => match self.moved_thing(moved) {
                Some(found) => Some(found),
                None => return false,
            },
        };
        let does = match moved {
            None => Does::Nothing,
            Some(moved) if view.says("holds") => Does::Holds(moved),
            Some(moved) => Does::Toggles(moved),
        };
        let has = self.book.board.switcher.as_ref().and_then(|s| s.inside);
        let most = has.map_or((0, 0), |i| (i.toggles, i.holds));
        let (word, most) = if view.says("holds") { ("holds", most.1) } else { ("toggles", most.0) };
        let same = |p: &&Press| p.does.moved().is_some_and(|(_, holds)| holds == (word == "holds"));
        let count = self.book.show.presses_of(owner).iter().filter(same).count() as u32;
        if moved.is_some() && count >= most {
            let why = NotInside::Most { word, most };
            self.faults.push(Fault::Inside { at: view.span(), why, there: has.map(|i| i.at) });
            return false;
        }
        self.book.show.presses.push(Press { owner, switch, does, at: view.span() });
        true
    }

    /// The place of a switch among those that work inside a preset.
    fn inside_switch(&mut self, name: View<'t>) -> Option<u8> {
        let Some(switcher) = &self.book.board.switcher else {
            self.need_switcher(name.span());
            return None;
        };
        let inside = switcher.inside.filter(|i| i.switches.is_some());
        let Some((inside, (first, count))) = inside.and_then(|i| Some((i, i.switches?))) else {
            let why = NotInside::Unsaid("switches");
            if !switcher.faulty {
                self.faults.push(Fault::Inside { at: name.span(), why, there: Some(switcher.at) });
            }
            return None;
        };
        let found = first.place(name.text()).filter(|place| *place < count);
        if found.is_none() {
            let why = NotInside::NoSwitch(format!("{} to {}", first.plus(0), first.plus(count.saturating_sub(1))));
            self.faults.push(Fault::Inside { at: name.span(), why, there: Some(inside.at) });
        }
        found.map(|place| place as u8)
    }

    fn moved_thing(&mut self, view: View<'t>) -> Option<Moved> {
        let at = view.span();
        if let Some(contact) = view.child(Kind::Contact) {
            let jack = contact.child(Kind::Number).and_then(|n| self.jack_number(n, "remote"))?;
            let ring = contact.says("ring");
            if self.takes_pulses(Some(jack), contact) || self.helper_contact(Contact { jack, ring }, contact.span()) {
                return None;
            }
            let moved = Moved::Contact(jack, ring);
            return self.pulses_not(moved, at).then_some(moved);
        }
        if let Some(number) = view.child(Kind::Number) {
            return match view.says("loop") {
                true => self.loop_number(number, None, at).map(Moved::Loop),
                false => self.jack_number(number, "output").map(Moved::Output),
            };
        }
        let mut names = view.all(Kind::Name);
        let (owner, control, state) = (names.next()?, names.next(), names.next());
        match control {
            None => self.moved_device(owner),
            Some(control) => self.moved_control(owner, control, state, at),
        }
    }

    /// A pedal, by what engages it.
    fn moved_device(&mut self, name: View<'t>) -> Option<Moved> {
        let before = self.book.show.sayings.next();
        let understood = self.engage_named(name, true);
        let what = self.book.show.sayings.get(before).map(|s| s.what);
        self.book.show.sayings.truncate(before);
        let moved = match what.filter(|_| understood)? {
            What::Loop { number, .. } if self.book.board.helper_of(number).is_some() => {
                self.faults.push(Fault::Inside { at: name.span(), why: NotInside::OfHelper, there: None });
                return None;
            }
            What::Loop { number, .. } => Moved::Loop(number),
            What::Engaged { device, .. } => Moved::Device(device),
            _ => {
                self.faults.push(Fault::Inside { at: name.span(), why: NotInside::AlwaysOn, there: None });
                return None;
            }
        };
        self.pulses_not(moved, name.span()).then_some(moved)
    }

    fn moved_control(&mut self, owner: View<'t>, name: View<'t>, state: Option<View<'t>>, at: Span) -> Option<Moved> {
        let index = self.find(owner, Wanted::DEVICE)?;
        let devices = Arc::clone(&self.devices);
        let device = devices.get(index)?;
        let Some(number) = self.control_named(index, name) else {
            let has = self.settings.controls(index);
            if !device.faulty {
                let near = self.near(name.text(), has.iter().map(String::as_str));
                let (owner, there) = (device.name.clone(), device.at);
                self.faults.push(Fault::ControlUnknown { at: name.span(), device: owner, near, has, there });
            }
            return None;
        };
        let control = device.controls.get(number)?;
        let refuse = |why| Fault::Inside { at, why, there: Some(control.at) };
        if control.how.level().is_some() {
            self.faults.push(refuse(NotInside::Level));
            return None;
        }
        if matches!(control.how, How::Foot | How::Unknown) {
            if control.how == How::Foot {
                self.faults.push(refuse(NotInside::ByHand));
            }
            return None;
        }
        let found = match state {
            None if control.states.len() == 2 => None,
            None => {
                self.faults.push(refuse(NotInside::States(control.states.iter().map(|s| s.name.clone()).collect())));
                return None;
            }
            Some(word) => match self.state_named(index, number, word) {
                Some(state) => Some(state as u16),
                None => {
                    let has = self.settings.states(index, number);
                    self.state_unknown(word.span(), Some(word), control, has);
                    return None;
                }
            },
        };
        let moved = Moved::Control(index, number, found);
        self.pulses_not(moved, at).then_some(moved)
    }

    /// Tells of what a pulse moves: each press would have to know how it stands.
    fn pulses_not(&mut self, moved: Moved, at: Span) -> bool {
        let pulsed = self.devices.pairs().flat_map(|(d, device)| {
            device.controls.pairs().filter(|(_, c)| c.momentary()).map(move |(c, control)| (d, c, control))
        });
        let mut pulsed = pulsed.filter(|(d, c, control)| match (moved, &control.how) {
            (Moved::Control(device, number, _), _) => (device, number) == (*d, *c),
            (Moved::Contact(jack, ring), How::Remote { contacts, .. }) => {
                contacts.iter().any(|contact| (contact.jack, contact.ring) == (jack, ring))
            }
            _ => false,
        });
        let Some((_, _, control)) = pulsed.next() else { return true };
        let why = NotInside::Pulses;
        self.faults.push(Fault::Inside { at, why, there: Some(control.at) });
        false
    }

    fn again(&mut self, owner: Owner, view: View<'t>) -> bool {
        let at = view.span();
        let Some(name) = view.child(Kind::Name) else { return false };
        let second = self.find(name, Wanted::SCENE);
        let Owner::Scene(scene) = owner else {
            self.faults.push(Fault::Inside { at, why: NotInside::OfAScene, there: None });
            return false;
        };
        let Some(second) = second else { return false };
        let switcher = self.book.board.switcher.as_ref();
        let rows = switcher.and_then(|s| s.inside).map_or(1, |i| i.rows);
        if rows < 2 {
            let there = switcher.map(|s| s.inside.map_or(s.at, |i| i.at));
            if switcher.is_some_and(|s| !s.faulty) {
                self.faults.push(Fault::Inside { at, why: NotInside::Unsaid("rows"), there });
            } else {
                self.need_switcher(at);
            }
            return false;
        }
        if let Some(first) = self.book.show.again.last().filter(|a| a.scene == scene) {
            said_twice(&mut self.faults, first.at, view);
            return false;
        }
        self.book.show.again.push(Again { scene, second, at });
        true
    }

    /// A slot has two rows: what stands in the second has no second one of its own, and stands nowhere else.
    pub(super) fn second_rows(&mut self) {
        let all = std::mem::take(&mut self.book.show.again);
        let mut kept: Vec<Again> = Vec::new();
        let firsts: FxHashMap<SceneId, Span> = all.iter().map(|a| (a.scene, a.at)).collect();
        let mut seconds: FxHashMap<SceneId, Span> = FxHashMap::default();
        for again in &all {
            let chained = firsts.get(&again.second).copied();
            let shared = seconds.get(&again.second).copied();
            let (why, there) = match () {
                () if again.scene == again.second => (NotInside::Itself, None),
                () if chained.is_some() => (NotInside::Third, chained),
                () if shared.is_some() => (NotInside::Shared, shared),
                () => {
                    kept.push(*again);
                    seconds.insert(again.second, again.at);
                    continue;
                }
            };
            self.faults.push(Fault::Inside { at: again.at, why, there });
        }
        self.book.show.again = kept;
    }

    /// A second row that has a slot of its own too would be come to in two ways.
    pub(super) fn rows_apart(&mut self) {
        let show = &self.book.show;
        if show.again.is_empty() {
            return;
        }
        let pins: FxHashMap<SceneId, Span> = show.pins.iter().rev().map(|(_, scene, at)| (*scene, *at)).collect();
        let pinned = |again: &Again| pins.get(&again.second).copied();
        let told: Vec<(Span, Span)> = show.again.iter().filter_map(|a| Some((a.at, pinned(a)?))).collect();
        for (at, there) in &told {
            self.faults.push(Fault::Inside { at: *at, why: NotInside::Pinned, there: Some(*there) });
        }
        self.book.show.again.retain(|a| !pins.contains_key(&a.second));
        self.book.show.sort_rows();
    }

    /// The switch of `press 6` behind a part, as a bit.
    pub(super) fn pressed(&mut self, note: View<'t>, before: u8) -> u8 {
        let name = note.children().find(|v| matches!(v.kind(), Kind::Number | Kind::Name));
        let Some(switch) = name.and_then(|name| self.inside_switch(name)) else { return 0 };
        let bit = 1u8 << switch;
        if before & bit != 0 {
            self.faults.push(Fault::Inside { at: note.span(), why: NotInside::PressedTwice, there: None });
        }
        bit
    }

    /// What parts press must toggle something there.
    pub(super) fn parts_press(&mut self) {
        let show = &self.book.show;
        let mut told: Vec<(SongId, usize, u8, Fault)> = Vec::new();
        for (s, song) in show.songs.pairs() {
            for (p, part) in song.parts.iter().enumerate().filter(|(_, part)| part.pressed != 0) {
                let Some(scene) = part.scene.filter(|id| show.scene(*id).is_some_and(|s| !s.faulty)) else { continue };
                let does = show.switches(scene);
                for switch in (0..8).filter(|n| part.pressed & (1 << n) != 0) {
                    let found = does.iter().find(|d| d.switch == switch);
                    let why = match found.map(|d| d.does) {
                        Some(Does::Toggles(_)) => continue,
                        Some(_) => NotInside::Held,
                        None => NotInside::Idle(show.scene(scene).map_or(String::new(), |s| s.name.to_string())),
                    };
                    let there = found.map(|d| d.at).or(show.scene(scene).map(|s| s.at));
                    told.push((s, p, 1 << switch, Fault::Inside { at: part.at, why, there }));
                }
            }
        }
        for (song, part, bit, fault) in told {
            self.faults.push(fault);
            if let Some(part) = self.book.show.songs.get_mut(song).and_then(|s| s.parts.get_mut(part)) {
                part.pressed &= !bit;
            }
        }
    }
}
