//! The stage page, played in a real browser: keys, touch, sizes, another order, a new version, notes.

use std::io::Write;
use std::path::Path;
use tipring::ids::SceneId;

use crate::browser::{drive, modules};
use crate::tools::{example, printed, tipring};
use serde_json::{Value, json};
use tipring::book::Slot;
use tipring::driver::{Options, compile_path};
use tipring::print::sheet::{self, ActKind, Entry, Night, PartLine, Wanted};

/// What the page must show of a night, step by step: song or pause, slot, part, and what comes before the song.
fn steps(night: &Night) -> Vec<Value> {
    let mut out = Vec::new();
    for entry in &night.entries {
        match entry {
            Entry::Pause(says) => out.push(json!([says, "", "", ""])),
            Entry::Encore => out.push(json!(["encore", "", "", ""])),
            Entry::Song(song) if song.parts.is_empty() => {
                out.push(json!([song.title, "", "", song.changes.join(", ")]));
            }
            Entry::Song(song) => out.extend(song.parts.iter().enumerate().map(|(n, p)| {
                let change =
                    p.acts.iter().find(|a| a.kind == ActKind::Change).map_or(String::new(), |a| a.says.clone());
                let before = if n == 0 { song.changes.join(", ") } else { change };
                json!([song.title, big(p), p.name(), before])
            })),
        }
    }
    out
}

/// What stands in the largest letters: what a foot presses, or where nobody presses.
fn big(part: &PartLine) -> String {
    let (key, aside) = part.presses.says(true);
    let first = aside.split("; ").next().unwrap_or_default();
    [part.slot.as_str(), first, &key][if key.is_empty() { usize::from(!first.is_empty()) } else { 2 }].to_owned()
}

/// Books with second rows, switches inside, scenes in two slots, parts that a computer calls: what each part plays, and which
/// scenes stand behind each switch.
fn walked(folder: &Path, n: usize, text: &str) -> Value {
    let book = folder.join(format!("walked{n}.scene"));
    std::fs::write(&book, text).unwrap();
    let page = folder.join(format!("walked{n}.html"));
    let done = tipring(&["stage", book.to_str().unwrap(), "-o", page.to_str().unwrap()]);
    assert!(done.status.success(), "{text}: {}", String::from_utf8_lossy(&done.stderr));
    let compiled = compile_path(&book, Options::default()).unwrap();
    let show = &compiled.book.show;
    let range = compiled.book.board.switcher.as_ref().unwrap().slots.unwrap();
    let name = |id: SceneId| show.scene(id).unwrap().name.to_string();
    let mut rows = serde_json::Map::new();
    for preset in &compiled.presets {
        let Some(slot) = preset.slot else { continue };
        let (own, row) = (range.show(Slot::at(slot.bank, slot.switch)), usize::from(slot.again));
        rows.entry(own).or_insert(json!([null, null]))[row] = name(preset.scene).into();
    }
    let part = |part: &tipring::book::Part| {
        let pressed = (0..8u8).filter(|n| part.pressed & (1 << n) != 0).map(|n| (5 + n).to_string());
        json!([part.label.as_str(), name(show.base(part.scene.unwrap())), pressed.collect::<Vec<_>>()])
    };
    let songs = show.songs.iter().map(|s| (s.title.to_string(), s.parts.iter().map(part).collect::<Value>()));
    let wakes = compiled.book.board.timing.wakes.map(|w| range.show(w.value));
    json!({ "file": format!("walked{n}.html"), "rows": rows, "songs": songs.collect::<serde_json::Map<_, _>>(), "wakes": wakes })
}

const WALKED: [&str; 3] = [
    "switcher { loops 2; outputs 1; banks 1..1, switches 1..3; inside: switches 5..6, toggles 1, rows 2; wakes 1.1 }\n\
     pedal ember { loop 1 }\npedal moth { loop 2 }\nscene bed { switch 5 toggles moth; again solo }\n\
     scene solo { engage ember, moth; switch 5 toggles moth }\nscene hush { mute }\nscene calm { engage ember }\n\
     song \"Quay\" { verse: bed; chorus: bed, press 5; solo; end: solo, press 5; out: calm }\n\
     song \"Reel\" { in: solo; low: bed }\nsong \"Still\" { in: bed; out: bed, press 5 }\nsong \"Loud\" { in: bed, press 5; calm }\n\
     set \"n\" { \"Quay\"; pause \"tune\"; \"Reel\"; \"Still\"; \"Loud\"; encore; \"Reel\"; \"Still\" }\nslots { 1.3 hush; others auto }\nsafe 1.3\n",
    "switcher { loops 3; outputs 1; banks 1..2, switches 1..3; presses: same bank 1, bank step 1; repress ignored\n\
     inside: switches 5..7, toggles 3, rows 2 }\npedal ember { loop 1 }\npedal grit { loop 2 }\npedal moth { loop 3 }\n\
     scene chug { engage ember; again solo; switch 5 toggles moth; switch 6 toggles ember }\n\
     scene solo { engage ember, grit; switch 5 toggles moth }\nscene calm { switch 7 toggles grit }\n\
     song \"One\" { verse: chug; \"verse two\": chug; chorus: chug, press 5; solo; \"solo two\": solo, press 5; end: chug }\n\
     song \"Two\" { verse: chug; loud: chug, press 5, press 6; louder: chug, press 6; calm; high: calm, press 7 }\n\
     song \"Three\" { verse: calm, press 7; off: chug, press 6; bit: solo, press 5; end: solo }\n\
     song \"Four\" { in: solo; low: calm; out: solo }\nsong \"Five\" { all: calm }\nsong \"Six\" { all: calm, press 7 }\n\
     set \"n\" { \"One\"; \"Two\"; \"Three\"; pause \"drink\"; \"Four\"; \"Five\"; \"Six\"; \"Five\" }\n\
     slots { 1.1 chug; 1.2 calm; 2.3 chug; others auto }\n",
    "switcher { loops 3; outputs 1; banks 1..2, switches 1..3; presses: same bank 1, bank step 1\n\
     inside: switches 5..6, toggles 2, rows 2; answers midi 1 programs from 1; repress ignored }\n\
     pedal ember { loop 1 }\npedal grit { loop 2 }\npedal moth { loop 3 }\n\
     scene chug { engage ember; again solo; switch 5 toggles moth; switch 6 toggles grit }\n\
     scene solo { engage ember, grit; switch 5 toggles moth }\nscene calm { }\n\
     song \"One\" { called from outside; verse: chug; loud: chug, press 5, by foot; back: chug; up: solo, by foot; down: chug; rest: calm, by foot }\n\
     song \"Two\" { verse: chug; loud: chug, press 5; end: solo }\nsong \"Three\" { called from outside; verse: chug; more: chug, by foot }\n\
     song \"Four\" { verse: chug; up: solo }\nsong \"Five\" { called from outside; a: calm; b: solo, by foot }\n\
     set \"n\" { \"One\"; \"Two\"; \"Three\"; \"Four\"; \"Five\" }\n",
];

fn nights(book: &Path, wanted: &Wanted) -> Vec<Night> {
    let compiled = compile_path(book, Options::default()).unwrap();
    sheet::sheet(&compiled, wanted).nights
}

/// A list of titles, played.
fn tonight(book: &Path, text: &str) -> Night {
    let compiled = compile_path(book, Options::default()).unwrap();
    let items = sheet::tonight::read(&compiled.book, text).unwrap();
    sheet::sheet(&compiled.playing("tonight", items), &Wanted::default()).nights.remove(0)
}

/// The winter book in another version: a song more before the others, one less, one with a part more and other slots.
fn next_version(folder: &Path) -> std::path::PathBuf {
    let book = folder.join("next");
    std::fs::create_dir(&book).unwrap();
    for file in ["board.scene", "songs.scene"] {
        let text = std::fs::read_to_string(example("winter").join(file)).unwrap();
        let text = text
            .replace("version \"winter-3\"", "version \"winter-4\"")
            .replace("set \"hall night\" {", "set \"hall night\" {\n  \"Eleven Gates\"")
            .replace("  \"Low Barn Radio\"\n", "")
            .replace(
                "song \"Peat Clock\" at 74 bpm on arch {",
                "song \"Peat Clock\" at 74 bpm on arch {\n  count: warm",
            );
        std::fs::write(book.join(file), text).unwrap();
    }
    book
}

/// The winter book with guitars, tunings and capos that change inside its songs, and parts that a computer calls.
fn with_hands(folder: &Path) -> std::path::PathBuf {
    let book = folder.join("hands");
    std::fs::create_dir(&book).unwrap();
    for file in ["board.scene", "songs.scene"] {
        let text = std::fs::read_to_string(example("winter").join(file)).unwrap();
        let text = text
            .replace("  bridge: ferry-swell,", "  bridge: ferry-swell, on arch, tuning \"open G\",")
            .replace("  chorus: gravel\n", "  chorus: gravel, tuning \"drop D\", capo 2\n")
            .replace("  verse:  warm\n", "  verse:  warm, on slab, tuning \"drop D\"\n")
            .replace("  chorus: nettle-pick\n", "  chorus: nettle-pick, on slab, capo 3\n")
            .replace("  riff:        oxen-plough\n", "  riff:        oxen-plough, tuning \"Standard\"\n")
            .replace("  repress ignored\n", "  repress ignored\n  answers midi 9 programs from 0\n")
            .replace("  chorus: crunch\n", "  chorus: crunch, called from outside\n")
            .replace("  bridge: crunch\n", "  bridge: crunch, called from outside\n")
            .replace("  verse:       crunch\n", "  verse:       crunch\n  called from outside\n");
        std::fs::write(book.join(file), text).unwrap();
    }
    book
}

#[test]
fn the_stage_page_is_played_in_a_browser() {
    // It plays for minutes.
    if std::env::var("TIPRING_FULL").as_deref() != Ok("1") {
        let _ =
            writeln!(std::io::stderr(), "\nSKIPPED: the stage page is played in a browser only with TIPRING_FULL=1");
        return;
    }
    let Some(modules) = modules() else { return };
    let folder = tempfile::tempdir().unwrap();
    let winter = example("winter");
    let write = |book: &Path, name: &str, more: &[&str]| {
        let path = folder.path().join(name);
        let line = [&["stage", book.to_str().unwrap(), "-o", path.to_str().unwrap()], more].concat();
        let done = tipring(&line);
        assert!(done.status.success(), "{line:?}: {}", String::from_utf8_lossy(&done.stderr));
    };
    write(&winter, "stage.html", &["--set", "hall night"]);
    write(&winter, "all.html", &[]);
    write(&winter, "live.html", &[]);
    write(&example("spring"), "spring.html", &[]);
    let next = next_version(folder.path());
    write(&next, "next.html", &[]);
    let hands = with_hands(folder.path());
    write(&hands, "hands.html", &["--set", "hall night"]);
    let lost = folder.path().join("lost.scene");
    let book = "switcher { loops 1; banks 1..1, switches 1..1 }\npedal ember { loop 1 }\nscene bed { engage ember }\n\
        scene bare {}\nslots { 1.1 bed }\nsong \"Quay\" at 240 bpm { all: bed }\nsong \"Reef\" { out: bare }\nset \"night\" { \"Quay\" }\n";
    std::fs::write(&lost, book).unwrap();
    write(&lost, "lost.html", &[]);
    let wanted = |set: &str| Wanted { set: Some(set.to_owned()), ..Wanted::default() };
    let all: Vec<Value> = nights(&winter, &Wanted::default()).iter().map(|n| json!([n.title, steps(n)])).collect();
    let known = json!({
        "hall": steps(&nights(&winter, &wanted("hall night"))[0]),
        "hands": [["hall night", steps(&nights(&hands, &wanted("hall night"))[0])]],
        "next": steps(&nights(&next, &wanted("hall night"))[0]),
        "all": all,
        "spring": nights(&example("spring"), &Wanted::default()).iter().map(|n| json!([n.title, steps(n)])).collect::<Vec<_>>(),
        "walked": WALKED.iter().enumerate().map(|(n, text)| walked(folder.path(), n, text)).collect::<Vec<_>>(),
        "walks": std::env::var("WALKS").ok().and_then(|n| n.parse::<u32>().ok()).unwrap_or(100),
        "seed": std::process::id(),
    });
    std::fs::write(folder.path().join("known.json"), known.to_string()).unwrap();
    drive(&modules, "stage.cjs", folder.path());
    // The orders that were made by touch, as text: the sheet reads them to the same steps.
    let made: Value = serde_json::from_slice(&std::fs::read(folder.path().join("made.json")).unwrap()).unwrap();
    let mut read = 0;
    for (n, one) in made["orders"].as_array().unwrap().iter().enumerate() {
        let list = folder.path().join(format!("order{n}.txt"));
        let text = one["text"].as_str().unwrap();
        std::fs::write(&list, text).unwrap();
        let list = list.to_str().unwrap();
        let book = hands.to_str().unwrap();
        let night = tonight(&hands, text);
        assert_eq!(Value::from(steps(&night)), one["steps"], "{text}");
        let below = |text: &str| text.lines().skip(1).map(str::to_owned).collect::<Vec<_>>();
        let given = printed(&["sheet", book, "--songs", list, "--format", "songs"]);
        assert_eq!(given.lines().collect::<Vec<_>>(), below(text));
        read += night.entries.len();
    }
    assert!(read > 30, "{read}");
    eprintln!("{} orders made by touch, {read} lines read back", made["orders"].as_array().unwrap().len());
    // The notes stand on the technician's sheet, each with its words.
    let notes = folder.path().join("notes.txt");
    std::fs::write(&notes, made["notes"].as_str().unwrap()).unwrap();
    let (book, notes) = (winter.to_str().unwrap(), notes.to_str().unwrap());
    let tech = printed(&["sheet", book, "--for", "tech", "--notes", notes, "--format", "md"]);
    let section = tech.split("what the player noted").nth(1).unwrap().split("cautions").next().unwrap();
    for (says, scene) in [("too loud", "peat-tick"), ("wrong sound", "warm"), ("more of the room", "peat-flood")] {
        let row = |line: &&str| line.contains(says) && line.contains(scene) && line.contains("Peat Clock");
        assert_eq!(section.lines().filter(row).count(), 1, "{section}");
    }
}

/// Every set of the examples as a list: read back, it is the same night.
#[test]
fn a_set_as_a_list_is_the_same_night() {
    let folder = tempfile::tempdir().unwrap();
    let list = folder.path().join("tonight.txt");
    for book in ["winter", "spring"] {
        let book = example(book);
        for night in nights(&book, &Wanted::default()) {
            let given = printed(&["sheet", book.to_str().unwrap(), "--set", &night.title, "--format", "songs"]);
            assert_eq!(steps(&tonight(&book, &given)), steps(&night), "{}", night.title);
            std::fs::write(&list, &given).unwrap();
            let line = ["sheet", book.to_str().unwrap(), "--songs", list.to_str().unwrap(), "--format", "songs"];
            assert_eq!(printed(&line), given);
        }
    }
}

/// The notes of one night beside a book in which one scene was changed, one was taken out, and one was not touched.
#[test]
fn notes_are_told_by_why_and_by_diff() {
    let folder = tempfile::tempdir().unwrap();
    let winter = example("winter");
    let other = folder.path().join("other");
    std::fs::create_dir(&other).unwrap();
    for file in ["board.scene", "songs.scene"] {
        let text = std::fs::read_to_string(winter.join(file)).unwrap();
        std::fs::write(other.join(file), text.replace("gully.blend 45 %", "gully.blend 30 %")).unwrap();
    }
    let notes = folder.path().join("notes.txt");
    let note = |scene: &str, says: &str| {
        format!("\"hall night\" \"Peat Clock\" \"intro\" \"{scene}\" \"5.1\" \"v\" \"{says}\"\n")
    };
    let lines = [note("peat-tick", "too loud"), note("warm", "late"), note("never-there", "wrong sound")];
    std::fs::write(&notes, lines.concat()).unwrap();
    let (winter, other, notes) = (winter.to_str().unwrap(), other.to_str().unwrap(), notes.to_str().unwrap());
    let told = tipring(&["diff", winter, other, "--notes", notes]);
    let told = String::from_utf8(told.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    for says in [
        "`peat-tick` is changed: too loud (\"Peat Clock\", intro)",
        "`warm` is as it was: late (\"Peat Clock\", intro)",
        "`never-there` is in neither book: wrong sound (\"Peat Clock\", intro)",
    ] {
        assert!(told.contains(says) || told.contains(&says.replace('`', "")), "{says}: {told}");
    }
    let why = printed(&["why", winter, "peat-tick", "gully", "--notes", notes]);
    assert!(why.starts_with("the player says: too loud  (\"Peat Clock\", intro; v)\n"), "{why}");
    assert!(!printed(&["why", winter, "glass", "gully", "--notes", notes]).contains("the player says"));
    // What is no note is told with its line, and nothing is written.
    let wrong = folder.path().join("wrong.txt");
    std::fs::write(&wrong, "\"a\" \"b\"\nMarl too loud\n").unwrap();
    let refused = tipring(&["sheet", winter, "--for", "tech", "--notes", wrong.to_str().unwrap()]);
    let said = String::from_utf8(refused.stderr).unwrap();
    assert_eq!(refused.status.code(), Some(2));
    assert!(said.contains("line 1 of the notes") && said.contains("line 2 of the notes"), "{said}");
}
