//! A large book is read, bound and settled by two at once. It must come out as its parts do alone, which are small
//! enough for one, and as on a machine that has only one thread for it: the same rows, and the same mistakes told.

use tipring::Compiled;
use tipring::driver::compile_texts;

#[allow(dead_code)]
#[path = "../benches/large.rs"]
mod book;

/// A row and the mistakes of it, in words.
fn rows(compiled: &Compiled) -> Vec<(String, String)> {
    let rows = compiled.book.show.scenes.pairs().map(|(id, scene)| {
        let values = compiled.table.row(id);
        let free = compiled.table.cells.list.ids().filter(|c| compiled.table.is_free(id, *c)).collect::<Vec<_>>();
        (scene.name.to_string(), format!("{values:?} {free:?}"))
    });
    rows.collect()
}

fn told(compiled: &Compiled) -> Vec<String> {
    compiled.diagnostics().iter().map(|d| format!("{} {}", d.code, d.message)).collect()
}

#[test]
fn a_large_book_comes_out_as_its_parts_do() {
    const SCENES: u64 = 9000;
    let mut whole = book::book(SCENES, 3);
    // Mistakes near both ends and in the middle, where the text is cut in two.
    for scene in [10, SCENES / 2, SCENES - 10] {
        let from = whole.find(&format!("scene s{scene}x ")).unwrap();
        let at = from + whole[from..].find("engage ").or(whole[from..].find("bypass ")).unwrap();
        whole.replace_range(at..at + 6, "engagee");
    }
    assert!(whole.len() > 800_000, "{} bytes are read by one", whole.len());
    let large = compile_texts(&[("book.scene", &whole)]);
    for threads in [1, 2, 3] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let again = pool.install(|| compile_texts(&[("book.scene", &whole)]));
        assert!(large.trees[0].same(&whole, &again.trees[0], &whole), "{threads} threads");
        assert_eq!(told(&large), told(&again), "{threads} threads");
        assert_eq!(rows(&large), rows(&again), "{threads} threads");
    }

    // The same text in files, each small enough for one; the rows are still laid by two.
    let starts: Vec<usize> = whole.match_indices("\nscene ").map(|(at, _)| at + 1).collect();
    let cuts: Vec<usize> = starts.iter().copied().step_by(1500).skip(1).collect();
    let ends = cuts.iter().copied().chain([whole.len()]);
    let files: Vec<(String, &str)> = std::iter::once(0)
        .chain(cuts.iter().copied())
        .zip(ends)
        .enumerate()
        .map(|(n, (from, to))| (format!("part-{n}.scene"), &whole[from..to]))
        .collect();
    assert!(files.iter().all(|(_, text)| text.len() < 1 << 19), "a part is read by two");
    let texts: Vec<(&str, &str)> = files.iter().map(|(name, text)| (name.as_str(), *text)).collect();
    let parted = compile_texts(&texts);
    assert_eq!(told(&large), told(&parted));
    assert_eq!(told(&large).len(), 3, "{:?}", told(&large));
    assert_eq!(rows(&large), rows(&parted));

    // The first scenes alone, few enough to be laid by one: scenes derive from earlier ones only.
    let few = starts[3000];
    let some = compile_texts(&[("some.scene", &whole[..few])]);
    assert_eq!(some.book.show.scenes.len(), 3000);
    assert_eq!(rows(&some), rows(&large)[..3000]);
}
