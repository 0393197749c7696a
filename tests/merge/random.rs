//! Random merges against the book that both scripts make: no comment lost, no line lost, the same table.

use std::collections::BTreeMap;
use tipring::ids::SceneId;

use super::book::{Abstract, Head, Item, Says};
use super::scripts::{Case, case};
use crate::support::dice::{Dice, many, seed};
use tipring::compare::merge::merge;
use tipring::compare::{Options, compare};
use tipring::syntax::edit::apply;
use tipring::syntax::format::format;
use tipring::syntax::parse;
use tipring::{Compiled, compile_texts, print};

/// The comments of a text, sorted. Nothing in these books has the sign in quotes.
fn comments(text: &str) -> Vec<String> {
    let mut out: Vec<String> =
        text.lines().filter_map(|l| Some(l.split_at(l.find('#')?).1.trim().to_owned())).collect();
    out.sort();
    out
}

fn codes(compiled: &Compiled) -> BTreeMap<(&'static str, String), usize> {
    let mut out = BTreeMap::new();
    for found in compiled.diagnostics() {
        *out.entry((found.code, found.message.clone())).or_default() += 1;
    }
    out
}

/// The parts of the songs of a text: each song's lines, whatever its layout.
fn songs(compiled: &Compiled) -> Vec<(String, Vec<String>)> {
    let scene = |id: Option<SceneId>| id.map_or("?", |id| &*compiled.book.show.scenes.get(id).unwrap().name).to_owned();
    let mut out: Vec<_> = compiled
        .book
        .show
        .songs
        .iter()
        .map(|s| {
            (
                s.title.to_string(),
                s.parts.iter().map(|p| format!("{}: {} {:?}", p.label, scene(p.scene), p.besides().notes)).collect(),
            )
        })
        .collect();
    out.sort();
    out
}

fn judge(case: &Case, seed: u64, ends: usize) -> usize {
    let crlf = |text: String, yes: bool| if yes { text.replace('\n', "\r\n") } else { text };
    let base = crlf(case.base.text(), ends == 1);
    let mine = crlf(case.mine.text(), ends == 2);
    let theirs = crlf(case.theirs.text(), ends == 3);
    let both = case.both.text();
    let out = merge(&base, &mine, &theirs);
    let show = || {
        let _ = std::fs::create_dir_all("target/merge");
        for (name, text) in [("base", &base), ("mine", &mine), ("theirs", &theirs), ("both", &both), ("out", &out.text)]
        {
            let _ = std::fs::write(format!("target/merge/{name}.scene"), text);
        }
        format!("TIPRING_SEED={seed}: the five texts are in target/merge")
    };
    assert_eq!(out.conflicts, [], "{}", show());
    if ends == 2 {
        assert_eq!(out.text.matches('\n').count(), out.text.matches("\r\n").count(), "{}", show());
    } else {
        assert!(!out.text.contains('\r'), "{}", show());
    }
    let text = out.text.replace("\r\n", "\n");
    assert_eq!(comments(&text), case.both.comments(), "comments; {}", show());
    let mut lines = 0;
    let there: Vec<&str> = text.lines().map(str::trim).collect();
    for (book, others) in [(&case.mine, &case.touched[1]), (&case.theirs, &case.touched[0])] {
        for item in book.items.iter().filter(|i| !others.contains(&i.id) && !speaks_of(book, i, others)) {
            // A line that both wrote alike, as what a side put in may stand on one line with the rest.
            for line in book.lines(item) {
                lines += 1;
                assert!(there.contains(&line.trim()), "the line `{line}` is gone; {}", show());
            }
        }
    }
    let (a, b) = (compile_texts(&[("a.scene", &text)]), compile_texts(&[("a.scene", &both)]));
    assert_eq!(codes(&a), codes(&b), "{}", show());
    assert_eq!(print::csv::table(&a, true), print::csv::table(&b, true), "{}", show());
    assert_eq!(songs(&a), songs(&b), "{}", show());
    // As the command does: what rules ask of free cells is chosen first.
    let (a, b) = (a.fill_kept(), b.fill_kept());
    assert!(compare(&b, &a, Options { exact: true, renames: false, copies: true }).same(), "{}", show());
    // The formatter finds it whole, and what it makes of it is a book of the same lines.
    if b.errors() == 0 {
        let edits = format(0, &text).unwrap_or_default();
        assert!(parse(0, &apply(&text, &edits)).1.is_empty(), "{}", show());
    }
    // One side alone is that side.
    assert_eq!(merge(&base, &mine, &base).text, mine, "{}", show());
    if ends == 0 {
        assert_eq!(merge(&base, &base, &theirs).text, theirs, "{}", show());
        assert_eq!(merge(&base, &theirs, &theirs).text, theirs, "{}", show());
    }
    lines
}

/// It names a scene that the other side calls anew.
fn speaks_of(book: &Abstract, item: &Item, others: &std::collections::BTreeSet<usize>) -> bool {
    let own = match &item.head {
        Head::Scene(_, _, parent, _) => parent.iter().copied().collect(),
        Head::Speaks(_, of) => of.clone(),
        _ => Vec::new(),
    };
    let inner = item.lines.iter().filter_map(|l| match &l.says {
        Says::Part(_, scene, _) | Says::Pin(_, scene) => Some(*scene),
        _ => None,
    });
    let _ = book;
    own.into_iter().chain(inner).any(|scene| others.contains(&scene))
}

#[test]
fn what_two_scripts_did_is_what_both_make() {
    let count = many(60, 1000) as u64;
    let first = seed();
    let mut dice = Dice(first);
    let (mut lines, mut comments) = (0, 0);
    for number in 0..count {
        let seed = if number == 0 { first } else { dice.0.wrapping_add(number) };
        let case = case(seed);
        comments += case.both.comments().len();
        lines += judge(&case, seed, dice.roll(6));
    }
    println!("TIPRING_SEED={first}: {count} three-way merges, {comments} comments and {lines} lines kept");
    assert!(comments > 20 * count as usize && lines > 10 * count as usize);
}

/// Both give one cell two values: a conflict with both, and mine in the text.
#[test]
fn what_both_changed_is_told() {
    let count = many(100, 1000);
    let first = seed();
    let mut dice = Dice(first);
    for _ in 0..count {
        let seed = dice.0;
        let case = case(seed);
        let scenes: Vec<usize> = case
            .base
            .items
            .iter()
            .filter(|i| matches!(&i.head, Head::Scene(name, ..) if name != "rest"))
            .map(|i| i.id)
            .collect();
        let scene = scenes[dice.roll(scenes.len())];
        let (mut mine, mut theirs) = (case.mine.clone(), case.theirs.clone());
        for (book, value) in [(&mut mine, "41.5 %"), (&mut theirs, "42.5 %")] {
            let lines = &mut book.item(scene).lines;
            lines.retain(|l| !matches!(l.says, Says::Cell("throb.depth", _)));
            let at = dice.roll(lines.len() + 1);
            let says = Says::Cell("throb.depth", value.to_owned());
            lines.insert(at, super::book::Line { id: 9999, says, above: Vec::new(), behind: String::new() });
        }
        let out = merge(&case.base.text(), &mine.text(), &theirs.text());
        assert_eq!(out.conflicts.len(), 1, "TIPRING_SEED={seed}\n{}", out.text);
        let (own, other) = (out.conflicts[0].mine.as_deref(), out.conflicts[0].theirs.as_deref());
        assert_eq!((own, other), (Some("throb.depth 41.5 %"), Some("throb.depth 42.5 %")), "TIPRING_SEED={seed}");
        assert!(out.conflicts[0].about.starts_with("scene `"), "{}", out.conflicts[0].about);
        let told =
            out.text.lines().filter(|l| l.starts_with("# conflict in ") && l.contains("throb.depth 42.5 %")).count();
        assert_eq!(told, 1, "TIPRING_SEED={seed}\n{}", out.text);
        let plain: String = out.text.lines().filter(|l| !l.trim().starts_with('#')).collect::<Vec<_>>().join("\n");
        assert!(
            plain.contains("throb.depth 41.5 %") && !plain.contains("throb.depth 42.5 %"),
            "TIPRING_SEED={seed}\n{plain}"
        );
    }
    println!("TIPRING_SEED={first}: {count} conflicts told");
}
