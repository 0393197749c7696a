//! One sheet of paper for the floor: what poppler reads from it, how large it is, what is told when that is too small.

use std::path::Path;

use crate::poppler::{Dots, Word, pdf, words};
use crate::tools::{compile, example, outside, tipring};
use tipring::print::sheet::{self, ActKind, Entry, Night, Wanted};

/// The nights of both examples on both papers, each as one sheet of paper.
fn sheets(folder: &Path) -> Vec<(String, Night, sheet::Sheet)> {
    let mut out = Vec::new();
    for book in ["winter", "spring"] {
        let path = example(book);
        let sheet = sheet::sheet(&compile(&path), &Wanted::default());
        for (n, night) in sheet.nights.iter().enumerate() {
            // Laying out takes its time unoptimised: the nights share the papers, unless all is wanted.
            let full = std::env::var_os("TIPRING_FULL").is_some();
            for paper in ["a4", "letter"].iter().skip(n % 2).step_by(if full { 1 } else { 2 }) {
                let args =
                    ["sheet", path.to_str().unwrap(), "--set", &night.title, "--for", "player", "--paper", paper];
                out.push((pdf(folder, &format!("{book}{n}{paper}.pdf"), &args), night.clone(), sheet.clone()));
            }
        }
    }
    out
}

fn squeeze(text: &str) -> String {
    text.split_whitespace().collect()
}

/// Finds each of these in what is left of the text, and goes on behind it.
fn after<'t>(text: &'t str, wanted: &[String], of: &str) -> &'t str {
    wanted.iter().fold(text, |text, word| {
        let word = squeeze(word);
        let at = text.find(&word).unwrap_or_else(|| panic!("{of}: no `{word}` in `{text}`"));
        &text[at + word.len()..]
    })
}

/// In reading order: on the front every song with what comes before it, its tempo and its bank; on the back every
/// song with every switch and part, and every act under it.
#[test]
fn poppler_reads_all_of_it_from_one_sheet() {
    let folder = tempfile::tempdir().unwrap();
    let (mut songs, mut parts, mut acts) = (0, 0, 0);
    for (path, night, sheet) in sheets(folder.path()) {
        let Some(text) = outside("pdftotext", &["-raw", &path, "-"]) else { return };
        let sides: Vec<String> = text.split('\u{c}').map(squeeze).filter(|s| !s.is_empty()).collect();
        assert_eq!(sides.len(), 3, "{path}");
        assert!(sides[2].contains("ifitbreaks"), "{}", sides[2]);
        let (mut front, mut back) = (sides[0].as_str(), sides[1].as_str());
        assert!(front.contains("safe:switch5") && back.contains("safe:switch5"), "{front}");
        for entry in &night.entries {
            let song = match entry {
                Entry::Pause(says) => {
                    back = after(back, std::slice::from_ref(says), &path);
                    continue;
                }
                Entry::Encore => continue,
                Entry::Song(song) => song,
            };
            let bank = &song.parts[0].at.as_ref().unwrap().0;
            let tempo = song.tempo.as_deref().unwrap_or("").trim_end_matches(" bpm").to_owned();
            let mut row = vec![format!("{}{}", song.number, song.title)];
            row.extend(song.changes.iter().cloned());
            row.extend([tempo, bank.clone()]);
            front = after(front, &row, &path);
            back = after(back, &[format!("bank{bank}{}.{}", song.number, song.title)], &path);
            back = after(back, &song.changes, &path);
            let mut own = back;
            let mut last = None;
            for part in &song.parts {
                let (b, switch) = part.at.as_ref().unwrap();
                let key = if b == bank { switch } else { &part.slot };
                // The same switch twice in a row is pressed once.
                let says = if last == Some((&part.slot, part.held)) {
                    format!(",{}", part.label)
                } else {
                    format!("{key}{}", part.label)
                };
                own = after(own, &[says], &path);
                last = Some((&part.slot, part.held));
                parts += 1;
            }
            for act in song.parts.iter().flat_map(|p| &p.acts) {
                let says = if act.kind == ActKind::Note { &act.says } else { &act.brief };
                after(own, std::slice::from_ref(says), &path);
                acts += 1;
            }
            // The way out stands with its song.
            for way in &sheet.trouble {
                if song.parts.iter().any(|p| way.of(p)) {
                    after(own, &[format!("if {} is dead: {} {}", way.device, way.instead.1, way.instead.0)], &path);
                }
            }
            songs += 1;
        }
        assert!(!text.contains(" ms"), "{text}");
    }
    assert!(songs > 60 && parts > 200 && acts > 80, "{songs} songs, {parts} parts, {acts} acts");
}

/// `capitals of 6.6 mm, read from 1.1 m …, at most from 1.5 m`: the three numbers of a page.
fn stated(text: &str) -> Vec<f32> {
    let from = text.find("capitals of").unwrap();
    let said = squeeze(&text[from..]);
    let number = |before: &str| -> f32 {
        let at = said.find(before).unwrap_or_else(|| panic!("no {before} in {said}")) + before.len();
        said[at..].split(|c: char| !c.is_ascii_digit() && c != '.').next().unwrap().parse().unwrap()
    };
    vec![number("capitalsof"), number("readfrom"), number("atmostfrom")]
}

/// What each side says of its letters is what poppler draws, and the distances are those of NUREG-0700's
/// h = 2·D·tan(a/2) for that height; all that stands above the small print is of one size.
#[test]
fn letters_are_as_high_as_the_side_says() {
    let folder = tempfile::tempdir().unwrap();
    let mut measured = 0;
    for (path, night, _) in sheets(folder.path()) {
        let Some(boxes) = outside("pdftotext", &["-bbox", &path, "-"]) else { return };
        let all = words(&boxes);
        for side in [1, 2] {
            let page = side.to_string();
            let Some(text) = outside("pdftotext", &["-raw", "-f", &page, "-l", &page, &path, "-"]) else { return };
            let said = stated(&text);
            let small = all.iter().find(|w| w.page == side && w.text == "capitals").unwrap();
            let large: Vec<&Word> = all.iter().filter(|w| w.page == side && w.bottom < small.top).collect();
            let high = large[0].bottom - large[0].top;
            let other = large.iter().find(|w| (w.bottom - w.top - high).abs() > 0.2);
            assert!(other.is_none(), "{path}: `{}` is of another size on side {side}", other.unwrap().text);
            let Some(dots) = Dots::of(folder.path(), &path, side, "254") else { return };
            // Letters that begin with an upright stem of full height.
            for word in large.iter().filter(|w| w.text.len() > 3 && "BDEFHLMPR".contains(&w.text[..1])).take(4) {
                let height = dots.stem(word);
                assert!((height - said[0]).abs() <= 0.2, "{path}, `{}`: {height} mm, not {} mm", word.text, said[0]);
                measured += 1;
            }
            for (metres, minutes) in [(said[1], 20.0_f32), (said[2], 15.0)] {
                let needs = 2.0 * metres * 1000.0 * (minutes / 120.0).to_radians().tan();
                assert!(needs <= said[0] + 0.05, "{path}: {metres} m needs {needs} mm");
                let further = 2.0 * (metres + 0.11) * 1000.0 * (minutes / 120.0).to_radians().tan();
                assert!(further > said[0] - 0.05, "{path}: more than {metres} m could be said");
            }
            let songs = night.entries.iter().filter(|e| matches!(e, Entry::Song(_))).count();
            // A line a song, and one more for those whose change of guitar does not fit behind the title.
            assert!(
                side == 2 || songs < 12 || said[0] > 140.0 / (songs as f32 + 2.0),
                "{path}: {songs} songs, {} mm",
                said[0]
            );
        }
    }
    assert!(measured > 20, "{measured}");
}

fn player(book: &str, path: &str, more: &[&str]) -> String {
    let done = tipring(&[&["sheet", book, "--for", "player", "-o", path], more].concat());
    let said = String::from_utf8(done.stderr).unwrap();
    assert!(done.status.success(), "{more:?}: {said}");
    said
}

fn text_of(path: &str) -> Option<Vec<String>> {
    let text = outside("pdftotext", &["-raw", path, "-"])?;
    Some(
        text.split('\u{c}')
            .filter(|p| !p.trim().is_empty())
            .map(|p| p.split_whitespace().collect::<Vec<_>>().join(" "))
            .collect(),
    )
}

#[test]
fn a_distance_that_is_not_reached_is_told_and_printed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("p.pdf");
    let (path, winter) = (path.to_str().unwrap(), example("winter"));
    let winter = winter.to_str().unwrap();
    let set = ["--set", "hall night"];
    let said = player(winter, path, &[&set[..], &["--distance", "1.7m"]].concat());
    assert!(said.contains("`hall night`: capitals of") && said.contains("not from 1.7 m, as asked"), "{said}");
    let Some(sides) = text_of(path) else { return };
    assert!(sides[0].contains("not from 1.7 m, as asked: `--pages large` is"), "{}", sides[0]);
    // The back is read close, whatever was asked of the front.
    assert!(!sides[1].contains("as asked"), "{}", sides[1]);
    // 15 minutes of arc are reached from farther; what is reached is not told.
    assert_eq!(player(winter, path, &[&set[..], &["--distance", "1.4m", "--small"]].concat()), "");
    assert!(player(winter, path, &[&set[..], &["--distance", "1.4m"]].concat()).contains("not from 1.4 m"));
    assert_eq!(player(winter, path, &[&set[..], &["--distance", "1m"]].concat()), "");
    // Nothing is computed for other kinds of files: there they are refused.
    let refused = tipring(&["sheet", winter, "--for", "player", "--distance", "1m", "--format", "html"]);
    assert_eq!(refused.status.code(), Some(2));
    let html =
        tipring(&["sheet", winter, "--for", "player", "--pages", "large", "--distance", "1m", "--format", "html"]);
    assert_eq!(html.status.code(), Some(0));
}

#[test]
fn any_number_of_sides_is_that_many_and_each_says_what_comes_next() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("p.pdf");
    let (path, winter) = (path.to_str().unwrap(), example("winter"));
    let winter = winter.to_str().unwrap();
    for count in [1, 2, 3, 6] {
        let number = count.to_string();
        assert_eq!(player(winter, path, &["--set", "seated night", "--pages", &number]), "");
        let Some(mut sides) = text_of(path) else { return };
        // The page for the lid is none of them.
        assert!(sides.pop().is_some_and(|lid| lid.contains("if it breaks")));
        assert_eq!(sides.len(), count);
        assert!(sides[0].contains("bpm bank") == (count > 1), "{}", sides[0]);
        for (n, side) in sides.iter().enumerate() {
            assert!(side.contains(&format!("page {} of {count}", n + 1)), "{side}");
            // The front holds all songs; of the others, each but the last names the song that the next begins with.
            let Some((_, next)) = side.split_once("next: ") else {
                assert!(n + 1 == count || (count > 1 && n == 0), "side {} of {count} says nothing of the next", n + 1);
                continue;
            };
            let title = squeeze(&next.split(" capitals of").next().unwrap().replace("bank", ""));
            let title = title.trim_start_matches(|c: char| c.is_ascii_digit());
            let next = squeeze(&sides[n + 1]);
            let first = next.find(title).unwrap_or_else(|| panic!("{title} is not on the next side: {next}"));
            assert!(first < 120, "{title} comes late: {next}");
        }
    }
    // Lines to write on stand only where they were asked for.
    let ruled = |more: &[&str]| {
        player(winter, path, &[&["--set", "seated night"], more].concat());
        text_of(path).map(|sides| sides[1].contains("remarks"))
    };
    assert!(ruled(&[]).is_none_or(|r| !r) && ruled(&["--lines"]).is_none_or(|r| r));
}

/// Far more than a sheet holds is neither clipped nor too small for any eye: it takes more sides, and says so.
#[test]
fn what_two_sides_do_not_hold_takes_more() {
    let folder = tempfile::tempdir().unwrap();
    let mut book = "switcher { loops 1; banks 1..900, switches 1..2 }\npedal ember { loop 1 }\n".to_owned();
    let mut set = String::new();
    for n in 0..900 {
        book += &format!("scene s{n} {{ engage ember }}\nsong \"The {n}th of Many\" at 90 bpm {{ all: s{n} }}\n");
        set += &format!("\"The {n}th of Many\"; ");
    }
    let path = folder.path().join("many.scene");
    std::fs::write(&path, format!("{book}set \"long\" {{ {set} }}\n")).unwrap();
    let out = folder.path().join("many.pdf");
    let out = out.to_str().unwrap();
    let said = player(path.to_str().unwrap(), out, &[]);
    assert!(said.contains("`long` takes ") && said.contains("no letter is smaller than 6 points"), "{said}");
    let Some(sides) = text_of(out) else { return };
    let all = squeeze(&sides.join(" "));
    for n in 0..900 {
        assert!(all.matches(&format!("The{n}thofMany")).count() >= 2, "{n}");
    }
}
