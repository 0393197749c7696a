//! A random book and two random scripts of edits that never touch one statement, so that the book that both together
//! make is known: both scripts, applied to one book as data.

use std::collections::BTreeSet;

use super::book::{Abstract, Head, Item, Line, Says};
use crate::support::dice::Dice;

const PEDALS: [&str; 6] = ["sift", "grit", "drive", "swirl", "throb", "dusk"];
const CELLS: [&str; 3] = ["throb.depth", "swirl.rate", "sift.voice"];
const BOARD: &str = "switcher { loops 6; remote jacks 1; expressions 2 of 128 steps; banks 1..40, switches 1..5 }";

fn value(cell: &str, dice: &mut Dice) -> String {
    match cell {
        "sift.voice" => ["round", "sharp"][dice.roll(2)].to_owned(),
        _ => format!("{} %", dice.roll(60)),
    }
}

/// The three books, and the one that both scripts make.
pub(crate) struct Case {
    pub base: Abstract,
    pub mine: Abstract,
    pub theirs: Abstract,
    pub both: Abstract,
    /// Statements that one side touched, or whose scenes got another name there.
    pub touched: [BTreeSet<usize>; 2],
}

struct Maker<'d> {
    dice: &'d mut Dice,
    next: usize,
    comments: usize,
}

impl Maker<'_> {
    fn id(&mut self) -> usize {
        self.next += 1;
        self.next
    }

    fn comment(&mut self, who: &str) -> String {
        self.comments += 1;
        format!("# {who} {}", self.comments)
    }

    fn line(&mut self, says: Says, who: &str) -> Line {
        let above = if self.dice.one_in(4) { vec![self.comment(who)] } else { Vec::new() };
        let behind = if self.dice.one_in(3) { self.comment(who) } else { String::new() };
        Line { id: self.id(), says, above, behind }
    }

    fn item(&mut self, head: Head, lines: Vec<Line>, who: &str) -> Item {
        let above = if self.dice.one_in(3) { vec![self.comment(who)] } else { Vec::new() };
        let behind = if self.dice.one_in(4) { self.comment(who) } else { String::new() };
        let section = self.dice.one_in(6).then(|| self.comment(who));
        Item { id: self.id(), head, lines, flat: self.dice.one_in(2), above, behind, section }
    }

    fn scene(&mut self, name: String, parents: &[usize], who: &str) -> Item {
        let mut lines = Vec::new();
        if self.dice.one_in(2) {
            let from = self.dice.roll(3);
            let to = from + 2 + self.dice.roll(2);
            lines.push(self.line(Says::List("engage", PEDALS[from..to].to_vec()), who));
        }
        for cell in CELLS {
            if self.dice.one_in(3) {
                let value = value(cell, self.dice);
                lines.push(self.line(Says::Cell(cell, value), who));
            }
        }
        let parent = (!parents.is_empty() && self.dice.one_in(3)).then(|| parents[self.dice.roll(parents.len())]);
        self.item(Head::Scene(name, String::new(), parent, None), lines, who)
    }

    fn part(&mut self, label: &str, scenes: &[usize], who: &str) -> Line {
        let scene = scenes[self.dice.roll(scenes.len())];
        let more = format!(", note \"n{}\"", self.next);
        self.line(Says::Part(label.to_owned(), scene, more), who)
    }

    fn base(&mut self) -> Abstract {
        let mut items = Vec::new();
        let plain = |text: &str| Head::Speaks(text.to_owned(), Vec::new());
        items.push(self.item(plain(BOARD), Vec::new(), "base"));
        for (number, pedal) in PEDALS.iter().enumerate() {
            let fact = match *pedal {
                "sift" => "control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }",
                "throb" => "level depth on expression 1 from 0 % to 60 %",
                "swirl" => "level rate on expression 2 from 0 % to 60 %",
                _ => "gain 3 dB stated",
            };
            let words: &'static str =
                ["pedal sift", "pedal grit", "pedal drive", "pedal swirl", "pedal throb", "pedal dusk"][number];
            let mut lines = vec![self.line(Says::Cell("loop", (number + 1).to_string()), "base")];
            lines.push(self.line(Says::Play(fact.to_owned()), "base"));
            lines.push(self.line(Says::Cell("knob tone", "1:30".to_owned()), "base"));
            items.push(self.item(Head::Block(words), lines, "base"));
        }
        let cells = [("throb.depth", "10 %"), ("swirl.rate", "5 %"), ("sift.voice", "round")];
        let lines = cells.map(|(cell, value)| self.line(Says::Cell(cell, value.to_owned()), "base")).to_vec();
        items.push(self.item(Head::Block("default"), lines, "base"));
        let mut scenes = Vec::new();
        for name in ["bed", "crunch", "solo", "hush", "lift", "spare", "rest"] {
            let scene = self.scene(name.to_owned(), &scenes, "base");
            scenes.push(scene.id);
            items.push(scene);
        }
        let slots: Vec<Line> =
            (0..3).map(|n| self.line(Says::Pin(format!("1.{}", n + 1), scenes[n]), "base")).collect();
        items.push(self.item(Head::Block("slots"), slots, "base"));
        let others = self.line(Says::Play("others auto".to_owned()), "base");
        items.last_mut().unwrap().lines.push(others);
        for (title, labels) in [
            ("Reel", ["intro", "verse", "solo", "verse", "solo"]),
            ("Marl", ["verse", "lift", "verse", "hush", "outro"]),
        ] {
            let lines = labels.map(|label| self.part(label, &scenes[..5], "base")).to_vec();
            items.push(self.item(Head::Song(title.to_owned(), 90), lines, "base"));
        }
        let plays = ["\"Reel\"", "\"Marl\"", "pause \"change guitar\""];
        let lines = plays.map(|title| self.line(Says::Play(title.to_owned()), "base")).to_vec();
        items.push(self.item(Head::Set("night one".to_owned()), lines, "base"));
        let speaks = [
            ("if throb fails, @ becomes @", vec![scenes[0], scenes[3]]),
            ("if grit fails, @ becomes @", vec![scenes[2], scenes[4]]),
            ("allow level-step @ to @ \"it should jump\"", vec![scenes[1], scenes[2]]),
            ("allow scene-unused @ \"for the encore\"", vec![scenes[5]]),
            ("rule @ needs throb.depth at least 0 %", vec![scenes[1]]),
            ("rule @ needs not remote 1 tip open or sift.voice sharp", vec![scenes[3]]),
        ];
        for (words, of) in speaks {
            items.push(self.item(Head::Speaks(words.to_owned(), of), Vec::new(), "base"));
        }
        Abstract { items }
    }
}

type Op = Box<dyn Fn(&mut Abstract)>;

/// Makes a case out of a seed.
pub(crate) fn case(seed: u64) -> Case {
    let mut dice = Dice(seed);
    let mut maker = Maker { dice: &mut dice, next: 0, comments: 0 };
    let base = maker.base();
    let mut used: BTreeSet<String> = BTreeSet::new();
    let mut sides = [(base.clone(), BTreeSet::new()), (base.clone(), BTreeSet::new())];
    let mut both = base.clone();
    for turn in 0..14 {
        let side = turn % 2;
        let who = ["mine", "theirs"][side];
        let Some((op, touched, key)) = edit(&mut maker, &base, who, turn, &used) else { continue };
        used.extend(key);
        op(&mut sides[side].0);
        op(&mut both);
        sides[side].1.extend(touched);
    }
    // A scene that got another name touches all that speak of it.
    for (book, touched) in &mut sides {
        for old in &base.items {
            let same = book.items.iter().find(|i| i.id == old.id).is_some_and(|i| book.lines(i) == base.lines(old));
            if !same {
                touched.insert(old.id);
            }
        }
    }
    let [(mine, a), (theirs, b)] = sides;
    Case { base, mine, theirs, both, touched: [a, b] }
}

/// One edit of a statement that nobody touched: what it does, what it touches, and what nobody may touch from now on.
#[allow(clippy::type_complexity)]
fn edit(
    maker: &mut Maker<'_>,
    base: &Abstract,
    who: &'static str,
    turn: usize,
    used: &BTreeSet<String>,
) -> Option<(Op, Vec<usize>, Vec<String>)> {
    let pick = |maker: &mut Maker<'_>, wanted: &dyn Fn(&Item) -> bool| -> Option<Item> {
        let items: Vec<&Item> = base.items.iter().filter(|i| wanted(i)).collect();
        (!items.is_empty()).then(|| items[maker.dice.roll(items.len())].clone())
    };
    let free = |keys: &[String]| keys.iter().all(|k| !used.contains(k));
    let scene = |i: &Item| matches!(i.head, Head::Scene(..));
    let comment = maker.comment(who);
    match maker.dice.roll(15) {
        // A cell gets another value, or comes in; with a comment behind it.
        0..=2 => {
            let item = pick(maker, &|i| scene(i) || i.head == Head::Block("default"))?;
            let cell = CELLS[maker.dice.roll(CELLS.len())];
            let keys = vec![format!("{} {cell}", item.id)];
            if !free(&keys) || used.contains(&format!("{} gone", item.id)) {
                return None;
            }
            let id = item.id;
            let said = item.lines.iter().find(|l| matches!(&l.says, Says::Cell(c, _) if *c == cell)).map(|l| l.id);
            let value = value(cell, maker.dice);
            let fresh = Line {
                id: maker.id(),
                says: Says::Cell(cell, value.clone()),
                above: Vec::new(),
                behind: comment.clone(),
            };
            let op = move |book: &mut Abstract| {
                let item = book.item(id);
                match said {
                    Some(line) => {
                        let line = item.lines.iter_mut().find(|l| l.id == line).unwrap();
                        line.says = Says::Cell(cell, value.clone());
                        line.above.push(comment.clone());
                    }
                    None => item.lines.push(fresh.clone()),
                }
            };
            Some((Box::new(op), vec![id], [keys, vec![format!("{id} edited")]].concat()))
        }
        // A target joins or leaves a list.
        3 => {
            let item = pick(maker, &|i| i.lines.iter().any(|l| matches!(l.says, Says::List(..))))?;
            let pedal = PEDALS[maker.dice.roll(6)];
            let keys = vec![format!("{} {pedal}", item.id), format!("{} list comment", item.id)];
            if !free(&keys[..1]) || used.contains(&format!("{} gone", item.id)) {
                return None;
            }
            let (id, comment) = (item.id, if free(&keys) { comment } else { String::new() });
            let op = move |book: &mut Abstract| {
                let line = book.item(id).lines.iter_mut().find(|l| matches!(l.says, Says::List(..))).unwrap();
                let Says::List(_, of) = &mut line.says else { unreachable!() };
                match of.iter().position(|p| *p == pedal) {
                    Some(at) if of.len() > 1 => drop(of.remove(at)),
                    Some(_) => {}
                    None => of.push(pedal),
                }
                if !comment.is_empty() {
                    line.above.push(comment.clone());
                }
            };
            // The last target never leaves: two that leave could leave nothing.
            let Says::List(_, of) = &item.lines.iter().find(|l| matches!(l.says, Says::List(..)))?.says else {
                return None;
            };
            if of.first() == Some(&pedal) {
                return None;
            }
            Some((Box::new(op), vec![id], [keys, vec![format!("{id} edited")]].concat()))
        }
        // Another name.
        4 => {
            let item = pick(maker, &scene)?;
            let keys = vec![format!("{} name", item.id)];
            if !free(&keys) || used.contains(&format!("{} gone", item.id)) {
                return None;
            }
            let id = item.id;
            let new = format!("{}-{turn}", base.name(id));
            let op = move |book: &mut Abstract| {
                let Head::Scene(name, _, _, was) = &mut book.item(id).head else { unreachable!() };
                *was = Some(name.clone());
                new.clone_into(name);
            };
            Some((Box::new(op), vec![id], [keys, vec![format!("{id} edited")]].concat()))
        }
        // A title.
        5 => {
            let item = pick(maker, &scene)?;
            let keys = vec![format!("{} title", item.id)];
            if !free(&keys) || used.contains(&format!("{} gone", item.id)) {
                return None;
            }
            let id = item.id;
            let op = move |book: &mut Abstract| {
                let Head::Scene(_, title, ..) = &mut book.item(id).head else { unreachable!() };
                *title = format!("as {who} says");
            };
            Some((Box::new(op), vec![id], [keys, vec![format!("{id} edited")]].concat()))
        }
        // A new scene, behind one that stays.
        6 | 7 => {
            let after = pick(maker, &scene)?;
            let parents: Vec<usize> = base
                .items
                .iter()
                .filter(|i| scene(i) && !used.contains(&format!("{} gone", i.id)))
                .map(|i| i.id)
                .collect();
            let mut new = maker.scene(format!("new-{who}-{turn}"), &parents, who);
            new.above.push(comment);
            if let Head::Scene(_, _, parent, _) = &new.head
                && let Some(parent) = parent
                && base.name(*parent) == "rest"
            {
                return None;
            }
            let (after, id) = (after.id, new.id);
            let op = move |book: &mut Abstract| {
                let at = book.items.iter().position(|i| i.id == after).map_or(0, |at| at + 1);
                book.items.insert(at, new.clone());
            };
            Some((Box::new(op), vec![id], vec![format!("{after} edited"), format!("{after} moved")]))
        }
        // A scene that nobody plays goes.
        8 => {
            let item = pick(maker, &|i| scene(i) && base.name(i.id) == "rest")?;
            if used.iter().any(|k| k.starts_with(&format!("{} ", item.id))) {
                return None;
            }
            let id = item.id;
            Some((
                Box::new(move |book| book.items.retain(|i| i.id != id)),
                vec![id],
                vec![format!("{id} gone"), format!("{id} edited")],
            ))
        }
        // One line or many.
        9 => {
            let item = pick(maker, &|i| !i.lines.is_empty())?;
            let keys = vec![format!("{} layout", item.id)];
            if !free(&keys) {
                return None;
            }
            let id = item.id;
            Some((
                Box::new(move |book| {
                    if let Some(i) = book.items.iter_mut().find(|i| i.id == id) {
                        i.flat = !i.flat
                    }
                }),
                vec![id],
                keys,
            ))
        }
        // A part comes in behind another.
        10 | 11 => {
            let song = pick(maker, &|i| matches!(i.head, Head::Song(..)))?;
            let at = maker.dice.roll(song.lines.len());
            let keys = vec![format!("{} part {at}", song.id)];
            if !free(&keys) {
                return None;
            }
            let scenes: Vec<usize> =
                base.items.iter().filter(|i| scene(i) && base.name(i.id) != "rest").map(|i| i.id).collect();
            let label = ["solo", "verse", "bridge"][maker.dice.roll(3)];
            let mut part = maker.part(label, &scenes, who);
            part.behind = comment;
            let (id, after) = (song.id, song.lines[at].id);
            let op = move |book: &mut Abstract| {
                let lines = &mut book.item(id).lines;
                let at = lines.iter().position(|l| l.id == after).unwrap();
                lines.insert(at + 1, part.clone());
            };
            Some((Box::new(op), vec![id], keys))
        }
        // A part moves behind another; once a song.
        12 => {
            let song = pick(maker, &|i| matches!(i.head, Head::Song(..)))?;
            let (from, to) = (maker.dice.roll(song.lines.len()), maker.dice.roll(song.lines.len()));
            let keys = vec![
                format!("{} part {from}", song.id),
                format!("{} part {to}", song.id),
                format!("{} turned", song.id),
            ];
            // What stands in front of it loses its neighbour too.
            let before = format!("{} part {}", song.id, from.wrapping_sub(1));
            if from == to || !free(&keys) || used.contains(&before) || to + 1 == from {
                return None;
            }
            let (id, from, to) = (song.id, song.lines[from].id, song.lines[to].id);
            let op = move |book: &mut Abstract| {
                let lines = &mut book.item(id).lines;
                let part = lines.remove(lines.iter().position(|l| l.id == from).unwrap());
                let at = lines.iter().position(|l| l.id == to).unwrap();
                lines.insert(at + 1, part);
            };
            Some((Box::new(op), vec![id], [keys, vec![before]].concat()))
        }
        // A statement moves to the end, or a new tempo.
        13 => {
            let item = pick(maker, &|i| matches!(i.head, Head::Speaks(..)))?;
            let keys = vec![format!("{} moved", item.id)];
            if !free(&keys) {
                return None;
            }
            let id = item.id;
            let op = move |book: &mut Abstract| {
                let at = book.items.iter().position(|i| i.id == id).unwrap();
                let item = book.items.remove(at);
                book.items.push(item);
            };
            Some((Box::new(op), vec![id], keys))
        }
        _ => {
            let song = pick(maker, &|i| matches!(i.head, Head::Song(..)))?;
            let keys = vec![format!("{} tempo", song.id)];
            if !free(&keys) {
                return None;
            }
            let (id, bpm) = (song.id, 60 + maker.dice.roll(100) as u32);
            let op = move |book: &mut Abstract| {
                let item = book.item(id);
                if let Head::Song(_, tempo) = &mut item.head {
                    *tempo = bpm;
                }
                item.above.push(comment.clone());
            };
            Some((Box::new(op), vec![id], keys))
        }
    }
}
