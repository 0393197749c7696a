"""A computer that plays the file which calls the presets, and a unit that answers it.

Written from the words of the language alone: "answers midi 1 programs from 1" (the first slot to the first program, and so on in
the order of the slots), "banks of 100" (so many programs in a bank), "called from outside" (in a song, or at a part), "by foot".
The bytes are read by mido (MIDI 1.0: a program change, controllers 0 and 32 before it); the unit knows its channel, its banks
and the rows that were printed. Parts that a foot calls are pressed as the walk says. What is heard at each part must be the row
of its scene; nobody presses for a part that is called; no other way through the set takes fewer presses; a song that is called
throughout is called from where a foot would go through it best; and a file of the old book is called stale exactly where one of
the new sends something else.
"""

import json
import pathlib
import tempfile

import mido

import common
from common import Broken, Skip

SCENES = ["bed", "calm", "rush", "lift", "glow", "mist"]


def make(dice):
    far = dice.random() < 0.25
    banks, switches = (dice.choice([(30, 5), (50, 4)])) if far else (dice.randint(2, 6), dice.randint(2, 5))
    names = SCENES[: dice.randint(2, max(2, min(6, banks * switches - 1)))]
    slots = [[b, s] for b in range(banks) for s in range(switches)]
    if far:
        slots = dice.sample(slots[:20], 8) + dice.sample(slots[120:], 12)
    pins = [[*at, dice.choice(names)] for at in dice.sample(slots, dice.randint(1, len(slots) - 1))]
    songs = []
    for n in range(dice.randint(1, 4)):
        parts = [[dice.choice(names), dice.choice(["", "", "out", "foot"])] for _ in range(dice.randint(1, 5))]
        lasts = [[dice.choice([None, None, 7, 40, 95]), dice.choice([1, 1, 3])] for _ in parts]
        songs.append({"title": f"song {n}", "whole": dice.random() < 0.4, "parts": parts, "lasts": lasts})
    second = [list(p) for p in pins]
    if dice.random() < 0.7 and second:
        # Two change places, one goes away, or one is another: or only what they hold is other.
        for _ in range(dice.randint(1, 2)):
            a, b = dice.choice(second), dice.choice(second)
            a[2], b[2] = b[2], a[2]
    return {
        "banks": banks,
        "switches": switches,
        "lettered": not far and dice.random() < 0.3,
        "scenes": [[name, sorted(dice.sample(range(1, 5), dice.randint(0, 4)))] for name in names],
        "other": [[name, sorted(dice.sample(range(1, 5), dice.randint(0, 4)))] for name in names],
        "pins": pins,
        "pins after": second,
        "songs": songs,
        "set": [dice.randrange(len(songs)) for _ in range(1)] + dice.sample(range(len(songs)), len(songs)),
        "channel": dice.randint(1, 16),
        "from": dice.randint(0, 1),
        "bank of": dice.choice([None, None, 128, 100, 5, 3, 1]),
        "cost": [dice.randint(1, 3), dice.randint(1, 3)],
        "wakes": dice.random() < 0.5,
    }


def shown(book, bank, switch):
    return f"{bank}{'ABCDE'[switch]}" if book["lettered"] else f"{bank + 1}.{switch + 1}"


def text(book, after):
    last = book["switches"]
    banks = f"banks 0..{book['banks'] - 1}, switches A..{'ABCDE'[last - 1]}"
    if not book["lettered"]:
        banks = f"banks 1..{book['banks']}, switches 1..{last}"
    same, step = book["cost"]
    each = f", banks of {book['bank of']}" if book["bank of"] else ""
    pins = book["pins after"] if after else book["pins"]
    wakes = f"; wakes {shown(book, *pins[0][:2])}" if book["wakes"] and pins else ""
    lines = [
        f"switcher {{ loops 4; {banks}{wakes}; presses: same bank {same}, bank step {step}",
        f"  answers midi {book['channel']} programs from {book['from']}{each}",
        "}",
    ]
    for name, loops in book["other"] if after else book["scenes"]:
        engaged = "engage " + ", ".join(f"loop {n}" for n in loops) if loops else ""
        lines.append(f"scene {name} {{ {engaged} }}")
    lines.append("slots { " + "; ".join([f"{shown(book, b, s)} {name}" for b, s, name in pins] + ["others auto"]) + " }")
    for song in book["songs"]:
        says = {"": "", "out": ", called from outside", "foot": ", by foot"}
        body = [f"p{n}: {name}{says[who]}{time(song, n)[0]}" for n, (name, who) in enumerate(song["parts"])]
        if song["whole"]:
            body.insert(len(body) // 2, "called from outside")
        lines.append(f'song "{song["title"]}" {{ ' + "; ".join(body) + " }")
    order = list(dict.fromkeys(book["set"]))
    lines.append('set "night" { ' + "; ".join(f'"{book["songs"][n]["title"]}"' for n in order) + " }")
    return "\n".join(lines) + "\n"


def time(song, part):
    """What a part says of its length, and the quarters that it is given at 120 a minute: four where it says nothing."""
    said, times = song["lasts"][part] if part < len(song["lasts"]) else [None, 1]
    words = (f", times {times}" if times > 1 else "") + (f", lasts {said // 60}:{said % 60:02}" if said else "")
    return words, said * times * 2 if said else 4


def texts(book):
    return [text(book, False), text(book, True)]


def file_of(book, run, number, folder):
    """What a file sends: for each marker its text and the messages that stand at its start."""
    path = pathlib.Path(folder) / f"{number}.mid"
    code, _, err = run.one(number, "calls", "-o", str(path))
    if code:
        raise Broken("no file was written", err)
    found, now = [], 0
    for message in mido.MidiFile(path).tracks[0]:
        now += message.time
        if message.type == "marker":
            found.append((message.text, now, []))
        elif not message.is_meta:
            if not found or found[-1][1] != now:
                raise Broken("a message stands at the start of no part", f"{message} at {now}")
            found[-1][2].append(message)
    now = 0
    songs = [book["songs"][n] for n in dict.fromkeys(book["set"])]
    for (text, tick, _), (song, part) in zip(found, [(song, n) for song in songs for n in range(len(song["parts"]))]):
        if tick != now * 480:
            raise Broken("a part does not begin where the one before is over", f"{text}: {tick}, {now} quarters")
        now += time(song, part)[1]
    return [(text, messages) for text, _, messages in found]


class Unit:
    """Goes to the slot of a program; what is on another channel, or calls nothing, leaves it."""

    def __init__(self, book):
        self.book, self.bank, self.slot = book, [0, 0], None

    def hears(self, message):
        if message.channel + 1 != self.book["channel"]:
            return
        if message.type == "control_change" and message.control in (0, 32):
            self.bank[message.control // 32] = message.value
        elif message.type == "program_change":
            each = self.book["bank of"]
            number = message.program
            if each:
                if message.program >= each:
                    raise Broken("a program that is in no bank", f"{message.program} of {each}")
                number += (self.bank[0] * 128 + self.bank[1]) * each
            self.slot = divmod(number, self.book["switches"])


def reached(book, slot):
    number = slot[0] * book["switches"] + slot[1]
    return number < 128 if not book["bank of"] else True


def price(book, a, b):
    same, step = book["cost"]
    return 0 if a is None or a == b else same + step * abs(a[0] - b[0])


def played(book, run, number, folder):
    """Plays the set of one book; gives what was sent at each part."""
    names = dict(book["other"] if number else book["scenes"])
    place = {shown(book, b, s): (b, s) for b in range(book["banks"]) for s in range(book["switches"])}
    rows, stored = {}, {}
    for row in json.loads(run.one(number, "table", "--format", "json")[1])["rows"]:
        slot = place[row["slot"]]
        rows[slot] = row["scene"]
        stored.setdefault(row["scene"], []).append(slot)
    sent = file_of(book, run, number, folder)
    changes = json.loads(run.one(number, "walk", "--format", "json")[1])["sets"][0]["changes"]
    order = list(dict.fromkeys(book["set"]))
    parts = [(song["title"], n, name, who, song["whole"]) for song in (book["songs"][n] for n in order) for n, (name, who) in enumerate(song["parts"])]
    if [t for t, _ in sent] != [f"{title} / p{n}" for title, n, *_ in parts] or len(changes) != len(parts):
        raise Broken("the markers are not the parts", f"{sent}")
    unit, here, total, counted = Unit(book), None, 0, [0, 0]
    begin = tuple(book["pins after" if number else "pins"][0][:2]) if book["wakes"] and book["pins"] else None
    unit.slot = here = begin
    fixed, before = [], None
    for (title, n, name, who, whole), (_, messages), change in zip(parts, sent, changes):
        wanted = who == "out" or (whole and who != "foot")
        called = wanted and any(reached(book, slot) for slot in stored[name])
        for message in messages:
            unit.hears(message)
        says = f"{title} / p{n}: {messages}, walk {change}, unit at {unit.slot}"
        if bool(change.get("called")) != called:
            raise Broken("the walk says otherwise who calls a part", says)
        if called:
            counted[0] += 1
            if change["presses"] != 0:
                raise Broken("a foot presses for what is called", says)
        else:
            counted[1] += 1
            if messages:
                raise Broken("something is sent for a foot's part", says)
            unit.slot = place[change["slot"]]
            if change["presses"] != (price(book, here, unit.slot) if here else None) and here is not None:
                raise Broken("presses are counted wrong", f"{says}, from {here}")
            total += price(book, here, unit.slot)
        if unit.slot not in rows or names[rows[unit.slot]] != names[name] or rows[unit.slot] != name:
            raise Broken("another row is heard", says)
        if place[change["slot"]] != unit.slot:
            raise Broken("the walk stands elsewhere than the unit", says)
        fixed.append((stored[name] if not called else [unit.slot], called))
        here, before = unit.slot, (name, called)
    reach = {begin: 0}
    for slots, called in fixed:
        reach = {
            slot: min(cost + (0 if called else price(book, at, slot)) for at, cost in reach.items()) for slot in slots
        }
    if total != min(reach.values()):
        raise Broken("a way through the set takes fewer presses", f"{total} printed, {min(reach.values())} counted")
    for title in {part[0] for part in parts}:
        mine = [(slots, name) for (slots, called), (song, _, name, *_) in zip(fixed, parts) if song == title and called]
        if len(mine) < sum(part[0] == title for part in parts):
            continue
        reach = {None: 0}
        for _, name in mine:
            near = [slot for slot in stored[name] if reached(book, slot)]
            reach = {slot: min(cost + price(book, at, slot) for at, cost in reach.items()) for slot in near}
        slots = [slots[0] for slots, _ in mine]
        if sum(price(book, a, b) for a, b in zip(slots, slots[1:])) != min(reach.values()):
            raise Broken("a foot would go through a called song with fewer presses", f"{title}: {slots}")
    return sent, counted


def check(book, run):
    for number in (0, 1):
        code, out, _ = run.one(number, "check", "--format", "json")
        errors = {t["code"] for t in map(json.loads, out.splitlines()) if t["severity"] == "error"}
        if errors:
            raise Skip("errors of the book: " + ", ".join(sorted(errors)))
    with tempfile.TemporaryDirectory() as folder:
        old, counted = played(book, run, 0, folder)
        new, _ = played(book, run, 1, folder)
    # One record a preset: the bytes that call it.
    code, out, _ = run.one(0, "calls", "--format", "json")
    printed = json.loads(out)
    place = {shown(book, b, s): (b, s) for b in range(book["banks"]) for s in range(book["switches"])}
    for preset in printed["presets"]:
        unit, sent = Unit(book), preset["sent"]
        if (sent is not None) != reached(book, place[preset["slot"]]):
            raise Broken("a preset is told to be in reach, or out of it, wrongly", f"{preset}")
        if sent:
            parser = mido.Parser()
            parser.feed(bytes.fromhex(sent["bytes"].replace(" ", "")))
            for message in parser:
                unit.hears(message)
                if message.type == "program_change" and message.program + book["from"] != sent["program"]:
                    raise Broken("a program is shown otherwise than it is counted", f"{preset}")
            if unit.slot != place[preset["slot"]]:
                raise Broken("the bytes call another preset", f"{preset}, unit at {unit.slot}")
    if len(printed["empty"]) + len(printed["presets"]) != len(place):
        raise Broken("presets and empty places do not add up", f"{printed['empty']}")
    # A file of the old book is stale where one of the new sends something else.
    files = [run.files[0], run.files[1]]
    differs = json.loads(common.subprocess.run([common.BINARY, "diff", *files, "--format", "json"], capture_output=True, text=True).stdout)
    told = common.subprocess.run([common.BINARY, "diff", *files], capture_output=True, text=True).stdout
    true = {text for (text, a), (_, b) in zip(old, new) if [m.bytes() for m in a] != [m.bytes() for m in b]}
    before, after = any(m for _, m in old), any(m for _, m in new)
    calls = differs.get("calls", {"parts": [], "stale": False})
    said = {f"{part['song']} / {part['part']}" for part in calls["parts"]}
    if before and after and (said != true or calls["stale"] != bool(true) or ("file is stale" in told) != bool(true)):
        raise Broken("what is stale is told wrongly", f"{calls}, and it is {true}\n{told}")
    return [
        "parts called" if counted[0] else "no part called",
        *["stale files"] * bool(before and after and true),
        *["files that stay"] * bool(before and after and not true),
        *["banks"] * bool(book["bank of"]),
        *["presets out of reach"] * bool(printed["out_of_reach"]),
    ]


if __name__ == "__main__":
    common.main("called from outside", make, texts, check, 200)
