//! A compiled book: a value that nobody changes, and that knows only what it was asked.

use std::ops::Deref;
use std::sync::OnceLock;

use crate::book::SetItem;
use crate::check::{self, Allowed, Diagnostic, Facts, Severity};
use crate::stages::Stages;

/// A book, compiled as far as its mistakes allow. What the stages made of it is read as it stands: `compiled.book`,
/// `compiled.table`; what only some ask for is studied when it is asked for, and once: `compiled.walk()`.
///
/// Nothing of it can be put in from outside, so that what it answers is always about the texts that were read:
/// ```compile_fail
/// let mut compiled = tipring::compile_texts(&[("b.scene", "switcher { loops 1 }")]);
/// compiled.presets = Vec::new();
/// ```
pub struct Compiled {
    stages: Stages,
    /// Everything found wrong or worth saying, and the warnings that the book allows.
    all: OnceLock<(Vec<Diagnostic>, Vec<Allowed>)>,
    mistakes: OnceLock<Vec<Diagnostic>>,
}

impl Deref for Compiled {
    type Target = Stages;

    fn deref(&self) -> &Stages {
        &self.stages
    }
}

impl Compiled {
    /// Nothing of it is checked yet.
    pub(crate) fn new(stages: Stages) -> Compiled {
        Compiled { stages, all: OnceLock::new(), mistakes: OnceLock::new() }
    }

    /// What no text stands behind: there is nothing to find wrong in it.
    pub(crate) fn without_text(stages: Stages) -> Compiled {
        Compiled { stages, all: OnceLock::from((Vec::new(), Vec::new())), mistakes: OnceLock::from(Vec::new()) }
    }

    /// True for what is known of a unit, and was read from no text.
    pub fn is_unit(&self) -> bool {
        self.stages.trees.is_empty()
    }

    /// Everything found wrong or worth saying, in the order of the text.
    pub fn diagnostics(&self) -> &[Diagnostic] {
        &self.all().0
    }

    /// Warnings that the book allows, each with its reason, in the order of the text.
    pub fn allowed(&self) -> &[Allowed] {
        &self.all().1
    }

    /// The errors alone: what can only warn or hint is not looked for.
    pub fn mistakes(&self) -> &[Diagnostic] {
        self.mistakes.get_or_init(|| match self.all.get() {
            Some((found, _)) => found.iter().filter(|d| d.severity == Severity::Error).cloned().collect(),
            None => check::errors(&Facts::of(&self.stages)),
        })
    }

    /// How many errors there are.
    pub fn errors(&self) -> usize {
        self.mistakes().len()
    }

    /// The same book with values chosen for free contacts so that the fewest move over the sets, and that keep the rules.
    /// What prints asks for it; a check needs none of it.
    #[must_use]
    pub fn fill_least(self) -> Compiled {
        Compiled { stages: self.stages.fill(true), ..self }
    }

    /// The same book with free cells as an empty preset has them, but for those that a rule asks for.
    #[must_use]
    pub fn fill_kept(self) -> Compiled {
        Compiled { stages: self.stages.fill(false), ..self }
    }

    /// The same book, with the same presets, as if this were its only set: what then follows what is studied anew.
    #[must_use]
    pub fn playing(self, title: &str, items: Vec<SetItem>) -> Compiled {
        Compiled::new(self.stages.playing(title, items))
    }

    fn all(&self) -> &(Vec<Diagnostic>, Vec<Allowed>) {
        self.all.get_or_init(|| {
            // No study knows another: the longest goes beside the rest.
            rayon::join(|| (self.signal(), self.rules()), || self.telling());
            check::all(&Facts::of(&self.stages))
        })
    }
}
