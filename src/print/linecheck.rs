//! The line check: what to step through, in silence and with sound, and what a failure points at.

use super::doc::{Block, Cell, Doc, Item, List, Look, Mark, Table, head, para};
use crate::Compiled;
use crate::book::{DeviceKind, amount};
use crate::compare::stored::label;
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::{CellKind, Value};
use crate::study::linecheck::{LineCheck, Step, Use, least_tests};
use crate::written::{cell, switch};

/// Printed where amplifiers come into it.
const CAUTION: &str = "Caution: never run a valve amplifier without its speaker. Standby and power off before a lead at an \
                       amplifier is moved. Valve amplifiers hold lethal voltage after they are unplugged: leave their inside, \
                       and mains wiring, to licensed people under local code.";

/// What is printed beside the check itself.
#[derive(Clone, Debug, Default)]
pub struct Beside {
    /// For each pattern that more than one failure has: a scene to add that tells the first two apart, if one was found.
    pub scenes: Vec<(usize, Option<String>)>,
    /// What is checked: all of it, a set, what another book changed.
    pub of: String,
}

/// The whole.
pub fn doc(compiled: &Compiled, check: &LineCheck, beside: &Beside) -> Doc {
    let mut blocks = Vec::new();
    if check.steps.is_empty() {
        blocks.push(para(format!("Nothing to check: no preset uses anything of {}.", beside.of)));
        return Doc::report(compiled, "line check", blocks);
    }
    blocks.extend(sums(check, beside).into_iter().map(para));
    if compiled.book.board.devices.iter().any(|d| d.kind == DeviceKind::Amp) {
        blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    }
    blocks.push(head(2, "in silence: amplifiers on standby"));
    blocks.push(para("Press each; hold relays and lights against the line."));
    let silent = check.steps.iter().zip(1..).map(|(step, n)| {
        item(0, Mark::Tick, format!("{n:>2}  {}: {}", called(compiled, step), lights(compiled, step.scene)))
    });
    blocks.push(list(silent));
    blocks.push(head(2, "with sound"));
    blocks.push(para("Play at each; below it stands what no step before it showed."));
    let mut items = Vec::new();
    for (step, n) in check.steps.iter().zip(1..) {
        items.push(item(0, Mark::Tick, format!("{n:>2}  {}", called(compiled, step))));
        items.extend(named(compiled, check, &step.fresh).map(|says| item(1, Mark::Tick, says)));
    }
    blocks.push(list(items));
    if !check.one_way.is_empty() {
        blocks.push(head(2, "not seen both ways: every preset that is heard has it so"));
        blocks.push(list(check.one_way.iter().map(|one| item(0, Mark::None, says(compiled, *one)))));
    }
    if !check.patterns.is_empty() {
        blocks.push(head(2, "what failed"));
        blocks.push(para("When one thing fails, it is missed at these steps and at no other."));
        let rows = check.patterns.iter().map(|pattern| {
            let or = named(compiled, check, &pattern.uses).collect::<Vec<_>>().join(", or ");
            Cell::row([numbers(&pattern.steps), or])
        });
        blocks.push(Block::Table(Table::new("what failed", &["missed at", "culprit"], 1, &[1], rows.collect())));
    }
    if !beside.scenes.is_empty() {
        blocks.push(head(2, "look alike"));
        let items = beside.scenes.iter().flat_map(|(at, scene)| {
            let uses = check.patterns.get(*at).map_or(&[][..], |p| &p.uses);
            let two = named(compiled, check, uses.get(..2).unwrap_or(uses)).collect::<Vec<_>>().join(" and ");
            [item(0, Mark::None, two), item(1, Mark::None, way(compiled, scene.as_deref()))]
        });
        blocks.push(list(items));
    }
    if !switch::names(&compiled.book.board).is_empty() {
        blocks.push(para(
            "Not counted: what switches inside the presets bring. Press each once where its preset is stepped through.",
        ));
    }
    Doc::report(compiled, "line check", blocks)
}

/// One record a thing to look at (RFC 4180).
pub fn csv(compiled: &Compiled, check: &LineCheck, beside: &Beside) -> String {
    let mut records: Vec<[String; 5]> = Vec::new();
    let step = |pass: &str, (step, n): (&Step, usize), what: String| {
        let name = scene(compiled, step.scene).to_owned();
        [pass.to_owned(), n.to_string(), slot(compiled, step), name, what]
    };
    let bare = |pass: &str, steps: String, what: String| [pass.to_owned(), steps, String::new(), String::new(), what];
    records.extend(check.steps.iter().zip(1..).map(|s| step("silent", s, lights(compiled, s.0.scene))));
    for numbered in check.steps.iter().zip(1..) {
        records.extend(named(compiled, check, &numbered.0.fresh).map(|says| step("sound", numbered, says)));
    }
    records.extend(check.one_way.iter().map(|one| bare("one way", String::new(), says(compiled, *one))));
    for pattern in &check.patterns {
        let or = named(compiled, check, &pattern.uses);
        records.extend(or.map(|says| bare("failed", numbers(&pattern.steps), says)));
    }
    let steps = |at: usize| check.patterns.get(at).map_or(String::new(), |p| numbers(&p.steps));
    records.extend(beside.scenes.iter().map(|(at, s)| bare("alike", steps(*at), way(compiled, s.as_deref()))));
    super::csv::records(&["pass", "step", "slot", "scene", "what"], records)
}

fn sums(check: &LineCheck, beside: &Beside) -> Vec<String> {
    let (steps, ways) = (check.steps.len(), check.uses.len());
    let s = if steps == 1 { "" } else { "s" };
    let proof = match check.fewest() {
        true => "No fewer do: proved.".to_owned(),
        false => format!("No fewer than {} do; whether {steps} are the fewest is not proved.", check.bound),
    };
    let of = &beside.of;
    let mut out = vec![format!("Of {of}: {steps} preset{s} to step through, {ways} things to see. {proof}")];
    if !check.patterns.is_empty() {
        let alike: usize = check.patterns.iter().filter(|p| p.uses.len() > 1).count();
        let told = check.patterns.len();
        out.push(format!(
            "{ways} single failures give {told} patterns, {alike} of them shared; so many take at least {} tests that pass or fail.",
            least_tests(told)
        ));
    }
    out
}

fn way(compiled: &Compiled, scene: Option<&str>) -> String {
    match scene {
        Some(line) if compiled.book.show.auto => format!("add: {line}"),
        Some(line) => format!("add, with a slot: {line}"),
        None => "no scene with one thing turned over was found that tells them apart".to_owned(),
    }
}

fn item(depth: usize, mark: Mark, text: String) -> Item {
    Item { depth, mark, words: vec![(text, Look::Plain)] }
}

fn list(items: impl IntoIterator<Item = Item>) -> Block {
    Block::List(List { columns: (0, 8), items: items.into_iter().collect() })
}

fn numbers(steps: &[usize]) -> String {
    steps.iter().map(|s| (s + 1).to_string()).collect::<Vec<_>>().join(" ")
}

fn named<'c>(compiled: &'c Compiled, check: &'c LineCheck, uses: &'c [usize]) -> impl Iterator<Item = String> + 'c {
    uses.iter().filter_map(|u| Some(says(compiled, *check.uses.get(*u)?)))
}

fn scene(compiled: &Compiled, scene: SceneId) -> &str {
    compiled.book.show.scene(scene).map_or("", |s| &s.name)
}

fn slot(compiled: &Compiled, step: &Step) -> String {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    range.map_or(String::new(), |range| range.show(step.slot))
}

/// A preset by its slot and name, and what the unit shows of the name.
fn called(compiled: &Compiled, step: &Step) -> String {
    let name = scene(compiled, step.scene);
    let shown = label(compiled, step.scene).filter(|shown| *shown != name);
    let shows = shown.map_or(String::new(), |shown| format!(" (shows {shown})"));
    format!("{} {name}{shows}", slot(compiled, step))
}

/// What can be seen of a preset without a sound: loops in, contacts closed or pulsing, outputs on.
fn lights(compiled: &Compiled, scene: SceneId) -> String {
    let mut lit: [Vec<String>; 6] = Default::default();
    let [loops, closed, pulses, outputs, guitars, orders] = &mut lit;
    for (cell, at) in compiled.table.cells.list.numbered() {
        match (cell.kind, compiled.table.stored(scene, at)) {
            (CellKind::Loop(n), Value::On) => loops.push(compiled.book.board.loop_short(n)),
            (CellKind::Contact(contact), Value::On) => closed.push(contact.says()),
            (CellKind::Contact(contact), Value::Pulse) => pulses.push(contact.says()),
            (CellKind::Output(n), Value::On) => outputs.push(n.to_string()),
            (CellKind::Guitar, Value::Input(n)) => guitars.push(n.to_string()),
            (CellKind::Order, Value::Order(order)) => {
                orders.extend(order.moved(&compiled.book.board).iter().map(u16::to_string));
            }
            _ => {}
        }
    }
    let heads = ["loops", "closed", "pulses", "outputs", "guitar input", "order of loops"];
    let told = heads.iter().zip(&lit).filter(|(head, list)| !list.is_empty() || matches!(**head, "loops" | "outputs"));
    let told = told
        .map(|(head, list)| format!("{head} {}", if list.is_empty() { "none".to_owned() } else { list.join(", ") }));
    told.collect::<Vec<_>>().join("; ")
}

/// A use in the musician's words, the cell behind it.
fn says(compiled: &Compiled, one: Use) -> String {
    let board = &compiled.book.board;
    let Some(cell) = compiled.table.cells.list.get(one.cell) else { return String::new() };
    let (what, place) = match cell.kind {
        CellKind::Loop(n) => {
            let what = if one.value == Value::On { "engaged" } else { "bypassed" };
            return match board.in_loop(n) {
                Some(pedal) => format!("{} {what} ({})", pedal.name, board.loop_says(n)),
                None => format!("{} {what}", board.loop_says(n)),
            };
        }
        CellKind::Output(n) => {
            let amps: Vec<String> = cell::owners(board, cell);
            let amps = if amps.is_empty() { String::new() } else { format!(" ({})", amps.join(", ")) };
            return format!("output {n} {}{amps}", if one.value == Value::On { "on" } else { "off" });
        }
        CellKind::Guitar => {
            let Value::Input(input) = one.value else { return String::new() };
            return format!("{} heard (guitar input {input})", board.plugged(input));
        }
        CellKind::Order => {
            let Value::Order(order) = one.value else { return String::new() };
            return cell::in_order(board, order);
        }
        CellKind::Contact(contact) => match one.value {
            Value::On => ("closed", contact.says()),
            Value::Off => ("open", contact.says()),
            Value::Pulse => ("pulsed", contact.says()),
            _ => ("", contact.says()),
        },
        CellKind::Taps { contact, .. } => ("", contact.says()),
        CellKind::Clock => ("", "clock".to_owned()),
        CellKind::Port(n) => ("", format!("expression {n}")),
        CellKind::Trim(n) => ("", format!("trim of output {n}")),
        CellKind::Message { channel, device, control } => {
            let control = board.devices.get(device).and_then(|d| d.controls.get(control));
            let when = control.map_or(String::new(), |c| c.cue.says());
            ("", format!("midi {channel} {when}").trim_end().to_owned())
        }
        CellKind::ByFoot { .. } => ("", "by foot".to_owned()),
    };
    let states: Vec<String> = cell.users.iter().map(|user| stands(compiled, *user, one)).collect();
    let states = states.join(", ");
    match (what, states.is_empty()) {
        ("", true) => place,
        ("", false) => format!("{states} ({place})"),
        (what, true) => format!("{place} {what}"),
        (what, false) => format!("{states} ({place} {what})"),
    }
}

/// How a control stands then: its states that hold the value, or the level's amount.
fn stands(compiled: &Compiled, (device, control): (DeviceId, ControlId), one: Use) -> String {
    let owner = compiled.book.board.devices.get(device);
    let Some((owner, of)) = owner.and_then(|d| Some((d, d.controls.get(control)?))) else {
        return String::new();
    };
    let cells = &compiled.table.cells;
    let name = format!("{} {}", owner.name, of.name);
    if let (Value::Moved(travel), Some((from, to))) = (one.value, of.how.level()) {
        let steps = cells.list.get(one.cell).map_or(0, |c| c.steps);
        let end = |step: u16| amount::show(amount::at_step(step, steps, from, to));
        let (heel, toe) = travel.ends();
        let treadle = compiled.book.board.treadle_name(travel.input());
        return format!("{name} under {treadle}, from {} to {}", end(heel), end(toe));
    }
    if one.value.foot() {
        return format!("{name} under the foot");
    }
    if let (Value::Step(step), Some((from, to))) = (one.value, of.how.level()) {
        let steps = cells.list.get(one.cell).map_or(0, |c| c.steps);
        return format!("{name} at {}", amount::show(amount::at_step(step, steps, from, to)));
    }
    let column = cells.of_control(device, control).iter().position(|c| *c == one.cell);
    let holds =
        |state: usize| column.and_then(|c| cells.of_state(device, control, state as u16).get(c)) == Some(&one.value);
    let states = of.states.iter().enumerate().filter(|(at, _)| holds(*at)).map(|(_, s)| s.name.as_str());
    let states: Vec<&str> = states.collect();
    if states.is_empty() { name } else { format!("{name} {}", states.join(" or ")) }
}
