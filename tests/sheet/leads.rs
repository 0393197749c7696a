//! A lead has one number, whichever list it stands in: each is read back as it is printed.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::tools::{example, printed, tipring};

/// Number to kind and ends, with the ends as they are printed.
type Leads = BTreeMap<usize, [String; 3]>;

fn records(text: &str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes()).deserialize().map(Result::unwrap).collect()
}

fn ask(command: &str, book: &Path, words: &[&str]) -> String {
    printed(&[&[command, book.to_str().unwrap()], words].concat())
}

fn wiring(book: &Path) -> Leads {
    let lead = |r: BTreeMap<String, String>| (r["lead"].parse().unwrap(), ["kind", "from", "to"].map(|k| r[k].clone()));
    let all = records(&ask("wiring", book, &["--format", "csv"]));
    let (count, leads) = (all.len(), all.into_iter().map(lead).collect::<Leads>());
    assert_eq!(leads.len(), count, "no number twice");
    leads
}

/// The cells of a Markdown table's rows.
fn cells(markdown: &str) -> impl Iterator<Item = Vec<String>> {
    let rows = markdown.lines().filter(|l| l.starts_with('|'));
    rows.map(|l| l.trim_matches('|').split('|').map(|c| c.replace('\\', "").trim().to_owned()).collect())
}

fn as_printed(book: &Path) -> Leads {
    let leads = wiring(book);
    let named = |kind: &str, from: &str, to: &str| [kind, from, to].map(str::to_owned);
    // The lead list as text: columns part where two blanks stand.
    let list: Leads = ask("wiring", book, &[])
        .lines()
        .filter_map(|l| l.strip_prefix("[ ]"))
        .map(|l| l.split("  ").map(str::trim).filter(|c| !c.is_empty()).collect::<Vec<_>>())
        .map(|c| (c[0].parse().unwrap(), named(c[1], c[2], c[3])))
        .collect();
    assert_eq!(list, leads, "the lead list");
    let steps: Leads = ask("buildcheck", book, &[])
        .lines()
        .filter_map(|l| l.strip_prefix("[ ] lead ")?.split_once("): plug "))
        .map(|(head, ends)| {
            let (number, made) = head.split_once(" (").unwrap();
            let (from, to) = ends.split_once(" -> ").unwrap();
            (number.trim().parse().unwrap(), named(made.split(',').next().unwrap(), from, to))
        })
        .collect();
    assert_eq!(steps, leads, "the plug-and-check list");
    let all = records(&ask("buildcheck", book, &["--format", "csv"]));
    let records: Leads =
        all.iter().map(|r| (r["lead"].parse().unwrap(), ["kind", "from", "to"].map(|k| r[k].clone()))).collect();
    assert_eq!(records, leads, "the plug-and-check list as records");
    let sheet: Leads = cells(&ask("sheet", book, &["--for", "tech", "--format", "md"]))
        .filter_map(|c| {
            let number = c[0].strip_prefix("[ ] ")?.parse().ok()?;
            let (from, to) = c.get(2)?.split_once(" > ")?;
            Some((number, named(&c[1], from, to)))
        })
        .collect();
    assert_eq!(sheet, leads, "the technician's sheet");
    leads
}

/// Both ends of each lead, one label an end.
fn labels(book: &Path, leads: &Leads) {
    let mut wanted: Vec<String> = leads
        .iter()
        .flat_map(|(n, [_, from, to])| {
            std::iter::once(from.as_str()).chain(to.split(" and ")).map(move |e| format!("{n} {e}"))
        })
        .collect();
    let all = records(&ask("labels", book, &["--format", "csv"]));
    let texts =
        all.iter().filter(|r| r["kind"] == "lead").map(|r| r["text"].trim_end_matches(", reversing").to_owned());
    let mut texts: Vec<String> = texts.collect();
    wanted.sort();
    texts.sort();
    assert_eq!(texts, wanted);
}

/// What a diff says of a lead is true of the lead lists of both books.
fn diff(old: (&Path, &Leads), new: (&Path, &Leads)) -> usize {
    let output = tipring(&["diff", old.0.to_str().unwrap(), new.0.to_str().unwrap(), "--for", "tech"]);
    let text = String::from_utf8(output.stdout).unwrap();
    let section = text.split("\nLeads\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let mut told = 0;
    for line in section.lines().filter_map(|l| l.strip_prefix("  [ ] lead ")) {
        let Some((number, says)) = line.split_once(": ") else { continue };
        let (was, now) = number.split_once(" (now ").map_or((number, number), |(w, n)| (w, n.trim_end_matches(')')));
        let lead = |leads: &Leads, n: &str| n.parse().ok().and_then(|n: usize| leads.get(&n).cloned());
        let ends = |leads: &Leads, n: &str| lead(leads, n).map(|[_, from, to]| [from, to]);
        if let Some((made, ends_told)) = says.split_once(", ").filter(|(s, _)| matches!(*s, "take out" | "put in")) {
            let leads = if made == "take out" { old.1 } else { new.1 };
            let [kind, from, to] = lead(leads, number).unwrap();
            assert!(ends_told.starts_with(&kind) && ends_told.ends_with(&format!(" from {from} to {to}")), "{line}");
        } else if let Some((from, to)) = says.strip_prefix("from ").and_then(|s| s.split_once(" to ")) {
            assert!(ends(old.1, was).unwrap().iter().any(|e| e.split(" and ").any(|e| e == from)), "{line}");
            assert!(ends(new.1, now).unwrap().iter().any(|e| e.split(" and ").any(|e| e == to)), "{line}");
        } else {
            continue;
        }
        told += 1;
    }
    told
}

#[test]
fn a_lead_has_one_number_in_every_list() {
    let books: Vec<PathBuf> = ["winter", "spring"].map(example).to_vec();
    let leads: Vec<Leads> = books.iter().map(|book| as_printed(book)).collect();
    assert_eq!(leads.iter().map(Leads::len).collect::<Vec<_>>(), [55, 55]);
    for (book, leads) in books.iter().zip(&leads) {
        labels(book, leads);
    }
    // By hand: two pedals changed places, four plugs; one is another, two plugs and that of its power.
    assert_eq!(diff((&books[0], &leads[0]), (&books[1], &leads[1])), 7);
    diff((&books[1], &leads[1]), (&books[0], &leads[0]));
}

#[test]
fn a_panel_is_labelled_by_what_stands_on_the_stage() {
    let csv = ask("labels", &example("winter"), &["--format", "csv"]);
    for line in
        ["panel,in 1,guitar", "panel,out 1,larch in", "panel,out 3,larch return", "panel,out 4,larch foot switch (tip)"]
    {
        assert!(csv.lines().any(|l| l == line), "{line} in {csv}");
    }
}

/// By hand: `ember` and `prism` change places; a scene that engages both hears it, one that engages one of them does not.
#[test]
fn pedals_that_change_places_are_heard_where_both_are_engaged() {
    let folder = tempfile::tempdir().unwrap();
    let book = |name: &str, chain: &str| {
        let path = folder.path().join(name);
        let text = format!(
            "switcher {{ loops 2; outputs 1; banks 1..1, switches 1..3 }}\nguitar plank\npedal ember {{ loop 1 }}\npedal prism {{ loop 2 }}\n\
             amp larch {{ fed by output 1 }}\nchain front: guitar -> {chain} -> output 1 -> larch\nscene both {{ engage ember, prism }}\n\
             scene one {{ engage ember }}\nscene hush {{ engage ember, prism; mute }}\nsong \"Quay\" on plank {{ both; one; hush }}\n"
        );
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let (old, new) = (book("old.scene", "loop 1 -> loop 2"), book("new.scene", "loop 2 -> loop 1"));
    let say = |words: &[&str]| String::from_utf8(tipring(&[&["diff", &old, &new], words].concat()).stdout).unwrap();
    let player = say(&["--for", "player"]);
    assert!(player.contains("both: `prism` now before `ember`\n"), "{player}");
    assert_eq!(player.matches("now before").count(), 1, "{player}");
    let both = say(&[]);
    assert!(both.contains("~ `both`: `prism` now before `ember`; in \"Quay\""), "{both}");
    let json: serde_json::Value = serde_json::from_str(&say(&["--format", "json"])).unwrap();
    let change = &json["heard"]["scenes"][0]["changes"][0];
    assert_eq!(
        (&change["kind"], &change["was"], &change["now"]),
        (&"order".into(), &"ember, prism".into(), &"prism, ember".into())
    );
}
