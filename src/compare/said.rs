//! What the files say of everything that no preset stores: hardware, knobs, leads, rules. Statement by statement,
//! under a key, so that their order, their layout and the file they stand in do not matter.

use std::collections::BTreeMap;

use crate::Compiled;
use crate::book::{Amount, amount};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

use super::pairs::Matched;

/// Where a difference belongs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Area {
    /// The board, its devices, leads and supplies.
    Hardware,
    /// Knobs set by hand before the show.
    Knobs,
    /// Rules, limits, fallbacks, the safe switch, exceptions.
    Rules,
}

/// A statement that differs.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Stated {
    /// Where it belongs.
    pub area: Area,
    /// What it is about: "pedal `sift`".
    pub about: String,
    /// Which fact of it: `loop`, `knob range`; empty for the thing itself.
    pub fact: String,
    /// What was said; None when nothing was.
    pub was: Option<String>,
    /// What is said now.
    pub now: Option<String>,
}

/// One statement: how it compares, and how it reads.
struct Line {
    area: Area,
    /// What it is about in its own book's names, where that is not its key.
    about: Option<String>,
    compare: String,
    reads: String,
}

type Lines = BTreeMap<(String, String), Line>;

/// Every statement that differs, by area and key.
pub fn differences(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<Stated> {
    let rename = |name: &str| {
        let at = old.book.devices.iter().position(|d| d.name == name)?;
        let partner = new.book.devices.get(matched.devices.new_of(at as u32)? as usize)?;
        Some(partner.name.clone())
    };
    let scene = |name: &str| {
        let at = old.book.scenes.iter().position(|s| *s.name == *name)?;
        Some(new.book.scene(matched.scenes.new_of(at as u32)?)?.name.to_string())
    };
    let was = Reader::new(old, &|name| rename(name).or_else(|| scene(name))).read();
    let now = Reader::new(new, &|_| None).read();
    let mut out = Vec::new();
    for (key, line) in &was {
        let other = now.get(key);
        if other.is_some_and(|o| o.compare == line.compare) {
            continue;
        }
        out.push(stated(key, line.area, Some(line), other));
    }
    for (key, line) in now.iter().filter(|(key, _)| !was.contains_key(*key)) {
        out.push(stated(key, line.area, None, Some(line)));
    }
    out.sort();
    out
}

fn stated(key: &(String, String), area: Area, was: Option<&Line>, now: Option<&Line>) -> Stated {
    let text = |l: Option<&Line>| l.map(|l| l.reads.clone());
    let about = was.or(now).and_then(|l| l.about.clone()).unwrap_or_else(|| key.0.clone());
    Stated { area, about, fact: key.1.clone(), was: text(was), now: text(now) }
}

/// Electrical facts of a device, as the files say them.
pub fn facts_of(compiled: &Compiled, device: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (tree, (_, file)) in compiled.trees.iter().zip(compiled.files.iter()).filter(|(_, (_, f))| !f.shipped) {
        let devices =
            tree.statements(&file.text).filter(|v| matches!(v.kind(), Kind::Pedal | Kind::Buffer | Kind::Amp));
        for view in devices.filter(|v| v.child(Kind::Name).is_some_and(|n| n.text() == device)) {
            let kinds = [Kind::Like, Kind::Input, Kind::Output, Kind::Send, Kind::Return, Kind::Gain, Kind::Power];
            let facts = view.children().filter(|v| kinds.contains(&v.kind()));
            out.extend(facts.map(|v| one_line(v.text())));
        }
    }
    out
}

struct Reader<'c> {
    compiled: &'c Compiled,
    /// A name that the new book uses for the same thing.
    rename: &'c dyn Fn(&str) -> Option<String>,
    lines: Lines,
}

impl<'c> Reader<'c> {
    fn new(compiled: &'c Compiled, rename: &'c dyn Fn(&str) -> Option<String>) -> Reader<'c> {
        Reader { compiled, rename, lines: Lines::new() }
    }

    fn read(mut self) -> Lines {
        let compiled = self.compiled;
        for (tree, (_, file)) in compiled.trees.iter().zip(compiled.files.iter()).filter(|(_, (_, f))| !f.shipped) {
            for view in tree.statements(&file.text) {
                self.statement(view);
            }
        }
        self.lines
    }

    fn statement(&mut self, view: View<'_>) {
        let name = || view.child(Kind::Name).map_or(String::new(), |n| self.name(n.text()));
        match view.kind() {
            Kind::Board => self.put(Area::Hardware, "board", "", view),
            Kind::Switcher => self.facts("switcher", view),
            Kind::Guitar => self.thing("guitar", name(), view),
            Kind::Supply => self.thing("supply", name(), view),
            Kind::Pedal => self.thing("pedal", name(), view),
            Kind::Buffer => self.thing("buffer", name(), view),
            Kind::Amp => self.thing("amp", name(), view),
            Kind::Treadle => self.put(Area::Hardware, &format!("treadle `{}`", name()), "", view),
            Kind::Chain => self.put(Area::Hardware, &format!("chain `{}`", name()), "", view),
            Kind::Patch => self.put(Area::Hardware, "patch leads", "", view),
            Kind::Panel => self.facts("panel", view),
            Kind::Rule => {
                // A rule goes by its text; one without is known by what it says.
                let text = view.child(Kind::Text).map(|t| t.text().to_owned());
                let about = text.unwrap_or_else(|| self.compare(view));
                self.put(Area::Rules, &format!("rule {about}"), "", view);
            }
            Kind::Limit => self.put(Area::Rules, "limit level step", "", view),
            Kind::Safe => self.put(Area::Rules, "safe switch", "", view),
            Kind::Ways => self.put(Area::Rules, "ways", "", view),
            Kind::Fallback | Kind::Allow => {
                // Known by what it says, in the new book's names; two of them never differ in one word only.
                let reads = one_line(view.text());
                let line = Line { area: Area::Rules, about: Some(reads.clone()), compare: self.compare(view), reads };
                self.lines.insert((self.renamed_words(view), String::new()), line);
            }
            _ => {}
        }
    }

    /// A guitar, supply or device: itself, then its facts.
    fn thing(&mut self, word: &str, name: String, view: View<'_>) {
        let about = format!("{word} `{name}`");
        let title = view.child(Kind::Text).map_or(String::new(), |t| t.text().to_owned());
        let line = Line { area: Area::Hardware, about: None, compare: title.clone(), reads: title };
        self.lines.insert((about.clone(), String::new()), line);
        self.facts(&about, view);
    }

    fn facts(&mut self, about: &str, view: View<'_>) {
        let facts = view.children().filter(|v| !matches!(v.kind(), Kind::Name | Kind::Text | Kind::Word));
        for fact in facts {
            let area = if fact.kind() == Kind::Knob { Area::Knobs } else { Area::Hardware };
            let word = fact.kind().name().replace('-', " ");
            let which = match fact.kind() {
                Kind::Knob | Kind::Control | Kind::Level | Kind::Outlet => fact.child(Kind::Name),
                Kind::PanelJack => fact.child(Kind::Number),
                _ => None,
            };
            let word = match fact.kind() {
                Kind::PanelJack => fact.children().next().map_or(word, |w| w.text().to_owned()),
                Kind::Cable if view.kind() != Kind::Guitar => continue,
                Kind::Ports => "expressions".to_owned(),
                Kind::Jacks => "remote jacks".to_owned(),
                _ => word,
            };
            let label = which.map_or(word.clone(), |w| format!("{word} {}", w.text()));
            self.put(area, about, &label, fact);
        }
    }

    fn put(&mut self, area: Area, about: &str, fact: &str, view: View<'_>) {
        let line = Line { area, about: None, compare: self.compare(view), reads: reads(view, about, fact) };
        self.lines.insert((about.to_owned(), fact.to_owned()), line);
    }

    /// A statement on one line, with the names of the new book.
    fn renamed_words(&self, view: View<'_>) -> String {
        let mut out = String::new();
        let mut at = view.span().start;
        let text = |from: u32, to: u32| {
            self.compiled.files.text(crate::source::Span { start: from, end: to, ..view.span() }).to_owned()
        };
        for name in view.children().filter(|v| v.kind() == Kind::Name) {
            out += &text(at, name.span().start);
            out += &self.name(name.text());
            at = name.span().end;
        }
        out += &text(at, view.span().end);
        one_line(&out)
    }

    fn name(&self, name: &str) -> String {
        (self.rename)(name).unwrap_or_else(|| name.to_owned())
    }

    /// A statement without its layout: kinds and leaves, amounts in their shortest form, renamed things by their
    /// new name, states of a control by name unless their order counts.
    fn compare(&self, view: View<'_>) -> String {
        let mut inner: Vec<String> = view.children().map(|v| self.compare(v)).collect();
        if view.kind() == Kind::States && !self.momentary(view) {
            inner.sort();
        }
        if !inner.is_empty() {
            return format!("({} {})", view.kind().name(), inner.join(" "));
        }
        match view.kind() {
            Kind::Quantity => Amount::read(view.text()).map_or_else(|| view.text().to_owned(), amount::size),
            Kind::Name => self.name(view.text()),
            Kind::Text => view.text().to_owned(),
            _ => view.text().split_whitespace().collect::<Vec<_>>().join(" "),
        }
    }

    /// States of a momentary control follow each other, so their order counts. The states alone do not say which
    /// control they belong to: any book with a momentary control keeps its states' order.
    fn momentary(&self, states: View<'_>) -> bool {
        let at = states.span();
        self.compiled.book.devices.iter().flat_map(|d| &d.controls).any(|c| {
            let inside =
                c.states.first().is_some_and(|s| at.file == s.at.file && at.start <= s.at.start && s.at.end <= at.end);
            inside && matches!(c.how, crate::book::How::Remote { momentary: true, .. })
        })
    }
}

/// A statement as people read it: on one line, without comments, and without the words that its key repeats.
fn reads(view: View<'_>, about: &str, fact: &str) -> String {
    let whole = one_line(view.text());
    let key = if fact.is_empty() { about.replace('`', "") } else { fact.to_owned() };
    let rest = whole.strip_prefix(&key).unwrap_or(&whole);
    let rest = rest.trim().trim_start_matches(':').trim();
    let rest = rest.strip_prefix("switch starts ").unwrap_or(rest);
    if rest.is_empty() { whole } else { rest.to_owned() }
}

/// Text on one line, comments gone.
pub fn one_line(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let mut quoted = false;
        let end = line.char_indices().find(|(_, c)| {
            quoted ^= *c == '"';
            *c == '#' && !quoted
        });
        let line = line.get(..end.map_or(line.len(), |(at, _)| at)).unwrap_or("");
        let line = line.split_whitespace().collect::<Vec<_>>().join(" ");
        if line.is_empty() {
            continue;
        }
        if !out.is_empty() {
            let joins = out.ends_with(['{', ',', ';']) || out.ends_with("->") || line.starts_with('}');
            out.push_str(if joins { " " } else { "; " });
        }
        out.push_str(&line);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::one_line;

    #[test]
    fn statements_on_one_line() {
        let text = "control way { # two of them\n  a: 1 tip closed  # here\n  b: \"x # y\"\n}";
        assert_eq!(one_line(text), "control way { a: 1 tip closed; b: \"x # y\" }");
    }
}
