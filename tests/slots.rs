//! Placements of presets: published instances, and every placement of small books.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "support/dice.rs"]
mod dice;

use dice::Dice;
use tipring::book::Slot;
use tipring::compile_texts;
use tipring::study::slots::once::Problem;
use tipring::study::slots::{Best, Rule, best};

/// QAPLIB (Burkard, Karisch, Rendl 1997): nug12 (Nugent, Vollmann, Ruml 1968) with the optimum 578, chr12a (Christofides and
/// Benavent 1989) with 9552. Both matrices both ways: sounds may be either.
#[test]
fn published_instances_are_reached_and_proved() {
    let all: serde_json::Value = serde_json::from_str(include_str!("references/qap.json")).unwrap();
    for (name, most) in [("nug12", 15_000), ("chr12a", 500)] {
        let matrix = |of: &str| -> Vec<Vec<u64>> { serde_json::from_value(all[name][of].clone()).unwrap() };
        let optimum = all[name]["optimum"].as_u64().unwrap();
        for (often, far) in [("A", "B"), ("B", "A")] {
            let problem = Problem { often: matrix(often), far: matrix(far), alone: Vec::new() };
            let found = problem.least(1_000_000);
            println!("{name}, {often} over {far}: {} proved {}, {} parts", found.cost, found.bound, found.parts);
            assert_eq!((found.cost, found.bound), (optimum, optimum));
            assert_eq!(problem.cost(&found.place), optimum);
            assert!(found.parts <= most, "{}", found.parts);
            // What it may not look at, it does not claim.
            let short = problem.least(3);
            assert!(short.bound < optimum && short.cost >= optimum, "{short:?}");
        }
    }
}

#[test]
fn no_order_of_eight_costs_less() {
    let seed = dice::seed();
    println!("TIPRING_SEED={seed}");
    let mut dice = Dice(seed);
    for round in 0..dice::many(40, 400) {
        let n = 1 + dice.roll(if round % 20 == 0 { 8 } else { 6 });
        let mut matrix = |most: usize, zeros: bool| -> Vec<Vec<u64>> {
            let mut one = || if zeros && dice.one_in(2) { 0 } else { dice.roll(most) as u64 };
            (0..n).map(|_| (0..n).map(|_| one()).collect()).collect()
        };
        let problem = Problem { often: matrix(6, true), far: matrix(9, round % 3 == 0), alone: matrix(12, true) };
        let found = problem.least(1_000_000);
        let mut least = u64::MAX;
        orders(&mut (0..n).collect(), 0, &mut |place| least = least.min(problem_cost(&problem, place)));
        assert_eq!((found.cost, found.bound), (least, least), "{problem:?}");
    }
}

/// By the definition of Koopmans and Beckmann (1957).
fn problem_cost(problem: &Problem, place: &[usize]) -> u64 {
    let mut sum = 0;
    for i in 0..place.len() {
        sum += problem.alone[i][place[i]];
        for j in 0..place.len() {
            sum += problem.often[i][j] * problem.far[place[i]][place[j]];
        }
    }
    sum
}

fn orders(order: &mut Vec<usize>, at: usize, each: &mut impl FnMut(&[usize])) {
    if at == order.len() {
        return each(order);
    }
    for next in at..order.len() {
        order.swap(at, next);
        orders(order, at + 1, each);
        order.swap(at, next);
    }
}

/// A small book: what is drawn, and its text.
#[derive(Clone, Debug)]
struct Small {
    banks: u32,
    switches: u32,
    presses: (u64, u64),
    wakes: Option<u32>,
    scenes: usize,
    songs: Vec<Vec<usize>>,
    sets: Vec<Vec<usize>>,
    /// Slot and scene.
    pins: Vec<(u32, usize)>,
}

impl Small {
    fn draw(dice: &mut Dice) -> Small {
        let most = dice::many(8_000, 60_000) as f64;
        loop {
            let (banks, switches) = [(2, 2), (3, 2), (2, 3), (4, 1), (5, 1), (3, 1), (4, 2), (8, 1)][dice.roll(8)];
            let slots = (banks * switches) as usize;
            let scenes = 1 + dice.roll(if slots > 6 { 8 } else { 5 });
            let songs: Vec<Vec<usize>> =
                (0..1 + dice.roll(3)).map(|_| (0..1 + dice.roll(4)).map(|_| dice.roll(scenes)).collect()).collect();
            let sets = (0..dice.roll(3)).map(|_| (0..1 + dice.roll(3)).map(|_| dice.roll(songs.len())).collect());
            let sets: Vec<Vec<usize>> = sets.collect();
            let mut pins: Vec<(u32, usize)> = Vec::new();
            for slot in 0..slots as u32 {
                if dice.one_in(5) {
                    pins.push((slot, dice.roll(scenes)));
                }
            }
            let small = Small {
                banks,
                switches,
                presses: [(1, 1), (1, 0), (0, 1), (2, 3)][dice.roll(4)],
                wakes: (dice.one_in(2)).then(|| dice.roll(slots) as u32),
                scenes,
                songs,
                sets,
                pins,
            };
            let waiting = small.waiting().len();
            let free = slots - small.pins.len();
            // All placements are tried: each free slot empty, or with any scene.
            if waiting <= free && (scenes as f64 + 1.0).powi(free as i32) < most || waiting == free && free <= 8 {
                return small;
            }
        }
    }

    fn waiting(&self) -> Vec<usize> {
        (0..self.scenes).filter(|s| !self.pins.iter().any(|(_, scene)| scene == s)).collect()
    }

    fn shown(&self, slot: u32) -> String {
        format!("{}.{}", 1 + slot / self.switches, 1 + slot % self.switches)
    }

    fn text(&self) -> String {
        let (same, step) = self.presses;
        let wakes = self.wakes.map_or(String::new(), |w| format!("; wakes {}", self.shown(w)));
        let mut out = format!(
            "switcher {{ loops 8; banks 1..{}, switches 1..{}; presses: same bank {same}, bank step {step}{wakes} }}\n",
            self.banks, self.switches
        );
        for scene in 0..self.scenes {
            out += &format!("scene s{scene} {{ engage loop {} }}\n", scene + 1);
        }
        for (number, song) in self.songs.iter().enumerate() {
            let parts: Vec<String> = song.iter().enumerate().map(|(p, s)| format!("p{p}: s{s}")).collect();
            out += &format!("song \"{number}\" {{ {} }}\n", parts.join("; "));
        }
        for (number, set) in self.sets.iter().enumerate() {
            let songs: Vec<String> = set.iter().map(|s| format!("\"{s}\"")).collect();
            out += &format!("set \"n{number}\" {{ {} }}\n", songs.join("; "));
        }
        let pins: Vec<String> = self.pins.iter().map(|(slot, s)| format!("{} s{s}", self.shown(*slot))).collect();
        out + &format!("slots {{ {}{}others auto }}\n", pins.join("; "), if pins.is_empty() { "" } else { "; " })
    }

    /// What is played without a break: the sets, and each song that is in none.
    fn runs(&self) -> Vec<Vec<usize>> {
        let mut runs: Vec<Vec<usize>> =
            self.sets.iter().map(|set| set.iter().flat_map(|s| self.songs[*s].clone()).collect()).collect();
        let alone = (0..self.songs.len()).filter(|s| !self.sets.iter().flatten().any(|p| p == s));
        runs.extend(alone.map(|s| self.songs[s].clone()));
        runs
    }

    /// Presses of the cheapest way through all runs: every way is tried, slot by slot.
    fn presses(&self, holds: &[Option<usize>]) -> u64 {
        let far = |from: u32, to: u32| {
            let banks = u64::from((from / self.switches).abs_diff(to / self.switches));
            if from == to { 0 } else { self.presses.0 + self.presses.1 * banks }
        };
        let slots = 0..holds.len() as u32;
        let mut sum = 0;
        for run in self.runs() {
            let mut costs: Vec<Option<u64>> = match self.wakes {
                Some(w) => slots.clone().map(|s| (s == w).then_some(0)).collect(),
                None => vec![Some(0); holds.len()],
            };
            for (at, scene) in run.iter().enumerate() {
                let free = at == 0 && self.wakes.is_none();
                let come = |to: u32| {
                    let ways = slots
                        .clone()
                        .filter_map(|from| Some(costs[from as usize]? + if free { 0 } else { far(from, to) }));
                    ways.min()
                };
                costs =
                    slots.clone().map(|to| (holds[to as usize] == Some(*scene)).then(|| come(to)).flatten()).collect();
            }
            sum += costs.iter().flatten().min().unwrap();
        }
        sum
    }

    /// The fewest presses of all placements, tried one by one.
    fn least(&self) -> u64 {
        let mut holds: Vec<Option<usize>> = vec![None; (self.banks * self.switches) as usize];
        self.pins.iter().for_each(|(slot, scene)| holds[*slot as usize] = Some(*scene));
        let free: Vec<usize> = (0..holds.len()).filter(|s| holds[*s].is_none()).collect();
        let waiting = self.waiting();
        let mut least = u64::MAX;
        if waiting.len() == free.len() {
            orders(&mut (0..free.len()).collect(), 0, &mut |order| {
                order.iter().zip(&waiting).for_each(|(slot, scene)| holds[free[*slot]] = Some(*scene));
                least = least.min(self.presses(&holds));
            });
            return least;
        }
        let mut count = vec![0usize; free.len()];
        loop {
            if waiting.iter().all(|scene| count.contains(&(scene + 1))) {
                free.iter().zip(&count).for_each(|(slot, c)| holds[*slot] = c.checked_sub(1));
                least = least.min(self.presses(&holds));
            }
            let Some(at) = count.iter().position(|c| *c < self.scenes) else { return least };
            count[at] += 1;
            count[..at].fill(0);
        }
    }
}

#[test]
fn no_placement_of_a_small_book_presses_less() {
    let seed = dice::seed();
    println!("TIPRING_SEED={seed}");
    let mut dice = Dice(seed);
    let (mut books, mut proved, mut spared) = (0, 0, 0);
    for _ in 0..dice::many(25, 400) {
        let small = Small::draw(&mut dice);
        let text = small.text();
        let compiled = compile_texts(&[("small.scene", &text)]);
        assert_eq!(compiled.errors(), 0, "{text}\n{:?}", compiled.mistakes());
        let found = best(&compiled.book, &compiled.presets, Rule::Fewest).unwrap();
        let holds = held(&small, &found, &text);
        let (before, after) = found.presses();
        let least = small.least();
        assert_eq!(after, small.presses(&holds), "what is printed is what it costs\n{text}");
        assert!(found.bound <= least && least <= after && after <= before, "{found:?} {least}\n{text}");
        assert!(found.least(), "so small a book is searched through: {} {} {least}\n{text}", found.bound, after);
        let songs = best(&compiled.book, &compiled.presets, Rule::BankASong).unwrap();
        let holds = held(&small, &songs, &text);
        assert_eq!(songs.presses().1, small.presses(&holds), "{text}");
        assert!(songs.presses().1 >= least && songs.bound <= least, "{text}");
        (books, proved, spared) = (books + 1, proved + usize::from(found.least()), spared + before - after);
    }
    println!("{books} books, {proved} proved, {spared} presses spared");
}

/// What each slot holds: pins stay, every scene has a slot, one scene a slot, none is empty where the unit wakes.
fn held(small: &Small, best: &Best, text: &str) -> Vec<Option<usize>> {
    let mut holds: Vec<Option<usize>> = vec![None; (small.banks * small.switches) as usize];
    for preset in &best.presets {
        let Slot { bank, switch, .. } = preset.slot.expect("room for all");
        let place = &mut holds[(bank * small.switches + switch) as usize];
        assert!(place.is_none(), "two scenes in a slot\n{text}");
        *place = Some(preset.scene.index());
    }
    // Where every scene is pinned elsewhere, nothing is left for it.
    let pinned = (0..small.scenes).all(|s| small.pins.iter().any(|(_, scene)| *scene == s));
    assert!(pinned || small.wakes.is_none_or(|w| holds[w as usize].is_some()), "it wakes in nothing\n{text}");
    for (slot, scene) in &small.pins {
        assert_eq!(holds[*slot as usize], Some(*scene), "a pinned slot moved\n{text}");
    }
    assert!((0..small.scenes).all(|s| holds.contains(&Some(s))), "a scene is lost\n{text}");
    holds
}
