//! What the sheets say.

use std::process::Stdio;

use crate::tools::{compile, example, nasty, printed, tipring};
use tipring::print::sheet::{self, Wanted, player};

#[test]
fn taps_holds_and_hands_stand_by_their_part() {
    let text = printed(&["sheet", example("winter").to_str().unwrap(), "--set", "hall night"]);
    // 60 000 / 92 = 652.2 ms a beat; an eighth is half of it (arithmetic).
    assert!(text.contains("tap tide every 652 ms (eighth = 326 ms)"), "{text}");
    assert!(text.contains("tap gully every 652 ms (dotted eighth = 489 ms)"));
    assert!(text.contains("hold tide depth on left-treadle, heel down to start"));
    assert!(text.contains("[hand] neck pickup"));
    assert!(text.contains("-- pause: change to the hollow guitar"));
    assert!(text.contains("set swing speed to slow") && text.contains("set swing speed to fast"));
    assert!(text.contains("always right to press: 1.5  hush"));
    assert!(text.contains("loop  3  EMB  ember"));
    assert!(!text.contains("club night"));
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
        assert_eq!(line, line.trim_end());
    }
}

#[test]
fn a_tap_without_a_tempo_says_what_is_missing() {
    let (_folder, book) = nasty();
    let text = printed(&["sheet", book.to_str().unwrap()]);
    assert!(text.contains("no time: the song says no tempo"), "{text}");
    assert!(!text.contains("NaN") && !text.contains("inf"));
}

#[test]
fn every_song_of_a_set_in_order_with_its_slots() {
    let compiled = compile(&example("spring"));
    let sheet = sheet::sheet(&compiled, &Wanted::default());
    assert_eq!(sheet.nights.len(), compiled.book.sets.len());
    for (night, set) in sheet.nights.iter().zip(compiled.book.sets_by_name()) {
        let titles = night.entries.iter().filter_map(|e| match e {
            sheet::Entry::Song(song) => Some((&song.title, &song.parts)),
            sheet::Entry::Pause(_) => None,
        });
        let wanted = set.items.iter().filter_map(|i| match i {
            tipring::book::SetItem::Song(n) => Some(&compiled.book.songs[*n]),
            tipring::book::SetItem::Pause(_) => None,
        });
        for ((title, parts), song) in titles.zip(wanted) {
            assert_eq!(*title, song.title);
            for (part, said) in parts.iter().zip(&song.parts) {
                let preset = compiled.presets.iter().find(|p| Some(p.scene) == said.scene).unwrap();
                let range = compiled.book.switcher.as_ref().unwrap().slots.unwrap();
                assert_eq!(part.slot, preset.slot.map_or("-".to_owned(), |s| range.show(s)));
            }
        }
    }
}

#[test]
fn tonight_may_differ_and_unknown_titles_are_told_together() {
    let songs = |list: &str| {
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_tipring"))
            .args(["sheet", example("winter").to_str().unwrap(), "--songs", "-"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        std::io::Write::write_all(&mut child.stdin.take().unwrap(), list.as_bytes()).unwrap();
        child.wait_with_output().unwrap()
    };
    let good = songs("# tonight\nMARL\n\n  candletax \n");
    let text = String::from_utf8(good.stdout).unwrap();
    assert!(text.find(" 1  Marl").unwrap() < text.find(" 2  Candle Tax").unwrap(), "{text}");
    assert!(!text.contains("Peat Clock"));
    let bad = songs("Marll\nCandle Tax\nQuite Unheard Of\n");
    let told = String::from_utf8(bad.stderr).unwrap();
    assert_eq!(bad.status.code(), Some(2));
    assert!(told.contains("line 1 of the list: no song is called `Marll`; did you mean `Marl`?"), "{told}");
    assert!(told.contains("line 3 of the list: no song is called `Quite Unheard Of`"), "{told}");
}

#[test]
fn the_worksheet_names_every_filled_slot_and_cuts_to_the_display() {
    let compiled = compile(&example("winter"));
    let sheet = sheet::sheet(&compiled, &Wanted { program: true, ..Wanted::default() });
    let steps = sheet.program.unwrap();
    assert_eq!(steps.len(), compiled.presets.iter().filter(|p| p.slot.is_some()).count());
    assert!(steps.iter().all(|s| s.name.chars().count() <= 12 && !s.set.is_empty()));
    let summit = steps.iter().find(|s| s.name == "summit").unwrap();
    assert!(summit.set.iter().any(|s| s.contains("PLT in")) && summit.set.iter().any(|s| s.contains("2T closed")));
    let (_folder, book) = nasty();
    let text = printed(&["sheet", book.to_str().unwrap(), "--program"]);
    assert!(text.contains("[ ] [ ]  0A    bed"), "{text}");
    assert!(text.contains(" глубин ") && text.contains("read back from the unit"));
}

#[test]
fn the_player_sees_no_contacts_loops_or_percentages() {
    let compiled = compile(&example("winter"));
    let docs = player::docs(&sheet::sheet(&compiled, &Wanted::default()), 40.0);
    let all = format!("{docs:?}");
    for word in ["%", "remote", "loop", "closed", "expression", "1T"] {
        assert!(!all.contains(word), "{word}");
    }
    // Cinder Aunt plays verse and chorus on one switch: pressed once.
    assert!(all.contains("\"verse, chorus\""));
    assert!(all.contains("tap gully 652 ms") && all.contains("heel down for tide depth"));
}

#[test]
fn drafts_and_dates_are_said() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("broken.scene");
    std::fs::write(&path, crate::tools::NASTY.replace("scene still from bed", "scene still from nowhere")).unwrap();
    let path = path.to_str().unwrap();
    assert_eq!(tipring(&["sheet", path]).status.code(), Some(1));
    assert!(printed(&["sheet", path, "--draft"]).starts_with("DRAFT"));
    assert!(printed(&["sheet", path, "--draft", "--format", "html"]).contains("DRAFT"));
    assert!(printed(&["stage", path, "--draft"]).contains("DRAFT"));
    let winter = example("winter");
    let winter = winter.to_str().unwrap();
    assert!(printed(&["sheet", winter, "--date", "2026-11-20"]).contains("2026-11-20"));
    let dated = std::process::Command::new(env!("CARGO_BIN_EXE_tipring"))
        .args(["sheet", winter])
        .env("SOURCE_DATE_EPOCH", "951782400")
        .output()
        .unwrap();
    assert!(String::from_utf8(dated.stdout).unwrap().contains("2000-02-29"));
}

#[test]
fn the_same_bytes_twice_in_every_form() {
    let winter = example("winter");
    let winter = winter.to_str().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let forms: [&[&str]; 7] = [
        &["sheet", winter, "--program", "-o", "a.txt"],
        &["sheet", winter, "-o", "a.html"],
        &["sheet", winter, "-o", "a.pdf"],
        &["sheet", winter, "--for", "tech", "-o", "t.pdf"],
        &["sheet", winter, "--for", "player", "-o", "p.pdf"],
        &["labels", winter, "-o", "l.pdf"],
        &["stage", winter, "-o", "s.html"],
    ];
    for form in forms {
        let run = || {
            let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_tipring"));
            let done = command.args(form).current_dir(folder.path()).env("SOURCE_DATE_EPOCH", "1").output().unwrap();
            assert!(done.status.success(), "{form:?}");
            std::fs::read(folder.path().join(form[form.len() - 1])).unwrap()
        };
        assert!(run() == run(), "{form:?}");
    }
}

#[test]
fn labels_as_csv_name_loops_and_panel() {
    let csv = printed(&["labels", example("winter").to_str().unwrap()]);
    assert!(csv.starts_with("kind,place,text\n"));
    assert!(csv.contains("\nloop,5,PLT\n") && csv.contains("\npanel,out 3,larch return\n"));
}

#[test]
fn letters_that_no_font_has_are_told_and_a_given_font_is_asked() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("far.scene");
    std::fs::write(&path, crate::tools::NASTY.replace("No parts at all", "渡し舟")).unwrap();
    let pdf = folder.path().join("far.pdf");
    let (path, pdf) = (path.to_str().unwrap(), pdf.to_str().unwrap());
    let output = tipring(&["sheet", path, "-o", pdf]);
    let told = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(told.contains("`渡` (U+6E21) in `渡し舟`") && told.contains("--font FILE"), "{told}");
    assert!(!std::path::Path::new(pdf).exists());
    assert!(printed(&["sheet", path, "--format", "html"]).contains("渡し舟"));
}
