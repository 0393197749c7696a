//! The table as readers of their own see it, and as worked out by hand.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use serde_json::Value;
use tipring::print::model::{Entry, FORMAT, Shape, VERSION, Whole};
use tipring::{Compiled, compile_texts, print};
use unicode_width::UnicodeWidthStr;

fn example(name: &str) -> Compiled {
    let read = |file: &str| {
        let path = format!("{}/examples/{name}/{file}", env!("CARGO_MANIFEST_DIR"));
        std::fs::read_to_string(path).expect("an example")
    };
    compile_texts(&[("board.scene", &read("board.scene")), ("songs.scene", &read("songs.scene"))])
}

fn book(text: &str) -> Compiled {
    let compiled = compile_texts(&[("book.scene", text)]);
    let errors: Vec<&str> = compiled.diagnostics().iter().map(|d| d.message.as_str()).collect();
    assert_eq!(compiled.errors(), 0, "{errors:?}");
    compiled
}

/// Head and rows as an outside CSV reader sees them.
fn csv_of(compiled: &Compiled, free: bool) -> (Vec<String>, Vec<Vec<String>>) {
    let text = print::csv::table(compiled, free);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let strings = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect::<Vec<_>>();
    let head = strings(reader.headers().expect("a head"));
    (head, reader.records().map(|r| strings(&r.expect("a row as wide as the head"))).collect())
}

/// What CSV holds for a scene in some columns.
fn cells(compiled: &Compiled, scene: &str, columns: &[&str]) -> Vec<String> {
    let (head, rows) = csv_of(compiled, false);
    let row = rows.iter().find(|r| r[1] == scene).expect("a row");
    columns.iter().map(|c| row[head.iter().position(|h| h == c).expect("a column")].clone()).collect()
}

// ---- columns ----

#[test]
fn columns_stand_in_board_order() {
    let compiled = book(
        "switcher { loops 2; remote jacks 1; expressions 1 of 128 steps; outputs 1 }
         pedal zinc { loop 1; level mix on midi 3 cc 9 from 0 % to 100 %; control wave on midi 3 programs from 1 { a: program 1 } }
         pedal alum { loop 2; place top; control bank on midi 11 programs from 0 { a: program 0 }; control speed by foot { slow; fast } }
         pedal bark { always on; control set on midi 5 programs from 0 { a: program 7 } }
         default { bark.set a }
         scene one { }
         song \"Loam\" { one }",
    );
    let wanted = "slot,scene,loop-1,loop-2,remote-1-tip,remote-1-ring,expression-1,output-1,\
                  midi-3:zinc.mix,midi-3:zinc.wave,midi-5:bark.set,midi-11:alum.bank,by-foot:alum.speed";
    assert_eq!(csv_of(&compiled, false).0.join(","), wanted);
}

// ---- worked by hand; common practice of the trade, no source ----

#[test]
fn a_two_sided_pedal_on_one_jack() {
    // Common practice: side one by tip to sleeve, side two by ring to sleeve, the pedal's own side by neither.
    let compiled = book(
        "switcher { loops 1; remote jacks 1 }
         pedal fork { loop 1; control side on remote 1 { one: tip closed; two: ring closed; own: tip open, ring open } }
         scene one { engage fork; fork.side one }
         scene two from one { fork.side two }
         scene own from one { fork.side own }
         song \"Loam\" { one; two; own }",
    );
    let contacts = |scene| cells(&compiled, scene, &["remote-1-tip", "remote-1-ring"]);
    assert_eq!(contacts("one"), ["1", "0"]);
    assert_eq!(contacts("two"), ["0", "1"]);
    assert_eq!(contacts("own"), ["0", "0"]);
}

#[test]
fn an_amp_channel_on_a_tip_contact() {
    // Common practice: a latching channel remote, open is clean and closed is lead; the ring is not wired.
    let compiled = book(
        "switcher { loops 1; remote jacks 2; outputs 1 }
         amp hob { fed by output 1; control channel on remote 2 tip { clean: open; lead: closed } }
         default { hob.channel clean }
         scene verse { }
         scene solo { hob.channel lead }
         scene rest { mute; hob.channel stays }
         song \"Loam\" { verse; solo; rest }",
    );
    let row = |scene| cells(&compiled, scene, &["remote-2-tip", "remote-2-ring", "output-1"]);
    assert_eq!(row("verse"), ["0", "0", "1"]);
    assert_eq!(row("solo"), ["1", "0", "1"]);
    assert_eq!(row("rest"), ["stays", "0", "0"]);
}

#[test]
fn a_reversed_expression_range() {
    // Common practice: a pedal that is loudest at the heel. 0 % is the toe, 100 % the heel.
    // 25 %: (25 - 100) / (0 - 100) = 0.75; 0.75 * 127 = 95.25, step 95; 95 / 127 = 74.80 %.
    let compiled = book(
        "switcher { loops 1; expressions 1 of 128 steps }
         pedal tarn { loop 1; place top; level blend on expression 1 from 100 % to 0 % }
         treadle sole feeds expression 1
         scene full { engage tarn; tarn.blend 100 % }
         scene some from full { tarn.blend 25 % }
         scene none from full { tarn.blend 0 % }
         scene held from full { tarn.blend foot from heel }
         scene idle { }
         song \"Loam\" { full; some; none; held; idle }",
    );
    let port = |scene| cells(&compiled, scene, &["expression-1"]).remove(0);
    assert_eq!([port("full"), port("some"), port("none")], ["0", "74.8", "100"]);
    assert_eq!([port("held"), port("idle")], ["foot", "0"]);
}

#[test]
fn labels_of_three_letters_tell_the_loops_apart() {
    for name in ["winter", "spring"] {
        let compiled = example(name);
        let whole = print::model::whole(&compiled, Shape::default());
        let mut labels: Vec<String> = whole.cells.into_iter().filter_map(|c| c.label).collect();
        assert_eq!(labels.len(), 10, "{name}: every loop has a pedal");
        assert!(labels.iter().all(|l| l.chars().count() == 3), "{labels:?}");
        labels.sort();
        labels.dedup();
        assert_eq!(labels.len(), 10, "{labels:?}");
    }
}

// ---- the text table ----

#[test]
fn the_text_table_fits_80_columns_and_says_how_it_is_split() {
    for name in ["winter", "spring"] {
        let compiled = example(name);
        let text = print::text::table(&compiled);
        for line in text.lines() {
            assert!(line.width() <= 80, "{name}: {line}");
            assert_eq!(line, line.trim_end());
        }
        for part in
            ["part 1 of 3: loops", "part 2 of 3: contacts, levels and outputs", "part 3 of 3: messages and feet"]
        {
            assert_eq!(text.matches(part).count(), 1, "{part}");
        }
        // Every panel repeats slot and scene.
        for preset in print::model::whole(&compiled, Shape::default()).rows {
            let slot = preset.slot.as_deref().unwrap_or("");
            let rows = text.lines().filter(|l| {
                let mut words = l.split_whitespace();
                (slot.is_empty() || words.next() == Some(slot)) && words.next() == Some(&*preset.scene)
            });
            assert_eq!(rows.count(), 3, "{slot} {}", preset.scene);
        }
        assert!(!text.contains("DRAFT"));
    }
}

#[test]
fn a_small_text_table_is_whole() {
    let compiled = book(
        "board \"Sill\" version \"2\"
         switcher { loops 2; remote jacks 1; expressions 1 of 5 steps; outputs 1; banks 1..2, switches 1..2 }
         pedal fen { loop 1; control side on remote 1 { one: tip closed; two: ring closed } }
         pedal tarn { loop 2; place top; level depth on expression 1 from 0 % to 60 % }
         treadle sole feeds expression 1
         amp hob { fed by output 1 }
         scene bed { engage fen; fen.side one }
         scene top from bed { engage tarn; fen.side two; tarn.depth foot }
         scene low { engage tarn; tarn.depth 15 % }
         song \"Loam\" { bed; top; low }
         slots { 1.2 bed; 2.1 top }",
    );
    insta::assert_snapshot!(print::text::table(&compiled), @r"
Sill  version 2  source 09ee9389327f
1 engaged, closed or on; 0 bypassed, open or off; - free: it does not matter

1t, 1r: tip and ring of remote 1; e1: expression 1, in %; o1: output 1
             FNE TRN FNE FNE TRN  HBO
slot  scene   1   2  1t  1r   e1  o1
─────────────────────────────────────
1.2   bed     1   0   1   0   -    1

2.1   top     1   1   0   1  foot  1

      low     0   1   -   -   25   1
");
    insta::assert_snapshot!(print::words::table(&compiled), @r"
bed: fen on (side one)
top: fen on (side two), tarn on, foot moves tarn depth
low: tarn on (depth 15 %)
");
    insta::assert_snapshot!(print::json::table(&compiled, Shape { free: false, why: true }), @r#"
{
"format":"tipring-table",
"version":1,
"board":"Sill",
"book_version":"2",
"source":"09ee9389327f",
"draft":false,
"cells":[
{"name":"loop-1","kind":"loop","of":["fen"],"label":"FNE"},
{"name":"loop-2","kind":"loop","of":["tarn"],"label":"TRN"},
{"name":"remote-1-tip","kind":"contact","of":["fen.side"]},
{"name":"remote-1-ring","kind":"contact","of":["fen.side"]},
{"name":"expression-1","kind":"expression","of":["tarn.depth"],"steps":5},
{"name":"output-1","kind":"output","of":["hob"]}],
"rows":[
{"slot":"1.2","scene":"bed","values":[1,0,1,0,0,1],"free":[4],"why":[[{"by":"scene","name":"bed","value":1,"file":"book.scene","line":7,"live":true}],[],[{"by":"scene","name":"bed","value":1,"file":"book.scene","line":7,"live":true}],[{"by":"scene","name":"bed","value":0,"file":"book.scene","line":7,"live":true}],[],[]]},
{"slot":"2.1","scene":"top","values":[1,1,0,1,"foot",1],"free":[],"why":[[{"by":"scene","name":"bed","value":1,"file":"book.scene","line":7,"live":true}],[{"by":"scene","name":"top","value":1,"file":"book.scene","line":8,"live":true}],[{"by":"scene","name":"top","value":0,"file":"book.scene","line":8,"live":true},{"by":"scene","name":"bed","value":1,"file":"book.scene","line":7,"live":false}],[{"by":"scene","name":"top","value":1,"file":"book.scene","line":8,"live":true},{"by":"scene","name":"bed","value":0,"file":"book.scene","line":7,"live":false}],[{"by":"scene","name":"top","value":"foot","file":"book.scene","line":8,"live":true}],[]]},
{"slot":null,"scene":"low","values":[0,1,0,0,25,1],"free":[2,3],"why":[[],[{"by":"scene","name":"low","value":1,"file":"book.scene","line":9,"live":true}],[],[],[{"by":"scene","name":"low","value":25,"file":"book.scene","line":9,"live":true}],[]]}]}
"#);
}

#[test]
fn wide_names_still_fit() {
    let long = "a-scene-whose-name-goes-on-and-on-and-on-past-the-end-of-any-line-that-a-printer-would-hold";
    let state = "state-of-a-length-that-nobody-would-ever-want-to-read-aloud-between-two-songs";
    let text = format!(
        "switcher {{ loops 1; banks 1..1, switches 1..2 }}
         pedal fen {{ loop 1; place top; control side by foot {{ {state}; x }} }}
         scene {long} {{ engage fen; fen.side {state} }}
         scene b {{ engage fen; fen.side x }}
         song \"Loam\" {{ {long}; b }}"
    );
    let printed = print::text::table(&compile_texts(&[("book.scene", &text)]));
    assert!(printed.lines().all(|l| l.width() <= 80), "{printed}");
    let joined: String = printed.lines().collect();
    assert!(joined.contains(long), "the name is told whole: {printed}");
}

#[test]
fn a_board_wider_than_any_page_is_split_further() {
    let loops: Vec<String> = (1..=40).map(|n| format!("pedal p{n} {{ loop {n} }}\n")).collect();
    let text = format!("switcher {{ loops 40 }}\n{}scene a {{ engage loop 40 }}", loops.concat());
    let printed = print::text::table(&compile_texts(&[("book.scene", &text)]));
    assert!(printed.lines().all(|l| l.width() <= 80), "{printed}");
    assert!(printed.contains("part 3 of 3: loops"), "{printed}");
}

#[test]
fn a_book_with_errors_is_marked_draft() {
    let compiled = compile_texts(&[(
        "book.scene",
        "switcher { loops 1; remote jacks 1 }
         pedal fen { loop 1; control side on remote 1 tip { one: closed; two: open } }
         scene bed { engage fen }",
    )]);
    assert!(compiled.errors() > 0);
    assert!(print::text::table(&compiled).contains("DRAFT"));
    assert!(print::words::table(&compiled).contains("DRAFT"));
    assert!(print::words::table(&compiled).contains("bed: fen on (side unknown)"));
    assert_eq!(print::model::whole(&compiled, Shape::default()).rows[0].values[1], Entry::Word("?".into()));
    let json: Value = serde_json::from_str(&print::json::table(&compiled, Shape::default())).expect("JSON");
    assert_eq!(json["draft"], Value::Bool(true));
}

// ---- JSON and YAML, read back ----

/// A value as CSV writes it.
fn written(value: &Value) -> String {
    match value {
        Value::String(word) => word.clone(),
        Value::Number(number) => number.to_string(),
        other => panic!("{other} is no value of a cell"),
    }
}

#[test]
fn json_and_yaml_say_what_csv_says() {
    for name in ["winter", "spring"] {
        let compiled = example(name);
        for free in [false, true] {
            let shape = Shape { free, why: false };
            let json: Value = serde_json::from_str(&print::json::table(&compiled, shape)).expect("JSON");
            let yaml: Value = serde_yaml::from_str(&print::yaml::table(&compiled, shape)).expect("YAML");
            assert_eq!(json, yaml);
            assert_eq!((json["format"].as_str(), json["version"].as_u64()), (Some(FORMAT), Some(u64::from(VERSION))));
            let (head, rows) = csv_of(&compiled, free);
            let names = json["cells"].as_array().expect("cells").iter().map(|c| written(&c["name"]));
            assert_eq!(["slot", "scene"].map(str::to_owned).into_iter().chain(names).collect::<Vec<_>>(), head);
            let json_rows = json["rows"].as_array().expect("rows");
            assert_eq!(json_rows.len(), rows.len());
            for (json, csv) in json_rows.iter().zip(rows) {
                let slot = json["slot"].as_str().unwrap_or("").to_owned();
                let values = json["values"].as_array().expect("values").iter().map(written);
                assert_eq!([slot, written(&json["scene"])].into_iter().chain(values).collect::<Vec<_>>(), csv);
                let dashes = csv.iter().skip(2).enumerate().filter(|(_, v)| *v == "-").map(|(c, _)| c as u64);
                if free {
                    let marked: Vec<u64> =
                        json["free"].as_array().expect("free").iter().filter_map(Value::as_u64).collect();
                    assert_eq!(dashes.collect::<Vec<_>>(), marked);
                }
            }
        }
    }
}

#[test]
fn the_typed_table_comes_back_as_it_went() {
    for name in ["winter", "spring"] {
        let compiled = example(name);
        for why in [false, true] {
            let shape = Shape { free: false, why };
            let whole = print::model::whole(&compiled, shape);
            let (json, yaml) = (print::json::table(&compiled, shape), print::yaml::table(&compiled, shape));
            let from_json: Whole = serde_json::from_str(&json).expect("JSON");
            let from_yaml: Whole = serde_yaml::from_str(&yaml).expect("YAML");
            assert_eq!(from_json, whole);
            assert_eq!(from_yaml, whole);
        }
    }
}

#[test]
fn the_winner_of_a_chain_is_what_the_cell_holds() {
    let compiled = example("winter");
    let whole = print::model::whole(&compiled, Shape { free: false, why: true });
    let mut overridden = 0;
    for row in &whole.rows {
        for ((value, chain), cell) in row.values.iter().zip(row.why.as_ref().expect("asked for")).zip(0..) {
            // What nobody hears is not typed in, whoever says it.
            if let Some(first) = chain.first().filter(|_| !row.free.contains(&cell)) {
                assert!(first.live);
                assert_eq!(first.value, *value, "{}", row.scene);
                assert!(first.line > 0 && first.file.ends_with(".scene"));
                overridden += chain.iter().filter(|because| !because.live).count();
            }
        }
    }
    assert!(overridden > 100, "{overridden} statements overridden");
}

/// By hand: `comb` is out in `calm`, so nobody types its voice in, and nothing of `lag` is sent. `keep` hears the contact as it
/// finds it, so in the other board what stood before matters and is stored.
#[test]
fn what_nobody_hears_stays_as_an_empty_preset_has_it() {
    let board = |keep: &str| {
        format!(
            "switcher {{ loops 2; remote jacks 1; expressions 1 of 128 steps }}\n\
             pedal comb {{ loop 1; control voice on remote 1 tip {{ round: open; sharp: closed }}\n\
               control edge on remote 1 ring normally closed {{ soft: closed; hard: open }}; level air on expression 1 from 0 % to 100 % }}\n\
             pedal lag {{ loop 2; level size on midi 2 cc 20 from 0 % to 100 % }}\n\
             default {{ comb.voice sharp; comb.edge hard; comb.air 100 %; lag.size 100 % }}\n\
             scene calm {{ }}\nscene full {{ engage comb, lag }}\nscene keep {{ engage comb{keep} }}\nsong \"Quay\" {{ calm; full; keep }}\n"
        )
    };
    let table = |keep: &str, free: bool| print::csv::table(&book(&board(keep)), free);
    assert!(table("", false).contains("\n,calm,0,0,0,1,0,stays\n"), "{}", table("", false));
    assert!(table("", true).contains("\n,calm,0,0,-,-,-,-\n"), "{}", table("", true));
    let (stored, free) = (table("; comb.voice stays", false), table("; comb.voice stays", true));
    assert!(stored.contains("\n,calm,0,0,1,1,0,stays\n") && free.contains("\n,calm,0,0,1,-,-,-\n"), "{stored}{free}");
}

// ---- words ----

#[test]
fn words_are_the_musicians() {
    let compiled = book(
        "switcher { loops 4; remote jacks 2; expressions 1 of 128 steps; outputs 1 }
         pedal filter { loop 1; control voice on remote 1 { round: tip closed; sharp: ring closed } }
         pedal drive { loop 2 }
         pedal tremolo { loop 3; place top; level depth on expression 1 from 0 % to 60 % }
         treadle sole feeds expression 1
         pedal rotary { loop 4; place top; control speed by foot { slow; fast } }
         amp combo { fed by output 1; control channel on remote 2 tip { clean: open; lead: closed } }
         default { combo.channel clean; tremolo.depth 20 %; filter.voice round }
         scene bed { engage filter, tremolo }
         scene solo from bed { bypass filter; engage drive; combo.channel lead; tremolo.depth foot from heel }
         scene turn { engage rotary; rotary.speed fast }
         scene quiet { mute; combo.channel stays }
         song \"Loam\" { bed; solo; turn; quiet }",
    );
    let wanted = "bed: filter on (voice round), tremolo on (depth 20 %), combo on clean
quiet: silent, combo channel stays as it is
solo: filter off, drive on, tremolo on, combo on lead, foot moves tremolo depth from the heel
turn: rotary on, combo on clean, foot sets rotary speed to fast
";
    assert_eq!(print::words::table(&compiled), wanted);
}
