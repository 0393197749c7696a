//! The page for the phone at the unit's side, filled in by touch in a real browser.

use crate::browser::{drive, modules};
use crate::tools::{example, printed, tipring};
use serde_json::{Value, json};

const W: &str = "winter";

/// A book whose presets hold a level, a program and a name to type.
const BOOK: &str = "board \"Quay <b>&\" version \"one\"\n\
    switcher { loops 2; remote jacks 1; expressions 1 of 128 steps; outputs 1; banks 1..2, switches A..C; display 8 }\n\
    pedal moss { loop 1; control voice on remote 1 tip { round: closed; sharp: open } }\n\
    pedal lull { loop 2; level depth on expression 1 from 0 % to 60 %; control sway on midi 2 programs from 1 { slow: program 3; fast: program 4 } }\n\
    treadle rocker feeds expression 1\namp hall { fed by output 1 }\n\
    scene verse { engage moss; moss.voice round }\n\
    scene lift { engage lull; lull.depth 20 %; lull.sway fast }\n\
    scene hush { mute }\nslots { 1A verse; 1B lift; 2C hush }\n\
    song \"Low Water\" { verse; lift }\nsong \"Reef\" { lift }\n";

#[test]
fn the_page_at_the_unit_is_filled_in_by_touch() {
    let Some(modules) = modules() else { return };
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    std::fs::write(at("small.scene"), BOOK).unwrap();
    let changed = BOOK.replace("lull.depth 20 %", "lull.depth 23.6 %").replace("version \"one\"", "version \"two\"");
    std::fs::write(at("next.scene"), changed).unwrap();
    for (book, page) in [("small.scene", "small.html"), ("next.scene", "next.html")] {
        assert!(tipring(&["readback", &at(book), "--html", "-o", &at(page)]).status.success());
    }
    let winter = example(W);
    let winter = winter.to_str().unwrap();
    assert!(tipring(&["readback", winter, "--html", "-o", &at("winter.html")]).status.success());
    let table: Value = serde_json::from_str(&printed(&["table", winter, "--format", "json"])).unwrap();
    // What is stored and heard, by the table: the page must ask for each such cell once.
    let cells = table["cells"].as_array().unwrap();
    let stored = |n: usize| cells[n]["kind"] != "by-foot";
    let rows = table["rows"].as_array().unwrap().iter().filter(|row| !row["slot"].is_null());
    let asked = rows.map(|row| {
        let free: Vec<u64> = row["free"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap()).collect();
        let heard = (0..cells.len()).filter(|n| stored(*n) && !free.contains(&(*n as u64)));
        json!([row["slot"], heard.map(|n| cells[n]["name"].clone()).collect::<Vec<_>>()])
    });
    std::fs::write(at("known.json"), json!({ "winter": asked.collect::<Vec<_>>() }).to_string()).unwrap();
    drive(&modules, "lookpage.cjs", folder.path());
    // What the page gave is read: what was touched is what is wrong, and who, when and which version are kept.
    let given: Value = serde_json::from_slice(&std::fs::read(at("given.json")).unwrap()).unwrap();
    std::fs::write(at("small.csv"), given["small"].as_str().unwrap()).unwrap();
    let record = at("kept.programmed");
    let told = tipring(&["readback", &at("small.scene"), &at("small.csv"), "--keep", "--record", &record]);
    let text = String::from_utf8(told.stdout).unwrap();
    for line in [
        "1B `lift`, in 2 songs",
        "    [ ] expression 1: 39.4 % → 33.1 % (lull depth)",
        "    [ ] midi 2 program: 3 → 4 (lull sway)",
        "1A `verse`, in 1 song",
        "    [ ] open remote 1 ring",
        "    [ ] name: verse",
    ] {
        assert!(text.contains(line), "{line}\n{text}{}", String::from_utf8_lossy(&told.stderr));
    }
    assert!(text.starts_with("4 things wrong") && !text.contains("Not read"), "{text}");
    let kept = std::fs::read_to_string(&record).unwrap();
    assert_eq!(
        kept.lines()
            .filter(|l| l.starts_with("2026-11-27 ") && l.contains(" by \"Ines, \u{201d}tech\u{201d}\" book \"one\" "))
            .count(),
        3,
        "{kept}"
    );
    std::fs::write(at("winter.csv"), given["winter"].as_str().unwrap()).unwrap();
    let told = printed(&["readback", winter, &at("winter.csv")]);
    assert!(told.starts_with("all that is heard was read, and is as it should be"), "{told}");
}
