//! How two books are compared.

/// How two books are compared.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// Recognise renamed scenes, songs and pedals by what they are; else by `was` and name alone.
    pub renames: bool,
    /// The unit holds the old table to the letter, free cells too.
    pub exact: bool,
    /// A preset may be stored in another slot; else each is edited where it stands.
    pub copies: bool,
}

impl Default for Options {
    fn default() -> Options {
        Options { renames: true, exact: false, copies: true }
    }
}
