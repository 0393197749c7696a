//! What is to be played: a set of the book, or tonight's order.

use std::path::{Path, PathBuf};

use fixedbitset::FixedBitSet;

use super::offer::{self, no_set, titles};
use super::output::To;
use super::{Trouble, open, output, report};
use crate::Compiled;
use crate::book::SetItem;
use crate::book::song::title_key;
use crate::check::Severity;
use crate::mend::offers;
use crate::print::sheet::answers::{self, Answer};
use crate::print::sheet::tonight;
use crate::source::load::{Disk, Shelf};
use crate::study::ways::{self, Run};

/// What a list is called that is in no book.
const TONIGHT: &str = "tonight";

/// Which songs, in which order.
#[derive(clap::Args)]
pub(super) struct Played {
    /// One set; all of them when left out
    #[arg(long, value_name = "TITLE")]
    set: Option<String>,
    /// Tonight's order: a file with a title a line, `pause: …` and `encore` (- is standard input); the book stays as it is
    #[arg(long, value_name = "FILE", conflicts_with = "set")]
    songs: Option<PathBuf>,
}

impl Played {
    /// The title of what was asked for; None for all there is.
    pub(super) fn title(&self) -> Option<&str> {
        self.songs.as_ref().map_or(self.set.as_deref(), |_| Some(TONIGHT))
    }

    /// The option that was given.
    pub(super) fn option(&self) -> Option<&'static str> {
        self.songs.as_ref().map(|_| "--songs").or(self.set.as_ref().map(|_| "--set"))
    }

    /// It is tonight's list.
    pub(super) fn is_list(&self) -> bool {
        self.songs.is_some()
    }

    /// The list is no file that is written.
    pub(super) fn spared_by(&self, out: &To) -> Result<(), Trouble> {
        out.spares(self.songs.as_deref())
    }

    /// The book with tonight's order as its only set, and what that order alone brings told; the same book otherwise.
    /// None when the order cannot be played, and no draft is wanted.
    pub(super) fn of(&self, compiled: Compiled, draft: bool) -> Result<Option<Compiled>, Trouble> {
        let Some(path) = &self.songs else {
            self.known(&compiled)?;
            return Ok(Some(compiled));
        };
        let songs = listed(path, &compiled)?;
        if compiled.errors() > 0 {
            return Ok(Some(compiled.playing(TONIGHT, songs)));
        }
        let before = compiled.diagnostics().to_vec();
        let playing = compiled.playing(TONIGHT, songs);
        let brought = playing.diagnostics().iter().filter(|d| d.severity != Severity::Hint && !before.contains(d));
        // Nothing can be tried on an order that the book does not say.
        report::tell(&playing.files, &offers::untried(brought));
        if playing.errors() > 0 && !draft {
            output::complain("this order cannot be played: nothing was written; `--draft` writes what is known");
            return Ok(None);
        }
        Ok(Some(playing))
    }

    /// The run that is meant: what is named, or the only set there is.
    pub(super) fn one(&self, compiled: &Compiled) -> Result<Run, Trouble> {
        let book = &compiled.book;
        let wanted = |run: &Run| match self.title() {
            Some(title) => title_key(run.title(book)) == title_key(title),
            None => run.set.is_some() || book.show.sets.is_empty(),
        };
        let mut found = ways::runs(book).into_iter().filter(wanted);
        let Some(run) = found.next() else { return Err(Trouble("the book plays nothing".to_owned())) };
        if found.next().is_some() {
            let sets = offer::listed(titles(book));
            return Err(Trouble(format!("the book has several sets: name one with `--set`{sets}")));
        }
        Ok(run)
    }

    /// The set, or a song that is in none, is one of the book's.
    fn known(&self, compiled: &Compiled) -> Result<(), Trouble> {
        let Some(wanted) = self.set.as_deref() else { return Ok(()) };
        let runs = ways::runs(&compiled.book);
        let found = runs.iter().any(|run| title_key(run.title(&compiled.book)) == title_key(wanted));
        if found { Ok(()) } else { Err(no_set(&compiled.book, wanted)) }
    }
}

/// The scenes that a set plays, or a song that is in none.
pub(super) fn scenes(compiled: &Compiled, set: &str) -> FixedBitSet {
    let mut scenes = FixedBitSet::with_capacity(compiled.book.show.scenes.len());
    let runs = ways::runs(&compiled.book);
    let runs = runs.iter().filter(|run| title_key(run.title(&compiled.book)) == title_key(set));
    let songs = runs.flat_map(|run| &run.songs).filter_map(|(s, _)| compiled.book.show.songs.get(*s));
    songs.flat_map(|song| &song.parts).filter_map(|p| p.scene).for_each(|s| {
        scenes.insert(s.index());
        compiled.book.show.on_the_way(s).for_each(|s| scenes.insert(s.index()));
    });
    scenes
}

fn listed(path: &Path, compiled: &Compiled) -> Result<Vec<SetItem>, Trouble> {
    tonight::read(&compiled.book, &text_of(path)?).map_err(Trouble)
}

/// What the player noted, from a file.
pub(super) fn noted(path: &Path) -> Result<Vec<Answer>, Trouble> {
    answers::read(&text_of(path)?).map_err(Trouble)
}

/// The words of a file, or of standard input.
fn text_of(path: &Path) -> Result<String, Trouble> {
    let cannot = |why| Trouble(format!("cannot read {}: {why}", path.display()));
    let bytes = if path == Path::new("-") { open::input()? } else { Disk.read(path).map_err(cannot)? };
    String::from_utf8(bytes).map_err(|_| Trouble(format!("{} is not UTF-8", path.display())))
}
