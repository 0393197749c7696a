//! What a book may reach: its own folder, whatever way leads there; more only with `--outside`.
#![cfg(unix)]

use std::fs;
use std::os::unix::fs::symlink;

use crate::{BOARD, SONGS, folder, tipring};

const SECRET: &str = "mulberry cellar 1187\n";

fn songs() -> String {
    format!("use \"board.scene\"\n{SONGS}")
}

#[test]
fn a_path_on_the_command_line_is_a_path() {
    let dir = folder(&[("book/board.scene", BOARD), ("book/songs.scene", &songs()), ("here/x.scene", BOARD)]);
    let (book, here) = (dir.path().join("book"), dir.path().join("here"));
    let whole = book.to_string_lossy().into_owned();
    let file = book.join("songs.scene").to_string_lossy().into_owned();
    for (path, from) in [
        ("../book", &here),
        ("../book/", &here),
        ("../here/../book/songs.scene", &here),
        ("../book/songs.scene", &here),
        (".", &book),
        ("./", &book),
        ("songs.scene", &book),
        ("./songs.scene", &book),
        ("../book/./songs.scene", &book),
        ("..//book", &book),
        (whole.as_str(), &here),
        (file.as_str(), &here),
    ] {
        let (code, out, told) = tipring(&["check", path], from);
        assert_eq!((code, out.as_str()), (Some(0), "1 scene, 1 song, 0 sets: nothing wrong\n"), "{path}: {told}");
        let (code, _, told) = tipring(&["check", path, "--fix"], from);
        assert_eq!(code, Some(0), "{path}: {told}");
    }
}

#[test]
fn a_use_that_leaves_the_folder_needs_outside() {
    for text in ["../board.scene", "sub/../../board.scene", "../book/../board.scene"] {
        let songs = format!("use \"{text}\"\n{SONGS}");
        let dir = folder(&[("board.scene", BOARD), ("book/songs.scene", &songs), ("book/sub/x", "")]);
        for (path, from) in [("book", "."), (".", "book"), ("songs.scene", "book"), ("../book/songs.scene", "book")] {
            let from = dir.path().join(from);
            let (code, out, _) = tipring(&["check", path], &from);
            assert!(code == Some(1) && out.contains("file-outside"), "{text} from {path}: {out}");
            let (code, out, told) = tipring(&["check", path, "--outside"], &from);
            assert_eq!(code, Some(0), "{text} from {path}: {out}{told}");
        }
    }
    // A folder whose name only begins alike is another one.
    let songs = format!("use \"../book-two/board.scene\"\n{SONGS}");
    let dir = folder(&[("book-two/board.scene", BOARD), ("book/songs.scene", &songs)]);
    let (code, out, _) = tipring(&["check", "book"], dir.path());
    assert!(code == Some(1) && out.contains("file-outside"), "{out}");
}

#[test]
fn a_link_out_of_the_folder_needs_outside_and_shows_nothing() {
    let dir = folder(&[("elsewhere/secret", SECRET), ("book/songs.scene", "use \"link.scene\"\nuse \"sub/secret\"\n")]);
    symlink("../elsewhere/secret", dir.path().join("book/link.scene")).unwrap();
    symlink("../elsewhere", dir.path().join("book/sub")).unwrap();
    for path in ["book/songs.scene", "book"] {
        for format in ["text", "json", "sarif"] {
            let (code, out, told) = tipring(&["check", path, "--format", format], dir.path());
            assert!(code == Some(1) && out.contains("file-outside"), "{path}: {out}{told}");
            assert!(!out.contains("mulberry") && !told.contains("mulberry"), "{path} shows it: {out}{told}");
        }
        let (_, out, _) = tipring(&["check", path, "--outside"], dir.path());
        assert!(out.contains("mulberry"), "{path}: with `--outside` it is read: {out}");
    }
    // A folder's own link is told by its name.
    let (_, out, _) = tipring(&["check", "book"], dir.path());
    assert!(out.contains("`link.scene` lies outside the folder of the book"), "{out}");
    let (code, _, told) = tipring(&["fmt", "book"], dir.path());
    assert!(code == Some(1) && told.contains("book/link.scene: left as it is"), "{told}");
    assert_eq!(fs::read_to_string(dir.path().join("elsewhere/secret")).unwrap(), SECRET);
}

#[test]
fn a_link_inside_the_folder_is_the_file_it_leads_to() {
    let dir = folder(&[("book/board.scene", BOARD), ("book/songs.scene", "use \"link.scene\"\n")]);
    symlink("board.scene", dir.path().join("book/link.scene")).unwrap();
    fs::write(dir.path().join("book/songs.scene"), format!("use \"link.scene\"\n{SONGS}")).unwrap();
    // Read once, although the folder names it twice.
    for path in ["book", "book/songs.scene"] {
        let (code, out, told) = tipring(&["check", path], dir.path());
        assert_eq!((code, out.as_str()), (Some(0), "1 scene, 1 song, 0 sets: nothing wrong\n"), "{path}: {told}");
    }
}

#[test]
fn a_book_may_itself_be_a_link() {
    let dir = folder(&[("store/board.scene", BOARD), ("store/songs.scene", &songs()), ("desk/x", "")]);
    let at = |name: &str| dir.path().join(name);
    symlink("../store", at("desk/tonight")).unwrap();
    symlink("../store/songs.scene", at("desk/tonight.scene")).unwrap();
    for path in ["desk/tonight", "desk/tonight/", "desk/tonight/songs.scene", "desk/tonight.scene"] {
        let (code, out, told) = tipring(&["check", path], dir.path());
        assert_eq!((code, out.as_str()), (Some(0), "1 scene, 1 song, 0 sets: nothing wrong\n"), "{path}: {told}");
    }
    // What lies beside the link comes first; beside the target is looked when nothing does.
    fs::write(at("desk/board.scene"), BOARD.replace("loops 1", "loops 2")).unwrap();
    let (_, out, _) = tipring(&["table", "desk/tonight.scene", "--format", "csv"], dir.path());
    assert!(out.starts_with("slot,scene,loop-1,loop-2"), "{out}");
}
