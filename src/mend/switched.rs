//! The switch of a device that stands for another, on the contact of the one that it stands for: where that is less work
//! than to program every preset anew. The book is compiled so before it is told.

use crate::Compiled;
use crate::book::How;
use crate::driver;
use crate::source::Span;
use crate::syntax::edit::{Edit, apply};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// A night's book with a switch where it was.
pub struct Switched {
    /// The device and its control.
    pub device: String,
    pub control: String,
    /// The contact that it hung on before, as a book says it.
    pub contact: String,
    /// The file to say it in.
    pub file: String,
    /// The book as it would be, without errors.
    pub compiled: Compiled,
}

/// Every control of a night's book that hangs on another contact than before, put back; each by itself.
pub fn switched(old: &Compiled, new: &Compiled) -> Vec<Switched> {
    let Some(night) = new.book.night.as_ref() else { return Vec::new() };
    let Some((file, tree)) = new.files.get(night.file).zip(new.trees.get(night.file as usize)) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    for device in tree.statements(&file.text).filter(|v| v.kind() == Kind::Instead).filter_map(|v| v.children().next())
    {
        let Some(name) = device.child(Kind::Name) else { continue };
        for control in device.all(Kind::Control) {
            let Some((at, contact)) = elsewhere(old, new, name.text(), control) else { continue };
            let text = apply(&file.text, &[Edit::new(at, contact.clone())]);
            let compiled = driver::compile_again(new, night.file, &text);
            if compiled.errors() == 0 {
                let control = control.child(Kind::Name).map_or("", View::text).to_owned();
                let file = file.path.clone();
                out.push(Switched { device: name.text().to_owned(), control, contact, file, compiled });
            }
        }
    }
    out
}

/// Where a control's one contact stands, and what the old book says of it.
fn elsewhere(old: &Compiled, new: &Compiled, device: &str, control: View<'_>) -> Option<(Span, String)> {
    let name = control.child(Kind::Name)?.text();
    let contact = |book: &Compiled| {
        let device = book.book.board.devices.iter().find(|d| d.name == device)?;
        match &device.controls.iter().find(|c| c.name == name)?.how {
            How::Remote { contacts, momentary: false, shared: false, .. } if contacts.len() == 1 => {
                contacts.first().copied()
            }
            _ => None,
        }
    };
    let (was, now) = (contact(old)?, contact(new)?);
    let mut jacks = control.child(Kind::OnRemote)?.all(Kind::Jack);
    let (jack, None) = (jacks.next()?, jacks.next()) else { return None };
    (was != now).then(|| (jack.span(), was.says()))
}
