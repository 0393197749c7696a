//! The walk for people, on a terminal.

use std::fmt::Write;

use super::Pages;
use super::model::{Page, Row};

const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// The whole as text.
pub fn text(pages: &Pages) -> String {
    let mut out = String::new();
    for page in &pages.sets {
        set(&mut out, page);
    }
    if !pages.after_power_loss.is_empty() {
        out.push_str("after a power loss\n");
        for line in &pages.after_power_loss {
            let _ = writeln!(out, "  {}: {} ({})", line.what, line.stands, line.way);
        }
        out.push('\n');
    }
    for missing in &pages.missing {
        let _ = writeln!(out, "not known: {missing}");
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

fn set(out: &mut String, page: &Page) {
    let t = &page.totals;
    let presses = t.presses.map_or("presses not known".to_owned(), |n| count(n as usize, "press", "presses"));
    let _ = writeln!(out, "\"{}\": {}, {presses}", page.title, count(t.changes, "change", "changes"));
    let _ = writeln!(
        out,
        "  {}, {}, {}, {} with both feet, {}, {}",
        count(t.loops, "loop moves", "loops move"),
        count(t.contacts, "contact moves", "contacts move"),
        count(t.manual, "move by hand or foot", "moves by hand or foot"),
        t.two_feet,
        count(t.jumps, "jump", "jumps"),
        count(t.tails, "tail cut", "tails cut"),
    );
    if page.changes.is_empty() {
        out.push('\n');
    } else {
        let _ = writeln!(
            out,
            "  {}\n  a bar a change, the higher the more there is to do; a gap between songs\n",
            strip(page)
        );
    }
    let mut song = None;
    for row in &page.changes {
        if song != Some(&row.song) {
            let _ = writeln!(out, "  \"{}\"", row.song);
            song = Some(&row.song);
        }
        change(out, row);
    }
    if !page.worst.is_empty() {
        out.push_str("  the worst\n");
        for row in page.worst.iter().filter_map(|n| page.changes.get(n.checked_sub(1)?)) {
            let from = row.from.as_deref().unwrap_or("-");
            let _ = writeln!(out, "    {:>3}  {from} -> {}, in \"{}\"", row.number, row.scene, row.song);
        }
    }
    out.push('\n');
}

fn change(out: &mut String, row: &Row) {
    let slot = row.slot.as_deref().unwrap_or("-");
    let presses = row.presses.map_or(String::new(), |n| format!(", {}", count(n as usize, "press", "presses")));
    let _ = writeln!(out, "    {:>3}  {slot:<6} {} ({}){presses}", row.number, row.scene, row.part);
    let mut line = |says: &str, list: &[String]| {
        if !list.is_empty() {
            let _ = writeln!(out, "         {says}{}", list.join(", "));
        }
    };
    line("", &row.loops);
    line("moves: ", &row.contacts);
    line("by hand or foot: ", &row.manual);
    line("jumps: ", &row.jumps);
    line("cut: ", &row.tails);
    if row.inside && row.feet > 1 {
        let _ = writeln!(out, "         wants {} feet at once", row.feet);
    }
    if let Some(db) = row.level_db.filter(|db| *db != 0.0) {
        let _ = writeln!(out, "         {db:+} dB, by the gains of switched pedals");
    }
}

/// One bar a change, as high as it hurts; a gap between songs.
fn strip(page: &Page) -> String {
    let most = page.changes.iter().map(|r| r.pain).max().unwrap_or(0).max(1);
    let mut out = String::new();
    let mut song = None;
    for row in &page.changes {
        if song.is_some_and(|s| s != &row.song) {
            out.push(' ');
        }
        song = Some(&row.song);
        let height = (row.pain as usize * (BARS.len() - 1)).div_ceil(most as usize);
        out.push(BARS.get(height).copied().unwrap_or(' '));
    }
    out
}

fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}
