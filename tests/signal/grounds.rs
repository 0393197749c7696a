//! Ground loops against another method: on random boards every way between two earthed amplifiers is looked for by
//! walking the words of the board itself, not its route.

use crate::support::{compile, one};
use tipring::ids::DeviceId;
use tipring::study::grounds;

/// splitmix64, so that a failing board can be made again.
struct Random(u64);

impl Random {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % most
    }
}

#[test]
fn sets_of_earthed_amplifiers_are_those_that_can_be_walked() {
    let seed = std::time::UNIX_EPOCH.elapsed().unwrap().as_nanos() as u64;
    let mut random = Random(seed);
    let mut joined = 0;
    for _ in 0..500 {
        let amps = 2 + random.below(3) as usize;
        let isolated: Vec<bool> = (0..amps).map(|_| random.below(2) == 0).collect();
        let earthed: Vec<bool> = (0..amps).map(|_| random.below(3) > 0).collect();
        // None, its own loop on the board, or the input of the next amplifier.
        let sends: Vec<u64> = (0..amps).map(|_| random.below(3)).collect();
        let mut text = format!("switcher {{ loops {amps}; outputs {amps}");
        for (at, _) in isolated.iter().enumerate().filter(|(_, is)| **is) {
            text += &format!("; isolated output {}", at + 1);
        }
        text += " }\n";
        for (at, earthed) in earthed.iter().enumerate() {
            let earthed = if *earthed { "; earthed" } else { "" };
            text += &format!("amp amp{at} {{ fed by output {}{earthed} }}\n", at + 1);
        }
        for (at, send) in sends.iter().enumerate() {
            match send {
                1 => text += &format!("chain c{at}: amp{at} send -> loop {} -> amp{at} return\n", at + 1),
                2 => text += &format!("chain c{at}: amp{at} send -> amp{} return\n", (at + 1) % amps),
                _ => {}
            }
        }
        let compiled = compile(&one("book.scene", &text));
        // Each amplifier touches the board by its output, or by its loop; or it touches another.
        let board = amps;
        let touches = |a: usize, b: usize| {
            let pair = |x: usize, y: usize| {
                y == board && (!isolated[x] || sends[x] == 1) || y != board && sends[x] == 2 && y == (x + 1) % amps
            };
            pair(a.min(b), a.max(b)) || a != board && b != board && pair(a.max(b), a.min(b))
        };
        let reach = |from: usize| {
            let (mut seen, mut left) = (vec![from], vec![from]);
            while let Some(at) = left.pop() {
                for next in (0..=amps).filter(|next| *next != at && touches(at, *next)) {
                    if !seen.contains(&next) {
                        seen.push(next);
                        left.push(next);
                    }
                }
            }
            seen
        };
        let mut expected: Vec<Vec<String>> = Vec::new();
        for at in (0..amps).filter(|at| earthed[*at]) {
            let mut set: Vec<usize> = reach(at).into_iter().filter(|d| *d != board && earthed[*d]).collect();
            set.sort_unstable();
            let names: Vec<String> = set.iter().map(|d| format!("amp{d}")).collect();
            if names.len() > 1 && !expected.contains(&names) {
                expected.push(names);
            }
        }
        let devices = &compiled.book.board.devices;
        let named = |set: Vec<DeviceId>| {
            let mut names: Vec<String> = set.iter().map(|d| devices.get(*d).unwrap().name.clone()).collect();
            names.sort();
            names
        };
        let mut found: Vec<Vec<String>> =
            grounds::loops(&compiled.book.board, compiled.route()).into_iter().map(named).collect();
        found.sort();
        expected.sort();
        joined += found.len();
        assert_eq!(found, expected, "seed {seed}:\n{text}");
    }
    assert!(joined > 100, "{joined}");
}
