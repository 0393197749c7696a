//! What the files say of everything that no preset stores: hardware, knobs, leads, rules. Statement by statement,
//! under what it is about and which fact of it, so that their order, their layout and the file they stand in do not
//! matter.

mod reader;
mod statement;

pub use statement::{Area, Fact, Stated, Subject};

use reader::read;
use statement::Line;

use super::pairing::Matched;
use crate::Compiled;
use crate::book::Meaning;
use crate::ids::{DeviceId, SceneId};
use crate::source::Span;

/// Every statement that differs, by area, subject and fact.
pub fn differences(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<Stated> {
    let device = |at: DeviceId| Some(new.book.board.devices.get(matched.devices.new_of(at)?)?.name.as_str());
    let scene = |at: SceneId| Some(new.book.show.scene(matched.scenes.new_of(at)?)?.name.as_str());
    let other = |name: &str, now: Option<&str>| now.is_some_and(|now| now != name);
    // Where all is called as before, no name has to be understood.
    let renamed = old.book.board.devices.numbered().any(|(d, at)| other(&d.name, device(at)))
        || old.book.show.scenes.numbered().any(|(s, at)| other(&s.name, scene(at)));
    let called = |name: Span| match old.mentions().meaning(name)? {
        Meaning::Device(at) => device(at),
        Meaning::Scene(at) => scene(at),
        _ => None,
    };
    let was = read(old, &|name| if renamed { called(name).map(str::to_owned) } else { None });
    let now = read(new, &|_| None);
    let mut out = Vec::new();
    for (key, line) in &was {
        let other = now.get(key);
        if other.is_some_and(|o| o.compare == line.compare) {
            continue;
        }
        out.push(stated(key, line.area, Some(line), other));
    }
    for (key, line) in now.iter().filter(|(key, _)| !was.contains_key(*key)) {
        out.push(stated(key, line.area, None, Some(line)));
    }
    out.sort();
    out
}

fn stated(key: &(Subject, Fact), area: Area, was: Option<&Line>, now: Option<&Line>) -> Stated {
    let text = |l: Option<&Line>| l.map(|l| l.says.clone());
    let about = was.or(now).and_then(|l| l.about.clone()).unwrap_or_else(|| key.0.clone());
    Stated { area, about, fact: key.1.clone(), was: text(was), now: text(now) }
}
