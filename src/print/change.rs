//! What a change of the text gives, touches and brings with it, in words.

use super::inside;
use crate::Compiled;
use crate::edit::{Block, Followed, Moved, Offer, Refusal, Wanted, said, says};
use crate::fill::Places;
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::Value;
use crate::written::cell;

/// So many names are told; the rest is counted.
const FEW: usize = 5;
/// So many cells are told; the rest is counted.
const MOST: usize = 40;

/// A wanted cell, and how it was given.
#[derive(Clone, Copy)]
pub struct Named<'w> {
    /// What is wanted.
    pub wanted: Wanted,
    /// The words, or its place in a table.
    pub says: &'w str,
}

/// What was asked for, a line a cell: what it held and what it is to hold, or why there is nothing to do.
pub fn wanted(compiled: &Compiled, named: &[Named<'_>], followed: &Followed) -> String {
    let mut lines = Vec::new();
    for (at, one) in named.iter().enumerate() {
        let Wanted { scene, cell, value, .. } = one.wanted;
        let place = place(compiled, scene, cell);
        let holds = value_text(compiled, cell, value);
        lines.push(if followed.free.binary_search(&at).is_ok() {
            format!("{place}: nobody hears it there, so whatever is stored does; nothing to do")
        } else if followed.same.binary_search(&at).is_ok() {
            format!("{place}: {holds} already")
        } else {
            format!("{place}: {holds}, was {}", value_text(compiled, cell, compiled.table.value(scene, cell)))
        });
    }
    let several: Vec<String> = several(compiled, named);
    for (scene, cell) in &followed.woken {
        let holds = value_text(compiled, *cell, compiled.table.value(*scene, *cell));
        lines.push(format!(
            "{}: heard from now on, at what the text says of it: {holds}",
            place(compiled, *scene, *cell)
        ));
    }
    let more = lines.len().saturating_sub(MOST);
    lines.truncate(MOST);
    if more > 0 {
        lines.push(format!("… and {more} more cells"));
    }
    lines.extend(several);
    lines.iter().map(|line| format!("{line}\n")).collect()
}

/// Scenes that are stored more than once change everywhere.
fn several(compiled: &Compiled, named: &[Named<'_>]) -> Vec<String> {
    let places = Places::of(&compiled.book, &compiled.presets);
    let mut scenes: Vec<SceneId> = named.iter().map(|n| n.wanted.scene).collect();
    scenes.sort_unstable();
    scenes.dedup();
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let line = |scene: SceneId| {
        let all = places.all(scene);
        let slots: Vec<String> = all.iter().filter_map(|(_, slot)| Some(range?.show(*slot))).collect();
        let name = &compiled.book.show.scene(scene)?.name;
        (slots.len() > 1).then(|| format!("`{name}` stands in {}: it changes in each", few(&slots)))
    };
    scenes.into_iter().filter_map(line).collect()
}

/// How many statements a change touches, and what is proved of it.
pub fn proved(followed: &Followed) -> String {
    let Followed { touched, bound, .. } = followed;
    let s = if *touched == 1 { "statement changes" } else { "statements change" };
    let least = match touched == bound {
        true => "no change touches fewer".to_owned(),
        false => format!("that no change touches fewer is not proved: {bound} at least"),
    };
    format!("{touched} {s}, nothing else that is heard moves; {least}\n")
}

/// Other changes, each with its number and what would follow.
pub fn offers(compiled: &Compiled, offers: &[Offer]) -> String {
    let mut out = String::new();
    for (offer, number) in offers.iter().zip(2..) {
        if number == 2 {
            out += "or, with `--take`:\n";
        }
        out += &format!("  {number}  {}\n", offered(compiled, offer));
    }
    out
}

/// The change that was taken.
pub fn taken(compiled: &Compiled, offer: &Offer) -> String {
    format!("{}\n", offered(compiled, offer))
}

fn offered(compiled: &Compiled, offer: &Offer) -> String {
    let here = offer.changes.iter().find(|c| c.block == offer.block);
    let put: Vec<String> =
        here.map_or(&[][..], |c| &c.put).iter().filter_map(|p| Some(format!("`{}`", says(compiled, *p)?))).collect();
    let out: Vec<String> =
        here.map_or(&[][..], |c| &c.out).iter().filter_map(|s| Some(format!("`{}`", said(compiled, s)?))).collect();
    let instead = if out.is_empty() { String::new() } else { format!(" instead of {}", listed(&out)) };
    let put = if put.is_empty() { "nothing".to_owned() } else { listed(&put) };
    format!("in {}: {put}{instead}; {}", block(compiled, offer.block), follows(compiled, &offer.follows))
}

fn block(compiled: &Compiled, block: Block) -> String {
    let show = &compiled.book.show;
    match block {
        Block::Scene(id) => format!("`{}`", show.scene(id).map_or("?", |s| &s.name)),
        Block::Layer(id) => format!("layer `{}`", show.layers.get(id).map_or("?", |l| &l.name)),
        Block::Default => "the default".to_owned(),
    }
}

/// What else would move: the scenes, and their cells where they are few.
fn follows(compiled: &Compiled, moved: &[Moved]) -> String {
    let mut scenes: Vec<SceneId> = moved.iter().map(|m| m.scene).collect();
    scenes.dedup();
    let mut names: Vec<String> =
        scenes.iter().filter_map(|s| Some(compiled.book.show.scene(*s)?.name.to_string())).collect();
    names.sort_unstable();
    match names.as_slice() {
        [] => "nothing else moves".to_owned(),
        [one] => format!("scene `{one}` changes with it"),
        some => {
            let told: Vec<String> = some.iter().map(|n| format!("`{n}`")).collect();
            format!("{} scenes change with it: {}", some.len(), few(&told))
        }
    }
}

/// Why the text cannot follow.
pub fn refusal(compiled: &Compiled, named: &[Named<'_>], refusal: &Refusal) -> String {
    let given = |at: &usize| named.get(*at).map_or_else(String::new, |n| format!("`{}`", n.says));
    let control = |d: DeviceId, c: ControlId| {
        let device = compiled.book.board.devices.get(d);
        let control = device.and_then(|d| d.controls.get(c)).map_or("?", |c| &c.name);
        format!("{}.{control}", device.map_or("?", |d| &d.name))
    };
    let scene = |id: SceneId| compiled.book.show.scene(id).map_or("?", |s| s.name.as_str());
    match refusal {
        Refusal::Errors(count) => {
            let s = if *count == 1 { "error" } else { "errors" };
            format!("the book has {count} {s} before anything changes; `tipring check` tells them")
        }
        Refusal::Switched(id, switch) => format!(
            "switch {} moves this inside the preset of `{}`, and would do the opposite: say both in the scene by hand, and \
             `tipring diff` says what came of it",
            inside::name(compiled, *switch),
            scene(*id)
        ),
        Refusal::Pressed(at) => format!(
            "{} is about a scene with switches pressed: what they bring is said in the scene itself, and by hand",
            given(at)
        ),
        Refusal::Clash(one, other) => {
            let cell = named.get(*one).map_or_else(String::new, |n| place(compiled, n.wanted.scene, n.wanted.cell));
            let value = |at: &usize| {
                named.get(*at).map_or_else(String::new, |n| value_text(compiled, n.wanted.cell, n.wanted.value))
            };
            format!(
                "{} and {} clash: {cell} cannot be both {} and {}; leave one out",
                given(one),
                given(other),
                value(one),
                value(other)
            )
        }
        Refusal::CannotHold(at) => {
            let calls = named.get(*at).and_then(|n| compiled.table.cells.list.get(n.wanted.cell));
            if calls.is_some_and(|cell| cell.calls) {
                return format!(
                    "{}: no statement gives that: it follows from the pedals that are engaged there; say which are in or out",
                    given(at)
                );
            }
            let cell = named.get(*at).map_or_else(String::new, |n| place(compiled, n.wanted.scene, n.wanted.cell));
            format!("{}: no statement gives that: {cell} cannot hold it", given(at))
        }
        Refusal::Unsaid(id, d, c) => format!(
            "`{}` would be heard in `{}`, and nobody says how it stands; say that too: \"{}: {} …\"",
            control(*d, *c),
            scene(*id),
            scene(*id),
            control(*d, *c)
        ),
        Refusal::TooWide(at) => {
            format!("{}: one statement reaches too many cells here to look at every way", given(at))
        }
        Refusal::NoWay(all) => {
            let all: Vec<String> = all.iter().map(given).collect();
            format!("{}: no change was found that gives this and moves nothing else", listed(&all))
        }
        Refusal::Comment(at) => format!(
            "{}: a comment stands inside this list, and it would be lost; put the comment on a line of its own first",
            compiled.files.at(*at)
        ),
        Refusal::Base(at) => format!(
            "what would change stands at {}, and a night's book leaves the book that it amends as it is: say `instead scene …` \
             in it, or change that book by itself",
            compiled.files.at(*at)
        ),
        Refusal::Broken(after) => {
            let s = if after.errors() == 1 { "this error" } else { "these errors" };
            format!("with what is wanted the book would have {s}:")
        }
        Refusal::Moves(offer) => {
            let cells: Vec<String> = offer
                .follows
                .iter()
                .take(FEW)
                .map(|m| {
                    format!(
                        "{} {} instead of {}",
                        place(compiled, m.scene, m.cell),
                        value_text(compiled, m.cell, m.now),
                        value_text(compiled, m.cell, m.was)
                    )
                })
                .collect();
            let more = offer.follows.len().saturating_sub(FEW);
            let more = if more > 0 { format!(" and {more} more cells") } else { String::new() };
            format!(
                "other presets would store something else with it: {}{more}; `--take 1` takes it all the same",
                cells.join(", ")
            )
        }
    }
}

/// `summit` expression-2 (gully.blend), with its slot.
fn place(compiled: &Compiled, scene: SceneId, at: ColumnId) -> String {
    let name = compiled.book.show.scene(scene).map_or("?", |s| &s.name);
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let slot = compiled.presets.iter().find(|p| p.scene == scene).and_then(|p| Some(range?.show(p.slot?)));
    let slot = slot.map_or(String::new(), |slot| format!("{slot} "));
    let Some(cell) = compiled.table.cells.list.get(at) else { return String::new() };
    let owners = cell::owners(&compiled.book.board, cell);
    let owners = if owners.is_empty() { String::new() } else { format!(" ({})", owners.join(", ")) };
    format!("{slot}`{name}` {}{owners}", cell.name)
}

/// As tables write it, a step with its number.
fn value_text(compiled: &Compiled, at: ColumnId, value: Value) -> String {
    let Some(cell) = compiled.table.cells.list.get(at) else { return String::new() };
    let out = cell::shown(&compiled.book.board, cell, value);
    let state = cell.users.iter().find_map(|(d, c)| {
        let control = compiled.book.board.devices.get(*d)?.controls.get(*c)?;
        let alone = compiled.table.cells.of_control(*d, *c).len() == 1;
        let stands = |state: &u16| compiled.table.cells.of_state(*d, *c, *state).first() == Some(&value);
        let state = (0..control.states.len() as u16).find(|state| alone && stands(state))?;
        control.states.get(state as usize).map(|s| s.name.as_str())
    });
    match value {
        Value::Step(_) if cell.kind.paced() => format!("{out} bpm"),
        Value::Step(step) => format!("{out} {} (step {step})", cell::unit(cell)),
        value if value.start().is_some() => {
            format!("{out} from {}", value.start().map_or("", |end| end.word()))
        }
        _ => match state.filter(|name| *name != out) {
            Some(name) => format!("{out} ({name})"),
            None => out,
        },
    }
}

/// a, b, c and 20 more.
fn few(all: &[String]) -> String {
    match all.get(..FEW).filter(|_| all.len() > FEW + 1) {
        Some(some) => format!("{} and {} more", some.join(", "), all.len() - FEW),
        None => listed(all),
    }
}

/// a, b and c.
fn listed(all: &[String]) -> String {
    match all {
        [before @ .., last] if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => all.concat(),
    }
}
