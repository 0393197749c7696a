"""`without` against the book that was written without the part, and against every preset. Written from language.md and
computations.md alone:

"faults: which songs does a dead part hit, and the nearest scene that avoids it ... least weighted distance: brute force";
"without: what a dead part, or one that is taken out, does to each part of each song ... the amended book compiled by hand".

Read so: what is heard of a preset is which pedals are in, which amps are fed, and how the controls of those stand; with no amp
fed, nothing. A pedal or amp that differs weighs `pedal` or `amp`, a control of what is heard in both `state`, two stored steps
of a level their share of `level`, in hundredths, halves up. What a device that is out does is read off the table of the book
that the generator writes without it. A pulled remote jack leaves its contacts open; a device that no message reaches stays in
the state that most parts want while it is heard, of equal ones the first; a foot that is gone leaves its level where it is.
"""

import csv
import itertools
import json
from collections import Counter

import common
from common import Broken, Skip

VOICES = ["dim", "lit"]
MEMORY = ["near", "mid", "far"]


def make(dice):
    pedals = []
    for n, name in enumerate(common.PEDALS[: dice.randint(1, 5)]):
        pedals.append(
            {
                "name": name,
                "voice": dice.random() < 0.5,
                "memory": dice.random() < 0.3,
                "level": n < 2 and dice.random() < 0.5,
                "always": dice.random() < 0.1,
                "outlet": dice.choice("ABC"),
            }
        )
    scenes = []
    for name in common.SCENES[: dice.randint(2, 8)]:
        scenes.append(
            {
                "name": name,
                "engage": [p["name"] for p in pedals if dice.random() < 0.45],
                "set": {
                    p["name"]: (dice.choice(VOICES), dice.choice(MEMORY), dice.choice(["foot", 0, 10, 35, 50, 90, 100]))
                    for p in pedals
                },
                "channel": dice.choice(["low", "high"]),
                "mute": dice.random() < 0.1,
                "off": dice.choice([0, 0, 0, 1, 2]),
            }
        )
    slots = [(b, s) for b in range(4) for s in range(3)]
    dice.shuffle(slots)
    placed = [[list(slots.pop()), s["name"]] for s in scenes if dice.random() < 0.85]
    placed += [[list(slots.pop()), dice.choice(placed)[1]] for _ in range(dice.randint(0, 3)) if placed]
    names = [s["name"] for s in scenes]
    return {
        "pedals": pedals,
        "scenes": scenes,
        "placed": placed,
        "songs": [
            {
                "parts": [dice.choice(names) for _ in range(dice.randint(1, 4))],
                "guitar": dice.choice(["slat", "reed", "bow"]),
                "tuning": dice.choice(["", "", "drop D", "open G"]),
            }
            for _ in range(dice.randint(1, 4))
        ],
        "fails": [
            [dice.choice(pedals)["name"], *dice.sample(names, 2)] for _ in range(dice.randint(0, 2)) if len(names) > 1
        ],
        "presses": dice.choice([None, [1, 1], [1, 2], [2, 1]]),
        "weights": [dice.randint(0, 9) for _ in range(4)],
        "reach": dice.randint(0, 5),
        "gives": {o: dice.randint(1, 5) for o in "ABC"},
        "wired": dice.random() < 0.7,
        "loft": dice.random() < 0.4,
    }


def one(book, out):
    """The book's text, without a pedal or an amp."""
    pedals = [p for p in book["pedals"]]
    presses = book["presses"]
    lines = [
        f"switcher {{ loops {len(pedals)}; remote jacks {2 + len(pedals)}; expressions 2 of 128 steps; outputs 2; "
        f"banks 1..4, switches 1..3{f'; presses: same bank {presses[0]}, bank step {presses[1]}' if presses else ''} }}",
        *(f"guitar {g} {{ cable 6 m at 100 pF/m }}" for g in ["slat", "reed", "bow"]),
        "supply brick { margin 0 %; "
        + "; ".join(f"outlet {o} 9 V, {100 * n} mA, centre-negative, isolated" for o, n in book["gives"].items())
        + " }",
        "treadle left feeds expression 1",
        "treadle right feeds expression 2",
    ]
    if out != "hall":
        lines.append("amp hall { fed by output 1; control channel on remote 1 tip { low: open; high: closed } }")
    if out != "barn":
        lines.append("amp barn { fed by output 2 }")
    if book["loft"] and out != "loft":
        lines.append("amp loft { fed by output 1 }")
    for n, p in enumerate(pedals):
        if p["name"] == out:
            continue
        inside = [f"loop {n + 1}", f"power brick.{p['outlet']}, 100 mA at 9 V, centre-negative"]
        if p["always"]:
            inside.append("always on")
        if p["voice"]:
            inside.append(f"control voice on remote {3 + n} tip {{ dim: open; lit: closed }}")
        if p["memory"]:
            inside.append(f"control memory on midi {n + 1} programs from 1 {{ near: program 7; mid: program 3; far: program 5 }}")
        if p["level"]:
            inside.append(f"level depth on expression {n + 1} from 0 % to 100 %")
        lines.append(f"pedal {p['name']} {{ {'; '.join(inside)} }}")
    if book["wired"]:
        last = len(pedals)
        to = "hall" if out != "hall" else ""
        lines.append(f"chain front: guitar -> loops 1..{last} -> output 1{' -> ' + to if to else ''}")
        if out != "barn":
            lines.append(f"chain side: loop {last} -> output 2 -> barn")
        lines.append("patch leads 25 cm at 100 pF/m")
    known = [p for p in pedals if p["name"] != out]
    for s in book["scenes"]:
        says = [f"engage {p['name']}" for p in known if p["name"] in s["engage"]]
        for p in known:
            voice, memory, depth = s["set"][p["name"]]
            says += [f"{p['name']}.voice {voice}"] * p["voice"] + [f"{p['name']}.memory {memory}"] * p["memory"]
            says += [f"{p['name']}.depth {depth if depth == 'foot' else f'{depth} %'}"] * p["level"]
        says += [f"hall.channel {s['channel']}"] * (out != "hall")
        # Without its amp an output that says `off` feeds nothing.
        says += ["mute"] * s["mute"] + [f"output {s['off']} off"] * (s["off"] > 0 and not s["mute"])
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    for n, song in enumerate(book["songs"]):
        tuning = f'tuning "{song["tuning"]}"; ' if song["tuning"] else ""
        parts = "; ".join(f'"part {m}": {scene}' for m, scene in enumerate(song["parts"]))
        lines.append(f'song "song {n}" on {song["guitar"]} {{ {tuning}{parts} }}')
    lines.append("slots { " + "; ".join(f"{b + 1}.{s + 1} {name}" for (b, s), name in book["placed"]) + " }")
    lines += [f"if {device} fails, {a} becomes {b}" for device, a, b in book["fails"] if device != out]
    return "\n".join(lines) + "\n"


def devices(book):
    return [p["name"] for p in book["pedals"]] + ["hall", "barn"] + ["loft"] * book["loft"]


def texts(book):
    return [one(book, out) for out in [None, *devices(book)]]


AMPS = ("hall", "barn", "loft")


def heard(book, values, out=(), dead=None):
    """What is heard of a row of the table: by device, what its controls stand at."""
    found = {}
    for n, p in enumerate(book["pedals"]):
        if p["name"] in out or not values[f"loop-{n + 1}"]:
            continue
        controls = {}
        if p["voice"]:
            controls["voice"] = VOICES[int(values[f"remote-{3 + n}-tip"])]
        if p["memory"]:
            controls["memory"] = {7: "near", 3: "mid", 5: "far"}[values[f"midi-{n + 1}:{p['name']}.memory"]]
        if p["level"]:
            value = values[f"expression-{n + 1}"]
            controls["depth"] = value if isinstance(value, str) else round(value * 127 / 100)
        found[p["name"]] = controls
    amps = 0
    if "hall" not in out and values["output-1"]:
        channel = ["low", "high"][int(values["remote-1-tip"])]
        if dead != channel:
            found["hall"], amps = {"channel": channel}, amps + 1
    if "barn" not in out and values["output-2"]:
        found["barn"], amps = {}, amps + 1
    if book["loft"] and "loft" not in out and values["output-1"]:
        found["loft"], amps = {}, amps + 1
    return found if amps else {}


def distance(a, b, weights):
    amp, pedal, state, level = weights
    total = 0
    for device in set(a) | set(b):
        if (device in a) != (device in b):
            total += 100 * (amp if device in AMPS else pedal)
            continue
        for control, value in a.get(device, {}).items():
            other = b[device][control]
            if value == other:
                continue
            if isinstance(value, int) and isinstance(other, int):
                total += (2 * 100 * level * abs(value - other) + 127) // 254
            else:
                total += 100 * state
    return total


def rows(run, number):
    code, out, err = run.one(number, "table", "--format", "json")
    if code:
        raise Skip(f"errors of the book without a part: {err.split(chr(10))[0][:40]}" if number else "errors of the book")
    table = json.loads(out)
    names = [c["name"] for c in table["cells"]]
    return {row["scene"]: dict(zip(names, row["values"])) for row in table["rows"]}


def check(book, run):
    if not book["placed"] or not book["songs"]:
        raise Skip("nothing is stored, or nothing is played")
    base = rows(run, 0)
    weights, words = book["weights"], Counter()
    meant = {scene: heard(book, values) for scene, values in base.items()}
    plays = sorted({(n, m, scene) for n, song in enumerate(book["songs"]) for m, scene in enumerate(song["parts"])})
    options = ["--weights", "amp={},pedal={},state={},level={}".format(*weights), "--reach", str(book["reach"])]
    code, out, err = run.one(0, "without", *options, "--format", "json")
    if code:
        raise Broken("it fails", err)
    whole = json.loads(out)
    told = {p["part"]: p for p in whole["parts"]}

    def changed(change):
        """What is heard of each scene when cells of its row are changed."""
        return {scene: heard(book, {**values, **change(scene, values)}) for scene, values in base.items()}

    def most_wanted(n, name):
        """Where a hand leaves the memory of a pedal."""
        states = Counter(meant[s][name]["memory"] for _, _, s in plays if name in meant[s])
        return max(MEMORY, key=lambda s: (states[s], -[7, 3, 5][MEMORY.index(s)])) if states else None

    dead = {}
    for number, name in enumerate(devices(book), 1):
        dead[name] = ({s: heard(book, v, out=[name]) for s, v in rows(run, number).items()}, {name})
    for n, p in enumerate(book["pedals"]):
        dead[f"loop {n + 1}"] = dead[p["name"]]
        if p["level"]:
            left = f"expression-{n + 1}"
            dead[["left", "right"][n]] = (
                changed(lambda _, v, left=left: {left: "stays"} if v[left] == "foot" else {}),
                set(),
            )
    for jack in range(1, 3 + len(book["pedals"])):
        cell = f"remote-{jack}-tip"
        dead[f"remote {jack}"] = (changed(lambda _, v, cell=cell: {cell: 0} if cell in v else {}), set())
    for output in (1, 2):
        dead[f"output {output}"] = (changed(lambda _, v, output=output: {f"output-{output}": 0}), set())
    for state in ("low", "high"):
        dead[f"hall.channel {state}"] = ({s: heard(book, v, dead=state) for s, v in base.items()}, set())
    for outlet in "ABC":
        gone = {p["name"] for p in book["pedals"] if p["outlet"] == outlet}
        now = {s: {d: c for d, c in m.items() if d not in gone} for s, m in meant.items()}
        dead[f"brick.{outlet}"] = (now, gone)
    pedals = {p["name"] for p in book["pedals"]}
    dead["brick"] = ({s: {d: c for d, c in m.items() if d not in pedals} for s, m in meant.items()}, pedals)
    line = [(n, p["name"]) for n, p in enumerate(book["pedals"]) if p["memory"]]
    none = {s: {} for s in base}
    for row in csv.DictReader(run.one(0, "wiring", "--format", "csv")[1].splitlines()):
        name, ends = f"lead {row['lead']}", (row["from"], row["to"])
        for n, p in enumerate(book["pedals"]):
            if f"loop {n + 1} send" in ends or f"loop {n + 1} return" in ends:
                dead[name] = dead[p["name"]]
            if f"{p['name']} power" in ends:
                dead[name] = dead[p["name"]]
            if f"{p['name']} remote (tip)" in ends:
                dead[name] = dead[f"remote {3 + n}"]
            if ends[1] == f"{p['name']} MIDI in":
                behind = line[line.index((n, p["name"])) :]
                fixed = {
                    f"midi-{m + 1}:{d}.memory": {"near": 7, "mid": 3, "far": 5}[most_wanted(m, d)]
                    for m, d in behind
                    if most_wanted(m, d)
                }
                dead[name] = (changed(lambda _, v, fixed=fixed: fixed), set())
        if ends == ("output 1", "hall in"):
            dead[name] = dead["hall"]
        if ends == ("output 2", "barn in"):
            dead[name] = dead["barn"]
        if ends[0] == "guitar" and "loop 1" in ends[1]:
            dead[name] = (none, set(AMPS))

    stored = [((b, s), f"{b + 1}.{s + 1}", name) for (b, s), name in book["placed"]]

    def presses(a, b):
        if not book["presses"] or a is None:
            return None
        return 0 if a == b else book["presses"][0] + book["presses"][1] * abs(a[0] - b[0])

    lost = {}
    for part, (now, gone) in dead.items():
        if part not in told:
            raise Broken("a part is not listed", part)
        said = told[part]
        hit = {s for s in base if now[s] != meant[s]}
        report = f"{part}: {json.dumps(said)}\n"
        parts = {(n, m) for n, m, s in plays if s in hit}
        if (said["parts"], said["songs"]) != (len(parts), len({n for n, _ in parts})):
            raise Broken("parts that are touched", f"{report}{sorted(parts)}, scenes {sorted(hit)}")
        if said["silent"] != len({(n, m) for n, m, s in plays if s in hit and not now[s]}):
            raise Broken("parts that are silent", report)
        shown = {(p["slot"], p["scene"]) for p in said["presets"]}
        true = {(slot, name) for _, slot, name in stored if name in hit}
        names = {name for _, _, name in stored}
        true |= {(None, s) for _, _, s in plays if s in hit and s not in names}
        if shown != true or len(said["presets"]) != len(true):
            raise Broken("presets that are touched", f"{report}{sorted(true, key=str)}")
        words["touching nothing"] += not hit
        total = 0
        for preset in said["presets"]:
            scene, report = preset["scene"], f"{part}: {json.dumps(preset)}\n"
            off = distance(meant[scene], now[scene], weights)
            if preset["off"] != off / 100 or preset["silent"] != (not now[scene]):
                raise Broken("how far off it is", f"{report}{off}: {meant[scene]} {now[scene]}")
            at = next((place for place, slot, _ in stored if slot == preset["slot"]), None)
            ways = [
                (distance(meant[scene], meant[name], weights), presses(at, place), place, slot, name)
                for place, slot, name in stored
                if name not in hit and meant[name]
            ]
            key = lambda w: (w[0], -1 if w[1] is None else w[1], w[2])
            best = min(ways, key=key, default=None)
            quick = min((w for w in ways if w[1] is not None and w[1] <= book["reach"]), key=key, default=None)
            for way, what in ((best, "nearest"), (quick, "in_reach")):
                true = way and {"slot": way[3], "scene": way[4], "presses": way[1], "off": way[0] / 100}
                if preset[what] != true:
                    raise Broken(f"the {what} scene", f"{report}{true}\n{ways}")
                words[f"{what}, found"] += way is not None
            own = Counter()
            for device, a, b in book["fails"]:
                if a == scene and device in gone:
                    ends = [(presses(at, place) or 0, place, slot) for place, slot, name in stored if name == b]
                    to = min(ends)[2] if ends else None
                    own[b, "it is touched too" if b in hit else None if to else "it stands in no slot", to] += 1
            if own != Counter((o["scene"], o["fails"], o["way"] and o["way"]["slot"]) for o in preset["own"]):
                raise Broken("the player's own way out", f"{report}{own}")
            words["own ways out"] += sum(own.values())
            many = len(preset["played"])
            total += many * min(off, best[0] if best else off)
        lost[part] = total
        words["parts that die"] += 1
        moved(book, part, said, base, meant, plays, weights, words, lost)
    tells(book, whole, told, lost, plays, meant, words)
    return list(words.elements())


def moved(book, part, said, base, meant, plays, weights, words, lost):
    """Another outlet, another output."""
    if part.startswith("brick.") and said["presets"]:
        loads = Counter(p["outlet"] for p in book["pedals"])
        here = part[-1]
        free = {o: n - loads[o] for o, n in book["gives"].items() if o != here}
        # Every pedal draws as much, so that whatever is free takes as many as it has room for.
        fits = sum(free.values()) >= loads[here]
        if said["first"].startswith("Plug") != fits:
            raise Broken("another outlet", f"{part}: {said['first']}\n{free} {loads}")
        if fits:
            to = Counter(w.rstrip(",:")[-1] for w in said["first"].split() if w.startswith("brick."))
            if sum(to.values()) != loads[here] or any(free.get(o, 0) < n for o, n in to.items()):
                raise Broken("another outlet is too weak", f"{part}: {said['first']}\n{free} {loads}")
        words["outlets that can be left" if fits else "outlets that cannot"] += 1
    if part.startswith("output ") and said["presets"]:
        dead = int(part[-1])
        other = (["barn"], ["hall", "loft"])[dead - 1]
        cells = {f"output-{dead}": f"output-{3 - dead}"}
        now = {s: heard(book, {**v, **{a: v[b] for a, b in cells.items()}}, out=other) for s, v in base.items()}
        off = {s: heard(book, {**v, f"output-{dead}": 0}) for s, v in base.items()}
        loss = [sum(distance(meant[s], m[s], weights) for _, _, s in plays) for m in (now, off)]
        if said["first"].startswith("Standby") != (loss[0] < loss[1]):
            raise Broken("another output", f"{part}: {said['first']} {loss}")
        words["amps on another output"] += loss[0] < loss[1]


def tells(book, whole, told, lost, plays, meant, words):
    """Spares, the line past the switcher, guitars."""
    single = {s["spare"]: s["worth"] for s in whole["spares"] if " lead" not in s["spare"]}
    true = {d: lost[d] / 100 for d in [*devices(book), "brick", "left", "right"] if lost.get(d)}
    if single != true:
        raise Broken("what spares are worth", f"{single} {true}")
    worth = [s["worth"] for s in whole["spares"]]
    if worth != sorted(worth, reverse=True):
        raise Broken("spares out of order", str(worth))
    # The first of the list save the most: every choice of so many.
    for many in range(1, min(4, len(worth)) + 1):
        if sum(worth[:many]) != max(sum(c) for c in itertools.combinations(worth, many)):
            raise Broken("other spares save more", str(worth))
    needed = [p["name"] for p in book["pedals"] if any(p["name"] in meant[s] for _, _, s in plays)]
    counted = {amp: sum(amp in meant[s] for _, _, s in plays) for amp in devices(book) if amp in AMPS}
    patch = whole["patch"]
    if not any(counted.values()):
        if patch:
            raise Broken("a line to an amp that nobody hears", str(patch))
    else:
        amp = patch["line"].split(" -> ")[-1]
        if counted[amp] != max(counted.values()):
            raise Broken("the line leads to the other amp", f"{patch} {counted}")
        if patch["line"] != " -> ".join(["guitar", *needed, amp]) or patch["leads"] != len(needed) + 1:
            raise Broken("the line past the switcher", f"{patch} {needed}")
        words["lines past the switcher"] += 1
    for guitar in ("slat", "reed", "bow"):
        songs = [s for s in book["songs"] if s["guitar"] == guitar]
        if not songs:
            continue
        tunings = lambda g: {s["tuning"] for s in book["songs"] if s["guitar"] == g}
        others = sorted({"slat", "reed", "bow"} - {guitar})
        tune = {o: sum(s["tuning"] not in tunings(o) for s in songs) for o in others}
        best = min(others, key=lambda o: (tune[o], o))
        said = told[guitar]
        if not said["first"].startswith(f"Play {best}") or said["songs"] != len(songs):
            raise Broken("the other guitar", f"{said} {tune}")
        asked = [f"song {n}" for n, s in enumerate(book["songs"]) if s["guitar"] == guitar and s["tuning"] not in tunings(best)]
        if any((f'"{s}"' in said["first"]) != (s in asked) for s in (f"song {n}" for n in range(len(book["songs"])))):
            raise Broken("what to tune for", f"{said} {asked}")
        words["guitars"] += 1


if __name__ == "__main__":
    common.main("without", make, texts, check, 100)
