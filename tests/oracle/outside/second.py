"""A helper is driven as its worksheet and the switcher's say: a simulated helper, and the same board with one larger switcher.

A book is a row of pedals, some in loops of the switcher, some in loops of one or two helpers, each called by programs, by a
controller a loop, by a contact a loop, or by a few contacts that choose among presets. A simulated helper is programmed from its
printed worksheet (`slots`) alone, and then hears what `midi` sends, or sees the contacts of `table`, preset after preset: in
each scene exactly the loops that the scene engages are in. Written from the language's pages:

"`programs from 1`: a program change calls one of its presets. `cc 20`: a controller a loop, the first on 20, the second on 21 and
so on; 127 engages, 0 bypasses. Contacts: as many as it has loops engage a loop each when they are closed; fewer choose one of its
presets, the first contact counting 1, the second 2, the third 4 onto preset 1." (`explain on`)
and MIDI 1.0 (MMA 1996): program change Cn pp, control change Bn cc vv; a controller that switches is off below 64 (table III).

How many presets it needs is found by brute force: the fewest classes into which the scenes fall so that in each class one set of
loops serves all (here over every partition of the combinations, which are at most 6). Numbers that the book gives stay, and no
number given by itself moves when a scene is added that wants another combination, wherever every combination has a number.
The same board with all pedals in loops of one switcher has the same reports, signal and walk.
"""

import json
import re
import tempfile

import common
from common import Broken, Skip

HELPERS = ["annex", "lodge"]


def make(dice):
    helpers = []
    for n, name in enumerate(HELPERS[: dice.choice([1, 1, 2])]):
        loops = dice.randint(1, 4)
        way = dice.choice(["programs", "programs", "cc", "contacts", "few"])
        if way == "few" and loops == 1:
            way = "contacts"
        count = {"contacts": loops, "few": dice.randint(1, loops - 1) if way == "few" else 0}.get(way, 0)
        jacks = [[2 * n + 1 + c // 2, c % 2] for c in range(4)]
        helpers.append(
            {
                "name": name,
                "loops": loops,
                "way": way,
                "contacts": dice.sample(jacks, count),
                "channel": 3 + n,
                "from": dice.choice([0, 1]),
                "cc": dice.randint(0, 100),
                "rests": dice.random() < 0.3,  # normally closed
                "room": dice.choice([None, None, 2, 3, 16]) if way == "programs" else None,
                "kept": dice.randint(0, 2),
                "numbers": dice.sample(range(20), 4),
            }
        )
    places = [[h["name"], loop] for h in helpers for loop in range(1, h["loops"] + 1) if dice.random() < 0.85]
    places += [[None, loop] for loop in range(1, dice.randint(1, 3) + 1)]
    places = places[: len(common.PEDALS)]
    pedals = [
        {
            "name": name,
            "at": at,
            "gain": dice.choice([-6, 0, 3, 9, 12]),
            "tail": dice.choice([None, None, 2]),
            "always": dice.random() < 0.08,
        }
        for name, at in zip(common.PEDALS, places)
    ]
    names = [p["name"] for p in pedals]
    scenes = []
    for n, name in enumerate(common.SCENES[: dice.randint(2, 6)]):
        says = [[p, dice.random() < 0.7, dice.random() < 0.3] for p in dice.sample(names, dice.randint(0, len(names)))]
        scenes.append({"name": name, "from": dice.choice([None, *range(n)]) if n else None, "says": says})
    rules = []
    for _ in range(dice.randint(0, 2)):
        if len(names) > 1:
            rules.append([dice.choice(["never", "needs", "most"]), *dice.sample(names, 2)])
    return {
        "helpers": helpers,
        "own": max([loop for h, loop in places if h is None], default=1),
        "pedals": pedals,
        "scenes": scenes,
        "rules": rules,
        "limit": dice.choice([3, 6, 10]),
        "song": [dice.choice(scenes)["name"] for _ in range(dice.randint(2, 6))],
        "mixed": dice.random() < 0.5,
    }


def side(contact):
    return f"remote {contact[0]} {'ring' if contact[1] else 'tip'}"


def helper(h, kept):
    if h["way"] == "programs":
        on = f"on midi {h['channel']} programs from {h['from']}"
    elif h["way"] == "cc":
        on = f"on midi {h['channel']} cc {h['cc']}"
    else:
        on = "on " + ", ".join(side(c) for c in h["contacts"]) + (" normally closed" if h["rests"] else "")
    room = f"; presets {h['room']}" if h["room"] else ""
    return f"helper {h['name']} {{ loops {h['loops']}; {on}{room}{''.join('; ' + k for k in kept)} }}"


def numbers(h):
    """The numbers of its presets."""
    if h["way"] == "programs":
        return list(range(h["from"], h["from"] + (h["room"] or 128)))
    return list(range(1, 1 + 2 ** len(h["contacts"]))) if h["way"] == "few" else []


def kept(book, h):
    """The lines that give numbers, and what they say: loops by number."""
    wanted = sorted({frozenset(on) for on in inside(book, h)}, key=sorted)
    lines, given = [], {}
    for which, number in zip(wanted[: h["kept"]], (n for n in h["numbers"] if n in numbers(h))):
        at = {p["at"][1]: p["name"] for p in book["pedals"] if p["at"][0] == h["name"]}
        says = ", ".join(at.get(loop, f"loop {loop}") for loop in sorted(which))
        lines.append(f"preset {number}" + (f": {says}" if says else ""))
        given[number] = which
    return lines, given


def text(book, larger):
    own, at = book["own"], {}
    for p in book["pedals"]:
        at[p["name"]] = p["at"]
    first, start = {}, own
    for h in sorted(book["helpers"], key=lambda h: h["name"]):
        first[h["name"]] = start
        start += h["loops"]

    def place(name):
        unit, loop = at[name]
        if larger or unit is None:
            return f"loop {loop if unit is None else first[unit] + loop}"
        return f"loop {loop} of {unit}"

    loops = start if larger else own
    lines = [
        f"switcher {{ loops {loops}; outputs 1; remote jacks 4; banks 1..2, switches 1..4; presses: same bank 1, bank step 1 }}",
        "guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }",
        "amp larch { fed by output 1; input 1 Mohm }",
        "patch leads 0 cm at 100 pF/m",
        f"limit level step {book['limit']} dB",
    ]
    if not larger:
        lines += [helper(h, kept(book, h)[0]) for h in book["helpers"]]
    for n, p in enumerate(book["pedals"]):
        facts = [place(p["name"]), f"code Q{n}", "input 1 Mohm", "output 1 kohm", f"gain {p['gain']} dB stated"]
        facts += [f"tail {p['tail']} s"] if p["tail"] else []
        facts += ["always on"] if p["always"] else []
        lines.append(f"pedal {p['name']} {{ {'; '.join(facts)} }}")
    links = [f"loops {first[h['name']] + 1}..{first[h['name']] + h['loops']}" if larger else f"loops 1..{h['loops']} of {h['name']}" for h in book["helpers"]]
    links.insert(len(links) if book["mixed"] else 0, f"loops 1..{own}")
    lines.append("chain front: guitar -> " + " -> ".join(links) + " -> output 1")
    for s in book["scenes"]:
        built = "" if s["from"] is None else f" from {book['scenes'][s['from']]['name']}"
        says = [("engage " if on else "bypass ") + (place(p) if by_loop else p) for p, on, by_loop in s["says"]]
        lines.append(f"scene {s['name']}{built} {{ {'; '.join(says)} }}")
    for kind, a, b in book["rules"]:
        lines.append({"never": f"rule never {a} beside {place(b)}", "needs": f"rule {place(a)} needs {b}", "most": f"rule at most one of {a}, {b}"}[kind])
    lines.append('song "Quay" on plank { ' + "; ".join(f"p{n}: {s}" for n, s in enumerate(book["song"])) + " }")
    return "\n".join(lines) + "\n"


def texts(book):
    names = {p["name"] for p in book["pedals"]}
    said = [p for s in book["scenes"] for p, *_ in s["says"]] + [n for r in book["rules"] for n in r[1:]]
    if not names >= set(said):
        raise Skip("a name that is no pedal's")
    return [text(book, False)]


def engaged(book, number):
    """Which pedals a scene engages."""
    said, at = {}, number
    while at is not None:
        said = {p: on for p, on, _ in book["scenes"][at]["says"]} | said
        at = book["scenes"][at]["from"]
    always = {p["name"]: True for p in book["pedals"] if p["always"]}
    return {p for p, on in (always | said).items() if on}


def inside(book, h):
    """For each scene the loops of a helper that it engages."""
    at = {p["name"]: p["at"][1] for p in book["pedals"] if p["at"][0] == h["name"]}
    return [{at[p] for p in engaged(book, n) if p in at} for n in range(len(book["scenes"]))]


def partitions(things):
    if not things:
        yield []
        return
    for rest in partitions(things[1:]):
        for n in range(len(rest)):
            yield rest[:n] + [[things[0], *rest[n]]] + rest[n + 1 :]
        yield [[things[0]], *rest]


def fewest(wanted):
    """The fewest presets: each serves the scenes of its class, so all of them must want the same loops."""
    return min(len(p) for p in partitions(list(range(len(wanted)))) if all(wanted[a] == wanted[c[0]] for c in p for a in c))


def told(run):
    _, out, _ = run("check", "--format", "json")
    reports = [json.loads(line) for line in out.splitlines()]
    # What says where a pedal sits, or that a jack is free, says it of another unit.
    about_place = re.compile(r"loops? \d+( of [a-z]+)?|the switcher")
    return sorted((r["code"], about_place.sub("LOOP", r["message"])) for r in reports if r["severity"] != "note" and r["code"] != "jack-unused")


def walked(run):
    pages = json.loads(run("walk", "--draft", "--format", "json")[1])
    kept = ("song", "part", "from", "scene", "presses", "level_db", "feet")
    return [{k: row[k] for k in kept} | {k: sorted(row[k]) for k in ("loops", "tails")} for page in pages["sets"] for row in page["changes"]]


def worksheets(run):
    """By helper: number of the preset, and the loops that are set in it. From what is printed alone."""
    _, out, _ = run("slots", "--draft", "--format", "md")
    sheets, name = {}, None
    for line in out.splitlines():
        head = re.fullmatch(r"#+ presets of (\S+)", line.strip())
        if head:
            name = head[1]
            sheets[name] = {}
        cells = [c.strip(" *[]") for c in line.strip().strip("|").split("|")]
        if name and len(cells) >= 5 and cells[0].isdigit():
            loops = set() if cells[1] == "none" else {int(n) for n in cells[1].split(",")}
            sheets[name][int(cells[0])] = {"loops": loops, "call": cells[3], "scenes": [s.strip() for s in cells[4].split(",")]}
    return sheets


class Unit:
    """A helper on the floor: what is stored in it, and where it stands."""

    def __init__(self, h, sheet):
        self.h, self.memory, self.loops = h, {n: one["loops"] for n, one in sheet.items()}, None

    def hear(self, data):
        status, *rest = data
        if status & 15 != self.h["channel"] - 1:
            return
        if self.h["way"] == "programs" and status >> 4 == 0xC:
            self.loops = self.memory.get(rest[0] + self.h["from"], "empty")
        if self.h["way"] == "cc" and status >> 4 == 0xB and 0 <= rest[0] - self.h["cc"] < self.h["loops"]:
            loop = rest[0] - self.h["cc"] + 1
            self.loops = (self.loops or set()) - {loop} | ({loop} if rest[1] >= 64 else set())

    def see(self, closed):
        if self.h["way"] == "contacts":
            self.loops = {n + 1 for n, c in enumerate(self.h["contacts"]) if closed[tuple(c)]}
        if self.h["way"] == "few":
            number = 1 + sum(2**n for n, c in enumerate(self.h["contacts"]) if closed[tuple(c)])
            self.loops = self.memory.get(number, "empty")


def messages(text):
    """Bytes of a stream, message by message."""
    data, out = [int(b, 16) for b in text.split()], []
    while data:
        count = 2 if data[0] >> 4 == 0xC else 3
        out.append(data[:count])
        data = data[count:]
    return out


def check(book, run):
    wants = {h["name"]: inside(book, h) for h in book["helpers"]}
    _, out, _ = run("check", "--format", "json")
    errors = {json.loads(line)["code"] for line in out.splitlines() if json.loads(line)["severity"] == "error"}
    short = [h["name"] for h in book["helpers"] if numbers(h) and len({frozenset(w) for w in wants[h["name"]]} | set(kept(book, h)[1].values())) > len(numbers(h))]
    if ("helper-full" in errors) != bool(short):
        raise Broken("too few presets are told wrongly", f"{short}: {errors}")
    if short:
        return "too few presets, told"
    if "helper-unclear" in errors:
        raise Broken("a helper is not understood", str(errors))
    words = []
    with tempfile.TemporaryDirectory() as folder:
        larger = common.Run([text(book, True)], folder)
        one, two = told(larger), told(run)
        if one != two:
            raise Broken("reported otherwise than with one switcher", f"{[r for r in one if r not in two]} became {[r for r in two if r not in one]}")
        signal = [json.loads(r("signal", "--draft", "--format", "json")[1]) for r in (larger, run)]
        if signal[0] != signal[1]:
            raise Broken("another signal than with one switcher", f"{signal[0]} became {signal[1]}")
        if walked(larger) != walked(run):
            raise Broken("another walk than with one switcher", f"{walked(larger)} became {walked(run)}")
        words += [f"reported {code}" for code, _ in two]
    table = json.loads(run("table", "--draft", "--format", "json")[1])
    columns = {c["name"]: n for n, c in enumerate(table["cells"])}
    rows = {r["scene"]: r["values"] for r in table["rows"]}
    midi = {p["scene"]: [b for m in p["messages"] for b in messages(m["bytes"])] for p in json.loads(run("midi", "--draft", "--format", "json")[1])["presets"]}
    sheets = worksheets(run)
    units = {h["name"]: Unit(h, sheets.get(h["name"], {})) for h in book["helpers"]}
    for number, scene in list(enumerate(book["scenes"])) * 2:
        row = rows[scene["name"]]
        for data in midi[scene["name"]]:
            for unit in units.values():
                unit.hear(data)
        closed = {(j, r): row[columns[f"remote-{j}-{'ring' if r else 'tip'}"]] == 1 for j in range(1, 5) for r in (0, 1)}
        for h in book["helpers"]:
            unit, wanted = units[h["name"]], wants[h["name"]][number]
            unit.see(closed)
            if unit.loops != wanted:
                raise Broken("a helper engages other loops", f"{h['name']} in {scene['name']}: {unit.loops}, not {wanted}; {sheets}")
            shown = {n for n in range(1, h["loops"] + 1) if row[columns[f"{h['name']}-loop-{n}"]] == 1}
            if shown != wanted:
                raise Broken("a column shows other loops", f"{h['name']} in {scene['name']}: {shown}, not {wanted}")
    for h in book["helpers"]:
        words.append(f"helper by {h['way']}")
        sheet = sheets[h["name"]]
        if not numbers(h):
            if sheet:
                raise Broken("presets where there are none", str(sheet))
            continue
        least = fewest([frozenset(w) for w in wants[h["name"]]])
        if len(sheet) != least:
            raise Broken("not the fewest presets", f"{h['name']}: {len(sheet)}, not {least}: {sheet}")
        for number, loops in kept(book, h)[1].items():
            if sheet.get(number, {}).get("loops") != loops:
                raise Broken("a number of the book moved", f"{h['name']} {number}: {sheet}")
            words.append("numbers of the book")
        stays(book, h, sheet, run, words)
    return sorted(set(words))


def stays(book, h, sheet, run, words):
    """A scene more: no number moves where every combination has one of its own."""
    free = next((n for n in common.SCENES if all(n != s["name"] for s in book["scenes"])), None)
    own = [p["name"] for p in book["pedals"] if p["at"][0] == h["name"]]
    if free is None or not own or len(numbers(h)) < 2 ** h["loops"] or h["kept"]:
        return
    more = json.loads(json.dumps(book))
    more["scenes"].append({"name": free, "from": None, "says": [[p, True, False] for p in own]})
    more["song"].append(free)
    with tempfile.TemporaryDirectory() as folder:
        again = worksheets(common.Run([text(more, False)], folder))[h["name"]]
    moved = {n: one for n, one in sheet.items() if again.get(n, {}).get("loops") != one["loops"]}
    if moved:
        raise Broken("a number moved when a scene came", f"{h['name']}: {moved} in {again}")
    words.append("a scene more, and no number moved")


if __name__ == "__main__":
    common.main("a second switcher", make, texts, check, 150)
