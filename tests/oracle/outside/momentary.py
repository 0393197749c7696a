"""Momentary contacts by explicit walks over two devices. Written from language.md alone:

1 "each contact (open 0, closed 1, a pulse, or left as it is)"
4 "A control ... of an engaged pedal (amps and always-on pedals are always engaged) must be settled"; "Of a bypassed pedal it
  is free"
6 "A momentary contact sends a pulse that moves the device to its next state, so what a preset does depends on where the
  player comes from: power-up, any part to any part of a song, last part to next first part (`ways` changes that ...). The
  tool says whether one stored value is right for every way in; if not, which two ways disagree, and the fewest extra
  presets that make it right, or that none can (a repeated press always flips when the switcher repeats it)."
Examples there: "wakes 1.1  # the preset after power-up"; "repress ignored  # or: repeats (the same switch again sends its
pulses again)"; "`ways any`: any preset may follow any; `ways as listed` is the set's order alone"; "`starts clean`, or
`starts unknown`"; "stays: send nothing, leave it as it is".

Left open there, and read so: power-up leads to the preset that wakes, and from there (or at once, where none wakes) to the
first part of each set and of each song that no set plays. A scene told about is taken to land right from then on, as it
does once its extra presets exist; presets of one scene differ in what they store, and the player knows the way he came.
"""

import itertools
import json
import re

import common
from common import Broken, Skip

STATES = ["low", "mid", "high"]


# ---- a random book ----

def make(dice):
    devices = []
    for n, amp in enumerate(dice.choice([[True, False], [True, True], [False, False]])):
        count = dice.choice([2, 2, 2, 3])
        devices.append({"name": ["hall", "barn"][n] if amp else common.PEDALS[n], "amp": amp, "states": count,
                        "starts": dice.choice([None, *range(count), *range(count)]),
                        "default": dice.choice([None, "stays", *range(count), *range(count)])})
    scenes = []
    for name in common.SCENES[: dice.randint(2, 5)]:
        scene = {"name": name, "engage": [], "say": []}
        for d in devices:
            sounds = d["amp"] or dice.random() < 0.7
            if sounds and not d["amp"]:
                scene["engage"].append(d["name"])
            if sounds and (d["default"] is None or dice.random() < 0.6):
                what = dice.choice([*range(d["states"]), *range(d["states"]), *range(d["states"]), "stays", "pulse"])
                scene["say"].append([d["name"], what])
        scenes.append(scene)
    names = [s["name"] for s in scenes]
    songs = [[dice.choice(names) for _ in range(dice.randint(1, 3))] for _ in range(dice.randint(1, 3))]
    unplayed = [n for n in names if not any(n in s for s in songs)]
    if unplayed:
        songs.append(unplayed)
    played = dice.sample(range(len(songs)), dice.randint(1, len(songs)))
    return {"devices": devices, "scenes": scenes, "songs": songs, "set": [str(p) for p in played],
            "ways": dice.choice(["", "", "any", "as listed"]), "repress": dice.choice(["ignored", "ignored", "repeats"]),
            "wakes": dice.choice([None, dice.choice(names)])}


# ---- as text ----

def texts(book):
    wakes = "; wakes 1.1" if book["wakes"] else ""
    lines = [f"switcher {{ loops 2; remote jacks 2; outputs 2; banks 1..2, switches 1..4; repress {book['repress']}{wakes} }}"]
    for n, d in enumerate(book["devices"], 1):
        states = "; ".join(STATES[: d["states"]])
        starts = "unknown" if d["starts"] is None else STATES[d["starts"]]
        head = f"amp {d['name']} {{ fed by output {n};" if d["amp"] else f"pedal {d['name']} {{ loop {n};"
        lines.append(f"{head} control way on remote {n} tip momentary {{ {states} }} starts {starts} }}")
    defaults = [setting(book, d["name"], d["default"]) for d in book["devices"] if d["default"] is not None]
    lines.append("default { " + "; ".join(defaults) + " }")
    for s in book["scenes"]:
        says = [f"engage {', '.join(s['engage'])}"] if s["engage"] else []
        says += [setting(book, d, what) for d, what in s["say"]]
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    for n, parts in enumerate(book["songs"]):
        lines.append(f'song "{n}" {{ ' + "; ".join(f"p{i}: {p}" for i, p in enumerate(parts)) + " }")
    lines.append('set "night" { ' + "; ".join(f'"{s}"' for s in book["set"]) + " }")
    if book["wakes"]:
        lines.append(f"slots {{ 1.1 {book['wakes']}; others auto }}")
    if book["ways"]:
        lines.append(f"ways {book['ways']}")
    return ["\n".join(lines) + "\n"]


def setting(book, device, what):
    if what == "pulse":
        return f"pulse remote {1 + [d['name'] for d in book['devices']].index(device)} tip"
    return f"{device}.way {what if what == 'stays' else STATES[what]}"


# ---- ways ----

def ways(book):
    """What may follow power-up, and which scene may follow which."""
    names = [s["name"] for s in book["scenes"]]
    alone = [parts for n, parts in enumerate(book["songs"]) if str(n) not in book["set"]]
    night = [book["songs"][int(n)] for n in book["set"]]
    listed = [part for parts in night for part in parts]
    begin = {listed[0]} if listed else set()
    begin |= {parts[0] for parts in alone if parts}
    follow = set()
    if book["ways"] == "any":
        begin, follow = set(names), set(itertools.product(names, names))
    elif book["ways"] == "as listed":
        for run in [listed, *alone]:
            follow |= set(zip(run, run[1:]))
    else:
        for parts in book["songs"]:
            follow |= set(itertools.product(parts, parts))
        follow |= {(a[-1], b[0]) for a, b in zip(night, night[1:])}
    if book["wakes"]:
        follow |= {(book["wakes"], scene) for scene in begin}
        begin = {book["wakes"]}
    if book["repress"] == "ignored":
        follow = {(a, b) for a, b in follow if a != b}
    return begin, follow


# ---- what is true, for one device ----

class Device:
    def __init__(self, book, device, stored):
        """STORED: what each scene's preset sends this device, 1 a pulse, 0 nothing."""
        self.name, self.count, self.book = device["name"], device["states"], book
        self.stored = stored
        self.start = frozenset(range(self.count)) if device["starts"] is None else frozenset([device["starts"]])
        self.wants, self.sends = {}, {}  # the state wanted; what is sent where a scene says so, absent where it is free
        for s in book["scenes"]:
            said = dict(map(tuple, s["say"])).get(device["name"], device["default"])
            if not (device["amp"] or device["name"] in s["engage"]):
                continue
            if said is None:
                raise Skip("a control that nobody chose")
            if said in ("stays", "pulse"):
                self.sends[s["name"]] = int(said == "pulse")
            else:
                self.wants[s["name"]] = said
        self.free = [s["name"] for s in book["scenes"] if s["name"] not in self.wants and s["name"] not in self.sends]
        self.begin, self.follow = ways(book)

    def moved(self, known, value):
        return frozenset((state + value) % self.count for state in known)

    def right(self, scene, known):
        """The values that land right in SCENE, for every state of KNOWN."""
        want = self.wants[scene]
        return [v for v in (0, 1) if self.moved(known, v) == frozenset([want])]

    def before(self):
        """What may be known of the device when each scene is pressed, by the scene that it is pressed from (None: power-up)."""
        seen = {s["name"]: set() for s in self.book["scenes"]}
        todo = [(None, self.start, s) for s in self.begin]
        while todo:
            came, known, scene = todo.pop()
            if (came, known) in seen[scene]:
                continue
            seen[scene].add((came, known))
            after = frozenset([self.wants[scene]]) if scene in self.wants else self.moved(known, self.stored[scene])
            todo += [(scene, after, b) for a, b in self.follow if a == scene]
        return seen

    def winnable(self):
        """Whether presets enough, and pulses where the device is free, can serve every way."""
        def choices(scene, known):
            if scene in self.wants:
                return self.right(scene, known)
            return [self.sends[scene]] if scene in self.sends else [0, 1]

        subsets = [frozenset(c) for n in range(1, self.count + 1) for c in itertools.combinations(range(self.count), n)]
        safe = {(s["name"], v, k) for s in self.book["scenes"] for v in (0, 1) for k in subsets}

        def holds(scene, value, known):
            for a, b in self.follow:
                if a != scene:
                    continue
                if b == scene:  # the same switch again sends the same again
                    after = self.moved(known, value)
                    fits = (scene not in self.wants or after == frozenset([self.wants[scene]])) and (scene, value, after) in safe
                else:
                    fits = any((b, v, self.moved(known, v)) in safe for v in choices(b, known))
                if not fits:
                    return False
            return True

        while True:
            less = {node for node in safe if holds(*node)}
            if less == safe:
                break
            safe = less
        return all(any((s, v, self.moved(self.start, v)) in safe for v in choices(s, self.start)) for s in self.begin)


def presets_needed(devices, scene, stored):
    """In how many different ways the devices that SCENE settles have to be moved, over all ways in."""
    seen, needed = set(), set()
    begin, follow = devices[0].begin, devices[0].follow
    todo = [(states, s) for states in itertools.product(*(d.start for d in devices)) for s in begin]
    while todo:
        states, at = todo.pop()
        if (states, at) in seen:
            continue
        seen.add((states, at))
        if at == scene:
            needed.add(tuple((d.wants[at] - s) % d.count for d, s in zip(devices, states) if at in d.wants))
        after = tuple(d.wants[at] if at in d.wants else (s + d.stored[at]) % d.count for d, s in zip(devices, states))
        todo += [(after, b) for a, b in follow if a == at]
    return len(needed)


def lands_wrong(devices, untold):
    """A walk over real states, by what is stored, that lands one of the UNTOLD devices wrong; None when there is none."""
    begin, follow = devices[0].begin, devices[0].follow
    queue = [((s,), states) for states in itertools.product(*(d.start for d in devices)) for s in begin]
    seen = set()
    for walk, states in queue:
        scene = walk[-1]
        if (scene, states) in seen:
            continue
        seen.add((scene, states))
        after = tuple((s + d.stored[scene]) % d.count for d, s in zip(devices, states))
        for d, s in zip(devices, after):
            if d in untold and scene in d.wants and s != d.wants[scene]:
                return f"power-up, {', '.join(walk)}: {d.name} stands at {STATES[s]}"
        queue += [(walk + (b,), after) for a, b in follow if a == scene]
    return None


# ---- the promise ----

def check(book, run):
    if book["ways"] == "as listed" and book["repress"] == "repeats":
        raise Skip("whether a press is repeated where parts come as listed is not said")
    code, out, _ = run("check", "--format", "json")
    told = [json.loads(line) for line in out.splitlines()]
    if code == 1:
        raise Skip("errors of the book: " + ", ".join(sorted({t["code"] for t in told if t["severity"] == "error"})))
    table = json.loads(run("table", "--format", "json")[1])
    columns = [c["name"] for c in table["cells"]]
    devices = []
    for n, d in enumerate(book["devices"], 1):
        column, stored = columns.index(f"remote-{n}-tip"), {}
        for row in table["rows"]:
            stored[row["scene"]] = {"pulse": 1, "stays": 0}.get(row["values"][column], row["values"][column])
        device = Device(book, d, stored)
        for row in table["rows"]:
            if (column in row["free"]) != (row["scene"] in device.free):
                raise Broken("free is not what the language says", f"{device.name}: {row}")
            if stored[row["scene"]] not in (0, 1):
                raise Broken("neither a pulse nor left as it is", f"{device.name}: {row}")
            if device.sends.get(row["scene"], stored[row["scene"]]) != stored[row["scene"]]:
                raise Broken("what is said is not stored", f"{device.name}: {row}")
        devices.append(device)

    scenes, names = [s["name"] for s in book["scenes"]], [d.name for d in devices]
    depends, never, serves = {}, {}, {}
    for t in told:
        if t["code"] not in ("pulse-depends-on-path", "pulse-never-safe"):
            continue
        words = re.findall(r"`([^`]+)`", t["message"])
        of = [w for w in words if w in scenes][:1], [w for w in words if w in names]
        if len(of[0]) != 1 or len(of[1]) != 1:
            raise Broken("a pulse is told of no one scene and device", t["message"])
        pair = (of[0][0], of[1][0])
        (depends if t["code"] == "pulse-depends-on-path" else never)[pair] = t
        found = re.search(r"(\d+) presets of `([^`]+)` serve every way", t.get("help", ""))
        if found:
            serves.setdefault(found[2], []).append((int(found[1]), t))
    report = "told: " + "; ".join(t["message"] for t in told if t["code"].startswith("pulse")) + f"; stored: {table['rows']}"

    some_told = set()
    for d in devices:
        before = d.before()
        for scene, want in d.wants.items():
            pair, value = (scene, d.name), d.stored[scene]
            needs = [(came, known, d.right(scene, known)) for came, known in before[scene]]
            values = {v for _, _, fits in needs for v in fits}
            hopeless = any(not fits for _, _, fits in needs)
            hopeless |= (scene, scene) in d.follow and any(fits == [1] for came, _, fits in needs if came != scene)
            one_is_right = len(values) <= 1 and not any(not fits for _, _, fits in needs) and not hopeless
            some_told |= {d.name} if pair in depends or pair in never else set()
            if one_is_right and (pair in depends or pair in never):
                raise Broken("told, and one value is right on every way", f"{pair}: ways in {needs}; {report}")
            # That nobody knows how a device stands after power-up may be told of it once, at one of the scenes it meets.
            known_alike = len({v for _, known, fits in needs if len(known) == 1 for v in fits}) <= 1 and all(
                fits for _, known, fits in needs if len(known) == 1)
            once = len(d.start) > 1 and known_alike and any(name == d.name for _, name in never)
            if not one_is_right and pair not in depends and pair not in never and not once:
                raise Broken("not told, and no value is right on every way", f"{pair}: ways in {needs}; {report}")
            if values and value not in values:
                raise Broken("what is stored is right on no way", f"{pair}: ways in {needs}; {report}")
            if not d.free and hopeless != (pair in never) and not (hopeless and once):
                raise Broken("never safe" + (" is not told" if hopeless else ", and presets enough would serve"),
                             f"{pair}: ways in {needs}; {report}")
            if pair in depends:
                ways_told(d, scene, depends[pair], before)
        wins = d.winnable()
        if wins and any(pair[1] == d.name for pair in never):
            raise Broken("never safe, and presets enough and free pulses would serve", f"{d.name}: {report}")
        if not wins and not any(pair[1] == d.name for pair in never):
            raise Broken("no presets can serve, and it is not told", f"{d.name}: {report}")
    for pair, t in depends.items():
        stores = {"it stores a pulse": 1, "it stores none": 0}.get(t.get("label"))
        if stores is not None and stores != next(d for d in devices if d.name == pair[1]).stored[pair[0]]:
            raise Broken("told to store what it does not", f"{t['label']}; {report}")
    for scene, claims in serves.items():
        if any(pair[0] == scene for pair in never):
            raise Broken("presets serve every way, and it is never safe", f"{scene}: {report}")
        true = presets_needed(devices, scene, None)
        for number, t in claims:
            if number > true or number < 2 or number != true and not any(d.free for d in devices):
                raise Broken("not the fewest presets that serve every way", f"{scene}: {number} printed, {true} true; {report}")
    walk = lands_wrong(devices, [d for d in devices if d.name not in some_told])
    if walk:
        raise Broken("nothing is told of a device, and a walk lands it wrong", f"{walk}; {report}")
    return (["told of both devices"] * (len(some_told) == 2) + ["told of one"] * (len(some_told) == 1)
            + ["nothing told"] * (not some_told) + ["never safe"] * bool(never) + ["presets counted"] * bool(serves))


def ways_told(device, scene, told, before):
    """Each way that is told exists, and needs what is said of it; two of them disagree."""
    said = set()
    for other in told["others"]:
        found = re.fullmatch(r"from (.*) to `[^`]+`(?: in \"[^\"]*\")?: (a pulse|none)", other["message"])
        if not found:
            continue
        stops = re.findall(r"power-up|`([^`]+)`", found[1])
        path = [s or None for s in stops] + [scene]
        if any((b not in device.begin) if a is None else (a, b) not in device.follow for a, b in zip(path, path[1:])):
            raise Broken("a way that is told does not exist", other["message"])
        known = {device.start} if path[0] is None else {k for _, k in before[path[0]]}
        if path[0] is not None:
            known = {after(device, path[0], k) for k in known}
        for stop in path[1:-1]:
            known = {after(device, stop, k) for k in known}
        value = int(found[2] == "a pulse")
        if not any(value in device.right(scene, k) for k in known):
            raise Broken("a way does not need what is told of it", f"{other['message']}; known there: {known}")
        said.add(value)
    if said != {0, 1}:
        raise Broken("no two ways are told that disagree", str(told))


def after(device, scene, known):
    return frozenset([device.wants[scene]]) if scene in device.wants else device.moved(known, device.stored[scene])


if __name__ == "__main__":
    common.main("momentary contacts", make, texts, check, 1000)
