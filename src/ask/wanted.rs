//! What a player or a tech wants of a cell, in words: `1.4 expression-1 40 %`, `summit: lever out`, `summit larch lead`.

use super::part::spots;
use super::{Doubt, NoSpot, Thing, thing};
use crate::Compiled;
use crate::book::device::Contact;
use crate::book::{Amount, ContactValue, Control, How, LevelValue, What};
use crate::edit::Wanted;
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{Through, Value};

/// Why words are no wanted cell.
#[derive(Clone, PartialEq, Debug)]
pub enum Unclear {
    /// They begin with no part, scene or slot.
    NoPlace(NoSpot),
    /// They point at several scenes, or can be read in several ways.
    Several(Vec<String>),
    /// What is to change is not clear: the words.
    Thing(String, Doubt),
    /// A number without its unit; with what it may be of.
    Bare(String),
    /// It has no such step: how many it has.
    NoStep(u16),
    /// The level is told in another unit: as its far end is.
    Unit(Amount),
    /// It does not go there: its ends.
    Outside(Amount, Amount),
    /// How it is to stand is missing, or it cannot stand so: the thing, as it is called.
    How(String),
    /// It cannot be taken out: it is always on, in no loop.
    Always(String),
    /// Only the scene itself can say it; as it is said there.
    Said(&'static str),
}

/// The cells that some words want, all of one scene.
pub fn wanted(compiled: &Compiled, said: &str) -> Result<Vec<Wanted>, Unclear> {
    let said = said.trim();
    if let Some((place, rest)) = said.split_once(": ") {
        return in_scene(compiled, scene(compiled, place)?, rest);
    }
    let tokens: Vec<&str> = said.split_whitespace().collect();
    let mut found: Vec<Vec<Wanted>> = Vec::new();
    let mut unclear = None;
    for cut in 1..tokens.len() {
        let (place, rest) = tokens.split_at(cut);
        match scene(compiled, &place.join(" ")).map(|scene| in_scene(compiled, scene, &rest.join(" "))) {
            Ok(Ok(cells)) if !found.contains(&cells) => found.push(cells),
            Ok(Ok(_)) => {}
            Ok(Err(why)) => drop(unclear.get_or_insert(why)),
            Err(why @ Unclear::Several(_)) => drop(unclear.get_or_insert(why)),
            Err(_) => {}
        }
    }
    match (found.pop(), found.pop()) {
        (Some(one), None) => Ok(one),
        (Some(one), Some(other)) => {
            let show = &compiled.book.show;
            let name = |cells: &[Wanted]| show.scene(cells.first()?.scene).map(|s| s.name.to_string());
            Err(Unclear::Several([one, other].iter().filter_map(|cells| name(cells)).collect()))
        }
        _ => Err(unclear.unwrap_or_else(|| {
            let place = tokens.first().copied().unwrap_or(said);
            Unclear::NoPlace(spots(compiled, place).err().unwrap_or(NoSpot::Nothing))
        })),
    }
}

/// The one scene that words point at.
fn scene(compiled: &Compiled, place: &str) -> Result<SceneId, Unclear> {
    let found = spots(compiled, place).map_err(Unclear::NoPlace)?;
    let mut scenes: Vec<SceneId> = found.iter().filter(|s| s.part.is_none()).map(|s| s.scene).collect();
    if scenes.is_empty() {
        scenes.extend(found.iter().map(|s| s.scene));
        scenes.sort_unstable();
        scenes.dedup();
    }
    match scenes.as_slice() {
        [one] => Ok(*one),
        _ => {
            let name = |id: &SceneId| compiled.book.show.scene(*id).map(|s| s.name.to_string());
            Err(Unclear::Several(scenes.iter().filter_map(name).collect()))
        }
    }
}

/// What is wanted of a scene: `engage lever`, `lever out`, `larch channel lead`, `gully.blend 40 %`, `remote 2 tip closed`.
fn in_scene(compiled: &Compiled, scene: SceneId, said: &str) -> Result<Vec<Wanted>, Unclear> {
    let named = as_control(compiled, said);
    let said = named.as_deref().unwrap_or(said);
    let tokens: Vec<&str> = said.split_whitespace().collect();
    let want = Want { compiled, scene, said };
    if let Some(moved) = want.moves(&tokens) {
        return moved;
    }
    match tokens.as_slice() {
        ["engage", what @ ..] => return want.engaged(&what.join(" "), true),
        ["bypass", what @ ..] => return want.engaged(&what.join(" "), false),
        ["open", what @ ..] => return want.contact(&what.join(" "), ContactValue::Open),
        ["close", what @ ..] => return want.contact(&what.join(" "), ContactValue::Closed),
        ["pulse", what @ ..] => return want.contact(&what.join(" "), ContactValue::Pulse),
        [what @ .., "step", n] if n.parse::<u16>().is_ok() => {
            return want.step(&joined(what), n.parse().unwrap_or(u16::MAX));
        }
        [what @ .., "foot"] => return want.level(&joined(what), LevelValue::Foot),
        [what @ .., "foot", "from", "heel"] => return want.level(&joined(what), LevelValue::FromHeel),
        [what @ .., "foot", "from", "toe"] => return want.level(&joined(what), LevelValue::FromToe),
        [what @ .., "stays"] => return want.stays(&joined(what)),
        [what @ .., "program", n] if n.parse::<u16>().is_ok() => {
            return want.program(&joined(what), n.parse().unwrap_or(u16::MAX));
        }
        _ => {}
    }
    for cut in (1..tokens.len()).rev() {
        let (what, amount) = tokens.split_at(cut);
        if let Some(amount) = Amount::read(&amount.join(" ")) {
            return want.amount(&joined(what), amount);
        }
    }
    // A state may be called `on`, `out` or `12`: the book's words go first.
    match thing(compiled, said) {
        Ok(Thing::State(d, c, s)) => return Ok(want.state(d, c, s)),
        Ok(Thing::Output(n, on)) if said.ends_with("on") || said.ends_with("off") => return want.output(n, on),
        Ok(Thing::Contact(contact, Some(closed))) => {
            let value = if closed { ContactValue::Closed } else { ContactValue::Open };
            return want.touch(contact, value);
        }
        _ => {}
    }
    match tokens.as_slice() {
        [what @ .., "in" | "engaged" | "on"] => want.engaged(&joined(what), true),
        [what @ .., "out" | "bypassed" | "off"] => want.engaged(&joined(what), false),
        [what @ .., "pulse" | "pulses" | "pulsing"] => want.contact(&joined(what), ContactValue::Pulse),
        [what @ .., n] if n.parse::<f64>().is_ok() && !what.is_empty() => {
            let thing = want.thing(&joined(what))?;
            want.leveled(&thing).and_then(|_| Err(Unclear::Bare((*n).to_owned())))
        }
        _ => match thing(compiled, said) {
            Ok(thing) => Err(want.how(&thing)),
            Err(doubt) => Err(Unclear::Thing(said.to_owned(), doubt)),
        },
    }
}

/// A message or an act of the foot by its column's name (`midi-5:gully.memory long`), as the control that it is of.
fn as_control(compiled: &Compiled, said: &str) -> Option<String> {
    let (name, rest) = said.split_once(' ')?;
    let cell = compiled.table.cells.list.iter().find(|cell| cell.name == name && name.contains(':'))?;
    let (d, c) = cell.users.first()?;
    let device = compiled.book.board.devices.get(*d)?;
    Some(format!("{}.{} {rest}", device.name, device.controls.get(*c)?.name))
}

/// Words without the little ones that lead to a value: `gully.blend at`, `swell under the`.
fn joined(words: &[&str]) -> String {
    let kept = words.iter().rposition(|w| !matches!(*w, "at" | "to" | "is" | "under" | "the")).map_or(0, |at| at + 1);
    words.get(..kept).unwrap_or(words).join(" ")
}

/// A scene of which something is wanted.
pub(super) struct Want<'c> {
    pub(super) compiled: &'c Compiled,
    scene: SceneId,
    said: &'c str,
}

impl Want<'_> {
    pub(super) fn one(&self, cell: ColumnId, value: Value) -> Wanted {
        Wanted { scene: self.scene, cell, value, said: None }
    }

    fn thing(&self, words: &str) -> Result<Thing, Unclear> {
        thing(self.compiled, words).map_err(|doubt| Unclear::Thing(words.to_owned(), doubt))
    }

    pub(super) fn how(&self, thing: &Thing) -> Unclear {
        match thing {
            Thing::Switch(_) => Unclear::Said("switch 6 toggles gully"),
            Thing::Order => Unclear::Said("order crest, gully"),
            Thing::Treadle(_) => Unclear::Said("rocker moves tide.depth from 20 % to 70 %"),
            _ => Unclear::How(thing.says(&self.compiled.book)),
        }
    }

    fn state(&self, d: DeviceId, c: ControlId, s: u16) -> Vec<Wanted> {
        let cells = &self.compiled.table.cells;
        let columns = cells.of_control(d, c).iter().zip(cells.of_state(d, c, s));
        columns.map(|(cell, value)| self.one(*cell, *value)).collect()
    }

    fn engaged(&self, words: &str, on: bool) -> Result<Vec<Wanted>, Unclear> {
        let cells = &self.compiled.table.cells;
        match self.thing(words)? {
            Thing::Device(d) => match cells.through(d) {
                Through::Loop(cell) => Ok(vec![self.one(cell, Value::of(on))]),
                Through::Control { control, engaged, bypassed } => {
                    Ok(self.state(d, control, if on { engaged } else { bypassed }))
                }
                Through::Always => Err(Unclear::Always(Thing::Device(d).says(&self.compiled.book))),
                _ => Err(self.how(&Thing::Device(d))),
            },
            thing @ Thing::Loop(n) => {
                let cell = cells.loop_cell(n).ok_or_else(|| self.how(&thing))?;
                Ok(vec![self.one(cell, Value::of(on))])
            }
            Thing::Output(n, _) => self.output(n, on),
            other => Err(self.how(&other)),
        }
    }

    fn output(&self, n: u16, on: bool) -> Result<Vec<Wanted>, Unclear> {
        let cell = self.compiled.table.cells.output_cell(n).ok_or_else(|| Unclear::How(self.said.to_owned()))?;
        Ok(vec![self.one(cell, Value::of(on))])
    }

    fn contact(&self, words: &str, value: ContactValue) -> Result<Vec<Wanted>, Unclear> {
        match self.thing(words)? {
            Thing::Contact(contact, None) => self.touch(contact, value),
            other => Err(self.how(&other)),
        }
    }

    fn touch(&self, contact: Contact, value: ContactValue) -> Result<Vec<Wanted>, Unclear> {
        let mut found = Vec::new();
        let what = What::Contact { jack: contact.jack, ring: contact.ring, value };
        self.compiled.table.cells.settles(what, |cell, value| found.push(self.one(cell, value)));
        Ok(found)
    }

    fn stays(&self, words: &str) -> Result<Vec<Wanted>, Unclear> {
        let cells = &self.compiled.table.cells;
        let thing = self.thing(words)?;
        let columns = match self.only(&thing, |_| true).unwrap_or(thing) {
            Thing::Control(d, c) => cells.of_control(d, c).to_vec(),
            Thing::Port(n) => self.port(n).into_iter().collect(),
            Thing::Contact(contact, None) => cells.contact_cell(contact.jack, contact.ring).into_iter().collect(),
            other => return Err(self.how(&other)),
        };
        Ok(columns.into_iter().map(|cell| self.one(cell, Value::Stays)).collect())
    }

    /// The one control of a pedal that could be meant, where the pedal alone was said.
    fn only(&self, thing: &Thing, meant: impl Fn(&Control) -> bool) -> Option<Thing> {
        let Thing::Device(d) = *thing else { return None };
        let controls = &self.compiled.book.board.devices.get(d)?.controls;
        let mut fitting = controls.numbered().filter(|(control, _)| meant(control));
        let (_, c) = fitting.next()?;
        fitting.next().is_none().then_some(Thing::Control(d, c))
    }

    fn program(&self, words: &str, program: u16) -> Result<Vec<Wanted>, Unclear> {
        let of_programs = |control: &Control| matches!(control.how, How::Programs { .. });
        let thing = self.thing(words)?;
        let thing = self.only(&thing, of_programs).unwrap_or(thing);
        let Thing::Control(d, c) = thing else { return Err(self.how(&thing)) };
        let control = self.compiled.book.board.devices.get(d).and_then(|d| d.controls.get(c));
        let control = control.filter(|control| of_programs(control));
        let state = control.and_then(|c| c.states.iter().position(|s| s.program == Some(program)));
        state.map(|state| self.state(d, c, state as u16)).ok_or_else(|| self.how(&thing))
    }

    fn port(&self, port: u16) -> Option<ColumnId> {
        let mut found = None;
        self.compiled.table.cells.settles(What::Port { port, value: LevelValue::Stays }, |cell, _| found = Some(cell));
        found
    }

    /// A level, a port, or the pedal that has one level.
    pub(super) fn level_thing(&self, words: &str) -> Result<Thing, Unclear> {
        let thing = self.thing(words)?;
        Ok(self.only(&thing, |control| control.how.level().is_some()).unwrap_or(thing))
    }

    /// The cell of a level or a port, with its steps.
    pub(super) fn leveled(&self, thing: &Thing) -> Result<(ColumnId, u16), Unclear> {
        let cells = &self.compiled.table.cells;
        let cell = match thing {
            Thing::Control(d, c) if self.range(*d, *c).is_some() => cells.of_control(*d, *c).first().copied(),
            Thing::Port(n) => self.port(*n),
            _ => None,
        };
        let steps = |cell: ColumnId| cells.list.get(cell).map(|c| (cell, c.steps));
        cell.and_then(steps).ok_or_else(|| self.how(thing))
    }

    /// The two ends of a level, or of a port's travel.
    pub(super) fn ends(&self, thing: &Thing) -> Result<(Amount, Amount), Unclear> {
        match thing {
            Thing::Control(d, c) => self.range(*d, *c).ok_or_else(|| self.how(thing)),
            _ => Ok((Amount::percent(0), Amount::percent(100))),
        }
    }

    fn range(&self, d: DeviceId, c: ControlId) -> Option<(Amount, Amount)> {
        self.compiled.book.board.devices.get(d)?.controls.get(c)?.how.level()
    }

    fn level(&self, words: &str, value: LevelValue) -> Result<Vec<Wanted>, Unclear> {
        let (cell, _) = self.leveled(&self.level_thing(words)?)?;
        Ok(vec![self.one(cell, value.into())])
    }

    fn step(&self, words: &str, step: u16) -> Result<Vec<Wanted>, Unclear> {
        let (cell, steps) = self.leveled(&self.level_thing(words)?)?;
        if step >= steps {
            return Err(Unclear::NoStep(steps));
        }
        Ok(vec![self.one(cell, Value::Step(step))])
    }

    fn amount(&self, words: &str, amount: Amount) -> Result<Vec<Wanted>, Unclear> {
        let thing = self.level_thing(words)?;
        let (cell, steps) = self.leveled(&thing)?;
        let (from, to) = self.ends(&thing)?;
        if amount.dimension != to.dimension {
            return Err(Unclear::Unit(to));
        }
        let step = amount.step(from, to, steps).ok_or(Unclear::Outside(from, to))?;
        let value = LevelValue::Step(step);
        let what = match thing {
            Thing::Control(device, control) => What::Level { device, control, value },
            Thing::Port(port) => What::Port { port, value },
            _ => return Err(self.how(&thing)),
        };
        Ok(vec![Wanted { said: Some((what, amount)), ..self.one(cell, Value::Step(step)) }])
    }
}
