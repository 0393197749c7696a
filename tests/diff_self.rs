//! What a diff must not tell, and what it must: nothing of a book against itself, `was` as it is written, labels to
//! print, and what a foot does in silence.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
// The lists of books are shared with tests that use more of them.
#![allow(dead_code)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "properties/books.rs"]
mod books;
#[path = "support/dice.rs"]
mod dice;
#[path = "settle_agrees"]
mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod generate;
    pub(crate) mod random;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::process::Command;

use serde_json::Value;
use settle_agrees::random::Random;

fn diff(old: &str, new: &str, words: &[&str]) -> (Option<i32>, String) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("old.scene"), old).unwrap();
    fs::write(folder.path().join("new.scene"), new).unwrap();
    let mut tool = Command::new(env!("CARGO_BIN_EXE_tipring"));
    let out = tool.current_dir(folder.path()).args(["diff", "old.scene", "new.scene"]).args(words).output().unwrap();
    (out.status.code(), String::from_utf8(out.stdout).unwrap())
}

fn json(old: &str, new: &str, words: &[&str]) -> Value {
    let (code, text) = diff(old, new, &[&["--format", "json"], words].concat());
    assert!(matches!(code, Some(0 | 1)), "{code:?}\n{old}\n{new}");
    serde_json::from_str(&text).unwrap()
}

const BOARD: &str = "switcher { loops 6; outputs 1; banks 1..4, switches 1..5 }\n\
    pedal moss { loop 1 }\npedal reed { loop 2 }\npedal lull { loop 3 }\npedal fern { loop 4 }\npedal wold { loop 5 }\n\
    pedal carr { loop 6 }\n";

/// Scenes that all sound otherwise, each with what it was.
fn written(scenes: &[(String, usize, Option<String>)]) -> String {
    let mut out = BOARD.to_owned();
    for (name, sound, was) in scenes {
        let was = was.as_ref().map_or(String::new(), |w| format!(" was {w}"));
        let pedals = ["moss", "reed", "lull", "fern", "wold", "carr"];
        let engaged: Vec<&str> = (0..6).filter(|p| sound >> p & 1 == 1).map(|p| pedals[p]).collect();
        let _ = writeln!(out, "scene {name}{was} {{ engage {} }}", engaged.join(", "));
    }
    let parts: Vec<&str> = scenes.iter().map(|(name, ..)| name.as_str()).collect();
    out + &format!("song \"Quay\" {{ {} }}\n", parts.join("; "))
}

#[test]
fn no_book_differs_from_itself() {
    let all = books::examples().into_iter().chain(books::presets()).chain(books::suite()).chain(books::random(0..60));
    let mut count = 0;
    for book in all {
        let (one, other) = (books::compile(&book), books::compile(&book));
        let options = tipring::compare::Options::default();
        assert!(tipring::compare::compare(&one, &other, options).same(), "{}", book[0].0);
        count += 1;
    }
    println!("{count} books");
    assert!(count > 150);
}

#[test]
fn no_book_differs_from_itself_whatever_its_scenes_were() {
    let seed = dice::seed();
    println!("seed {seed}");
    let random = &mut Random::new(seed);
    let count = dice::many(40, 400);
    let mut circles = 0;
    for _ in 0..count {
        let names = ["bed", "crunch", "lift", "solo", "hush"];
        let mut were: Vec<String> = names.iter().map(|n| (*n).to_owned()).collect();
        random.shuffle(&mut were);
        let scenes: Vec<_> = (0..names.len())
            .map(|at| (names[at].to_owned(), at + 1, Some(were[at].clone()).filter(|w| w != names[at])))
            .filter(|_| random.chance(90))
            .collect();
        circles += usize::from(scenes.len() == names.len());
        let text = written(&scenes);
        let (code, told) = diff(&text, &text, &[]);
        assert!(code == Some(0) && told.ends_with("no difference\n"), "{text}\n{told}");
    }
    println!("{count} books, {circles} whose scenes took each other's names in a circle");
    assert!(circles > 5);
}

/// Pairs as the words say: `was`, unless the old book has it in the same words; then by name.
fn paired(
    old: &[(String, usize, Option<String>)],
    new: &[(String, usize, Option<String>)],
) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    let mut taken = BTreeSet::new();
    for (name, _, was) in new {
        let Some(was) = was else { continue };
        let same = old.iter().any(|(n, _, w)| n == name && w.as_ref() == Some(was));
        if old.iter().any(|(n, ..)| n == was) && !same {
            out.insert(name.clone(), was.clone());
            taken.insert(was.clone());
        }
    }
    for (name, ..) in new {
        if !out.contains_key(name) && !taken.contains(name) && old.iter().any(|(n, ..)| n == name) {
            out.insert(name.clone(), name.clone());
        }
    }
    out
}

#[test]
fn what_a_scene_was_always_wins() {
    let seed = dice::seed();
    println!("seed {seed}");
    let random = &mut Random::new(seed);
    let count = dice::many(60, 500);
    let (mut renamed, mut given, mut swapped) = (0, 0, 0);
    for _ in 0..count {
        let names = ["bed", "crunch", "lift", "solo", "hush", "far", "near"];
        let mut order: Vec<usize> = (1..63).collect();
        random.shuffle(&mut order);
        let scene = |at: usize, was: Option<String>| (names[at].to_owned(), order[at], was);
        let old: Vec<_> = (0..4).map(|at| scene(at, None)).collect();
        let mut were: Vec<usize> = (0..4).collect();
        random.shuffle(&mut were);
        let mut fresh: Vec<usize> = (0..7).collect();
        random.shuffle(&mut fresh);
        let mut were = were.into_iter();
        let new: Vec<_> = fresh[..5]
            .iter()
            .map(|at| {
                let was = if random.chance(60) { were.next().filter(|w| w != at) } else { None };
                scene(*at, was.map(|w| names[w].to_owned()))
            })
            .collect();
        let wanted = paired(&old, &new);
        let (one, other) = (written(&old), written(&new));
        let told = json(&one, &other, &["--no-renames"]);
        let scenes = told["heard"]["scenes"].as_array().unwrap();
        for (name, ..) in &new {
            let found = scenes.iter().find(|s| s["now"] == name.as_str());
            match (wanted.get(name), found) {
                (Some(was), Some(found)) => assert_eq!(found["was"], was.as_str(), "{one}\n{other}"),
                (Some(was), None) => assert_eq!(was, name, "{one}\n{other}"),
                (None, found) => assert_eq!(found.map(|f| &f["was"]), Some(&Value::Null), "{one}\n{other}"),
            }
            let was = wanted.get(name).filter(|w| *w != name);
            renamed += usize::from(was.is_some());
            given += usize::from(was.is_some_and(|w| new.iter().any(|(n, ..)| n == w)));
            swapped += usize::from(was.is_some_and(|w| wanted.get(w) == Some(name)));
        }
    }
    println!("{count} pairs: {renamed} renamed, the old name of {given} given to another scene, {swapped} swapped");
    assert!(renamed > count / 2 && given > 5);
}

const LABELLED: &str = "switcher { loops 2; outputs 1; banks 1..1, switches 1..2 }\n\
    pedal moss { loop 1; gain 3 dB stated; output 1 kohm; input 1 Mohm; place under; knob bite 1:00; knob air 2:00; tail 1 s }\n\
    scene bed { engage moss }\nsong \"Quay\" { bed }\n";

#[test]
fn a_label_that_changes_is_to_be_printed() {
    let told = |old: &str, new: &str| diff(old, new, &["--for", "tech"]);
    let renamed = LABELLED.replace("moss", "wold");
    let (code, text) = told(LABELLED, &renamed);
    assert_eq!(code, Some(1), "{text}");
    assert!(text.contains("[ ] loop 1: print a label for `wold`: MSS → WLD"), "{text}");
    let coded = LABELLED.replace("loop 1;", "loop 1; code MOS;");
    let (code, text) = told(LABELLED, &coded);
    assert_eq!(code, Some(1));
    assert_eq!(text.matches("MOS").count(), 1, "{text}");
    assert!(text.contains("[ ] loop 1: print a label for `moss`: MSS → MOS"), "{text}");
    // The code keeps the letters: nothing is printed.
    let kept = LABELLED.replace("moss", "wold").replace("loop 1;", "loop 1; code MSS;");
    assert!(!told(LABELLED, &kept).1.contains("print a label"));
    assert_eq!(json(LABELLED, &renamed, &[])["relabelled"][0]["now"], "WLD");
}

#[test]
fn what_a_foot_does_in_silence_is_told() {
    let book = |state: &str| {
        format!(
            "switcher {{ loops 1; outputs 1; banks 1..1, switches 1..2 }}\npedal moss {{ loop 1 }}\n\
             amp barn {{ fed by output 1; control channel by foot {{ clean; lead }} }}\n\
             scene bed {{ engage moss; barn.channel clean }}\nscene hush {{ mute; barn.channel {state} }}\n\
             song \"Quay\" {{ bed; hush }}\n"
        )
    };
    let (code, text) = diff(&book("clean"), &book("lead"), &[]);
    assert_eq!(code, Some(1), "{text}");
    assert!(text.contains("hush: `barn` channel `clean` → `lead`"), "{text}");
}
