//! Which scene stands in which slot, and where they would cost fewer presses.

use super::doc::{Block, Cell, Doc, Table, head, para};
use crate::Compiled;
use crate::book::Slot;
use crate::fill::Preset;
use crate::ids::SceneId;
use crate::study::slots::{Best, Rule};

/// Slot, scene, and whether the tool chose it.
fn fields(compiled: &Compiled, presets: &[Preset]) -> Vec<[String; 3]> {
    let presets = presets.iter().map(|preset| {
        let slot = preset.slot.map_or("-".to_owned(), |slot| shown(compiled, slot));
        [slot, name(compiled, preset.scene).to_owned(), if preset.chosen { "auto" } else { "" }.to_owned()]
    });
    presets.collect()
}

fn shown(compiled: &Compiled, slot: Slot) -> String {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    range.map_or("-".to_owned(), |range| range.show(slot))
}

fn name(compiled: &Compiled, scene: SceneId) -> &str {
    compiled.book.show.scene(scene).map_or("", |s| &s.name)
}

/// A row a preset.
pub fn doc(compiled: &Compiled, presets: &[Preset]) -> Doc {
    let fields = fields(compiled, presets);
    let wide = fields.iter().map(|[slot, ..]| slot.chars().count()).max().unwrap_or(0).max(6);
    let lines = fields.iter().map(|[slot, name, chosen]| {
        format!("{slot:<wide$} {name}{}\n", if chosen.is_empty() { String::new() } else { format!("  ({chosen})") })
    });
    let lines = lines.collect();
    let rows = fields.into_iter().map(Cell::row).collect();
    let table = Block::Table(Table::new("slots", &["slot", "scene", "chosen"], 2, &[], rows));
    let mut blocks = vec![Block::Told(lines, vec![table])];
    blocks.extend(super::helpers::blocks(compiled));
    Doc::report(compiled, "slots", blocks)
}

/// One record a preset (RFC 4180).
pub fn csv(compiled: &Compiled, presets: &[Preset]) -> String {
    super::csv::records(&["slot", "scene", "chosen"], fields(compiled, presets))
}

/// The same of better slots, each with what it holds today.
pub fn best_csv(compiled: &Compiled, best: &Best) -> String {
    let records =
        fields(compiled, &best.presets).into_iter().zip(&best.presets).map(|([slot, scene, chosen], preset)| {
            [slot, scene, chosen, preset.slot.map_or("", |slot| today(compiled, slot)).to_owned()]
        });
    super::csv::records(&["slot", "scene", "chosen", "today"], records)
}

/// What each run takes today and then, what is proved of it, and every slot with what it holds today.
pub fn best(compiled: &Compiled, best: &Best, rule: Rule) -> Doc {
    let mut blocks: Vec<Block> = said(compiled, best, rule).into_iter().map(para).collect();
    let runs = best.runs.iter().map(|r| {
        let title = r.run.title(&compiled.book).to_owned();
        let numbers = [r.before.all, r.after.all, r.before.inside, r.after.inside].map(|n| n.to_string());
        Cell::row(std::iter::once(title).chain(numbers))
    });
    let heads = ["set", "today", "then", "inside songs today", "then"];
    blocks.push(head(2, "presses"));
    blocks.push(Block::Table(Table::new("presses", &heads, 1, &[], runs.collect())));
    let rows = best.presets.iter().filter_map(|preset| {
        let slot = preset.slot?;
        let (scene, was) = (name(compiled, preset.scene), today(compiled, slot));
        let was = if scene == was { "as today" } else { was };
        let how = if preset.chosen { was } else { "pinned" };
        Some(Cell::row([shown(compiled, slot), scene.to_owned(), how.to_owned()]))
    });
    blocks.push(head(2, "slots"));
    blocks.push(Block::Table(Table::new("slots", &["slot", "scene", "today"], 2, &[2], rows.collect())));
    Doc::report(compiled, "slots for the fewest presses", blocks)
}

/// The scene that a slot holds today.
fn today(compiled: &Compiled, slot: Slot) -> &str {
    let at = compiled.presets.binary_search_by_key(&(false, Some(slot)), |p| (p.slot.is_none(), p.slot));
    at.ok().and_then(|at| compiled.presets.get(at)).map_or("", |p| name(compiled, p.scene))
}

/// What a placement leaves free, where that is less than today.
pub fn left(compiled: &Compiled, presets: &[Preset]) -> Option<String> {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots)?;
    let free = |presets: &[Preset]| {
        let filled = presets.iter().filter(|p| p.slot.is_some()).count() as u64;
        (u64::from(range.banks) * u64::from(range.switches)).saturating_sub(filled)
    };
    let (today, then) = (free(&compiled.presets), free(presets));
    let switches = |n: u64| format!("{n} switch{}", if n == 1 { "" } else { "es" });
    match (today, then) {
        (today, then) if then >= today => None,
        (today, 0) => Some(format!(
            "No switch is left free, today {} {}: a scene more finds room once one of the copies is taken out.",
            switches(today),
            if today == 1 { "is" } else { "are" }
        )),
        (today, then) => {
            Some(format!("{} left free, today {today}: the rest hold copies that spare presses.", switches(then)))
        }
    }
}

fn said(compiled: &Compiled, best: &Best, rule: Rule) -> Vec<String> {
    let (before, after) = best.presses();
    let how = match rule {
        Rule::Fewest => "",
        Rule::BankASong => "With a bank a song: ",
    };
    let presses = if after == 1 { "press" } else { "presses" };
    let mut out = vec![match (after == before, rule) {
        (true, Rule::Fewest) if best.presets == compiled.presets => {
            format!("{after} {presses} over all sets: nothing better than today's slots was found.")
        }
        (true, _) => format!("{how}{after} {presses} over all sets, as many as today."),
        (false, _) => format!("{how}{after} {presses} over all sets; today {before}."),
    }];
    out.push(if best.least() {
        "No placement around the pinned slots takes fewer: proved.".to_owned()
    } else {
        let gap = after - best.bound.min(after);
        let bound = best.bound;
        format!("No placement around the pinned slots takes fewer than {bound}: {gap} more is the gap, not proved to be needed.")
    });
    out.extend(left(compiled, &best.presets));
    if !best.without.is_empty() {
        let titles = best.without.iter().filter_map(|s| compiled.book.show.songs.get(*s));
        let titles: Vec<String> = titles.map(|s| format!("\"{}\"", s.title)).collect();
        out.push(format!("No bank of their own was left for {}.", titles.join(", ")));
    }
    out
}
