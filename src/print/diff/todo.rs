//! The part of the page that tells what must be done, and tested.

use super::page::{Line, Section, Tone};
use super::stated::{self, grouped};
use super::words;
use crate::Compiled;
use crate::book::Slot;
use crate::compare::Comparison;
use crate::compare::helpers::{HelperEdit, HelperWork};
use crate::compare::stated::{Area, Fact, Stated, Subject};
use crate::compare::stored::{self, Store, Wire};
use crate::compare::todo::{Source, Work, standing};
use crate::compare::unit::Unit;
use crate::fill::helpers::{holds, own_loops};
use crate::syntax::kind::Kind;

/// Spanned wherever supplies or amplifiers are touched.
const CAUTION: &str = "Caution: valve amplifiers hold lethal voltage after they are unplugged; leave the inside of amplifiers and supplies alone. Mains wiring is for licensed people under local code.";

/// What is plugged elsewhere first, then what else the board says differently, one thing at a time.
pub(super) fn hardware(comparison: &Comparison<'_>) -> Section {
    // What feeds a pedal is put right before the pedal is plugged in.
    let is = |s: &Stated, kind: Kind| matches!(s.about, Subject::Named(k, _) if k == kind);
    let supplies = |s: &&Stated| is(s, Kind::Supply);
    // The board's name and version are nothing to do; all else is to be done, or looked at.
    let ticked = |about: &Subject| *about != Subject::The(Kind::Board);
    let mut lines = grouped(comparison.of(Area::Hardware).filter(supplies), ticked);
    for rewired in &comparison.rewired {
        let says = &rewired.says;
        let label = comparison.new.book.board.in_loop(rewired.number).map_or(String::new(), |d| d.label());
        lines.push(match (&rewired.was, &rewired.now) {
            (Some(was), Some(now)) => {
                Line::ticked(0, format!("{says}: plug in `{now}` where `{was}` was; label {label}"))
            }
            (None, Some(now)) => Line::ticked(0, format!("{says}: plug in `{now}`; label {label}")),
            (Some(was), None) => Line::ticked(0, format!("{says}: take out `{was}`; no label")),
            (None, None) => continue,
        });
    }
    for label in &comparison.relabelled {
        let text = format!("{}: print a label for `{}`: {} → {}", label.says, label.pedal, label.was, label.now);
        lines.push(Line::ticked(0, text));
    }
    let rest = comparison.of(Area::Hardware);
    let rest = rest.filter(|s| !supplies(s) && !plain_move(comparison, s) && !plain_label(comparison, s));
    lines.extend(grouped(rest, ticked));
    let near = |s: &Stated| is(s, Kind::Supply) || is(s, Kind::Amp);
    let lead = if comparison.of(Area::Hardware).any(near) { CAUTION.to_owned() } else { String::new() };
    Section { title: "Hardware".to_owned(), lead, lines }
}

/// A pedal's new loop is told with the plugging.
fn plain_move(comparison: &Comparison<'_>, stated: &Stated) -> bool {
    let named = |name: &Option<String>| name.as_ref().is_some_and(|n| is_pedal(stated, n));
    stated.fact == Fact::Of(Kind::Loop)
        && stated.was.is_some()
        && stated.now.is_some()
        && comparison.rewired.iter().any(|r| named(&r.was) || named(&r.now))
}

/// A pedal's new code is told with its label.
fn plain_label(comparison: &Comparison<'_>, stated: &Stated) -> bool {
    stated.fact == Fact::Of(Kind::Code) && comparison.relabelled.iter().any(|r| is_pedal(stated, &r.pedal))
}

fn is_pedal(stated: &Stated, name: &str) -> bool {
    matches!(&stated.about, Subject::Named(Kind::Pedal, pedal) if pedal == name)
}

/// Knobs to turn.
pub(super) fn knobs(comparison: &Comparison<'_>) -> Section {
    let lines = stated::knobs(comparison.of(Area::Knobs));
    Section { title: "Knobs to turn".to_owned(), lead: String::new(), lines }
}

/// Rules, limits and ways out.
pub(super) fn rules(comparison: &Comparison<'_>) -> Section {
    let lines = grouped(comparison.of(Area::Rules), |_| false);
    Section { title: "Rules".to_owned(), lead: String::new(), lines }
}

/// Slot by slot, with boxes, in the order in which nothing still needed is lost.
pub(super) fn worksheet(comparison: &Comparison<'_>) -> Section {
    let list = &comparison.list;
    let mut lines = Vec::new();
    for work in &list.work {
        slot((comparison.old, comparison.new), work, "", &mut lines);
    }
    lines.extend(stale((comparison.old, comparison.new), &list.work, |_| true));
    let (count, slots) = (list.count(), list.work.len());
    let least = match list.fewest {
        _ if list.least() && !comparison.options.copies => "without copies no list does with fewer".to_owned(),
        _ if list.least() => {
            let barred = if list.barred > 0 { ", and stores no preset from or to a slot of two rows" } else { "" };
            format!("no list that writes each of these slots once, and no other{barred}, does with fewer")
        }
        Some(fewest) => {
            let barred = if list.barred > 0 { " where no preset is stored from or to a slot of two rows" } else { "" };
            format!("a shorter list is not ruled out; {fewest} are needed at any rate{barred}")
        }
        None => "too many slots to prove that this is the least".to_owned(),
    };
    let moved = list.work.iter().filter(|w| moved(comparison, w)).count();
    let why = if moved > 0 { format!(" {moved} of the scenes stood in another slot.") } else { String::new() };
    let reads = |new: bool| list.work.iter().any(|w| w.from.is_some_and(|f| matches!(f, Source::New(..)) == new));
    let order = match (reads(false), reads(true)) {
        (true, false) => " Keep the order: a preset that is stored elsewhere is read before its slot is overwritten.",
        (_, true) => " Keep the order: a preset that is stored elsewhere is read as it stands at that moment.",
        (false, false) => "",
    };
    let (count, slots) = (words::count(count, "thing"), words::count(slots, "slot"));
    let lead = format!("{count} to do in {slots} ({least}).{why}{order} What is not listed stays as it is.");
    Section { title: "To reprogram".to_owned(), lead, lines }
}

/// Presets of the helpers to store, a section each.
pub(super) fn helpers(comparison: &Comparison<'_>) -> Vec<Section> {
    let book = &comparison.new.book;
    let of = |work: &HelperWork| {
        let device = book.board.devices.get(work.device)?;
        let helper = device.helper.as_deref()?;
        let says = |loops: u32| match holds(book, helper, loops).as_slice() {
            [] => "every loop out".to_owned(),
            names => {
                let own: Vec<String> = own_loops(loops).map(|n| n.to_string()).collect();
                let s = if own.len() == 1 { "" } else { "s" };
                format!("`{}` in (loop{s} {})", names.join("`, `"), own.join(", "))
            }
        };
        let line = |edit: &HelperEdit| {
            let was =
                edit.was.map_or(String::new(), |was| match own_loops(was).map(|n| n.to_string()).collect::<Vec<_>>() {
                    own if own.is_empty() => "; it has every loop out".to_owned(),
                    own => format!("; it has loop {} in", own.join(", ")),
                });
            Line::ticked(0, format!("preset {}: {}{was}", edit.number, says(edit.now)))
        };
        let lines: Vec<Line> = work.presets.iter().map(line).collect();
        let lead = format!(
            "{} to store in `{}` itself. What is not listed stays as it is.",
            words::count(lines.len(), "preset"),
            device.name
        );
        Some(Section { title: format!("To reprogram in {}", device.name), lead, lines })
    };
    comparison.helpers.iter().filter_map(of).collect()
}

/// Messages of the old board that no column of the new one sets: a preset that holds one would go on sending it. What is
/// copied takes them along.
pub(super) fn stale<'w>(
    (old, new): (&Compiled, &Compiled),
    work: impl IntoIterator<Item = &'w Work>,
    asked: impl Fn(Slot) -> bool,
) -> Vec<Line> {
    let kept = stored::columns(new);
    let gone = |wire: Wire| wire.message() && !kept.iter().any(|c| c.wire == wire);
    let gone: Vec<stored::Column> = stored::columns(old).into_iter().filter(|c| gone(c.wire)).collect();
    if gone.is_empty() {
        return Vec::new();
    }
    let stands = standing(stored::memory(old).iter().map(|row| (row.slot, row.scene)), work);
    let filled = stored::memory(new);
    let mut out = Vec::new();
    for column in gone {
        let sends = |slot: Slot| {
            let value = stands.get(&slot).map(|scene| column.store(old.table.stored(*scene, column.cell)));
            value.is_some_and(|value| !matches!(value, Store::Stays | Store::Unknown))
        };
        let slots = filled.iter().map(|row| row.slot).filter(|slot| asked(*slot) && sends(*slot));
        let slots: Vec<String> = slots.map(|slot| words::slot(new, slot)).collect();
        if !slots.is_empty() {
            let name = words::wire(old, column.wire);
            let text = format!("take `{name}` out of {}: the new board sets no such message", slots.join(", "));
            out.push(Line::ticked(0, text));
        }
    }
    out
}

/// True when the scene was stored before, but not here.
fn moved(comparison: &Comparison<'_>, work: &Work) -> bool {
    let own = comparison.matched.scenes.old_of(work.now);
    own.is_some() && own != work.was && comparison.old.presets.iter().any(|p| p.slot.is_some() && Some(p.scene) == own)
}

/// A slot and what to do there; `aside` stands behind the slot.
pub(super) fn slot((old, new): (&Compiled, &Compiled), work: &Work, aside: &str, lines: &mut Vec<Line>) {
    let name = words::scene(new, work.now);
    let held = match work.was.map(|s| words::scene(old, s)) {
        Some(was) if was == name => String::new(),
        Some(was) => format!(", holds `{was}`"),
        None if old.is_unit() => ", not in the record".to_owned(),
        None => ", empty".to_owned(),
    };
    lines.push(Line::ticked(0, format!("{} `{name}`{held}{aside}", words::slot(new, work.slot))));
    if let Some(from) = work.from {
        let text = match from {
            Source::Old(slot, scene) => {
                format!("store the preset of {} (`{}`) here", words::slot(old, slot), words::scene(old, scene))
            }
            Source::New(slot, scene) => {
                format!(
                    "store the preset of {} (`{}`, as written above) here",
                    words::slot(new, slot),
                    words::scene(new, scene)
                )
            }
        };
        lines.push(Line::ticked(1, text));
    }
    lines.extend(deeds((old, new), work));
}

/// What to set in a slot, a line each.
pub(super) fn deeds((old, new): (&Compiled, &Compiled), work: &Work) -> Vec<Line> {
    let cells = work.edits.iter().map(|edit| Line::ticked(1, words::deed(old, new, edit)));
    cells.chain(work.label.iter().map(|label| Line::ticked(1, format!("name: {label}")))).collect()
}

/// Messages that a unit is known to send and the board has no cell for.
pub(super) fn others(new: &Compiled, unit: &Unit) -> Section {
    let line = |(slot, message): (&Slot, &String)| {
        let text =
            format!("{} sends `{message}`: take it out, the board sets no such message", words::slot(new, *slot));
        Line::ticked(0, text)
    };
    let all = unit.slots.iter().flat_map(|(slot, holds)| holds.others.iter().map(move |message| (slot, message)));
    Section { title: "Messages of another board".to_owned(), lead: String::new(), lines: all.map(line).collect() }
}

/// Songs that the work reaches; presets that nobody plays any more.
pub(super) fn touched(comparison: &Comparison<'_>) -> Section {
    let (old, new) = (comparison.old, comparison.new);
    let mut lines = Vec::new();
    for (song, slots) in &comparison.touched.songs {
        let slots: Vec<String> = slots.iter().map(|s| words::slot(new, *s)).collect();
        lines.push(Line::new(0, Tone::Plain, format!("\"{song}\": {}", slots.join(", "))));
    }
    for (slot, scene) in &comparison.touched.unplayed {
        let text = format!("{} `{}`: no song plays it any more", words::slot(new, *slot), words::scene(new, *scene));
        lines.push(Line::new(0, Tone::Went, text));
    }
    for (slot, scene) in &comparison.touched.emptied {
        let text =
            format!("{} still holds `{}`, and nothing needs it", words::slot(old, *slot), words::scene(old, *scene));
        lines.push(Line::new(0, Tone::Went, text));
    }
    Section { title: "Touched: songs and their slots".to_owned(), lead: String::new(), lines }
}

/// Presets to step through afterwards.
pub(super) fn step_through(comparison: &Comparison<'_>) -> Section {
    let steps = &comparison.step_through;
    let new = comparison.new;
    let mut lines = Vec::new();
    for (slot, scene, fresh) in &steps.steps {
        let name = words::scene(new, *scene);
        let says = crate::print::words::scene(new, *scene);
        let changes = words::count(*fresh, "change");
        lines.push(Line::ticked(0, format!("{} `{name}` ({changes}): {says}", words::slot(new, *slot))));
    }
    let fewest = if steps.fewest { "no fewer presets show them all" } else { "perhaps fewer would do" };
    let lead = format!(
        "Each cell in each value that was set, and each rewired loop, is seen once: {} in {} ({fewest}). This tests the board, not the memory: a slot that was skipped above does not show here.",
        words::count(steps.changes, "change"),
        words::count(steps.steps.len(), "preset")
    );
    Section { title: "To step through afterwards".to_owned(), lead, lines }
}
