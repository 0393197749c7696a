//! Rules, checked against a judge that looks at every way the rig can stand, and against an outside solver.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod rules_agree {
    pub(crate) mod generate;
    pub(crate) mod model;
    pub(crate) mod naive;
    pub(crate) mod offers;
    pub(crate) mod oracle;
    #[path = "../settle_agrees/random.rs"]
    #[allow(dead_code, reason = "each test takes what it needs")]
    pub(crate) mod random;
    pub(crate) mod write;
}

use rules_agree::generate::{self, Size};
use rules_agree::model::{Book, Control, World};
use rules_agree::naive::{Row, Seen};
use rules_agree::{oracle, write};
use tipring::Compiled;
use tipring::ids::{DeviceId, SceneId};
use tipring::settle::{CellKind, Value};

pub(crate) const BOOKS: u64 = 400;
/// Books for the outside solver.
const LARGER: u64 = 120;

pub(crate) fn compile(book: &Book) -> Compiled {
    let compiled = tipring::compile_texts(&[("book.scene", &write::text(book))]);
    assert_eq!(compiled.book.board.rules.len(), book.rules.len(), "{}", write::text(book));
    compiled
}

pub(crate) fn bits(rules: &[usize]) -> u32 {
    rules.iter().fold(0, |bits, r| bits | 1 << r)
}

/// At most sixteen things to ask for.
pub(crate) fn small(seed: u64) -> Size {
    let pedals = 2 + seed as usize % 4;
    let (jacks, ports) = [(1, 1), (2, 0), (0, 2), (1, 0)][seed as usize % 4];
    Size {
        pedals,
        jacks,
        controls: 3,
        ports,
        outputs: seed as usize % 3 / 2,
        scenes: seed as usize % 4,
        rules: 1 + seed as usize % 7,
    }
}

/// The row of a scene; None when some cell of it is not known.
pub(crate) fn row(book: &Book, compiled: &Compiled, name: &str) -> Option<Row> {
    let pedals = book.board.pedals.len();
    let mut row = Row {
        loops: vec![Some(false); pedals],
        contacts: vec![None; book.board.jacks * 2],
        outputs: vec![None; book.board.outputs],
        choices: vec![None; pedals],
        levels: vec![None; pedals],
        roams: vec![true; pedals],
    };
    let id = compiled.book.show.scenes.position(|s| *s.name == *name).unwrap();
    let number = |device: DeviceId| {
        let name = &compiled.book.board.devices.get(device).unwrap().name;
        book.board.pedals.iter().position(|p| p.name == *name).unwrap()
    };
    for (c, cell) in compiled.table.cells.list.pairs() {
        let value = compiled.table.value(id, c);
        if compiled.table.is_free(id, c) {
            continue;
        }
        if value == Value::Unknown {
            return None;
        }
        let flag = Some(value == Value::On);
        match cell.kind {
            CellKind::Loop(n) => row.loops[n as usize - 1] = flag,
            CellKind::Contact(c) => row.contacts[(c.jack as usize - 1) * 2 + usize::from(c.ring)] = flag,
            CellKind::Output(n) => row.outputs[n as usize - 1] = flag,
            CellKind::Port(_) => {
                let Some((device, _)) = cell.users.first() else { continue };
                row.levels[number(*device)] = Some(match value {
                    Value::Step(step) => (step as usize, false),
                    _ => (0, true),
                });
            }
            // No book of this test takes a tempo from its presets, has a trim, or chooses between guitars.
            CellKind::Taps { .. } | CellKind::Clock | CellKind::Trim(_) | CellKind::Guitar | CellKind::Order => {
                unreachable!()
            }
            CellKind::Message { device, .. } | CellKind::ByFoot { device, .. } => {
                row.choices[number(device)] = Some(match value {
                    Value::State(s) => s as usize,
                    Value::Program(n) => n as usize - 1,
                    other => panic!("{other:?}"),
                });
            }
        }
    }
    Some(row)
}

/// A scene's number in this test's book.
pub(crate) fn number(book: &Book, compiled: &Compiled, scene: SceneId) -> usize {
    let name = &compiled.book.show.scenes.get(scene).unwrap().name;
    book.scenes.iter().position(|s| *s.name == **name).unwrap()
}

#[test]
fn every_way_the_rig_can_stand_agrees() {
    let (mut clashing, mut never, mut unreached, mut implied, mut broken, mut joint, mut larger, mut risky) =
        (0, 0, 0, 0, 0, 0, 0, 0);
    for seed in 0..BOOKS {
        let book = generate::book(seed, &small(seed));
        let text = write::text(&book);
        let compiled = compile(&book);
        let seen = Seen::of(&book);
        let all = bits(&(0..book.rules.len()).collect::<Vec<_>>());
        let rules = compiled.rules();
        let any = |_: Option<usize>, _: &World| true;
        if seen.rows.is_empty() {
            assert!(rules.clashes.is_empty() && rules.never.is_empty() && rules.implied.is_empty(), "{text}");
            continue;
        }

        // Sets that clash are told, none that does not, and the first is as small as can be.
        for clash in &rules.clashes {
            let caught: Vec<usize> = clash.scenes.iter().map(|s| number(&book, &compiled, *s)).collect();
            let fits =
                |scene: Option<usize>, _: &World| caught.is_empty() || scene.is_some_and(|s| caught.contains(&s));
            assert!(!seen.possible(bits(&clash.rules), &fits), "seed {seed}: no clash {clash:?}\n{text}");
            // Every scene that it catches is named: one that can keep all but any one of the rules, and not all.
            for scene in (0..book.scenes.len()).filter(|_| !caught.is_empty()) {
                let here = |s: Option<usize>, _: &World| s == Some(scene);
                let least = seen.least(bits(&clash.rules), &here);
                let caught = caught.contains(&scene);
                assert_eq!(caught, least == Some(clash.rules.len() as u32), "seed {seed}: {clash:?}\n{text}");
            }
            larger += usize::from(clash.rules.len() > 2);
        }
        let global = rules.clashes.iter().find(|c| c.scenes.is_empty());
        assert_eq!(global.map(|c| c.rules.len() as u32), seen.least(all, &any), "seed {seed}\n{text}");
        clashing += usize::from(global.is_some());
        let mut left = all;
        rules.clashes.iter().filter(|c| c.scenes.is_empty()).for_each(|c| left &= !bits(&c.rules));
        assert!(seen.possible(left, &any), "seed {seed}: a clash is not told\n{text}");
        for scene in 0..book.scenes.len() {
            let here = |s: Option<usize>, _: &World| s == Some(scene);
            let least = seen.least(left, &here);
            let told =
                rules.clashes.iter().filter(|c| !c.scenes.is_empty()).any(|c| !seen.possible(bits(&c.rules), &here));
            assert_eq!(
                told,
                least.is_some_and(|n| n > 1) || told && least.is_some(),
                "seed {seed}: scene {scene}\n{text}"
            );
        }

        if rules.clashes.is_empty() {
            for (p, pedal) in book.board.pedals.iter().enumerate() {
                let device = compiled.book.board.devices.position(|d| d.name == pedal.name).unwrap();
                let sounds = |_: Option<usize>, w: &World| w.sounds(&book.board, p);
                let found = rules.never.iter().find(|n| n.device == device);
                if !pedal.always {
                    assert_eq!(found.is_none(), seen.possible(all, &sounds), "seed {seed}: {}\n{text}", pedal.name);
                    let least = found.map(|n| n.rules.len() as u32);
                    assert_eq!(least, seen.least(all, &sounds), "seed {seed}: {}\n{text}", pedal.name);
                }
                never += usize::from(found.is_some());
                let states =
                    compiled.book.board.devices.get(device).unwrap().controls.first().map_or(0, |c| c.states.len());
                for state in 0..states {
                    let inside = |_: Option<usize>, w: &World| {
                        w.sounds(&book.board, p) && w.holds(&book, &rules_agree::model::Expr::State(p, state))
                    };
                    let told = rules.unreached.iter().any(|u| u.device == device && u.state as usize == state);
                    let can = seen.possible(all, &inside) || found.is_some();
                    assert_eq!(told, !can, "seed {seed}: {} {state}\n{text}", pedal.name);
                    unreached += usize::from(told);
                }
            }
            let mut kept = all;
            for found in &rules.implied {
                let follows = seen
                    .rows
                    .iter()
                    .all(|(_, _, k)| k & bits(&found.by) != bits(&found.by) || k >> found.rule & 1 == 1);
                assert!(follows, "seed {seed}: {found:?}\n{text}");
                kept &= !(1 << found.rule);
                implied += 1;
            }
            for rule in (0..book.rules.len()).filter(|r| kept >> r & 1 == 1) {
                let others = kept & !(1 << rule);
                let says_more = seen.rows.iter().any(|(_, _, k)| k & others == others && k >> rule & 1 == 0);
                assert!(says_more, "seed {seed}: rule {rule} is implied\n{text}");
            }
        }

        for scene in 0..book.scenes.len() {
            let name = &book.scenes[scene].name;
            let Some(row) = row(&book, &compiled, name) else { continue };
            let id = compiled.book.show.scenes.position(|s| *s.name == **name).unwrap();
            let mine = || rules.broken.iter().filter(|b| b.scene == id || b.also.contains(&id));
            let told: Vec<&Vec<usize>> = mine().filter(|b| b.risk.is_none()).map(|b| &b.rules).collect();
            let fits = |s: Option<usize>, w: &World| s == Some(scene) && row.fits(&book, w);
            for set in &told {
                assert!(!seen.possible(bits(set), &fits), "seed {seed}: {name} keeps {set:?}\n{text}");
                broken += 1;
                joint += usize::from(set.len() > 1);
            }
            let clash = |r: usize| rules.clashes.iter().any(|c| c.rules.contains(&r));
            let rest = (0..book.rules.len()).filter(|r| !clash(*r) && !told.iter().any(|s| s.contains(r)));
            let rest = bits(&rest.collect::<Vec<_>>());
            // A row that the board itself does not allow is another rule's matter.
            let sound = seen.possible(0, &fits);
            assert!(!sound || seen.possible(rest, &fits), "seed {seed}: {name} breaks a rule and is not told\n{text}");
            // At risk: no choice of the free cells keeps the rule wherever the feet stand, with those that no foot decides.
            let feet: Vec<usize> =
                (0..row.levels.len()).filter(|p| matches!(row.levels[*p], Some((_, true)))).collect();
            let risks: Vec<usize> = mine().filter(|b| b.risk.is_some()).flat_map(|b| b.rules.clone()).collect();
            let open = (0..book.rules.len()).filter(|r| rest >> r & 1 == 1);
            let (moved, plain): (Vec<usize>, Vec<usize>) = open.partition(|r| {
                feet.iter().any(|p| {
                    write::rule(&book, &book.rules[*r]).contains(&format!("{}.mode", book.board.pedals[*p].name))
                })
            });
            for rule in moved.into_iter().filter(|_| sound) {
                let rows: Vec<_> = seen.rows.iter().filter(|(s, w, _)| fits(*s, w)).collect();
                let still = |w: &World| {
                    let mut w = w.clone();
                    feet.iter().for_each(|p| w.levels[*p].0 = 0);
                    w
                };
                let mut choices: std::collections::BTreeMap<String, (bool, bool)> = std::collections::BTreeMap::new();
                for (_, world, kept) in rows {
                    let entry = choices.entry(format!("{:?}", still(world))).or_insert((true, true));
                    entry.0 &= kept >> rule & 1 == 1;
                    entry.1 &= kept & bits(&plain) == bits(&plain);
                }
                let safe = choices.values().any(|(always, others)| *always && *others);
                assert_eq!(risks.contains(&rule), !safe, "seed {seed}: {name}, rule {rule}\n{text}");
                risky += usize::from(!safe);
            }
        }
    }
    println!(
        "clashing {clashing}, larger {larger}, never {never}, unreached {unreached}, implied {implied}, broken {broken}, jointly {joint}, at risk {risky}"
    );
    for (what, count) in [
        ("clashing books", clashing),
        ("clashes of more than two", larger),
        ("pedals never engaged", never),
        ("states unreached", unreached),
        ("rules implied", implied),
        ("rows that break rules", broken),
        ("rules at risk under a foot", risky),
    ] {
        assert!(count >= 5, "only {count} {what}: the books test too little");
    }
}

#[test]
fn the_outside_solver_agrees_on_larger_boards() {
    let size = |seed: u64| Size {
        pedals: 14 + seed as usize % 30,
        jacks: 4,
        controls: 10,
        ports: 3,
        outputs: 2,
        scenes: seed as usize % 6,
        rules: 10 + seed as usize % 60,
    };
    let mut books: Vec<Book> = (0..LARGER).map(|seed| generate::book(900_000 + seed, &size(seed))).collect();
    // So many random rules nearly always clash. Of two books in three, what clashes is taken out, so that the
    // questions about each pedal and each rule are asked too; whether the rest can be kept, the outside solver says.
    for (n, book) in books.iter_mut().enumerate().filter(|(n, _)| n % 3 != 0) {
        let mut rounds = 0;
        while rounds < 10 + n {
            let clashes = compile(book).rules().clashes.clone();
            let mut last: Vec<usize> = clashes.iter().filter_map(|c| c.rules.last().copied()).collect();
            if last.is_empty() {
                break;
            }
            last.sort_unstable();
            last.dedup();
            last.iter().rev().for_each(|rule| drop(book.rules.remove(*rule)));
            rounds += 1;
        }
    }
    let Some(answers) = oracle::ask(&books) else { return };
    let (mut clashing, mut never, mut implied, mut asked) = (0, 0, 0, 0);
    let mut atoms = Vec::new();
    for (seed, (book, answer)) in books.iter().zip(answers).enumerate() {
        let text = write::text(book);
        let compiled = compile(book);
        let rules = compiled.rules();
        atoms.push(rules.logic.asks.len());
        let global = rules.clashes.iter().any(|c| c.scenes.is_empty());
        if !answer.board {
            assert!(rules.clashes.is_empty() && rules.never.is_empty() && rules.implied.is_empty(), "{text}");
            continue;
        }
        assert_eq!(global, !answer.possible, "book {seed}\n{text}");
        clashing += usize::from(global);
        for clash in rules.clashes.iter().filter(|c| c.scenes.is_empty()) {
            assert!(clash.rules.len() <= book.rules.len());
        }
        if rules.clashes.is_empty() {
            asked += 1;
            let name = |d: DeviceId| compiled.book.board.devices.get(d).unwrap().name.clone();
            let mut found: Vec<String> = rules.never.iter().map(|n| name(n.device)).collect();
            found.sort_unstable();
            assert_eq!(found, answer.never, "book {seed}\n{text}");
            never += found.len();
            let found: Vec<usize> = rules.implied.iter().map(|i| i.rule).collect();
            assert_eq!(found, answer.implied, "book {seed}\n{text}");
            implied += found.len();
        }
    }
    atoms.sort_unstable();
    oracle::loud(&format!(
        "outside solver: {LARGER} books of {} to {} atoms; {clashing} clash, {asked} can be kept: {never} pedals never \
         engaged, {implied} rules implied",
        atoms[0],
        atoms[atoms.len() - 1]
    ));
    assert!(atoms[0] >= 24, "{} atoms: the boards are small", atoms[0]);
    assert!(clashing >= 30 && asked >= 60 && never >= 40 && implied >= 60, "the books test too little");
}

/// Two amps that always sound want the two sides of one contact: that is no matter of rules, and found out at once.
#[test]
fn a_board_that_cannot_be_says_nothing_of_its_rules() {
    let board = "switcher { loops 1; remote jacks 1 }\n\
        amp tall { control mode on remote 1 tip shared { round: open } }\n\
        amp squat { control mode on remote 1 tip shared { sharp: closed } }\n\
        pedal ember { loop 1 }\n";
    for rules in ["", "rule never ember\n", "rule always bed\nrule never any bed\nscene bed { engage ember }\n"] {
        let compiled = tipring::compile_texts(&[("book.scene", &format!("{board}{rules}"))]);
        let rules = compiled.rules();
        assert!(rules.clashes.is_empty() && rules.never.is_empty() && rules.unreached.is_empty(), "{rules:?}");
        assert!(rules.implied.is_empty());
    }
}

#[test]
fn controls_are_what_they_seem() {
    // The model's own sense of a falling level: 100 % at step 0.
    let book = generate::book(2, &small(2));
    assert!(book.board.pedals.iter().any(|p| matches!(p.control, Some(Control::Level { .. }))));
}
