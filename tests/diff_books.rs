//! The comparison on random books: its list does what it says, undoes itself, and does with the least.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
// The generator is shared with tests that use more of it.
#![allow(dead_code)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "compared/after_a_tour.rs"]
mod after_a_tour;
#[path = "compared/apply.rs"]
mod apply;
#[path = "compared/brute.rs"]
mod brute;
#[path = "compared/rewritten.rs"]
mod rewritten;
#[path = "settle_agrees"]
mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod generate;
    pub(crate) mod random;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

use settle_agrees::random::Random;
use settle_agrees::{generate, write};
use tipring::compare::todo::Source;
use tipring::compare::{Comparison, Options, compare};
use tipring::ids::SceneId;
use tipring::{Compiled, compile_texts};

const BOOKS: u64 = 400;

fn compiled(text: &str) -> Compiled {
    compile_texts(&[("book.scene", text)])
}

fn exactly(old: &Compiled, new: &Compiled, exact: bool) -> Vec<tipring::compare::todo::Work> {
    compare(old, new, Options { exact, ..Options::default() }).list.work
}

/// Pairs of books: one board with other scenes, and boards that have nothing to do with each other.
fn pairs() -> impl Iterator<Item = (u64, Compiled, Compiled)> {
    (0..BOOKS).map(|seed| {
        let one = generate::book(seed);
        let other = if seed % 4 == 3 { generate::book(seed + 10_000) } else { after_a_tour::book(&one, seed) };
        (seed, compiled(&write::text(&one, seed)), compiled(&write::text(&other, seed)))
    })
}

#[test]
fn a_book_does_not_differ_from_itself_however_it_is_written() {
    let mut slots = 0;
    for seed in 0..BOOKS {
        let text = write::text(&generate::book(seed), seed);
        let (a, b) = rewritten::files(&text, seed);
        let (one, other) = (compiled(&text), compile_texts(&[("a.scene", &a), ("b.scene", &b)]));
        slots += one.presets.iter().filter(|p| p.slot.is_some()).count();
        for exact in [true, false] {
            let options = Options { exact, ..Options::default() };
            assert!(compare(&one, &one, options).same(), "seed {seed}");
            let comparison = compare(&one, &other, options);
            assert!(comparison.same(), "seed {seed}: {}\n{text}", told(&comparison));
        }
    }
    assert!(slots > BOOKS as usize, "{slots}");
}

#[test]
fn a_name_that_two_things_have_is_renamed_for_one() {
    let text = |scene: &str, head: &str| {
        format!(
            "switcher {{ loops 1; remote jacks 1; outputs 1; banks 1..1, switches 1..4 }}
pedal ember {{ loop 1; knob lead \"3\" }}
amp larch {{ fed by output 1; control channel on remote 1 tip {{ clean: open; lead: closed }} starts lead }}
default {{ larch.channel clean }}
scene {head} {{ engage ember; larch.channel lead }}
rule {scene} needs larch.channel lead
song \"Quay\" {{ all: {scene} }}
"
        )
    };
    let (old, new) = (compiled(&text("lead", "lead")), compiled(&text("loud", "loud was lead")));
    assert_eq!((old.errors(), new.errors()), (0, 0));
    let comparison = compare(&old, &new, Options::default());
    let stated: Vec<String> = comparison.stated.iter().map(|s| format!("{s:?}")).collect();
    assert_eq!(stated, [""; 0], "the state and the knob called `lead` are as they were, and the rule too");
    assert!(told(&comparison).contains("`loud` (was `lead`): sounds as before"));
}

fn told(comparison: &Comparison<'_>) -> String {
    use tipring::print::{diff, doc};
    doc::text::write(&[diff::story::doc(comparison, diff::page::Reader::Both)], false)
}

#[test]
fn the_list_makes_the_new_memory_of_the_old_one_and_undoes_itself() {
    let (mut edits, mut stored, mut pulses) = (0, 0, 0);
    for (seed, one, other) in pairs() {
        for exact in [true, false] {
            let mut memory = apply::memory(&one);
            if exact {
                apply::empty(&mut memory, &one, &other);
            }
            let list = exactly(&one, &other, exact);
            edits += list.iter().map(|w| w.edits.len()).sum::<usize>();
            stored += list.iter().filter(|w| w.from.is_some()).count();
            apply::list(&mut memory, &one, &other, &list);
            apply::holds(&memory, &other).unwrap_or_else(|why| panic!("seed {seed}, exact {exact}: {why}"));
            // From there back: what earlier work left in free cells is not known, so nothing is taken for granted.
            let back = exactly(&other, &one, false);
            apply::list(&mut memory, &other, &one, &back);
            apply::holds(&memory, &one).unwrap_or_else(|why| panic!("seed {seed} and back: {why}"));
            pulses += 1;
        }
    }
    assert_eq!(pulses, 2 * BOOKS as usize);
    assert!(edits > 1_500 && stored > 1_000, "{edits} edits, {stored} stored elsewhere");
}

#[test]
fn no_list_does_with_less() {
    let (mut ruled, mut moved, mut circles, mut proved, mut copied, mut found, mut lists) = (0, 0, 0, 0, 0, 0, 0);
    for seed in 0..600 {
        let mut random = Random::new(seed);
        let (one, other) = brute::books(&mut random);
        let (old, new) = (compiled(&one.text()), compiled(&other.text()));
        if !other.keeps_its_own_rules() {
            continue;
        }
        for exact in [true, false] {
            let list = compare(&old, &new, Options { exact, ..Options::default() }).list;
            lists += 1;
            let (least, circle) = brute::least(&one, &other, exact);
            let told = || format!("seed {seed}, exact {exact}\n{}\n{}\n{:?}", one.text(), other.text(), list.work);
            assert!(list.count() >= least, "{}", told());
            // What is said to be proved is the least, and what is not is not far from it.
            assert!(!list.least() || list.count() == least, "{least}: {}", told());
            assert!(list.fewest.is_some_and(|fewest| fewest as usize <= least), "{least}: {}", told());
            found += usize::from(list.count() == least);
            proved += usize::from(list.least());
            copied += list.work.iter().filter(|w| matches!(w.from, Some(Source::New(..)))).count();
            let mut memory = apply::memory(&old);
            if exact {
                apply::empty(&mut memory, &old, &new);
            }
            apply::list(&mut memory, &old, &new, &list.work);
            apply::holds(&memory, &new).unwrap_or_else(|why| panic!("seed {seed}: {why}"));
            assert!(other.keeps_rules(&memory), "seed {seed}: rules\n{}\n{}", one.text(), other.text());
            moved += list.work.iter().filter(|w| w.from.is_some()).count();
            ruled += usize::from(brute::rules_cost(&one, &other, exact));
            circles += usize::from(circle);
        }
    }
    println!(
        "{moved} stored elsewhere; rules cost edits in {ruled} books; order cost work in {circles}; {proved} proved, {copied} from new presets; {found} of {lists} are the least"
    );
    assert!(found * 20 > lists * 19, "{found} of {lists}");
    assert!(proved > 600 && copied > 50, "{proved} {copied}");
    assert!(moved > 100 && ruled > 5 && circles > 5, "{moved} {ruled} {circles}");
}

/// A board of two momentary contacts; scenes, the order of a song and what the pedals wake in are random.
fn momentary(scenes: u64, order: u64) -> String {
    let (mut random, mut played) = (Random::new(scenes), Random::new(order));
    let starts = |random: &mut Random| (random.word(&["slow", "fast"]), random.word(&["low", "high"]));
    let (trem, gale) = starts(&mut played);
    let mut text = format!(
        "switcher {{ loops 2; remote jacks 2; banks 1..2, switches 1..4; repress ignored; wakes 1.1 }}\n\
         pedal trem {{ loop 1; control speed on remote 1 tip momentary {{ slow; fast }} starts {trem} }}\n\
         pedal gale {{ loop 2; control pitch on remote 2 tip momentary {{ low; high }} starts {gale} }}\n\
         default {{ trem.speed slow; gale.pitch low }}\nways as listed\n"
    );
    let mut parts: Vec<String> = Vec::new();
    for n in 0..6 {
        let mut says = Vec::new();
        if random.below(3) > 0 {
            says.push(format!("engage trem; trem.speed {}", random.word(&["slow", "fast"])));
        }
        if random.below(3) > 0 {
            says.push(format!("engage gale; gale.pitch {}", random.word(&["low", "high"])));
        }
        text += &format!("scene s{n} {{ {} }}\n", says.join("; "));
        parts.push(format!("p{n}: s{n}"));
    }
    played.shuffle(&mut parts);
    text += &format!("song \"Quay\" {{ {} }}\nset \"one\" {{ \"Quay\" }}\n", parts.join("; "));
    text + "slots { 1.1 s0; 1.2 s1; 1.3 s2; 1.4 s3; 2.1 s4; 2.2 s5 }\n"
}

#[test]
fn pulses_are_in_the_list_though_no_row_says_so() {
    let (mut pulses, mut plain) = (0, 0);
    for seed in 0..300 {
        let (one, other) = (compiled(&momentary(seed, seed)), compiled(&momentary(seed, seed + 1_000)));
        assert_eq!((one.errors(), other.errors()), (0, 0), "seed {seed}");
        let same = |scene: SceneId| one.table.row(scene) == other.table.row(scene);
        plain += usize::from((0..6).map(SceneId::nth).all(same));
        let list = exactly(&one, &other, false);
        pulses += list.iter().flat_map(|w| &w.edits).filter(|e| e.now == tipring::settle::Value::Pulse).count();
        let mut memory = apply::memory(&one);
        apply::list(&mut memory, &one, &other, &list);
        apply::holds(&memory, &other).unwrap_or_else(|why| panic!("seed {seed}: {why}"));
    }
    assert!(pulses > 100 && plain == 300, "{pulses} pulses, {plain} books with the same rows");
}
