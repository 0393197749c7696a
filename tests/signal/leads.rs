//! The lead list, its counts, odd jacks, and the order of plugging.

use std::collections::{BTreeMap, BTreeSet};
use tipring::ids::DeviceId;

use crate::netlists::winter;
use crate::support::{compile, one};
use tipring::book::electric::Taker;
use tipring::study::buildcheck::{Listen, steps};
use tipring::study::route::Route;
use tipring::study::wiring::{Jack, Purpose, end, wiring};

#[test]
fn counts_by_hand() {
    let book = winter().book.clone();
    let found = wiring(&book.board);
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    found.leads.iter().for_each(|l| *kinds.entry(l.kind.word()).or_default() += 1);
    // TS: 10 loops with two leads, 12 of the chains by way of the panel, remotes 2, 3 and 4, of which two by way of
    // the panel. TRS: remote 1, two ports, two treadles. MIDI: out to gully, thru to attic. DC: eleven outlets.
    assert_eq!(kinds, BTreeMap::from([("TS", 20 + 12 + 5), ("TRS", 5), ("MIDI", 2), ("DC", 11)]));
    assert_eq!(found.doubly, []);
    assert_eq!(found.unused, []);
}

#[test]
fn a_stereo_loop_has_leads_for_both_sides() {
    let book = compile(&one(
        "book.scene",
        "switcher { loops 2; outputs 1 }
pedal tide { loop 2 stereo }
amp larch { fed by output 1 }
chain effects: larch send -> loop 2 -> larch return left, right
panel { out 1 larch return left; out 2 larch return right }
",
    ))
    .book
    .clone();
    let found = wiring(&book.board);
    let ends: BTreeSet<String> = found.leads.iter().flat_map(|l| &l.to).map(|j| end(&book.board, j)).collect();
    for jack in [
        "tide in left",
        "tide in right",
        "loop 2 return left",
        "loop 2 return right",
        "panel out 1",
        "panel out 2",
        "larch return left",
        "larch return right",
    ] {
        assert!(ends.contains(jack), "{jack} in {ends:?}");
    }
    assert_eq!(found.doubly, []);
    let unused: Vec<String> = found.unused.iter().map(|j| end(&book.board, j)).collect();
    assert_eq!(unused, ["loop 1 send"]);
}

#[test]
fn a_shared_remote_jack_is_one_split_lead() {
    let book = compile(&one(
        "book.scene",
        "switcher { loops 2; remote jacks 2; outputs 1 }
pedal ember { loop 1; control mode on remote 1 tip { a: open; b: closed } }
pedal prism { loop 2; control mode on remote 1 ring { a: open; b: closed } }
",
    ))
    .book
    .clone();
    let found = wiring(&book.board);
    let remote: Vec<_> = found.leads.iter().filter(|l| l.purpose == Purpose::Remote(1)).collect();
    assert_eq!(remote.len(), 1);
    assert_eq!((remote[0].kind.word(), remote[0].to.len()), ("TRS", 2));
    assert!(found.unused.contains(&Jack::Remote(2)));
}

#[test]
fn jacks_wanted_twice_are_told() {
    let book = compile(&one(
        "book.scene",
        "switcher { loops 1; outputs 1 }
guitar plank
buffer wick
amp larch
chain one: guitar -> wick -> larch
chain two: loop 1 -> wick
panel { in 1 guitar; in 1 larch send }
",
    ))
    .book
    .clone();
    let doubly: Vec<String> = wiring(&book.board).doubly.iter().map(|(j, _)| end(&book.board, j)).collect();
    assert_eq!(doubly, ["panel in 1", "wick in"]);
}

#[test]
fn one_step_a_lead_and_nothing_untested_before_it() {
    let book = winter().book.clone();
    let found = wiring(&book.board);
    let steps = steps(&book.board, &Route::of(&book.board), &found);
    let order: Vec<usize> = steps.iter().map(|s| s.lead).collect();
    assert_eq!(order.iter().collect::<BTreeSet<_>>().len(), found.leads.len(), "each lead has a step");
    assert_eq!(order.len(), found.leads.len(), "and one only");
    // The board as it is plugged: every lead starts at a jack that was reached, or that needs nothing before it.
    let mut live: BTreeSet<String> = BTreeSet::new();
    let alone = |jack: &Jack| {
        matches!(
            jack,
            Jack::Guitar(_) | Jack::Outlet(..) | Jack::Remote(_) | Jack::PortOut(_) | Jack::Treadle(_) | Jack::MidiOut
        )
    };
    for step in &steps {
        let lead = &found.leads[step.lead];
        let powered = |d: &DeviceId| live.contains(&end(&book.board, &Jack::Power(Taker::Device(*d))));
        let ready = match &lead.from {
            jack if alone(jack) => true,
            Jack::PanelIn(_) | Jack::PanelOut(_) => live.contains(&end(&book.board, &lead.from)),
            Jack::LoopSend(n, _) => live.contains(&format!("at loop {n}")) && powered(&lead.device.unwrap()),
            Jack::Output(d, side) => live.contains(&end(&book.board, &Jack::Input(*d, *side))),
            Jack::Send(d) => live.contains(&end(&book.board, &Jack::Input(*d, None))),
            Jack::MidiThru(d) => live.contains(&end(&book.board, &Jack::MidiIn(*d))),
            Jack::LoopsOut(n, _) => live.contains(&format!("at loop {n}")),
            Jack::SwitcherOut(_) => live.contains("at loop 7"),
            other => panic!("{other:?} drives nothing"),
        };
        assert!(ready, "{} is not live when its lead is plugged", end(&book.board, &lead.from));
        assert_ne!(step.listen, Listen::Undriven);
        for to in &lead.to {
            live.insert(end(&book.board, to));
            // Inside the switcher a stretch of bypassed loops passes the signal on.
            match to {
                Jack::LoopsIn(1, _) => live.extend((1..=3).map(|n| format!("at loop {n}"))),
                Jack::LoopsIn(4, _) => live.extend((4..=7).map(|n| format!("at loop {n}"))),
                Jack::LoopsIn(8, _) => live.extend((8..=10).map(|n| format!("at loop {n}"))),
                _ => {}
            }
        }
    }
}

#[test]
fn a_lead_to_an_amp_that_nobody_measured_is_told() {
    let book = |front: &str, patch: &str| {
        let text = format!(
            "switcher {{ loops 1; outputs 1 }}\nguitar plank {{ cable 6 m at 100 pF/m }}\npedal ember {{ loop 1 }}\n\
             amp hall {{ fed by output 1 }}\nchain front: guitar -> loop 1 -> {front}\n{patch}scene a\n"
        );
        compile(&one("book.scene", &text)).book.clone()
    };
    const PATCH: &str = "patch leads 30 cm at 100 pF/m\n";
    let says = |front: &str, patch: &str| {
        let book = book(front, patch);
        tipring::print::wiring::assumed(&book, &wiring(&book.board))
    };
    let told = "taken for patch leads, as no chain says `cable` for them: output 1 to hall in";
    assert_eq!(says("output 1 -> hall", PATCH).as_deref(), Some(told));
    assert_eq!(says("output 1", PATCH).as_deref(), Some(told));
    // A length that nobody gave is missing, not taken for another.
    assert_eq!(says("output 1 -> hall", ""), None);
    assert_eq!(says("output 1 -> cable 6 m at 100 pF/m -> hall", PATCH), None);
    let winter = winter().book.clone();
    assert_eq!(tipring::print::wiring::assumed(&winter, &wiring(&winter.board)), None);
}

#[test]
fn lists_are_printed_with_boxes_and_the_caution() {
    use tipring::print::{doc::text, wiring as print};
    let compiled = winter();
    let book = &compiled.book;
    let found = wiring(&book.board);
    let list = text::write(&[print::doc(&compiled, &found)], false);
    assert!(list.contains("55 leads: 37 TS, 5 TRS, 2 MIDI, 11 DC"), "{list}");
    let steps = steps(&book.board, compiled.route(), &found);
    let check = text::write(&[print::check::doc(&compiled, &found, &steps)], false);
    assert_eq!(check.matches("[ ]").count(), 55);
    for text in [&list, &check] {
        assert!(text.contains("licensed people"));
    }
    let csv = print::csv(book, &found);
    assert_eq!(csv.lines().count(), 56);
}

/// By hand: a kind of lead gives its length where neither the chain nor the device nor the guitar does, and the signal
/// counts what the list prints.
#[test]
fn a_lead_is_as_long_as_the_nearest_says() {
    let text = "switcher { loops 2; outputs 1; remote jacks 1; expressions 1 of 128 steps }
guitar slab { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 % }
guitar reed { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 3 m at 90 pF/m }
supply brick { outlet A 9 V, 300 mA, centre-negative, isolated }
pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 0 dB stated; leads 60 cm at 100 pF/m; level depth on expression 1
  power brick.A, 60 mA }
pedal tide { loop 2; input 1 Mohm; output 1 kohm; gain 0 dB stated; level rate on midi 1 cc 3 }
amp larch { fed by output 1; input 1 Mohm; control channel on remote 1 tip { clean: open; lead: closed } }
treadle rocker feeds expression 1
chain front: guitar -> loops 1..2 -> output 1
patch leads 30 cm at 100 pF/m, for guitar 6 m at 100 pF/m, for amp 5 m at 80 pF/m,
  for remote 3 m, for expression 1 m, for midi 2 m, for power 50 cm
panel { out 1 output 1; out 2 remote 1 }
default { larch.channel clean; ember.depth 10 %; tide.rate 0 % }
scene bed { engage ember }
scene wide { engage ember, tide }
song \"Quay\" { bed; wide }
";
    let lengths = |text: &str| -> BTreeMap<String, Option<f64>> {
        let book = compile(&one("book.scene", text)).book.clone();
        assert!(!book.broken);
        let found = wiring(&book.board);
        let named = |l: &tipring::study::wiring::Lead| {
            format!("{} -> {}", end(&book.board, &l.from), end(&book.board, &l.to[0]))
        };
        found.leads.iter().map(|l| (named(l), l.length)).collect()
    };
    let all = lengths(text);
    for (lead, metres) in [
        ("guitar -> switcher in, loop 1", 3.0),
        ("loop 1 send -> ember in", 0.6),
        ("ember out -> loop 1 return", 0.6),
        ("loop 2 send -> tide in", 0.3),
        ("output 1 -> panel out 1", 0.3),
        ("panel out 1 -> larch in", 5.0),
        ("remote 1 -> panel out 2", 0.3),
        ("panel out 2 -> larch foot switch (tip)", 3.0),
        ("expression 1 out -> ember expression", 1.0),
        ("rocker -> expression 1 in", 1.0),
        ("switcher MIDI out -> tide MIDI in", 2.0),
        ("brick.A -> ember power", 0.5),
    ] {
        let found = all[lead].unwrap_or_else(|| panic!("{lead} has no length"));
        assert!((found - metres).abs() < 1e-9, "{lead}: {found}");
    }
    // What nobody said is not guessed; an amp's lead then counts as a patch lead, and is named as such.
    let bare = text.replace(", for midi 2 m, for power 50 cm", "").replace(", for amp 5 m at 80 pF/m", "");
    let less = lengths(&bare);
    assert_eq!((less["brick.A -> ember power"], less["switcher MIDI out -> tide MIDI in"]), (None, None));
    assert_eq!(wiring(&compile(&one("book.scene", &bare)).book.board).assumed.len(), 1);
    assert!(wiring(&compile(&one("book.scene", text)).book.board).assumed.is_empty());
    // An amp's own, and a chain's, come before the kind.
    let own = lengths(&text.replace("amp larch {", "amp larch { leads 8 m at 80 pF/m;"));
    assert_eq!(own["panel out 1 -> larch in"], Some(8.0));
    let chained = lengths(&text.replace("guitar -> loops", "guitar -> cable 1 m at 100 pF/m -> loops"));
    assert_eq!(chained["guitar -> switcher in, loop 1"], Some(1.0));

    // In picofarad, by hand: 6 m · 100 + 0.6 m · 100 before ember, 60 + 30 + 5 m · 80 behind it; 3 m · 90 of reed's own.
    let compiled = compile(&one("book.scene", text));
    let rows = crate::netlists::all_rows(&compiled);
    let load = |scene: &str, guitar: &str| {
        rows.iter().find(|r| r.scene == scene && r.guitar == guitar).unwrap().guitar_load_pf.unwrap()
    };
    assert_eq!((load("bed", "slab"), load("bed", "reed")), (660.0, 330.0));
    let signal = tipring::study::signal::Signal::new(&compiled.book, &compiled.table);
    let bed = compiled.book.show.scenes.position(|s| &*s.name == "bed").unwrap();
    let path = signal.path(bed, 1, tipring::study::signal::path::Tried::NONE).unwrap();
    let farads: Vec<f64> = path.circuit.segments.iter().map(|s| (s.farad * 1e12).round()).collect();
    assert_eq!(farads, [660.0, 490.0]);
}
