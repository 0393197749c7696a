//! The sheet as plain text, 80 columns wide.

use unicode_width::UnicodeWidthStr;

use super::cells::Group;
use super::{Act, ActKind, Entry, LoopLabel, Night, PartLine, Sheet, SongBlock, Step};

const WIDTH: usize = 80;

/// The whole sheet.
pub fn write(sheet: &Sheet) -> String {
    let mut out = String::new();
    head(&mut out, sheet);
    sheet.nights.iter().for_each(|night| write_night(&mut out, night));
    trouble(&mut out, sheet);
    table(&mut out, sheet);
    labels(&mut out, &sheet.labels);
    if let Some(steps) = &sheet.program {
        program(&mut out, steps);
    }
    out
}

fn rule(out: &mut String, title: &str, sign: char) {
    out.push('\n');
    out.push_str(title);
    out.push('\n');
    out.extend(std::iter::repeat_n(sign, title.width().min(WIDTH)));
    out.push('\n');
}

fn head(out: &mut String, sheet: &Sheet) {
    if sheet.draft {
        *out += "DRAFT: the book has errors, `?` stands for what is not known\n\n";
    }
    *out += if sheet.board.is_empty() { "gig sheet" } else { &sheet.board };
    if !sheet.version.is_empty() {
        *out += &format!("  ·  version {}", sheet.version);
    }
    *out += &format!("  ·  source {}", sheet.fingerprint);
    if let Some(date) = &sheet.date {
        *out += &format!("  ·  {date}");
    }
    out.push('\n');
    if let Some((slot, scene)) = &sheet.safe {
        *out += &format!("always right to press: {slot}  {scene}\n");
    }
}

fn write_night(out: &mut String, night: &Night) {
    rule(out, &night.title, '=');
    for entry in &night.entries {
        match entry {
            Entry::Pause(says) => wrap(out, &format!("-- pause: {says}"), 0, 3),
            Entry::Song(song) => write_song(out, song),
        }
    }
}

fn write_song(out: &mut String, song: &SongBlock) {
    let mut line = format!("{:>2}  {}", song.number, song.title);
    for fact in [&song.tempo, &song.guitar, &song.tuning].into_iter().flatten() {
        line += &format!("  ·  {fact}");
    }
    out.push('\n');
    wrap(out, &line, 0, 4);
    for change in &song.changes {
        wrap(out, &format!("! {change}"), 4, 6);
    }
    let labels = song.parts.iter().map(|p| p.label.width()).max().unwrap_or(0).min(16);
    let scenes = song.parts.iter().map(|p| p.scene.width()).max().unwrap_or(0).min(16);
    for part in &song.parts {
        write_part(out, part, labels, scenes);
    }
}

fn write_part(out: &mut String, part: &PartLine, labels: usize, scenes: usize) {
    let mut line = format!("{} {} ", pad(&part.slot, 6), pad(&part.label, labels));
    // A part named like its scene is said once.
    line += &pad(if part.scene == part.label { "" } else { &part.scene }, scenes);
    let mut line = line.trim_end().to_owned();
    let hang = 4 + 6 + 2 + labels + scenes + 2;
    for act in &part.acts {
        if line.width() + act_text(act).width() + 6 > WIDTH || hang + 20 > WIDTH {
            wrap(out, &line, 4, hang.min(20));
            line = format!("{}{}", " ".repeat(8 + labels), act_text(act));
        } else {
            line = format!("{line}  {}", act_text(act));
        }
    }
    wrap(out, &line, 4, hang.min(20));
}

fn act_text(act: &Act) -> String {
    let sign = match act.kind {
        ActKind::Hold | ActKind::Foot | ActKind::Tap => "foot",
        ActKind::Hand => "hand",
        ActKind::Note => "note",
    };
    format!("[{sign}] {}", act.says)
}

fn trouble(out: &mut String, sheet: &Sheet) {
    if sheet.trouble.is_empty() {
        return;
    }
    rule(out, "when something dies", '=');
    for way in &sheet.trouble {
        let ((lost, was), (instead, slot)) = (&way.lost, &way.instead);
        *out += &format!("{} dead: instead of {was} {lost} press {slot} {instead}\n", way.device);
    }
}

fn table(out: &mut String, sheet: &Sheet) {
    if sheet.presets.is_empty() {
        return;
    }
    rule(out, "presets", '=');
    let legend = "1 in, closed, on; 0 out, open, off; - does not matter. 1T is remote 1 tip, 2R remote 2 ring, \
                  X1 expression 1 in %, O1 output 1.";
    wrap(out, legend, 0, 0);
    let slots = sheet.presets.iter().map(|p| p.slot.width()).max().unwrap_or(0).max(4);
    let scenes = sheet.presets.iter().map(|p| p.scene.width()).max().unwrap_or(0).clamp(5, 20);
    for stretch in stretches(sheet, WIDTH.saturating_sub(slots + scenes + 2)) {
        out.push('\n');
        let heads = stretch.iter().map(|(c, w)| left(sheet.columns.get(*c).map_or("", |c| &c.head), *w));
        *out += &line(&pad("slot", slots), &pad("scene", scenes), heads);
        for row in &sheet.presets {
            let cells = stretch
                .iter()
                .map(|(c, w)| left(row.cells.get(*c).map_or("", |c| if c.free { "-" } else { &c.text }), *w));
            *out += &line(&pad(&row.slot, slots), &pad(&row.scene, scenes), cells);
        }
    }
}

fn line(slot: &str, scene: &str, cells: impl Iterator<Item = String>) -> String {
    let cells: Vec<String> = cells.collect();
    format!("{slot} {scene} {}", cells.join(" ")).trim_end().to_owned() + "\n"
}

/// Columns side by side as far as the page goes; loops, and what they are with, start a table of their own.
/// Each is the column and its width.
fn stretches(sheet: &Sheet, room: usize) -> Vec<Vec<(usize, usize)>> {
    let mut out: Vec<Vec<(usize, usize)>> = Vec::new();
    let (mut used, mut last) = (usize::MAX, Group::Loops);
    for (at, column) in sheet.columns.iter().enumerate() {
        let widest = sheet.presets.iter().filter_map(|p| p.cells.get(at)).map(|c| c.text.width()).max();
        let width = widest.unwrap_or(0).max(column.head.width());
        let parted = last == Group::Loops && column.group != Group::Loops;
        if used.saturating_add(width + 1) > room || parted {
            out.push(Vec::new());
            used = 0;
        }
        used += width + 1;
        last = column.group;
        if let Some(stretch) = out.last_mut() {
            stretch.push((at, width));
        }
    }
    out
}

fn labels(out: &mut String, labels: &[LoopLabel]) {
    if labels.is_empty() {
        return;
    }
    rule(out, "loop labels", '=');
    for label in labels {
        let title = label.title.as_deref().map_or(String::new(), |t| format!("  ({t})"));
        let name = if label.code.is_empty() { "empty" } else { &label.name };
        *out += format!("loop {:>2}  {}  {name}{title}", label.number, pad(&label.code, 3)).trim_end();
        out.push('\n');
    }
}

fn program(out: &mut String, steps: &[Step]) {
    rule(out, "programming the unit from empty", '=');
    *out += "First box: set. Second box: read back from the unit and found right.\n\n";
    for step in steps {
        let head = format!("[ ] [ ]  {} {}  ", pad(&step.slot, 5), pad(&step.name, 12));
        wrap(out, &format!("{head}{}", step.set.join("; ")), 0, 28);
    }
}

/// Fills with blanks to `width` columns.
fn pad(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}

/// The same, with the text at the right.
fn left(text: &str, width: usize) -> String {
    format!("{}{text}", " ".repeat(width.saturating_sub(text.width())))
}

/// Writes a line indented by `first`, and what does not fit below it, indented by `hang`.
fn wrap(out: &mut String, text: &str, first: usize, hang: usize) {
    let mut used = first;
    out.extend(std::iter::repeat_n(' ', first));
    let mut gap = 0;
    let mut fresh = true;
    for word in text.split(' ') {
        if word.is_empty() {
            gap += 1;
            continue;
        }
        if !fresh && used + gap + word.width() > WIDTH {
            let line = out.trim_end_matches(' ').len();
            out.truncate(line);
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', hang));
            (used, gap) = (hang, 0);
        }
        out.extend(std::iter::repeat_n(' ', gap));
        out.push_str(word);
        used += gap + word.width();
        (gap, fresh) = (1, false);
    }
    out.push('\n');
}
