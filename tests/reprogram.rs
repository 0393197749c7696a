//! "To reprogram" of programs with banks, held against a unit's memory: what each preset sends, read from the bytes as
//! a unit would. Nothing of the comparison is asked but the list itself, through the command line.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
// The dice are shared with tests that use more of them.
#![allow(dead_code)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "support/dice.rs"]
mod dice;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::process::Command;

use dice::Dice;
use serde_json::Value;

/// What a preset sends on a channel: the program, or one controller.
type Sent = BTreeMap<String, Vec<u8>>;
/// Slots with what their presets send.
type Memory = BTreeMap<String, Sent>;

fn tipring(folder: &std::path::Path, words: &[&str]) -> Value {
    let out = Command::new(env!("CARGO_BIN_EXE_tipring")).current_dir(folder).args(words).output().unwrap();
    let why = String::from_utf8_lossy(&out.stderr);
    assert!(matches!(out.status.code(), Some(0 | 1)) && !out.stdout.is_empty(), "{words:?}: {why}");
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Reads a preset's bytes: controllers 0 and 32 wait for the program of their channel.
fn read(bytes: &[u8], sent: &mut Sent) {
    let mut banks: BTreeMap<u8, Vec<u8>> = BTreeMap::new();
    let mut at = 0;
    while at < bytes.len() {
        let channel = (bytes[at] & 15) + 1;
        match bytes[at] & 0xF0 {
            0xB0 if matches!(bytes[at + 1], 0 | 32) => {
                banks.entry(channel).or_default().extend(&bytes[at + 1..at + 3]);
                at += 3;
            }
            0xB0 => {
                sent.insert(format!("midi {channel} cc {}", bytes[at + 1]), vec![bytes[at + 2]]);
                at += 3;
            }
            0xC0 => {
                let mut whole = banks.remove(&channel).unwrap_or_default();
                whole.push(bytes[at + 1]);
                sent.insert(format!("midi {channel} program"), whole);
                at += 2;
            }
            other => panic!("{other:02X} is no message of a preset"),
        }
    }
    assert!(banks.is_empty(), "a bank without a program");
}

/// The memory that a book asks for; and for each cell's name, what it sends by.
fn memory(midi: &Value) -> (Memory, BTreeMap<String, String>) {
    let (mut memory, mut cells) = (Memory::new(), BTreeMap::new());
    for preset in midi["presets"].as_array().unwrap() {
        let Some(slot) = preset["slot"].as_str() else { continue };
        let sent = memory.entry(slot.to_owned()).or_default();
        for line in preset["messages"].as_array().unwrap() {
            let bytes: Vec<u8> =
                line["bytes"].as_str().unwrap().split(' ').map(|b| u8::from_str_radix(b, 16).unwrap()).collect();
            let mut one = Sent::new();
            read(&bytes, &mut one);
            for (by, value) in one {
                cells.insert(format!("midi-{}:{}", line["channel"], line["what"].as_str().unwrap()), by.clone());
                sent.insert(by, value);
            }
        }
    }
    (memory, cells)
}

/// Two devices that are always on, so that nothing of them is ever free: `hall` sends programs on a channel, with or
/// without banks, and `mist` a level.
fn book(dice: &mut Dice, scenes: usize, keep: &mut Vec<String>) -> String {
    let first = dice.roll(2);
    let mut text = format!(
        "switcher {{ loops 1; outputs 1; banks 1..2, switches 1..5 }}\npedal moss {{ loop 1 }}\n\
         pedal mist {{ always on; level air on midi 5 cc 20 from 0 % to 100 % }}\n\
         pedal hall {{ always on; control room on midi 4 programs from {first} {{\n"
    );
    let banked = dice.one_in(2) || keep.is_empty();
    // No two states are one program: that is an error. Without a bank it lies in the first.
    let mut taken = BTreeSet::new();
    for state in ["small", "wide", "deep", "far"] {
        loop {
            let program = first + dice.roll(4);
            let banked = banked && !dice.one_in(3);
            let bank = banked.then(|| [1, 2, 3, 200][dice.roll(4)]);
            if taken.insert((program, bank.unwrap_or(1))) {
                let bank = bank.map_or(String::new(), |bank| format!(" bank {bank}"));
                let _ = writeln!(text, "  {state}: program {program}{bank}");
                break;
            }
        }
    }
    text += "} }\n";
    // A book that is turned keeps most of its scenes.
    for n in 0..scenes {
        if keep.len() <= n || dice.one_in(4) {
            let state = ["small", "wide", "deep", "far"][dice.roll(4)];
            let says = format!("scene s{n} {{ engage moss; hall.room {state}; mist.air {} % }}\n", 10 * dice.roll(3));
            if keep.len() <= n { keep.push(says) } else { keep[n] = says }
        }
    }
    text += &keep.concat();
    let parts: Vec<String> = (0..scenes).map(|n| format!("s{n}")).collect();
    let _ = writeln!(text, "song \"Quay\" {{ {} }}", parts.join("; "));
    let pins: Vec<String> = (0..scenes).map(|n| format!("{}.{} s{n}", 1 + n / 5, 1 + n % 5)).collect();
    text + &format!("slots {{ {} }}\n", pins.join("; "))
}

#[test]
fn the_list_turns_the_old_bytes_into_the_new_ones() {
    let seed = dice::seed();
    println!("seed {seed}");
    let dice = &mut Dice(seed);
    let count = dice::many(40, 400);
    let (mut differ, mut banks, mut listed) = (0, 0, 0);
    for n in 0..count {
        let scenes = 2 + dice.roll(6);
        let mut keep = Vec::new();
        let old = book(dice, scenes, &mut keep);
        let new = book(dice, scenes, &mut keep);
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("old.scene"), &old).unwrap();
        fs::write(folder.path().join("new.scene"), &new).unwrap();
        let midi = |name: &str| memory(&tipring(folder.path(), &["midi", name, "--format", "json"]));
        let ((was, _), (now, cells)) = (midi("old.scene"), midi("new.scene"));
        let told = tipring(folder.path(), &["diff", "old.scene", "new.scene", "--format", "json"]);
        // The work, done as the list says it.
        let mut holds = was.clone();
        let mut named: BTreeSet<String> = BTreeSet::new();
        for work in told["reprogrammed"]["slots"].as_array().unwrap() {
            let slot = work["slot"].as_str().unwrap();
            named.insert(slot.to_owned());
            if let Some(from) = work["from"]["slot"].as_str() {
                holds.insert(slot.to_owned(), holds[from].clone());
            }
            for cell in work["cells"].as_array().unwrap() {
                listed += 1;
                let by = &cells[cell["cell"].as_str().unwrap()];
                // What reads the same is counted anew by the device; a bank that comes or goes is told.
                let bank = |memory: &Memory| memory[slot][by].split_last().map(|(_, bank)| bank.to_vec());
                assert!(cell["was"] != cell["now"] || bank(&holds) == bank(&now), "{cell}, seed {seed}\n{old}\n{new}");
                holds.get_mut(slot).unwrap().insert(by.clone(), now[slot][by].clone());
            }
        }
        assert_eq!(holds, now, "seed {seed}, book {n}\n{old}\n{new}");
        let wanted: BTreeSet<String> = now.keys().filter(|slot| was.get(*slot) != now.get(*slot)).cloned().collect();
        assert_eq!(named, wanted, "seed {seed}, book {n}\n{old}\n{new}");
        differ += wanted.len();
        banks += usize::from(now.values().flat_map(Sent::values).any(|bytes| bytes.len() > 1));
    }
    println!("{count} pairs of books: {differ} presets differ, {banks} books send banks, {listed} cells were listed");
    assert!(differ > count && banks > count / 6);
}
