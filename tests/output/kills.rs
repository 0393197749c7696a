//! A run that is killed while it writes: every file is wholly old or wholly new, nothing lies about, and the next run
//! says so.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::support::dice::Dice;
use super::{strays, tipring, told};

const FILES: usize = 12;

/// A book of several files, none in its canonical look. With slips each has one thing to mend.
fn book(folder: &Path, slips: bool) -> BTreeMap<String, Vec<u8>> {
    let ohms = if slips { "500k" } else { "500 kohm" };
    let mut out = BTreeMap::new();
    let mut base = format!("switcher {{ loops {FILES} }}\n");
    for n in 1..=FILES {
        base += &format!("pedal ember{n} {{ loop {n} }}\n");
    }
    out.insert("base.scene".to_owned(), base);
    for n in 1..=FILES {
        let mut text = format!("scene   bed{n} {{ engage ember{n} }}\n");
        text += &format!("buffer  reed{n} {{ input {ohms} }}\nsong   \"Quay {n}\" {{ all: bed{n} }}\n");
        text += &"#   moss\n".repeat(3_000);
        out.insert(format!("part{n}.scene"), text);
    }
    for (name, text) in &out {
        fs::write(folder.join(name), text).unwrap();
    }
    out.into_iter().map(|(name, text)| (name, text.into_bytes())).collect()
}

fn held(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let files = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    let scenes = files.filter(|p| p.extension().is_some_and(|e| e == "scene"));
    scenes.map(|p| (p.file_name().unwrap().to_str().unwrap().to_owned(), fs::read(p).unwrap())).collect()
}

fn run(folder: &Path, words: &[&str]) -> std::process::Child {
    let mut run = Command::new(env!("CARGO_BIN_EXE_tipring"));
    run.args(words).current_dir(folder).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
}

#[test]
fn after_a_kill_each_file_is_old_or_new() {
    let full = std::env::var_os("TIPRING_FULL").is_some();
    let seed = std::env::var("TIPRING_SEED").ok().and_then(|s| s.parse().ok());
    let seed = seed
        .unwrap_or_else(|| u64::from(std::process::id()) ^ (u64::from(Instant::now().elapsed().subsec_nanos()) << 32));
    let kills = if full { 100 } else { 10 };
    println!("TIPRING_SEED={seed}");
    let mut dice = Dice(seed);
    let (mut mixed, mut said, mut early, mut late) = (0, 0, 0, 0);
    for (words, slips) in
        [(&["fmt", "."][..], false), (&["check", ".", "--fix"], true), (&["fmt", "base.scene"], false)]
    {
        let folder = tempfile::tempdir().unwrap();
        let old = book(folder.path(), slips);
        let begin = Instant::now();
        run(folder.path(), words).wait().unwrap();
        let whole = begin.elapsed();
        let new = held(folder.path());
        let all = new.iter().filter(|(name, text)| old.get(*name) != Some(*text)).count();
        // A file alone needs no note: it is the old one or the new.
        let alone = words.contains(&"base.scene");
        assert!(if alone { all == 1 } else { all >= FILES }, "{words:?} changes {all} files");
        for _ in 0..kills {
            book(folder.path(), slips);
            let mut child = run(folder.path(), words);
            // Half of them at any moment, half as soon as the note of the files in work is there.
            if dice.one_in(2) {
                std::thread::sleep(whole.mul_f64(dice.roll(1_000) as f64 / 900.0));
            } else {
                let note = folder.path().join(".tipring-unfinished");
                let until = Instant::now() + whole * 10;
                while !note.exists() && child.try_wait().unwrap().is_none() && Instant::now() < until {
                    std::thread::yield_now();
                }
                std::thread::sleep(Duration::from_micros(dice.roll(600) as u64));
            }
            child.kill().unwrap();
            child.wait().unwrap();
            let there = held(folder.path());
            let changed =
                there.iter().filter(|(name, text)| new.get(*name) == Some(*text) && old.get(*name) != Some(*text));
            let changed = changed.count();
            for (name, text) in &there {
                assert!(old.get(name) == Some(text) || new.get(name) == Some(text), "{name} is torn");
            }
            assert_eq!(there.len(), old.len());
            let cut = folder.path().join(".tipring-unfinished").exists();
            let next = tipring(folder.path(), &["table", ".", "--draft", "--format", "csv"]);
            assert_eq!(told(&next).contains("was cut short"), cut, "{}", told(&next));
            if changed > 0 && changed < all {
                mixed += 1;
                assert!(cut, "{changed} of {all} files changed, and nothing says so");
                assert!(told(&next).contains("run the same command again"), "{}", told(&next));
                // It is said until it is settled.
                assert!(told(&tipring(folder.path(), &["table", ".", "--draft"])).contains("was cut short"));
                run(folder.path(), words).wait().unwrap();
                assert_eq!(held(folder.path()), new);
            }
            said += usize::from(cut);
            early += usize::from(changed == 0);
            late += usize::from(changed == all);
            let last = tipring(folder.path(), &["table", ".", "--draft"]);
            assert!(!told(&last).contains("was cut short"), "{}", told(&last));
            if alone {
                // What a lone write left goes with the next.
                tipring(folder.path(), words);
                book(folder.path(), slips);
                tipring(folder.path(), words);
            }
            assert_eq!(strays(folder.path()), 0, "{words:?}");
        }
    }
    let kills = 3 * kills;
    println!("{kills} kills: {early} before the first file, {mixed} in between, {late} after the last; {said} said so");
    assert_eq!(early + mixed + late, kills);
}
