//! What a settled row answers: does a device sound, how does a control stand, at what amount is a level. The one place
//! that knows; whoever asks it of another row (one being laid, one that only might be) asks [`Cells`].

use super::cells::{Cells, Through};
use super::value::Value;
use super::{Table, why};
use crate::book::board::Lets;
use crate::book::{Amount, Book, Control, Travel, What, amount};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};

/// The answer to a question about a row.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Answer {
    /// It is not so.
    No,
    /// Nobody knows: what decides it is unknown.
    Maybe,
    /// It is so.
    Yes,
}

impl Answer {
    /// What a cell says that is on or off.
    fn of(value: Value) -> Answer {
        match value {
            Value::On => Answer::Yes,
            Value::Off => Answer::No,
            _ => Answer::Maybe,
        }
    }
}

/// How a control or level stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Setting {
    /// On one of its states: the first that its columns match.
    State(u16),
    /// A level on a stored step; [`Row::amount`] tells what was said.
    Step(u16),
    /// The foot holds it: `Foot`, `FromHeel`, `FromToe` or `Moved`.
    Foot(Value),
    /// Nothing is sent: it stays as it is.
    Stays,
    /// In no state that it lists.
    Unlisted,
    /// Nobody knows.
    Unknown,
}

impl Cells {
    /// Whether a device sounds: the signal passes through it, so that its controls matter. That its amp's output may be
    /// off is another question.
    pub fn sounds(&self, device: DeviceId, held: impl Fn(ColumnId) -> Value) -> Answer {
        match self.through(device) {
            Through::Loop(column) => Answer::of(held(column)),
            Through::Control { control, engaged, .. } => match self.setting(device, control, held) {
                Some(Setting::State(state)) if state == engaged => Answer::Yes,
                Some(Setting::State(_)) => Answer::No,
                _ => Answer::Maybe,
            },
            Through::Always => Answer::Yes,
            Through::Nowhere => Answer::No,
            Through::Unknown => Answer::Maybe,
        }
    }

    /// Whether nothing is heard of a scene.
    pub fn muted(&self, book: &Book, scene: SceneId, held: impl Fn(ColumnId) -> Value) -> bool {
        let outputs = book.board.switcher.as_ref().map_or(0, |s| s.outputs);
        let mut heard = (1..=outputs).filter(|n| !book.board.watched(*n)).peekable();
        if heard.peek().is_some() {
            return heard.all(|n| self.output_cell(n).map(&held) == Some(Value::Off));
        }
        let own = book.show.scene(book.show.base(scene)).map(|s| book.show.said(s.own));
        own.into_iter().flatten().any(|s| matches!(s.what, What::Mute { .. }))
    }

    /// How a control or level stands; None when a preset stores nothing of it.
    pub fn setting(&self, device: DeviceId, control: ControlId, held: impl Fn(ColumnId) -> Value) -> Option<Setting> {
        let columns = self.of_control(device, control);
        let first = held(*columns.first()?);
        let now = || columns.iter().map(|column| held(*column));
        let mut states = self.states(device, control).iter();
        // Most states are told apart by their first column.
        if let Some(state) = states.position(|s| s.first() == Some(&first) && now().eq(s.iter().copied())) {
            return Some(Setting::State(state as u16));
        }
        Some(match first {
            Value::Step(step) => Setting::Step(step),
            held if held.foot() => Setting::Foot(held),
            _ if now().any(|v| v == Value::Unknown) => Setting::Unknown,
            _ if now().all(|v| v == Value::Stays) => Setting::Stays,
            _ => Setting::Unlisted,
        })
    }
}

/// A row, with what is needed to ask it.
#[derive(Clone, Copy)]
pub struct Row<'r> {
    pub(super) book: &'r Book,
    pub(super) table: &'r Table,
    pub(super) scene: SceneId,
    values: &'r [Value],
}

impl<'r> Row<'r> {
    /// The row of a scene.
    pub fn of(book: &'r Book, table: &'r Table, scene: SceneId) -> Row<'r> {
        Row { book, table, scene, values: table.row(scene) }
    }

    /// The scene it is the row of.
    pub fn scene(&self) -> SceneId {
        self.scene
    }

    /// What settling put in a cell.
    pub fn value(&self, cell: ColumnId) -> Value {
        self.values.get(cell.index()).copied().unwrap_or(Value::Unknown)
    }

    /// Whether a device sounds in it.
    pub fn sounds(&self, device: DeviceId) -> Answer {
        self.table.cells.sounds(device, |column| self.value(column))
    }

    /// Whether a loop is engaged.
    pub fn engaged(&self, number: u16) -> Answer {
        self.table.cells.loop_cell(number).map_or(Answer::No, |column| Answer::of(self.value(column)))
    }

    /// Whether an output is on.
    pub fn lets_out(&self, number: u16) -> Answer {
        self.table.cells.output_cell(number).map_or(Answer::No, |column| Answer::of(self.value(column)))
    }

    /// Whether what feeds an amp is on; a device that no output feeds is never cut off.
    pub fn fed(&self, device: DeviceId) -> Answer {
        let fed_by = self.book.board.devices.get(device).and_then(|d| d.fed_by);
        fed_by.map_or(Answer::Yes, |output| self.lets_out(output.value))
    }

    /// Whether a guitar reaches the chain: by the switcher's input that is heard, and by what lets it through. One that
    /// nothing chooses is always heard, as whoever plays it plugs it in.
    pub fn hears(&self, guitar: usize) -> Answer {
        let Some(of) = self.book.board.guitars.get(guitar) else { return Answer::No };
        if of.faulty {
            return Answer::Maybe;
        }
        let on_input = match (self.table.cells.guitar_cell(), of.input) {
            (None, _) => Answer::Yes,
            (Some(cell), Some(input)) => match self.value(cell) {
                Value::Input(heard) if heard == input.value => Answer::Yes,
                Value::Input(_) => Answer::No,
                _ => Answer::Maybe,
            },
            (Some(_), None) if of.when.is_empty() => Answer::Maybe,
            (Some(_), None) => Answer::Yes,
        };
        let lets = |lets: Lets| match self.setting(lets.device, lets.control) {
            _ if self.sounds(lets.device) != Answer::Yes => Answer::Maybe,
            Some(Setting::State(state)) => {
                if state == lets.state {
                    Answer::Yes
                } else {
                    Answer::No
                }
            }
            _ => Answer::Maybe,
        };
        let let_through = of.when.iter().map(|w| lets(w.value)).max().unwrap_or(Answer::Yes);
        on_input.min(let_through)
    }

    /// Whether nothing is heard: every output but those of tuners is off; on a board without such outputs, the scene asks
    /// for it.
    pub fn muted(&self) -> bool {
        self.table.cells.muted(self.book, self.scene, |column| self.value(column))
    }

    /// How a control or level stands; None when a preset stores nothing of it.
    pub fn setting(&self, device: DeviceId, control: ControlId) -> Option<Setting> {
        self.table.cells.setting(device, control, |column| self.value(column))
    }

    /// The statement behind a level or a port that holds a step, and the amount it says: of the level's own range, or of
    /// a port's travel.
    pub fn said(&self, cell: ColumnId) -> Option<(What, Amount)> {
        let held = self.value(cell);
        let reasons = why::reasons(self.book, self.table, self.scene, cell);
        let said = reasons.iter().find(|r| r.live && r.value == held)?;
        Some((self.book.show.sayings.get(said.saying)?.what, self.book.show.amount(said.saying)?))
    }

    /// The amount that a level stands at: as it was said; where the port's travel was said, or nothing, or several amounts
    /// that are stored alike, what comes to what is stored.
    pub fn amount(&self, device: DeviceId, control: ControlId) -> Option<Amount> {
        let cell = *self.table.cells.of_control(device, control).first()?;
        let (from, to) = self.control(device, control)?.how.level()?;
        let held = self.value(cell);
        let Value::Step(step) = held else { return None };
        let reasons = why::reasons(self.book, self.table, self.scene, cell);
        let mut said = reasons.iter().filter(|r| r.live && r.value == held).map(|reason| {
            let amount = self.book.show.amount(reason.saying)?;
            match self.book.show.sayings.get(reason.saying)?.what {
                What::Level { device: d, control: c, .. } if (d, c) == (device, control) => Some(amount),
                // Of another level on the same port, whose range is another.
                What::Level { .. } => None,
                _ => amount::along(from, to, amount),
            }
        });
        let first = said.next().flatten();
        let stored = || Some(amount::at_step(step, self.table.cells.list.get(cell)?.steps, from, to));
        let same = |amount: &Amount| said.all(|other| other.is_some_and(|o| amount::size(o) == amount::size(*amount)));
        first.filter(same).or_else(stored)
    }

    /// How far a treadle on an input moves a level: its amounts with the heel down and with the toe down, as they were said.
    pub fn way(&self, device: DeviceId, control: ControlId) -> Option<(Travel, Amount, Amount)> {
        let cell = *self.table.cells.of_control(device, control).first()?;
        let (from, to) = self.control(device, control)?.how.level()?;
        let held = self.value(cell);
        let Value::Moved(travel) = held else { return None };
        let reasons = why::reasons(self.book, self.table, self.scene, cell);
        let mine =
            |what: What| matches!(what, What::Moves { device: d, control: c, .. } if (d, c) == (device, control));
        let mut said = reasons.iter().filter(|r| r.live && r.value == held).map(|reason| {
            let what = self.book.show.sayings.get(reason.saying)?.what;
            mine(what).then(|| self.book.show.way(reason.saying))?
        });
        let first = said.next().flatten();
        // Several that are stored alike, and were said otherwise.
        let size = |(heel, toe): (Amount, Amount)| (amount::size(heel), amount::size(toe));
        let same = |way: &(Amount, Amount)| said.all(|other| other.is_some_and(|o| size(o) == size(*way)));
        let steps = self.table.cells.list.get(cell)?.steps;
        let stored = |step: u16| amount::at_step(step, steps, from, to);
        let (heel, toe) = first.filter(same).unwrap_or_else(|| (stored(travel.ends().0), stored(travel.ends().1)));
        Some((travel, heel, toe))
    }

    /// The amounts of a level that a foot holds, with the heel down and with the toe down.
    pub fn ends(&self, device: DeviceId, control: ControlId) -> Option<(Amount, Amount)> {
        match self.setting(device, control)? {
            Setting::Foot(Value::Moved(_)) => self.way(device, control).map(|(_, heel, toe)| (heel, toe)),
            Setting::Foot(_) => self.control(device, control)?.how.level(),
            _ => None,
        }
    }

    fn control(&self, device: DeviceId, control: ControlId) -> Option<&'r Control> {
        self.book.board.devices.get(device)?.controls.get(control)
    }
}
