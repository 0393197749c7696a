//! Guesses at what a token that cannot be accepted was meant to be. The first that reads wins.

use super::mend::{Edits, Mender, Unreadable};
use super::{Facts, How};
use crate::near::{nearest, only, slip};
use crate::source::{Span, shipped};
use crate::syntax::kind::Kind;
use crate::syntax::registry::{self, Place, Row};

/// A guess: what is wrong, the way out if the mended line does not say it, and the edits that mend it.
pub(super) struct Guess {
    /// The word that is wrong, when it is not the one at which reading stopped.
    pub(super) at: Option<Span>,
    pub(super) says: String,
    pub(super) help: Option<String>,
    pub(super) edits: Option<Edits>,
    /// What the edits are.
    pub(super) how: How,
    /// The list of what could stand there helps too.
    pub(super) listed: bool,
}

impl Guess {
    /// A sign is wrong.
    pub(super) fn mends(says: String, edits: Edits) -> Guess {
        Guess { at: None, says, help: None, edits: Some(edits), how: How::Sign, listed: true }
    }

    /// The same, when it is more than a sign.
    pub(super) fn offers(says: String, edits: Edits) -> Guess {
        Guess { how: How::Offer, ..Guess::mends(says, edits) }
    }
}

/// The place of the token, and what stands around it.
pub(super) struct Spot<'f> {
    pub(super) facts: &'f Facts<'f>,
    pub(super) at: Span,
    pub(super) word: &'f str,
    /// The word before; empty when none stands there.
    pub(super) last: Span,
    /// The same, when it opens the statement.
    pub(super) opener: Option<Span>,
    /// The token opens the statement itself.
    pub(super) first: bool,
    /// Where what stands before it ends.
    pub(super) before: Span,
    pub(super) expected: &'f [&'static str],
}

pub(super) fn guess(facts: &Facts<'_>, mender: &mut Mender<'_>, at: Span, expected: &[&'static str]) -> Option<Guess> {
    let spot = spot(facts, at, expected).filter(|_| mender.has_time())?;
    let unreadable = mender.unreadable(at);
    // An offer that leads to another error is no offer.
    let known = |name: &str, user: Kind| {
        name == "guitar" || mender.gives(name, user) || shipped::device(name).is_some() || super::rule(name).is_some()
    };
    let recovers = |edits: &Edits| {
        unreadable.as_ref().is_some_and(|p: &Unreadable<'_>| p.recovers(edits) && p.holds_there(edits, &known))
    };
    let place = place(facts, at);
    let habit = || super::habits::guess(&spot, place, &recovers);
    let mut guess = habit()
        .or_else(|| opening(&spot, place, &recovers))
        .or_else(|| inside(&spot, &recovers))
        .or_else(|| super::habits::number(&spot))?;
    if let (Some(edits), Some(statement)) = (&guess.edits, &unreadable) {
        let doubtful = match guess.how {
            How::Sign => super::readings::other(&spot, statement, edits),
            How::Word => super::readings::split(statement, edits),
            _ => false,
        };
        guess.how = if doubtful { How::Offer } else { guess.how };
    }
    Some(guess)
}

fn spot<'f>(facts: &'f Facts<'f>, at: Span, expected: &'f [&'static str]) -> Option<Spot<'f>> {
    let text = facts.files.get(at.file)?.text.as_str();
    let before = text.get(..at.start as usize)?.trim_end_matches(|c: char| c.is_whitespace() && c != '\n');
    let opens = |t: &str| t.trim_end_matches([' ', '\t']).chars().next_back().is_none_or(|c| "\n{};".contains(c));
    let head = before.trim_end_matches(|c: char| c.is_alphanumeric() || c == '-');
    let length = before.len() as u32;
    let last = Span { start: head.len() as u32, end: length, ..at };
    let opener = (head.len() < before.len() && opens(head)).then_some(last);
    let word = facts.text(at);
    let before_at = Span { start: length, end: length, ..at };
    Some(Spot { facts, at, word, last, opener, first: opens(before), before: before_at, expected })
}

/// A statement's own word misspelt, or a statement in the wrong place.
fn opening(spot: &Spot<'_>, place: Place, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    let at = if spot.first { spot.at } else { spot.opener? };
    let word = spot.facts.text(at);
    if !word.starts_with(char::is_alphabetic) {
        return None;
    }
    let here = || registry::rows().filter_map(|r| r.stands).filter(|s| s.place == place).flat_map(|s| s.words).copied();
    if !spot.first && (here().any(|w| w == word) || !spot.expected.iter().any(|e| matches!(*e, "." | ":"))) {
        return None;
    }
    // `in` for `input`: what begins one statement only.
    let begun = || {
        let mut all = here().filter(|w| word.len() > 1 && w.starts_with(word));
        all.next().filter(|_| all.next().is_none())
    };
    if let Some(near) = nearest(word, here()).or_else(begun) {
        let edits = vec![(at, near.to_owned())];
        let help = Some(format!("did you mean `{near}`?"));
        if spot.first || recovers(&edits) {
            let edits = Some(edits).filter(recovers);
            let listed = spot.first;
            let how = if only(word, here()).is_some() { How::Word } else { How::Offer };
            return Some(Guess {
                at: Some(at),
                says: format!("no line begins with `{word}`"),
                help,
                edits,
                how,
                listed,
            });
        }
    }
    if let (false, true) = (spot.first, spot.expected.contains(&".")) {
        let edits = vec![(Span { start: at.end, end: spot.at.start, ..at }, ".".to_owned())];
        if recovers(&edits) {
            return Some(Guess::mends(format!("a dot is missing between `{word}` and `{}`", spot.word), edits));
        }
    }
    // In a song, `verse` is what a part may well be called, and in a control `off` a state.
    let called = matches!(place, Place::Song | Place::Control);
    if let Some((_, help)) = OTHER_WORDS.iter().find(|(words, _)| !called && words.contains(&word)) {
        let says = format!("`{word}` says nothing in {}", block(place));
        let help = Some((*help).to_owned());
        return Some(Guess { at: Some(at), says, help, edits: None, how: How::Offer, listed: false });
    }
    // With one word more before it, it may stand here after all.
    if lacks(spot, recovers).is_some() {
        return None;
    }
    let elsewhere = registry::rows().find(|r| opens_with(r, word))?;
    let stands = elsewhere.stands?;
    let says = format!("`{word}` says nothing in {}", block(place));
    let help = match stands.place {
        Place::Top => format!("it stands at the top of a file, outside all braces, as in `{}`", sample(elsewhere)),
        other => format!("it stands in {}, as in `{}`", block(other), sample(elsewhere)),
    };
    let guess = Guess { at: Some(at), says, help: Some(help), edits: None, how: How::Offer, listed: false };
    (stands.place != place).then_some(guess)
}

/// Words that people try, and what to say instead.
const OTHER_WORDS: [(&[&str], &str); 10] = [
    (&["tempo", "bpm"], "the tempo stands behind a song's title, as in `song \"a\" at 92 bpm { }`"),
    (&["from", "with", "was"], "it stands behind the name, as in `scene a from b with c was d { }`"),
    (&["like"], "it stands behind the name, as in `pedal a like b { }`"),
    (&["on", "enable", "activate", "turn"], "pedals come in by `engage` and their names, with commas between them"),
    (&["off", "disable", "disengage"], "pedals go out by `bypass` and their names, with commas between them"),
    (&["part", "verse", "chorus"], "a part stands in a song, as in `song \"a\" { verse: b }`"),
    (&["include", "import", "load"], "another file comes in with `use`, as in `use \"a.scene\"`"),
    (&["setlist", "night", "gig"], "the songs of a night stand in a `set`, as in `set \"a\" { \"b\" }`"),
    (&["break", "interval", "talk"], "what happens between two songs is a `pause`, as in `pause \"a\"`"),
    (&["preset", "patch", "program"], "a sound is described with `scene` and its name"),
];

/// True for a statement that opens with a word.
fn opens_with(row: &Row, word: &str) -> bool {
    row.stands.is_some_and(|s| s.words.contains(&word))
}

fn sample(row: &Row) -> &'static str {
    row.good.iter().min_by_key(|s| s.len()).copied().unwrap_or(row.name)
}

/// The statement that a lone word was meant to be.
pub(super) fn meant(facts: &Facts<'_>, at: Span) -> Option<&'static str> {
    let place = place(facts, at);
    let here = registry::rows().filter_map(|r| r.stands).filter(|s| s.place == place).flat_map(|s| s.words).copied();
    nearest(facts.text(at), here)
}

/// How a statement reads whose word stands at the head of the line that this place is in: the sample that begins as the
/// line does, of several the fullest.
pub(super) fn shape(facts: &Facts<'_>, at: Span) -> Option<&'static str> {
    let before = facts.files.get(at.file)?.text.get(..at.end as usize)?;
    let whole = before.rsplit(['\n', '{', '}', ';']).next()?.trim_start();
    let word: &str = whole.split(|c: char| !c.is_alphanumeric() && c != '-').next()?;
    let place = place(facts, at);
    let here = || registry::rows().filter(move |r| r.stands.is_some_and(|s| s.place == place));
    let opened = here().find(|r| opens_with(r, word));
    // Else it opens with a name, a slot or a text.
    let row = opened.or_else(|| here().find(|r| r.stands.is_some_and(|s| s.words.is_empty())))?;
    let number = |word: &str| word.parse::<f64>().is_ok();
    let alike = |(one, other): &(&str, &str)| one == other || number(one) && number(other);
    let begins = |s: &str| s.split_whitespace().zip(whole.split_whitespace()).take_while(alike).count();
    row.good.iter().filter(|s| !s.contains('\n')).max_by_key(|s| (begins(s), s.len())).copied()
}

/// A sign or a word left out, one too many, or one in place of another.
fn inside(spot: &Spot<'_>, recovers: &dyn Fn(&Edits) -> bool) -> Option<Guess> {
    let Spot { word, at, before, expected, .. } = *spot;
    let letters = word.starts_with(char::is_alphabetic);
    let keywords = || expected.iter().copied().filter(|e| e.starts_with(char::is_alphabetic) && !e.contains(' '));
    let put = |at: Span, text: &str| vec![(at, text.to_owned())];
    let joined = Span { start: before.end, ..at };
    let text = spot.facts.files.get(at.file).map_or("", |f| f.text.as_str());
    let after = text.get(at.end as usize..).unwrap_or("");
    let both = Span { end: at.end + (after.len() - after.trim_start_matches(' ').len()) as u32, ..joined };
    if matches!(word, "and" | "&" | "+" | "plus") && expected.contains(&",") {
        let edits = put(joined, ",");
        if recovers(&edits) {
            return Some(Guess::mends(format!("`{word}` joins nothing here: a comma does"), edits));
        }
    }
    // `of` for `off`: too short to be near anything, yet it begins one keyword only.
    let begins = || {
        let mut all = keywords().filter(|k| word.len() > 1 && k.starts_with(word));
        all.next().filter(|_| all.next().is_none())
    };
    if let Some(near) = nearest(word, keywords()).or_else(begins).filter(|_| letters) {
        let edits = put(at, near);
        let help = Some(format!("did you mean `{near}`?"));
        let edits = Some(edits).filter(recovers);
        let says = format!("`{word}` cannot stand here");
        let how = if only(word, keywords()) == Some(near) || nearest(word, keywords()).is_none() {
            How::Word
        } else {
            How::Offer
        };
        return Some(Guess { at: None, says, help, edits, how, listed: true });
    }
    if let Some((whole, edits)) = hyphen(spot).filter(|(_, edits)| recovers(edits)) {
        return Some(Guess::offers(format!("`{whole}` is one name, with a hyphen"), edits));
    }
    if let Some((key, edits)) = known(spot).filter(|(_, edits)| recovers(edits)) {
        return Some(Guess::offers(format!("`{key}` is missing before `{word}`"), edits));
    }
    if let Some((edits, how)) = quoted(spot).into_iter().flatten().find(|(edits, _)| recovers(edits)) {
        return Some(Guess { how, ..Guess::mends("a text stands in quotes".to_owned(), edits) });
    }
    let signs = [(",", "a comma"), (":", "a colon"), (".", "a dot"), ("->", "an arrow `->`"), ("..", "`..`")];
    for (sign, name) in signs {
        if !expected.contains(&sign) {
            continue;
        }
        let glued = if sign == "->" { " -> " } else { sign };
        let edits = put(before, glued);
        // A dot before a word makes a setting of anything: too much is guessed then.
        if sign != "." && recovers(&edits) {
            return Some(Guess::mends(format!("{name} is missing before `{word}`"), edits));
        }
        let edits = put(
            if sign == "->" {
                at
            } else if sign == ".." {
                both
            } else {
                joined
            },
            sign,
        );
        if (!word.contains(char::is_alphanumeric) || word == "to") && recovers(&edits) {
            return Some(Guess::mends(format!("`{word}` stands where {name} belongs"), edits));
        }
    }
    if let Some(edits) = braces(spot).filter(recovers) {
        let says = format!("`{word}` opens no block: `{{` does");
        return Some(Guess { listed: false, ..Guess::mends(says, edits) });
    }
    if let Some((key, edits)) = lacks(spot, recovers) {
        // A word that only joins two others says nothing of its own.
        let joins = JOINS.contains(&key) && !expected.contains(&crate::syntax::END);
        let guess = Guess::offers(format!("`{key}` is missing before `{word}`"), edits);
        return Some(if joins { Guess { how: How::Sign, ..guess } } else { guess });
    }
    let spare = matches!(word, "=" | ":" | "." | "the" | "a" | "is" | "to" | "on" | "up" | "at" | "of");
    if let Some(edits) = Some(put(joined, "")).filter(|e| spare && recovers(e)) {
        return Some(Guess::offers(format!("`{word}` is one too many"), edits));
    }
    // Another word in its place could turn what is said into its opposite: only one with a slip in it is mended.
    let (key, edits) = one(spot, recovers, &|k| put(at, k)).filter(|(key, _)| letters && slip(word, key))?;
    let says = format!("`{word}` stands where `{key}` belongs");
    Some(Guess { how: How::Word, ..Guess::mends(says, edits) })
}

/// The one keyword that may stand here with which the statement reads.
fn one(
    spot: &Spot<'_>,
    recovers: &dyn Fn(&Edits) -> bool,
    make: &dyn Fn(&str) -> Edits,
) -> Option<(&'static str, Edits)> {
    let keywords = spot.expected.iter().copied().filter(|e| e.starts_with(char::is_alphabetic) && !e.contains(' '));
    let mut good = keywords.map(|k| (k, make(k))).filter(|(_, edits)| recovers(edits));
    good.next().filter(|_| good.next().is_none())
}

/// The keyword that is left out before a word.
fn lacks(spot: &Spot<'_>, recovers: &dyn Fn(&Edits) -> bool) -> Option<(&'static str, Edits)> {
    one(spot, recovers, &|k| vec![(Span { end: spot.at.start, ..spot.at }, format!("{k} "))])
}

/// Two words that are one name of the book, or one value of a note, when a hyphen joins them.
fn hyphen(spot: &Spot<'_>) -> Option<(String, Edits)> {
    let show = &spot.facts.book.show;
    let known = |whole: &str| {
        let scene = show.scenes.iter().any(|s| *s.name == *whole) || show.layers.iter().any(|l| *l.name == *whole);
        let device = spot.facts.book.board.devices.iter().any(|d| d.name == whole);
        scene || device || crate::syntax::grammar::song::NOTE_VALUES.contains(&whole)
    };
    // The token may be the first half or the second.
    let text = spot.facts.files.get(spot.at.file)?.text.get(spot.at.end as usize..)?;
    let next = text.trim_start_matches(' ');
    let length = next.find(|c: char| !c.is_alphanumeric() && c != '-').unwrap_or(next.len());
    let start = spot.at.end + (text.len() - next.len()) as u32;
    let behind = (format!("{}-{}", spot.word, next.get(..length)?), Span { start: spot.at.end, end: start, ..spot.at });
    let before = format!("{}-{}", spot.facts.text(spot.last), spot.word);
    let before = (before, Span { start: spot.last.end, end: spot.at.start, ..spot.at });
    let (whole, between) = [before, behind].into_iter().find(|(whole, _)| known(whole))?;
    Some((whole, vec![(between, "-".to_owned())]))
}

/// Words that join two others and mean nothing alone.
const JOINS: [&str; 5] = ["at", "by", "of", "steps", "bpm"];

/// A word before a name that the book has, where no name may stand: a scene is what another one comes from.
fn known<'s>(spot: &Spot<'s>) -> Option<(&'static str, Edits)> {
    let book = spot.facts.book;
    let key = if book.show.scenes.iter().any(|s| s.name == spot.word) {
        "from"
    } else if book.show.layers.iter().any(|l| &*l.name == spot.word) {
        "with"
    } else {
        return None;
    };
    spot.expected.contains(&key).then(|| (key, vec![(Span { end: spot.at.start, ..spot.at }, format!("{key} "))]))
}

/// Quotes around a text without them: up to a word that goes on after a title, else up to a sign, else up to a colon.
///
/// Where such a word or a name of the book ends up inside, or a glued `#` straight behind, something else may be meant.
fn quoted(spot: &Spot<'_>) -> Option<Vec<(Edits, How)>> {
    let wanted = spot.expected.contains(&"a text in quotes") && spot.word.starts_with(char::is_alphanumeric);
    let text = spot.facts.files.get(spot.at.file).filter(|_| wanted)?.text.get(spot.at.start as usize..)?;
    let cut = text.get(..text.find(['{', '}', ',', ';', '#', '\n', '"']).unwrap_or(text.len()))?;
    let whole = cut.trim_end();
    let behind = text.get(cut.len()..).and_then(|rest| rest.lines().next()).unwrap_or("");
    let sharp = cut.len() == whole.len() && behind.starts_with('#');
    // The one quote of the line closes what none opens.
    let closed = cut.len() == whole.len() && behind.starts_with('"') && behind.matches('"').count() == 1;
    let goes_on = || [" at ", " on ", " from ", " with ", " was ", " like ", " after ", " version "].into_iter();
    let book = spot.facts.book;
    let named = |word: &str| {
        book.show.scenes.iter().any(|s| s.name == word)
            || book.show.layers.iter().any(|l| &*l.name == word)
            || book.board.devices.iter().any(|d| d.name == word)
            || book.board.guitars.iter().any(|g| g.name == word)
    };
    let short = goes_on().filter_map(|w| whole.find(w)).min();
    let around = |length: usize| {
        let title = whole.get(..length).unwrap_or(whole);
        // A digit glued to a word may be one sign too many.
        let unglued = title.trim_start_matches(|c: char| c.is_ascii_digit());
        let glued = unglued.len() < title.len() && unglued.starts_with(char::is_alphabetic);
        // Where a title may be left out, what stands there may be something else.
        let unsure = (!spot.first && spot.expected.len() > 1)
            || glued
            || goes_on().any(|w| title.contains(w))
            || title.split(' ').any(named)
            || (sharp && title.len() == whole.len());
        let (at, closing) =
            (Span { end: spot.at.start + title.len() as u32, ..spot.at }, if closed { "" } else { "\"" });
        (vec![(at, format!("\"{title}{closing}"))], if unsure { How::Offer } else { How::Sign })
    };
    if closed {
        return Some(vec![around(whole.len())]);
    }
    let part = whole.find(':').unwrap_or(whole.len());
    Some(vec![around(short.unwrap_or(whole.len())), around(whole.len()), around(part)])
}

/// Round or square brackets where braces belong.
fn braces(spot: &Spot<'_>) -> Option<Edits> {
    let closing = match spot.word {
        "(" => ')',
        "[" => ']',
        _ => return None,
    };
    let text = spot.facts.files.get(spot.at.file).filter(|_| spot.expected.contains(&"{"))?.text.as_str();
    let end = spot.at.end + text.get(spot.at.end as usize..)?.find(closing)? as u32;
    Some(vec![(spot.at, "{".to_owned()), (Span { start: end, end: end + 1, ..spot.at }, "}".to_owned())])
}

/// The block that a place stands in.
fn place(facts: &Facts<'_>, at: Span) -> Place {
    let (Some(tree), Some(file)) = (facts.trees.get(at.file as usize), facts.files.get(at.file)) else {
        return Place::Top;
    };
    let holds = |s: Span| s.start <= at.start && at.end <= s.end;
    let mut found = Place::Top;
    let mut next = tree.statements(&file.text).find(|v| holds(v.span()));
    while let Some(view) = next {
        let inside = |p: Place| {
            if file.text.get(view.span().start as usize..at.start as usize).is_some_and(|t| t.contains('{')) {
                p
            } else {
                found
            }
        };
        found = match view.kind() {
            Kind::Switcher => inside(Place::Switcher),
            Kind::Guitar => inside(Place::Guitar),
            Kind::Supply => inside(Place::Supply),
            Kind::Pedal | Kind::Buffer | Kind::Amp => inside(Place::Device),
            Kind::Helper => inside(Place::Helper),
            Kind::Listener => inside(Place::Listener),
            Kind::Panel => inside(Place::Panel),
            Kind::SceneBody => inside(Place::Scene),
            Kind::Song => inside(Place::Song),
            Kind::Set => inside(Place::Set),
            Kind::Slots => inside(Place::Slots),
            Kind::States => inside(Place::Control),
            _ => found,
        };
        next = view.children().find(|v| holds(v.span()));
    }
    found
}

/// What a block is called.
fn block(place: Place) -> &'static str {
    match place {
        Place::Top => "a file itself",
        Place::Switcher => "the switcher",
        Place::Guitar => "a guitar",
        Place::Supply => "a supply",
        Place::Device => "a pedal or an amp",
        Place::Helper => "a helper",
        Place::Listener => "a listener",
        Place::Panel => "the panel",
        Place::Scene => "a scene",
        Place::Song => "a song",
        Place::Set => "a set",
        Place::Slots => "`slots`",
        Place::Control => "a `control`",
    }
}
