//! What settling can find wrong, as data; the wording lives with the rules.

/// Who said two things at once.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Speaker {
    /// The default.
    Default,
    /// A layer, by number.
    Layer(u32),
    /// A scene, by number.
    Scene(u32),
}

/// One mistake of settling. Sayings, scenes, devices and controls are indexes of the book.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// Two statements of one rank settle one cell differently.
    StatementsDisagree { who: Speaker, first: u32, second: u32, cell: u16 },
    /// Two layers of one scene do.
    LayersDisagree { scene: u32, first: u32, second: u32, cell: u16 },
    /// A control or level of an engaged pedal that nothing settles.
    Unsettled { scene: u32, device: u16, control: u16 },
    /// Nothing says which of the guitar inputs is heard.
    GuitarUnsettled { scene: u32 },
    /// Contacts of an engaged pedal in a pattern that its control does not list.
    PatternUnknown { scene: u32, device: u16, control: u16 },
    /// Two devices that always sound want different things of one contact, whatever a scene says: device and control.
    AtOdds { first: (u16, u16), second: (u16, u16) },
    /// A layer undoes what an ancestor said over the same layer.
    LayerReturns { scene: u32, layer: u32, by: u32, saying: u32, cell: u16 },
    /// A statement that changes nothing.
    NoEffect { scene: u32, saying: u32 },
}

impl Fault {
    /// True for what is no mistake.
    pub fn hints(&self) -> bool {
        matches!(self, Fault::LayerReturns { .. } | Fault::NoEffect { .. })
    }
}
