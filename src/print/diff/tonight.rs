//! What one set needs of the unit, in playing order.

use serde_json::{Value, json};

use super::page::{Line, Section, Tone, blocks};
use super::{calls, inside, json, story, todo, words};
use crate::Compiled;
use crate::compare::todo::{Source, Tonight};
use crate::print::doc::{Doc, para};
use crate::syntax::fingerprint::fingerprint;

fn sources(old: &Compiled, new: &Compiled) -> (String, String) {
    let source = |c: &Compiled| fingerprint(&c.files, &c.trees);
    (source(old), source(new))
}

/// The list as a report.
pub fn doc((old, new): (&Compiled, &Compiled), tonight: &Tonight) -> Doc {
    let (was, now) = sources(old, new);
    let title = format!("\"{}\": {}", tonight.title, story::title((old, &was), (new, &now)));
    let mut lines = Vec::new();
    for step in &tonight.steps {
        let presses = step.presses.zip(step.after).map(|(presses, after)| {
            let by = step.work.from.map_or(String::new(), |from| format!(" by way of {}", from_slot((old, new), from)));
            format!(" ({} from {}{by})", words::presses(presses), words::slot(new, after))
        });
        todo::slot((old, new), &step.work, &presses.unwrap_or_default(), &mut lines);
        lines.extend(inside::lines(new, &step.switched));
        lines.push(Line::new(1, Tone::Plain, mark(tonight, step.right)));
    }
    let played = |slot| tonight.slots.contains(&slot);
    lines.extend(todo::stale((old, new), tonight.steps.iter().map(|s| &s.work), played));
    let lead = lead(new, tonight);
    let section = match lines.is_empty() {
        false => blocks(Section { title: "To reprogram, as it is played".to_owned(), lead, lines }),
        true => blocks(Section {
            title: "To reprogram, as it is played".to_owned(),
            lead: String::new(),
            lines: vec![Line::new(0, Tone::Plain, nothing(tonight))],
        }),
    };
    let section = section.into_iter().chain(calls::not_looked_at(old, new).map(para)).collect();
    let draft = old.errors() + new.errors() > 0;
    Doc { opening: format!("{title}\n"), small: title.clone(), title, draft, blocks: section, ..Doc::default() }
}

fn from_slot((old, new): (&Compiled, &Compiled), from: Source) -> String {
    match from {
        Source::Old(slot, _) => words::slot(old, slot),
        Source::New(slot, _) => words::slot(new, slot),
    }
}

fn nothing(tonight: &Tonight) -> String {
    match tonight.right == tonight.songs.len() {
        true => "nothing: every preset that the set plays is right already".to_owned(),
        false => format!("nothing; {}", mark(tonight, tonight.right)),
    }
}

fn lead(new: &Compiled, tonight: &Tonight) -> String {
    let things = words::count(tonight.steps.iter().map(|s| s.work.count() + s.switched.len()).sum(), "thing");
    let slots = words::count(tonight.steps.len(), "slot");
    let presses = match new.book.board.timing.presses {
        Some(_) => "",
        None => " Presses are not counted: the switcher states none.",
    };
    format!(
        "{things} to do in {slots}, each where it is first played; a shorter list in another order is not ruled out. \
         Before the first: {}. Keep the order: a preset that is stored elsewhere is read as it stands at that \
         moment.{presses} What is not listed stays as it is.",
        mark(tonight, tonight.right)
    )
}

/// How far the set is right.
fn mark(tonight: &Tonight, right: usize) -> String {
    let song = |at: usize| tonight.songs.get(at).map_or("", String::as_str);
    match right {
        0 => format!("song 1, \"{}\", is not right yet", song(0)),
        all if all == tonight.songs.len() => "right to the end of the set".to_owned(),
        n => format!("right up to song {n}, \"{}\"", song(n - 1)),
    }
}

/// The list for programs.
pub fn data((old, new): (&Compiled, &Compiled), tonight: &Tonight) -> String {
    let (was, now) = sources(old, new);
    let slots = tonight.steps.iter().map(|step| {
        let mut out = json::work((old, new), &step.work);
        if !step.switched.is_empty() {
            let says: Vec<String> = step.switched.iter().map(|one| inside::says(new, one)).collect();
            out.insert("switches".to_owned(), json!(says));
        }
        out.insert("after".to_owned(), json!(step.after.map(|slot| words::slot(new, slot))));
        out.insert("presses".to_owned(), json!(step.presses));
        out.insert("right_up_to".to_owned(), json!(step.right));
        Value::Object(out)
    });
    let all = json!({
        "format": "tipring-tonight",
        "version": 1,
        "sources": { "was": was, "now": now },
        "set": tonight.title,
        "songs": tonight.songs,
        "right_up_to": tonight.right,
        "slots": slots.collect::<Vec<_>>(),
        "not_looked_at": calls::not_looked_at(old, new),
    });
    serde_json::to_string_pretty(&all).unwrap_or_default() + "\n"
}
