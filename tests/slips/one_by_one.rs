//! Slips that once ended in another book, each by name.

use tipring::syntax::edit::apply;
use tipring::syntax::format::format;

use super::judge::{Book, compile, lost, mended, printed, same};
use super::seeded::example;

const BOARD: &str = "\
switcher { loops 4; remote jacks 1; expressions 1 of 128 steps; outputs 1; banks 1..4, switches 1..4 }
pedal sift { loop 1 }
pedal grit { loop 2 }
pedal drive { loop 3 }
pedal throb { loop 4; level depth on expression 1 from 0 % to 100 % }
default { throb.depth 20 % }
";

fn book(rest: &str) -> Book {
    vec![("book.scene".to_owned(), format!("{BOARD}{rest}"))]
}

fn formatted(text: &str) -> String {
    let Ok(edits) = format(0, text) else { panic!("it is read: {text}") };
    apply(text, &edits)
}

/// A song that plays some scenes.
fn playing(scenes: &str, parts: &str) -> Book {
    book(&format!("{scenes}song \"Quay\" at 92 bpm {{ {parts} }}\nset \"night\" {{ \"Quay\" }}\n"))
}

/// `--fix` makes nothing of it, and says what could be done; or what it makes is the right book.
fn stays(book: &Book) -> String {
    let before = compile(book);
    let (after, now, made) = mended(book);
    assert_eq!(after, *book, "{made:?}");
    assert_eq!(lost(&printed(&before), &printed(&now), None), Vec::<String>::new());
    tipring::mend::offers::tried(&now, now.diagnostics())
        .iter()
        .map(|d| format!("{}: {}\n", d.message, d.help.clone().or(d.label.clone()).unwrap_or_default()))
        .collect()
}

/// A book, and the right one that `--fix` makes of it.
fn becomes(book: &Book, right: &Book) {
    let (after, now, made) = mended(book);
    assert_eq!(after, *right, "{made:?}");
    assert_eq!(now.errors(), 0);
}

#[test]
fn a_brace_on_the_next_line_is_a_scenes_own() {
    for between in ["\n", "\n\n", " # why\n", "\n# why\n  ", "\r\n"] {
        let scenes = format!("scene verse {{ engage sift }}\nscene lift from verse{between}{{ engage drive }}\n");
        let apart = playing(&scenes, "verse; lift");
        let joined = playing("scene verse { engage sift }\nscene lift from verse { engage drive }\n", "verse; lift");
        let compiled = compile(&apart);
        assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
        assert!(same(&printed(&compiled), &printed(&compile(&joined))));
        assert_eq!(mended(&apart).0, apart);
    }
}

#[test]
fn every_block_may_open_on_the_next_line() {
    for name in ["winter", "spring"] {
        let right = example(name);
        let apart: Book = right.iter().map(|(path, text)| (path.clone(), text.replace(" {\n", "\n{\n"))).collect();
        assert_ne!(apart, right);
        let compiled = compile(&apart);
        assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics().first());
        assert!(same(&printed(&compiled), &printed(&compile(&right))));
        for ((_, apart), (path, right)) in apart.iter().zip(&right) {
            assert_eq!(formatted(apart), formatted(right), "{path}");
        }
    }
}

#[test]
fn a_comment_before_a_brace_stays_there() {
    let text = "scene bed \"low\" # soft\n\n# and slow\n{\n  mute\n}\n";
    let once = formatted(text);
    assert_eq!(once, formatted(&once));
    assert!(
        once.contains("# soft") && once.contains("# and slow") && once.find("# and slow") < once.find('{'),
        "{once}"
    );
}

#[test]
fn a_forgotten_from_becomes_no_title() {
    let scenes = "scene verse { engage sift }\nscene lift verse { engage sift, drive }\n";
    let told = stays(&playing(scenes, "verse; lift"));
    assert!(
        told.contains("`from` is missing before `verse`") && told.contains("say `scene lift from verse`"),
        "{told}"
    );
}

#[test]
fn a_forgotten_from_deletes_nothing() {
    let scenes = "scene verse { engage sift }\nscene lift verse { bypass grit; engage drive }\n\
                  allow level-step verse to lift \"it should jump\"\n";
    stays(&playing(scenes, "verse; lift"));
}

#[test]
fn a_forgotten_scene_redirects_nothing() {
    let scenes =
        "scene verse { engage sift }\nscene lifts from verse { engage drive }\nlift from verse { engage grit }\n";
    stays(&playing(scenes, "verse; lifts; lift"));
}

#[test]
fn a_deleted_scenes_name_is_not_replaced() {
    let scenes = "scene verse { engage sift }\nscene lift-high from verse { engage drive }\n";
    let told = stays(&playing(scenes, "verse; lift-hush; \"end\": lift-high; \"last\": lift-hush"));
    assert!(told.contains("there is no scene called `lift-hush`"), "{told}");
    // One letter apart, and said twice: no slip of the hand.
    let scenes = "scene verse { engage sift }\nscene lofts from verse { engage drive }\n";
    stays(&playing(scenes, "verse; lifts; \"end\": lofts; \"last\": lifts"));
    // Numbered scenes are neighbours, not slips.
    let scenes = "scene verse-1 { engage sift }\nscene verse-3 { engage drive }\n";
    stays(&playing(scenes, "verse-1; \"a\": verse-1; verse-2; verse-3"));
}

#[test]
fn of_two_names_that_are_each_said_once_neither_is_chosen() {
    let scenes = "scene verse { engage sift }\nscene refrian from verse { engage drive }\n";
    let told = stays(&playing(scenes, "verse; refrain"));
    assert!(told.contains("did you mean `refrian`"), "{told}");
}

#[test]
fn a_forgotten_name_makes_no_title_of_what_follows() {
    let rest = "pedal like two-voice-filter { loop 2 }\nscene bed { engage sift }\nsong \"Quay\" at 92 bpm { bed }\n";
    stays(&book(rest));
}

#[test]
fn percent_is_a_unit_written_out() {
    let right = playing("scene bed { engage throb; throb.depth 30 % }\n", "bed");
    becomes(&playing("scene bed { engage throb; throb.depth 30 percent }\n", "bed"), &right);
}

#[test]
fn a_glued_sharp_is_not_cut_off() {
    let song = |tuning: &str| {
        book(&format!("scene bed {{ engage sift }}\nsong \"Quay\" at 92 bpm {{\n  tuning {tuning}\n  bed\n}}\n"))
    };
    let told = stays(&song("drop#D"));
    assert!(told.contains("put `\"drop#\"` in quotes") || told.contains("in quotes"), "{told}");
    stays(&song("drop F# "));
}

#[test]
fn what_a_glued_sharp_hides_may_belong_to_the_line() {
    let scenes = "layer wide { engage grit }\nscene verse { engage sift }\nscene lift from vers#e with wide\n";
    stays(&playing(scenes, "verse; lift; \"end\": verse"));
}

#[test]
fn a_sign_in_a_name_leaves_two_pieces_and_none_is_mended_alone() {
    let scenes = "scene verse { engage sift }\nscene lift from verse { engage grit }\n";
    for sign in [";", "\n"] {
        let parts = format!("verse; lift\n  \"last\": vers{sign}e, tap throb eighth\n  \"end\": verse");
        stays(&playing(scenes, &parts));
    }
}

#[test]
fn two_words_side_by_side_may_be_one_too_many() {
    let layers =
        "layer wide { engage grit }\nlayer echo { engage throb; throb.depth 30 % }\nscene bed { engage sift }\n";
    stays(&playing(&(layers.to_owned() + "scene lift from bed with wide echo\n"), "bed; lift"));
    stays(&playing(&(layers.to_owned() + "scene lift from bed with wide\n"), "\"first\": bed; lift; bed lift"));
}

#[test]
fn what_a_part_is_called_is_no_slip_of_a_scenes_name() {
    let scenes =
        "scene ridge { engage sift }\nscene lift from ridge { engage grit }\nscene solo from bridge { engage drive }\n";
    stays(&playing(scenes, "verse: ridge; bridge: lift; solo"));
}

#[test]
fn a_digit_glued_to_a_part_is_not_quoted_with_it() {
    stays(&playing("scene bed { engage sift }\n", "1verse: bed"));
}

#[test]
fn a_pedal_that_is_on_gets_no_statement_put_in() {
    let told = stays(&playing("scene bed { engage sift }\nscene lift from bed {\n  grit on\n}\n", "bed; lift"));
    assert!(told.contains("say `engage grit`"), "{told}");
}

#[test]
fn an_arrow_misspelt_is_no_comment() {
    let rest = "guitar slab { pickup 2.5 H, 7.5 kohm, 110 pF }\namp moss { fed by output 1 }\n\
                chain front: guitar -> loops 1..3 -- loop 4 -> output 1\nscene bed { engage sift }\nsong \"Quay\" { bed }\n";
    stays(&book(rest));
}

#[test]
fn what_changes_nothing_is_not_taken_out() {
    // With `fed by output 2` left out, `output 2 off` seems to say nothing, and neither line is an error.
    let idle = "scene bed { engage sift; throb.depth 30 % }\nscene lift from bed { engage sift }\n\
                allow level-step bed to lift \"it should jump\"\n";
    let told = stays(&playing(idle, "bed; lift"));
    assert!(told.contains("`engage sift` changes nothing"), "{told}");
    let with = |name: &str| {
        let scenes =
            format!("scene bed {{ engage sift; throb.depth 30 % }}\nscene lift from bed {{ engage sift, {name} }}\n");
        let mut book = playing(&scenes, "bed; lift; \"end\": lift");
        book[0].1 += "rule never drive beside throb\n";
        book
    };
    becomes(&with("drvie"), &with("drive"));
}

#[test]
fn no_sign_takes_the_place_of_a_text() {
    stays(&playing("scene bed { engage sift }\n", "s\"olo: bed, hand \"bridge pickup\""));
}

#[test]
fn one_quote_closes_what_none_opens() {
    let song = |note: &str| playing("scene bed { engage sift }\n", &format!("\n  bed, note {note}\n"));
    becomes(&song("in three\""), &song("\"in three\""));
}

#[test]
fn a_text_is_not_cut_where_a_semicolon_stands() {
    let scenes = "scene verse { engage sift }\nscene lift from verse { engage drive }\n\
                  allow level-step verse to lift the last chord rings; there is time\n";
    stays(&playing(scenes, "verse; lift"));
}

#[test]
fn a_word_too_many_gets_no_arrow() {
    for word in ["code", "drive"] {
        let rest = format!(
            "guitar slab {{ pickup 2.5 H, 7.5 kohm, 110 pF }}\namp moss {{ fed by output 1 }}\n\
             chain front: guitar -> {word} loops 1..4 -> output 1\nscene bed {{ engage sift }}\nsong \"Quay\" {{ bed }}\n"
        );
        stays(&book(&rest));
    }
}

#[test]
fn a_word_too_many_begins_no_statement() {
    stays(&playing("scene bed { engage sift, bypass drive }\n", "bed"));
}

#[test]
fn a_word_is_respelt_when_one_slip_made_it() {
    let mut books = book("scene bed { engage sift }\nsong \"Quay\" { bed }\n");
    // The digit of `expression 1` went into the word.
    books[0].1 = books[0].1.replace("depth on expression 1 from", "depth on expressi1 from");
    stays(&books);
    let board =
        |head: &str| book(&format!("board \"Reed\" {head}\nscene bed {{ engage sift }}\nsong \"Quay\" {{ bed }}\n"));
    stays(&board("versi\"one\""));
    becomes(&board("vesrion \"one\""), &board("version \"one\""));
}

#[test]
fn a_word_that_the_book_says_elsewhere_is_no_slip() {
    let song = |kind: &str| {
        let board = BOARD.replace(
            "pedal grit { loop 2 }",
            "pedal grit { loop 2; control mode on remote 1 tip { soft: open; hard: closed } }",
        );
        let rest =
            format!("scene bed {{ engage sift; grit.mode hard }}\nsong \"Quay\" {{ bed, {kind} \"neck pickup\" }}\n");
        vec![("book.scene".to_owned(), board + &rest)]
    };
    // `hard` may stand for `note` as well as for `hand`.
    stays(&song("hard"));
    becomes(&song("hnad"), &song("hand"));
    let scenes = "patch leads 25 cm at 100 pF/m\nscene verse { engage sift }\nscene lead from verse { engage drive }\n";
    stays(&playing(scenes, "verse; lead; \"end\": leads"));
}

#[test]
fn two_words_run_together_lose_no_letter() {
    let mut books = book("scene bed { engage sift }\nsong \"Quay\" { bed }\n");
    books[0].1 = books[0].1.replace("from 0 % to 100 %", "from 0 msto 100 ms");
    // `ms to`, and not `to` with two letters too many; nor `to` for `sto`.
    stays(&books);
    books[0].1 = books[0].1.replace("msto", "sto");
    stays(&books);
}

#[test]
fn a_letter_that_counts_is_no_slip() {
    let scenes = "scene lift-a { engage sift }\nscene verse { engage drive }\n";
    stays(&playing(scenes, "lift-a; verse; \"end\": lift-a; \"last\": lift-b"));
}

#[test]
fn a_word_on_two_lines_is_not_mended_by_halves() {
    stays(&playing("scene verse { engage sift }\ns\ncene lift from verse { engage drive }\n", "verse; lift"));
}

#[test]
fn names_are_bound_anew_before_they_are_mended() {
    // What `sceen` describes is the scene that seems to be missing.
    let right = playing("scene verse { engage sift }\nscene verve { engage drive }\n", "verse; verve; \"end\": verse");
    becomes(
        &playing("scene verse { engage sift }\nsceen verve { engage drive }\n", "verse; verve; \"end\": verse"),
        &right,
    );
}

#[test]
fn a_last_tours_name_is_met_with_the_new_one() {
    let scenes = "scene verse { engage sift }\nscene lift was lead-sound { engage drive }\n";
    becomes(&playing(scenes, "verse; lead-sound"), &playing(scenes, "verse; lift"));
}
