//! Slots said for scenes, the safe slot, and fallbacks.

use rustc_hash::FxHashSet;

use super::Binder;
use super::names::Wanted;
use crate::book::{Fallback, Fault, Slot, SlotRange, Spanned};
use crate::ids::SceneId;
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

impl<'t> Binder<'t> {
    pub(super) fn slots(&mut self) {
        let views = std::mem::take(&mut self.found.slots);
        self.book.show.auto = views.is_empty();
        let told = self.faults.len();
        for view in views {
            self.book.show.slots_at.get_or_insert_with(|| {
                let at = view.span();
                crate::source::Span { end: at.start + "slots".len() as u32, ..at }
            });
            self.book.broken |= view.broken();
            for line in view.children() {
                self.slot_line(line);
            }
        }
        let lost = self.faults.len() > told;
        self.every_once();
        self.pins_once();
        for view in std::mem::take(&mut self.found.safes) {
            self.safe(view, lost);
        }
        for view in std::mem::take(&mut self.found.fallbacks) {
            self.fallback(view);
        }
        let book = &mut self.book;
        let name = |scene: Option<SceneId>| book.show.scenes.get(scene?).map(|s| &s.name);
        book.show.fallbacks.sort_by_key(|f| (f.device, name(f.scene), name(f.becomes)));
    }

    fn slot_range(&mut self, at: View<'t>) -> Option<SlotRange> {
        let Some(switcher) = &self.book.board.switcher else {
            self.need_switcher(at.span());
            return None;
        };
        let range = switcher.slots;
        if range.is_none() && !switcher.faulty {
            self.faults.push(Fault::NoSuchSlot { at: at.span(), range: None });
        }
        range
    }

    pub(super) fn read_slot(&mut self, view: View<'t>) -> Option<Slot> {
        let range = self.slot_range(view)?;
        let slot = range.read(view.text());
        if slot.is_none() {
            self.faults.push(Fault::NoSuchSlot { at: view.span(), range: Some(range.says()) });
        }
        slot
    }

    fn slot_line(&mut self, line: View<'t>) {
        match line.kind() {
            Kind::Others => self.book.show.auto = true,
            Kind::Pinned => {
                let (Some(slot), Some(name)) = (line.child(Kind::Slot), line.child(Kind::Name)) else { return };
                let place = self.read_slot(slot);
                let scene = self.find(name, Wanted::SCENE);
                match (place, scene) {
                    (Some(place), Some(scene)) => self.book.show.pins.push((place, scene, slot.span())),
                    (None, scene) => self.book.show.mentioned.extend(scene),
                    _ => {}
                }
            }
            Kind::Every => {
                let words: Vec<View<'t>> = line.children().collect();
                let [switch, name] = words.as_slice() else { return };
                let scene = self.find(*name, Wanted::SCENE);
                self.book.show.mentioned.extend(scene);
                let Some(range) = self.slot_range(*switch) else { return };
                match range.read_switch(switch.text()) {
                    Some(number) => {
                        if let Some(scene) = scene {
                            self.every.push((number, scene, switch.span()));
                        }
                    }
                    None => self.faults.push(Fault::NoSuchSlot { at: switch.span(), range: Some(range.says()) }),
                }
            }
            _ => {}
        }
    }

    /// One scene a column: the first line takes it, and one fault tells of each other.
    fn every_once(&mut self) {
        let Some(range) = self.book.board.switcher.as_ref().and_then(|s| s.slots) else { return };
        let mut every = std::mem::take(&mut self.every);
        every.sort_by_key(|(switch, _, at)| (*switch, *at));
        let mut column: Option<(u32, SceneId, Span)> = None;
        for (switch, scene, at) in every {
            if let Some((_, kept, first)) = column.filter(|(taken, _, _)| *taken == switch) {
                self.book.show.mentioned.push(scene);
                if kept != scene {
                    let slot = range.show(Slot::at(0, switch));
                    self.faults.push(Fault::SlotTaken { at, first, slot, scenes: [kept, scene] });
                }
                continue;
            }
            column = Some((switch, scene, at));
            self.book.show.pins.extend((0..range.banks).map(|bank| (Slot::at(bank, switch), scene, at)));
        }
    }

    /// One scene a slot. The order of the lines does not matter.
    fn pins_once(&mut self) {
        let mut faults = Vec::new();
        let range = self.book.board.switcher.as_ref().and_then(|s| s.slots);
        self.book.show.pins.sort_by_key(|(slot, _, at)| (*slot, *at));
        let mut left_out = Vec::new();
        let mut told: FxHashSet<(Span, Span)> = FxHashSet::default();
        self.book.show.pins.dedup_by(|next, kept| {
            if next.0 != kept.0 {
                return false;
            }
            left_out.push(next.1);
            // `every` meets a whole column: one line for it.
            if next.1 != kept.1 && told.insert((next.2, kept.2)) {
                let slot = range.map_or(String::new(), |r| r.show(next.0));
                faults.push(Fault::SlotTaken { at: next.2, first: kept.2, slot, scenes: [kept.1, next.1] });
            }
            true
        });
        self.book.show.mentioned.append(&mut left_out);
        self.faults.append(&mut faults);
    }

    /// With whether a slot's line was wrong: then it may be this one.
    fn safe(&mut self, view: View<'t>, lost: bool) {
        let Some(slot) = view.child(Kind::Slot) else { return };
        if let Some(first) = &self.book.show.safe {
            return super::said_twice(&mut self.faults, first.at, view);
        }
        let Some(value) = self.read_slot(slot) else { return };
        self.book.show.safe = Some(Spanned { value, at: slot.span() });
        let pinned = self.book.show.pins.iter().any(|(s, _, _)| *s == value);
        if !pinned && !self.book.broken && !lost {
            self.faults.push(Fault::SafeUnsettled { at: slot.span(), slot: slot.text().to_owned() });
        }
    }

    fn fallback(&mut self, view: View<'t>) {
        let names: Vec<View<'t>> = view.all(Kind::Name).collect();
        let [device, scene, becomes] = names.as_slice() else { return };
        let fallback = Fallback {
            device: self.find(*device, Wanted::DEVICE),
            scene: self.find(*scene, Wanted::SCENE),
            becomes: self.find(*becomes, Wanted::SCENE),
            at: view.span(),
        };
        self.book.show.fallbacks.push(fallback);
    }
}
