//! What the sheet says otherwise in plain text, 80 columns wide: songs, labels, the worksheet.

use unicode_width::UnicodeWidthStr;

use super::{Act, ActKind, LoopLabel, PartLine, SongBlock, Worksheet};
use crate::print::doc::text::{WIDTH, pad, wrap};

fn rule(title: &str) -> String {
    format!("\n{title}\n{}\n", "=".repeat(title.width().min(WIDTH)))
}

/// What a pause is for.
pub(super) fn pause(says: &str) -> String {
    let mut out = String::new();
    wrap(&mut out, &format!("-- pause: {says}"), 0, 3);
    out
}

/// A song: its facts, what to change before it, its parts.
pub(super) fn song(song: &SongBlock) -> String {
    let mut out = "\n".to_owned();
    let mut line = format!("{:>2}  {}", song.number, song.title);
    for fact in song.facts() {
        line += &format!("  ·  {fact}");
    }
    wrap(&mut out, &line, 0, 4);
    for change in &song.changes {
        wrap(&mut out, &format!("! {change}"), 4, 6);
    }
    for note in &song.notes {
        wrap(&mut out, &format!("note: {note}"), 4, 6);
    }
    let labels = song.parts.iter().map(|p| p.name().width()).max().unwrap_or(0).min(16);
    let scenes = song.parts.iter().map(|p| p.scene.width()).max().unwrap_or(0).min(16);
    let slots = song.parts.iter().map(|p| p.slot.width()).max().unwrap_or(0).max(6);
    for part in &song.parts {
        write_part(&mut out, part, (slots, labels, scenes));
    }
    out
}

fn write_part(out: &mut String, part: &PartLine, (slots, labels, scenes): (usize, usize, usize)) {
    let mut line = format!("{} {} ", pad(&part.slot, slots), pad(&part.name(), labels));
    // A part named like its scene is said once.
    line += &pad(if part.scene == part.label { "" } else { &part.scene }, scenes);
    let mut line = line.trim_end().to_owned();
    let hang = 4 + slots + 2 + labels + scenes + 2;
    // Behind long slots little room is left.
    let from = if slots > 6 { 16 } else { 8 + labels };
    for act in &part.acts {
        if line.width() + act_text(act).width() + 6 > WIDTH || hang + 20 > WIDTH {
            wrap(out, &line, 4, hang.min(20));
            line = format!("{}{}", " ".repeat(from), act_text(act));
        } else {
            line = format!("{line}  {}", act_text(act));
        }
    }
    wrap(out, &line, 4, hang.min(20));
}

fn act_text(act: &Act) -> String {
    let sign = match act.kind {
        ActKind::Hold | ActKind::Foot | ActKind::Tap | ActKind::Switch => "foot",
        ActKind::Hand | ActKind::Change => "hand",
        ActKind::Called => return format!("[{}]", act.brief),
        ActKind::Cue => return format!("[cue] {}", act.brief),
        ActKind::Note => "note",
    };
    format!("[{sign}] {}", act.says)
}

/// Which pedal sits in which loop.
pub(super) fn labels(labels: &[LoopLabel]) -> String {
    let mut out = rule("loop labels");
    for label in labels {
        let title = label.title.as_deref().map_or(String::new(), |t| format!("  ({t})"));
        let name = if label.code.is_empty() { "empty" } else { &label.name };
        out += format!("loop {:>2}  {}  {name}{title}", label.place, pad(&label.code, 3)).trim_end();
        out.push('\n');
    }
    out
}

/// The worksheet; each bank ends with a line for a pen.
pub(super) fn program(worksheet: &Worksheet) -> String {
    let mut out = rule("programming the unit from empty");
    wrap(&mut out, &worksheet.empty, 0, 0);
    out += "First box: set. Second box: read back from the unit and found right.\n";
    let slots = worksheet.steps.iter().map(|s| s.slot.width()).max().unwrap_or(0).max(5);
    let mut steps = worksheet.steps.iter().peekable();
    while let Some(step) = steps.next() {
        let head = format!("[ ] [ ]  {} {}  ", pad(&step.slot, slots), pad(&step.name, 12));
        wrap(&mut out, &format!("{head}{}", step.set.join("; ")), 0, 23 + slots);
        if let Some(copy) = &step.copy {
            wrap(&mut out, &format!("[ ] [ ]  {copy}"), 0, 23 + slots);
        }
        if steps.peek().is_none_or(|next| next.bank != step.bank) {
            out += &format!("notes: {}\n", "_".repeat(WIDTH - 7));
        }
    }
    out
}
