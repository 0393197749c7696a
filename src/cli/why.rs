//! `tipring why`: which statement set a cell, and which it overrode.

use super::open::Opening;
use super::{CLEAN, Outcome, Trouble, output};
use crate::Compiled;
use crate::book::words;
use crate::print::cell;
use crate::settle::why::{Rank, Reason, column, reasons};

/// Show the statements behind a preset's cells, the winner first
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring why examples/winter summit
  tipring why examples/winter 1.2 loop-5")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// A scene's name, or a slot as the switcher shows it
    preset: String,
    /// A cell as the table names it; all cells when left out
    cell: Option<String>,
}

pub(super) fn run(args: &Args) -> Outcome {
    let mut compiled = args.opening.open()?;
    compiled.fill_least();
    let scene = find(&compiled, &args.preset)?;
    let cells = &compiled.table.cells;
    let wanted: Vec<u16> = match &args.cell {
        Some(name) => match column(cells, name) {
            Some(cell) => vec![cell],
            None => {
                let near = crate::near::nearest(name, cells.list.iter().map(|c| c.name.as_str()));
                let offer = near.map_or("`tipring table` shows all".to_owned(), |n| format!("did you mean `{n}`?"));
                return Err(Trouble(format!("there is no cell `{name}`; {offer}")));
            }
        },
        None => (0..cells.len() as u16).collect(),
    };
    let mut out = String::new();
    for cell in wanted {
        explain(&compiled, scene, cell, &mut out);
    }
    output::print(out.as_bytes())?;
    Ok(CLEAN)
}

/// A scene by its name, else by its slot.
pub(super) fn find(compiled: &Compiled, name: &str) -> Result<u32, Trouble> {
    let named = compiled.book.scenes.iter().position(|s| *s.name == *name && !s.double);
    let range = compiled.book.switcher.as_ref().and_then(|s| s.slots);
    let slot = range.and_then(|r| r.read(name));
    let stored = || compiled.presets.iter().find(|p| slot.is_some() && p.slot == slot).map(|p| p.scene);
    named.map(|id| id as u32).or_else(stored).ok_or_else(|| {
        let near = crate::near::nearest(name, compiled.book.scenes.iter().map(|s| &*s.name));
        let offer = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        Trouble(format!("no scene and no filled slot is called `{name}`{offer}"))
    })
}

fn explain(compiled: &Compiled, scene: u32, at: u16, out: &mut String) {
    let Compiled { book, table, files, .. } = compiled;
    let Some(column) = table.cells.list.get(at as usize) else { return };
    out.push_str(&column.name);
    out.push_str(" = ");
    cell::write(out, book, column, table.stored(scene, at));
    if table.is_free(scene, at) {
        let moved = table.stored(scene, at) != table.value(scene, at);
        out.push_str(if moved {
            "  (free: it does not matter here; chosen so that the fewest contacts move over the sets)"
        } else {
            "  (free: it does not matter here)"
        });
    }
    out.push('\n');
    let found = reasons(book, table, scene, at);
    if !found.iter().any(|r| r.live) {
        let nobody = if column.users.is_empty() { "nobody says otherwise" } else { "nobody says it" };
        out.push_str(&format!("  {nobody}\n"));
    }
    for reason in &found {
        let who = speaker(compiled, reason);
        let says = book.sayings.get(reason.saying as usize).map_or(String::new(), |s| words::saying(book, files, s));
        let mark = if reason.live { "  " } else { "  overridden: " };
        out.push_str(&format!("{mark}{who} wants {says}  {}\n", files.at(reason.at)));
    }
}

fn speaker(compiled: &Compiled, reason: &Reason) -> String {
    let scene = |id: u32| compiled.book.scene(id).map_or("", |s| &s.name);
    match reason.rank {
        Rank::Own(id) => format!("`{}`", scene(id)),
        Rank::Layer(layer, id) => {
            let layer = compiled.book.layers.get(layer as usize).map_or("", |l| &l.name);
            format!("layer `{layer}` (in `{}`)", scene(id))
        }
        Rank::Default => "the default".to_owned(),
    }
}
