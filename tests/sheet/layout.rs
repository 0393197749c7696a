//! Where things stand: nothing crosses, nothing is cut, letters are as large as the distance asks.

use crate::tools::{compile, example, nasty};
use tipring::Compiled;
use tipring::print::doc::Doc;
use tipring::print::labels;
use tipring::print::page::fonts::Face;
use tipring::print::page::paper::MM;
use tipring::print::page::{Fonts, Item, Laid, Paper, flow};
use tipring::print::sheet::{self, Sheet, Wanted, large, legible, reading, tech};

fn papers() -> [Paper; 4] {
    [Paper::a4(), Paper::letter(), Paper::a4().landscape(), Paper::letter().landscape()]
}

fn all(compiled: &Compiled, sheet: &Sheet, fonts: &Fonts<'_>) -> Vec<Doc> {
    let mut docs = large::docs(sheet, legible::size(fonts, 1.7, legible::PREFERRED), true);
    docs.push(reading::doc(sheet));
    docs.push(tech::doc(compiled, sheet));
    docs
}

fn words(laid: &Laid) -> String {
    let items = laid.pages.iter().flat_map(|p| &p.items);
    items.filter_map(|(_, i)| if let Item::Words { text, .. } = i { Some(format!("{text} ")) } else { None }).collect()
}

/// No words cross others, and nothing stands in the margin.
fn check(laid: &Laid, name: &str) {
    let paper = laid.paper;
    let edge = paper.margin - 0.6;
    for (number, page) in laid.pages.iter().enumerate() {
        let mut boxes = Vec::new();
        for (_, item) in &page.items {
            let (l, t, r, b) = item.bounds();
            let inside = l >= edge && t >= edge && r <= paper.width - edge && b <= paper.height - edge + 2.0;
            assert!(inside, "{name}, page {}: {item:?} stands in the margin", number + 1);
            if let Item::Words { text, .. } = item {
                boxes.push((t + 0.2, l + 0.2, r - 0.2, b - 0.2, text));
            }
        }
        boxes.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (n, a) in boxes.iter().enumerate() {
            for b in boxes[n + 1..].iter().take_while(|b| b.0 < a.3) {
                let apart = b.1 >= a.2 || a.1 >= b.2;
                assert!(apart, "{name}, page {}: `{}` crosses `{}`", number + 1, a.4, b.4);
            }
        }
    }
}

#[test]
fn nothing_crosses_and_nothing_is_cut() {
    let fonts = Fonts::new(None).unwrap();
    let (_folder, nasty) = nasty();
    let [a4, letter, a4_lying, letter_lying] = papers();
    // Laying out takes its time unoptimised: the examples share the papers, the nasty book is laid on all.
    let cases = [
        (example("winter"), vec![a4, letter_lying]),
        (example("spring"), vec![letter]),
        (nasty, vec![a4, letter, a4_lying, letter_lying]),
    ];
    for (book, papers) in cases {
        let compiled = compile(&book);
        let sheet = sheet::sheet(&compiled, &Wanted { program: true, ..Wanted::default() });
        for doc in all(&compiled, &sheet, &fonts) {
            for paper in papers.iter().copied() {
                let laid = flow::lay(&doc, paper, &fonts);
                let name = format!("{} on {:.0} by {:.0}", doc.title, paper.width, paper.height);
                check(&laid, &name);
                assert!(laid.missing.is_empty(), "{name}: {:?}", laid.missing);
                let count = laid.pages.len();
                for (n, page) in laid.pages.iter().enumerate() {
                    let says = |what: &str| {
                        page.items.iter().any(|(_, i)| matches!(i, Item::Words { text, .. } if text.contains(what)))
                    };
                    assert!(says(&format!("page {} of {count}", n + 1)), "{name}");
                    assert!(says(sheet.version.as_str()), "{name}");
                }
            }
        }
    }
}

#[test]
fn every_song_and_part_is_on_the_paper_whole() {
    let fonts = Fonts::new(None).unwrap();
    let (_folder, nasty) = nasty();
    for book in [example("winter"), nasty] {
        let compiled = compile(&book);
        let sheet = sheet::sheet(&compiled, &Wanted::default());
        let squeeze = |text: &str| text.split_whitespace().collect::<String>();
        for doc in [reading::doc(&sheet)].into_iter().chain(large::docs(&sheet, 40.0, false)) {
            let laid = flow::lay(&doc, Paper::a4(), &fonts);
            let found = squeeze(&words(&laid));
            for night in sheet.nights.iter().filter(|n| doc.title.ends_with(&n.title)) {
                for entry in &night.entries {
                    let sheet::Entry::Song(song) = entry else { continue };
                    assert!(found.contains(&squeeze(&song.title)), "{}", song.title);
                    for part in &song.parts {
                        assert!(found.contains(&squeeze(&part.label)), "{}", part.label);
                    }
                }
            }
        }
    }
}

#[test]
fn capitals_are_as_high_as_the_distance_asks() {
    let fonts = Fonts::new(None).unwrap();
    let compiled = compile(&example("winter"));
    let sheet = sheet::sheet(&compiled, &Wanted::default());
    for (distance, minutes) in [(1.7, legible::PREFERRED), (1.4, legible::LEAST)] {
        let wanted = legible::capitals(distance, minutes);
        let size = legible::size(&fonts, distance, minutes);
        let mut seen = 0;
        for doc in large::docs(&sheet, size, false) {
            let laid = flow::lay(&doc, Paper::a4(), &fonts);
            for (_, item) in laid.pages.iter().flat_map(|p| &p.items) {
                let Item::Words { size, face, text, .. } = item else { continue };
                // The version word and the line at the very foot are for the hand, not for the stage.
                let small = text.contains("page ") || text.contains("source") || text.trim() == sheet.version;
                let height = fonts.height('H', *face).unwrap() * size / MM;
                assert!(small || height >= wanted - 0.005, "`{text}`: {height} mm, not {wanted} mm");
                seen += usize::from(!small);
            }
        }
        assert!(seen > 200, "{seen}");
    }
    // The glyph's own box, not what the font's table claims.
    assert!((fonts.height('H', Face::Regular).unwrap() - 0.688).abs() < 0.01);
}

#[test]
fn heads_of_tables_repeat_and_songs_do_not_break() {
    let fonts = Fonts::new(None).unwrap();
    let compiled = compile(&example("winter"));
    let sheet = sheet::sheet(&compiled, &Wanted::default());
    let laid = flow::lay(&reading::doc(&sheet), Paper::a4(), &fonts);
    let on = |page: usize, what: &str| {
        laid.pages[page].items.iter().any(|(_, i)| matches!(i, Item::Words { text, .. } if text.trim() == what))
    };
    let rows: Vec<usize> = (0..laid.pages.len()).filter(|p| on(*p, "pewter-fog") || on(*p, "shed-bell")).collect();
    assert!(rows.len() > 2);
    for page in rows {
        assert!(on(page, "slot") && on(page, "scene"), "page {}", page + 1);
    }
    for night in &sheet.nights {
        for entry in &night.entries {
            let sheet::Entry::Song(song) = entry else { continue };
            let title = laid.bookmarks.iter().find(|b| b.text.ends_with(&song.title)).unwrap();
            let last = &song.parts.last().unwrap().label;
            assert!(on(title.page, last), "{}: {last} is not on page {}", song.title, title.page + 1);
        }
    }
}

#[test]
fn labels_are_true_to_size() {
    let fonts = Fonts::new(None).unwrap();
    let compiled = compile(&example("winter"));
    let labels = labels::labels(&compiled);
    let laid = labels::strips::lay(&labels, "labels", "small v", &[9.0, 12.0], 2, Paper::a4(), &fonts);
    check(&laid, "labels");
    // Each tape's edges are as far apart as the tape is wide.
    let mut heights = Vec::new();
    let lines: Vec<_> = laid.pages[0]
        .items
        .iter()
        .filter_map(|(_, i)| if let Item::Line { from, to, width, .. } = i { Some((from, to, width)) } else { None })
        .filter(|(from, to, width)| from.1 == to.1 && **width < 0.4)
        .collect();
    for pair in lines.chunks(2) {
        assert_eq!(pair[0].0.0, pair[1].0.0);
        heights.push(((pair[1].0.1 - pair[0].0.1) / MM * 10.0).round() as i32);
    }
    heights.sort_unstable();
    heights.dedup();
    assert_eq!(heights, [90, 120]);
    let scale = laid.pages[0].items.iter().any(|(_, i)| {
        matches!(i, Item::Line { from, to, .. } if ((to.0 - from.0) / MM - 100.0).abs() < 0.01 && from.1 == to.1)
    });
    assert!(scale);
}

#[test]
fn free_cells_are_light_and_dotted_and_no_others() {
    let fonts = Fonts::new(None).unwrap();
    let compiled = compile(&example("winter"));
    let sheet = sheet::sheet(&compiled, &Wanted::default());
    let free: usize = sheet.presets.iter().flat_map(|r| &r.cells).filter(|c| c.free).count();
    let laid = flow::lay(&tech::doc(&compiled, &sheet), Paper::a4(), &fonts);
    let mut light = 0;
    for page in &laid.pages {
        let dots: Vec<(f32, f32)> = page
            .items
            .iter()
            .filter_map(|(_, i)| match i {
                Item::Dots { x, y, .. } => Some((*x, *y)),
                _ => None,
            })
            .collect();
        for (_, item) in &page.items {
            let Item::Words { x, y, width, face, ink, text, .. } = item else { continue };
            let under = |d: &&(f32, f32)| d.0 >= x - 1.0 && d.0 <= x + width + 1.0 && d.1 > *y && d.1 < y + 3.0;
            let dotted = dots.iter().any(|d| under(&d));
            assert_eq!(*face == Face::Light, dotted, "`{text}`");
            assert_eq!(*face == Face::Light, ink.rgb() == [0x59; 3], "`{text}`");
            light += usize::from(dotted);
        }
    }
    assert!(free > 200, "{free}");
    assert_eq!(light, free);
}
