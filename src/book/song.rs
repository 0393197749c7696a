//! Songs, sets and slots.

use smol_str::SmolStr;

use super::scene::Spanned;
use crate::source::Span;

/// A place in the switcher's memory: bank and switch, both counted from 0.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Slot {
    /// The bank's place among the banks.
    pub bank: u32,
    /// The switch's place among the switches.
    pub switch: u32,
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
}

/// What a switch is called.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SwitchName {
    Number(u32),
    Letter(char),
}

impl SlotRange {
    /// `1.10`, `0A`.
    pub fn show(&self, slot: Slot) -> String {
        let bank = self.first_bank + slot.bank;
        match self.first_switch {
            SwitchName::Number(n) => format!("{bank}.{}", n + slot.switch),
            SwitchName::Letter(c) => format!("{bank}{}", letter(c, slot.switch)),
        }
    }

    /// Reads a slot as shown.
    pub fn read(&self, text: &str) -> Option<Slot> {
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
        (bank < self.banks && switch < self.switches).then_some(Slot { bank, switch })
    }

    /// Reads a switch alone, `5` or `E`.
    pub fn read_switch(&self, text: &str) -> Option<u32> {
        let switch = match self.first_switch {
            SwitchName::Number(first) => text.parse::<u32>().ok()?.checked_sub(first)?,
            SwitchName::Letter(first) => {
                let mut letters = text.chars();
                let one = letters.next().filter(|_| letters.next().is_none())?;
                (one as u32).checked_sub(first as u32)?
            }
        };
        (switch < self.switches).then_some(switch)
    }

    /// All slots, in order.
    pub fn all(&self) -> impl Iterator<Item = Slot> + use<> {
        let switches = self.switches;
        (0..self.banks).flat_map(move |bank| (0..switches).map(move |switch| Slot { bank, switch }))
    }

    /// `1.1 to 8.5`.
    pub fn says(&self) -> String {
        let last = Slot { bank: self.banks.saturating_sub(1), switch: self.switches.saturating_sub(1) };
        format!("{} to {}", self.show(Slot { bank: 0, switch: 0 }), self.show(last))
    }
}

fn letter(first: char, plus: u32) -> char {
    char::from_u32(first as u32 + plus).unwrap_or('?')
}

/// Something only a hand or foot does in a part, or a reminder.
#[derive(Clone, PartialEq, Debug)]
pub enum Note {
    /// The foot taps quarter notes; the device repeats at this note value.
    Tap { device: Option<usize>, value: String },
    /// The preset gives the device this note value instead of the beat.
    Beat { device: Option<usize>, value: String },
    /// By hand.
    Hand(String),
    /// What to listen or look for.
    Cue(String),
    /// A reminder.
    Note(String),
}

/// A part of a song.
#[derive(Clone, Debug)]
pub struct Part {
    /// What the musician calls it.
    pub label: SmolStr,
    /// Its scene; None when that could not be understood.
    pub scene: Option<u32>,
    /// What a hand or foot does.
    pub notes: Vec<Note>,
    /// How often it is played in a row: no press, and no way in.
    pub times: u32,
    /// How long it lasts once, in seconds.
    pub lasts: Option<u32>,
    /// What hands hold in it, where that is not the song's: the guitar, how it is tuned, its capo (0: none).
    pub guitar: Option<Spanned<usize>>,
    pub tuning: Option<String>,
    pub capo: Option<u32>,
    /// Where it, or its song, is said to be called from outside; None for one that a foot calls.
    pub called: Option<Span>,
    /// Where it is said.
    pub at: Span,
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
        part.guitar.map(|g| g.value).or(self.guitar)
    }

    /// How the guitar is tuned in a part. What the song says is of its own guitar.
    pub fn tuning_of<'s>(&'s self, part: &'s Part) -> Option<&'s str> {
        part.tuning.as_deref().or_else(|| self.tuning.as_deref().filter(|_| self.on_its_own(part)))
    }

    /// Where the guitar's capo is in a part.
    pub fn capo_of(&self, part: &Part) -> Option<u32> {
        part.capo.or_else(|| self.music.capo.filter(|_| self.on_its_own(part))).filter(|fret| *fret > 0)
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
    Song(usize),
    /// A pause, and what it is for.
    Pause(String),
    /// What follows is the encore.
    Encore,
}

impl SetItem {
    /// The song that is played here, an index of `Book::songs`.
    pub fn song(&self) -> Option<usize> {
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
        let numbers = SlotRange { first_bank: 1, banks: 8, switches: 12, first_switch: SwitchName::Number(1) };
        let letters = SlotRange { first_bank: 0, banks: 8, switches: 5, first_switch: SwitchName::Letter('A') };
        assert_eq!(numbers.read("1.10"), Some(Slot { bank: 0, switch: 9 }));
        assert_eq!(numbers.show(Slot { bank: 0, switch: 9 }), "1.10");
        assert_eq!(numbers.read("9.1"), None);
        assert_eq!(letters.read("2B"), Some(Slot { bank: 2, switch: 1 }));
        assert_eq!(letters.read("0A").map(|s| letters.show(s)).as_deref(), Some("0A"));
        assert_eq!(letters.read("2F"), None);
        for slot in numbers.all().chain(letters.all().take(0)) {
            assert_eq!(numbers.read(&numbers.show(slot)), Some(slot));
        }
    }
}
