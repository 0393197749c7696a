//! Where output goes: through links, into devices and pipes, into files that keep whose they are.

use std::ffi::OsStr;
use std::fs::{self, File, Permissions};
use std::io::{Read, Write};
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{FileTypeExt, MetadataExt, PermissionsExt, symlink};
use std::path::Path;
use std::process::{Command, Stdio};

use super::{root, strays, tipring, told};

const BOOK: &str = "switcher { loops 1; banks 1..2, switches 1..4 }\npedal   ember { loop 1 }\n\
     scene bed { engage ember }\nsong \"Quay\" { all: bed }\nslots { others auto }\n";

fn wiring() -> Vec<u8> {
    tipring(root(), &["wiring", "examples/winter"]).stdout
}

/// Runs a line of the examples with `-o`.
fn into(path: &Path) -> std::process::Output {
    tipring(root(), &[OsStr::new("wiring"), OsStr::new("examples/winter"), OsStr::new("-o"), path.as_os_str()])
}

fn made(words: &[&str]) -> bool {
    Command::new(words[0]).args(&words[1..]).output().is_ok_and(|out| out.status.success())
}

/// A device of our own where that is allowed, so that a mistake spoils nobody's; else the system's, which is safe from us
/// then.
fn device(folder: &Path, name: &str, minor: &str) -> std::path::PathBuf {
    let own = folder.join(name);
    if made(&["mknod", "-m", "666", own.to_str().unwrap(), "c", "1", minor]) && File::open(&own).is_ok() {
        return own;
    }
    Path::new("/dev").join(name)
}

#[test]
fn a_device_is_written_to_and_never_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let (null, full) = (device(folder.path(), "null", "3"), device(folder.path(), "full", "7"));
    let out = into(&null);
    assert_eq!(out.status.code(), Some(0), "{}", told(&out));
    let out = into(&full);
    assert_eq!(out.status.code(), Some(2));
    assert!(told(&out).contains("cannot write"), "{}", told(&out));
    for device in [null, full] {
        assert!(fs::metadata(&device).unwrap().file_type().is_char_device(), "{} was replaced", device.display());
    }
}

#[test]
fn a_pipe_gets_the_bytes_and_stays_a_pipe() {
    let folder = tempfile::tempdir().unwrap();
    let fifo = folder.path().join("pipe");
    assert!(made(&["mkfifo", fifo.to_str().unwrap()]), "mkfifo");
    let reader = std::thread::spawn({
        let fifo = fifo.clone();
        move || {
            let mut bytes = Vec::new();
            File::open(fifo).unwrap().read_to_end(&mut bytes).unwrap();
            bytes
        }
    });
    let out = into(&fifo);
    if fs::metadata(&fifo).is_ok_and(|m| m.file_type().is_fifo()) {
        assert_eq!(out.status.code(), Some(0), "{}", told(&out));
        assert_eq!(reader.join().unwrap(), wiring());
    } else {
        panic!("the pipe was replaced");
    }
}

#[test]
fn what_a_shell_puts_behind_a_name_gets_the_bytes() {
    if !made(&["bash", "-c", ": > >(cat)"]) {
        assert!(std::env::var_os("TIPRING_FULL").is_none(), "bash is needed");
        return println!("skipped: no bash");
    }
    let folder = tempfile::tempdir().unwrap();
    let shell = |script: &str| {
        let mut shell = Command::new("bash");
        shell.arg("-c").arg(script).env("T", env!("CARGO_BIN_EXE_tipring")).env("W", root().join("examples/winter"));
        shell.current_dir(folder.path()).output().unwrap()
    };
    let out = shell(
        "set -e; \"$T\" wiring \"$W\" -o >(cat > substituted; touch done); until test -e done; do sleep 0.02; done",
    );
    assert!(out.status.success(), "{}", told(&out));
    assert_eq!(fs::read(folder.path().join("substituted")).unwrap(), wiring());
    // What stands in the file already is not written over: it is standard output under another name.
    let out = shell("(echo head; \"$T\" wiring \"$W\" -o /dev/stdout; echo tail) > all");
    assert!(out.status.success(), "{}", told(&out));
    let all = fs::read(folder.path().join("all")).unwrap();
    assert!(all == [b"head\n", wiring().as_slice(), b"tail\n"].concat(), "{} {}", all.len(), told(&out));
    let out = shell("\"$T\" wiring \"$W\" -o /dev/stdout | cat");
    assert!(out.stdout == wiring(), "{}", told(&out));
}

#[test]
fn a_link_stays_and_what_it_leads_to_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let (deep, at) = (folder.path().join("deep"), |name: &str| folder.path().join(name));
    fs::create_dir(&deep).unwrap();
    let link = |to: &str, name: &str| symlink(to, at(name)).unwrap();
    link("deep/real.scene", "second.scene");
    link("second.scene", "book.scene");
    link("deep/sheet.txt", "out.txt");
    for words in [&["fmt", "book.scene"][..], &["slots", "book.scene", "--pin"], &["check", "book.scene", "--fix"]] {
        let text = if words[0] == "check" { BOOK.replace("loop 1 }", "loop 1; input 500k }") } else { BOOK.to_owned() };
        fs::write(deep.join("real.scene"), &text).unwrap();
        let out = tipring(folder.path(), words);
        assert_eq!(out.status.code(), Some(0), "{words:?}: {}", told(&out));
        assert_ne!(fs::read_to_string(deep.join("real.scene")).unwrap(), text, "{words:?}");
        for name in ["book.scene", "second.scene"] {
            assert!(fs::symlink_metadata(at(name)).unwrap().is_symlink(), "{words:?}: {name}");
        }
    }
    // Also where the link leads to nothing yet.
    for _ in 0..2 {
        let out = into(&at("out.txt"));
        assert_eq!(out.status.code(), Some(0), "{}", told(&out));
        assert!(fs::symlink_metadata(at("out.txt")).unwrap().is_symlink());
        assert_eq!(fs::read(deep.join("sheet.txt")).unwrap(), wiring());
    }
    link("circle", "circle");
    assert_eq!(into(&at("circle")).status.code(), Some(2));
    assert_eq!(strays(folder.path()) + strays(&deep), 0);
}

#[test]
fn owner_mode_and_mask_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.scene");
    fs::write(&file, BOOK).unwrap();
    // Who may give files away is root.
    let other = std::os::unix::fs::chown(&file, Some(12345), Some(23456)).is_ok();
    for mode in [0o600, 0o640, 0o664, 0o666, 0o755] {
        fs::write(&file, BOOK).unwrap();
        fs::set_permissions(&file, Permissions::from_mode(mode)).unwrap();
        let before = fs::metadata(&file).unwrap();
        assert_eq!(tipring(folder.path(), &["fmt", "book.scene"]).status.code(), Some(0));
        let after = fs::metadata(&file).unwrap();
        assert_ne!(fs::read_to_string(&file).unwrap(), BOOK);
        assert_eq!((after.mode() & 0o7777, after.uid(), after.gid()), (mode, before.uid(), before.gid()));
    }
    println!("owner {}", if other { "of somebody else" } else { "our own: no right to give a file away" });
    for (mask, mode) in [("077", 0o600), ("022", 0o644), ("002", 0o664)] {
        let new = folder.path().join(format!("new-{mask}.txt"));
        let script = format!("umask {mask}; exec \"$0\" wiring examples/winter -o \"$1\"");
        let mut shell = Command::new("sh");
        shell.args(["-c", &script, env!("CARGO_BIN_EXE_tipring")]).arg(&new).current_dir(root());
        assert!(shell.status().unwrap().success());
        assert_eq!(fs::metadata(&new).unwrap().mode() & 0o7777, mode, "umask {mask}");
    }
}

#[test]
fn what_must_not_be_written_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.scene");
    fs::write(&file, BOOK).unwrap();
    fs::set_permissions(&file, Permissions::from_mode(0o444)).unwrap();
    for words in [&["fmt", "book.scene"][..], &["slots", "book.scene", "--pin"]] {
        let out = tipring(folder.path(), words);
        assert_eq!(out.status.code(), Some(2), "{words:?}");
        assert!(told(&out).contains("book.scene: it is read-only"), "{words:?}: {}", told(&out));
    }
    let sheet = folder.path().join("kept.txt");
    fs::write(&sheet, "kept").unwrap();
    fs::set_permissions(&sheet, Permissions::from_mode(0o444)).unwrap();
    assert_eq!(into(&sheet).status.code(), Some(2));
    assert_eq!((fs::read_to_string(&file).unwrap().as_str(), fs::read(&sheet).unwrap()), (BOOK, b"kept".to_vec()));

    let out = into(&folder.path().join("no/such/x.txt"));
    assert!(out.status.code() == Some(2) && told(&out).contains("make the folder"), "{}", told(&out));
    assert_eq!(into(folder.path()).status.code(), Some(2));
    assert_eq!(strays(folder.path()), 0);
}

#[test]
fn names_are_taken_as_they_are() {
    let folder = tempfile::tempdir().unwrap();
    let names: [&[u8]; 3] = [b"a\\b.scene", b"caf\xe9.scene", b"\xff\\\xfe.scene"];
    for name in names {
        let file = folder.path().join(OsStr::from_bytes(name));
        for words in [&["fmt", "."][..], &["slots", ".", "--pin"], &["check", ".", "--fix"]] {
            let text =
                if words[0] == "check" { BOOK.replace("loop 1 }", "loop 1; input 500k }") } else { BOOK.to_owned() };
            fs::write(&file, &text).unwrap();
            let out = tipring(folder.path(), words);
            assert_eq!(out.status.code(), Some(0), "{name:?} {words:?}: {}", told(&out));
            assert_ne!(fs::read_to_string(&file).unwrap(), text, "{name:?} {words:?}");
            let there: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
            assert_eq!(there, [OsStr::from_bytes(name)], "{words:?}");
        }
        fs::remove_file(&file).unwrap();
    }
    let file = folder.path().join(OsStr::from_bytes(b"\xff\\.txt"));
    assert_eq!(into(&file).status.code(), Some(0));
    assert_eq!(fs::read(file).unwrap(), wiring());
}

#[test]
fn a_second_output_is_one_of_its_own() {
    let folder = tempfile::tempdir().unwrap();
    let winter = root().join("examples/winter");
    let sheet = |words: &[&str]| {
        tipring(folder.path(), &[&["sheet", winter.to_str().unwrap(), "--set", "club night"], words].concat())
    };
    let page = sheet(&["--stage", "page.html", "-o", "sheet.txt"]);
    assert_eq!((page.status.code(), page.stdout.len()), (Some(0), 0), "{}", told(&page));
    let page = fs::read(folder.path().join("page.html")).unwrap();
    assert_eq!(sheet(&["--stage", "-", "-o", "sheet.txt"]).stdout, page);
    assert!(!folder.path().join("-").exists());
    fs::create_dir(folder.path().join("sub")).unwrap();
    symlink("page.html", folder.path().join("link.html")).unwrap();
    let before = fs::read(folder.path().join("page.html")).unwrap();
    for (stage, out) in
        [("x.html", "x.html"), ("x.html", "./x.html"), ("sub/../x.html", "x.html"), ("page.html", "link.html")]
    {
        let both = sheet(&["--stage", stage, "-o", out]);
        assert_eq!(both.status.code(), Some(2), "{stage} {out}");
        assert!(told(&both).contains("cannot both be written"), "{}", told(&both));
    }
    assert!(!folder.path().join("x.html").exists());
    assert_eq!(fs::read(folder.path().join("page.html")).unwrap(), before);
    assert_eq!(sheet(&["--stage", "-"]).status.code(), Some(2));
    assert_eq!(sheet(&["--stage", "page.pdf", "-o", "sheet.txt"]).status.code(), Some(2));
}

#[test]
fn a_list_that_is_read_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let winter = root().join("examples/winter");
    let list = folder.path().join("tonight.txt");
    fs::write(&list, "Ferry Without Bells\n").unwrap();
    let out =
        tipring(folder.path(), &["sheet", winter.to_str().unwrap(), "--songs", "tonight.txt", "-o", "./tonight.txt"]);
    assert!(out.status.code() == Some(2) && told(&out).contains("it is not written over"), "{}", told(&out));
    assert_eq!(fs::read_to_string(list).unwrap(), "Ferry Without Bells\n");
}

#[test]
fn a_folder_that_holds_a_book_is_not_started_anew() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("songs.scene"), BOOK).unwrap();
    let out = tipring(folder.path(), &["new", "."]);
    assert_eq!(out.status.code(), Some(2));
    assert!(told(&out).contains("holds a book already"), "{}", told(&out));
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    assert_eq!(tipring(folder.path(), &["new", "tour"]).status.code(), Some(0));
    assert_eq!(tipring(folder.path(), &["new", "tour"]).status.code(), Some(2));
}

/// Standard input ends only when the editor has saved: what was read before that is older.
#[test]
fn what_an_editor_saves_meanwhile_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.scene");
    let saved = BOOK.replace("bed", "moss");
    let (mut noticed, mut renamed) = (0, 0);
    for round in 0..20 {
        fs::write(&file, BOOK).unwrap();
        let mut run = Command::new(env!("CARGO_BIN_EXE_tipring"));
        run.args(["fmt", "book.scene", "-"]).current_dir(folder.path());
        let mut child = run.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        // It has read the file when it waits for input: a text larger than a pipe holds does not go in before.
        let long = "# reed\n".repeat(40_000);
        let mut input = child.stdin.take().unwrap();
        input.write_all(long.as_bytes()).unwrap();
        if round % 2 == 0 {
            fs::write(&file, &saved).unwrap();
        } else {
            fs::write(folder.path().join("new"), &saved).unwrap();
            fs::rename(folder.path().join("new"), &file).unwrap();
            renamed += 1;
        }
        drop(input);
        let out = child.wait_with_output().unwrap();
        assert_eq!(out.status.code(), Some(2), "{}", told(&out));
        assert!(told(&out).contains("changed by somebody else meanwhile: nothing was written"), "{}", told(&out));
        assert_eq!(fs::read_to_string(&file).unwrap(), saved);
        noticed += 1;
    }
    println!("{noticed} saves noticed, {renamed} of them by a rename");
    assert_eq!(strays(folder.path()), 0);
}
