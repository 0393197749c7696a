//! What the player noted on the stage page, read back: a line a note, seven quoted fields.

use crate::book::song::PRESS;
use crate::print::doc::{Block, Cell, Look, Table, head, para};
use crate::source::ends;
use crate::{Compiled, near};

/// A note on a part.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Answer {
    pub set: String,
    pub song: String,
    pub part: String,
    pub scene: String,
    /// Where it stood when it was played.
    pub slot: String,
    /// The version and the fingerprint of the book that was played.
    pub version: String,
    pub says: String,
}

/// The notes of a text. The error names every line that is none.
pub fn read(text: &str) -> Result<Vec<Answer>, String> {
    let mut answers = Vec::new();
    let mut wrong = Vec::new();
    for (number, line) in ends::lines(text.trim_start_matches('\u{feff}')).enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        match fields(line) {
            Some([set, song, part, scene, slot, version, says]) => {
                answers.push(Answer { set, song, part, scene, slot, version, says });
            }
            None => wrong.push(format!(
                "line {} of the notes is none: the stage page gives `\"set\" \"song\" \"part\" \"scene\" \"slot\" \
                 \"version\" \"words\"`",
                number + 1
            )),
        }
    }
    match (answers.is_empty(), wrong.is_empty()) {
        (true, true) => Err("there is no note in the file".to_owned()),
        (_, true) => Ok(answers),
        _ => Err(wrong.join("\n")),
    }
}

/// Seven quoted texts; no text of a book holds a quotation mark.
fn fields(line: &str) -> Option<[String; 7]> {
    let pieces: Vec<&str> = line.split('"').collect();
    let between = pieces.iter().step_by(2).all(|p| p.trim().is_empty());
    let quoted: Vec<String> = pieces.iter().skip(1).step_by(2).map(|p| (*p).to_owned()).collect();
    (between && pieces.len() == 15).then(|| quoted.try_into().ok()).flatten()
}

/// True of what was played in a slot, whatever was pressed there.
fn stood(played: &str, slot: &str) -> bool {
    played.strip_prefix(slot).is_some_and(|rest| rest.is_empty() || rest.starts_with(PRESS))
}

/// A box each, in the order of the slots where their scenes stand today; what this book does not know comes last.
pub fn section(compiled: &Compiled, answers: &[Answer]) -> Vec<Block> {
    let rows = super::presets(compiled);
    let now = |answer: &Answer| rows.iter().position(|row| row.scene == answer.scene);
    let mut sorted: Vec<(usize, &Answer)> = answers.iter().map(|a| (now(a).unwrap_or(usize::MAX), a)).collect();
    sorted.sort_by_key(|(at, _)| *at);
    let table = sorted.iter().map(|(at, answer)| {
        let row = rows.get(*at);
        let stands = match row {
            None => String::new(),
            // It may stand in several slots: the one that was played, if it is still there.
            Some(_) if rows.iter().any(|r| r.scene == answer.scene && stood(&answer.slot, &r.slot)) => {
                answer.slot.clone()
            }
            Some(row) => format!("{}, was {}", if row.slot.is_empty() { "-" } else { &row.slot }, answer.slot),
        };
        let scene = if row.is_some() { answer.scene.clone() } else { unknown(compiled, &answer.scene) };
        vec![
            Cell::tick(),
            Cell::new(stands, Look::Strong),
            Cell::new(scene, Look::Plain),
            Cell::new(&answer.says, Look::Strong),
            Cell::new(format!("{}, {}", answer.song, answer.part), Look::Plain),
            Cell::new(&answer.set, Look::Plain),
            Cell::new(&answer.version, Look::Plain),
        ]
    });
    let heads = ["done", "slot", "scene", "the player says", "song, part", "set", "version"];
    let table = Table::new("notes of the player", &heads, 3, &[3, 4, 5, 6], table.collect());
    let says = "Tick when it is settled. A version other than this sheet's was played on another book.";
    vec![Block::Together(vec![head(2, "what the player noted"), para(says)]), Block::Table(table)]
}

fn unknown(compiled: &Compiled, scene: &str) -> String {
    let names = compiled.book.show.scenes.iter().map(|s| s.name.as_str());
    let near = near::nearest(scene, names).map_or(String::new(), |n| format!(", now {n}?"));
    format!("{scene} (not in this book{near})")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seven_fields_are_a_note_and_nothing_else_is() {
        let line = "\"club night\" \"Marl\" \"solo\" \"summit\" \"20.3\" \"winter-3 1dc1\" \"too loud, by far\"";
        let read_back = read(&format!("# remark\r\n\r\n{line}\r\n")).unwrap();
        assert_eq!(read_back.len(), 1);
        assert_eq!((read_back[0].song.as_str(), read_back[0].says.as_str()), ("Marl", "too loud, by far"));
        for wrong in ["Marl", "\"a\" \"b\"", &line.replace("\"Marl\"", "Marl"), &format!("{line} \"more\"")] {
            assert!(read(wrong).unwrap_err().starts_with("line 1 of the notes"), "{wrong}");
        }
        assert!(read("\n# nothing\n").is_err());
    }
}
