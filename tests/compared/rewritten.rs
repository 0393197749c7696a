//! The same book written otherwise: statements in another order, at the top and in scenes, other blanks, comments,
//! and two files.

use crate::settle_agrees::random::Random;
use tipring::syntax::kind::Kind;
use tipring::syntax::parse;
use tipring::syntax::tree::View;

pub(crate) fn files(text: &str, seed: u64) -> (String, String) {
    let random = &mut Random::new(seed ^ 0xF11E);
    let (tree, _) = parse(0, text);
    let mut statements: Vec<String> = tree.statements(text).map(|view| statement(view, random)).collect();
    random.shuffle(&mut statements);
    let (mut one, mut other) = (String::new(), String::new());
    for statement in statements {
        let file = if random.chance(50) { &mut one } else { &mut other };
        *file += &statement;
        *file += random.word(&["\n", "\n\n\n", "   # moved\n", "\n# and then\n"]);
    }
    (one, other)
}

fn statement(view: View<'_>, random: &mut Random) -> String {
    let body = view.child(Kind::SceneBody).filter(|_| matches!(view.kind(), Kind::Scene | Kind::Layer));
    let Some(body) = body else { return view.text().to_owned() };
    let mut says: Vec<&str> = body.children().map(|v| v.text()).collect();
    random.shuffle(&mut says);
    let head = &view.text()[..(body.span().start - view.span().start) as usize];
    let gap = *random.pick(&["\n    ", " ; ", "\n\n  "]);
    format!("{head}{{\n{}\n}}", says.join(gap))
}
