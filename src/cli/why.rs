//! `tipring why`: which statement set a cell, and which it overrode.

use super::kind::Kind;
use super::offer::{meant, offer};
use super::open::Opening;
use super::output::To;
use super::{CLEAN, Outcome, Trouble};
use crate::Compiled;
use crate::book::words;
use crate::print::cell;
use crate::settle::CellKind;
use crate::settle::why::{Rank, Reason, column, reasons};

/// Show the statements behind a preset's cells, the winner first
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring why examples/winter summit
  tipring why examples/winter 1.2 alder.sparkle
  tipring why examples/winter 1.2 loop-5")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// A scene's name, or a slot as the switcher shows it
    preset: String,
    /// A pedal or amp, one of its controls as `pedal.control`, or a cell as the table names it; all when left out
    cell: Option<String>,
    #[command(flatten)]
    out: To,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.out.only(Kind::Text)?;
    let compiled = args.opening.open()?.fill_least();
    let scene = find(&compiled, &args.preset)?;
    let cells = &compiled.table.cells;
    let wanted: Vec<u16> = match &args.cell {
        Some(name) => called(&compiled, name)?,
        None => (0..cells.len() as u16).collect(),
    };
    let mut out = String::new();
    for cell in wanted {
        explain(&compiled, scene, cell, &mut out);
    }
    args.out.write(out.as_bytes())?;
    Ok(CLEAN)
}

/// The cells of a cell's own name, of a device by its name or its label, or of a `device.control`.
fn called(compiled: &Compiled, name: &str) -> Result<Vec<u16>, Trouble> {
    let (book, cells) = (&compiled.book, &compiled.table.cells);
    if let Some(cell) = column(cells, name) {
        return Ok(vec![cell]);
    }
    let (owner, control) = name.split_once('.').map_or((name, None), |(owner, control)| (owner, Some(control)));
    let devices = || book.board.devices.iter().enumerate();
    let named = devices().find(|(_, d)| d.name == owner);
    let named = named.or_else(|| devices().find(|(_, d)| d.label().eq_ignore_ascii_case(owner)));
    let mut found = Vec::new();
    let mut known = false;
    if let Some((at, device)) = named {
        known = control.is_none_or(|wanted| device.controls.iter().any(|c| c.name == wanted));
        if control.is_none() {
            found.extend(cells.engaging(at as u16));
            found.extend(device.fed_by.and_then(|f| cells.output_cell(f.value)));
        }
        let controls =
            device.controls.iter().enumerate().filter(|(_, c)| control.is_none_or(|wanted| c.name == wanted));
        found.extend(controls.flat_map(|(c, _)| cells.of_control(at as u16, c as u16)));
    }
    found.sort_unstable();
    found.dedup();
    if found.is_empty() && known {
        return Err(Trouble(format!("a preset stores nothing of `{name}`")));
    }
    if found.is_empty() {
        let devices = book.board.devices.iter();
        let controls = devices.clone().flat_map(|d| d.controls.iter().map(|c| format!("{}.{}", d.name, c.name)));
        let has: Vec<String> =
            devices.map(|d| d.name.clone()).chain(controls).chain(cells.list.iter().map(|c| c.name.clone())).collect();
        let meant = meant(name, has.iter().map(String::as_str));
        let offer = meant.unwrap_or_else(|| "`tipring table` shows all cells".to_owned());
        return Err(Trouble(format!("nothing that a preset stores is called `{name}`; {offer}")));
    }
    Ok(found)
}

/// A scene by its name, else by its slot; capitals count only where two names differ by them.
pub(super) fn find(compiled: &Compiled, name: &str) -> Result<u32, Trouble> {
    let scenes = || compiled.book.show.scenes.iter().enumerate().filter(|(_, s)| !s.repeated);
    let named = scenes().find(|(_, s)| *s.name == *name);
    let mut alike = scenes().filter(|(_, s)| s.name.to_lowercase() == name.to_lowercase());
    let alone = alike.next().filter(|_| alike.next().is_none());
    let named = named.or(alone).map(|(id, _)| id);
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let slot = range.and_then(|r| r.read(name));
    let stored = || compiled.presets.iter().find(|p| slot.is_some() && p.slot == slot).map(|p| p.scene);
    named.map(|id| id as u32).or_else(stored).ok_or_else(|| {
        let offer = offer(name, compiled.book.show.scenes.iter().map(|s| &*s.name));
        Trouble(format!("no scene and no filled slot is called `{name}`{offer}"))
    })
}

fn explain(compiled: &Compiled, scene: u32, at: u16, out: &mut String) {
    let (book, table, files) = (&compiled.book, &compiled.table, &compiled.files);
    let Some(column) = table.cells.list.get(at as usize) else { return };
    out.push_str(&column.name);
    out.push_str(" = ");
    cell::write(out, &book.board, column, table.stored(scene, at));
    if table.idle(scene, at) {
        let moved = table.stored(scene, at) != table.value(scene, at);
        out.push_str(if moved {
            "  (free: it does not matter here; chosen so that the fewest contacts move over the sets)"
        } else {
            "  (free: it does not matter here)"
        });
    } else if table.is_free(scene, at) {
        out.push_str("  (nobody hears the device here, but a pulse moves it on)");
    }
    out.push('\n');
    let found = reasons(book, table, scene, at);
    if !found.iter().any(|r| r.live) {
        let always_on = match column.kind {
            CellKind::Loop(number) => book.board.in_loop(number).filter(|d| d.always_on),
            _ => None,
        };
        match always_on {
            Some(device) => out.push_str(&format!("  `{}` is always on  {}\n", device.name, files.at(device.at))),
            None if column.holds_unsaid() => out.push_str("  nobody says otherwise\n"),
            None => out.push_str("  nobody says it\n"),
        }
    }
    for reason in &found {
        let who = speaker(compiled, reason);
        let says = words::saying(book, reason.saying);
        let mark = if reason.live { "  " } else { "  overridden: " };
        out.push_str(&format!("{mark}{who} wants {says}  {}\n", files.at(reason.at)));
    }
}

fn speaker(compiled: &Compiled, reason: &Reason) -> String {
    let scene = |id: u32| compiled.book.show.scene(id).map_or("", |s| &s.name);
    match reason.rank {
        Rank::Own(id) => format!("`{}`", scene(id)),
        Rank::Layer(layer, id) => {
            let layer = compiled.book.show.layers.get(layer as usize).map_or("", |l| &l.name);
            format!("layer `{layer}` (in `{}`)", scene(id))
        }
        Rank::Default => "the default".to_owned(),
    }
}
