//! The calls for people: the program of each preset, then what is sent at each part of each song.

use super::model::{Line, Pages, Sent, Set};
use crate::Compiled;
use crate::print::doc::{Block, Cell, Doc, Table, head, named, para};

/// Slots that are named one by one; of more it is told how many there are.
const NAMED: usize = 12;

/// The whole.
pub fn doc(compiled: &Compiled, pages: &Pages) -> Doc {
    let from = pages.programs_from;
    let mut says = format!("the switcher answers on MIDI channel {}; ", pages.channel);
    says += &match from {
        0 => "its programs are counted from 0, as they are sent".to_owned(),
        _ => format!("its programs are counted from {from}; in the bytes that are sent they are counted from 0"),
    };
    let mut blocks = vec![para(says)];
    if let Some(each) = pages.programs_in_a_bank {
        blocks.push(para(format!(
            "{each} programs in a bank; banks are counted from 1, and chosen by controllers 0 and 32"
        )));
    }
    let banks = pages.programs_in_a_bank.is_some();
    let rows = pages.presets.iter().map(|preset| {
        let [bank, program, bytes] = shown(preset.sent.as_ref());
        [preset.slot.clone(), preset.scene.clone(), bank, program, bytes, preset.called_by.join(", ")]
    });
    let heads = ["preset", "scene", "bank", "program", "bytes", "called by"];
    blocks.push(table("what calls each preset", heads, rows.collect(), (2, banks)));
    blocks.extend(some("nothing stands there, and no program may call it", &pages.empty));
    blocks.extend(some("no program reaches it", &pages.out_of_reach));
    pages.sets.iter().for_each(|one| set(one, banks, &mut blocks));
    blocks.extend(pages.remarks.iter().map(|says| Block::Para(named(says))));
    Doc::report(compiled, "called from outside", blocks)
}

fn some(says: &str, slots: &[String]) -> Option<Block> {
    let (first, rest) = slots.split_at(slots.len().min(NAMED));
    let more = if rest.is_empty() { String::new() } else { format!(" and {} more", rest.len()) };
    (!slots.is_empty()).then(|| para(format!("{says}: {}{more}", first.join(", "))))
}

fn shown(sent: Option<&Sent>) -> [String; 3] {
    let Some(sent) = sent else { return ["-".to_owned(), "-".to_owned(), String::new()] };
    let bank = sent.bank.map_or(String::new(), |bank| bank.to_string());
    [bank, sent.program.to_string(), sent.bytes.clone()]
}

/// A table, its column of banks (the given one) left out where the unit answers to none.
fn table(caption: &str, heads: [&str; 6], rows: Vec<[String; 6]>, (bank, banks): (usize, bool)) -> Block {
    let kept = |at: &usize| banks || *at != bank;
    let heads: Vec<&str> = heads.into_iter().enumerate().filter(|(at, _)| kept(at)).map(|(_, head)| head).collect();
    let row = |row: [String; 6]| row.into_iter().enumerate().filter(|(at, _)| kept(at)).map(|(_, text)| text);
    let rows = rows.into_iter().map(|one| Cell::row(row(one))).collect();
    let last = heads.len() - 1;
    Block::Table(Table::new(caption, &heads, 2, &[last - 1, last], rows))
}

/// The songs of a set of which something is called.
fn set(set: &Set, banks: bool, blocks: &mut Vec<Block>) {
    let called = |line: &&Line| line.slot.is_some();
    let mut rows = Vec::new();
    for song in set.songs.iter().filter(|song| song.parts.iter().any(|line| called(&line))) {
        for (at, line) in song.parts.iter().enumerate() {
            let title = if at == 0 { song.song.clone() } else { String::new() };
            let [bank, program, bytes] = match (&line.sent, line.stays) {
                (Some(sent), _) => shown(Some(sent)),
                (None, true) => [String::new(), "stays".to_owned(), String::new()],
                (None, false) => [String::new(), "by foot".to_owned(), String::new()],
            };
            rows.push([title, line.part.clone(), line.slot.clone().unwrap_or_default(), bank, program, bytes]);
        }
    }
    if !rows.is_empty() {
        let heads = ["song", "part", "preset", "bank", "program", "bytes"];
        blocks.push(head(2, &format!("\"{}\"", set.title)));
        blocks.push(table("what is sent at each part", heads, rows, (3, banks)));
    }
}
