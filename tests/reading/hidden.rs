//! Characters that cannot be seen: told in names, texts and comments, once each place; scripts and emoji keep theirs.

use crate::support::{compile, one};
use crate::{BOARD, folder, tipring};

/// The codes told of a book whose scene, song and comment hold these.
fn told(name: &str, title: &str, comment: &str) -> Vec<String> {
    let book = format!("{BOARD}scene bed{name} {{ engage ember }}\nsong \"{title}\" {{ all: bed }}\n# {comment}\n");
    let compiled = compile(&one("b.scene", &book));
    compiled.diagnostics().iter().map(|d| format!("{} {}", d.code, compiled.files.place(d.at).line)).collect()
}

#[test]
fn each_is_told_in_names_texts_and_comments() {
    let hidden =
        [0xADu32, 0x34F, 0x61C, 0x115F, 0x1160, 0x17B4, 0x180B, 0x180E, 0x200B, 0x200C, 0x200D, 0x200E, 0x200F]
            .into_iter()
            .chain(0x202A..=0x202E)
            .chain(0x2060..=0x2064)
            .chain(0x2066..=0x206F)
            .chain([0x3164, 0xFE00, 0xFE0F, 0xFEFF, 0xFFA0, 0xFFF9, 0x1D173, 0xE0001, 0xE0020, 0xE007F, 0xE0100])
            .chain((0..0x20).filter(|c| !(9..=13).contains(c)).chain([8, 0x7F]))
            .chain((0x80..0xA0).filter(|c| *c != 0x85))
            .map(|c| char::from_u32(c).unwrap());
    let mut count = 0;
    for c in hidden {
        let code = c as u32;
        assert_eq!(told(&c.to_string(), "Quay", "x"), ["hidden-letters 3"], "U+{code:04X} in a name");
        assert_eq!(told("", &format!("Quay {c}draw"), "x"), ["hidden-letters 4"], "U+{code:04X} in a text");
        assert_eq!(told("", "Quay", &format!("so {c}{c} x {c}")), ["hidden-letters 5"], "U+{code:04X} in a comment");
        assert_eq!(told("", "Quay", &format!("{c}")), ["hidden-letters 5"], "U+{code:04X} ends a comment");
        count += 1;
    }
    println!("{count} characters, each in four places");
}

#[test]
fn what_writing_needs_is_silent() {
    for text in [
        "\u{2600}\u{FE0F} sun",                                      // an emoji that could be plain
        "\u{A9}\u{FE0E}",                                            // and one that shall be
        "1\u{FE0F}\u{20E3}",                                         // a keycap
        "\u{1F469}\u{200D}\u{1F3A4} sings",                          // two made one
        "\u{1F469}\u{1F3FD}\u{200D}\u{1F3A4}",                       // with a tone of skin
        "\u{1F3F3}\u{FE0F}\u{200D}\u{1F308}",                        // a flag
        "\u{645}\u{6CC}\u{200C}\u{62E}\u{648}\u{627}\u{647}\u{645}", // Persian
        "\u{915}\u{94D}\u{200D}\u{937}",                             // Devanagari, half form
        "\u{915}\u{94D}\u{200C}\u{937}",                             // and the virama shown
        "\u{D28}\u{D4D}\u{200D}",                                    // Malayalam, at a word's end
        "\u{182D}\u{180B}",                                          // Mongolian
        "\u{8FBB}\u{E0100}",                                         // a form of a Han letter
    ] {
        assert_eq!(told("", text, text), Vec::<String>::new(), "{}", text.escape_unicode());
    }
    for text in [
        "a\u{FE0F}",
        "a\u{200D}b",
        "a\u{200C}b",
        "\u{1F469}\u{200D}",
        "\u{200D}\u{1F3A4}",
        "\u{645}\u{200C}",
        "a\u{E0100}",
        "a\u{180B}",
        "\u{2600}\u{FE0F}\u{FE0F}",
        "\u{1F3F4}\u{E0067}\u{E007F}",
        "\u{915}\u{200B}\u{937}",
    ] {
        assert_eq!(told("", text, "x"), ["hidden-letters 4"], "{}", text.escape_unicode());
        assert_eq!(told("", "Quay", text), ["hidden-letters 5"], "{}", text.escape_unicode());
    }
}

#[test]
fn taking_them_out_changes_no_cell() {
    let book = format!(
        "{BOARD}scene b\u{3164}ed {{ engage e\u{200B}mber }} # \u{202E}so\nsong \"Qu\u{61C}ay\" {{ all: bed }}\nset \"x\" {{ \"Quay\" }}\n"
    );
    let dir = folder(&[("b.scene", &book)]);
    let table = || tipring(&["table", "b.scene", "--draft", "--format", "csv"], dir.path()).1;
    let before = table();
    let (code, out, told) = tipring(&["check", "b.scene", "--fix"], dir.path());
    assert_eq!((code, table()), (Some(0), before), "{out}{told}");
}

/// A number or a word cut in two is no other number: what cannot be seen is taken out before anything is guessed.
#[test]
fn nothing_is_mended_before_they_are_out() {
    let board = "switcher { loops 1; expressions 1 of 128 steps }\npedal ember { loop 1; level depth on expression 1 from 0 % to 60 % }\n";
    let right = format!("{board}scene bed {{ engage ember; ember.depth 20 % }}\nsong \"Quay\" {{ all: bed }}\n");
    for wrong in [
        right.replace("20 %", "2\u{200B}0 %"),
        right.replace("engage", "en\u{AD}gage"),
        right.replace("20 %", "20\u{7}%"),
    ] {
        let dir = folder(&[("b.scene", &wrong)]);
        let (code, out, told) = tipring(&["check", "b.scene", "--fix"], dir.path());
        assert_eq!(code, Some(0), "{out}{told}");
        let got = std::fs::read_to_string(dir.path().join("b.scene")).unwrap();
        assert_eq!(got.replace("20%", "20 %"), right);
        assert!(told.contains("\n1 mend made"), "{told}");
    }
}
