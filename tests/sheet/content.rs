//! What the sheets say.

use std::process::Stdio;

use crate::tools::{compile, example, nasty, printed, tipring};
use tipring::print::doc::Block;
use tipring::print::sheet::{self, Entry, Wanted, large, tech};

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
    assert_eq!(sheet.nights.len(), compiled.book.show.sets.len());
    let range = compiled.book.board.switcher.as_ref().unwrap().slots.unwrap();
    let walk = compiled.walk();
    for ((night, set), walked) in sheet.nights.iter().zip(compiled.book.show.sets_by_name()).zip(&walk.runs) {
        assert_eq!(walked.run.title(&compiled.book), set.title);
        let mut changes = walked.changes.iter();
        let titles = night.entries.iter().filter_map(|e| match e {
            sheet::Entry::Song(song) => Some((&song.title, &song.parts)),
            sheet::Entry::Pause(_) | sheet::Entry::Encore => None,
        });
        let wanted = set.items.iter().filter_map(|i| i.song()).map(|n| compiled.book.show.songs.get(n).unwrap());
        for ((title, parts), song) in titles.zip(wanted) {
            assert_eq!(*title, song.title);
            for (part, said) in parts.iter().zip(&song.parts) {
                // A scene may stand in several slots: the sheet names the one that the walk goes to.
                let to = changes.next().unwrap().to;
                assert_eq!(Some(to.scene), said.scene);
                assert_eq!(part.slot, range.show(to.slot.unwrap()));
                assert!(compiled.presets.iter().any(|p| p.scene == to.scene && p.slot == to.slot));
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
    let steps = sheet.program.unwrap().steps;
    // Slots of one scene are programmed once, and copied.
    let copied = steps.iter().filter(|s| s.copy.is_some()).count();
    assert!(copied > 0 && steps.len() < compiled.presets.iter().filter(|p| p.slot.is_some()).count());
    assert!(steps.iter().all(|s| s.name.chars().count() <= 12 && !s.set.is_empty()));
    let summit = steps.iter().find(|s| s.name == "summit").unwrap();
    assert!(summit.set.iter().any(|s| s.contains("HSP in")) && summit.set.iter().any(|s| s.contains("2T closed")));
    let (_folder, book) = nasty();
    let text = printed(&["sheet", book.to_str().unwrap(), "--program"]);
    assert!(text.contains("[ ] [ ]  0A    bed"), "{text}");
    assert!(text.contains(" глубин ") && text.contains("read back from the unit"));
}

#[test]
fn the_worksheet_is_for_the_tech_in_every_format() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.scene");
    let text = "switcher { loops 1; remote jacks 1; expressions 1 of 256 steps; outputs 1; banks 1..3, switches A..B }\n\
        pedal moss { loop 1; control voice on remote 1 tip { dark: open; bright: closed }\n\
          level air on expression 1 from 0 % to 100 %; control room on midi 2 programs from 1 { small: program 1; wide: program 9 } }\n\
        default { moss.voice bright; moss.air 20 %; moss.room wide }\nscene bed { engage moss }\nscene hush { }\n\
        song \"Quay\" { bed; hush }\nslots { 1A bed; every bank switch B hush }\n";
    std::fs::write(&path, text).unwrap();
    let book = path.to_str().unwrap();
    for format in ["text", "md", "html"] {
        let out = printed(&["sheet", book, "--for", "tech", "--program", "--format", format]);
        let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
        for says in [
            "every contact open, every expression at 0 %, nothing sent",
            "MSS in",
            "1T closed (moss voice bright)",
            "X1 at 20 % = step 51 of 0..255",
            "midi 2: moss room wide = program 9 (C1 08)",
            "copy 1B to all B",
        ] {
            assert!(out.contains(says), "{format}: {says}\n{out}");
        }
    }
}

#[test]
fn the_player_sees_no_contacts_loops_or_percentages() {
    let compiled = compile(&example("winter"));
    let docs = large::docs(&sheet::sheet(&compiled, &Wanted::default()), 40.0, false);
    let all = format!("{docs:?}");
    for word in ["%", "remote", "loop", "closed", "expression", "1T"] {
        assert!(!all.contains(word), "{word}");
    }
    // Cinder Aunt plays verse and chorus on one switch: pressed once.
    assert!(all.contains("\"verse, chorus\""));
    assert!(all.contains("tap gully: dotted eighths at 92") && all.contains("put left-treadle heel down"));
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
    let forms: [&[&str]; 8] = [
        &["sheet", winter, "--program", "-o", "a.txt"],
        &["sheet", winter, "-o", "a.html"],
        &["sheet", winter, "-o", "a.pdf"],
        &["sheet", winter, "--for", "tech", "-o", "t.pdf"],
        &["sheet", winter, "--for", "player", "-o", "p.pdf"],
        &["sheet", winter, "--for", "player", "--pages", "large", "-o", "large.pdf"],
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
fn a_file_is_never_called_what_it_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let winter = example("winter");
    for (command, name) in [("wiring", "w.json"), ("buildcheck", "b.yaml"), ("table", "t.pdf")] {
        let path = folder.path().join(name);
        let done = tipring(&[command, winter.to_str().unwrap(), "-o", path.to_str().unwrap()]);
        assert_eq!(done.status.code(), Some(2), "{command}");
        assert!(String::from_utf8(done.stderr).unwrap().contains("the ending must be .txt"));
        assert!(!path.exists());
    }
}

#[test]
fn labels_as_csv_name_loops_and_panel() {
    let csv = printed(&["labels", example("winter").to_str().unwrap()]);
    assert!(csv.starts_with("kind,place,text\n"));
    assert!(csv.contains("\nloop,5,HSP\n") && csv.contains("\npanel,out 3,larch return\n"));
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
    assert!(told.contains("`渡` (U+6E21) in `3. 渡し舟`") && told.contains("--font FILE"), "{told}");
    assert!(!std::path::Path::new(pdf).exists());
    assert!(printed(&["sheet", path, "--format", "html"]).contains("渡し舟"));
}

/// A box with what a hand or a foot must do stands before the title, and the switches behind it, in playing order.
#[test]
fn the_players_song_is_boxed_acts_then_bank_and_title_then_switches() {
    let compiled = compile(&example("winter"));
    let sheet = sheet::sheet(&compiled, &Wanted::default());
    let mut boxed = 0;
    for (doc, night) in large::docs(&sheet, 40.0, false).iter().zip(&sheet.nights) {
        let songs = doc.blocks.iter().filter_map(|b| match b {
            Block::Together(inner) if inner.iter().any(|b| matches!(b, Block::Chips(_))) => Some(inner),
            _ => None,
        });
        let mut songs = songs;
        let mut pause = None;
        for entry in &night.entries {
            let song = match entry {
                Entry::Pause(says) => {
                    pause = Some(says);
                    continue;
                }
                Entry::Encore => continue,
                Entry::Song(song) => song,
            };
            let mut inner = songs.next().unwrap().iter();
            let acts = song.parts.iter().flat_map(|p| &p.acts).filter(|a| a.kind != sheet::ActKind::Note).count();
            if acts > 0 || !song.changes.is_empty() || pause.is_some() {
                let Some(Block::Notice(lines)) = inner.next() else { panic!("{}: nothing boxed", song.title) };
                let verbs = ["take ", "tune ", "tap ", "put ", "hold ", "set "];
                let own = lines.iter().skip(usize::from(pause.is_some()));
                own.for_each(|l| assert!(verbs.iter().any(|v| l.starts_with(v)), "{}: {l}", song.title));
                assert!(pause.is_none_or(|p| &lines[0] == p));
                boxed += 1;
            }
            pause = None;
            let bank = &song.parts[0].at.as_ref().unwrap().0;
            let Some(Block::Heading { mark, text, .. }) = inner.next() else { panic!("{}: no title", song.title) };
            assert_eq!((mark, text), (bank, &song.title));
            let Some(Block::Chips(chips)) = inner.next() else { panic!("{}: no switches", song.title) };
            // Unfolded, the switches are those of the parts.
            let pressed = chips.iter().flat_map(|c| c.text.split(", ").map(|label| (label, c.key.as_str(), c.held)));
            let wanted = song.parts.iter().map(|p| {
                let (b, switch) = p.at.as_ref().unwrap();
                (p.label.as_str(), if b == bank { switch } else { &p.slot }.as_str(), p.held)
            });
            assert_eq!(pressed.collect::<Vec<_>>(), wanted.collect::<Vec<_>>());
            assert!(chips.windows(2).all(|two| two[0].key != two[1].key || two[0].held != two[1].held));
        }
    }
    assert!(boxed > 30, "{boxed}");
}

#[test]
fn a_set_that_does_not_fit_takes_another_page_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("p.pdf");
    let winter = example("winter");
    let run = |more: &[&str]| {
        let mut args = vec![
            "sheet",
            winter.to_str().unwrap(),
            "--set",
            "seated night",
            "--for",
            "player",
            "--pages=large",
            "-o",
            path.to_str().unwrap(),
        ];
        args.extend(more);
        let done = tipring(&args);
        assert!(done.status.success());
        let bytes = std::fs::read(&path).unwrap();
        let count = bytes.windows(12).filter(|w| w.starts_with(b"/Type/Page") && w[10] != b's').count();
        // One more is for the lid.
        (String::from_utf8(done.stderr).unwrap(), count - 1)
    };
    let (said, far) = run(&[]);
    assert!(said.contains(&format!("`seated night` takes {far} pages: capitals of 9.9 mm")), "{said}, {far}");
    assert!(said.contains("nothing is shrunk to fit"));
    let (said, small) = run(&["--small"]);
    assert!(said.contains(&format!("takes {small} pages: capitals of 7.4 mm")) && small < far, "{said}");
    // Read from the hand it fits one page, and nothing needs to be said.
    assert_eq!(run(&["--distance", "0.4m"]), (String::new(), 1));
}

#[test]
fn the_techs_sheet_says_what_was_checked_and_what_lacked_a_value() {
    let says = |compiled: &tipring::Compiled| {
        let wanted = Wanted { date: Some("2026-11-20".to_owned()), ..Wanted::default() };
        format!("{:?}", tech::doc(compiled, &sheet::sheet(compiled, &wanted)))
    };
    let winter = says(&compile(&example("winter")));
    let headings = [
        "cautions",
        "after power-up, and back in step",
        "loop map and labels",
        "remotes: what each contact does",
        "outputs",
        "knobs",
        "truth tables, bank by bank",
        "what moves: hall night",
        "warnings met on purpose",
        "what was checked",
    ];
    for heading in headings {
        assert!(winter.contains(&format!("text: {heading:?}")), "{heading}");
    }
    for wanted in [
        "drive 2:30, tone 12:30",
        "closed: round, open: sharp",
        "hasp own switch",
        "see that it is on",
        "for requests",
        "lethal voltage",
        "2026-11-20",
        "source ",
        "the unit stands at ",
    ] {
        assert!(winter.contains(wanted), "{wanted}");
    }
    assert!(winter.contains("treble-lost, trim-misplaced, tuner-misplaced, tuning-unsaid, two-feet-at-once"));
    assert!(!winter.contains("no supply is described") && !winter.contains("how the knobs must stand"));
    let (_folder, nasty) = nasty();
    let nasty = says(&compile(&nasty));
    assert!(nasty.contains("level-step, missing-value, treble-lost: no guitar says how its pickup sounds"));
    assert!(nasty.contains("polarity-wrong, power-unsaid, supply-overdrawn, voltage-wrong: no supply is described"));
    assert!(
        !nasty.contains("treble-lost, tuner-misplaced, two-feet-at-once"),
        "what did not run is not among what ran"
    );
    // A book that is meant to be computed, and lacks a value.
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("lacks.scene");
    let book = "switcher { loops 1; outputs 1; banks 1..1, switches 1..2 }\n\
        guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }\n\
        pedal ember { loop 1; input 1 Mohm; output 1 kohm }\n\
        amp larch { fed by output 1; input 1 Mohm }\n\
        chain front: guitar -> loop 1 -> output 1 -> larch\n\
        patch leads 30 cm at 100 pF/m\n\
        scene bed { engage ember }\nsong \"Quay\" on plank { bed }\n";
    std::fs::write(&path, book).unwrap();
    assert!(says(&compile(&path)).contains("treble-lost: `ember` has no gain stated"));
}

#[test]
fn a_font_that_is_given_prints_what_the_others_lack() {
    // Armenian stands for all scripts that the embedded font lacks.
    let word = "Լճակ";
    let mut folders = vec![std::path::PathBuf::from("/usr/share/fonts")];
    let mut found = None;
    while let Some(folder) = folders.pop() {
        for path in std::fs::read_dir(folder).into_iter().flatten().map(|e| e.unwrap().path()) {
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "ttf") {
                let bytes = std::fs::read(&path).unwrap();
                let has = tipring::print::page::Fonts::new(Some(&bytes)).is_ok_and(|f| f.lacks(word).is_none());
                found = if has { Some(path) } else { found };
            }
        }
    }
    let Some(font) = found else { return crate::tools::skipped("a font with Armenian letters") };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("far.scene");
    std::fs::write(&path, crate::tools::NASTY.replace("No parts at all", word)).unwrap();
    let pdf = folder.path().join("far.pdf");
    let (path, pdf) = (path.to_str().unwrap(), pdf.to_str().unwrap());
    let done = tipring(&["sheet", path, "-o", pdf, "--font", font.to_str().unwrap()]);
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let Some(text) = crate::tools::outside("pdftotext", &[pdf, "-"]) else { return };
    assert!(text.contains(word) && text.contains("Ελληνικά"), "{text}");
}

/// What nobody presses stands in no box, and a song begins with what is right from where the foot stands and from elsewhere.
#[test]
fn after_a_break_the_whole_way_and_what_nobody_presses_in_no_box() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("rows.scene");
    let text = "switcher { loops 2; outputs 1; banks 1..1, switches 1..4; repress ignored; answers midi 1 programs from 1\n\
        inside: switches 5..6, toggles 1, rows 2 }\npedal ember { loop 1 }\npedal moth { loop 2 }\n\
        scene bed { switch 5 toggles moth; again solo }\nscene solo { engage ember, moth }\nscene hush { mute }\n\
        scene calm { switch 5 toggles ember }\n\
        song \"Quay\" { verse: bed; chorus: bed, press 5; solo }\nsong \"Reel\" { in: solo; low: bed }\n\
        song \"Still\" { in: bed; out: calm, press 5 }\nsong \"Mole\" { in: calm, press 5; off: calm }\n\
        song \"Pier\" { in: calm; called from outside; out: bed, press 5, by foot }\nsong \"Weir\" { in: bed, press 5; out: solo }\n\
        set \"n\" { \"Quay\"; pause \"tune\"; \"Reel\"; \"Still\"; \"Mole\"; \"Pier\"; \"Weir\" }\n\
        slots { 1.1 bed; 1.2 calm; 1.3 hush }\nsafe 1.3\n";
    std::fs::write(&book, text).unwrap();
    let book = book.to_str().unwrap();
    let lines = [
        "[1] verse  [5 on] chorus  [1 again] solo",
        "[1, 1 again] in  [1] low",
        "(1 stays; from elsewhere 1) in  [2, 5 on] out",
        "(2 stays; from elsewhere 2, 5 on) in  [5 off] off",
        "(2 called) in  [1, 5 on] out",
        "(1 stays; from elsewhere 1, 5 on) in  [1 again] out",
    ];
    let told = printed(&["sheet", book, "--for", "player", "--set", "n"]);
    for line in lines {
        assert!(told.contains(&format!("\n{line}\n")), "{line}: {told}");
    }
    assert!(
        printed(&["sheet", book, "--for", "player", "--set", "n", "--format", "md"])
            .contains("(2 called) in · **1, 5 on** out")
    );
    // Where a row sends pulses nobody goes round by the first one: it was not proved that the amplifier stands as it should.
    let pulses = "switcher { outputs 1; remote jacks 1; banks 1..1, switches 1..4; repress ignored; wakes 1.2; inside: rows 2 }\n\
        amp larch { fed by output 1; control channel on remote 1 tip momentary { clean; lead } starts clean }\n\
        scene bed { larch.channel clean; again solo }\nscene solo { larch.channel lead }\nscene calm { larch.channel clean }\n\
        song \"Quay\" { verse: solo }\nsong \"Reel\" { in: solo }\nset \"n\" { \"Quay\"; \"Reel\" }\n";
    let other = folder.path().join("pulses.scene");
    std::fs::write(&other, pulses).unwrap();
    let told = printed(&["sheet", other.to_str().unwrap(), "--for", "player", "--set", "n"]);
    assert!(
        told.contains("\n[1, 1 again] verse\n") && told.contains("\n(1 stays; from elsewhere 1, 1 again) in\n"),
        "{told}"
    );
    // A switch that is tried in the break may stand in either row: from another slot all of that is right.
    let tried = "who tries a switch with two rows in a break presses another switch after it";
    let squeezed = |told: &str| told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(squeezed(&printed(&["sheet", book, "--for", "player", "--set", "n"])).contains(tried));
    assert!(!printed(&["sheet", example("winter").to_str().unwrap(), "--for", "player"]).contains("two rows"));
    // Who has no script reads the same.
    let page = folder.path().join("stage.html");
    printed(&["stage", book, "-o", page.to_str().unwrap()]);
    let page = std::fs::read_to_string(page).unwrap();
    assert!(page.contains("<li>Reel, bank 1: [1, 1 again] in [1] low</li>"), "{page}");
    assert!(page.contains("<li>Pier, bank 1: (2 called) in [1, 5 on] out</li>"), "{page}");
}
