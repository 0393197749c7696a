//! The PDF as poppler reads it back.

use std::path::Path;

use crate::tools::{example, nasty, outside, printed, tipring};

/// Writes a PDF; gives its path.
pub(crate) fn pdf(folder: &Path, name: &str, args: &[&str]) -> String {
    let path = folder.join(name).to_str().unwrap().to_owned();
    let mut all = args.to_vec();
    all.extend(["-o", &path]);
    let output = tipring(&all);
    assert!(output.status.success(), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
    path
}

#[test]
fn fonts_are_embedded_and_the_document_is_tagged() {
    let folder = tempfile::tempdir().unwrap();
    let (_kept, nasty) = nasty();
    let winter = example("winter");
    let (winter, nasty) = (winter.to_str().unwrap(), nasty.to_str().unwrap());
    let cases: [(&str, &[&str], &str); 8] = [
        ("a.pdf", &["sheet", winter], "595.276 x 841.89"),
        ("b.pdf", &["sheet", winter, "--for", "player", "--set", "club night"], "595.276 x 841.89"),
        ("c.pdf", &["sheet", winter, "--for", "tech", "--paper", "letter"], "612 x 792"),
        ("d.pdf", &["sheet", winter, "--for", "tech", "--landscape"], "841.89 x 595.276"),
        ("e.pdf", &["labels", winter], "595.276 x 841.89"),
        ("h.pdf", &["sheet", winter, "--for", "player", "--pages", "large"], "595.276 x 841.89"),
        ("f.pdf", &["sheet", nasty, "--for", "player"], "595.276 x 841.89"),
        ("g.pdf", &["sheet", nasty, "--for", "player", "--paper", "letter", "--landscape"], "792 x 612"),
    ];
    for (name, args, size) in cases {
        let path = pdf(folder.path(), name, args);
        let Some(info) = outside("pdfinfo", &[&path]) else { return };
        let line = |key: &str| info.lines().find(|l| l.starts_with(key)).unwrap_or("").to_owned();
        assert!(line("Tagged:").contains("yes"), "{info}");
        assert!(line("Page size:").contains(size), "{info}");
        assert!(line("Title:").len() > 20, "{info}");
        let Some(fonts) = outside("pdffonts", &[&path]) else { return };
        let fonts: Vec<&str> = fonts.lines().skip(2).collect();
        assert!(!fonts.is_empty());
        for font in fonts {
            let yes = font.split_whitespace().filter(|w| *w == "yes").count();
            assert_eq!(yes, 3, "embedded, subset and with Unicode: {font}");
        }
        let bytes = std::fs::read(&path).unwrap();
        let has = |what: &[u8]| bytes.windows(what.len()).any(|w| w == what);
        assert!(has(b"/Lang") && has(b"/StructTreeRoot"), "{name}");
        assert!(name == "e.pdf" || has(b"/Outlines"), "{name}");
    }
}

/// The words of each row of the preset table, with its slot and scene: all stretches of it, in order.
fn rows(text: &str) -> Vec<Vec<String>> {
    let from = text.find("\npresets\n").or_else(|| text.find("presets")).unwrap();
    let text = &text[from..];
    let lines = text.lines().map(|l| l.split_whitespace().map(str::to_owned).collect::<Vec<_>>());
    lines.filter(|l| l.len() > 1).collect()
}

#[test]
fn every_printed_cell_is_the_tables() {
    let folder = tempfile::tempdir().unwrap();
    for (book, lying) in [("winter", false), ("winter", true), ("spring", false)] {
        let book = example(book);
        let book = book.to_str().unwrap();
        let mut args = vec!["sheet", book];
        args.extend(lying.then_some("--landscape"));
        let path = pdf(folder.path(), "table.pdf", &args);
        let Some(text) = outside("pdftotext", &["-layout", &path, "-"]) else { return };
        let printed_rows = rows(&text);
        let table = printed(&["table", book, "--format", "csv"]);
        let mut cells = 0;
        for line in table.lines().skip(1) {
            let mut fields = line.split(',');
            let key: Vec<&str> =
                [fields.next().unwrap(), fields.next().unwrap()].into_iter().filter(|f| !f.is_empty()).collect();
            let wanted: Vec<&str> = fields.collect();
            let found: Vec<&String> = printed_rows
                .iter()
                .filter(|row| row.len() > key.len() && row.iter().zip(&key).all(|(a, b)| a == b))
                .flat_map(|row| &row[key.len()..])
                .collect();
            assert_eq!(found, wanted, "{key:?}");
            cells += wanted.len();
        }
        assert!(cells > 1500, "{cells}");
    }
}

/// The technician's tables, bank by bank, on both papers: a row that names a preset and has as many cells says the same.
#[test]
fn every_cell_of_the_truth_tables_is_the_tables() {
    let folder = tempfile::tempdir().unwrap();
    for (book, more) in [("winter", "--landscape"), ("spring", "--paper=letter")] {
        let book = example(book);
        let book = book.to_str().unwrap();
        let path = pdf(folder.path(), "tech.pdf", &["sheet", book, "--for", "tech", more]);
        let Some(text) = outside("pdftotext", &["-layout", &path, "-"]) else { return };
        let lines = text.lines().skip_while(|l| !l.contains("truth tables, bank by bank"));
        let rows: Vec<Vec<&str>> = lines.map(|l| l.split_whitespace().collect()).collect();
        let table = printed(&["table", book, "--format", "csv"]);
        let mut cells = 0;
        for line in table.lines().skip(1) {
            let wanted: Vec<&str> = line.split(',').filter(|f| !f.is_empty()).collect();
            let found = rows.iter().find(|row| row.len() == wanted.len() && row[..2] == wanted[..2]);
            assert_eq!(found, Some(&wanted));
            cells += wanted.len() - 2;
        }
        assert!(cells > 1500, "{cells}");
    }
}

#[test]
fn every_page_of_the_players_sheet_says_where_it_is_and_what_to_do_in_trouble() {
    let folder = tempfile::tempdir().unwrap();
    let winter = example("winter");
    let line = ["sheet", winter.to_str().unwrap(), "--for", "player", "--set", "hall night", "--pages", "large"];
    let path = pdf(folder.path(), "p.pdf", &line);
    let Some(text) = outside("pdftotext", &["-layout", &path, "-"]) else { return };
    let mut pages: Vec<&str> = text.split('\u{c}').filter(|p| !p.trim().is_empty()).collect();
    // The page for the lid is none of the night's.
    assert!(pages.pop().is_some_and(|lid| lid.contains("if it breaks") && lid.contains("trouble: press switch 5")));
    for (n, page) in pages.iter().enumerate() {
        let top: Vec<&str> = page.lines().find(|l| !l.trim().is_empty()).unwrap().split_whitespace().collect();
        assert_eq!(top, ["hall", "night", &format!("{}/{}", n + 1, pages.len()), "switch", "5", "safe"]);
        assert!(page.contains("winter-3"), "{page}");
        assert!(page.contains("trouble: press switch 5"), "{page}");
    }
    assert!(pages.len() > 10);
}

/// A page as grey dots.
pub(crate) struct Dots {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) grey: Vec<u8>,
}

impl Dots {
    /// Renders a page; none without poppler.
    pub(crate) fn of(folder: &Path, path: &str, page: usize, per_inch: &str) -> Option<Dots> {
        let out = folder.join("dots");
        let page = page.to_string();
        let args = ["-r", per_inch, "-gray", "-singlefile", "-f", &page, path, out.to_str().unwrap()];
        outside("pdftoppm", &args)?;
        let bytes = std::fs::read(out.with_extension("pgm")).unwrap();
        let head = String::from_utf8_lossy(&bytes[..20]).into_owned();
        let size: Vec<usize> = head.split_whitespace().skip(1).take(2).map(|n| n.parse().unwrap()).collect();
        let grey = bytes[bytes.len() - size[0] * size[1]..].to_vec();
        Some(Dots { width: size[0], height: size[1], grey })
    }

    /// The height in millimetres of the first stem of a word that begins with one, drawn at 254 dots an inch: ten a
    /// millimetre. It stands in the first part of the first letter.
    pub(crate) fn stem(&self, word: &Word) -> f32 {
        let dot = |points: f32| (points / 72.0 * 254.0) as usize;
        let letter = (word.right - word.left) / word.text.chars().count() as f32;
        let (left, right) = (dot(word.left), dot(word.left + letter * 0.5));
        let inked = |y: &usize| (left..right).any(|x| self.grey[y * self.width + x] < 128);
        let rows: Vec<bool> = (dot(word.top)..dot(word.bottom)).map(|y| inked(&y)).collect();
        rows.split(|inked| !inked).map(<[bool]>::len).max().unwrap_or(0) as f32 / 10.0
    }

    /// The longest run of ink in a row.
    fn run(&self, y: usize) -> usize {
        let row = &self.grey[y * self.width..(y + 1) * self.width];
        row.split(|g| *g > 200).map(<[u8]>::len).max().unwrap_or(0)
    }
}

/// The height of an `H` on paper, measured in what poppler draws: 9.89 mm for 1.7 m and 20 minutes of arc.
#[test]
fn a_capital_is_as_high_on_paper_as_the_distance_asks() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("high.scene");
    std::fs::write(&book, crate::tools::NASTY.replace("one & only", "Hall")).unwrap();
    for (more, wanted) in [(&[][..], 9.89), (&["--small"], 7.42), (&["--distance", "1m"], 5.82)] {
        let mut args = vec!["sheet", book.to_str().unwrap(), "--for", "player", "--pages", "large"];
        args.extend(more);
        let path = pdf(folder.path(), "high.pdf", &args);
        let Some(boxes) = outside("pdftotext", &["-bbox", "-l", "1", &path, "-"]) else { return };
        let word = words(&boxes).into_iter().find(|w| w.text == "Hall").unwrap();
        let Some(dots) = Dots::of(folder.path(), &path, 1, "254") else { return };
        let height = dots.stem(&word);
        assert!((height - wanted).abs() <= 0.15, "{height} mm, not {wanted} mm");
    }
}

/// Ten dots a millimetre: the line that says 100 mm is as long, and tapes are as wide as they say.
#[test]
fn labels_are_true_to_size_as_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let path = pdf(folder.path(), "l.pdf", &["labels", example("winter").to_str().unwrap()]);
    let Some(dots) = Dots::of(folder.path(), &path, 1, "254") else { return };
    let long: Vec<(usize, usize)> = (0..dots.height).map(|y| (y, dots.run(y))).filter(|(_, run)| *run > 250).collect();
    assert!((long[0].1 as i32 - 1000).abs() <= 2, "{long:?}");
    // Lines may be two dots thick.
    let mut edges: Vec<usize> = long.iter().map(|(y, _)| *y).skip_while(|y| *y < long[0].0 + 20).collect();
    edges.dedup_by(|a, b| *a - *b < 4);
    let widths: Vec<usize> = edges.chunks(2).map(|two| two[1] - two[0]).collect();
    assert!(widths.iter().all(|w| w.abs_diff(90) <= 1 || w.abs_diff(120) <= 1), "{widths:?}");
    assert!(widths.iter().any(|w| *w < 95) && widths.iter().any(|w| *w > 115));
}

pub(crate) struct Word {
    pub(crate) page: usize,
    pub(crate) left: f32,
    pub(crate) top: f32,
    pub(crate) right: f32,
    pub(crate) bottom: f32,
    pub(crate) text: String,
}

pub(crate) fn words(boxes: &str) -> Vec<Word> {
    let mut page = 0;
    let mut out = Vec::new();
    for line in boxes.lines() {
        page += usize::from(line.contains("<page "));
        let Some(rest) = line.trim().strip_prefix("<word ") else { continue };
        let number = |name: &str| -> f32 {
            let from = rest.find(&format!("{name}=\"")).unwrap() + name.len() + 2;
            rest[from..].split('"').next().unwrap().parse().unwrap()
        };
        let text = rest.split('>').nth(1).unwrap().split('<').next().unwrap().to_owned();
        out.push(Word {
            page,
            left: number("xMin"),
            top: number("yMin"),
            right: number("xMax"),
            bottom: number("yMax"),
            text,
        });
    }
    out
}

#[test]
fn no_word_crosses_another_or_the_margin() {
    let folder = tempfile::tempdir().unwrap();
    let (_kept, nasty) = nasty();
    let winter = example("winter");
    let (winter, nasty) = (winter.to_str().unwrap(), nasty.to_str().unwrap());
    let cases: [&[&str]; 9] = [
        &["sheet", winter, "--program"],
        &["sheet", winter, "--for", "player", "--pages", "3", "--paper", "letter"],
        &["sheet", winter, "--for", "player", "--set", "hall night", "--pages", "large"],
        &["sheet", winter, "--for", "tech"],
        &["sheet", winter, "--for", "player", "--set", "hall night"],
        &["sheet", nasty, "--for", "player", "--landscape"],
        &["sheet", nasty, "--for", "tech", "--paper", "letter"],
        &["sheet", winter, "--for", "tech", "--paper", "letter", "--landscape"],
        &["labels", winter],
    ];
    for args in cases {
        let path = pdf(folder.path(), "boxes.pdf", args);
        let Some(boxes) = outside("pdftotext", &["-bbox", &path, "-"]) else { return };
        let words = words(&boxes);
        assert!(words.len() > 40, "{args:?}");
        let margin = 10.0 * 72.0 / 25.4 - 1.0;
        let sizes = boxes.lines().find(|l| l.contains("<page ")).unwrap().to_owned();
        let number = |name: &str| -> f32 {
            let from = sizes.find(&format!("{name}=\"")).unwrap() + name.len() + 2;
            sizes[from..].split('"').next().unwrap().parse().unwrap()
        };
        let (width, height) = (number("width"), number("height"));
        for (n, a) in words.iter().enumerate() {
            // Poppler's boxes reach from the font's ascent to its descent, wherever the letters end.
            let lean = |w: &Word| (w.bottom - w.top) * 0.2;
            let da = lean(a);
            let inside = a.left >= margin
                && a.right <= width - margin
                && a.top + da >= margin
                && a.bottom - da <= height - margin + 2.0;
            assert!(inside, "{args:?}: `{}` stands in the margin of page {}", a.text, a.page);
            for b in words[n + 1..].iter().filter(|b| b.page == a.page) {
                let db = lean(b);
                let apart = b.left >= a.right - 0.3
                    || a.left >= b.right - 0.3
                    || b.top + db >= a.bottom - da
                    || a.top + da >= b.bottom - db;
                assert!(apart, "{args:?}: `{}` crosses `{}` on page {}", a.text, b.text, a.page);
            }
        }
    }
}

#[test]
fn pages_are_not_blank_and_the_margin_is_white() {
    let folder = tempfile::tempdir().unwrap();
    let path = pdf(folder.path(), "p.pdf", &["sheet", example("winter").to_str().unwrap(), "--for", "tech"]);
    let out = folder.path().join("page");
    let Some(_) = outside("pdftoppm", &["-r", "40", "-gray", &path, out.to_str().unwrap()]) else { return };
    let mut pages = 0;
    for file in std::fs::read_dir(folder.path()).unwrap().map(|f| f.unwrap().path()) {
        if file.extension().is_none_or(|e| e != "pgm") {
            continue;
        }
        let bytes = std::fs::read(&file).unwrap();
        let head: Vec<usize> = String::from_utf8_lossy(&bytes[..20])
            .split_whitespace()
            .skip(1)
            .take(2)
            .map(|n| n.parse().unwrap())
            .collect();
        let (width, height) = (head[0], head[1]);
        let pixels = &bytes[bytes.len() - width * height..];
        let dark = |x: usize, y: usize| pixels[y * width + x] < 200;
        let inked = (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).filter(|(x, y)| dark(*x, *y));
        let edge = 14;
        let mut count = 0;
        for (x, y) in inked {
            assert!(x >= edge && y >= edge && x < width - edge && y < height - edge, "{file:?}: ink at {x}, {y}");
            count += 1;
        }
        assert!(count > 300, "{file:?} is nearly blank");
        pages += 1;
    }
    assert!(pages > 5);
}
