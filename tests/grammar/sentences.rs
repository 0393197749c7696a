//! Random sentences: the parser takes all that the file allows, and refuses what it does not.

use tipring::syntax::fault::Fault;
use tipring::syntax::{parse, registry};

use super::ebnf::{FILE, Grammar};
use super::generate::Writer;
use super::layout;
use super::recognise::{Names, accepts};

fn refused(text: &str) -> Option<String> {
    let (tree, mut faults) = parse(0, text);
    // The file sets no limit to digits; that nobody writes so many is told beside it.
    faults.retain(|fault| !matches!(fault, Fault::NumberTooLong { .. }));
    let broken = tree.statements(text).any(|s| s.broken());
    // How many digits a number may have, the file does not say.
    let faults: Vec<Fault> = faults.into_iter().filter(|f| !matches!(f, Fault::NumberTooLong { .. })).collect();
    (broken || !faults.is_empty()).then(|| format!("{faults:?}\n{text}"))
}

#[test]
fn books_of_every_alternative_are_read_without_a_fault() {
    let grammar = Grammar::shipped();
    let mut writer = Writer::new(&grammar, 11);
    let (mut bytes, mut tokens) = (0, 0);
    for _ in 0..24_000 {
        let sentence = writer.sentence("book");
        let text = layout::text(&sentence, &mut writer.random);
        if let Some(why) = refused(&text) {
            panic!("{why}");
        }
        bytes += text.len();
        tokens += sentence.len();
    }
    // What whole books reach seldom is written by itself.
    for row in registry::rows() {
        let own = |(_, (production, _)): &(usize, &(String, usize))| production.as_str() == row.name;
        let own: Vec<usize> = grammar.points.iter().enumerate().filter(own).map(|(point, _)| point).collect();
        let mut tries = 0..2_000;
        while own.iter().any(|point| writer.counts[*point].iter().any(|n| *n < 10)) && tries.next().is_some() {
            let sentence = writer.sentence(row.name);
            let text = layout::text(&sentence, &mut writer.random);
            assert!(row.reads(&text), "{}: {text}", row.name);
        }
    }
    for (point, (production, _)) in grammar.points.iter().enumerate() {
        let ways = &writer.counts[point];
        assert!(ways.iter().all(|n| *n >= 5), "{production}: {ways:?}");
    }
    assert!(grammar.points.len() > 150 && tokens > 200_000, "{} {bytes} {tokens}", grammar.points.len());
}

#[test]
fn each_production_is_read_by_the_function_beside_it() {
    let grammar = Grammar::shipped();
    let mut writer = Writer::new(&grammar, 12);
    for row in registry::rows() {
        for _ in 0..40 {
            let sentence = writer.sentence(row.name);
            let text = layout::text(&sentence, &mut writer.random);
            assert!(row.reads(&text), "{}: {text}", row.name);
        }
    }
}

/// One token too few, too many, out of place or cut short.
fn spoil(tokens: &mut Vec<String>, writer: &mut Writer<'_>) {
    let random = &mut writer.random;
    let at = random.below(tokens.len());
    match random.below(5) {
        0 => {
            tokens.remove(at);
        }
        1 => tokens.insert(at, tokens[at].clone()),
        2 => {
            let next = (at + 1) % tokens.len();
            tokens.swap(at, next);
        }
        3 => tokens[at] = tokens[random.below(tokens.len())].clone(),
        _ => {
            let number = |t: &String| t.starts_with(|c: char| c.is_ascii_digit());
            let quantity = (0..tokens.len()).find(|i| number(&tokens[(at + i) % tokens.len()]));
            let at = quantity.map_or(at, |i| (at + i) % tokens.len());
            let cut = tokens[at].find(|c: char| !c.is_ascii_digit()).filter(|n| *n > 0);
            match cut {
                Some(n) => tokens[at].truncate(n),
                None => tokens[at].push_str(" V"),
            }
        }
    }
}

#[test]
fn spoilt_sentences_are_judged_as_the_file_judges_them() {
    let grammar = Grammar::shipped();
    let mut writer = Writer::new(&grammar, 13);
    let (mut taken, mut left, mut open) = (0, 0, 0);
    for _ in 0..4_000 {
        let mut sentence = writer.sentence("statement");
        spoil(&mut sentence, &mut writer);
        let text = layout::text(&sentence, &mut writer.random);
        let answer = refused(&text);
        if accepts(&grammar, "book", &text, Names::Strict) {
            taken += 1;
            assert!(answer.is_none(), "{}", answer.unwrap());
        } else if !accepts(&grammar, "book", &text, Names::Loose) {
            left += 1;
            assert!(answer.is_some(), "should be refused: {text}");
        } else {
            // A word of the language stands for a name: whether it may is not the grammar's to say.
            open += 1;
        }
    }
    assert!(taken > 400 && left > 2_000 && open < 400, "{taken} taken, {left} refused, {open} open");
}

#[test]
fn an_alternative_that_the_parser_does_not_know_is_noticed() {
    for (from, to) in [
        ("mute        ::= 'mute'", "mute        ::= 'mute' | 'hush'"),
        ("tap         ::= 'tap' 'by' 'foot'", "tap         ::= 'tap' 'by' ( 'foot' | 'hand' )"),
        ("'below' )? quantity", "'below' )? quantity?"),
    ] {
        let changed = FILE.replace(from, to);
        assert_ne!(changed, FILE);
        let grammar = Grammar::read(&changed);
        let mut writer = Writer::new(&grammar, 14);
        let noticed = (0..1_000).any(|_| {
            let sentence = writer.sentence("book");
            refused(&layout::text(&sentence, &mut writer.random)).is_some()
        });
        assert!(noticed, "{to}");
    }
}
