"""Orders of songs, written from what the language says of a set:

"In a set: a bare title adds, `move` moves, `replace A by B`, `swap A, B`, `first`, `last` (of the encore after `encore`),
`before`, `after`; a pause moves with the song behind it."  "`drop`" takes a song out.  A set that derives `from` another begins
with its lines.  A song's length is what it says, else its parts' lengths times how often each is played; a set's is the sum.
A capo stays on a guitar until another song on that guitar says another, or none.

Checked on random books: the printed order of every set, read back by `--songs` to the same sheet; the printed length; hands that live by
the printed sheet have each capo right.
"""

import random
import re
import subprocess

from common import BINARY, Broken, Skip, main

GUITARS = ["plank", "hollow"]


def sheet_of(run, *options, feed=None):
    done = subprocess.run([BINARY, "sheet", run.files[0], *options], input=feed, capture_output=True, text=True)
    if done.returncode != 0:
        raise Broken("no sheet", f"{options} {feed}: {done.stderr}")
    return done.stdout


def hold(kind, truth, *detail):
    if not truth:
        raise Broken(kind, "\n".join(str(d) for d in detail))


def group(items, at):
    """Where the pauses that belong to the song at `at` begin."""
    while at > 0 and items[at - 1][0] == "pause":
        at -= 1
    return at


def at_of(items, song):
    return items.index(("song", song))


class Order:
    """A set while its lines are read, as a person with paper slips would do it."""

    def __init__(self, items):
        self.items = list(items)
        self.in_encore = False

    def ends(self):
        mark = self.items.index(("encore",)) if ("encore",) in self.items else None
        if self.in_encore:
            return mark + 1, len(self.items)
        return 0, len(self.items) if mark is None else mark

    def put(self, place, slips):
        self.items[place:place] = slips

    def spot(self, spot):
        first, last = self.ends()
        if spot is None or spot == "last":
            return last
        if spot == "first":
            return first
        word, song = spot
        place = at_of(self.items, song)
        return place + 1 if word == "after" else group(self.items, place)

    def take(self, song):
        place = at_of(self.items, song)
        begin = group(self.items, place)
        slips = self.items[begin : place + 1]
        del self.items[begin : place + 1]
        return slips


def said(spot):
    if spot is None:
        return ""
    return f" {spot}" if isinstance(spot, str) else f' {spot[0]} "{spot[1]}"'


def lines(dice, order, titles, new):
    """Random lines of a block, each done to `order` as well."""
    text = []
    for _ in range(dice.randint(1, 6)):
        there = [item[1] for item in order.items if item[0] == "song"]
        away = [title for title in titles if title not in there]
        kind = dice.choice(["play", "play", "pause", "encore", "drop", "move", "move", "swap", "replace"])
        spots = [None, "first", "last"] + [(w, s) for s in there[:4] for w in ("before", "after")]
        if kind == "play" and away:
            some = dice.sample(away, min(len(away), dice.randint(1, 2)))
            spot = dice.choice(spots)
            order.put(order.spot(spot), [("song", s) for s in some])
            text.append(", ".join(f'"{s}"' for s in some) + said(spot))
        elif kind == "pause":
            words = f"wait {dice.randint(1, 99)} s"
            order.put(order.ends()[1], [("pause", words)])
            text.append(f'pause "{words}"')
        elif kind == "encore" and not order.in_encore:
            if ("encore",) not in order.items:
                order.items.append(("encore",))
            order.in_encore = True
            text.append("encore")
        elif kind == "drop" and there and not new:
            some = dice.sample(there, min(len(there), dice.randint(1, 2)))
            for song in some:
                del order.items[at_of(order.items, song)]
            text.append("drop " + ", ".join(f'"{s}"' for s in some))
        elif kind == "move" and len(there) > 1:
            some = dice.sample(there, min(len(there) - 1, dice.randint(1, 2)))
            spot = dice.choice([s for s in spots if s is not None and (isinstance(s, str) or s[1] not in some)])
            slips = [slip for song in some for slip in order.take(song)]
            order.put(order.spot(spot), slips)
            text.append("move " + ", ".join(f'"{s}"' for s in some) + said(spot))
        elif kind == "swap" and len(there) > 1:
            a, b = dice.sample(there, 2)
            i, j = sorted([at_of(order.items, a), at_of(order.items, b)])
            one, other = order.items[group(order.items, i) : i + 1], order.items[group(order.items, j) : j + 1]
            between = order.items[i + 1 : group(order.items, j)]
            order.items[group(order.items, i) : j + 1] = other + between + one
            text.append(f'swap "{a}", "{b}"')
        elif kind == "replace" and there and away:
            gone, comes = dice.choice(there), dice.choice(away)
            order.items[at_of(order.items, gone)] = ("song", comes)
            text.append(f'replace "{gone}" by "{comes}"')
    return text


def clock(seconds):
    return f"{seconds // 60}:{seconds % 60:02d}"


def book(dice):
    titles = [f"{dice.choice(['Quay', 'Mole', '3 Piers', 'L’Étang', 'Reed & Rope', 'Encore un soir'])} {n}" for n in range(dice.randint(2, 9))]
    text = [
        "switcher { loops 1; banks 1..1, switches 1..2 }",
        "pedal moss { loop 1 }",
        *[f"guitar {g}" for g in GUITARS],
        "scene bed { engage moss }",
    ]
    songs = {}
    for title in titles:
        facts, length = [], None
        capo = dice.choice([None, None, 2, 3])
        if capo:
            facts.append(f"capo {capo}")
        kind = dice.choice(["none", "song", "parts", "both"])
        if kind in ("song", "both"):
            length = dice.randint(1, 700)
        parts = [(dice.randint(1, 200), dice.randint(1, 4)) for _ in range(dice.randint(1, 3))]
        if kind in ("parts", "both"):
            length = sum(s * n for s, n in parts)
            facts += [f"p{n}: bed, lasts {clock(s)}, times {t}" for n, (s, t) in enumerate(parts)]
        else:
            facts.append("bed")
        if kind in ("song", "both"):
            facts.insert(0, f"lasts {clock(length)}")
        guitar = dice.choice(GUITARS)
        songs[title] = (guitar, capo, length)
        text.append(f'song "{title}" on {guitar} {{ {"; ".join(facts)} }}')
    sets = {}
    for n in range(dice.randint(1, 4)):
        above = dice.choice([None, *sets]) if sets else None
        order = Order(sets[above] if above else [])
        block = lines(dice, order, titles, above is None)
        name = f"set {n}"
        sets[name] = order.items
        text.append(f'set "{name}"' + (f' from "{above}"' if above else "") + " { " + "; ".join(block) + " }")
    dice.shuffle(text)
    return "\n".join(text) + "\n", songs, sets, dice.random()


def listed(text):
    items = []
    for line in text.splitlines():
        if line == "encore:":
            items.append(("encore",))
        elif line.startswith("pause: "):
            items.append(("pause", line[len("pause: ") :]))
        else:
            items.append(("song", re.fullmatch(r'\d+\. "(.*)"', line)[1]))
    return items


def sloppy(dice, items, titles):
    """The list as somebody types it."""
    plain = lambda t: re.sub(r"[^a-z0-9]", "", t.lower().replace("é", "e"))
    assert len({plain(t) for t in titles}) == len(titles)
    out = []
    for n, item in enumerate(items):
        if item[0] == "encore":
            out.append(dice.choice(["encore:", "-- encore --", "ENCORE"]))
        elif item[0] == "pause":
            out.append(dice.choice(["pause: ", "Pause - ", "-- pause: "]) + item[1])
        else:
            title = item[1]
            title = dice.choice([title, title.upper(), title.lower().replace("é", "e"), title.replace("’", ""), title.replace(" ", "")])
            head = dice.choice(["1) ", f"{n + 1}. ", "- ", "– "] + ([""] if not title[0].isdigit() else []))
            quote = dice.choice([("", ""), ("“", "”"), ('"', '"')])
            out.append(head + quote[0] + title + quote[1])
        if dice.random() < 0.2:
            out.append(dice.choice(["", "# a remark"]))
    return "\n".join(out) + "\n"


def live(sheet, items, songs):
    """Takes guitars and puts capos on as told, and looks at each song."""
    capos, holds, told = {}, None, 0
    blocks = re.split(r"\n\s*\d+  (?=\S)", sheet)
    played = [item[1] for item in items if item[0] == "song"]
    hold("songs left out", len(blocks) >= len(played) + 1, sheet)
    for title, block in zip(played, blocks[1:]):
        hold("another song", block.startswith(title), title, block)
        for change in re.findall(r"^\s+! (.*)$", block, re.M):
            if change.startswith("take "):
                holds = change[5:]
            elif change == "capo off":
                hold("a capo off that is off", capos.pop(holds, None), sheet)
                told += 1
            elif change.startswith("capo "):
                hold("a capo on that is on", capos.get(holds) != int(change[5:]), sheet)
                capos[holds] = int(change[5:])
                told += 1
        guitar, capo, _ = songs[title]
        hold("another guitar or capo", (holds, capos.get(holds)) == (guitar, capo), title, holds, capos, sheet)
    return told


def songs_alone(sheet, title):
    """A sheet's songs, from the night's title to the presets."""
    body = sheet[sheet.index(f"\n{title}\n") + len(title) + 2 :].lstrip("=-\n")
    return body.split("\npresets")[0]


def check(book, run):
    _, songs, sets, number = book
    dice, words = random.Random(number), []
    for name, items in sets.items():
        if not any(item[0] == "song" for item in items):
            continue
        order = sheet_of(run, "--set", name, "--format", "songs")
        hold("another order", listed(order) == items, name, order, items)
        sheet = sheet_of(run, "--set", name)
        for typed in (order, sloppy(dice, items, list(songs))):
            again = sheet_of(run, "--songs", "-", feed=typed)
            hold("another sheet", songs_alone(again, "tonight") == songs_alone(sheet, name), typed, sheet, again)
            back = sheet_of(run, "--songs", "-", "--format", "songs", feed=typed)
            hold("the list does not come back", back == order, typed, back, order)
        known = [songs[item[1]][2] for item in items if item[0] == "song"]
        total, missing = clock(sum(k for k in known if k)), known.count(None)
        if missing == len(known):
            hold("a length of nothing", "of music" not in sheet, sheet)
        elif missing:
            told = f"at least {total} of music, " + ("one of" if missing == 1 else f"{missing} of") + f" {len(known)} songs"
            hold("length, some unknown", told in sheet.replace("\n", " "), told, sheet)
        else:
            hold("length", f"\n{total} of music" in sheet and "at least" not in sheet, total, sheet)
        words += ["orders"] + ["lengths"] * (missing < len(known)) + ["capos moved"] * live(sheet, items, songs)
    if not words:
        raise Skip("no song in any set")
    return words


main("songs", lambda dice: book(dice), lambda book: [book[0]], check, 20)
