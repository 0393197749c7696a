//! What commands that print on paper share.

use std::path::PathBuf;

use super::Trouble;
use crate::print::page::{Fonts, Laid, Paper, pdf};
use crate::source::load::{Disk, Shelf};

/// The paper, and a font for letters that the embedded ones lack.
#[derive(clap::Args)]
pub(super) struct PaperArgs {
    /// The paper
    #[arg(long, value_enum, default_value_t = Size::A4)]
    paper: Size,
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
    /// The paper as it lies.
    pub(super) fn paper(&self) -> Paper {
        let paper = if self.paper == Size::A4 { Paper::a4() } else { Paper::letter() };
        if self.landscape { paper.landscape() } else { paper }
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
