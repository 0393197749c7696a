//! Momentary contacts, checked against an explicit search that shares no line with the study: it presses switches.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use std::collections::{BTreeMap, BTreeSet};

use support::compile;
use support::dice::Dice;
use tipring::print::csv;

/// What a scene wants of a control.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Wish {
    State(usize),
    Stays,
    Pulse,
    /// The pedal is bypassed: nobody hears it.
    Silent,
}

#[derive(Clone, Copy, PartialEq, Debug)]
enum Ways {
    Usual,
    Any,
    Listed,
}

/// A small book. Control i is on the tip of jack i, or all are on the tip of jack 1.
#[derive(Clone, Debug)]
struct Small {
    states: Vec<usize>,
    starts: Vec<Option<usize>>,
    in_loop: Vec<bool>,
    shared: bool,
    scenes: Vec<Vec<Wish>>,
    songs: Vec<Vec<usize>>,
    sets: Vec<Vec<usize>>,
    wakes: bool,
    repress: Option<bool>,
    ways: Ways,
}

fn small(seed: u64, most_scenes: usize) -> Small {
    let mut dice = Dice(seed);
    let controls = 1 + dice.roll(2);
    let shared = controls == 2 && dice.one_in(4);
    let states: Vec<usize> = (0..controls).map(|_| if dice.one_in(4) { 3 } else { 2 }).collect();
    let states = if shared { vec![states[0]; 2] } else { states };
    let starts = states.iter().map(|n| (!dice.one_in(8)).then(|| dice.roll(*n))).collect();
    let in_loop: Vec<bool> = (0..controls).map(|_| dice.one_in(3)).collect();
    let scenes: Vec<Vec<Wish>> = (0..2 + dice.roll(most_scenes - 1))
        .map(|_| {
            let mut wishes: Vec<Wish> = (0..controls)
                .map(|c| match dice.roll(8) {
                    0 => Wish::Stays,
                    1 if !shared => Wish::Pulse,
                    2 | 3 if in_loop[c] => Wish::Silent,
                    _ => Wish::State(dice.roll(states[c])),
                })
                .collect();
            if shared {
                // One contact holds one thing: the second control wants the same, or is silent.
                let silent = wishes[1] == Wish::Silent;
                wishes[1] = if silent && wishes[0] != Wish::Silent { Wish::Silent } else { wishes[0] };
                if wishes[0] == Wish::Silent && !in_loop[1] {
                    wishes = vec![Wish::Stays; 2];
                }
            }
            wishes
        })
        .collect();
    let songs: Vec<Vec<usize>> =
        (0..1 + dice.roll(3)).map(|_| (0..1 + dice.roll(3)).map(|_| dice.roll(scenes.len())).collect()).collect();
    let sets = (0..dice.roll(3)).map(|_| (0..1 + dice.roll(3)).map(|_| dice.roll(songs.len())).collect()).collect();
    let ways = [Ways::Usual, Ways::Usual, Ways::Any, Ways::Listed][dice.roll(4)];
    let repress = [Some(false), Some(false), Some(true), None][dice.roll(4)];
    Small { states, starts, in_loop, shared, scenes, songs, sets, wakes: dice.one_in(2), repress, ways }
}

impl Small {
    fn jack(&self, control: usize) -> usize {
        if self.shared { 1 } else { control + 1 }
    }

    /// The control whose contact it is, for each contact.
    fn buttons(&self) -> Vec<Vec<usize>> {
        if self.shared {
            vec![(0..self.states.len()).collect()]
        } else {
            (0..self.states.len()).map(|c| vec![c]).collect()
        }
    }

    fn text(&self) -> String {
        let repress = self.repress.map_or("", |r| if r { "; repress repeats" } else { "; repress ignored" });
        let wakes = if self.wakes { "; wakes 1.1" } else { "" };
        let mut out = format!("switcher {{ loops 2; remote jacks 2; banks 1..2, switches 1..5{repress}{wakes} }}\n");
        for (c, states) in self.states.iter().enumerate() {
            let place = if self.in_loop[c] { format!("loop {}", c + 1) } else { "always on".to_owned() };
            let names = (0..*states).map(|s| format!("s{s}")).collect::<Vec<_>>().join("; ");
            let start = self.starts[c].map_or("unknown".to_owned(), |s| format!("s{s}"));
            let shared = if self.shared { " shared" } else { "" };
            out += &format!(
                "pedal p{c} {{ {place}; code P{c}X; control turn on remote {} tip momentary{shared} {{ {names} }} starts {start} }}\n",
                self.jack(c)
            );
        }
        for (n, scene) in self.scenes.iter().enumerate() {
            out += &format!("scene c{n} {{ mute");
            for (c, wish) in scene.iter().enumerate() {
                if self.in_loop[c] && *wish != Wish::Silent {
                    out += &format!("; engage p{c}");
                }
                out += &match wish {
                    // Sharing a contact, the second control says nothing the first did not say.
                    Wish::State(_) | Wish::Stays if self.shared && c == 1 && scene[0] != Wish::Silent => String::new(),
                    Wish::State(s) => format!("; p{c}.turn s{s}"),
                    Wish::Stays => format!("; p{c}.turn stays"),
                    Wish::Pulse => format!("; pulse remote {} tip", self.jack(c)),
                    Wish::Silent => String::new(),
                };
            }
            out += " }\n";
        }
        for (n, song) in self.songs.iter().enumerate() {
            let parts: Vec<String> = song.iter().enumerate().map(|(p, s)| format!("q{p}: c{s}")).collect();
            out += &format!("song \"T{n}\" {{ {} }}\n", parts.join("; "));
        }
        for (n, set) in self.sets.iter().enumerate() {
            let songs: Vec<String> = set.iter().map(|s| format!("\"T{s}\"")).collect();
            out += &format!("set \"N{n}\" {{ {} }}\n", songs.join("; "));
        }
        out += match self.ways {
            Ways::Usual => "",
            Ways::Any => "ways any\n",
            Ways::Listed => "ways as listed\n",
        };
        out + "slots { 1.1 c0; others auto }\n"
    }

    /// The songs of each run: sets, then songs in none.
    fn runs(&self) -> Vec<Vec<usize>> {
        let alone = (0..self.songs.len()).filter(|s| !self.sets.iter().flatten().any(|x| x == s));
        self.sets.iter().cloned().chain(alone.map(|s| vec![s])).collect()
    }

    /// The scenes that may be pressed, from where one stands.
    fn next(&self, at: At) -> Vec<At> {
        let others = (0..self.scenes.len()).map(|scene| At::Anywhere { scene }).filter(|to| *to != at);
        let any = || others.clone().collect::<Vec<_>>();
        let runs = self.runs();
        let part = |run: usize, song: usize, part: usize| At::Part { run, song, part };
        let firsts = || (0..runs.len()).map(|r| part(r, 0, 0)).collect::<Vec<_>>();
        let mut out = match at {
            At::Off if self.wakes => vec![At::Woken],
            At::Off | At::Woken | At::Anywhere { .. } if self.ways == Ways::Any => any(),
            At::Off | At::Woken => firsts(),
            At::Anywhere { .. } => unreachable!(),
            At::Part { run, song, part: here } => {
                let parts = &self.songs[runs[run][song]];
                let mut out = Vec::new();
                match self.ways {
                    Ways::Listed if here + 1 < parts.len() => out.push(part(run, song, here + 1)),
                    Ways::Usual => out.extend((0..parts.len()).filter(|p| *p != here).map(|p| part(run, song, p))),
                    _ => {}
                }
                if here + 1 == parts.len() && song + 1 < runs[run].len() {
                    out.push(part(run, song + 1, 0));
                }
                out
            }
        };
        // Unsaid, the same switch may do either: the worse is meant.
        if self.repress != Some(false) && at != At::Off {
            out.push(at);
        }
        out
    }

    fn scene(&self, at: At) -> Option<usize> {
        match at {
            At::Off => None,
            At::Woken => Some(0),
            At::Anywhere { scene } => Some(scene),
            At::Part { run, song, part } => Some(self.songs[self.runs()[run][song]][part]),
        }
    }

    /// Every way the controls may stand when the power comes on.
    fn starts(&self) -> Vec<Vec<usize>> {
        let mut all = vec![Vec::new()];
        for (states, start) in self.states.iter().zip(&self.starts) {
            let may: Vec<usize> = start.map_or((0..*states).collect(), |s| vec![s]);
            all = all.iter().flat_map(|a: &Vec<usize>| may.iter().map(|s| [a.clone(), vec![*s]].concat())).collect();
        }
        all
    }

    /// Presses; `pulses` is what the preset stores for each button. None when a control ends elsewhere than wished.
    fn press(&self, scene: usize, stood: &[usize], pulses: &[bool]) -> Option<Vec<usize>> {
        let mut stands = stood.to_vec();
        for (button, _) in self.buttons().iter().zip(pulses).filter(|(_, pulse)| **pulse) {
            button.iter().for_each(|c| stands[*c] = (stands[*c] + 1) % self.states[*c]);
        }
        let right = self.scenes[scene].iter().zip(&stands).all(|(w, s)| !matches!(w, Wish::State(x) if x != s));
        right.then_some(stands)
    }
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum At {
    Off,
    Woken,
    Anywhere { scene: usize },
    Part { run: usize, song: usize, part: usize },
}

/// What each scene's preset stores for each button, from the printed table.
fn stored(book: &Small, compiled: &tipring::Compiled) -> Vec<Vec<bool>> {
    let printed = csv::table(compiled, false);
    let mut lines = printed.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let names = lines.next().unwrap();
    let places: Vec<usize> = (0..book.buttons().len())
        .map(|b| names.iter().position(|n| *n == format!("remote-{}-tip", b + 1)).unwrap())
        .collect();
    let mut out = vec![Vec::new(); book.scenes.len()];
    for row in lines {
        let scene: usize = row[1][1..].parse().unwrap();
        out[scene] = places
            .iter()
            .map(|p| match row[*p] {
                "pulse" => true,
                "stays" => false,
                other => panic!("a momentary contact stores `{other}`\n{}", book.text()),
            })
            .collect();
    }
    out
}

/// A walk of at most `left` presses that ends wrong.
fn wrong_walk(book: &Small, stored: &[Vec<bool>], at: At, stood: &[usize], left: usize) -> Option<Vec<At>> {
    if left == 0 {
        return None;
    }
    for to in book.next(at) {
        let scene = book.scene(to).unwrap();
        let same = book.scene(at) == Some(scene) && to != at;
        // Who hears the sound already presses nothing.
        let stands = if same { Some(stood.to_vec()) } else { book.press(scene, stood, &stored[scene]) };
        match stands {
            None => return Some(vec![at, to]),
            Some(stands) => {
                if let Some(mut walk) = wrong_walk(book, stored, to, &stands, left - 1) {
                    walk.insert(0, at);
                    return Some(walk);
                }
            }
        }
    }
    None
}

/// The same without a limit, over states instead of walks; `may` gives the presets of a scene, of which the player presses
/// the one that is right for all that may follow. What cannot be won is taken out until nothing changes.
fn wrong_state(book: &Small, may: &dyn Fn(usize) -> Vec<Vec<bool>>) -> bool {
    type Stood = (At, Vec<usize>);
    let starts: Vec<Stood> = book.starts().into_iter().map(|s| (At::Off, s)).collect();
    // For each state, and each step that may follow: where its presets lead.
    let mut steps: BTreeMap<Stood, Vec<Vec<Stood>>> = BTreeMap::new();
    let mut waiting = starts.clone();
    while let Some((at, stood)) = waiting.pop() {
        let leads = |to: At| -> Vec<Stood> {
            let scene = book.scene(to).unwrap();
            if book.scene(at) == Some(scene) && to != at {
                return vec![(to, stood.clone())];
            }
            may(scene).iter().filter_map(|pulses| Some((to, book.press(scene, &stood, pulses)?))).collect()
        };
        let all: Vec<Vec<Stood>> = book.next(at).into_iter().map(leads).collect();
        waiting.extend(all.iter().flatten().filter(|s| !steps.contains_key(*s)).cloned());
        steps.insert((at, stood), all);
    }
    let mut lost: BTreeSet<Stood> = BTreeSet::new();
    loop {
        let all = steps.iter().filter(|(stood, leads)| {
            !lost.contains(*stood) && leads.iter().any(|l| l.iter().all(|to| lost.contains(to)))
        });
        let more: Vec<Stood> = all.map(|(stood, _)| stood.clone()).collect();
        if more.is_empty() {
            return starts.iter().any(|s| lost.contains(s));
        }
        lost.extend(more);
    }
}

const BOOKS: u64 = 2_000;
const PRESSES: usize = 6;

fn complaints(compiled: &tipring::Compiled) -> usize {
    let about = |code: &str| matches!(code, "pulse-depends-on-path" | "pulse-never-safe");
    compiled.diagnostics().iter().filter(|d| about(d.code)).count()
}

#[test]
fn an_explicit_search_over_all_walks_agrees() {
    let (mut right, mut wrong, mut by_walk) = (0, 0, 0);
    for seed in 0..BOOKS {
        let book = small(seed, 4);
        let compiled = compile(&support::one("small.scene", &book.text()));
        assert_eq!(compiled.errors(), 0, "seed {seed}: {:?}\n{}", compiled.diagnostics(), book.text());
        let stored = stored(&book, &compiled);
        let walk = book.starts().iter().find_map(|s| wrong_walk(&book, &stored, At::Off, s, PRESSES));
        let state = wrong_state(&book, &|scene| vec![stored[scene].clone()]);
        let told = complaints(&compiled) > 0;
        assert!(walk.is_none() || state, "seed {seed}: the two searches disagree");
        assert_eq!(told, state, "seed {seed}: told {told}, walk {walk:?}\n{}", book.text());
        if state {
            wrong += 1
        } else {
            right += 1
        }
        by_walk += usize::from(walk.is_some());
    }
    assert!(right > BOOKS / 10 && wrong > BOOKS / 10, "{right} right, {wrong} wrong");
    assert!(by_walk * 10 > wrong as usize * 9, "walks of {PRESSES} presses show {by_walk} of {wrong}");
}

/// What a preset of a scene may store: a pulse or none where a state is wished, with `spare` also where nobody hears the
/// device; else what the scene says.
fn may_store(book: &Small, scene: usize, spare: bool) -> Vec<Vec<bool>> {
    let mut all = vec![Vec::new()];
    for button in book.buttons() {
        let wishes: Vec<Wish> = button.iter().map(|c| book.scenes[scene][*c]).collect();
        let silent = wishes.iter().all(|w| *w == Wish::Silent);
        let may: &[bool] = if wishes.contains(&Wish::Pulse) {
            &[true]
        } else if wishes.iter().any(|w| matches!(w, Wish::State(_))) || spare && silent {
            &[false, true]
        } else {
            &[false]
        };
        all = all.iter().flat_map(|a: &Vec<bool>| may.iter().map(|p| [a.clone(), vec![*p]].concat())).collect();
    }
    all
}

/// The fewest presets beyond one a scene with which every walk can come out right: every choice of a set of presets for
/// each scene is tried.
fn fewest(book: &Small, spare: bool) -> usize {
    let all: Vec<Vec<Vec<bool>>> = (0..book.scenes.len()).map(|s| may_store(book, s, spare)).collect();
    let choices: Vec<u32> = all.iter().map(|a| (1u32 << a.len()) - 1).collect();
    let mut least = usize::MAX;
    let mut pick: Vec<u32> = vec![1; choices.len()];
    'all: loop {
        let size: usize = pick.iter().map(|p| p.count_ones() as usize - 1).sum();
        if size < least {
            let may = |scene: usize| {
                let chosen = all[scene].iter().enumerate().filter(|(i, _)| pick[scene] & (1 << i) != 0);
                chosen.map(|(_, p)| p.clone()).collect()
            };
            if !wrong_state(book, &may) {
                least = size;
            }
        }
        for (p, most) in pick.iter_mut().zip(&choices) {
            if *p < *most {
                *p += 1;
                continue 'all;
            }
            *p = 1;
        }
        return least;
    }
}

#[test]
fn no_fewer_presets_can_do() {
    let (mut counts, mut tried, mut spared) = ([0; 8], 0, 0);
    for seed in 10_000..14_000 {
        let book = small(seed, 3);
        // Presets cannot mend what no press can.
        if book.repress != Some(false) || book.starts.contains(&None) {
            continue;
        }
        let compiled = compile(&support::one("small.scene", &book.text()));
        if compiled.diagnostics().iter().any(|d| d.code == "pulse-never-safe") {
            let all = |scene: usize| may_store(&book, scene, true);
            assert!(wrong_state(&book, &all), "seed {seed}: all presets together do it\n{}", book.text());
            continue;
        }
        // A pulse that nobody hears may save presets; whoever uses none needs exactly the fewest.
        let (extra, plain) = (compiled.momentary.extra(), fewest(&book, false));
        assert!(extra <= plain, "seed {seed}: {extra} and not {plain}\n{}", book.text());
        assert!(extra == plain || extra >= fewest(&book, true), "seed {seed}: {extra} are too few\n{}", book.text());
        counts[extra.min(7)] += 1;
        spared += usize::from(extra < plain);
        tried += 1;
    }
    assert!(tried > 500 && counts[0] > 50 && counts[1] > 50 && counts[2] > 10, "{tried} books, by extra: {counts:?}");
    assert!(spared > 10, "only {spared} books are served by a pulse that nobody hears");
}

/// Two amps side by side: each device is told, stored and allowed for itself.
#[test]
fn one_device_hides_no_other() {
    const TOLD: [&str; 2] = ["pulse-depends-on-path", "pulse-never-safe"];
    let board = |starts: &str, more: &str| {
        format!(
            "switcher {{ remote jacks 2; banks 1..2, switches 1..4; repress ignored }}\n\
             amp larch {{ control way on remote 1 tip momentary {{ low; mid }} starts {starts} }}\n\
             amp alder {{ control way on remote 2 tip momentary {{ low; mid }} starts {starts} }}\n\
             default {{ larch.way mid; alder.way mid }}\n\
             scene anvil {{ }}\nscene bellows {{ }}\nways any\nslots {{ others auto }}\n\
             song \"Quay\" {{ anvil; bellows }}\n{more}"
        )
    };
    let told = |text: &str| -> Vec<(String, String)> {
        let compiled = compile(&support::one("two.scene", text));
        assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
        let about = compiled.diagnostics().iter().filter(|d| TOLD.contains(&d.code));
        about.map(|d| (d.code.to_owned(), d.message.clone())).collect()
    };
    let naming = |told: &[(String, String)], name: &str| told.iter().filter(|(_, m)| m.contains(name)).count();
    for (starts, code) in [("unknown", TOLD[1]), ("low", TOLD[0])] {
        let all = told(&board(starts, ""));
        let (one, other) = (naming(&all, "`larch`"), naming(&all, "`alder`"));
        assert!(one > 0 && one == other, "{starts}: {all:?}");
        let left = told(&board(starts, &format!("allow {code} larch \"I look at the lamp\"\n")));
        let of_code: Vec<_> = left.into_iter().filter(|(c, _)| c == code).collect();
        assert_eq!(naming(&of_code, "`larch`"), 0, "{starts}");
        assert!(naming(&of_code, "`alder`") > 0, "{starts}: one allowance covers both");
    }
}

/// Three states: where one way cannot be served, no number of presets is said to serve them all.
#[test]
fn presets_are_not_promised_where_no_press_can_serve() {
    let text = "switcher { remote jacks 1; banks 1..2, switches 1..4; repress ignored }\n\
        amp larch { control way on remote 1 tip momentary { low; mid; high } starts low }\n\
        default { larch.way high }\nscene anvil { }\nscene bellows { }\nscene easel { larch.way mid }\n\
        song \"Quay\" { anvil; bellows; easel }\nways any\nslots { others auto }\n";
    let compiled = compile(&support::one("three.scene", text));
    let of = |code: &str| compiled.diagnostics().iter().filter(|d| d.code == code).collect::<Vec<_>>();
    let (depends, never) = (of("pulse-depends-on-path"), of("pulse-never-safe"));
    assert!(!depends.is_empty() && !never.is_empty());
    for told in depends.iter().filter(|d| never.iter().any(|n| n.at == d.at)) {
        assert!(!told.help.as_ref().unwrap().contains("serve every way,"), "{:?}", told.help);
    }
}

/// A bypassed pedal may be pulsed so that the next press is right.
#[test]
fn a_pulse_that_nobody_hears_is_used() {
    let text = "switcher { loops 1; remote jacks 1; banks 1..2, switches 1..4; repress ignored }\n\
        pedal birch { loop 1; control way on remote 1 tip momentary { low; mid; high } starts high }\n\
        scene anvil { }\nscene bellows { engage birch; birch.way mid }\n\
        song \"Quay\" { anvil; bellows }\nways as listed\nslots { others auto }\n";
    let compiled = compile(&support::one("spare.scene", text));
    assert_eq!(complaints(&compiled), 0, "{:?}", compiled.diagnostics());
    let printed = csv::table(&compiled, false);
    let rows: Vec<&str> = printed.lines().collect();
    assert!(rows[1].contains("anvil") && rows[1].contains("pulse"), "{printed}");
}

#[test]
fn what_is_offered_mends() {
    let (mut offered, mut told) = (0, 0);
    for seed in 20_000..22_000 {
        let book = small(seed, 4);
        let text = support::one("small.scene", &book.text());
        let compiled = compile(&text);
        told += compiled.diagnostics().iter().filter(|d| d.code == "pulse-depends-on-path").count();
        for diagnostic in compiled.diagnostics().iter().filter(|d| d.code == "pulse-depends-on-path") {
            let Some(fix) = &diagnostic.fix else { continue };
            let after = compile(&support::fixed(&text, &compiled, fix));
            let shown = String::from_utf8_lossy(&support::fixed(&text, &compiled, fix)[0].1).into_owned();
            assert_eq!(after.errors(), 0, "seed {seed}: {:?}\n{shown}", after.diagnostics());
            // Every device that the scene was told of is mended at once.
            let here = compiled.diagnostics().iter().filter(|d| (d.code, d.at) == (diagnostic.code, diagnostic.at));
            assert_eq!(
                complaints(&after) + here.count(),
                complaints(&compiled),
                "seed {seed}\n{}\n{shown}",
                book.text()
            );
            offered += 1;
        }
    }
    assert!(offered > 20 && told > offered, "{offered} of {told} offered");
}
