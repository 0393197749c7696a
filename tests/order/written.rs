//! A book written again: its top-level statements in another order and in other files, or the lines inside its blocks
//! in another order where that means nothing.

use tipring::syntax::kind::Kind;
use tipring::syntax::parse;
use tipring::syntax::tree::View;

use crate::settle_agrees::random::Random;

/// Files of a folder: name and text.
pub(crate) type Files = Vec<(String, String)>;

/// The top-level statements of some texts. A folder is read whole, so `use` goes without saying.
pub(crate) fn statements<'t>(texts: impl Iterator<Item = &'t str>) -> Vec<String> {
    let mut out = Vec::new();
    for text in texts {
        let (tree, faults) = parse(0, text);
        assert!(faults.is_empty(), "a book that is read to its end");
        out.extend(tree.statements(text).filter(|v| v.kind() != Kind::Use).map(|v| v.text().to_owned()));
    }
    out
}

/// One file, as it was read.
pub(crate) fn plain(statements: &[String]) -> Files {
    vec![("book.scene".to_owned(), statements.join("\n") + "\n")]
}

/// The same statements in any order, in up to four files.
pub(crate) fn dealt(statements: &[String], random: &mut Random) -> Files {
    let mut shuffled: Vec<&String> = statements.iter().collect();
    random.shuffle(&mut shuffled);
    let mut names: Vec<&str> = vec!["a", "board", "m", "songs", "z", "zz"];
    random.shuffle(&mut names);
    names.truncate(random.within(1, 4));
    let mut files: Files = names.iter().map(|name| (format!("{name}.scene"), String::new())).collect();
    for statement in shuffled {
        let file = random.below(files.len());
        files[file].1 += statement;
        files[file].1 += random.word(&["\n", "\n\n\n", "   # moved\n", "\n# and then\n"]);
    }
    files
}

/// The same statements, the lines inside their blocks in another order.
pub(crate) fn turned(statements: &[String], random: &mut Random) -> Files {
    let turned: Vec<String> = statements.iter().map(|text| turn(text, random)).collect();
    plain(&turned)
}

fn turn(text: &str, random: &mut Random) -> String {
    let (tree, _) = parse(0, text);
    let Some(view) = tree.statements(text).next() else { return text.to_owned() };
    let open = text.find('{').unwrap_or(text.len());
    let inside = |v: &View<'_>| v.span().start as usize > open;
    let lines: Vec<View<'_>> = match view.kind() {
        Kind::Scene | Kind::Layer | Kind::Default => {
            view.child(Kind::SceneBody).map(|body| body.children().collect()).unwrap_or_default()
        }
        Kind::Switcher | Kind::Guitar | Kind::Supply | Kind::Pedal | Kind::Buffer | Kind::Amp | Kind::Slots => {
            view.children().filter(inside).collect()
        }
        _ => Vec::new(),
    };
    let mut order: Vec<usize> = (0..lines.len()).collect();
    random.shuffle(&mut order);
    // Knobs, controls, levels and outlets are told as they stand on the box.
    let boxed = |i: &usize| matches!(lines[*i].kind(), Kind::Knob | Kind::Control | Kind::Level | Kind::Outlet);
    let mut told: Vec<usize> = order.iter().copied().filter(boxed).collect();
    told.sort_unstable();
    let mut told = told.into_iter();
    let order = order.into_iter().map(|i| if boxed(&i) { told.next().unwrap() } else { i });
    let (mut out, mut end) = (String::new(), 0);
    for (line, other) in lines.iter().zip(order.collect::<Vec<_>>()) {
        out += &text[end..line.span().start as usize];
        out += lines[other].text();
        end = line.span().end as usize;
    }
    out + &text[end..]
}
