//! Free contacts, checked against every choice there is, on small books; and what the examples save.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use support::dice::Dice;
use support::{compile, one};
use tipring::print::csv;

/// A small book: its text, and for checking: the scenes of each set in order.
struct Small {
    text: String,
    sequences: Vec<Vec<usize>>,
    scenes: usize,
    /// `never A` or `A needs B` over contacts, as the pattern that breaks it.
    rule: Option<[(usize, bool); 2]>,
}

fn word(closed: bool) -> &'static str {
    if closed { "closed" } else { "open" }
}

fn small(seed: u64) -> Small {
    let mut dice = Dice(seed);
    let mut text = "switcher { loops 3; remote jacks 2; banks 1..2, switches 1..5 }\n".to_owned();
    let mut controls = Vec::new();
    // Jack 1 has one control over both contacts, jack 2 one over each; sometimes the tip of jack 2 is shared with a
    // second pedal.
    let patterns: Vec<Vec<bool>> = match dice.roll(3) {
        0 => vec![vec![true, false], vec![false, true]],
        1 => vec![vec![true, true], vec![false, true]],
        _ => vec![vec![true, false], vec![false, true], vec![true, true]],
    };
    let states: Vec<String> =
        patterns.iter().enumerate().map(|(n, p)| format!("s{n}: tip {}, ring {}", word(p[0]), word(p[1]))).collect();
    text += &format!("pedal ab {{ loop 1; control voice on remote 1 {{ {} }} }}\n", states.join("; "));
    controls.push((vec![0, 1], patterns));
    let shared = dice.roll(3) == 0;
    let word_shared = if shared { " shared" } else { "" };
    text += &format!("pedal cd {{ loop 2; control voice on remote 2 tip{word_shared} {{ s0: open; s1: closed }} }}\n");
    controls.push((vec![2], vec![vec![false], vec![true]]));
    if shared {
        text += "pedal ef { loop 3; control voice on remote 2 shared { s0: tip open, ring closed; s1: tip closed, ring open } }\n";
        controls.push((vec![2, 3], vec![vec![false, true], vec![true, false]]));
    } else {
        text += "pedal ef { loop 3; control voice on remote 2 ring { s0: open; s1: closed } }\n";
        controls.push((vec![3], vec![vec![false], vec![true]]));
    }
    let names = ["ab", "cd", "ef"];
    let scenes = 3 + dice.roll(2);
    for n in 0..scenes {
        let mut says = vec!["mute".to_owned()];
        let mut tip_said: Option<usize> = None;
        for (p, name) in names.iter().enumerate() {
            if dice.roll(2) == 0 {
                continue;
            }
            let state = match (p, tip_said) {
                // Two pedals on one contact want the same of it.
                (2, Some(state)) if shared => state,
                _ => dice.roll(controls[p].1.len()),
            };
            if p == 1 {
                tip_said = Some(state);
            }
            says.push(format!("engage {name}; {name}.voice s{state}"));
        }
        text += &format!("scene c{n} {{ {} }}\n", says.join("; "));
    }
    let mut sequences = Vec::new();
    let songs: Vec<Vec<usize>> =
        (0..1 + dice.roll(3)).map(|_| (0..1 + dice.roll(4)).map(|_| dice.roll(scenes)).collect()).collect();
    for (n, song) in songs.iter().enumerate() {
        let parts: Vec<String> = song.iter().enumerate().map(|(p, s)| format!("q{p}: c{s}")).collect();
        text += &format!("song \"T{n}\" {{ {} }}\n", parts.join("; "));
    }
    for n in 0..1 + dice.roll(2) {
        let set: Vec<usize> = (0..1 + dice.roll(3)).map(|_| dice.roll(songs.len())).collect();
        let listed: Vec<String> = set.iter().map(|s| format!("\"T{s}\"")).collect();
        text += &format!("set \"N{n}\" {{ {} }}\n", listed.join("; "));
        sequences.push(set.iter().flat_map(|s| songs[*s].clone()).collect());
    }
    let rule = (dice.roll(3) == 0).then(|| [(dice.roll(2), dice.roll(2) == 0), (2 + dice.roll(2), dice.roll(2) == 0)]);
    if let Some(rule) = rule {
        let atom = |(c, on): (usize, bool)| {
            format!("remote {} {} {}", c / 2 + 1, if c % 2 == 0 { "tip" } else { "ring" }, word(on))
        };
        text += &format!("rule never {} beside {}\n", atom(rule[0]), atom(rule[1]));
    }
    Small { text, sequences, scenes, rule }
}

/// The four contacts of each scene: values, and which are free.
fn contacts(book: &Small, printed: &str) -> Vec<Vec<String>> {
    let mut lines = printed.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let names = lines.next().unwrap();
    let places: Vec<usize> = ["remote-1-tip", "remote-1-ring", "remote-2-tip", "remote-2-ring"]
        .iter()
        .map(|c| names.iter().position(|n| n == c).unwrap())
        .collect();
    let mut out = vec![Vec::new(); book.scenes];
    for row in lines {
        out[row[1][1..].parse::<usize>().unwrap()] = places.iter().map(|p| row[*p].to_owned()).collect();
    }
    out
}

fn moves(book: &Small, rows: &[Vec<bool>]) -> u64 {
    let pairs = book.sequences.iter().flat_map(|s| s.windows(2));
    pairs.map(|p| (0..4).filter(|c| rows[p[0]][*c] != rows[p[1]][*c]).count() as u64).sum()
}

fn breaks(book: &Small, row: &[bool]) -> bool {
    book.rule.is_some_and(|rule| rule.iter().all(|(c, on)| row[*c] == *on))
}

#[test]
fn no_choice_moves_fewer() {
    let (mut saved, mut coupled, mut ruled, mut tried, mut kept) = (0, 0, 0, 0, 0);
    for seed in 0..1_200 {
        let book = small(seed);
        let compiled = compile(&one("small.scene", &book.text));
        if compiled.diagnostics().iter().any(|d| matches!(d.code, "rule-broken" | "rules-clash")) {
            continue;
        }
        assert_eq!(compiled.errors(), 0, "seed {seed}: {:?}\n{}", compiled.diagnostics(), book.text);
        let bits = |rows: Vec<Vec<String>>| -> Vec<Vec<bool>> {
            rows.iter().map(|r| r.iter().map(|v| v == "1").collect()).collect()
        };
        let rest = bits(contacts(&book, &csv::table(&compiled, false)));
        let free: Vec<Vec<bool>> = contacts(&book, &csv::table(&compiled, true))
            .iter()
            .map(|r| r.iter().map(|v| v == "-").collect())
            .collect();
        let compiled = compiled.fill_least();
        let chosen = bits(contacts(&book, &csv::table(&compiled, false)));
        let filled = compiled.filled().unwrap().clone();
        // Only free cells were touched, and no rule is broken.
        for s in 0..book.scenes {
            assert!((0..4).all(|c| free[s][c] || rest[s][c] == chosen[s][c]), "seed {seed}\n{}", book.text);
            assert!(!breaks(&book, &chosen[s]), "seed {seed}: c{s} breaks the rule\n{}", book.text);
        }
        assert_eq!(filled.least, moves(&book, &chosen), "seed {seed}\n{}", book.text);
        // At rest is what `--fill open` stores: the rules are kept there too.
        let compiled = compile(&one("small.scene", &book.text)).fill_kept();
        let resting = bits(contacts(&book, &csv::table(&compiled, false)));
        assert!(resting.iter().all(|row| !breaks(&book, row)), "seed {seed}\n{}", book.text);
        assert_eq!(filled.open, moves(&book, &resting), "seed {seed}\n{}", book.text);
        kept += usize::from(resting != rest);
        // Every choice for the free contacts of played scenes.
        let played: Vec<usize> = (0..book.scenes).filter(|s| book.sequences.iter().flatten().any(|x| x == s)).collect();
        let places: Vec<(usize, usize)> =
            played.iter().flat_map(|s| (0..4).filter(|c| free[*s][*c]).map(|c| (*s, c))).collect();
        if places.len() > 12 {
            continue;
        }
        let (mut least, mut untied) = (u64::MAX, u64::MAX);
        for mask in 0..1u32 << places.len() {
            let mut rows = rest.clone();
            for (bit, (s, c)) in places.iter().enumerate() {
                rows[*s][*c] = mask & (1 << bit) != 0;
            }
            let now = moves(&book, &rows);
            untied = untied.min(now);
            if played.iter().all(|s| !breaks(&book, &rows[*s])) {
                least = least.min(now);
            }
        }
        assert_eq!(filled.gap(), 0, "seed {seed}: small books are solved to the end");
        assert_eq!(filled.least, least, "seed {seed}\n{}", book.text);
        ruled += usize::from(book.rule.is_some());
        tried += 1;
        saved += usize::from(filled.least < filled.open);
        coupled += usize::from(untied < least);
    }
    assert!(tried > 800 && saved > 400 && coupled > 15 && ruled > 150, "{tried} {saved} {coupled} {ruled}");
    assert!(kept > 20, "only {kept} books rest in what a rule forbids");
}

/// By hand: `ab` is bypassed in `b`, between two scenes that hold its tip closed. At rest the tip opens and closes
/// again: 2 moves. Left closed: none. The ring never moves.
#[test]
fn a_free_contact_stays_where_its_neighbours_are() {
    let text = "switcher { loops 1; remote jacks 1 }\n\
        pedal ab { loop 1; control voice on remote 1 tip { low: open; high: closed } }\n\
        scene a { engage ab; ab.voice high }\n\
        scene b { bypass ab }\n\
        song \"Quay\" { one: a; two: b; three: a }\n\
        set \"night\" { \"Quay\" }\n";
    let compiled = compile(&one("book.scene", text));
    assert_eq!(csv::table(&compiled, false), "slot,scene,loop-1,remote-1-tip,remote-1-ring\n,a,1,1,0\n,b,0,0,0\n");
    let compiled = compiled.fill_least();
    assert_eq!(csv::table(&compiled, false), "slot,scene,loop-1,remote-1-tip,remote-1-ring\n,a,1,1,0\n,b,0,1,0\n");
    let filled = compiled.filled().unwrap();
    assert_eq!((filled.open, filled.least, filled.bound), (2, 0, 0));
    let why = tipring::print::free::why(&compiled);
    assert!(why.contains("all contacts: 2 at rest, 0 as chosen") && why.contains("saved: 2, by 1 cells"), "{why}");
}

#[test]
fn the_examples_state_what_they_save() {
    for (folder, open, least) in [("examples/winter", WINTER.0, WINTER.1), ("examples/spring", SPRING.0, SPRING.1)] {
        let options = tipring::driver::Options::default();
        let compiled = tipring::driver::compile_path(std::path::Path::new(folder), options).unwrap();
        let compiled = compiled.fill_least();
        let filled = compiled.filled().unwrap();
        assert_eq!((filled.open, filled.least, filled.gap()), (open, least, 0), "{folder}");
    }
}

/// Contacts that move over all sets of the examples: with free cells at rest, and as chosen.
const WINTER: (u64, u64) = (140, 105);
const SPRING: (u64, u64) = (158, 128);

/// A bypassed pedal need not stand in a pattern that it lists: by hand, `ash` may rest with its tip closed and its ring
/// open, as the scene before leaves them, and nothing moves.
#[test]
fn what_nobody_hears_stands_in_any_pattern() {
    let text = "switcher { loops 3; remote jacks 1 }\n\
        pedal ash { loop 1; control way on remote 1 shared { low: tip open, ring open; mid: tip closed, ring closed } }\n\
        pedal dogwood { loop 2; control way on remote 1 ring shared { low: open; mid: closed } }\n\
        pedal elder { loop 3; control way on remote 1 tip shared { low: open; mid: closed } }\n\
        scene bellows { engage dogwood, elder; dogwood.way low; elder.way mid }\nscene chisel { }\n\
        song \"Quay\" { one: bellows; two: chisel }\nset \"night\" { \"Quay\" }\n";
    let compiled = compile(&one("book.scene", text)).fill_least();
    let filled = compiled.filled().unwrap();
    assert_eq!((filled.open, filled.least, filled.bound), (1, 0, 0));
}

/// Rules bind levels and messages that nobody hears, too: what is stored there keeps them.
#[test]
fn rules_bind_every_free_cell() {
    let text = "switcher { loops 2; expressions 1 of 101 steps }\n\
        pedal throb { loop 1; level depth on expression 1 from 0 % to 100 %\n\
          level shape on midi 3 cc 14 from 0 % to 127 %; control wave on midi 3 programs from 1 { even: program 12; odd: program 13 } }\n\
        pedal ember { loop 2 }\n\
        rule bed needs throb.depth at least 10 %\nrule bed needs throb.shape above 29 %\nrule bed needs throb.wave odd\n\
        scene bed { engage ember }\nsong \"Quay\" { all: bed }\nset \"night\" { \"Quay\" }\n";
    for least in [false, true] {
        let compiled = compile(&one("book.scene", text));
        assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
        let compiled = if least { compiled.fill_least() } else { compiled.fill_kept() };
        let printed = csv::table(&compiled, false);
        let row: Vec<&str> = printed.lines().nth(1).unwrap().split(',').collect();
        assert_eq!(row[4..], ["10", "23.6", "13"], "{printed}");
    }
}

/// A rule over a level that nobody hears looks at how a momentary amplifier stands, not at what is pulsed for it.
#[test]
fn a_rule_over_a_free_level_sees_how_a_momentary_device_stands() {
    let text = "switcher { loops 1; remote jacks 1; expressions 1 of 101 steps; outputs 1; banks 1..1, switches 1..3; repress ignored }\n\
        pedal haze { loop 1; level blend on expression 1 from 0 % to 100 % }\n\
        amp larch { fed by output 1; control channel on remote 1 tip momentary { clean; lead } starts clean }\n\
        rule larch.channel lead needs haze.blend at least 60 %\ndefault { haze.blend 20 %; larch.channel clean }\n\
        scene bed { }\nscene solo { larch.channel lead }\n\
        song \"Quay\" { verse: bed; end: solo }\nset \"night\" { \"Quay\" }\nslots { 1.1 bed; 1.2 solo }\n";
    let compiled = compile(&one("book.scene", text));
    assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
    // By hand: `bed` finds the amplifier on clean, so nothing is asked of the level and an empty preset's 0 stands; `solo`
    // stands on lead by a pulse, and the least that keeps the rule is 60 %, step 60 of 0 to 100.
    let printed = csv::table(&compiled.fill_least(), false);
    let rows: Vec<&str> = printed.lines().collect();
    assert_eq!(rows[0], "slot,scene,loop-1,remote-1-tip,remote-1-ring,expression-1,output-1");
    assert_eq!(rows[1..], ["1.1,bed,0,stays,0,0,1", "1.2,solo,0,pulse,0,60,1"]);
}

/// Contacts that two pedals share stand where the next scene wants them, although an empty preset has them open.
#[test]
fn shared_contacts_of_bypassed_pedals_wait_where_they_are_wanted() {
    let text = "switcher { loops 2; remote jacks 1 }\n\
        pedal ash { loop 1; control way on remote 1 tip shared { low: open; high: closed } }\n\
        pedal birch { loop 2; control way on remote 1 tip shared { low: open; high: closed } }\n\
        scene anvil { engage ash; ash.way high }\nscene bellows { }\nscene chisel { engage birch; birch.way high }\n\
        song \"Quay\" { anvil; bellows; chisel }\nset \"night\" { \"Quay\" }\n";
    let compiled = compile(&one("book.scene", text)).fill_least();
    // By hand: with the contact open in `bellows` it moves twice; closed there, it never moves.
    let filled = compiled.filled().unwrap();
    assert_eq!((filled.open, filled.least, filled.bound), (2, 0, 0));
}
