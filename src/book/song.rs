//! Songs, sets and slots.

use smol_str::SmolStr;

use super::inside::named;
use super::scene::Spanned;
use crate::ids::{DeviceId, SceneId, SongId};
use crate::source::Span;

/// Stands behind a slot whose second row is meant.
/// How a second row is written, behind its slot.
pub const AGAIN: &str = " again";

/// Stands before the switches that are pressed there.
pub const PRESS: &str = " press ";

/// A place in the switcher's memory: bank and switch, both counted from 0.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Slot {
    /// The bank's place among the banks.
    pub bank: u32,
    /// The switch's place among the switches.
    pub switch: u32,
    /// The second row: what the same switch calls when it is pressed again.
    pub again: bool,
    /// Switches that are pressed inside the preset, a bit each.
    pub pressed: u8,
}

impl Slot {
    /// A slot's first row.
    pub const fn at(bank: u32, switch: u32) -> Slot {
        Slot { bank, switch, again: false, pressed: 0 }
    }

    /// What the unit stores in: without the switches that are pressed there.
    pub const fn stored(self) -> Slot {
        Slot { pressed: 0, ..self }
    }

    /// Presses on the way from one place of a slot to another; None for another slot. Each row has its switches as it
    /// stores them, so that who comes to it presses all that are wanted.
    pub fn within(self, to: Slot) -> Option<u32> {
        let same = (self.bank, self.switch) == (to.bank, to.switch);
        same.then(|| match self.again == to.again {
            true => (self.pressed ^ to.pressed).count_ones(),
            false => 1 + to.pressed.count_ones(),
        })
    }

    /// Presses once its switch was pressed.
    pub fn beyond(self) -> u32 {
        u32::from(self.again) + self.pressed.count_ones()
    }
}

/// All slots of a switcher.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SlotRange {
    /// The number of the first bank.
    pub first_bank: u32,
    /// How many banks.
    pub banks: u32,
    /// How many switches a bank.
    pub switches: u32,
    /// The first switch's number, or its letter.
    pub first_switch: SwitchName,
    /// The first of the switches that work inside a preset.
    pub inside: Option<SwitchName>,
    /// Rows of a slot.
    pub rows: u8,
}

/// What the switch of a slot calls when it is pressed again.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Repeat {
    /// The same.
    Same,
    /// Another row.
    Other,
    /// Another row, and one of the two sends pulses: nobody proved that one may go round.
    Pulses,
}

/// What a foot presses on its way: slots by their switches, then switches inside, as they then are.
pub type Way = (Vec<Slot>, Vec<String>);

/// What a switch is called.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SwitchName {
    Number(u32),
    Letter(char),
}

impl SwitchName {
    /// What the switch so many behind it is called.
    pub fn plus(self, n: u32) -> String {
        match self {
            SwitchName::Number(first) => (first + n).to_string(),
            SwitchName::Letter(first) => letter(first, n).to_string(),
        }
    }

    /// Which switch behind it has this name.
    pub fn place(self, text: &str) -> Option<u32> {
        match self {
            SwitchName::Number(first) => text.parse::<u32>().ok()?.checked_sub(first),
            SwitchName::Letter(first) => {
                let mut letters = text.chars();
                let one = letters.next().filter(|_| letters.next().is_none())?;
                (one as u32).checked_sub(first as u32)
            }
        }
    }
}

impl SlotRange {
    /// `1.10`, `0A`; `1.2 again` for its second row, `1.2 press 6` with a switch pressed there.
    pub fn show(&self, slot: Slot) -> String {
        let bank = self.first_bank + slot.bank;
        let mut out = match self.first_switch {
            SwitchName::Number(n) => format!("{bank}.{}", n + slot.switch),
            SwitchName::Letter(c) => format!("{bank}{}", letter(c, slot.switch)),
        };
        if slot.again {
            out += AGAIN;
        }
        if slot.pressed != 0 {
            out = format!("{out}{PRESS}{}", named(self.inside, slot.pressed));
        }
        out
    }

    /// What a foot presses, one after the other, to come from one place to another: switches that call presets by the slot
    /// that they call, `1.2` and `1.2 again`, those inside by what they then are, `6 on`. From nowhere: all of them.
    pub fn way(&self, from: Option<Slot>, to: Slot) -> Way {
        let (first, row) = (Slot::at(to.bank, to.switch), to.stored());
        let here = from.filter(|from| (from.bank, from.switch) == (to.bank, to.switch));
        let (calls, was) = match here {
            Some(from) if from.again == to.again => (vec![], from.pressed),
            Some(_) => (vec![row], 0),
            None if to.again => (vec![first, row], 0),
            None => (vec![first], 0),
        };
        let moved = (0..8).filter(|n| (was ^ to.pressed) & (1 << n) != 0);
        let on = |n: u8| if to.pressed & (1 << n) != 0 { "on" } else { "off" };
        let moved = moved.map(|n| format!("{} {}", named(self.inside, 1 << n), on(n))).collect();
        (calls, moved)
    }

    /// The same after a break, when nobody is sure that the foot still stands where it stood: what it presses from there, and
    /// what from any other slot where that is something else.
    pub fn resumed(&self, from: Option<Slot>, to: Slot, again: Repeat) -> (Way, Option<Way>) {
        let whole = self.way(None, to);
        // The whole way is right from there too where its first press leads back to the first row, or changes nothing.
        let apart = |from: &Slot| match again {
            Repeat::Same => from.pressed != 0,
            Repeat::Other => !from.again,
            Repeat::Pulses => !from.again || to.again,
        };
        match from.filter(|from| (from.bank, from.switch) == (to.bank, to.switch)).filter(apart) {
            Some(from) => (self.way(Some(from), to), Some(whole)),
            None => (whole, None),
        }
    }

    /// Reads a slot as shown, without pressed switches.
    pub fn read(&self, text: &str) -> Option<Slot> {
        if let Some(first) = text.strip_suffix(AGAIN).filter(|_| self.rows > 1) {
            return self.read(first).map(|slot| Slot { again: true, ..slot });
        }
        let (bank, switch) = match self.first_switch {
            SwitchName::Number(first) => {
                let (bank, switch) = text.split_once('.')?;
                (bank, switch.parse::<u32>().ok()?.checked_sub(first)?)
            }
            SwitchName::Letter(first) => {
                let last = text.chars().last()?;
                let bank = text.get(..text.len() - last.len_utf8())?;
                (bank, (last as u32).checked_sub(first as u32)?)
            }
        };
        let bank = bank.parse::<u32>().ok()?.checked_sub(self.first_bank)?;
        (bank < self.banks && switch < self.switches).then_some(Slot::at(bank, switch))
    }

    /// Reads a switch alone, `5` or `E`.
    pub fn read_switch(&self, text: &str) -> Option<u32> {
        self.first_switch.place(text).filter(|switch| *switch < self.switches)
    }

    /// All slots, in order.
    pub fn all(&self) -> impl Iterator<Item = Slot> + use<> {
        let switches = self.switches;
        (0..self.banks).flat_map(move |bank| (0..switches).map(move |switch| Slot::at(bank, switch)))
    }

    /// `1.1 to 8.5`.
    pub fn says(&self) -> String {
        let last = Slot::at(self.banks.saturating_sub(1), self.switches.saturating_sub(1));
        format!("{} to {}", self.show(Slot::at(0, 0)), self.show(last))
    }
}

fn letter(first: char, plus: u32) -> char {
    char::from_u32(first as u32 + plus).unwrap_or('?')
}

/// Something only a hand or foot does in a part, or a reminder.
#[derive(Clone, PartialEq, Debug)]
pub enum Note {
    /// The foot taps quarter notes; the device repeats at this note value.
    Tap { device: Option<DeviceId>, value: String },
    /// The preset gives the device this note value instead of the beat.
    Beat { device: Option<DeviceId>, value: String },
    /// By hand.
    Hand(String),
    /// What to listen or look for.
    Cue(String),
    /// A reminder.
    Note(String),
}

/// Where a part stands: its song, and its place among the parts.
pub type PartAt = (SongId, u32);

/// A part of a song.
#[derive(Clone, Debug)]
pub struct Part {
    /// What the musician calls it.
    pub label: SmolStr,
    /// Its scene; None when that could not be understood.
    pub scene: Option<SceneId>,
    /// How often it is played in a row: no press, and no way in.
    pub times: u32,
    /// Switches that are pressed inside its preset, a bit each.
    pub pressed: u8,
    /// Where it is said.
    pub at: Span,
    /// What else is said of it, if anything.
    pub besides: Option<Box<Besides>>,
}

/// What is said of few parts: books of many thousand parts stay small.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Besides {
    /// What a hand or foot does.
    pub notes: Vec<Note>,
    /// How long it lasts once, in seconds.
    pub lasts: Option<u32>,
    /// What hands hold in it, where that is not the song's: the guitar, how it is tuned, its capo (0: none).
    pub guitar: Option<Spanned<usize>>,
    pub tuning: Option<String>,
    pub capo: Option<u32>,
    /// Where it, or its song, is said to be called from outside; None for one that a foot calls.
    pub called: Option<Span>,
}

/// Of most parts.
static NOTHING: Besides =
    Besides { notes: Vec::new(), lasts: None, guitar: None, tuning: None, capo: None, called: None };

// A book of many thousand scenes has as many parts.
const _: () = assert!(size_of::<Part>() <= 64);

impl Part {
    /// What else is said of it.
    pub fn besides(&self) -> &Besides {
        self.besides.as_deref().unwrap_or(&NOTHING)
    }

    /// The same, to add to.
    pub fn besides_mut(&mut self) -> &mut Besides {
        self.besides.get_or_insert_default()
    }
}

/// What musicians say of a song beside its parts.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Music {
    /// The key it is in.
    pub key: Option<String>,
    /// The fret of the capo, from 1.
    pub capo: Option<u32>,
    /// Who counts in.
    pub count_in: Option<String>,
    /// How long it lasts, in seconds.
    pub lasts: Option<Spanned<u32>>,
    /// Reminders.
    pub notes: Vec<String>,
}

/// A song.
#[derive(Clone, Debug)]
pub struct Song {
    /// Its title.
    pub title: SmolStr,
    /// Where it is named.
    pub at: Span,
    /// Beats a minute, as written.
    pub tempo: Option<Spanned<f64>>,
    /// The tempo's own digits.
    pub tempo_text: SmolStr,
    /// The guitar, an index of `Book::guitars`.
    pub guitar: Option<usize>,
    /// How the guitar is tuned.
    pub tuning: Option<String>,
    /// What musicians say of it.
    pub music: Music,
    /// Its parts, in playing order.
    pub parts: Vec<Part>,
}

impl Song {
    /// The guitar that a part is played on, an index of `Board::guitars`.
    pub fn guitar_of(&self, part: &Part) -> Option<usize> {
        part.besides().guitar.map(|g| g.value).or(self.guitar)
    }

    /// How the guitar is tuned in a part. What the song says is of its own guitar.
    pub fn tuning_of<'s>(&'s self, part: &'s Part) -> Option<&'s str> {
        part.besides().tuning.as_deref().or_else(|| self.tuning.as_deref().filter(|_| self.on_its_own(part)))
    }

    /// Where the guitar's capo is in a part.
    pub fn capo_of(&self, part: &Part) -> Option<u32> {
        part.besides().capo.or_else(|| self.music.capo.filter(|_| self.on_its_own(part))).filter(|fret| *fret > 0)
    }

    /// True of a part that is played on the song's guitar.
    pub fn on_its_own(&self, part: &Part) -> bool {
        self.guitar_of(part) == self.guitar
    }

    /// The guitars that its parts are played on, in order, each once; None among them where nobody says one.
    pub fn guitars(&self) -> Vec<Option<usize>> {
        let mut all: Vec<Option<usize>> = Vec::new();
        for guitar in self.parts.iter().map(|part| self.guitar_of(part)) {
            if !all.contains(&guitar) {
                all.push(guitar);
            }
        }
        all
    }
}

/// One line of a set.
#[derive(Clone, PartialEq, Debug)]
pub enum SetItem {
    /// A song, an index of `Book::songs`.
    Song(SongId),
    /// A pause, and what it is for.
    Pause(String),
    /// What follows is the encore.
    Encore,
}

impl SetItem {
    /// The song that is played here, an index of `Book::songs`.
    pub fn song(&self) -> Option<SongId> {
        match self {
            SetItem::Song(song) => Some(*song),
            SetItem::Pause(_) | SetItem::Encore => None,
        }
    }
}

/// Minutes and seconds: `4:10`.
pub fn show_length(seconds: u64) -> String {
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

/// A set.
#[derive(Clone, Debug)]
pub struct Set {
    /// Its title.
    pub title: String,
    /// Where it is named.
    pub at: Span,
    /// Its lines, with those of the set it derives from.
    pub items: Vec<SetItem>,
}

/// Titles match without case or blanks.
pub fn title_key(title: &str) -> SmolStr {
    let letters = title.chars().filter(|c| !c.is_whitespace());
    if title.is_ascii() {
        letters.map(|c| c.to_ascii_lowercase()).collect()
    } else {
        letters.flat_map(char::to_lowercase).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slots_are_shown_and_read() {
        let numbers = SlotRange {
            first_bank: 1,
            banks: 8,
            switches: 12,
            first_switch: SwitchName::Number(1),
            inside: None,
            rows: 1,
        };
        let letters = SlotRange {
            first_bank: 0,
            banks: 8,
            switches: 5,
            first_switch: SwitchName::Letter('A'),
            inside: None,
            rows: 1,
        };
        assert_eq!(numbers.read("1.10"), Some(Slot::at(0, 9)));
        assert_eq!(numbers.show(Slot::at(0, 9)), "1.10");
        assert_eq!(numbers.read("9.1"), None);
        assert_eq!(letters.read("2B"), Some(Slot::at(2, 1)));
        assert_eq!(letters.read("0A").map(|s| letters.show(s)).as_deref(), Some("0A"));
        assert_eq!(letters.read("2F"), None);
        for slot in numbers.all().chain(letters.all().take(0)) {
            assert_eq!(numbers.read(&numbers.show(slot)), Some(slot));
        }
    }
}
