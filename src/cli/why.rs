//! `tipring why`: why a scene sounds as it does; which statement set a cell, and which it overrode.

use std::path::PathBuf;

use super::ask::{point, thing};
use super::kind::Kind;
use super::open::Opening;
use super::output::To;
use super::played;
use super::{CLEAN, Outcome, Trouble};
use crate::Compiled;
use crate::ask::Thing;
use crate::book::Plugged;
use crate::ids::{ColumnId, SceneId};
use crate::print::sheet::answers::Answer;
use crate::print::why::{self, Asked};
use crate::settle::why::column;

/// A way out is tried on the whole book, so only for so many places that were asked after, and so many scenes compiled.
const ADVISED: usize = 12;
const COMPILED: usize = 50_000;

/// Tell why a pedal is in or out, and how it is set
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring why examples/winter \"bridge of Ferry Without Bells\" tremolo
  tipring why examples/winter bridge tremolo
  tipring why examples/winter summit
  tipring why examples/winter 1.2 alder.sparkle
  tipring why examples/winter summit loop-5 --cells
  tipring why examples/winter summit --notes notes.txt")]
pub(super) struct Args {
    #[command(flatten)]
    opening: Opening,
    /// A part of a song, a part in every song that has one, a scene, or a slot as the switcher shows it
    part: String,
    /// A pedal or amp by any word that the book has for it, one of its controls, a jack, a treadle, a switch inside the preset,
    /// or `order`; all when left out
    thing: Vec<String>,
    /// Cells and what they hold, with every statement behind them
    #[arg(long)]
    cells: bool,
    /// What the player noted on the stage page: what stands there of these scenes comes first (- is standard input)
    #[arg(long, value_name = "FILE")]
    notes: Option<PathBuf>,
    #[command(flatten)]
    out: To,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.out.only(Kind::Text)?;
    args.out.spares(args.notes.as_deref())?;
    let noted = args.notes.as_deref().map(played::noted).transpose()?.unwrap_or_default();
    let compiled = args.opening.open()?.fill_least();
    let mut spots = point(&compiled, &args.part)?;
    // A part named like the scene that it plays sounds like it.
    let scene = spots.iter().find(|s| s.part.is_none()).map(|s| s.scene);
    spots.retain(|s| s.part.is_none() || Some(s.scene) != scene);
    let words = args.thing.join(" ");
    let mut out = said(&compiled, spots.iter().map(|s| s.scene), &noted);
    // A column that nothing on the board bears the name of.
    let column_alone = || column(&compiled.table.cells, &words).is_some() && thing(&compiled, &words).is_err();
    if args.cells || column_alone() {
        let wanted = cells(&compiled, &words)?;
        let mut scenes: Vec<SceneId> = spots.iter().map(|s| s.scene).collect();
        let several = {
            scenes.dedup();
            scenes.len() > 1
        };
        for scene in scenes {
            let name = compiled.book.show.scene(scene).map_or("", |s| &s.name);
            out += &if several { format!("# {name}\n") } else { String::new() };
            out += &why::cells(&compiled, scene, &wanted);
        }
    } else {
        let thing = if words.is_empty() { None } else { Some(thing(&compiled, &words)?) };
        if let Some(thing) = &thing {
            answered(&compiled, thing)?;
        }
        let advised = (COMPILED / compiled.book.show.scenes.len().max(1)).clamp(1, ADVISED);
        for (n, spot) in spots.into_iter().enumerate() {
            let asked = Asked { compiled: &compiled, spot, advise: thing.is_some() && n < advised };
            out += &why::says(&asked, thing.as_ref());
        }
    }
    args.out.write(out.as_bytes())?;
    Ok(CLEAN)
}

/// What the player noted of these scenes.
fn said(compiled: &Compiled, scenes: impl Iterator<Item = SceneId>, noted: &[Answer]) -> String {
    let show = &compiled.book.show;
    let names: Vec<&str> = scenes.filter_map(|id| Some(show.scene(show.base(id))?.name.as_str())).collect();
    let own = noted.iter().filter(|a| names.contains(&a.scene.as_str()));
    let line = |a: &Answer| format!("the player says: {}  (\"{}\", {}; {})\n", a.says, a.song, a.part, a.version);
    own.map(line).collect()
}

/// A guitar is no matter of a scene.
fn answered(compiled: &Compiled, thing: &Thing) -> Result<(), Trouble> {
    match thing {
        Thing::Guitar(_) if compiled.table.cells.guitar_cell().is_some() => Ok(()),
        Thing::Message { .. } | Thing::Guitar(_) | Thing::Tuning(_) | Thing::Scene(_) => {
            let says = thing.says(&compiled.book);
            Err(Trouble(format!("{says}: no scene decides that; `tipring where` tells where it is used")))
        }
        _ => Ok(()),
    }
}

/// The cells of a cell's own name, of a device, or of a control; all for no words.
fn cells(compiled: &Compiled, words: &str) -> Result<Vec<ColumnId>, Trouble> {
    let cells = &compiled.table.cells;
    if words.is_empty() {
        return Ok(cells.list.ids().collect());
    }
    if let Some(cell) = column(cells, words) {
        return Ok(vec![cell]);
    }
    let thing = thing(compiled, words)?;
    answered(compiled, &thing)?;
    let port = |n: u16| column(cells, &format!("expression-{n}"));
    let mut found: Vec<ColumnId> = match thing {
        Thing::Device(d) => {
            let device = compiled.book.board.devices.get(d);
            let controls = device.into_iter().flat_map(|d| d.controls.ids());
            let fed = device.and_then(|d| d.fed_by).and_then(|f| cells.output_cell(f.value));
            let controls = controls.flat_map(|c| cells.of_control(d, c).iter().copied());
            cells.engaging(d).iter().copied().chain(fed).chain(controls).collect()
        }
        Thing::Control(d, c)
        | Thing::State(d, c, _)
        | Thing::Foot(d, c)
        | Thing::Level { device: d, control: c, .. } => cells.of_control(d, c).to_vec(),
        Thing::Loop(n) => cells.loop_cell(n).into_iter().collect(),
        Thing::Contact(contact, _) => cells.contact_cell(contact.jack, contact.ring).into_iter().collect(),
        Thing::Port(n) => port(n).into_iter().collect(),
        Thing::Output(n, _) => cells.output_cell(n).into_iter().collect(),
        Thing::Guitar(_) => cells.guitar_cell().into_iter().collect(),
        Thing::Order => cells.order_cell().into_iter().collect(),
        Thing::Treadle(t) => match compiled.book.board.treadles.get(t).map(|t| t.plugged) {
            Some(Plugged::Port(n)) => port(n).into_iter().collect(),
            _ => {
                let says = format!("`{words}` is no cell, it moves some: without `--cells` it is told what it moves");
                return Err(Trouble(says));
            }
        },
        Thing::Switch(_) => {
            let says = format!("`{words}` is no cell, it moves some: without `--cells` it is told what it does");
            return Err(Trouble(says));
        }
        Thing::Message { .. } | Thing::Tuning(_) | Thing::Scene(_) => Vec::new(),
    };
    found.sort_unstable();
    found.dedup();
    match found.is_empty() {
        true => Err(Trouble(format!("a preset stores nothing of `{words}`"))),
        false => Ok(found),
    }
}
