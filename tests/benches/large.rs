//! A seeded book of any size, without comments: the load of the benches.

use std::fmt::Write;

/// A generator of numbers: splitmix64 (Steele, Lea and Flood, 2014), from memory.
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }
}

const BOARD: &str = r#"board "bench" version "one"
switcher {
  loops 10, split after 7
  remote jacks 4
  expressions 2 of 128 steps
  outputs 2
  banks 1..50000, switches 1..5
  display 16
}
guitar plank
pedal moss { loop 1; control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed } }
pedal fern { loop 2 }
pedal reed { loop 3; level mix on expression 1 from 0 % to 80 % }
pedal sedge { loop 4; place top; control pace by foot { slow; fast } }
pedal birch { loop 5 }
pedal alder { loop 6 }
pedal rowan { loop 7 }
pedal hazel { loop 8; level depth on expression 2 from 0 % to 100 % }
pedal aspen { loop 9; control bank on midi 3 programs from 1 { low: program 1; high: program 2 } }
pedal larch { loop 10; level size on midi 4 cc 14 from 0 % to 100 % }
treadle rocker feeds expression 2
amp left { fed by output 1; control channel on remote 2 tip { clean: open; lead: closed } }
amp right { fed by output 2 }
default { moss.voice round; reed.mix 20 %; sedge.pace slow; hazel.depth 40 %; aspen.bank low; larch.size 30 %; left.channel clean }
layer wide { engage hazel; hazel.depth 70 % }
layer push { engage birch; left.channel lead }
layer wash { engage larch; larch.size 55 % }
"#;

/// A book of `scenes` scenes: half of them roots, half derived, in chains of up to a few dozen; each is played.
pub fn book(scenes: u64, seed: u64) -> String {
    let mut random = Random(seed);
    let mut out = String::from(BOARD);
    for n in 0..scenes {
        let _ = write!(out, "scene s{n}x");
        if n > 0 && random.below(2) == 0 {
            let _ = write!(out, " from s{}x", n - 1 - random.below(n.min(8)));
        } else if random.below(3) == 0 {
            out.push_str([" with wide", " with push", " with wash"][random.below(3) as usize]);
        }
        out.push_str(" {\n");
        let pedals = ["moss", "fern", "reed", "sedge", "birch", "alder", "rowan", "hazel", "aspen", "larch"];
        let first = random.below(10);
        let second = (first + 1 + random.below(9)) % 10;
        let _ = writeln!(out, "  engage {}, {}", pedals[first as usize], pedals[second as usize]);
        match random.below(5) {
            0 => out.push_str("  moss.voice sharp\n"),
            1 => drop(writeln!(out, "  reed.mix {} %", random.below(80))),
            2 => out.push_str("  hazel.depth foot from heel\n"),
            3 => drop(writeln!(out, "  larch.size {} %", random.below(100))),
            _ => out.push_str("  aspen.bank high\n"),
        }
        out.push_str("}\n");
    }
    let mut scene = 0;
    let mut songs = Vec::new();
    while scene < scenes {
        let _ = writeln!(out, "song \"Tune {}\" at {} bpm on plank {{", songs.len(), 60 + random.below(120));
        for part in ["verse", "lift", "refrain", "end"] {
            if scene < scenes {
                let _ = writeln!(out, "  {part}: s{scene}x");
                scene += 1;
            }
        }
        out.push_str("}\n");
        songs.push(songs.len());
    }
    out.push_str("set \"all of it\" {\n");
    for song in songs {
        let _ = writeln!(out, "  \"Tune {song}\"");
    }
    out.push_str("}\n");
    out
}
