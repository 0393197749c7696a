//! A diagnostic, as data.

use serde::Serialize;

use crate::source::Span;

/// How bad it is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Nothing is printed until it is mended.
    Error,
    /// It may hurt on stage.
    Warning,
    /// It could be said more simply.
    Hint,
}

impl Severity {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Hint => "hint",
        }
    }
}

/// What a mend is, and so what is asked of it before it is made unasked. Nothing that is put in, taken out or chosen by
/// guess is: it stays an offer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum How {
    /// A sign put in, or in place of another; every word stays.
    Sign,
    /// A number with its unit as they are meant.
    Figure,
    /// A word of the language, respelt.
    Word,
    /// A name, respelt as one that the book has.
    Name,
    /// The new name of what had the old one on the last tour.
    Renamed,
    /// One reading of several, or more than the writer said.
    Offer,
}

/// A mend: a text put in place of another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fix {
    /// What it does, as a command: "say `20 %`".
    pub says: String,
    /// What it is.
    pub how: How,
    /// The edits; they do not overlap.
    pub edits: Vec<(Span, String)>,
}

/// One change of the text that is offered. It is told only where the whole book was found right with it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Way {
    /// Where it is made, if the words need it: "in `bed`".
    pub place: String,
    /// What it does, as a command: "bypass `ember`".
    pub says: String,
    /// The edits; they do not overlap.
    pub edits: Vec<(Span, String)>,
}

/// Something found in a book.
///
/// Wording: lowercase, no full stop, what the user typed in backticks, no type names of the program.
#[derive(Clone, PartialEq, Debug)]
pub struct Diagnostic {
    /// The rule's code.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// What is wrong, in the trade's words.
    pub message: String,
    /// The place underlined.
    pub at: Span,
    /// What to write below the underlined place, if anything.
    pub label: Option<String>,
    /// Other places that matter, each with what to write there.
    pub others: Vec<(Span, String)>,
    /// Changes of the text, each of which may be the way out.
    pub ways: Vec<Way>,
    /// What else may be done, told behind the changes.
    pub besides: Option<String>,
    /// The way out where none of the changes holds, or was tried: it promises nothing.
    pub help: Option<String>,
    /// A mend of the text.
    pub fix: Option<Fix>,
    /// The names it is about, as `allow` may say them; none means the name underlined.
    pub about: Vec<String>,
}

impl Diagnostic {
    /// A message at a place; the rule's code and severity are filled in where rules are run.
    pub fn new(at: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic {
            code: "",
            severity: Severity::Error,
            message: message.into(),
            at,
            label: None,
            others: Vec::new(),
            ways: Vec::new(),
            besides: None,
            help: None,
            fix: None,
            about: Vec::new(),
        }
    }

    /// What to write below the underlined place.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Diagnostic {
        self.label = Some(label.into());
        self
    }

    /// Another place that matters.
    #[must_use]
    pub fn other(mut self, at: Span, says: impl Into<String>) -> Diagnostic {
        self.others.push((at, says.into()));
        self
    }

    /// A change that may be the way out; none where it could not be written.
    #[must_use]
    pub fn way(mut self, place: &str, says: impl Into<String>, edits: Option<Vec<(Span, String)>>) -> Diagnostic {
        self.ways.extend(edits.map(|edits| Way { place: place.to_owned(), says: says.into(), edits }));
        self
    }

    /// What else may be done.
    #[must_use]
    pub fn besides(mut self, besides: impl Into<String>) -> Diagnostic {
        self.besides = Some(besides.into());
        self
    }

    /// The way out where no change holds.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Diagnostic {
        self.help = Some(help.into());
        self
    }

    /// A name that it is about.
    #[must_use]
    pub fn about(mut self, name: impl Into<String>) -> Diagnostic {
        self.about.push(name.into());
        self
    }

    /// A mend of one place. Words said so far are its own: without it they are not told.
    #[must_use]
    pub fn fix(self, how: How, says: impl Into<String>, at: Span, text: impl Into<String>) -> Diagnostic {
        self.mend(Fix { says: says.into(), how, edits: vec![(at, text.into())] })
    }

    /// The same for any mend.
    #[must_use]
    pub fn mend(mut self, fix: Fix) -> Diagnostic {
        let says = self.help.take().unwrap_or_else(|| fix.says.clone());
        self = self.way("", says, Some(fix.edits.clone()));
        self.fix = Some(fix);
        self
    }

    /// Takes its changes back, but for the words.
    pub(super) fn withdraw(&mut self) {
        self.fix = None;
        self.settle_help();
        self.ways.clear();
    }

    /// The way out in words, of the changes that are left.
    pub(crate) fn settle_help(&mut self) {
        let mut places: Vec<(String, Vec<&str>)> = Vec::new();
        for way in &self.ways {
            match places.last_mut() {
                Some((place, says)) if *place == way.place => says.push(&way.says),
                _ => places.push((way.place.clone(), vec![&way.says])),
            }
        }
        // The same changes in two places are told once.
        places.dedup_by(|(next, says), (place, before)| {
            let same = says == before && !place.is_empty();
            if same {
                *place = format!("{place} or {next}");
            }
            same
        });
        let said = |(place, says): (String, Vec<&str>)| match place.as_str() {
            "" => says.join("; or "),
            place => format!("{place}, {}", says.join("; or ")),
        };
        let mut all: Vec<String> = places.into_iter().map(said).collect();
        if !all.is_empty() {
            all.extend(self.besides.take());
            self.help = Some(all.join("; or "));
        }
    }
}
