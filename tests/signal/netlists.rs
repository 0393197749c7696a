//! Ten netlists written by hand from scenes of the example's board, with the figures that ngspice 39 gave for them:
//! they guard the way from book to circuit.

use std::path::Path;

use tipring::driver::{Options, compile_path};
use tipring::print::signal::{Row, Wanted, rows};
use tipring::study::signal::Signal;

pub(crate) fn winter() -> tipring::Compiled {
    compile_path(Path::new("examples/winter"), Options::default()).unwrap()
}

pub(crate) fn all_rows(compiled: &tipring::Compiled) -> Vec<Row> {
    let mut signal = Signal::new(&compiled.book, &compiled.table);
    rows(compiled, &mut signal, Wanted::default())
}

fn expected(deck: &str, name: &str) -> f64 {
    let line = deck.lines().find(|l| l.starts_with("* expected")).expect("a line of figures");
    let mut words = line.split_whitespace().skip_while(|w| *w != name).skip(1);
    words.next().unwrap().parse().unwrap()
}

#[test]
fn netlists_by_hand_agree_with_the_book() {
    let rows = all_rows(&winter());
    let mut seen = 0;
    for entry in std::fs::read_dir("tests/netlists").unwrap() {
        let deck = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        // `* winter: plain on slab. ...`
        let head = deck.lines().next().unwrap().strip_prefix("* winter: ").expect("a head");
        let mut words = head.split([' ', '.']);
        let (scene, guitar) = (words.next().unwrap(), words.nth(1).unwrap());
        let row = rows.iter().find(|r| r.scene == scene && r.guitar == guitar).expect(head);
        let level = expected(&deck, "level_1khz_db");
        assert!((row.level_1khz_db.unwrap() - level).abs() < 1e-4, "{head} level");
        let peak = expected(&deck, "peak_db");
        assert!((row.peak_db.unwrap() - peak).abs() < 1e-4, "{head} peak");
        let hz = expected(&deck, "peak_hz");
        assert!((row.peak_hz.unwrap() / hz - 1.0).abs() < 1e-3, "{head} peak");
        let fall = expected(&deck, "minus_3db_hz");
        assert!((row.minus_3db_hz.unwrap() / fall - 1.0).abs() < 1e-3, "{head} -3 dB");
        seen += 1;
    }
    assert_eq!(seen, 10);
}
