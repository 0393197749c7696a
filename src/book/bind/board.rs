//! The board's name, its switcher, guitars and treadles.

use super::control::CHANNELS;
use super::{Binder, content, said_twice};
use crate::book::answers::{Answers, PROGRAMS};
use crate::book::order::MOST_ORDERED;
use crate::book::song::{SlotRange, SwitchName};
use crate::book::travel::MOST_INPUTS;
use crate::book::{Fault, Plugged, Spanned, Switcher, Treadle};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// More of anything is surely a slip of the finger.
const MOST: u32 = 999;
const MOST_BANKS: u32 = 99_999;
/// Presets that a switcher can hold: a row is kept for each.
const MOST_SLOTS: u32 = 1_000_000;

impl<'t> Binder<'t> {
    pub(super) fn board(&mut self) {
        let boards = std::mem::take(&mut self.found.boards);
        for view in boards {
            if let Some(first) = &self.book.board.title {
                said_twice(&mut self.faults, first.at, view);
                continue;
            }
            let mut texts = view.all(Kind::Text);
            self.book.board.title = texts.next().map(|t| Spanned { value: content(t), at: view.span() });
            self.book.board.version = texts.next().map(|t| Spanned { value: content(t), at: t.span() });
        }
        for view in std::mem::take(&mut self.found.switchers) {
            if let Some(first) = &self.book.board.switcher {
                said_twice(&mut self.faults, first.at, view);
                continue;
            }
            let switcher = self.switcher(view);
            self.book.board.switcher = Some(switcher);
            self.timing(view);
            self.isolated(view);
            self.found.power = view.child(Kind::Power);
        }
        self.switcher_before();
        for view in std::mem::take(&mut self.found.guitars) {
            if let Some(name) = view.child(Kind::Name) {
                let guitar = self.guitar(view, name);
                self.found.heard.push(view);
                self.book.board.guitars.push(guitar);
            }
        }
        for view in std::mem::take(&mut self.found.treadles) {
            self.treadle(view);
        }
    }

    pub(super) fn switcher(&mut self, view: View<'t>) -> Switcher {
        let at = Span { end: view.span().start + "switcher".len() as u32, ..view.span() };
        let mut switcher = Switcher { at, steps: 128, faulty: view.broken(), ..Switcher::default() };
        let mut seen: Vec<View<'t>> = Vec::new();
        for fact in view.children().filter(|fact| fact.kind() != Kind::Isolated) {
            if let Some(first) = seen.iter().find(|s| s.kind() == fact.kind() && fact.kind() != Kind::Broken) {
                said_twice(&mut self.faults, first.span(), fact);
                continue;
            }
            seen.push(fact);
            if !self.switcher_fact(&mut switcher, fact) {
                switcher.faulty = true;
            }
        }
        self.inside_apart(&mut switcher);
        switcher
    }

    /// Outputs without a common ground: they are known once their count is.
    fn isolated(&mut self, view: View<'t>) {
        let mut found: Vec<Spanned<u16>> = Vec::new();
        for fact in view.all(Kind::Isolated) {
            let Some(value) = fact.child(Kind::Number).and_then(|n| self.jack_number(n, "output")) else { continue };
            match found.iter().find(|f| f.value == value) {
                Some(first) => said_twice(&mut self.faults, first.at, fact),
                None => found.push(Spanned { value, at: fact.span() }),
            }
        }
        if let Some(switcher) = &mut self.book.board.switcher {
            switcher.isolated = found.iter().map(|f| f.value).collect();
        }
    }

    /// Reads one fact; false when its numbers cannot be right.
    fn switcher_fact(&mut self, switcher: &mut Switcher, fact: View<'t>) -> bool {
        let numbers: Vec<View<'t>> = fact.all(Kind::Number).collect();
        let mut count = |n: usize, least: u32, most: u32, what: &str| {
            numbers.get(n).and_then(|v| self.count(*v, least, most, what)).map(|v| v as u16)
        };
        match fact.kind() {
            Kind::Loops => {
                let loops = count(0, 0, MOST, "the number of loops");
                switcher.loops = loops.unwrap_or(0);
                switcher.own_loops = switcher.loops;
                if numbers.len() > 1 {
                    switcher.split = count(1, 1, u32::from(switcher.loops.max(1)), "the loop before the split");
                    return loops.is_some() && switcher.split.is_some();
                }
                loops.is_some()
            }
            Kind::Jacks => {
                let jacks = count(0, 0, MOST, "the number of remote jacks");
                switcher.jacks = jacks.unwrap_or(0);
                jacks.is_some()
            }
            Kind::Ports => {
                let ports = count(0, 0, MOST, "the number of expression ports");
                let steps = count(1, 2, 65_000, "the steps of an expression port");
                switcher.ports = ports.unwrap_or(0);
                switcher.steps = steps.unwrap_or(128);
                ports.is_some() && steps.is_some()
            }
            Kind::FootInputs => {
                let inputs = count(0, 0, MOST_INPUTS, "the number of foot inputs");
                switcher.inputs = inputs.unwrap_or(0) as u8;
                if numbers.len() > 1 {
                    let targets = count(1, 1, MOST, "the targets of a foot input");
                    switcher.targets = targets.map(|value| Spanned { value, at: fact.span() });
                    return inputs.is_some() && targets.is_some();
                }
                inputs.is_some()
            }
            Kind::Outputs => {
                let outputs = count(0, 0, MOST, "the number of outputs");
                switcher.outputs = outputs.unwrap_or(0);
                outputs.is_some()
            }
            Kind::Trims => {
                let steps = count(0, 2, 65_000, "the steps of a trim");
                switcher.trims = steps.unwrap_or(0);
                steps.is_some()
            }
            Kind::GuitarInputs => {
                let inputs = count(0, 1, MOST, "the number of guitar inputs");
                switcher.guitar_inputs = inputs.unwrap_or(0);
                inputs.is_some()
            }
            Kind::LoopOrders => {
                switcher.ordered = true;
                let few = switcher.own_loops <= MOST_ORDERED;
                if !few {
                    let (what, range) =
                        ("the number of loops that have orders".to_owned(), format!("at most {MOST_ORDERED}"));
                    self.faults.push(Fault::OutOfRange { at: fact.span(), what, range, there: None });
                }
                few
            }
            Kind::Display => {
                switcher.display = count(0, 1, MOST, "the letters of the display");
                switcher.display.is_some()
            }
            Kind::Banks => {
                switcher.slots = self.banks(fact, &numbers);
                switcher.slots.is_some()
            }
            Kind::Messages => self.abilities(switcher, fact),
            Kind::SendsClock => {
                switcher.clock = true;
                true
            }
            Kind::Answers => {
                let channel = count(0, 1, CHANNELS, "a MIDI channel");
                let from = count(1, 0, 1, "the first program");
                let banks = count(2, 1, PROGRAMS, "the programs of a bank");
                let (Some(channel), Some(from)) = (channel, from) else { return false };
                let (hears_itself, passes_on) = (fact.says("hears"), fact.says("passes"));
                switcher.answers = Some(Answers { at: fact.span(), channel, from, banks, hears_itself, passes_on });
                banks.is_some() || numbers.len() < 3
            }
            Kind::Inside => {
                switcher.inside = self.inside(fact);
                switcher.inside.is_some()
            }
            _ => true,
        }
    }

    fn banks(&mut self, fact: View<'t>, numbers: &[View<'t>]) -> Option<SlotRange> {
        let first = self.count(*numbers.first()?, 0, MOST_BANKS, "the first bank")?;
        let last = self.count(*numbers.get(1)?, first, MOST_BANKS, "the last bank")?;
        let names: Vec<View<'t>> = fact.all(Kind::Name).collect();
        let (first_switch, switches) = self.switches(fact, &names, numbers.get(2..).unwrap_or(&[]))?;
        let banks = last - first + 1;
        if u64::from(banks) * u64::from(switches) > u64::from(MOST_SLOTS) {
            let what = "the number of slots".to_owned();
            let range = format!("at most {MOST_SLOTS}, banks times switches");
            self.faults.push(Fault::OutOfRange { at: fact.span(), what, range, there: None });
            return None;
        }
        Some(SlotRange { first_bank: first, banks, switches, first_switch, inside: None, rows: 1 })
    }

    /// Switches from one to another: the first, and how many.
    pub(super) fn switches(
        &mut self,
        fact: View<'t>,
        names: &[View<'t>],
        numbers: &[View<'t>],
    ) -> Option<(SwitchName, u32)> {
        let what = "the switches".to_owned();
        let (at, range) = match (names, numbers) {
            ([a, b], []) => match (one_letter(*a), one_letter(*b)) {
                (Some(from), Some(to)) if from <= to => {
                    return Some((SwitchName::Letter(from), to as u32 - from as u32 + 1));
                }
                _ => (a.span().to(b.span()), "two letters in order, as `A..E`".to_owned()),
            },
            ([], [a, b]) => {
                let from = self.count(*a, 0, MOST, "the first switch")?;
                let to = self.count(*b, from, MOST, "the last switch")?;
                return Some((SwitchName::Number(from), to - from + 1));
            }
            _ => (fact.span(), "two numbers or two letters".to_owned()),
        };
        self.faults.push(Fault::OutOfRange { at, what, range, there: None });
        None
    }

    fn treadle(&mut self, view: View<'t>) {
        let Some(name) = view.child(Kind::Name) else { return };
        let on_input = view.child(Kind::OnFootInput).and_then(|v| v.child(Kind::Number));
        let plugged = match (on_input, view.child(Kind::Number)) {
            (Some(number), _) => self.jack_number(number, "foot input").map(|n| Plugged::Input(n as u8)),
            (_, Some(number)) => self.jack_number(number, "expression").map(Plugged::Port),
            _ => None,
        };
        let Some(plugged) = plugged else { return };
        let name_text = super::names::nfc(name.text()).into_owned();
        let first = self.book.board.treadles.iter().find(|t| t.plugged == plugged && t.name != name_text);
        if let Some(first) = first.map(|t| t.at) {
            self.faults.push(Fault::PortFedTwice { at: name.span(), first, plugged });
        }
        self.book.board.treadles.push(Treadle { name: name_text, plugged, at: name.span() });
    }

    /// The number of a loop, remote, expression or output; told when the switcher lacks it.
    pub(super) fn jack_number(&mut self, number: View<'t>, what: &'static str) -> Option<u16> {
        let Some(switcher) = &self.book.board.switcher else {
            self.need_switcher(number.span());
            return number.text().parse().ok();
        };
        let has = match what {
            "loop" => switcher.own_loops,
            "remote" => switcher.jacks,
            "expression" => switcher.ports,
            "guitar input" => switcher.guitar_inputs,
            "foot input" => u16::from(switcher.inputs),
            _ => switcher.outputs,
        };
        let faulty = switcher.faulty;
        let value = number.text().parse::<u16>().ok().filter(|n| *n >= 1 && *n <= has);
        if value.is_none() && !faulty {
            let at = number.span();
            self.faults.push(match what {
                "loop" => Fault::LoopMissing { at, has },
                _ => Fault::JackMissing { at, what, has },
            });
        }
        value
    }

    /// Tells once that there is no switcher.
    pub(super) fn need_switcher(&mut self, at: Span) {
        let told = self.faults.iter().any(|f| matches!(f, Fault::SwitcherMissing { .. }));
        if !told && !self.book.broken {
            self.faults.push(Fault::SwitcherMissing { at });
        }
    }
}

fn one_letter(view: View<'_>) -> Option<char> {
    let mut letters = view.text().chars();
    letters.next().filter(|c| letters.next().is_none() && c.is_ascii_alphabetic())
}
