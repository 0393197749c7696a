//! The PDF as poppler reads it back.

use std::path::Path;

use crate::tools::{example, nasty, outside, printed, tipring};

/// Writes a PDF; gives its path.
fn pdf(folder: &Path, name: &str, args: &[&str]) -> String {
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
    let cases: [(&str, &[&str], &str); 6] = [
        ("a.pdf", &["sheet", winter], "595.276 x 841.89"),
        ("b.pdf", &["sheet", winter, "--for", "player", "--set", "club night"], "595.276 x 841.89"),
        ("c.pdf", &["sheet", winter, "--for", "tech", "--paper", "letter"], "612 x 792"),
        ("d.pdf", &["sheet", winter, "--for", "tech", "--landscape"], "841.89 x 595.276"),
        ("e.pdf", &["labels", winter], "595.276 x 841.89"),
        ("f.pdf", &["sheet", nasty, "--for", "player"], "595.276 x 841.89"),
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

struct Word {
    page: usize,
    left: f32,
    top: f32,
    right: f32,
    bottom: f32,
    text: String,
}

fn words(boxes: &str) -> Vec<Word> {
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
    let cases: [&[&str]; 5] = [
        &["sheet", winter, "--program"],
        &["sheet", winter, "--for", "tech"],
        &["sheet", winter, "--for", "player", "--set", "hall night"],
        &["sheet", nasty, "--for", "player", "--landscape"],
        &["sheet", nasty, "--for", "tech", "--paper", "letter"],
    ];
    for args in cases {
        let path = pdf(folder.path(), "boxes.pdf", args);
        let Some(boxes) = outside("pdftotext", &["-bbox", &path, "-"]) else { return };
        let words = words(&boxes);
        assert!(words.len() > 50);
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
