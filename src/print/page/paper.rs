//! Paper sizes, in points (1/72 inch).

/// Points in a millimetre.
pub const MM: f32 = 72.0 / 25.4;

/// A sheet of paper.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Paper {
    /// Width in points.
    pub width: f32,
    /// Height in points.
    pub height: f32,
    /// What stays empty on every side, in points.
    pub margin: f32,
}

impl Paper {
    /// A4 (ISO 216), 210 by 297 mm.
    pub fn a4() -> Paper {
        Paper { width: 210.0 * MM, height: 297.0 * MM, margin: 10.0 * MM }
    }

    /// US Letter (ANSI/ASME Y14.1), 8.5 by 11 inches.
    pub fn letter() -> Paper {
        Paper { width: 612.0, height: 792.0, margin: 10.0 * MM }
    }

    /// The same, lying on its long side.
    pub fn landscape(self) -> Paper {
        Paper { width: self.height, height: self.width, ..self }
    }

    /// Width between the margins, in points.
    pub fn inner(&self) -> f32 {
        self.width - 2.0 * self.margin
    }
}
