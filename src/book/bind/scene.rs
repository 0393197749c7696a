//! Scenes, layers and the default.

use super::Binder;
use super::names::{Wanted, nfc};
use crate::book::inside::Owner;
use crate::book::{Fault, Layer, Meaning, SayingRange, Scene};
use crate::ids::{Id, SceneId};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// Room is made for so many sayings a scene.
const USUAL_SAYINGS: usize = 4;

impl<'t> Binder<'t> {
    pub(super) fn layers(&mut self) {
        let from = self.book.show.sayings.next();
        for view in std::mem::take(&mut self.found.defaults) {
            let (_, whole) = self.sayings(view.child(Kind::SceneBody));
            let whole = whole & self.presses(Owner::Default, view.child(Kind::SceneBody));
            self.book.broken |= !whole;
            self.book.show.default_faulty |= !whole;
        }
        self.book.show.default = SayingRange { from, to: self.book.show.sayings.next() };
        for view in std::mem::take(&mut self.found.layers) {
            let Some(name) = view.child(Kind::Name) else { continue };
            let (own, whole) = self.sayings(view.child(Kind::SceneBody));
            let owner = Owner::Layer(self.book.show.layers.next());
            let whole = whole & self.presses(owner, view.child(Kind::SceneBody));
            let faulty = !whole || view.broken();
            self.book.show.layers.push(Layer { name: nfc(name.text()).into(), at: name.span(), own, faulty });
        }
    }

    pub(super) fn scenes(&mut self) {
        let count = self.found.scenes;
        self.book.show.scenes.reserve_exact(count);
        self.book.show.sayings.reserve(USUAL_SAYINGS * count);
        for (id, view) in self.all(Kind::Scene).enumerate() {
            let scene = self.scene(SceneId::nth(id), view);
            self.book.show.scenes.push(scene);
        }
        self.circles();
        self.spread_faults();
        self.second_rows();
    }

    fn scene(&mut self, id: SceneId, view: View<'t>) -> Scene {
        let mut scene = Scene {
            name: "".into(),
            at: view.span(),
            title: Span::default(),
            parent: None,
            layers: (0, 0),
            own: SayingRange::default(),
            was: Span::default(),
            faulty: false,
            repeated: self.found.doubles.binary_search(&id).is_ok(),
            pressed: 0,
        };
        let from = self.book.show.mixed.len() as u32;
        for part in view.children() {
            match part.kind() {
                Kind::Name => (scene.name, scene.at) = (nfc(part.text()).into(), part.span()),
                Kind::Text => scene.title = part.span(),
                Kind::From => {
                    let parent = part.child(Kind::Name).and_then(|n| self.parent(view, n));
                    scene.faulty |= parent.is_none();
                    scene.parent = parent;
                }
                Kind::With => {
                    for name in part.all(Kind::Name) {
                        match self.find(name, Wanted::LAYER) {
                            Some(layer) => self.book.show.mixed.push((layer, name.span())),
                            None => scene.faulty = true,
                        }
                    }
                }
                Kind::Was => scene.was = part.child(Kind::Name).map_or(Span::default(), View::span),
                Kind::SceneBody => {
                    let (own, whole) = self.sayings(Some(part));
                    scene.own = own;
                    scene.faulty |= !whole | !self.presses(Owner::Scene(id), Some(part));
                }
                _ => scene.faulty = true,
            }
        }
        scene.layers = (from, self.book.show.mixed.len() as u32);
        if self.amend.is_parent(view) {
            if let Some(name) = view.child(Kind::Name) {
                self.note(name, Meaning::Scene(id), true);
            }
            // No name can be this one.
            scene.name = format!("{} of the book", scene.name).into();
        }
        scene
    }

    /// What a scene derives from: of its own name, the one that it stands for.
    fn parent(&mut self, view: View<'t>, name: View<'t>) -> Option<SceneId> {
        match self.amend.old_of(view, name) {
            Some(_) => {
                let old = self.found.parents.get(nfc(name.text()).as_ref()).copied()?;
                self.note(name, Meaning::Scene(old), false);
                Some(old)
            }
            None => self.find(name, Wanted::SCENE),
        }
    }

    /// Every `from` circle is told once, whole, from its first scene by name; its links are then cut.
    fn circles(&mut self) {
        let parents: Vec<Option<SceneId>> = self.book.show.scenes.iter().map(|s| s.parent).collect();
        let found = circles(&parents);
        if found.is_empty() {
            return;
        }
        // Where each scene names what it derives from: the tree is asked again, for the few books that need it.
        let links: Vec<Option<Span>> = self
            .all(Kind::Scene)
            .map(|v| v.child(Kind::From).and_then(|f| f.child(Kind::Name)).map(View::span))
            .collect();
        for circle in found {
            let mut circle = circle;
            let name = |id: &SceneId| self.book.show.scene(*id).map_or("", |s| &s.name);
            if let Some(first) = (0..circle.len()).min_by_key(|i| circle.get(*i).map(name)) {
                circle.rotate_left(first);
            }
            let link = |id: SceneId| {
                let (name, at) =
                    self.book.show.scene(id).map_or((String::new(), Span::default()), |s| (s.name.to_string(), s.at));
                (name, links.get(id.index()).copied().flatten().unwrap_or(at))
            };
            let names: Vec<(String, Span)> = circle.iter().map(|id| link(*id)).collect();
            if let Some((_, at)) = names.first() {
                self.faults.push(Fault::CircularFrom { at: *at, circle: names.clone() });
            }
            for id in circle {
                if let Some(scene) = self.book.show.scenes.get_mut(id) {
                    scene.parent = None;
                    scene.faulty = true;
                }
            }
        }
    }

    /// What builds on a faulty scene or layer is faulty too, and quiet.
    fn spread_faults(&mut self) {
        let faulty_layers: Vec<bool> = self.book.show.layers.iter().map(|l| l.faulty).collect();
        let mixes_fault = |book: &crate::book::Book, scene: &Scene| {
            book.show.layers_of(scene).iter().any(|(l, _)| faulty_layers.get(l.index()) == Some(&true))
        };
        for id in crate::book::scene::order(&self.book.show.scenes) {
            let Some(scene) = self.book.show.scene(id) else { continue };
            let parent = scene.parent.and_then(|p| self.book.show.scene(p)).is_some_and(|p| p.faulty);
            if (parent || mixes_fault(&self.book, scene))
                && let Some(scene) = self.book.show.scenes.get_mut(id)
            {
                scene.faulty = true;
            }
        }
    }
}

/// The circles among single links.
pub(super) fn circles<I: Id>(next: &[Option<I>]) -> Vec<Vec<I>> {
    let mut round = vec![0u32; next.len()];
    let mut out = Vec::new();
    for start in 0..next.len() {
        let mut at = I::nth(start);
        let mine = start as u32 + 1;
        loop {
            match round.get_mut(at.index()) {
                Some(mark) if *mark == 0 => *mark = mine,
                Some(mark) if *mark == mine => {
                    let mut circle = vec![at];
                    let mut on = next.get(at.index()).copied().flatten();
                    while let Some(id) = on.filter(|id| *id != at) {
                        circle.push(id);
                        on = next.get(id.index()).copied().flatten();
                    }
                    out.push(circle);
                    break;
                }
                _ => break,
            }
            match next.get(at.index()).copied().flatten() {
                Some(on) => at = on,
                None => break,
            }
        }
    }
    out
}
