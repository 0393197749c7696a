//! From the examples and small books to rows and warnings.

use crate::netlists::{all_rows, winter};
use crate::support::{codes, compile, one, told};
use tipring::compile_texts;
use tipring::ids::SceneId;

fn read(path: &str) -> String {
    std::fs::read_to_string(path).unwrap()
}

/// The winter run, with one text of its board put in place of another.
fn changed(from: &str, to: &str) -> tipring::Compiled {
    let board = read("examples/winter/board.scene");
    assert!(board.contains(from), "{from}");
    let board = board.replace(from, to);
    let songs = read("examples/winter/songs.scene");
    compile_texts(&[("winter/board.scene", &board), ("winter/songs.scene", &songs)])
}

#[test]
fn the_weak_drive_is_found_without_its_buffer_and_passes_with_it() {
    let with = winter();
    assert!(!codes(&with).contains(&"heavy-loading"));
    let without = changed("loops 1..3 -> wick -> loops 4..7", "loops 1..7");
    let heavy: Vec<&str> =
        told(&without).filter(|d| d.code == "heavy-loading").map(|d| without.files.text(d.at)).collect();
    assert!(heavy.contains(&"ember"), "{heavy:?}");
    // What the lack of a buffer does to the guitar itself is another warning.
    assert!(codes(&without).contains(&"treble-lost"));
}

#[test]
fn a_row_for_every_scene_and_guitar() {
    let compiled = winter();
    let rows = all_rows(&compiled);
    assert_eq!(rows.len(), compiled.book.show.scenes.len() * compiled.book.board.guitars.len());
    for row in &rows {
        assert_eq!(row.missing, [""; 0], "{} on {}", row.scene, row.guitar);
        assert_eq!(row.level_1khz_db.is_none(), row.silent);
        if !row.silent {
            assert_eq!(row.guitar_load_pf, Some(620.0), "570 of its lead, 25 from the panel, 25 on");
        }
    }
    assert!(rows.iter().any(|r| r.scene == "hush" && r.silent));
}

#[test]
fn figures_carry_their_names_in_json_and_csv() {
    let compiled = winter();
    let rows = all_rows(&compiled);
    let mut signal = tipring::study::signal::Signal::new(&compiled.book, &compiled.table);
    let json = tipring::print::signal::json::figures(&compiled, &rows, &mut signal, false);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let first = json["rows"][0].as_object().unwrap();
    let csv = tipring::print::signal::csv::figures(&rows);
    let head = csv.lines().next().unwrap();
    let names = ["level_1khz_db", "peak_hz", "peak_db", "minus_3db_hz", "guitar_load_pf", "worst_loading_db"];
    for name in ["scene", "guitar"].into_iter().chain(names) {
        assert!(first.contains_key(name), "{name}");
        assert!(head.split(',').any(|h| h == name), "{name}");
    }
    assert_eq!(csv.lines().count(), rows.len() + 1);
    assert_eq!(json["rows"].as_array().unwrap().len(), rows.len());
}

#[test]
fn a_bypassed_loop_drops_out_and_brings_its_leads_back_when_engaged() {
    let rows = all_rows(&winter());
    let row = |scene: &str| rows.iter().find(|r| r.scene == scene && r.guitar == "slab").unwrap();
    // warm engages prism before wick: the same load on the guitar, as one lead takes the place of another.
    assert_eq!(row("plain").guitar_load_pf, row("warm").guitar_load_pf);
    assert_eq!(row("plain").worst_loading.as_deref(), Some("slab into wick"));
    assert_eq!(row("warm").worst_loading.as_deref(), Some("slab into prism"));
    assert!(row("plain").level_1khz_db > row("squeezed").level_1khz_db, "squash loads the guitar more than wick does");
}

const SMALL: &str = "\
switcher { loops 1; outputs 1 }
guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 6 dB measured }
amp larch { fed by output 1; input 1 Mohm }
chain front: guitar -> loop 1 -> output 1 -> larch
patch leads 30 cm at 100 pF/m
scene bed { }
scene dirt { engage ember }
song \"Quay\" on plank { verse: bed; chorus: dirt }
";

#[test]
fn what_nobody_stated_is_missing_and_never_guessed() {
    for (stated, name, gone) in [
        ("pickup 2.5 H, 7.5 kohm, 110 pF; ", "pickup of plank", "level shape"),
        ("volume 500 kohm at 100 %; ", "volume of plank", "level shape"),
        ("; cable 4 m at 100 pF/m", "cable of plank", "level shape load"),
        ("input 1 Mohm; output", "input of ember", "level shape"),
        ("output 1 kohm; ", "output of ember", "level shape"),
        ("; gain 6 dB measured", "gain of ember", "level"),
        ("; input 1 Mohm }", "input of larch", "level shape"),
        ("patch leads 30 cm at 100 pF/m\n", "patch leads", "level shape load"),
    ] {
        assert!(SMALL.contains(stated), "{stated}");
        let instead = if stated.starts_with("input") {
            "output"
        } else if stated.ends_with('}') {
            " }"
        } else {
            ""
        };
        let compiled = compile(&one("book.scene", &SMALL.replacen(stated, instead, 1)));
        let rows = all_rows(&compiled);
        let row = rows.iter().find(|r| r.scene == "dirt").unwrap();
        assert_eq!(row.missing, [name], "without {stated}");
        assert_eq!(row.level_1khz_db, None, "without {stated}");
        assert_eq!(row.peak_db, None, "without {stated}");
        assert_eq!(row.minus_3db_hz.is_none(), gone.contains("shape"), "without {stated}");
        assert_eq!(row.guitar_load_pf.is_none(), gone.contains("load"), "without {stated}");
    }
    // Gains of pedals that are out do not matter.
    let compiled = compile(&one("book.scene", &SMALL.replace("; gain 6 dB measured", "")));
    assert_eq!(all_rows(&compiled).iter().find(|r| r.scene == "bed").unwrap().missing, [""; 0]);
}

#[test]
fn a_step_in_level_is_the_gain_less_the_loads() {
    let compiled = compile(&one("book.scene", SMALL));
    let mut signal = tipring::study::signal::Signal::new(&compiled.book, &compiled.table);
    let wanted = tipring::print::signal::Wanted { against: Some(SceneId::nth(0)), ..Default::default() };
    let rows = tipring::print::signal::rows(&compiled, &mut signal, wanted);
    let step = rows.iter().find(|r| r.scene == "dirt").unwrap().difference_db.unwrap();
    assert!((step - 6.0).abs() < 0.1, "{step}");
    assert_eq!(rows.iter().find(|r| r.scene == "bed").unwrap().difference_db, Some(0.0));
}

#[test]
fn the_order_of_statements_changes_nothing() {
    let turned: String = SMALL.lines().rev().map(|l| format!("{l}\n")).collect();
    let figures = |text: &str| {
        let compiled = compile(&one("book.scene", text));
        let mut rows = all_rows(&compiled);
        rows.sort_by(|a, b| (&a.scene, &a.guitar).cmp(&(&b.scene, &b.guitar)));
        tipring::print::signal::csv::figures(&rows)
    };
    assert_eq!(figures(SMALL), figures(&turned));
}

#[test]
fn chains_in_a_circle_end_with_a_complaint() {
    let text = SMALL.replace("-> output 1 -> larch", "-> output 1 -> larch\nchain round: loop 1 -> ember");
    let compiled = compile(&one("book.scene", &text));
    let rows = all_rows(&compiled);
    assert_eq!(rows.len(), 2);
}
