//! The kinds of node in a tree. Each is named as its production in `grammar/scene.ebnf`.

macro_rules! kinds {
    ($($kind:ident $name:literal)*) => {
        /// What a node of the tree is.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        #[repr(u8)]
        pub enum Kind { $(#[doc = $name] $kind,)* }

        impl Kind {
            /// How many there are.
            pub const COUNT: usize = [$(Kind::$kind),*].len();

            /// The production's name.
            pub fn name(self) -> &'static str {
                match self { $(Kind::$kind => $name,)* }
            }
        }
    };
}

// New kinds go at the end: a fingerprint counts the number of a kind, and people compare fingerprints over years.
kinds! {
    // Leaves: a word of the language that means something, and what the user names or states.
    Word "word" Name "name" Number "number" Text "text" Slot "slot" Clock "clock" Quantity "quantity"
    // What could not be read.
    Broken "broken"
    Board "board" Use "use"
    Switcher "switcher" Loops "loops" Jacks "jacks" Ports "ports" Outputs "outputs" Banks "banks" Display "display"
    Repress "repress" Wakes "wakes" Presses "presses"
    Guitar "guitar" Pickup "pickup" Volume "volume" Cable "cable"
    Supply "supply" Margin "margin" Outlet "outlet"
    Pedal "pedal" Buffer "buffer" Amp "amp" Treadle "treadle"
    Code "code" Loop "loop" AlwaysOn "always-on" Input "input" Output "output" Send "send" Return "return"
    Gain "gain" Power "power" Place "place" OwnSwitch "own-switch" FedBy "fed-by" Tap "tap" Beat "beat" Tail "tail" Knob "knob"
    Control "control" ByFoot "by-foot" OnRemote "on-remote" Jack "jack" OnMidi "on-midi" States "states"
    State "state" Program "program" ContactIs "contact-is" Starts "starts"
    Level "level" OnPort "on-port" OnCc "on-cc" Like "like"
    Chain "chain" Link "link" Patch "patch" Panel "panel" PanelJack "panel-jack"
    Default "default" Layer "layer" Scene "scene" From "from" With "with" Was "was" SceneBody "scene-body"
    Engage "engage" Bypass "bypass" Close "close" Open "open" Pulse "pulse" LoopRef "loop-or-name"
    Contact "contact" PortAt "port-at" OutputIs "output-is" Mute "mute" Setting "setting" Foot "foot"
    Rule "rule" AtMost "at-most" Exactly "exactly" Never "never" Always "always" Needs "needs"
    Either "either" Both "both" Denied "denied" Atom "atom" Compared "compared" Limit "limit"
    Song "song" Tempo "tempo" Tuning "tuning" Part "part" PartNote "part-note" NoteValue "note-value"
    Set "set" Pause "pause" Drop "drop" Play "play"
    Slots "slots" Every "every" Others "others" Pinned "pinned" Safe "safe" Fallback "fallback"
    Allow "allow" Ways "ways"
    Isolated "isolated" Total "total" Bare "bare" Inverts "inverts" Takes "takes" Earthed "earthed" AtLine "at-line"
    Tuner "tuner" LeadsOf "leads-of" OwnLeads "own-leads"
    SongNote "song-note" MusicalKey "musical-key" Capo "capo" CountIn "count-in" Lasts "lasts"
    Encore "encore" Move "move" Swap "swap" Replace "replace" Also "also" Spot "spot"
    EngagedBy "engaged-by" Value "value"
    Without "without" Instead "instead" UseBy "use-by" StateMap "state-map" Mapped "mapped"
    Helper "helper" OwnLoops "own-loops" Presets "presets" Kept "kept" OfHelper "of-helper"
    Peak "peak" Battery "battery" Trims "trims" OnTrim "on-trim"
    GuitarInputs "guitar-inputs" OnInput "on-input" HeardWhen "heard-when" Hear "hear"
    SendsClock "sends-clock"
    FootInputs "foot-inputs" OnFootInput "on-foot-input" Moves "moves" Moved "moved"
    Leg "leg" KeyInput "key-input" InsertStays "insert-stays" Keeps "keeps"
    Answers "answers" FromOutside "from-outside"
    Listener "listener" OnMessages "on-messages" OnLeaving "on-leaving" AfterTime "after-time" OnlyChanged "only-changed"
    CcMessage "cc-message" NoteMessage "note-message" Sysex "sysex"
    Messages "messages" InPreset "in-preset" UpToTime "up-to-time" UpToBytes "up-to-bytes"
    LoopOrders "loop-orders" OrderIs "order-is"
    Inside "inside" InsideHas "inside-has" Press "press" PressMoves "press-moves" Again "again"
}
