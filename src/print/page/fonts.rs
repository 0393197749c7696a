//! The letters: widths, shapes, and what no font has.

use std::cell::RefCell;
use std::rc::Rc;

use rustc_hash::FxHashMap;
use rustybuzz::ttf_parser::GlyphId;
use rustybuzz::{Face as Shaper, UnicodeBuffer};

/// The embedded fonts, in the order of [`Face`].
pub const EMBEDDED: [&[u8]; 3] = [
    include_bytes!("../fonts/FiraSansCondensed-Regular.ttf"),
    include_bytes!("../fonts/FiraSansCondensed-SemiBold.ttf"),
    include_bytes!("../fonts/FiraSansCondensed-Light.ttf"),
];

/// A face.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Face {
    Regular,
    Strong,
    Light,
    /// The font that the user gave, for letters that the others lack.
    Given,
}

/// A letter's shape, lengths in ems.
#[derive(Clone, PartialEq, Debug)]
pub struct Shaped {
    /// Its number in the font.
    pub id: u32,
    /// The bytes of the text that it shows.
    pub range: std::ops::Range<usize>,
    /// How far it moves the pen.
    pub advance: f32,
    /// Where it stands beside the pen.
    pub offset: (f32, f32),
}

/// A stretch of text in one font.
#[derive(Clone, PartialEq, Debug)]
pub struct Stretch {
    /// The font.
    pub face: Face,
    /// Its text.
    pub text: String,
    /// Its letters.
    pub letters: Vec<Shaped>,
}

/// All fonts of a document.
pub struct Fonts<'f> {
    embedded: Vec<Shaper<'static>>,
    given: Option<Shaper<'f>>,
    /// What was shaped before, by face: a sheet says the same short words over and over.
    shaped: RefCell<[FxHashMap<String, Rc<[Stretch]>>; 4]>,
}

impl<'f> Fonts<'f> {
    /// The embedded fonts, and one more for what they lack. The error says that it cannot be read.
    pub fn new(given: Option<&'f [u8]>) -> Result<Fonts<'f>, String> {
        let embedded: Vec<Shaper<'static>> = EMBEDDED.iter().filter_map(|data| Shaper::from_slice(data, 0)).collect();
        if embedded.len() < EMBEDDED.len() {
            return Err("the embedded fonts cannot be read".to_owned());
        }
        let read = |data| Shaper::from_slice(data, 0).ok_or("it is no TrueType or OpenType font");
        Ok(Fonts { embedded, given: given.map(read).transpose()?, shaped: RefCell::default() })
    }

    fn shaper(&self, face: Face) -> Option<&Shaper<'f>> {
        match face {
            Face::Given => self.given.as_ref(),
            face => self.embedded.get(face as usize),
        }
    }

    fn has(&self, face: Face, letter: char) -> bool {
        self.shaper(face).is_some_and(|f| f.glyph_index(letter).is_some())
    }

    /// The first letter that no font has.
    pub fn lacks(&self, text: &str) -> Option<char> {
        text.chars().find(|c| !c.is_control() && !self.has(Face::Regular, *c) && !self.has(Face::Given, *c))
    }

    /// Shapes a text; letters that `face` lacks come from the given font.
    pub fn shape(&self, text: &str, face: Face) -> Rc<[Stretch]> {
        let known = self.shaped.borrow().get(face as usize).and_then(|of_face| of_face.get(text).cloned());
        known.unwrap_or_else(|| {
            let fresh: Rc<[Stretch]> = self.shape_anew(text, face).into();
            if let Some(of_face) = self.shaped.borrow_mut().get_mut(face as usize) {
                of_face.insert(text.to_owned(), Rc::clone(&fresh));
            }
            fresh
        })
    }

    fn shape_anew(&self, text: &str, face: Face) -> Vec<Stretch> {
        let mut out: Vec<Stretch> = Vec::new();
        let mut start = 0;
        let mut now = face;
        for (at, letter) in text.char_indices() {
            let wanted = if self.has(face, letter) || !self.has(Face::Given, letter) { face } else { Face::Given };
            if wanted != now {
                out.extend(self.stretch(text.get(start..at).unwrap_or(""), now));
                (start, now) = (at, wanted);
            }
        }
        out.extend(self.stretch(text.get(start..).unwrap_or(""), now));
        out
    }

    fn stretch(&self, text: &str, face: Face) -> Option<Stretch> {
        let shaper = self.shaper(face).filter(|_| !text.is_empty())?;
        let em = shaper.units_per_em() as f32;
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        let shaped = rustybuzz::shape(shaper, &[], buffer);
        let mut starts: Vec<usize> = shaped.glyph_infos().iter().map(|g| g.cluster as usize).collect();
        starts.sort_unstable();
        let letters = shaped.glyph_infos().iter().zip(shaped.glyph_positions()).map(|(info, place)| {
            let from = info.cluster as usize;
            let after = starts.partition_point(|s| *s <= from);
            Shaped {
                id: info.glyph_id,
                range: from..starts.get(after).copied().unwrap_or(text.len()),
                advance: place.x_advance as f32 / em,
                offset: (place.x_offset as f32 / em, place.y_offset as f32 / em),
            }
        });
        let letters = letters.collect();
        Some(Stretch { face, text: text.to_owned(), letters })
    }

    /// The width of a text, in points.
    pub fn width(&self, text: &str, face: Face, size: f32) -> f32 {
        let ems: f32 = self.shape(text, face).iter().flat_map(|s| &s.letters).map(|l| l.advance).sum();
        ems * size
    }

    /// The height of a letter's own box, in ems: of `H`, the height of the capitals.
    pub fn height(&self, letter: char, face: Face) -> Option<f32> {
        let shaper = self.shaper(face)?;
        let glyph: GlyphId = shaper.glyph_index(letter)?;
        let bounds = shaper.glyph_bounding_box(glyph)?;
        Some(f32::from(bounds.y_max) / shaper.units_per_em() as f32)
    }
}
