"""A night's book is the book amended by hand, and what it changed is given back.

A random book stands in a folder, as a board and a show. A night's book beside it takes pedals out and puts other statements in
the place of some; the generator writes the same book amended by hand, in one file, by its own reading of language.md:

2  "An unmentioned loop is bypassed"; 3 "A scene's own statements win over its layers, layers over the parent (`from`)"
   "inside it `from X` means the one that is replaced"; "`without hasp`: dead, or left at home: ... `if hasp fails` holds"

Then `table` prints the same bytes of both, wherever the night's book stands and whether it uses the folder or its files; the
folder's own `check` and `table` print the same bytes with the night's book beside; a simulated unit (that of memory.py) that holds
the base, and does the lines of `diff` to the night and back, holds the base again.
"""

import json
import pathlib
import re
import shutil
import subprocess

import common
import memory
from common import Broken, Skip

SONGS = memory.SONGS
TWO = {"contact", "closed", "pair", "program", "banked"}


# ---- a random book, and a night of it ----


def make(dice):
    loops = dice.randint(3, 5)
    rig = {"loops": loops, "letters": dice.random() < 0.5, "banks": dice.randint(2, 3), "display": dice.random() < 0.6,
           "steps": dice.choice([5, 128]), "presses": dice.random() < 0.5, "wakes": False}
    pedals = [[*p, n + 1] for n, p in enumerate(memory.board(dice, loops))]
    for p in pedals:
        # A pulse asks where one comes from: another oracle's matter.
        p[1] = "contact" if p[1] == "momentary" else p[1]
    flat = [p[:3] for p in pedals]
    names = dice.sample(common.SCENES, dice.randint(3, 6))
    scenes = []
    for name in names:
        s = one(dice, flat, loops, name)
        s["from"] = dice.choice([None, None, *[o["name"] for o in scenes]])
        s["layer"] = dice.random() < 0.25
        scenes.append(s)
    slots = [[b, s] for b in range(1, rig["banks"] + 1) for s in range(3)]
    free = dice.sample(slots, len(slots))
    where = [[free.pop(), n] for n in names]
    where += [[free.pop(), dice.choice(names)] for _ in range(dice.randint(0, 2)) if free]
    known = {s["name"]: s for s in scenes}
    ways = [[dice.choice(pedals)[0], *dice.sample(names, 2)] for _ in range(dice.randint(0, 9))]
    ways = [w for w in ways if engaged(known, w[1], w[0]) and not engaged(known, w[2], w[0])]
    base = {
        "pedals": pedals,
        "scenes": scenes,
        "layer": [[n, v] for n, v in one(dice, flat, loops, "x")["set"]][:1],
        "where": where,
        "default": [[n, dice.choice(memory.LEVELS if k in ("level", "cc") else ["low", "high"])] for n, k, _ in flat if k != "none"],
        "songs": [[dice.choice(names) for _ in range(dice.randint(1, 3))] for _ in SONGS],
        "order": SONGS,
        "ways": [list(w) for w in dict.fromkeys(map(tuple, ways))],
    }
    out = [p[0] for p in dice.sample(pedals, dice.choice([0, 1, 1, 1, 2]))]
    kept = [p for p in pedals if p[0] not in out]
    night = {"out": out, "scenes": [], "pedals": [], "default": None, "songs": None, "order": None, "where": None}
    for name in dice.sample(names, dice.choice([0, 0, 1, 2])):
        new = one(dice, flat, loops, name)
        own = next(s for s in scenes if s["name"] == name)
        new["from"] = dice.choice([None, name]) if not own["layer"] else None
        new["layer"] = False
        night["scenes"].append(new)
    for p in [p for p in kept if p[1] in TWO and dice.random() < 0.4]:
        night["pedals"].append([p[0], dice.random() < 0.5, dice.random() < 0.5])
    if dice.random() < 0.2:
        night["default"] = [[n, dice.choice(memory.LEVELS if k in ("level", "cc") else ["low", "high"])] for n, k, _ in flat if k != "none"]
    if dice.random() < 0.3:
        night["songs"] = [dice.randrange(3), [dice.choice(names) for _ in range(2)]]
    if dice.random() < 0.4:
        night["order"] = dice.sample(range(3), 2)
    if dice.random() < 0.2:
        night["where"] = [[s, n] for s, n in zip(dice.sample(slots, len(names)), names)]
    # The other board: it has none of what is out, and fewer loops.
    night["fly"] = bool(out) and dice.random() < 0.4
    return {"rig": rig, "base": base, "night": night, "use": dice.choice(["folder", "file", "inside"])}


def one(dice, flat, loops, name):
    s = memory.scene(dice, flat, loops, name)
    s["bypass"] = [n for n, _, _ in flat if n not in s["engage"] and dice.random() < 0.2]
    s["set"] = [[n, v] for n, v in s["set"] if v != "stays"]
    return s


# ---- as text ----


def kind_says(p, mapped=None):
    name, kind, at, _ = p
    # The new one's own words for the two states, and perhaps the other way round.
    low, high = ("low", "high") if mapped is None else ("down", "up")
    first, second = ("open", "closed") if not mapped else ("closed", "open")
    return {
        "none": "",
        "level": "level way on expression 1 from 0 % to 100 %",
        "cc": f"level way on midi {at} cc {20 + at % 2} from 0 % to 100 %",
        "program": f"control way on midi {at} programs from {at % 2} {{ {low}: program {7 if mapped else 3}; {high}: program {3 if mapped else 7} }}",
        "banked": f"control way on midi {at} programs from 1 {{ {low}: program {7 if mapped else 3} bank {200 if mapped else 1}; {high}: program {3 if mapped else 7} bank {1 if mapped else 200} }}",
        "closed": f"control way on remote 7 ring normally closed {{ {low}: {first}; {high}: {second} }}",
        "contact": f"control way on remote {at} tip {{ {low}: {first}; {high}: {second} }}",
        "pair": f"control way on remote {at} {{ {low}: tip {second}, ring {first}; {high}: tip {first}, ring {second} }}",
    }[kind]


def board_text(rig, b, turned=()):
    switches = "A..C" if rig["letters"] else "1..3"
    lines = [
        f"switcher {{ loops {rig['loops']}; remote jacks 7; expressions 1 of {rig['steps']} steps; outputs 2; banks 1..{rig['banks']}, "
        f"switches {switches}{'; display 8' if rig['display'] else ''}{'; presses: same bank 1, bank step 2' if rig['presses'] else ''} }}",
        "treadle rocker feeds expression 1",
        "amp hall { fed by output 1 }",
        "amp barn { fed by output 2 }",
    ]
    for p in b["pedals"]:
        says = kind_says(p, True if p[0] in turned else None).replace("down:", "low:").replace("up:", "high:")
        lines.append(f"pedal {p[0]} {{ loop {p[3]}{'; ' + says if says else ''} }}")
    return "\n".join(lines) + "\n"


def body(s, gone=()):
    says = [f"engage {n}" for n in s["engage"] if n not in gone] + [f"engage loop {n}" for n in s["plain"]]
    says += [f"bypass {n}" for n in s["bypass"] if n not in gone]
    says += [f"{n}.way {v}" for n, v in s["set"] if n not in gone] + [f"output {o} off" for o in s["off"]]
    says += [f"output {o} on" for o in s.get("on", [])]
    return "{ " + "; ".join(says) + " }"


def scene_text(s, gone=()):
    up = f" from {s['from']}" if s["from"] else ""
    return f"scene {s['name']}{up}{' with tint' if s['layer'] else ''} {body(s, gone)}"


def show_text(rig, b, gone=()):
    lines = ["ways as listed", "default { " + "; ".join(f"{n}.way {v}" for n, v in b["default"] if n not in gone) + " }"]
    lines.append("layer tint { " + "; ".join(f"{n}.way {v}" for n, v in b["layer"] if n not in gone) + " }")
    lines += [scene_text(s, gone) for s in b["scenes"]]
    lines.append("slots { " + "; ".join(f"{memory.shown(rig, w)} {n}" for w, n in b["where"]) + " }")
    lines += [song_text(t, parts) for t, parts in zip(SONGS, b["songs"])]
    lines.append(set_text(b["order"]))
    lines += [f"if {d} fails, {s} becomes {t}" for d, s, t in b["ways"]]
    return "\n".join(lines) + "\n"


def song_text(title, parts):
    return f'song "{title}" {{ ' + "; ".join(f"p{n}: {p}" for n, p in enumerate(parts)) + " }"


def set_text(order):
    return 'set "night" { ' + "; ".join(f'"{t}"' for t in order) + " }"


def night_text(book):
    n, b = book["night"], book["base"]
    lines = [f"without {', '.join(n['out'])}"] if n["out"] and not n["fly"] else []
    lines += ['instead use "book1.scene" by "FLY"'] if n["fly"] else []
    lines += ["instead " + scene_text(s) for s in n["scenes"]]
    for name, turned, mapped in n["pedals"]:
        p = next(p for p in b["pedals"] if p[0] == name)
        says = kind_says(p, turned)
        if mapped:
            says += "; way low is down, high is up"
        else:
            says = says.replace("down:", "low:").replace("up:", "high:")
        lines.append(f"instead pedal {name} \"another\" like {name} {{ {says} }}")
    if n["default"]:
        lines.append("instead default { " + "; ".join(f"{p}.way {v}" for p, v in n["default"]) + " }")
    if n["songs"]:
        lines.append("instead " + song_text(SONGS[n["songs"][0]], n["songs"][1]))
    if n["order"]:
        one, other = (SONGS[at] for at in n["order"])
        lines.append(f'instead set "night" from "night" {{ swap "{one}", "{other}" }}')
    if n["where"]:
        lines.append("instead slots { " + "; ".join(f"{memory.shown(book['rig'], w)} {s}" for w, s in n["where"]) + " }")
    return "\n".join(lines or ["instead " + set_text(SONGS)]) + "\n"


def flown(book):
    """The pedals of the other board, and its switcher."""
    left = [[*p[:3], n + 1] for n, p in enumerate(p for p in book["base"]["pedals"] if p[0] not in book["night"]["out"])]
    return left, book["rig"] | {"loops": max(len(left), 1)}


def fly_text(book):
    pedals, rig = flown(book)
    return board_text(rig, {"pedals": pedals})


def texts(book):
    return [
        board_text(book["rig"], book["base"]),
        'use "book1.scene"\n' + show_text(book["rig"], book["base"]),
        'use "book2.scene"\n' + night_text(book),
        by_hand(book),
    ]


# ---- amended by hand ----


def over(upper, lower):
    """The statements of one scene over those of what it derives from: each is replaced whole."""
    new = dict(upper)
    said = set(upper["engage"]) | set(upper["bypass"])
    for word in ("engage", "bypass"):
        new[word] = sorted(set(upper[word]) | {n for n in lower[word] if n not in said})
    new["plain"] = sorted(set(upper["plain"]) | set(lower["plain"]))
    new["off"] = sorted(set(upper["off"]) | set(lower["off"]))
    has = {n for n, _ in upper["set"]}
    new["set"] = upper["set"] + [s for s in lower["set"] if s[0] not in has]
    new["from"], new["layer"] = lower["from"], upper["layer"] or lower["layer"]
    return new


def engaged(scenes, name, pedal):
    s = scenes[name]
    if pedal in s["engage"] or pedal in s["bypass"]:
        return pedal in s["engage"]
    return s["from"] is not None and engaged(scenes, s["from"], pedal)


def amended(book):
    b, n = json.loads(json.dumps(book["base"])), book["night"]
    scenes = {s["name"]: s for s in b["scenes"]}
    for new in n["scenes"]:
        scenes[new["name"]] = over(new, scenes[new["name"]]) if new["from"] else dict(new)
    b["default"] = n["default"] or b["default"]
    if n["songs"]:
        b["songs"][n["songs"][0]] = n["songs"][1]
    if n["order"]:
        x, y = n["order"]
        order = list(SONGS)
        order[x], order[y] = order[y], order[x]
        b["order"] = order
    b["where"] = n["where"] or b["where"]
    loop = {p[0]: p[3] for p in b["pedals"]}
    needs = lambda s: any(engaged(scenes, s, d) for d in n["out"])

    def ways(s):
        fit = [(loop[d], t) for d, of, t in b["ways"] if of == s and d in n["out"] and engaged(scenes, s, d)]
        return [t for _, t in sorted(fit)]

    def stands(s):
        if not needs(s):
            return s
        seen, queue = {s}, ways(s)
        while queue:
            t = queue.pop(0)
            if t in seen:
                continue
            if not needs(t):
                return t
            seen.add(t)
            queue += ways(t)
        return s

    stand = {s: stands(s) for s in scenes}
    b["where"] = [[w, stand[s]] for w, s in b["where"]]
    b["songs"] = [[stand[s] for s in parts] for parts in b["songs"]]
    gave = {s for s in scenes if stand[s] != s}
    for name in list(scenes):
        while scenes[name]["from"] in gave:
            lower = scenes[scenes[name]["from"]]
            if lower["layer"] or scenes[name]["layer"]:
                raise Skip("a layer between what derives from a scene that gave way")
            scenes[name] = over(scenes[name], lower)
    b["scenes"] = [s for s in scenes.values() if s["name"] not in gave]
    left = [s["name"] for s in b["scenes"]]
    b["ways"] = [[d, s, stand[t]] for d, s, t in b["ways"] if d not in n["out"] and s in left and stand[t] != s]
    b["pedals"] = [p for p in b["pedals"] if p[0] not in n["out"]]
    if n["fly"]:
        b["pedals"], rig = flown(book)
        for s in b["scenes"]:
            # What is said of a loop that is not there cannot sound.
            s["plain"] = [at for at in s["plain"] if at <= rig["loops"]]
    return b, gave


def by_hand(book):
    try:
        b, _ = amended(book)
    except Skip:
        return ""
    turned = [name for name, way, _ in book["night"]["pedals"] if way]
    rig = flown(book)[1] if book["night"]["fly"] else book["rig"]
    return board_text(rig, b, turned) + show_text(book["rig"], b, book["night"]["out"])


# ---- the promise ----


def run(*words):
    done = subprocess.run([common.BINARY, *map(str, words)], capture_output=True, text=True, timeout=60)
    if done.returncode not in (0, 1, 2) or "panicked" in done.stderr:
        raise Broken("the tool fell over", f"{words}: {done.stderr}")
    return done.returncode, done.stdout, done.stderr


def check(book, files):
    rig = book["rig"]
    hand, gave = amended(book)
    board, show, _, amended_file = map(pathlib.Path, files.files)
    folder = board.parent / "base"
    folder.mkdir()
    shutil.copy(board, folder / "book1.scene")
    shutil.copy(show, folder / "book2.scene")
    before = [run("check", folder), run("table", folder)]
    if before[1][0] != 0:
        raise Skip("errors of the book")
    night = (folder if book["use"] == "inside" else folder.parent) / "tonight.scene"
    uses = {"folder": "base", "file": "base/book2.scene", "inside": "book2.scene"}[book["use"]]
    # Beside the night's book; the folder's own files are the two that it had.
    fly = {"folder": "fly.scene", "file": "fly.scene", "inside": "small/fly.scene"}[book["use"]]
    (folder / "small").mkdir()
    (night.parent / fly).write_text(fly_text(book))
    night.write_text(f'use "{uses}"\n' + night_text(book).replace("FLY", fly))
    (folder / "another.scene").write_text('use "book2.scene"\n' + night_text(book))
    if [run("check", folder), run("table", folder)] != before:
        raise Broken("a folder is another book with a night's book beside", run("check", folder)[2])
    if {p.name: p.read_text() for p in (folder / "book1.scene", folder / "book2.scene")} != {"book1.scene": board.read_text(), "book2.scene": show.read_text()}:
        raise Broken("the base was written to", "")
    for fill in ("least", "open"):
        of_night, of_hand = (run("table", f, "--format", "csv", "--fill", fill) for f in (night, amended_file))
        if (of_night[0] == 0) != (of_hand[0] == 0):
            raise Broken("one of two ways to say it has errors", of_night[2] + "--- by hand\n" + of_hand[2])
        if of_night[1] != of_hand[1]:
            raise Broken("the night's table is not that of the book amended by hand", f"{of_night[1]}--- by hand\n{of_hand[1]}")
    words = ["nights"] + ["scenes that gave way"] * len(gave) + ["pedals out"] * len(book["night"]["out"])
    words += ["pedals replaced"] * len(book["night"]["pedals"]) + ["scenes replaced"] * len(book["night"]["scenes"])
    words += ["another board"] * book["night"]["fly"]
    if book["night"]["fly"] and of_night[0] == 0:
        # Another unit: nothing is given back to it.
        return words
    if of_night[0] != 0:
        return words + ["with errors, by hand too"]
    return words + there_and_back(rig, book, hand, folder, night)


def memory_of(rig, pedals, file):
    keys = memory.keys_of({"pedals": pedals})
    rows, sent = (run(word, file, "--format", "json")[1] for word in ("table", "midi"))
    return *memory.table(rig, keys, rows, sent), keys


def there_and_back(rig, book, hand, folder, night):
    pedals = {"base": [p[:3] for p in book["base"]["pedals"]], "night": [p[:3] for p in hand["pedals"]]}
    held = {"base": memory_of(rig, pedals["base"], folder), "night": memory_of(rig, pedals["night"], night)}
    unit = {s: dict(u) if rig["display"] else u | {"name": memory.ANY} for s, u in held["base"][0].items()}
    words = []
    for old, new, of in (("base", "night", pedals["night"]), ("night", "base", pedals["base"])):
        paths = {"base": folder, "night": night}
        printed = run("diff", paths[old], paths[new], "--for", "tech")[1]
        found = re.search(r"^To reprogram\n((?:.+\n)*)", printed, re.M)
        for kind, slot, what in steps(found[1] if found else ""):
            words.append("lines done " + ("before" if new == "night" else "after"))
            if kind == "out":
                unit.get(slot, {}).pop(what, None)
            elif kind == "copy":
                unit[slot] = dict(unit[what])
            else:
                key, value = memory.read({n: (k, at) for n, k, at in of}, rig, turned(book, what, new))
                unit.setdefault(slot, {k: memory.ANY for k in next(iter(held[new][0].values()))})
                if value is None:
                    unit[slot].pop(key, None)
                else:
                    unit[slot][key] = value
        memory_now, free, keys = held[new]
        wrong = memory.wrong(unit, memory_now, free, keys, memory_now.keys(), False)
        if rig["display"]:
            wrong += [f"{s} is called {unit[s].get('name')}" for s in memory_now if unit[s].get("name") != memory_now[s]["name"]]
        if wrong:
            raise Broken(f"done to the letter, the list leaves the unit wrong ({new})", "\n".join(wrong) + "\n" + printed)
    return words


def turned(book, line, new):
    return line


def steps(section):
    """What the list says, line by line: a slot and a write, a copy, or a message to take out."""
    slot = None
    for line in section.splitlines():
        head = re.fullmatch(r"  \[ \] (\S+) `.*`(?:, holds `.*`|, empty)?", line)
        item = re.fullmatch(r"    \[ \] (.*)", line)
        taken = re.fullmatch(r"  \[ \] take `(.*)` out of (.*?): the new board sets no such message", line)
        if taken:
            for at in taken[2].split(", "):
                yield "out", at, taken[1]
        elif head:
            slot = head[1]
        elif item:
            copied = re.match(r"store the preset of (\S+) ", item[1])
            yield ("copy", slot, copied[1]) if copied else ("write", slot, item[1])


if __name__ == "__main__":
    common.main("a night's book", make, texts, check, 300)
