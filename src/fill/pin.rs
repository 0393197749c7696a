//! The edits that write the chosen slots into the book: each behind the line of the slot before it, as a hand would.

use std::collections::BTreeMap;

use super::Preset;
use crate::book::{Book, Slot};
use crate::ids::SceneId;
use crate::source::{Files, Span};
use crate::syntax::edit::Edit;

/// All of them in one file: in its first `slots` block, or as a new block behind the last scene's file. None when nothing was
/// chosen.
pub fn edits(book: &Book, files: &Files, presets: &[Preset]) -> Vec<Edit> {
    written(book, files, presets).unwrap_or_default()
}

/// The slots that are written, each with its scene: a second row goes with the first.
pub fn pinned(presets: &[Preset]) -> impl Iterator<Item = (Slot, SceneId)> {
    presets.iter().filter(|p| p.chosen).filter_map(|p| Some((p.slot?, p.scene))).filter(|(slot, _)| !slot.again)
}

fn written(book: &Book, files: &Files, presets: &[Preset]) -> Option<Vec<Edit>> {
    let range = book.board.switcher.as_ref()?.slots?;
    let mut chosen: Vec<(Slot, &str)> = Vec::new();
    for (slot, scene) in pinned(presets) {
        chosen.push((slot, &book.show.scene(scene)?.name));
    }
    chosen.sort_unstable();
    if chosen.is_empty() {
        return None;
    }
    let Some(at) = book.show.slots_at else {
        let last = book.show.scenes.last()?.at.file;
        let file = book.night.as_ref().map_or(last, |night| night.file);
        let text = &files.get(file)?.text;
        let end = text.len() as u32;
        let gap = if text.ends_with('\n') { "\n" } else { "\n\n" };
        let lines: String = chosen.iter().map(|(slot, name)| format!("  {} {name}\n", range.show(*slot))).collect();
        return Some(vec![Edit::new(Span::new(file, end, end), format!("{gap}slots {{\n{lines}  others auto\n}}\n"))]);
    };
    let text = &files.get(at.file)?.text;
    let head = head(text, at)?;
    let lines = lines(book, text, at);
    let mut edits: BTreeMap<u32, String> = BTreeMap::new();
    for (slot, name) in chosen {
        let before = lines.partition_point(|line| line.slot < slot).checked_sub(1).and_then(|line| lines.get(line));
        let (place, indent, first) = before.map_or((head.0, "  ", head.1), |line| (line.end, line.indent, ""));
        let text = edits.entry(place).or_insert_with(|| first.to_owned());
        *text += &format!("{indent}{} {name}\n", range.show(slot));
    }
    Some(edits.into_iter().map(|(place, text)| Edit::new(Span::new(at.file, place, place), text)).collect())
}

/// Where the lines before all others go, and what comes before them: behind the brace's line and what is remarked there; else
/// behind the brace, whatever followed it.
fn head(text: &str, at: Span) -> Option<(u32, &'static str)> {
    let open = at.end as usize + text.get(at.end as usize..)?.find('{')? + 1;
    let rest = text.get(open..)?;
    let end = rest.find('\n').filter(|end| bare(rest.get(..*end).unwrap_or_default()));
    Some(end.map_or((open as u32, "\n"), |end| ((open + end + 1) as u32, "")))
}

/// Nothing but a remark.
fn bare(text: &str) -> bool {
    let text = text.trim();
    text.is_empty() || text.starts_with('#')
}

/// A line that pins one slot and says nothing else.
struct Line<'t> {
    slot: Slot,
    indent: &'t str,
    /// Where the next line begins.
    end: u32,
}

/// Those of the block's file, by slot. A statement that pins a switch in every bank is none.
fn lines<'t>(book: &Book, text: &'t str, block: Span) -> Vec<Line<'t>> {
    let mut pins: Vec<(Span, Slot)> = book.show.pins.iter().map(|(slot, _, at)| (*at, *slot)).collect();
    pins.retain(|(at, _)| at.file == block.file && at.start > block.end);
    pins.sort_unstable();
    let line = |(at, slot): &(Span, Slot)| {
        let (start, end) = (at.start as usize, at.end as usize);
        let from = text.get(..start)?.rfind('\n').map_or(0, |at| at + 1);
        let indent = text.get(from..start).filter(|indent| indent.trim().is_empty())?;
        let to = end + text.get(end..)?.find('\n')?;
        let said = text.get(end..to)?.split('#').next().unwrap_or_default();
        let alone = said.split_whitespace().count() == 1 && !said.contains([';', '{', '}']);
        alone.then_some(Line { slot: *slot, indent, end: (to + 1) as u32 })
    };
    let lone = pins.chunk_by(|a, b| a.0 == b.0).filter(|one| one.len() == 1);
    let mut lines: Vec<Line<'t>> = lone.flatten().filter_map(line).collect();
    lines.sort_unstable_by_key(|line| line.slot);
    lines
}
