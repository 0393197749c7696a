//! Documents in every format, and what paper asks.

use std::path::PathBuf;

use super::kind::Kind;
use super::{Trouble, output};
use crate::print::doc::{Doc, html, markdown, text};
use crate::print::page::{Fonts, Laid, Paper, flow, pdf, sides};
use crate::source::load::{Disk, Shelf};

/// The paper, and a font for letters that the embedded ones lack.
#[derive(clap::Args, Default)]
pub(super) struct PaperArgs {
    /// The paper: A4 when left out
    #[arg(long, value_enum)]
    paper: Option<Size>,
    /// Lay the paper on its long side
    #[arg(long)]
    landscape: bool,
    /// A font file for letters that the embedded fonts lack (PDF alone)
    #[arg(long, value_name = "FILE")]
    font: Option<PathBuf>,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Size {
    A4,
    Letter,
}

impl PaperArgs {
    /// Refuses what means nothing for such a file.
    pub(super) fn suits(&self, kind: Kind) -> Result<(), Trouble> {
        let sheets = matches!(kind, Kind::Pdf | Kind::Html);
        let lost = [
            ("--paper", self.paper.is_some() && !sheets),
            ("--landscape", self.landscape && !sheets),
            ("--font", self.font.is_some() && kind != Kind::Pdf),
        ];
        match lost.iter().find(|(_, lost)| *lost) {
            Some((option @ "--font", _)) => {
                Err(Trouble(format!("`{option}` goes with a PDF alone: other files hold no letters' shapes")))
            }
            Some((option, _)) => Err(Trouble(format!("`{option}` goes with PDF and HTML: nothing else has pages"))),
            None => Ok(()),
        }
    }

    /// The paper as it lies.
    pub(super) fn paper(&self) -> Paper {
        let paper = if self.paper == Some(Size::Letter) { Paper::letter() } else { Paper::a4() };
        if self.landscape { paper.landscape() } else { paper }
    }

    /// The same for a browser that prints; nothing where nobody said which.
    fn css(&self) -> String {
        let size = match self.paper {
            Some(Size::A4) => "A4",
            Some(Size::Letter) => "letter",
            None => "",
        };
        let words = [size, if self.landscape { "landscape" } else { "" }];
        words.into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
    }

    /// Documents in a format for people.
    pub(super) fn write(&self, docs: &[Doc], kind: Kind) -> Result<Vec<u8>, Trouble> {
        Ok(match kind {
            Kind::Html => html::write(docs, &self.css()).into_bytes(),
            Kind::Md => markdown::write(docs).into_bytes(),
            Kind::Pdf => {
                let given = self.font()?;
                let fonts = self.fonts(given.as_deref())?;
                let lay = |doc: &Doc| match &doc.sides {
                    Some(asked) => sides::lay(doc, asked, self.paper(), &fonts),
                    None => flow::lay(doc, self.paper(), &fonts),
                };
                let laid: Vec<Laid> = docs.iter().map(lay).collect();
                laid.iter().flat_map(|l| &l.told).for_each(|says| output::complain(says));
                for (doc, laid) in docs.iter().zip(&laid) {
                    let pages = laid.pages.len();
                    if let Some((what, why)) = doc.one_page.as_ref().filter(|_| pages > 1) {
                        output::complain(&format!("`{what}` takes {pages} pages: {why}"));
                    }
                }
                self.pdf(laid, &fonts, given.as_deref())?
            }
            _ => text::write(docs, false).into_bytes(),
        })
    }

    /// The embedded fonts, and the one that was given.
    pub(super) fn fonts<'d>(&self, given: Option<&'d [u8]>) -> Result<Fonts<'d>, Trouble> {
        Fonts::new(given).map_err(|e| Trouble(format!("`--font`: {e}")))
    }

    /// The bytes of the font, if one was given.
    pub(super) fn font(&self) -> Result<Option<Vec<u8>>, Trouble> {
        let Some(path) = &self.font else { return Ok(None) };
        let read = Disk.read(path).map_err(|why| Trouble(format!("cannot read {}: {why}", path.display())));
        read.map(Some)
    }

    /// The documents as one PDF. Letters that no font has are told, and nothing is written: a sheet must be right.
    pub(super) fn pdf(&self, laid: Vec<Laid>, fonts: &Fonts<'_>, given: Option<&[u8]>) -> Result<Vec<u8>, Trouble> {
        let whole = Laid::join(laid).ok_or_else(|| Trouble("there is nothing to print".to_owned()))?;
        if !whole.missing.is_empty() {
            let lacks = whole
                .missing
                .iter()
                .take(5)
                .map(|(c, text)| format!("`{c}` (U+{:04X}) in `{}`", *c as u32, text.trim()));
            let lacks: Vec<String> = lacks.collect();
            return Err(Trouble(format!(
                "the embedded fonts have no letter for {}; give a font that has it with `--font FILE`, or write HTML",
                lacks.join(", ")
            )));
        }
        pdf::write(&whole, fonts, given).map_err(Trouble)
    }
}
