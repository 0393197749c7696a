//! What all commands that print a report share: one way from a book to bytes.

use super::kind::{Format, Kind, formats};
use super::open::{Drafting, Opening};
use super::output::{Out, To};
use super::paper::PaperArgs;
use super::played::Played;
use super::{CLEAN, Outcome, Trouble, output, safe, wrong};
use crate::Compiled;
use crate::print::doc::{Doc, text};

formats!(Records {
    Text,
    Md,
    Html,
    /// On paper
    Pdf,
    /// For spreadsheets
    Csv
});

/// Which book, how it is printed, and where to.
#[derive(clap::Args)]
pub(super) struct Printing<F: Format> {
    #[command(flatten)]
    pub opening: Opening,
    #[command(flatten)]
    pub drafting: Drafting,
    #[command(flatten)]
    pub paper: PaperArgs,
    #[command(flatten)]
    pub out: Out<F>,
}

/// What a command has to print.
pub(super) enum Told {
    /// For people: documents, in any format.
    Report(Vec<Doc>),
    /// The same, and a page that goes into a file of its own.
    Beside(Vec<Doc>, To, String),
    /// For programs: written already.
    Data(String),
    /// What is no text.
    Bytes(Vec<u8>),
}

impl From<Doc> for Told {
    fn from(doc: Doc) -> Told {
        Told::Report(vec![doc])
    }
}

impl<F: Format> Printing<F> {
    /// Opens the book, asks for what is to be printed as this kind of file, and writes it.
    pub(super) fn run(&self, tell: impl FnOnce(&Compiled, Kind) -> Result<Told, Trouble>) -> Outcome {
        self.run_with(|compiled| Ok(Some(compiled)), tell)
    }

    /// The same of what is to be played.
    pub(super) fn run_played(
        &self,
        played: &Played,
        tell: impl FnOnce(&Compiled, Kind) -> Result<Told, Trouble>,
    ) -> Outcome {
        played.spared_by(self.out.to())?;
        self.run_with(|compiled| played.of(compiled, self.drafting.draft), tell)
    }

    fn run_with(
        &self,
        prepare: impl FnOnce(Compiled) -> Result<Option<Compiled>, Trouble>,
        tell: impl FnOnce(&Compiled, Kind) -> Result<Told, Trouble>,
    ) -> Outcome {
        let kind = self.out.format()?.kind();
        self.paper.suits(kind)?;
        let Some(compiled) = self.opening.open_clean(&self.drafting)? else { return Ok(wrong()) };
        let Some(compiled) = prepare(compiled)? else { return Ok(wrong()) };
        send(tell(&compiled, kind)?, kind, &self.paper, &self.out)?;
        Ok(CLEAN)
    }
}

/// Writes what was told as this kind of file.
pub(super) fn send<F: Format>(told: Told, kind: Kind, paper: &PaperArgs, out: &Out<F>) -> Result<(), Trouble> {
    let (docs, beside) = match told {
        Told::Report(docs) => (docs, None),
        Told::Beside(docs, to, page) => (docs, Some((to, page))),
        Told::Data(data) => return out.write(data.as_bytes()),
        Told::Bytes(bytes) => return out.write(&bytes),
    };
    let bytes = paper.write(&docs, kind)?;
    let beside = beside.as_ref().map(|(to, page)| (to, page.as_bytes()));
    // Colours are escapes too: a text that holds others is shown without.
    if kind == Kind::Text && out.to().colour() && safe::plain(&String::from_utf8_lossy(&bytes)) {
        beside.map_or(Ok(()), |(to, page)| to.write(page))?;
        return output::show_coloured(&text::write(&docs, true));
    }
    output::write_all(&[(out.to(), bytes.as_slice())].into_iter().chain(beside).collect::<Vec<_>>())
}
