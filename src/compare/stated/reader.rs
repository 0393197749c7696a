//! Reads the statements of a book.

use super::statement::{Area, Fact, Line, Lines, Subject};
use crate::Compiled;
use crate::book::night::statements;
use crate::book::{Amount, How, amount};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::one_line::one_line;
use crate::syntax::tree::View;

/// Every statement, by subject and fact; `rename` gives for a name's place the name that the other book uses for the same
/// thing.
pub(super) fn read(compiled: &Compiled, rename: &dyn Fn(Span) -> Option<String>) -> Lines {
    Reader { compiled, rename, lines: Lines::new() }.read()
}

struct Reader<'c> {
    compiled: &'c Compiled,
    /// A name that the new book uses for the same thing.
    rename: &'c dyn Fn(Span) -> Option<String>,
    lines: Lines,
}

impl Reader<'_> {
    fn read(mut self) -> Lines {
        let compiled = self.compiled;
        for (view, old) in statements(&compiled.book, &compiled.files, &compiled.trees) {
            old.into_iter().for_each(|old| self.statement(old));
            self.statement(view);
        }
        self.lines
    }

    fn statement(&mut self, view: View<'_>) {
        let kind = view.kind();
        let name = || view.child(Kind::Name).map_or(String::new(), |n| self.name(n));
        match kind {
            Kind::Switcher | Kind::Panel => self.facts(&Subject::The(kind), view),
            Kind::Guitar | Kind::Supply | Kind::Pedal | Kind::Buffer | Kind::Amp | Kind::Helper | Kind::Listener => {
                self.thing(Subject::Named(kind, name()), view);
            }
            Kind::Treadle | Kind::Chain => {
                let name = name();
                let opens = format!("{} {name}", kind.name());
                self.put(Area::Hardware, Subject::Named(kind, name), &opens, view);
            }
            Kind::Board => self.put(Area::Hardware, Subject::The(kind), "board", view),
            Kind::Patch => self.put(Area::Hardware, Subject::The(kind), "patch leads", view),
            Kind::Limit => self.put(Area::Rules, Subject::The(kind), "limit level step", view),
            Kind::Safe => self.put(Area::Rules, Subject::The(kind), "safe switch", view),
            Kind::Ways => self.put(Area::Rules, Subject::The(kind), "ways", view),
            Kind::Rule => {
                // A rule goes by its text; one without is known by what it says.
                let text = view.child(Kind::Text).map(|t| t.text().to_owned());
                let about = text.unwrap_or_else(|| self.compare(view));
                let opens = format!("rule {about}");
                self.put(Area::Rules, Subject::Rule(about), &opens, view);
            }
            Kind::Fallback | Kind::Allow => {
                // Known by what it says, in the new book's names; two of them never differ in one word only.
                let says = one_line(view.text());
                let about = Some(Subject::Saying(kind, says.clone()));
                let line = Line { area: Area::Rules, about, compare: self.compare(view), says };
                self.lines.insert((Subject::Saying(kind, self.renamed_words(view)), Fact::Itself), line);
            }
            _ => {}
        }
    }

    /// A guitar, supply or device: itself, then its facts.
    fn thing(&mut self, about: Subject, view: View<'_>) {
        let title = view.child(Kind::Text).map_or(String::new(), |t| t.text().to_owned());
        let line = Line { area: Area::Hardware, about: None, compare: title.clone(), says: title };
        self.lines.insert((about.clone(), Fact::Itself), line);
        self.facts(&about, view);
    }

    fn facts(&mut self, about: &Subject, view: View<'_>) {
        let facts = view.children().filter(|v| !matches!(v.kind(), Kind::Name | Kind::Text | Kind::Word));
        // A cable counts with a guitar alone.
        let facts = facts.filter(|v| v.kind() != Kind::Cable || view.kind() == Kind::Guitar);
        for fact in facts {
            let kind = fact.kind();
            let area = if kind == Kind::Knob { Area::Knobs } else { Area::Hardware };
            let line = Line { area, about: None, compare: self.compare(fact), says: says(fact, &opening(fact)) };
            self.lines.insert((about.clone(), which(fact)), line);
        }
    }

    /// A statement that is one fact; `opens` are the words that say which.
    fn put(&mut self, area: Area, about: Subject, opens: &str, view: View<'_>) {
        let line = Line { area, about: None, compare: self.compare(view), says: says(view, opens) };
        self.lines.insert((about, Fact::Itself), line);
    }

    /// A statement on one line, with the names of the new book.
    fn renamed_words(&self, view: View<'_>) -> String {
        let mut out = String::new();
        let mut at = view.span().start;
        let text =
            |from: u32, to: u32| self.compiled.files.text(Span { start: from, end: to, ..view.span() }).to_owned();
        for name in view.children().filter(|v| v.kind() == Kind::Name) {
            out += &text(at, name.span().start);
            out += &self.name(name);
            at = name.span().end;
        }
        out += &text(at, view.span().end);
        one_line(&out)
    }

    fn name(&self, name: View<'_>) -> String {
        (self.rename)(name.span()).unwrap_or_else(|| name.text().to_owned())
    }

    /// A statement without its layout: kinds and leaves, amounts in their shortest form, renamed things by their
    /// new name, states of a control by name unless their order counts.
    fn compare(&self, view: View<'_>) -> String {
        // When a message goes out is stored in the presets that send it, and told there.
        let moment = |v: &View<'_>| {
            view.kind() == Kind::Control && matches!(v.kind(), Kind::OnLeaving | Kind::AfterTime | Kind::OnlyChanged)
        };
        let mut inner: Vec<String> = view.children().filter(|v| !moment(v)).map(|v| self.compare(v)).collect();
        if view.kind() == Kind::States && !self.momentary(view) {
            inner.sort();
        }
        if !inner.is_empty() {
            return format!("({} {})", view.kind().name(), inner.join(" "));
        }
        match view.kind() {
            Kind::Quantity => Amount::read(view.text()).map_or_else(|| view.text().to_owned(), amount::size),
            Kind::Name => self.name(view),
            Kind::Text => view.text().to_owned(),
            _ => view.text().split_whitespace().collect::<Vec<_>>().join(" "),
        }
    }

    /// States of a momentary control follow each other, so their order counts. The states alone do not say which
    /// control they belong to: any book with a momentary control keeps its states' order.
    fn momentary(&self, states: View<'_>) -> bool {
        let at = states.span();
        self.compiled.book.board.devices.iter().flat_map(|d| &d.controls).any(|c| {
            let inside =
                c.states.first().is_some_and(|s| at.file == s.at.file && at.start <= s.at.start && s.at.end <= at.end);
            inside && matches!(c.how, How::Remote { momentary: true, .. })
        })
    }
}

/// Which fact of its subject a statement is.
fn which(view: View<'_>) -> Fact {
    let kind = view.kind();
    let text = |v: View<'_>| v.text().to_owned();
    match kind {
        Kind::Knob | Kind::Control | Kind::Level | Kind::Leg | Kind::Outlet => {
            view.child(Kind::Name).map_or(Fact::Of(kind), |name| Fact::Named(kind, text(name)))
        }
        Kind::Kept => view.child(Kind::Number).map_or(Fact::Of(kind), |number| Fact::Named(kind, text(number))),
        Kind::PanelJack => match view.children().next() {
            Some(word) => Fact::PanelJack(text(word), view.child(Kind::Number).map(text)),
            None => Fact::Of(kind),
        },
        _ => Fact::Of(kind),
    }
}

/// The words of a statement that say which fact it is.
fn opening(view: View<'_>) -> String {
    match which(view) {
        Fact::Named(Kind::Kept, number) => format!("preset {number}"),
        Fact::Named(kind, name) => format!("{} {name}", kind.name()),
        Fact::PanelJack(word, Some(number)) => format!("{word} {number}"),
        Fact::PanelJack(word, None) => word,
        _ => match view.kind() {
            Kind::Ports => "expressions".to_owned(),
            Kind::Jacks => "remote jacks".to_owned(),
            Kind::OwnLoops => "loops".to_owned(),
            Kind::OnRemote | Kind::OnMidi | Kind::OnCc => "on".to_owned(),
            Kind::FootInputs => "foot inputs".to_owned(),
            Kind::Inverts => "inverts polarity".to_owned(),
            Kind::Keeps => "keeps polarity".to_owned(),
            kind => kind.name().replace('-', " "),
        },
    }
}

/// What a statement says: on one line, without comments, and without the words that it opens with, which say what it
/// is about.
fn says(view: View<'_>, opens: &str) -> String {
    let whole = one_line(view.text());
    let rest = whole.strip_prefix(opens).unwrap_or(&whole);
    let rest = rest.trim().trim_start_matches(':').trim();
    let rest = rest.strip_prefix("switch starts ").unwrap_or(rest);
    if rest.is_empty() && view.kind() == Kind::Kept {
        return "every loop out".to_owned();
    }
    if rest.is_empty() { whole } else { rest.to_owned() }
}
