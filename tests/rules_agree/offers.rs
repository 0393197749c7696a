//! The changes offered for a broken rule, held against every change that a hand could make.

use super::generate;
use super::model::{Book, Control, STEPS, World};
use super::naive::{Row, Seen};
use super::write;
use crate::{BOOKS, bits, compile, number, row, small};
use tipring::Compiled;
use tipring::study::rules::{Broken, LONGEST};

/// Everything that one statement can say about the rig.
fn sayings(book: &Book) -> Vec<String> {
    let board = &book.board;
    let mut out = Vec::new();
    for pedal in &board.pedals {
        if !pedal.always {
            out.extend(["engage", "bypass"].map(|word| format!("{word} {}", pedal.name)));
        }
        let name = &pedal.name;
        match &pedal.control {
            Some(Control::Contacts { states, .. }) => {
                out.extend((0..states.len()).map(|s| format!("{name}.mode {}", write::STATES[s])));
            }
            Some(Control::Choice { states, .. }) => {
                out.extend((0..*states).map(|s| format!("{name}.mode {}", write::STATES[s])));
            }
            Some(Control::Level { .. }) => {
                out.extend((0..STEPS).map(|s| format!("{name}.mode {} %", s * 100 / (STEPS - 1))));
                out.push(format!("{name}.mode foot"));
            }
            None => {}
        }
    }
    let claimed = |c: usize| {
        board
            .pedals
            .iter()
            .any(|p| matches!(&p.control, Some(Control::Contacts { contacts, .. }) if contacts.contains(&c)))
    };
    for c in (0..board.jacks * 2).filter(|c| !claimed(*c)) {
        out.extend(["open", "close"].map(|word| format!("{word} remote {} {}", c / 2 + 1, ["tip", "ring"][c % 2])));
    }
    for o in 1..=board.outputs {
        out.extend(["on", "off"].map(|word| format!("output {o} {word}")));
    }
    out
}

/// All sets of `size` of them.
fn sets(sayings: &[String], size: usize) -> Vec<Vec<&str>> {
    let mut out: Vec<(usize, Vec<&str>)> = vec![(0, Vec::new())];
    for _ in 0..size {
        let mut longer = Vec::new();
        for (from, set) in &out {
            for (at, saying) in sayings.iter().enumerate().skip(*from) {
                longer.push((at + 1, set.iter().copied().chain([saying.as_str()]).collect()));
            }
        }
        out = longer;
    }
    out.into_iter().map(|(_, set)| set).collect()
}

/// The rows of a scene after each of some changes; None where a cell is not known then, or two of a change clash.
fn changed(book: &Book, scene: &str, changes: &[Vec<&str>]) -> Vec<Option<Row>> {
    let ruleless = Book { rules: Vec::new(), ..book.clone() };
    let mut text = write::text(&ruleless);
    for (n, change) in changes.iter().enumerate() {
        text += &format!("scene changed-{n} from {scene} {{ {} }}\n", change.join("; "));
    }
    let compiled = tipring::compile_texts(&[("book.scene", &text)]);
    (0..changes.len()).map(|n| row(book, &compiled, &format!("changed-{n}"))).collect()
}

/// The rules that the row cannot keep by any choice of its free cells, given what it kept before.
struct Judge<'j> {
    seen: &'j Seen,
    book: &'j Book,
    scene: usize,
    /// The rules that must be kept together, and each that must be kept alone.
    together: u32,
    alone: Vec<u32>,
}

impl Judge<'_> {
    fn keeps(&self, row: &Row) -> bool {
        let fits = |s: Option<usize>, w: &World| s == Some(self.scene) && row.fits(self.book, w);
        self.seen.possible(self.together, &fits) && self.alone.iter().all(|rule| self.seen.possible(*rule, &fits))
    }
}

fn said(compiled: &Compiled, broken: &Broken) -> Vec<Vec<String>> {
    let says = |c: &tipring::study::rules::Change| {
        let step = c.says(&compiled.book).replace('`', "");
        step.strip_prefix("say ").unwrap_or(&step).to_owned()
    };
    broken.offers.changes.iter().map(|change| change.iter().map(says).collect()).collect()
}

#[test]
fn the_change_offered_keeps_the_rules_and_none_is_shorter() {
    let (mut offered, mut longer, mut joint, mut none, mut tried) = (0, 0, 0, 0, 0);
    for seed in 0..BOOKS {
        let book = generate::book(seed, &small(seed));
        let compiled = compile(&book);
        if compiled.rules().broken.iter().all(|b| b.risk.is_some()) {
            continue;
        }
        let (seen, text, sayings) = (Seen::of(&book), write::text(&book), sayings(&book));
        for broken in compiled.rules().broken.iter().filter(|b| b.risk.is_none()) {
            let name = &*compiled.book.show.scenes.get(broken.scene).unwrap().name;
            let scene = book.scenes.iter().position(|s| s.name == name).unwrap();
            let Some(before) = row(&book, &compiled, name) else { continue };
            let fits = |s: Option<usize>, w: &World| s == Some(scene) && before.fits(&book, w);
            // A level under the foot stands anywhere, and a row that the board does not allow is told elsewhere.
            if before.levels.iter().any(|l| matches!(l, Some((_, true)))) || !seen.possible(0, &fits) {
                continue;
            }
            // What else the scene is told to break, and what can never be kept, is not asked for.
            let told = compiled
                .rules()
                .broken
                .iter()
                .filter(|b| b.risk.is_none() && (b.scene == broken.scene || b.also.contains(&broken.scene)));
            let clashing = compiled
                .rules()
                .clashes
                .iter()
                .filter(|c| c.scenes.is_empty() || c.scenes.iter().any(|s| number(&book, &compiled, *s) == scene));
            let out = bits(
                &told.flat_map(|b| b.rules.clone()).chain(clashing.flat_map(|c| c.rules.clone())).collect::<Vec<_>>(),
            );
            let all = bits(&(0..book.rules.len()).collect::<Vec<_>>());
            let alone = (0..book.rules.len()).map(|r| 1 << r).filter(|rule| seen.possible(*rule, &fits)).collect();
            let judge = Judge { seen: &seen, book: &book, scene, together: all & !out | bits(&broken.rules), alone };
            assert!(!judge.keeps(&before), "seed {seed}: {name} keeps the rules as it is\n{text}");
            assert!(!broken.offers.cut, "seed {seed}: the search gave up on a small board");
            let offers = said(&compiled, broken);
            let size = offers.first().map_or(LONGEST, Vec::len);
            let changes: Vec<Vec<&str>> = offers.iter().map(|o| o.iter().map(String::as_str).collect()).collect();
            for (change, after) in changes.iter().zip(changed(&book, name, &changes)) {
                assert_eq!(change.len(), size);
                // What an engaged pedal is not told is another message's matter, and so is what the foot holds.
                let Some(after) = after.filter(|a| !a.levels.iter().any(|l| matches!(l, Some((_, true))))) else {
                    continue;
                };
                assert!(
                    judge.keeps(&after),
                    "seed {seed}: {change:?} does not keep {:?} in {name}\n{text}",
                    broken.rules
                );
            }
            // Nothing shorter does; where nothing is offered, nothing of one or two things does.
            for shorter in 1..size {
                let sets = sets(&sayings, shorter);
                for (change, after) in sets.iter().zip(changed(&book, name, &sets)) {
                    // Where a foot holds a level, more is asked than that some place of it keeps the rules.
                    let Some(after) = after.filter(|a| !a.levels.iter().any(|l| matches!(l, Some((_, true))))) else {
                        continue;
                    };
                    tried += 1;
                    assert!(
                        !judge.keeps(&after),
                        "seed {seed}: {change:?} is enough for {:?} in {name}, offered {offers:?}\n{text}",
                        broken.rules
                    );
                }
            }
            offered += offers.len();
            longer += usize::from(!offers.is_empty() && size > 1);
            joint += usize::from(broken.rules.len() > 1);
            none += usize::from(offers.is_empty());
        }
    }
    println!(
        "{offered} changes offered, {longer} breaks ask for more than one thing, {joint} joint, {none} without; {tried} shorter tried"
    );
    assert!(offered >= 100 && longer >= 20 && joint >= 5 && none >= 3 && tried >= 1_000, "the books test too little");
}
