//! A mistaken unit is refused, quantity by quantity.

use crate::support::{compile, one};

/// A board that is right, with a place for one quantity.
const GOOD: &str = "\
switcher { loops 1; outputs 1 }
guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 6 m at 100 pF/m }
supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 6 dB; power brick.A, 60 mA at 9 V to 18 V }
amp larch { fed by output 1; input 470 kohm; send 2 kohm; return 220 kohm }
chain front: guitar -> loop 1 -> output 1 -> cable 3 m at 120 pF/m -> larch
chain back: larch send -> larch return
patch leads 30 cm at 90 pF/m
scene bed { engage ember }
song \"Quay\" on plank { bed }
limit level step 12 dB
";

fn errors(text: &str) -> Vec<(&'static str, String)> {
    let compiled = compile(&one("book.scene", text));
    let told = compiled.diagnostics().iter().filter(|d| d.severity == tipring::check::Severity::Error);
    told.map(|d| (d.code, compiled.files.text(d.at).to_owned())).collect()
}

#[test]
fn the_board_itself_is_right() {
    assert_eq!(errors(GOOD), []);
}

#[test]
fn a_unit_of_something_else_is_refused_for_every_quantity() {
    let mut seen = 0;
    for (right, wrong) in [
        ("2.5 H", "2.5 kohm"),
        ("7.5 kohm", "7.5 H"),
        ("110 pF", "110 pF/m"),
        ("500 kohm", "500 pF"),
        ("100 %", "100 dB"),
        ("6 m", "6 ms"),
        ("100 pF/m", "100 pF"),
        ("20 %", "20 mA"),
        ("9 V,", "9 A,"),
        ("100 mA", "100 V"),
        ("1 Mohm", "1 uF"),
        ("1 kohm", "1 kHz"),
        ("6 dB", "6 %"),
        ("60 mA", "60 mH"),
        ("9 V to", "9 mA to"),
        ("18 V }", "18 dB }"),
        ("470 kohm", "470 nF"),
        ("2 kohm", "2 V"),
        ("220 kohm", "220 pF"),
        ("3 m", "3 s"),
        ("120 pF/m", "120 nF"),
        ("30 cm", "30 Hz"),
        ("90 pF/m", "90 m"),
        ("12 dB", "12 V"),
    ] {
        assert_eq!(
            GOOD.matches(right).count(),
            if right == "9 V," || right == "9 V to" { 1 } else { GOOD.matches(right).count().max(1) }
        );
        let text = GOOD.replacen(right, wrong, 1);
        let quantity = wrong.trim_end_matches([',', '}', ' ']).trim_end_matches(" to");
        assert_eq!(errors(&text), [("unit-wrong", quantity.to_owned())], "{right} as {wrong}");
        seen += 1;
    }
    assert_eq!(seen, 24);
}

#[test]
fn capitals_that_change_a_unit_are_refused() {
    for (right, wrong) in [("1 Mohm", "1 mohm"), ("110 pF", "110 pf"), ("60 mA", "60 MA"), ("100 pF/m", "100 pF/M")] {
        let text = GOOD.replacen(right, wrong, 1);
        assert_eq!(errors(&text), [("unit-case", wrong.to_owned())], "{right} as {wrong}");
    }
}

#[test]
fn values_that_no_circuit_has_are_refused() {
    for (right, wrong) in [
        ("1 Mohm", "0 Mohm"),
        ("1 kohm", "-1 kohm"),
        ("at 100 %", "at 120 %"),
        ("20 %", "100 %"),
        ("2.5 H", "-2.5 H"),
        ("60 mA", "0 mA"),
    ] {
        let text = GOOD.replacen(right, wrong, 1);
        let found = errors(&text);
        assert_eq!(found.len(), 1, "{right} as {wrong}: {found:?}");
        assert_eq!(found[0].0, "value-out-of-range", "{right} as {wrong}");
    }
}
