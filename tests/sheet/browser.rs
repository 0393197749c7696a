//! The HTML as a real browser shows it.

use std::path::Path;
use std::process::Command;

use crate::tools::{compile, example, nasty, skipped, tipring};
use tipring::print::sheet::{self, Entry, Wanted, large, reading};
use tipring::print::{doc, stage};

#[test]
fn a_browser_shows_the_sheets() {
    let Some(modules) = modules() else { return };
    let folder = tempfile::tempdir().unwrap();
    let (_kept, nasty) = nasty();
    let winter = example("winter");
    let (winter, nasty_path) = (winter.to_str().unwrap(), nasty.to_str().unwrap());
    let cases: [(&str, &[&str]); 6] = [
        ("reading.html", &["sheet", nasty_path, "--program"]),
        ("player.html", &["sheet", nasty_path, "--for", "player"]),
        ("tech.html", &["sheet", winter, "--for", "tech"]),
        ("winter.html", &["sheet", winter]),
        ("stage.html", &["stage", winter, "--set", "hall night"]),
        ("nasty-stage.html", &["stage", nasty_path]),
    ];
    for (name, args) in cases {
        let path = folder.path().join(name);
        let mut all = args.to_vec();
        all.extend(["-o", path.to_str().unwrap()]);
        assert!(tipring(&all).status.success(), "{args:?}");
    }
    // The language has no sign for a quotation mark in a text; the writers must not rely on that.
    let mut quoted = sheet::sheet(&compile(Path::new(nasty_path)), &Wanted::default());
    let name = "\"&</script><!-- \"><img src=x onerror=alert(1)>".to_owned();
    quoted.board.clone_from(&name);
    for night in &mut quoted.nights {
        night.title.clone_from(&name);
        for entry in &mut night.entries {
            let Entry::Song(song) = entry else { continue };
            song.title.clone_from(&name);
            song.parts.iter_mut().for_each(|p| p.label.clone_from(&name));
        }
    }
    let mut docs = large::docs(&quoted, 20.0, false);
    docs.push(reading::doc(&quoted));
    std::fs::write(folder.path().join("quoted.html"), doc::html::write(&docs, "")).unwrap();
    let compiled = compile(Path::new(nasty_path));
    let mut shown = stage::show(&compiled, &sheet::sheet(&compiled, &Wanted::default()), false);
    shown.book.clone_from(&name);
    shown.sets.iter_mut().for_each(|set| set.title.clone_from(&name));
    for song in &mut shown.songs {
        song.title.clone_from(&name);
        song.parts.iter_mut().for_each(|p| p.label.clone_from(&name));
    }
    std::fs::write(folder.path().join("quoted-stage.html"), stage::write(&shown)).unwrap();
    std::fs::write(folder.path().join("quoted.json"), serde_json::to_string(&name).unwrap()).unwrap();
    drive(&modules, "browser.cjs", folder.path());
}

/// Where the outside modules are; none when something is missing.
pub(crate) fn modules() -> Option<String> {
    let modules = std::env::var("TIPRING_NPM")
        .unwrap_or_else(|_| concat!(env!("CARGO_MANIFEST_DIR"), "/target/npm/node_modules").to_owned());
    let there = |program: &str| Command::new(program).arg("--version").output().is_ok_and(|o| o.status.success());
    if !there("node") || !there("chromium") || !Path::new(&modules).join("puppeteer-core").exists() {
        skipped("node with puppeteer-core and axe-core, or chromium,");
        return None;
    }
    Some(modules)
}

/// Runs a script in a browser over the files of a folder.
pub(crate) fn drive(modules: &str, script: &str, folder: &Path) {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sheet").join(script);
    let done = Command::new("node").arg(script).arg(folder).env("NODE_PATH", modules).output().unwrap();
    let says = String::from_utf8_lossy(&done.stdout).into_owned() + &String::from_utf8_lossy(&done.stderr);
    assert!(done.status.success(), "{says}");
    eprintln!("{says}");
    assert!(says.contains("all held"), "{says}");
}
