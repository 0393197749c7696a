//! The technician's sheet: everything that is stored, wired and set by hand, and what was checked.

use super::reading::{breaks, heading, inside, labels, legend, memory, opening, program, safe, table, trouble};
use super::{PresetRow, Sheet, answers, figures};
use crate::Compiled;
use crate::book::{Device, DeviceKind, How};
use crate::check::{Diagnostic, Need, RULES, Severity, need};
use crate::ids::{DeviceId, Numbered};
use crate::print::doc::{Block, Cell, Doc, Look, Table, head, para as plain};
use crate::print::{helpers, supply, wiring, words};
use crate::study::buildcheck;
use crate::study::momentary::recovery;

/// The whole sheet.
pub fn doc(compiled: &Compiled, sheet: &Sheet) -> Doc {
    let title = format!("{}: technician", heading(sheet));
    let mut blocks = Vec::new();
    if let Some((slot, scene)) = &sheet.safe {
        blocks.push(safe(slot, scene));
    }
    if !sheet.answers.is_empty() {
        blocks.extend(answers::section(compiled, &sheet.answers));
    }
    blocks.extend(sheet.changed.iter().cloned());
    cautions(compiled, &mut blocks);
    power_up(compiled, &mut blocks);
    labels(sheet, &mut blocks);
    blocks.extend(helpers::blocks(compiled));
    remotes(compiled, &mut blocks);
    outputs(compiled, &mut blocks);
    knobs(compiled, &mut blocks);
    blocks.extend(supply::section(&compiled.book.board, compiled.supply()));
    let leads = compiled.wiring();
    let steps = buildcheck::steps(&compiled.book.board, compiled.route(), leads);
    blocks.extend(wiring::check::section(&compiled.book, leads, &steps));
    trouble(sheet, &mut blocks);
    blocks.extend(breaks(sheet, true));
    let drawn = "Below each table the way of the signal: a black box is in, a frame always is; a wire that ends at a bar \
                 goes out at no jack.";
    let drawn = Block::Told(String::new(), vec![plain(drawn)]);
    let inputs = compiled.book.board.switcher.as_ref().is_some_and(|s| s.inputs > 0);
    let mut first = vec![head(2, "truth tables, bank by bank"), legend(sheet, inputs), drawn];
    for (bank, rows) in banks(compiled, sheet) {
        let mut inner = std::mem::take(&mut first);
        inner.extend([head(3, &bank), Block::Table(table(sheet, &rows))]);
        inner.extend(inside(&rows));
        inner.extend(figures::chain(compiled, sheet, &rows).map(Block::Figure));
        blocks.push(Block::Together(inner));
    }
    for night in &sheet.nights {
        let Some(figure) = figures::overview(sheet, night) else { continue };
        let says = "Songs across, cells down. Thin bar: on, and stays. Black block: comes in or changes. \
                    Open box: goes out.";
        let says = Block::Told(String::new(), vec![plain(says)]);
        let names = night.entries.iter().filter_map(|e| match e {
            super::Entry::Song(song) => Some(format!("{} {}", song.number, song.title)),
            super::Entry::Pause(_) | super::Entry::Encore => None,
        });
        let key = plain(names.collect::<Vec<_>>().join(" · "));
        let title = head(2, &format!("what moves: {}", night.title));
        blocks.push(Block::Together(vec![title, says, Block::Figure(figure), key]));
    }
    checks(compiled, &mut blocks);
    memory(sheet, &mut blocks);
    program(sheet, &mut blocks);
    Doc {
        opening: opening(sheet, &title),
        title,
        narrow: true,
        small: sheet.small.join(" · "),
        draft: sheet.draft,
        blocks,
        ..Doc::default()
    }
}

/// Presets by bank; those in no slot come last.
fn banks(compiled: &Compiled, sheet: &Sheet) -> Vec<(String, Vec<PresetRow>)> {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let mut out: Vec<(String, Vec<PresetRow>)> = Vec::new();
    for (preset, row) in compiled.presets.iter().zip(&sheet.presets) {
        let bank = preset
            .slot
            .zip(range)
            .map_or("in no slot".to_owned(), |(slot, range)| format!("bank {}", range.first_bank + slot.bank));
        match out.last_mut().filter(|(name, _)| *name == bank) {
            Some((_, rows)) => rows.push(row.clone()),
            None => out.push((bank, vec![row.clone()])),
        }
    }
    out
}

fn para(strong: &str, plain: &str) -> Block {
    Block::Para(vec![(strong.to_owned(), Look::Strong), (plain.to_owned(), Look::Plain)])
}

fn cautions(compiled: &Compiled, blocks: &mut Vec<Block>) {
    let mut inner = vec![head(2, "cautions")];
    if compiled.book.board.devices.iter().any(|d| d.kind == DeviceKind::Amp) {
        let says = "valve amplifiers hold lethal voltage after they are unplugged: leave their inside alone";
        inner.push(para("amplifiers: ", says));
    }
    inner.push(para("supplies: ", "mains wiring is for licensed people under local code: leave supplies closed"));
    let under: Vec<&str> =
        sorted(&compiled.book.board.devices).into_iter().filter(|d| d.under()).map(|d| d.name.as_str()).collect();
    if !under.is_empty() {
        inner.push(para("under the raised row, out of reach on stage: ", &under.join(", ")));
    }
    blocks.push(Block::Together(inner));
}

fn sorted(devices: &Numbered<DeviceId, Device>) -> Vec<&Device> {
    let mut all: Vec<&Device> = devices.iter().collect();
    all.sort_by_key(|d| (d.loop_at.map_or(u16::MAX, |l| l.value), d.name.as_str()));
    all
}

fn power_up(compiled: &Compiled, blocks: &mut Vec<Block>) {
    let mut inner = vec![head(2, "after power-up, and back in step")];
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    if let (Some(wakes), Some(range)) = (compiled.book.board.timing.wakes, range) {
        inner.push(para("the unit stands at ", &range.show(wakes.value)));
    }
    if !compiled.momentary.buttons.list.is_empty() {
        inner.push(para("pulses were tried on these ways in: ", &words::ways_in(&compiled.book.board)));
    }
    let mut recoveries = recovery::list(&compiled.book, &compiled.table);
    recoveries.sort_by(|a, b| a.what.cmp(&b.what));
    for found in recoveries {
        let owner = compiled.book.board.devices.get(found.device);
        let reach = if owner.is_some_and(Device::under) { "; it sits under the raised row" } else { "" };
        inner.push(para(&format!("{}: ", found.what), &format!("{}; {}{reach}", found.stands, found.way)));
    }
    if inner.len() > 1 {
        blocks.push(Block::Together(inner));
    }
}

fn remotes(compiled: &Compiled, blocks: &mut Vec<Block>) {
    let mut rows = Vec::new();
    for device in &compiled.book.board.devices {
        for control in &device.controls {
            if let How::Pulses { contact, count, .. } = &control.how {
                let does = format!("{count} pulses, a beat apart");
                rows.push((*contact, device.name.clone(), control.name.clone(), does));
            }
            let How::Remote { contacts, momentary, shared, normally_closed } = &control.how else { continue };
            if device.helper.is_some() {
                let does = match control.states.as_slice() {
                    [out, inside] => format!("open: {}, closed: {}", out.name, inside.name),
                    _ => "calls its presets, as listed with them".to_owned(),
                };
                rows.extend(contacts.iter().map(|c| (*c, device.name.clone(), control.name.clone(), does.clone())));
                continue;
            }
            for (n, contact) in contacts.iter().enumerate() {
                let states = control.states.iter().map(|s| {
                    // A pulse names no state: it moves to the next.
                    if *momentary {
                        return s.name.clone();
                    }
                    let closed = s.pattern.get(n).copied().unwrap_or(false);
                    format!("{} {}", if closed { "closed:" } else { "open:" }, s.name)
                });
                let mut does: Vec<String> = states.collect();
                if !momentary {
                    does.sort();
                }
                let notes = [(*momentary, "momentary"), (*shared, "shared"), (*normally_closed, "normally closed")];
                does.extend(notes.iter().filter(|(is, _)| *is).map(|(_, word)| (*word).to_owned()));
                rows.push((*contact, device.name.clone(), control.name.clone(), does.join(", ")));
            }
        }
    }
    rows.sort();
    if rows.is_empty() {
        return;
    }
    let rows = rows.into_iter().map(|(contact, device, control, does)| {
        [contact.says(), device, control, does].into_iter().map(|t| Cell::new(t, Look::Plain)).collect()
    });
    let heads = ["contact", "device", "control", "what it does"];
    let table = Table::new("remote contacts", &heads, 3, &[3], rows.collect());
    blocks.push(Block::Together(vec![head(2, "remotes: what each contact does"), Block::Table(table)]));
}

fn outputs(compiled: &Compiled, blocks: &mut Vec<Block>) {
    let count = compiled.book.board.switcher.as_ref().map_or(0, |s| s.outputs);
    let rows = (1..=count).map(|n| {
        let fed = sorted(&compiled.book.board.devices).into_iter().filter(|d| d.fed_by.is_some_and(|f| f.value == n));
        let fed: Vec<String> =
            fed.map(|d| d.title.as_ref().map_or(d.name.clone(), |t| format!("{}, {t}", d.name))).collect();
        let fed = if fed.is_empty() { "nothing".to_owned() } else { fed.join("; ") };
        vec![Cell::new(n.to_string(), Look::Strong), Cell::new(fed, Look::Plain)]
    });
    let table = Table::new("outputs", &["output", "feeds"], 1, &[1], rows.collect());
    if count > 0 {
        blocks.push(Block::Together(vec![head(2, "outputs"), Block::Table(table)]));
    }
}

fn knobs(compiled: &Compiled, blocks: &mut Vec<Block>) {
    let devices = sorted(&compiled.book.board.devices).into_iter().filter(|d| !d.knobs.is_empty());
    let rows = devices.map(|device| {
        let knobs: Vec<String> = device.knobs.iter().map(|(name, at)| format!("{name} {at}")).collect();
        vec![Cell::new(&device.name, Look::Strong), Cell::new(knobs.join(", "), Look::Plain)]
    });
    let rows: Vec<Vec<Cell>> = rows.collect();
    if rows.is_empty() {
        return;
    }
    let table = Table::new("knobs", &["device", "knobs, set by hand before the show"], 1, &[1], rows);
    blocks.push(Block::Together(vec![head(2, "knobs"), Block::Table(table)]));
}

fn checks(compiled: &Compiled, blocks: &mut Vec<Block>) {
    let allowed = compiled.book.allows.iter();
    let mut allowed: Vec<(String, &str)> = allowed
        .map(|a| (format!("{} {}", a.code, a.names.join(" to ")).trim_end().to_owned(), a.reason.as_str()))
        .collect();
    allowed.sort();
    if !allowed.is_empty() {
        let mut inner = vec![head(2, "warnings met on purpose")];
        inner.extend(allowed.iter().map(|(what, why)| para(&format!("{what}: "), why)));
        blocks.push(Block::Together(inner));
    }
    let lacks = |d: &&Diagnostic| d.code == "missing-value";
    let open = compiled.diagnostics().iter().filter(|d| d.severity == Severity::Warning && !lacks(d));
    let mut open: Vec<(&str, &str)> = open.map(|d| (d.code, d.message.as_str())).collect();
    open.sort_unstable();
    if !open.is_empty() {
        blocks.push(head(2, "warnings that stand"));
        blocks.extend(open.iter().map(|(code, says)| para(&format!("{code}: "), says)));
    }
    blocks.push(head(2, "what was checked"));
    let idle = need::wanting(&compiled.book);
    let ran: Vec<&str> =
        RULES.iter().map(|r| r.code).filter(|code| !idle.iter().any(|(_, codes)| codes.contains(code))).collect();
    blocks.push(para("ran: ", &ran.join(", ")));
    for (why, codes) in &idle {
        blocks.push(para("could not run: ", &format!("{}: {why}", codes.join(", "))));
    }
    let met = compiled.allowed().iter().map(|a| &a.diagnostic);
    let wanting = compiled.diagnostics().iter().chain(met).filter(lacks);
    let mut wanting: Vec<&str> = wanting.map(|d| d.message.as_str()).collect();
    wanting.sort_unstable();
    for says in wanting {
        blocks.push(para("ran in part: ", &format!("{}: {says}", Need::Values.rules().join(", "))));
    }
}
