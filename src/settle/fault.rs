//! What settling can find wrong, as data; the wording lives with the rules.
use crate::ids::{ColumnId, ControlId, DeviceId, LayerId, SayingId, SceneId};

/// Who said two things at once.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Speaker {
    /// The default.
    Default,
    /// A layer, by number.
    Layer(LayerId),
    /// A scene, by number.
    Scene(SceneId),
}

/// One mistake of settling. Sayings, scenes, devices and controls are indexes of the book.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// Two statements of one rank settle one cell differently.
    StatementsDisagree { who: Speaker, first: SayingId, second: SayingId, cell: ColumnId },
    /// Two layers of one scene do.
    LayersDisagree { scene: SceneId, first: SayingId, second: SayingId, cell: ColumnId },
    /// A control or level of an engaged pedal that nothing settles.
    Unsettled { scene: SceneId, device: DeviceId, control: ControlId },
    /// Nothing says which of the guitar inputs is heard.
    GuitarUnsettled { scene: SceneId },
    /// Contacts of an engaged pedal in a pattern that its control does not list.
    PatternUnknown { scene: SceneId, device: DeviceId, control: ControlId },
    /// Two devices that always sound want different things of one contact, whatever a scene says: device and control.
    AtOdds { first: (DeviceId, ControlId), second: (DeviceId, ControlId) },
    /// A layer undoes what an ancestor said over the same layer.
    LayerReturns { scene: SceneId, layer: LayerId, by: SceneId, saying: SayingId, cell: ColumnId },
    /// A statement that changes nothing.
    NoEffect { scene: SceneId, saying: SayingId },
}

impl Fault {
    /// True for what is no mistake.
    pub fn hints(&self) -> bool {
        matches!(self, Fault::LayerReturns { .. } | Fault::NoEffect { .. })
    }
}
