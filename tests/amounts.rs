//! Amounts: read without loss, kept as they were said, stored as the step that exact arithmetic gives.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use std::cmp::Ordering;
use std::process::Command;
use tipring::ids::{ColumnId, ControlId, DeviceId, SceneId};

use support::dice::{self, Dice};
use support::{codes, compile, one};
use tipring::book::amount;
use tipring::settle::{Row, Value};

/// A whole number as decimal digits, the last one first: schoolbook arithmetic, no bound.
#[derive(Clone, PartialEq, Debug)]
struct Big(Vec<u8>);

impl Big {
    fn of(digits: &str) -> Big {
        Big(digits.bytes().rev().map(|b| b - b'0').collect()).trimmed()
    }

    fn trimmed(mut self) -> Big {
        while self.0.last() == Some(&0) {
            self.0.pop();
        }
        self
    }

    fn plus(&self, other: &Big) -> Big {
        let (mut out, mut carry) = (Vec::new(), 0);
        for at in 0..=self.0.len().max(other.0.len()) {
            let sum = self.0.get(at).unwrap_or(&0) + other.0.get(at).unwrap_or(&0) + carry;
            out.push(sum % 10);
            carry = sum / 10;
        }
        Big(out).trimmed()
    }

    /// `self - other`, where that is not below 0.
    fn less(&self, other: &Big) -> Big {
        let (mut out, mut owed) = (Vec::new(), 0);
        for (at, digit) in self.0.iter().enumerate() {
            let take = other.0.get(at).unwrap_or(&0) + owed;
            owed = u8::from(*digit < take);
            out.push(digit + 10 * owed - take);
        }
        assert_eq!(owed, 0);
        Big(out).trimmed()
    }

    fn times(&self, n: u64) -> Big {
        let (mut out, mut carry) = (Vec::new(), 0u64);
        for digit in &self.0 {
            let product = u64::from(*digit) * n + carry;
            out.push((product % 10) as u8);
            carry = product / 10;
        }
        while carry > 0 {
            out.push((carry % 10) as u8);
            carry /= 10;
        }
        Big(out).trimmed()
    }

    fn against(&self, other: &Big) -> Ordering {
        self.0.len().cmp(&other.0.len()).then_with(|| self.0.iter().rev().cmp(other.0.iter().rev()))
    }
}

/// A number as text, with zeros that say nothing, and without them.
#[derive(Clone, Debug)]
struct Written {
    loose: String,
    tight: String,
}

/// Up to 15 digits that count, before and behind the point.
fn number(dice: &mut Dice) -> Written {
    let count = 1 + dice.roll(15);
    let point = dice.roll(count + 1);
    let digits: Vec<char> = (0..count).map(|_| char::from(b'0' + dice.roll(10) as u8)).collect();
    let whole: String = digits[..point].iter().collect();
    let part: String = digits[point..].iter().collect();
    let zeros = |n: usize| "0".repeat(n);
    let tight_whole = Some(whole.trim_start_matches('0')).filter(|w| !w.is_empty()).unwrap_or("0");
    let tight_part = part.trim_end_matches('0');
    let tight = if tight_part.is_empty() { tight_whole.to_owned() } else { format!("{tight_whole}.{tight_part}") };
    let (before, after) = (dice.roll(25), dice.roll(25));
    let whole = format!("{}{whole}", zeros(before.max(usize::from(whole.is_empty()))));
    let part = format!("{part}{}", zeros(after));
    Written { loose: if part.is_empty() { whole } else { format!("{whole}.{part}") }, tight }
}

/// A number of `10^ten` in units of `10^-30`.
fn scaled(number: &str, ten: usize) -> Big {
    let (whole, part) = number.split_once('.').unwrap_or((number, ""));
    Big::of(&format!("{whole}{part}{}", "0".repeat(30 + ten - part.len())))
}

/// The step by exact arithmetic: the one whose place lies within half a step of the value, an exact half going up.
fn lies_at(step: u64, value: &Big, from: &Big, to: &Big, last: u64) -> bool {
    let (over, under) = match from.against(to) {
        Ordering::Less => (value.less(from), to.less(from)),
        _ => (from.less(value), from.less(to)),
    };
    let place = over.times(2).times(last);
    let at_least = under.times(2 * step).against(&place.plus(&under)) != Ordering::Greater;
    at_least && place.against(&under.times(2 * step + 1)) == Ordering::Less
}

fn level(steps: usize, from: &str, to: &str, said: &str) -> String {
    format!(
        "switcher {{ loops 1; expressions 1 of {steps} steps }}\n\
         pedal throb {{ loop 1; level depth on expression 1 from {from} to {to} }}\n\
         scene bed {{ engage throb; throb.depth {said} }}\nsong \"Quay\" {{ bed }}\n"
    )
}

#[test]
fn a_level_is_stored_as_the_step_that_exact_arithmetic_gives() {
    let (seed, cases) = (dice::seed(), dice::many(150, 20_000));
    let mut dice = Dice(seed);
    let (mut stored, mut outside) = (0, 0);
    for _ in 0..cases {
        let three = [number(&mut dice), number(&mut dice), number(&mut dice)];
        let units = [("ohm", 0), ("kohm", 3), ("Mohm", 6)];
        let units = [units[dice.roll(3)], units[dice.roll(3)], units[dice.roll(3)]];
        let sizes: Vec<Big> = three.iter().zip(units).map(|(n, (_, ten))| scaled(&n.tight, ten)).collect();
        let mut order = [0, 1, 2];
        order.sort_by(|a, b| sizes[*a].against(&sizes[*b]));
        let ends = [order[0], order[2]];
        let (from, to) = if dice.one_in(2) { (ends[0], ends[1]) } else { (ends[1], ends[0]) };
        // Mostly the middle one is said; else an end is, and the range does not reach it.
        let said = order[1];
        let steps = 2 + dice.roll(65_000);
        let text =
            |i: usize, loose: bool| format!("{} {}", if loose { &three[i].loose } else { &three[i].tight }, units[i].0);
        if sizes[from] == sizes[to] {
            continue;
        }
        let (from, to, said, last) = if dice.one_in(8) { (from, said, to, false) } else { (from, to, said, true) };
        if sizes[from] == sizes[to] {
            continue;
        }
        for loose in [false, true] {
            let book = level(steps, &text(from, loose), &text(to, loose), &text(said, loose));
            let compiled = compile(&one("book.scene", &book));
            let within = last || sizes[said] == sizes[to];
            match compiled.table.value(SceneId::nth(0), ColumnId::nth(1)) {
                Value::Step(step) => {
                    assert!(within, "seed {seed}: {book}");
                    assert_eq!(codes(&compiled), [""; 0], "seed {seed}: {book}");
                    let right = lies_at(u64::from(step), &sizes[said], &sizes[from], &sizes[to], steps as u64 - 1);
                    assert!(right, "seed {seed}: step {step} of {book}");
                    stored += 1;
                }
                other => {
                    assert!(!within, "seed {seed}: {other:?} in {book}");
                    assert_eq!(codes(&compiled), ["value-out-of-range"], "seed {seed}: {book}");
                    outside += 1;
                }
            }
        }
    }
    println!("seed {seed}: {stored} levels stored, {outside} outside their range");
    assert!(stored > cases);
}

#[test]
fn no_number_is_lost() {
    // More digits than are kept: told, wherever an amount stands.
    let long = "1234567890123456";
    for book in [
        level(128, "0 %", &format!("{long} %"), "0 %").replace("; throb.depth 0 %", ""),
        level(128, "0 %", "60 %", &format!("0.{long} %")),
        format!("supply brick {{ outlet A 9 V, {long} mA }}\n"),
        format!("guitar plank {{ cable {long} m at 100 pF/m }}\n"),
    ] {
        let compiled = compile(&one("book.scene", &book));
        let found: Vec<&str> = codes(&compiled).into_iter().filter(|c| *c == "number-too-long").collect();
        assert_eq!(found, ["number-too-long"], "{book}\n{:?}", codes(&compiled));
    }
    // Zeros that say nothing are no digits.
    for said in ["20.00000000000000 %", "0000000000000000000000020 %", "00020.0000000000000000000000 %"] {
        let compiled = compile(&one("book.scene", &level(128, "0 %", "60 %", said)));
        assert_eq!(
            (codes(&compiled), compiled.table.value(SceneId::nth(0), ColumnId::nth(1))),
            (vec![], Value::Step(42)),
            "{said}"
        );
    }
    let supply = "supply brick { outlet A 9 V, 0000000000000900 mA }\n";
    let compiled = compile(&one("book.scene", supply));
    assert_eq!(codes(&compiled), [""; 0]);
    assert_eq!(compiled.book.board.supplies[0].outlets[0].current.unwrap().value.value(), 0.9);
}

#[test]
fn a_wide_range_has_its_middle_in_the_middle() {
    let end = "999999999999999 Mohm";
    let book = level(65_000, &format!("-{end}"), end, "0.000000000000001 ohm");
    let compiled = compile(&one("book.scene", &book));
    assert_eq!(codes(&compiled), [""; 0]);
    assert_eq!(compiled.table.value(SceneId::nth(0), ColumnId::nth(1)), Value::Step(32_500));
}

/// What the binary prints.
fn run(words: &[&str], books: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let paths: Vec<_> = (0..books.len()).map(|i| folder.path().join(format!("{i}.scene"))).collect();
    books.iter().zip(&paths).for_each(|(book, path)| std::fs::write(path, book).unwrap());
    let out = Command::new(env!("CARGO_BIN_EXE_tipring")).args(words).args(&paths).output().unwrap();
    String::from_utf8(out.stdout).unwrap()
}

#[test]
fn a_small_amount_is_shown_as_it_was_said() {
    let book = "switcher { loops 1; expressions 1 of 128 steps }\n\
         pedal gully { loop 1; level time on expression 1 from 0 s to 90 ms }\ntreadle rocker feeds expression 1\n\
         scene bed { engage gully; gully.time 45 ms }\nscene reach from bed { gully.time foot }\n\
         song \"Quay\" { bed; reach }\n";
    for words in [&["check"][..], &["walk"], &["walk", "--format", "json"]] {
        let said = run(words, &[book]);
        assert!(said.contains("from 45 ms"), "{words:?}: {said}");
    }
}

#[test]
fn a_ports_travel_is_not_told_as_the_levels_own_value() {
    let book = |travel: &str| {
        level(128, "0 %", "60 %", "0 %").replace("throb.depth 0 %", &format!("expression 1 at {travel}"))
    };
    let said = run(&["diff"], &[&book("33 %"), &book("66 %")]);
    assert!(said.contains("`throb` depth 19.8 % → 39.6 %"), "{said}");
}

#[test]
fn one_size_in_two_units_is_no_difference() {
    let book = |input: &str| {
        format!(
            "switcher {{ loops 1 }}\npedal ember {{ loop 1; input {input} }}\n\
         scene bed {{ engage ember }}\nsong \"Quay\" {{ bed }}\n"
        )
    };
    let said = run(&["diff"], &[&book("1 Mohm"), &book("1000 kohm")]);
    assert!(!said.contains("ember"), "{said}");
    assert!(run(&["diff"], &[&book("1 Mohm"), &book("1001 kohm")]).contains("ember"));
}

#[test]
fn what_is_shown_for_a_step_can_be_said_for_it() {
    let (seed, cases) = (dice::seed(), dice::many(200, 20_000));
    let mut dice = Dice(seed);
    for _ in 0..cases {
        let amount = |dice: &mut Dice| {
            let unit = ["ms", "s"][dice.roll(2)];
            format!("{}.{} {unit}", dice.roll(10_000), dice.roll(100))
        };
        let (from, to, steps) = (amount(&mut dice), amount(&mut dice), 2 + dice.roll(2_000));
        let book = level(steps, &from, &to, &from);
        if codes(&compile(&one("book.scene", &book))) == ["range-empty"] {
            continue;
        }
        let travel = format!("{}.{} %", dice.roll(100), dice.roll(1000));
        let by_port = book.replace(&format!("throb.depth {from}"), &format!("expression 1 at {travel}"));
        let by_port = compile(&one("book.scene", &by_port));
        let stored = by_port.table.value(SceneId::nth(0), ColumnId::nth(1));
        let shown = amount::show(
            Row::of(&by_port.book, &by_port.table, SceneId::nth(0))
                .amount(DeviceId::nth(0), ControlId::nth(0))
                .unwrap(),
        );
        let control = by_port.book.board.devices.first().unwrap().controls.first().unwrap();
        let (low, high) = control.how.level().unwrap();
        let Value::Step(step) = stored else { panic!("seed {seed}: {stored:?} of {travel}") };
        for shown in [shown, amount::show(amount::at_step(step, steps as u16, low, high))] {
            let again = compile(&one("book.scene", &level(steps, &from, &to, &shown)));
            assert_eq!(
                (again.table.value(SceneId::nth(0), ColumnId::nth(1)), codes(&again)),
                (stored, vec![]),
                "seed {seed}: {shown} in {book}"
            );
        }
    }
    println!("seed {seed}: {cases} steps shown and said again");
}

/// Two layers say 38 % and 42 %, and four steps of 0 % to 60 % hold 40 % for both: neither is said to be stored.
#[test]
fn amounts_that_are_stored_alike_are_shown_as_they_are_stored() {
    let text = "switcher { loops 1; expressions 1 of 4 steps }\n\
        pedal tide { loop 1; level depth on expression 1 from 0 % to 60 % }\n\
        layer low { tide.depth 38 % }\nlayer high { tide.depth 42 % }\n\
        scene both with low, high { engage tide }\nscene one with low { engage tide }\nsong \"Quay\" { both; one }\n";
    let compiled = tipring::compile_texts(&[("book.scene", text)]);
    assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
    let words = tipring::print::words::table(&compiled);
    assert!(
        words.contains("both: tide on (depth 40 %)")
            && words.contains("one: tide on (depth 38 %, stored at 66.7 % of its travel)"),
        "{words}"
    );
}
