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

const PEDALS: [&str; 10] = ["moss", "fern", "reed", "sedge", "birch", "alder", "rowan", "hazel", "aspen", "larch"];

/// What a scene has, so that the next one says nothing twice: pedals engaged, and the five settings that vary.
#[derive(Clone, Copy)]
struct Sound {
    engaged: u16,
    settings: [u64; 5],
}

const ROOT: Sound = Sound { engaged: 0, settings: [0, 20, 40, 30, 0] };
/// The layers: name, the pedal each engages, the setting it changes.
type Layer = (&'static str, u16, Option<(usize, u64)>);
const LAYERS: [Layer; 3] = [("wide", 1 << 7, Some((2, 70))), ("push", 1 << 4, None), ("wash", 1 << 9, Some((3, 55)))];

/// A book of `scenes` scenes: half of them roots, half derived, in chains of up to a few dozen; each is played.
pub fn book(scenes: u64, seed: u64) -> String {
    let mut random = Random(seed);
    let mut out = String::from(BOARD);
    let mut sounds: Vec<Sound> = Vec::new();
    for n in 0..scenes {
        let _ = write!(out, "scene s{n}x");
        let mut sound = ROOT;
        if n > 0 && random.below(2) == 0 {
            let parent = n - 1 - random.below(n.min(8));
            let _ = write!(out, " from s{parent}x");
            sound = sounds[parent as usize];
        } else if random.below(3) == 0 {
            let (name, engaged, setting) = LAYERS[random.below(3) as usize];
            let _ = write!(out, " with {name}");
            sound.engaged |= engaged;
            if let Some((which, value)) = setting {
                sound.settings[which] = value;
            }
        }
        out.push_str(" {\n");
        let first = random.below(10);
        for pedal in [first, (first + 1 + random.below(9)) % 10] {
            let word = if sound.engaged & 1 << pedal == 0 { "engage" } else { "bypass" };
            let _ = writeln!(out, "  {word} {}", PEDALS[pedal as usize]);
            sound.engaged ^= 1 << pedal;
        }
        setting(&mut out, &mut sound, &mut random);
        out.push_str("}\n");
        sounds.push(sound);
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

/// Changes one of the five settings to a value that it does not have.
fn setting(out: &mut String, sound: &mut Sound, random: &mut Random) {
    let which = random.below(5) as usize;
    let old = sound.settings[which];
    let new = match which {
        0 | 4 => 1 - old,
        _ => (old + 1 + random.below(79)) % 80,
    };
    sound.settings[which] = new;
    let _ = match which {
        0 => writeln!(out, "  moss.voice {}", ["round", "sharp"][new as usize]),
        1 => writeln!(out, "  reed.mix {new} %"),
        2 => writeln!(out, "  hazel.depth {new} %"),
        3 => writeln!(out, "  larch.size {new} %"),
        _ => writeln!(out, "  aspen.bank {}", ["low", "high"][new as usize]),
    };
}
