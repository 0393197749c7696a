//! The walk as a page that stands alone, with a drawn strip of each set.

use maud::{DOCTYPE, Markup, PreEscaped, html as markup};

use super::Pages;
use super::model::{Page, Row};

// Black on white throughout: what hurts is told by height and words, never by colour alone.
const STYLE: &str = "body{font:16px/1.4 sans-serif;color:#000;background:#fff;margin:2rem auto;max-width:60rem;\
padding:0 1rem}table{border-collapse:collapse;width:100%}th,td{border-bottom:1px solid #767676;padding:.25rem .5rem;\
text-align:left;vertical-align:top}svg{width:100%;height:auto}figure{margin:1em 0}figcaption{font-size:.85em}.n{text-align:right}@media print{h2{break-before:page}}";
/// Of the drawing, in its own units: a change's width, and the height of the worst one.
const WIDTH: usize = 12;
const HEIGHT: u32 = 60;

/// One page.
pub fn html(pages: &Pages) -> String {
    let page = markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "The walk: " (pages.board) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1 { "The walk: " (pages.board) }
                @for page in &pages.sets { (set(page)) }
                @if !pages.after_power_loss.is_empty() {
                    h2 { "After a power loss" }
                    table {
                        tr { th { "What" } th { "Stands" } th { "See to it" } }
                        @for line in &pages.after_power_loss {
                            tr { td { (line.what) } td { (line.stands) } td { (line.way) } }
                        }
                    }
                }
                @for missing in &pages.missing { p { "Not known: " (missing) } }
            }
        }
    };
    page.into_string()
}

fn set(page: &Page) -> Markup {
    let t = &page.totals;
    let presses = t.presses.map_or("not known".to_owned(), |n| n.to_string());
    markup! {
        h2 { (page.title) }
        p {
            (t.changes) " changes, presses: " (presses) ", loops: " (t.loops) ", contacts: " (t.contacts)
            ", by hand or foot: " (t.manual) ", both feet at once: " (t.two_feet) ", jumps: " (t.jumps)
            ", tails cut: " (t.tails)
        }
        figure {
            (strip(page))
            figcaption { "A bar is a change, the higher the more it asks of hands and feet; a line below is a song." }
        }
        table {
            tr { th { "" } th { "Song" } th { "Part" } th { "Slot" } th { "Scene" } th { "Presses" } th { "What moves" } }
            @for row in &page.changes {
                tr id=(format!("c{}", row.number)) {
                    td.n { (row.number) }
                    td { (row.song) }
                    td { (row.part) }
                    td { (row.slot.as_deref().unwrap_or("-")) }
                    td { (row.scene) }
                    td.n { @if let Some(n) = row.presses { (n) } }
                    td { @for line in moves(row) { div { (line) } } }
                }
            }
        }
        @if !page.worst.is_empty() {
            h3 { "The worst" }
            ol {
                @for row in page.worst.iter().filter_map(|n| page.changes.get(n.checked_sub(1)?)) {
                    li { "change " (row.number) ": " (row.from.as_deref().unwrap_or("-")) " to " (row.scene)
                        ", in " (row.song) }
                }
            }
        }
    }
}

fn moves(row: &Row) -> Vec<String> {
    let mut out = Vec::new();
    let mut line = |says: &str, list: &[String]| {
        if !list.is_empty() {
            out.push(format!("{says}{}", list.join(", ")));
        }
    };
    line("", &row.loops);
    line("moves: ", &row.contacts);
    line("by hand or foot: ", &row.manual);
    line("jumps: ", &row.jumps);
    line("cut: ", &row.tails);
    if row.inside && row.feet > 1 {
        out.push(format!("wants {} feet at once", row.feet));
    }
    if let Some(db) = row.level_db.filter(|db| *db != 0.0) {
        out.push(format!("{db:+} dB"));
    }
    out
}

/// A bar for each change, as high as it hurts; songs are told apart by a gap and a line below.
fn strip(page: &Page) -> Markup {
    let most = page.changes.iter().map(|r| r.pain).max().unwrap_or(0).max(1);
    let mut bars = Vec::new();
    let mut songs: Vec<(usize, usize)> = Vec::new();
    let mut x = 0;
    let mut song = None;
    for row in &page.changes {
        if song != Some(&row.song) {
            x += if song.is_some() { WIDTH / 2 } else { 0 };
            songs.push((x, x));
            song = Some(&row.song);
        }
        let height = 2 + row.pain * HEIGHT / most;
        bars.push((x, height, row));
        x += WIDTH;
        if let Some(last) = songs.last_mut() {
            last.1 = x - 2;
        }
    }
    let says = format!("{} changes, the higher the bar the more a change asks", page.changes.len());
    markup! {
        svg viewBox=(format!("0 0 {} {}", x.max(WIDTH * 20), HEIGHT + 10)) role="img" aria-label=(says) {
            @for (x, height, row) in &bars {
                rect x=(x) y=(HEIGHT + 2 - height) width=(WIDTH - 2) height=(height) fill="#000" {
                    title { (row.number) " " (row.song) ", " (row.part) ": " (row.scene) }
                }
            }
            @for (from, to) in &songs {
                line x1=(from) x2=(to) y1=(HEIGHT + 6) y2=(HEIGHT + 6) stroke="#000" stroke-width="2" {}
            }
        }
    }
}
