//! Sums by hand, and what does not fit.

use crate::netlists::winter;
use crate::support::{codes, compile, one};
use tipring::book::electric::Taker;
use tipring::ids::DeviceId;
use tipring::study::buildcheck::steps;
use tipring::study::supply::{Problem, budget};
use tipring::study::wiring::{Jack, wiring};

const BOARD: &str = "\
switcher { loops 3 }
supply brick {
  margin 20 %
  outlet A 9 V, 100 mA, centre-negative, isolated
  outlet B 18 V, 200 mA, centre-positive, shared
  outlet C 9 V, 0.5 A, centre-negative, shared
}
pedal ember { loop 1; power brick.A, 60 mA at 9 V, centre-negative }
pedal prism { loop 2; power brick.A, 20.5 mA at 9 V, centre-negative }
pedal tide { loop 3; power brick.B, 90 mA at 9 V to 18 V, centre-positive }
scene bed { engage ember, prism, tide }
song \"Quay\" { bed }
";

#[test]
fn sums_by_hand() {
    let book = compile(&one("book.scene", BOARD)).book.clone();
    let found = budget(&book.board);
    let by_hand = [(80.5, 80.0, -0.5), (90.0, 160.0, 70.0), (0.0, 400.0, 400.0)];
    assert_eq!(found.loads.len(), 3);
    for (load, (drawn, allowed, headroom)) in found.loads.iter().zip(by_hand) {
        assert!((load.drawn * 1e3 - drawn).abs() < 1e-9);
        assert!((load.allowed.unwrap() * 1e3 - allowed).abs() < 1e-9);
        assert!((load.headroom.unwrap() * 1e3 - headroom).abs() < 1e-9);
    }
    assert!(matches!(found.loads[0].problems.as_slice(), [Problem::Margin { .. }]), "{:?}", found.loads[0].problems);
    assert_eq!(found.loads[1].problems, []);
    // The winter run by hand: 14+62+4+28+35+20+130+110+270+240+12 = 925 mA.
    let all: f64 = budget(&winter().book.board).loads.iter().map(|l| l.drawn).sum();
    assert!((all * 1e3 - 925.0).abs() < 1e-9);
}

#[test]
fn each_mistake_is_told_by_its_rule() {
    for (from, to, code) in [
        ("20.5 mA", "50 mA", "outlet-overdrawn"),
        ("20.5 mA", "20 mA", ""),
        ("20.5 mA", "20.1 mA", "outlet-margin"),
        ("90 mA at 9 V to 18 V", "90 mA at 9 V", "voltage-wrong"),
        ("18 V, centre-positive", "18 V, centre-negative", "polarity-wrong"),
        ("18 V, centre-positive", "18 V, centre-positive, isolated", "ground-shared"),
        ("to 18 V, centre-positive", "to 18 V, centre-positive, reversing lead", "polarity-wrong"),
        ("to 18 V, centre-positive", "to 18 V, centre-negative, reversing lead", ""),
        ("margin 20 %", "margin 20 %; total 160 mA", "supply-overdrawn"),
        ("margin 20 %", "margin 20 %; total 0.18 A", ""),
    ] {
        let board = BOARD.replace(from, to);
        let board = if from == "20.5 mA" { board } else { board.replace("20.5 mA", "20 mA") };
        let told = codes(&compile(&one("book.scene", &board)));
        let expected: Vec<&str> = [code].into_iter().filter(|c| !c.is_empty()).collect();
        assert_eq!(told, expected, "{from} as {to}");
    }
}

/// By hand: two plugs on one ground, one of them the other way round, and a current runs through the audio leads.
#[test]
fn a_reversing_lead_on_a_ground_that_is_shared_is_told() {
    let board = "switcher { loops 2 }
supply brick { margin 0 %; outlet B 9 V, 200 mA, centre-negative, shared; outlet C 9 V, 200 mA, centre-negative, shared }
pedal ember { loop 1; power brick.B, 60 mA at 9 V, centre-negative }
pedal prism { loop 2; power brick.C, 20 mA at 9 V, centre-positive, reversing lead }
scene bed { engage ember, prism }
song \"Quay\" { bed }
";
    assert_eq!(codes(&compile(&one("book.scene", board))), ["ground-shared"]);
    let apart = board.replace("centre-negative, shared }", "centre-negative, isolated }");
    assert!(codes(&compile(&one("book.scene", &apart))).is_empty());
    let one_outlet = board.replace("brick.C", "brick.B");
    assert_eq!(codes(&compile(&one("book.scene", &one_outlet))), ["ground-shared"]);
}

#[test]
fn a_number_that_nobody_gave_is_reported_missing() {
    let board = BOARD
        .replace("60 mA at 9 V, centre-negative", "60 mA")
        .replace("power brick.B, 90 mA at 9 V to 18 V, centre-positive", "tap by foot");
    let compiled = compile(&one("book.scene", &board));
    let found = budget(&compiled.book.board);
    assert!(found.loads[0].problems.contains(&Problem::NoVoltage { device: Taker::Device(DeviceId::nth(0)) }));
    assert!(found.loads[0].problems.contains(&Problem::NoPolarity { device: Taker::Device(DeviceId::nth(0)) }));
    assert_eq!(found.unpowered, [Taker::Switcher, Taker::Device(DeviceId::nth(2))]);
    let text = tipring::print::doc::text::write(&[tipring::print::supply::doc(&compiled, &found)], false);
    for line in ["missing: voltage of ember", "missing: polarity of ember", "missing: power of tide"] {
        assert!(text.contains(line), "{text}");
    }
    assert!(text.contains("licensed people") && text.contains("lethal voltage"), "the caution is printed");
}

/// By hand: the switcher's 300 mA stand on their outlet first, have a lead, and are the first thing to wake up.
#[test]
fn the_switcher_takes_power_too() {
    let board = BOARD.replace("loops 3", "loops 3; power brick.C, 300 mA at 9 V, centre-negative");
    let board = board.replace("centre-negative, shared", "centre-negative, isolated");
    let compiled = compile(&one("book.scene", &board.replace("20.5 mA", "20 mA")));
    assert!(codes(&compiled).is_empty(), "{:?}", compiled.diagnostics());
    let found = budget(&compiled.book.board);
    assert_eq!(found.loads[2].takers, [Taker::Switcher]);
    assert!((found.loads[2].drawn * 1e3 - 300.0).abs() < 1e-9 && found.unpowered.is_empty());
    let leads = wiring(&compiled.book.board);
    let steps = steps(&compiled.book.board, compiled.route(), &leads);
    assert_eq!(leads.leads[steps[0].lead].to, [Jack::Power(Taker::Switcher)]);
    let text =
        tipring::print::doc::text::write(&[tipring::print::wiring::check::doc(&compiled, &leads, &steps)], false);
    assert!(text.contains("expect: the switcher wakes up"), "{text}");
    let text = tipring::print::doc::text::write(&[tipring::print::supply::doc(&compiled, &found)], false);
    assert!(text.contains("feeds") && text.contains("switcher") && !text.contains("missing"), "{text}");
}

#[test]
fn ngspice_op_agrees_with_the_sums() {
    if std::env::var("TIPRING_FULL").as_deref() != Ok("1") {
        eprintln!("SKIPPED: ngspice on the power budget runs only with TIPRING_FULL=1");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let small = BOARD.replace("loops 3", "loops 3; power brick.A, 70 mA at 9 V, centre-negative");
    let books = [winter().book.clone(), compile(&one("book.scene", &small)).book.clone()];
    for (book, load) in books.iter().flat_map(|b| budget(&b.board).loads.into_iter().map(move |l| (b, l))) {
        let outlet = &book.board.supplies[load.of.0].outlets[load.of.1];
        let volts = outlet.volts.unwrap().value.value();
        let mut deck = format!("* outlet {}\nV1 out 0 dc {volts}\n", outlet.name);
        for (n, taker) in load.takers.iter().enumerate() {
            let amps = book.board.power(*taker).unwrap().current.unwrap().value.value();
            // Each device as the resistance that draws what it states.
            deck += &format!("R{n} out 0 {:e}\n", volts / amps);
        }
        deck += ".control\nset numdgt=12\nop\nprint i(v1)\nquit\n.endc\n.end\n";
        let file = folder.path().join("deck.cir");
        std::fs::write(&file, deck).unwrap();
        let out = match std::process::Command::new("ngspice").arg("-b").arg(&file).output() {
            Ok(out) => String::from_utf8_lossy(&out.stdout).into_owned(),
            Err(_) => {
                eprintln!("SKIPPED: TIPRING_FULL=1 asks for ngspice, and it is missing");
                return;
            }
        };
        let line = out.lines().find(|l| l.starts_with("i(v1)")).expect("a current");
        let drawn: f64 = line.split_once('=').unwrap().1.trim().parse().unwrap();
        assert!((-drawn - load.drawn).abs() < 1e-9, "{line} against {}", load.drawn);
    }
}
