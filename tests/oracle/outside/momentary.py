"""Momentary contacts by explicit walks over two devices. Written from language.md alone:

1 "each contact (open 0, closed 1, a pulse, or left as it is)"
4 "A control ... of an engaged pedal (amps and always-on pedals are always engaged) must be settled"; "Of a bypassed pedal it
  is free (don't care, `-`)": a pulse may be stored there, but where one would be heard later it is not told as free
6 "A momentary contact sends a pulse that moves the device to its next state, so what a preset does depends on where the
  player comes from: power-up, any part to any part of a song, last part to next first part (`ways` changes that ...). The
  tool says whether one stored value is right for every way in; if not, which two ways disagree, and the fewest extra
  presets that make it right, or that none can (a repeated press always flips when the switcher repeats it)."
Examples there: "wakes 1.1  # the preset after power-up"; "repress ignored  # or: repeats (the same switch again sends its
pulses again)"; "`ways any`: any preset may follow any; `ways as listed` is the set's order alone"; "`starts clean`, or
`starts unknown`"; "stays: send nothing, leave it as it is".

Left open there, and read so: power-up leads to the preset that wakes, and from there (or at once, where none wakes) to the
first part of each set and of each song that no set plays, and its switch can be pressed again (but not where `ways as
listed`); who stands on the preset of the next part already need not press it. A scene told about is taken to land right from
then on, as it does once its extra presets exist; presets of one scene differ in what they store, and the player knows the
way he came.
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
        devices.append(
            {
                "name": ["hall", "barn"][n] if amp else common.PEDALS[n],
                "amp": amp,
                "states": count,
                "starts": dice.choice([None, *range(count), *range(count)]),
                "default": dice.choice([None, "stays", *range(count), *range(count)]),
            }
        )
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
    return {
        "devices": devices,
        "scenes": scenes,
        "songs": songs,
        "set": [str(p) for p in played],
        "ways": dice.choice(["", "", "any", "as listed"]),
        "repress": dice.choice(["ignored", "ignored", "repeats"]),
        "wakes": dice.choice([None, dice.choice(names)]),
    }


# ---- as text ----


def texts(book):
    wakes = "; wakes 1.1" if book["wakes"] else ""
    lines = [
        f"switcher {{ loops 2; remote jacks 2; outputs 2; banks 1..2, switches 1..4; repress {book['repress']}{wakes} }}"
    ]
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
    lines += common.show_lines(book)
    return ["\n".join(lines) + "\n"]


def setting(book, device, what):
    if what == "pulse":
        return f"pulse remote {1 + [d['name'] for d in book['devices']].index(device)} tip"
    return f"{device}.way {what if what == 'stays' else STATES[what]}"


# ---- ways ----


class Ways:
    """The places where the player can stand: a part of a song in its set, a preset just woken, or any preset."""

    def __init__(self, book):
        self.scene, self.follow, self.begin = [], {}, []
        self.repeats = book["repress"] == "repeats"
        night = [book["songs"][int(n)] for n in book["set"]]
        alone = [parts for n, parts in enumerate(book["songs"]) if str(n) not in book["set"]]
        if book["ways"] == "any":
            places = self.add([s["name"] for s in book["scenes"]])
            self.link(places, places)
            self.begin = [p for p in places if book["wakes"] in (None, self.scene[p])]
            return
        for songs in [night, *([parts] for parts in alone)]:
            runs = [self.add(parts) for parts in songs if parts]
            if book["ways"] == "as listed":
                listed = [place for places in runs for place in places]
                for pair in zip(listed, listed[1:]):
                    self.link(pair[:1], pair[1:])
            else:
                for places in runs:
                    self.link(places, places)
                for before, behind in zip(runs, runs[1:]):
                    self.link(before[-1:], behind[:1])
            self.begin += [places[0] for places in runs[:1]]
        if book["wakes"]:
            there = [p for p in self.begin if self.scene[p] == book["wakes"]]
            woken = self.add([book["wakes"]])
            self.link(woken, self.begin + (woken if book["ways"] != "as listed" else []))
            self.begin = woken + there
        self.stand()

    def stand(self):
        """Who stands on the preset of the next place already need not press it: what follows it follows here as well."""
        again = self.repeats
        while again:
            again = False
            for place, follow in self.follow.items():
                for other in [f for f in follow if f != place and self.scene[f] == self.scene[place]]:
                    if not self.follow[other] <= follow:
                        self.follow[place] = follow = follow | self.follow[other]
                        again = True

    def add(self, scenes):
        first = len(self.scene)
        self.scene += scenes
        places = list(range(first, len(self.scene)))
        self.follow.update({p: set() for p in places})
        return places

    def link(self, froms, tos):
        for p in froms:
            self.follow[p] |= set(tos)

    def sends(self, came, place):
        """Whether the step from CAME to PLACE makes the switcher send what the preset holds."""
        return came is None or self.repeats or self.scene[came] != self.scene[place]

    def all_from(self, starts, step):
        """Every (place, state) that is reached from power-up; STEP gives the state behind a step."""
        todo = [(None, state, place) for state in starts for place in self.begin]
        seen = []
        known = set()
        for came, state, place in todo:
            if (came, state, place) in known:
                continue
            known.add((came, state, place))
            seen.append((came, state, place))
            after = step(came, state, place)
            todo += [(place, after, following) for following in sorted(self.follow[place])]
        return seen


# ---- what is true, for one device ----


class Device:
    def __init__(self, book, device, stored, ways):
        """STORED: what each scene's preset sends this device, 1 a pulse, 0 nothing."""
        self.name, self.count, self.ways = device["name"], device["states"], ways
        self.stored = stored
        self.start = frozenset(range(self.count)) if device["starts"] is None else frozenset([device["starts"]])
        self.wants, self.sends = (
            {},
            {},
        )  # the state wanted; what is sent where a scene says so, absent where it is free
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

    def moved(self, known, value):
        return frozenset((state + value) % self.count for state in known)

    def right(self, scene, known):
        """The values that land right in SCENE, for every state of KNOWN."""
        want = self.wants[scene]
        return [v for v in (0, 1) if self.moved(known, v) == frozenset([want])]

    def after(self, came, known, place):
        """What is known behind a step, when every scene that wants a state gets it."""
        scene = self.ways.scene[place]
        if not self.ways.sends(came, place):
            return known
        return frozenset([self.wants[scene]]) if scene in self.wants else self.moved(known, self.stored[scene])

    def arrivals(self):
        """What may be known of the device at each press, as (the place before, None: power-up; known; the place)."""
        return self.ways.all_from([self.start], self.after)

    def matters(self, scene):
        """Whether another value in SCENE, where the device is free, changes what some scene needs."""

        def needs():
            return {
                (p, tuple(self.right(self.ways.scene[p], k)))
                for _, k, p in self.arrivals()
                if self.ways.scene[p] in self.wants
            }

        before = needs()
        self.stored[scene] = 1 - self.stored[scene]
        differs = needs() != before
        self.stored[scene] = 1 - self.stored[scene]
        return differs

    def winnable(self):
        """Whether presets enough, and pulses where the device is free, can serve every way."""
        ways = self.ways

        def choices(scene, known):
            if scene in self.wants:
                return self.right(scene, known)
            return [self.sends[scene]] if scene in self.sends else [0, 1]

        subsets = [
            frozenset(c) for n in range(1, self.count + 1) for c in itertools.combinations(range(self.count), n)
        ]
        safe = {(p, v, k) for p in range(len(ways.scene)) for v in (0, 1) for k in subsets}

        def fits(place, value, known, following):
            if not ways.sends(place, following):
                return (following, value, known) in safe
            scene = ways.scene[following]
            if scene == ways.scene[place]:  # the same switch again sends the same again
                after = self.moved(known, value)
                return (scene not in self.wants or after == frozenset([self.wants[scene]])) and (
                    following,
                    value,
                    after,
                ) in safe
            return any((following, v, self.moved(known, v)) in safe for v in choices(scene, known))

        while True:
            less = {(p, v, k) for p, v, k in safe if all(fits(p, v, k, f) for f in ways.follow[p])}
            if less == safe:
                break
            safe = less
        return all(
            any((p, v, self.moved(self.start, v)) in safe for v in choices(ways.scene[p], self.start))
            for p in ways.begin
        )


def presets_needed(devices, scene):
    """In how many different ways the devices that SCENE settles have to be moved, over all ways in."""
    ways = devices[0].ways

    def step(came, states, place):
        at = ways.scene[place]
        if not ways.sends(came, place):
            return states
        return tuple(d.wants[at] if at in d.wants else (s + d.stored[at]) % d.count for d, s in zip(devices, states))

    return len(
        {
            tuple((d.wants[scene] - s) % d.count for d, s in zip(devices, states) if scene in d.wants)
            for came, states, place in ways.all_from(itertools.product(*(d.start for d in devices)), step)
            if ways.scene[place] == scene and ways.sends(came, place)
        }
    )


def lands_wrong(devices, untold):
    """A walk over real states, by what is stored, that lands one of the UNTOLD devices wrong; None when there is none."""
    ways = devices[0].ways

    def step(came, states, place):
        sent = ways.sends(came, place)
        return tuple((s + sent * d.stored[ways.scene[place]]) % d.count for d, s in zip(devices, states))

    for came, states, place in ways.all_from(itertools.product(*(d.start for d in devices)), step):
        scene = ways.scene[place]
        for d, s in zip(devices, step(came, states, place)):
            if d in untold and scene in d.wants and s != d.wants[scene]:
                return (
                    f"{'power-up' if came is None else ways.scene[came]} to {scene}: {d.name} stands at {STATES[s]}"
                )
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
    ways, devices = Ways(book), []
    for n, d in enumerate(book["devices"], 1):
        column, stored = columns.index(f"remote-{n}-tip"), {}
        for row in table["rows"]:
            stored[row["scene"]] = {"pulse": 1, "stays": 0}.get(row["values"][column], row["values"][column])
        device = Device(book, d, stored, ways)
        for row in table["rows"]:
            if column in row["free"] and (row["scene"] not in device.free or device.matters(row["scene"])):
                raise Broken("told as free, and it matters", f"{device.name}: {row}")
            if stored[row["scene"]] not in (0, 1):
                raise Broken("neither a pulse nor left as it is", f"{device.name}: {row}")
            if device.sends.get(row["scene"], stored[row["scene"]]) != stored[row["scene"]]:
                raise Broken("what is said is not stored", f"{device.name}: {row}")
        devices.append(device)

    scenes, names = [s["name"] for s in book["scenes"]], [d.name for d in devices]
    depends, never, serves, nobody_knows = {}, {}, {}, set()
    for t in told:
        if t["code"] not in ("pulse-depends-on-path", "pulse-never-safe"):
            continue
        words = re.findall(r"`([^`]+)`", t["message"])
        of = [w for w in words if w in scenes][:1], [w for w in words if w in names]
        if len(of[0]) != 1 or len(of[1]) != 1:
            raise Broken("a pulse is told of no one scene and device", t["message"])
        pair = (of[0][0], of[1][0])
        (depends if t["code"] == "pulse-depends-on-path" else never)[pair] = t
        if t["message"].startswith("nobody knows"):
            nobody_knows.add(pair[1])
        found = re.search(r"(\d+) presets of `([^`]+)` serve every way", t.get("help", ""))
        if found:
            serves.setdefault(found[2], []).append((int(found[1]), t))
    report = (
        "told: "
        + "; ".join(t["message"] for t in told if t["code"].startswith("pulse"))
        + f"; stored: {table['rows']}"
    )

    some_told, unserved, two = set(), {}, False
    for d in devices:
        by_way = [scene for scene in d.free if (scene, d.name) in depends]
        if by_way:
            some_told, two = some_told | {d.name}, True
            two_presets(d, [depends[scene, d.name] for scene in by_way], report)
            if any(pair[1] == d.name for pair in never):
                raise Broken("two presets where nobody hears it, and never safe all the same", f"{d.name}: {report}")
            continue
        arrivals = d.arrivals()
        # That nobody knows how a device stands after power-up may be told of it once, at one of the scenes it meets.
        once = d.name in nobody_knows
        for scene, want in d.wants.items():
            pair, value = (scene, d.name), d.stored[scene]
            needs = [
                (ways.scene[c] if c is not None else "power-up", known, d.right(scene, known))
                for c, known, p in arrivals
                if ways.scene[p] == scene and ways.sends(c, p)
            ]
            if any(not fits for _, _, fits in needs):
                unserved[scene] = f"{pair}: ways in {needs}"
            if once and pair not in never:
                needs = [n for n in needs if len(n[1]) == 1]
            values = {v for _, _, fits in needs for v in fits}
            hopeless = any(not fits for _, _, fits in needs)
            hopeless |= any(came == scene for came, _, _ in needs) and any(
                fits == [1] for came, _, fits in needs if came != scene
            )
            one_is_right = len(values) <= 1 and not any(not fits for _, _, fits in needs) and not hopeless
            some_told |= {d.name} if pair in depends or pair in never else set()
            if one_is_right and (pair in depends or pair in never):
                raise Broken("told, and one value is right on every way", f"{pair}: ways in {needs}; {report}")
            if not one_is_right and pair not in depends and pair not in never:
                raise Broken("not told, and no value is right on every way", f"{pair}: ways in {needs}; {report}")
            if values and value not in values and pair not in never:
                raise Broken("what is stored is right on no way", f"{pair}: ways in {needs}; {report}")
            if not d.free and hopeless != (pair in never):
                raise Broken(
                    "never safe" + (" is not told" if hopeless else ", and presets enough would serve"),
                    f"{pair}: ways in {needs}; {report}",
                )
            if pair in depends:
                ways_told(d, scene, depends[pair])
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
        if scene in unserved:
            raise Broken("presets are said to serve every way, and on one none can", f"{unserved[scene]}; {report}")
        # With two presets of a scene that does not sound a device, what comes to the others hangs on the choice.
        true = 2 ** len(devices) if two else presets_needed(devices, scene)
        for number, t in claims:
            if number > true or number < 2 or number != true and not any(d.free for d in devices):
                raise Broken(
                    "not the fewest presets that serve every way", f"{scene}: {number} printed, {true} true; {report}"
                )
    walk = lands_wrong(devices, [d for d in devices if d.name not in some_told])
    if walk:
        raise Broken("nothing is told of a device, and a walk lands it wrong", f"{walk}; {report}")
    return (
        ["told of both devices"] * (len(some_told) == 2)
        + ["told of one"] * (len(some_told) == 1)
        + ["nothing told"] * (not some_told)
        + ["never safe"] * bool(never)
        + ["presets counted"] * bool(serves)
        + ["two presets where nobody hears it"] * two
    )


def two_presets(device, told, report):
    """Two presets of scenes that do not sound the device: they serve every way, one preset each does not."""
    if not device.winnable():
        raise Broken("two presets where nobody hears it, and none can serve", f"{device.name}: {report}")
    for t in told:
        if {other["message"].rsplit(": ", 1)[-1] for other in t["others"]} < {"a pulse", "none"}:
            raise Broken("no two ways are told that disagree", str(t))
    kept = dict(device.stored)
    for values in itertools.product((0, 1), repeat=len(device.free)):
        device.stored = kept | dict(zip(device.free, values))
        if not any(hopeless(device, scene) for scene in device.wants):
            raise Broken("two presets where nobody hears it, and one of each serves", f"{values} {device.name}: {report}")
    device.stored = kept


def hopeless(device, scene):
    """Whether a way into the scene is there that no value serves, or its own switch undoes the one that does."""
    ways, own, others = device.ways, False, []
    for came, known, place in device.arrivals():
        if ways.scene[place] == scene and ways.sends(came, place):
            own |= came is not None and ways.scene[came] == scene
            others.append(device.right(scene, known) if came is None or ways.scene[came] != scene else [0])
    return any(not fits for fits in others) or own and [1] in others


def ways_told(device, scene, told):
    """Each way that is told exists, and needs what is said of it; two of them disagree."""
    said, ways, arrivals = set(), device.ways, device.arrivals()
    for other in told["others"]:
        found = re.fullmatch(r"from (.*) to `[^`]+`(?: in \"[^\"]*\")?: (a pulse|none)", other["message"])
        if not found:
            continue
        stops = [
            None if "power-up" in stop else stop.strip("`") for stop in re.findall(r"power-up|`[^`]+`", found[1])
        ]
        if stops[0] is None:
            at = {(None, device.start, p) for p in ways.begin if ways.scene[p] == [*stops, scene][1]}
            stops = stops[1:]
        else:
            at = {a for a in arrivals if ways.scene[a[2]] == stops[0]}
        for stop in [*stops[1:], scene] if stops else []:
            todo = list(at)  # a step that sends nothing may go unsaid
            for c, k, p in todo:
                silent = {(p, device.after(c, k, p), f) for f in ways.follow[p] if not ways.sends(p, f)} - at
                at |= silent
                todo += silent
            at = {(p, device.after(c, k, p), f) for c, k, p in at for f in ways.follow[p] if ways.scene[f] == stop}
        value = int(found[2] == "a pulse")
        if not at:
            raise Broken("a way that is told does not exist", other["message"])
        if not any(value in device.right(scene, k) for c, k, p in at if ways.sends(c, p)):
            raise Broken("a way does not need what is told of it", f"{other['message']}; arrivals: {at}")
        said.add(value)
    if said != {0, 1}:
        raise Broken("no two ways are told that disagree", str(told))


if __name__ == "__main__":
    common.main("momentary contacts", make, texts, check, 1000)
