"""Questions in a player's words against the printed table, the book's songs, and the book with the advice written into it.

`where` names every part whose scene uses a thing and no other: read from `table --format csv --free` (`1` is engaged, closed
or on, `-` does not matter, a level's position in tenths of a percent of its port, `foot`) and from the songs as they were
drawn. What goes out by MIDI goes out whether its pedal is heard or not, so that is read without `--free`.
`why` says "is in" and "is out" as the table does; what it says to write is written, and then the book has no error, the
pedal is in, and the scenes that change are the ones it names.
`walk --from --to` costs what the slots cost at least, moves the loops and contacts that differ, and asks of feet what does.

language.md: "the port's position p is computed through `from .. to` (reversed ranges too); on n steps it is stored as
round-half-up of p*(n-1), and compared rounded"; "presses: same bank 1, bank step 1  # what a change costs the feet".
"""

import csv
import io
import json
import re

import common
from common import Broken, Skip

LAST = 127
COLOURS = ["amber", "cobalt", "ochre", "teal", "umber", "violet"]
KINDS = ["wobbler", "grinder", "shaker", "drencher", "sifter", "hummer"]
TITLES = ["Quay", "Barn Light", "The Long Drove", "Salt", "Low Water"]
LABELS = ["intro", "verse", "bridge", "solo"]
GUITARS = ["plank", "slat"]


def make(dice):
    pedals = []
    for n in range(dice.randint(2, 5)):
        pedals.append(
            {
                "name": common.PEDALS[n],
                "title": f"{COLOURS[n]} {KINDS[n]}" if dice.random() < 0.7 else None,
                "code": f"Q{n}Z" if dice.random() < 0.4 else None,
                "level": dice.choice([None, [0, 100], [0, 60], [60, 0], [100, 0]]) if n < 2 else None,
                "voice": n == 2 and dice.random() < 0.8,
                "speed": n == 3 and dice.random() < 0.8,
                "memory": n == 4 and dice.random() < 0.8,
            }
        )
    amps = ["hall", "barn"][: dice.randint(1, 2)]
    names = common.SCENES[: dice.randint(2, 7)]
    scenes = []
    for n, name in enumerate(names):
        scene = {"name": name, "from": dice.choice(names[:n]) if n and dice.random() < 0.6 else None, "says": []}
        for p in pedals:
            if dice.random() < 0.35:
                scene["says"].append(f"engage {p['name']}")
            elif scene["from"] and dice.random() < 0.25:
                scene["says"].append(f"bypass {p['name']}")
            if p["level"] and dice.random() < 0.5:
                scene["says"].append(f"{p['name']}.depth {amount(dice, p)}")
            for control, states in controls(p):
                if dice.random() < 0.4:
                    scene["says"].append(f"{p['name']}.{control} {dice.choice(states)}")
        for a in amps:
            if dice.random() < 0.4:
                scene["says"].append(f"{a}.channel {dice.choice(['clean', 'lead'])}")
        if len(amps) > 1 and dice.random() < 0.2:
            scene["says"].append("output 2 off")
        if dice.random() < 0.1:
            scene["says"] = [s for s in scene["says"] if not s.startswith("output")] + ["mute"]
        scenes.append(scene)
    songs = []
    for title in TITLES[: dice.randint(1, 5)]:
        parts = [[dice.choice(LABELS), dice.choice(names)] for _ in range(dice.randint(1, 4))]
        songs.append({"title": title, "guitar": dice.choice([None, *GUITARS]), "parts": parts})
    rules = []
    if len(pedals) > 2 and dice.random() < 0.4:
        a, b = dice.sample(pedals, 2)
        rules.append([a["name"], b["name"]])
    return {
        "pedals": pedals,
        "amps": amps,
        "scenes": scenes,
        "songs": songs,
        "rules": rules,
        "pins": [[dice.randint(1, 3), s] for s in range(1, dice.randint(1, 4))],
        "pinned": [dice.choice(names) for _ in range(3)],
        "cost": [dice.randint(1, 3), dice.randint(1, 3)],
        "asks": dice.getrandbits(32),
    }


def amount(dice, pedal):
    if dice.random() < 0.25:
        return dice.choice(["foot", "foot from heel"])
    low, high = sorted(pedal["level"])
    return f"{dice.randint(low, high)} %"


def controls(pedal):
    """The finite choices of a pedal: name and states."""
    found = [("voice", ["round", "sharp"])] if pedal["voice"] else []
    found += [("speed", ["slow", "fast"])] if pedal["speed"] else []
    return found + ([("memory", ["slap", "fog"])] if pedal["memory"] else [])


def texts(book):
    same, step = book["cost"]
    lines = [
        "switcher { loops 6; remote jacks 3; expressions 2 of 128 steps; outputs 2; banks 1..4, switches 1..4; "
        f"presses: same bank {same}, bank step {step} }}"
    ]
    lines += [f"guitar {g}" + ' "a thing of wood" { }' * (g == "plank") + " { }" * (g != "plank") for g in GUITARS]
    default = []
    for n, p in enumerate(book["pedals"], 1):
        body = [f"loop {n}"] + ([f"code {p['code']}"] if p["code"] else [])
        if p["level"]:
            lines.append(f"treadle rocker-{n} feeds expression {n}")
            body.append(f"level depth on expression {n} from {p['level'][0]} % to {p['level'][1]} %")
            default.append(f"{p['name']}.depth {min(p['level'])} %")
        if p["voice"]:
            body.append(
                "control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }"
            )
        if p["speed"]:
            body.append("place top; control speed by foot { slow; fast }")
        if p["memory"]:
            body.append("control memory on midi 5 programs from 1 { slap: program 11; fog: program 14 }")
        default += [f"{p['name']}.{c} {states[0]}" for c, states in controls(p)]
        title = f' "{p["title"]}"' if p["title"] else ""
        lines.append(f"pedal {p['name']}{title} {{ {'; '.join(body)} }}")
    for n, a in enumerate(book["amps"], 1):
        lines.append(
            f"amp {a} {{ fed by output {n}; control channel on remote {n + 1} tip {{ clean: open; lead: closed }} }}"
        )
        default.append(f"{a}.channel clean")
    lines.append(f"default {{ {'; '.join(default)} }}")
    lines += [f"rule never {a} beside {b}" for a, b in book["rules"]]
    for s in book["scenes"]:
        above = f" from {s['from']}" if s["from"] else ""
        body = f" {{ {'; '.join(s['says'])} }}" if s["says"] else ""
        lines.append(f"scene {s['name']}{above}{body}")
    for song in book["songs"]:
        guitar = f" on {song['guitar']}" if song["guitar"] else ""
        parts = "; ".join(f"{label}: {scene}" for label, scene in song["parts"])
        lines.append(f'song "{song["title"]}" at 100 bpm{guitar} {{ {parts} }}')
    lines.append('set "night" { ' + "; ".join(f'"{s["title"]}"' for s in book["songs"]) + " }")
    pins = [f"{bank}.{switch} {name}" for (bank, switch), name in zip(book["pins"], book["pinned"])]
    lines.append("slots { " + "; ".join(pins + ["others auto"]) + " }")
    return ["\n".join(lines) + "\n"]


def table(run, *options):
    rows = list(csv.DictReader(io.StringIO(run("table", "--format", "csv", *options)[1])))
    return {row["scene"]: row for row in rows}, rows


def step(position):
    """The stored step of a printed position: a tenth of a percent is less than a step."""
    found = [s for s in range(LAST + 1) if abs(s * 100 / LAST - float(position)) <= 0.051]
    assert len(found) == 1, position
    return found[0]


def wanted_step(pedal, value):
    low, high = pedal["level"]
    return int((value - low) / (high - low) * LAST + 0.5 + 1e-9)


COMPARED = {
    "above": lambda have, want: have > want,
    "below": lambda have, want: have < want,
    "at least": lambda have, want: have >= want,
    "at most": lambda have, want: have <= want,
}


def questions(book, dice):
    """Each: the words, and what a row of the table (free cells as `-`, and as stored) says to them."""
    found = []
    for n, p in enumerate(book["pedals"], 1):
        words = [p["name"], f"the {p['name']}", f"loop {n}"] + ([p["code"].lower()] if p["code"] else [])
        words += [p["title"].split()[1], p["title"].upper()] if p["title"] else []
        loop = f"loop-{n}"
        called = dice.choice(words[:2] + words[3:])
        found.append((dice.choice(words), lambda r, _, loop=loop: "yes" if r[loop] == "1" else ""))
        if p["level"]:
            bound = dice.choice(list(COMPARED))
            value = dice.randint(min(p["level"]), max(p["level"]))
            falls = p["level"][0] > p["level"][1]
            meets = COMPARED[bound]

            def level(r, _, loop=loop, n=n, meets=meets, want=wanted_step(p, value), falls=falls):
                sign = -1 if falls else 1
                if r[loop] != "1":
                    return ""
                if r[f"expression-{n}"] == "foot":
                    return "under the foot" if any(meets(sign * s, sign * want) for s in range(LAST + 1)) else ""
                return "yes" if meets(sign * step(r[f"expression-{n}"]), sign * want) else ""

            found.append((f"{called} depth {bound} {value} %", level))
            found.append(
                (
                    f"{p['name']}.depth under the foot",
                    lambda r, _, loop=loop, n=n: "yes" if r[loop] == "1" and r[f"expression-{n}"] == "foot" else "",
                )
            )
        if p["voice"]:
            found.append(
                (
                    f"{called} sharp",
                    lambda r, _, loop=loop: "yes"
                    if (r[loop], r["remote-1-tip"], r["remote-1-ring"]) == ("1", "0", "1")
                    else "",
                )
            )
        if p["speed"]:
            cell = f"by-foot:{p['name']}.speed"
            found.append(
                (
                    f"{p['name']}.speed fast",
                    lambda r, _, loop=loop, cell=cell: "yes" if (r[loop], r[cell]) == ("1", "fast") else "",
                )
            )
        if p["memory"]:
            cell = f"midi-5:{p['name']}.memory"
            found.append(("program 14 on midi 5", lambda _, s, cell=cell: "yes" if s[cell] == "14" else ""))
    for n, a in enumerate(book["amps"], 1):
        found.append((a, lambda r, _, n=n: "yes" if r[f"output-{n}"] == "1" else ""))
        found.append(
            (
                f"{a} channel lead",
                lambda r, _, n=n: "yes" if (r[f"output-{n}"], r[f"remote-{n + 1}-tip"]) == ("1", "1") else "",
            )
        )
        found.append((f"remote {n + 1} tip closed", lambda r, _, n=n: "yes" if r[f"remote-{n + 1}-tip"] == "1" else ""))
        found.append((f"output {n} off", lambda r, _, n=n: "yes" if r[f"output-{n}"] == "0" else ""))
    found.append(("loop 6", lambda r, _: "yes" if r["loop-6"] == "1" else ""))
    scene = dice.choice(book["scenes"])["name"]
    found.append((scene, lambda r, _, scene=scene: "yes" if r["scene"] == scene else ""))
    return found


def pressed(run):
    """The slots that the walk through the set presses for each part, a song's parts in order."""
    found = {}
    for change in json.loads(run("walk", "--format", "json")[1])["sets"][0]["changes"]:
        found.setdefault(change["song"], []).append(change["slot"])
    return found


def check_where(book, run, free, stored, slots, dice):
    walked = pressed(run)
    asked = questions(book, dice)
    words = []
    for question, holds in asked:
        fits = {name: holds(free[name], stored[name]) for name in free}
        want, played = [], set()
        for song in sorted(book["songs"], key=lambda s: s["title"]):
            for number, (label, scene) in enumerate(song["parts"]):
                played.add(scene)
                if fits[scene]:
                    slot = walked[song["title"]][number]
                    if slot not in slots[scene].split():
                        raise Broken("the walk presses a slot that holds another scene", f"{song['title']} {label}: {slot}")
                    want.append([song["title"], label, scene, slot, fits[scene].replace("yes", "")])
        songs = len({w[0] for w in want})
        want += [["", "", s, slots[s], fits[s].replace("yes", "")] for s in sorted(free) if fits[s] and s not in played]
        code, out, err = run("where", *question.split(), "--format", "csv")
        have = list(csv.reader(io.StringIO(out)))[1:]
        if code != 0 or have != want:
            raise Broken("`where` names other parts than the table", f"{question}: {have} {err}, and not {want}")
        text = run("where", question)[1]
        head = text.splitlines()[0]
        counted = re.search(r": in (\d+) of (\d+) songs?, (\d+) of (\d+) scenes?$", head)
        told = [int(n) for n in counted.groups()] if counted else None
        total = [len(book["songs"]), len(free)]
        scenes = sum(1 for s in fits.values() if s)
        if not scenes:
            if "used nowhere" not in head:
                raise Broken("`where` does not say that it is used nowhere", text)
            words.append("things used nowhere")
        elif told != [songs, total[0], scenes, total[1]]:
            raise Broken("`where` counts wrong", f"{head}, and not {songs}, {scenes} of {total}")
        lines = [line for line in text.splitlines()[1:] if line and not line.startswith(("song ", "in no song"))]
        if len(lines) != songs:
            raise Broken("`where` is not a line a song", text)
        words.append("questions where")
    guitar = dice.choice(GUITARS)
    have = {r[0] for r in list(csv.reader(io.StringIO(run("where", guitar, "--format", "csv")[1])))[1:]}
    want = {s["title"] for s in book["songs"] if s["guitar"] == guitar}
    if have != want:
        raise Broken("`where` names other songs of a guitar", f"{guitar}: {have}, and not {want}")
    return words


def check_why(book, run, free, dice):
    words = []
    song = dice.choice(book["songs"])
    label, scene = dice.choice(song["parts"])
    for n, pedal in enumerate(book["pedals"], 1):
        said = dice.choice([pedal["name"], pedal["title"].split()[1] if pedal["title"] else pedal["name"]])
        place = dice.choice([scene, f"the {label} of {song['title']}"])
        code, out, err = run("why", place, said)
        lines = [line for line in out.splitlines() if line.startswith("In ") and f"`{scene}`" in line.split("`" + pedal["name"])[0]]
        if code != 0 or not lines:
            raise Broken("`why` does not answer for the scene", f"{place} {said}: {out}{err}")
        line = lines[0]
        inside = free[scene][f"loop-{n}"] == "1"
        if (" is in " in line or " is in:" in line) != inside or (" is out " in line) == inside:
            raise Broken("`why` says in where the table says out", f"{place} {said}: {line}")
        words.append("questions why")
        found = re.search(r"; say `([^`]+)`(?: instead of `([^`]+)`)? in `([^`]+)`(?: \(that changes (.*?)\))?\.?$", line)
        if not found:
            continue
        say, instead, where, also = found.groups()
        words.append("ways out that were tried")
        after = json.loads(json.dumps(book))
        target = next(s for s in after["scenes"] if s["name"] == where)
        if instead:
            if instead not in target["says"]:
                raise Broken("`why` replaces what is not there", line)
            target["says"].remove(instead)
        target["says"].append(say)
        with common.tempfile.TemporaryDirectory() as folder:
            again = common.Run(texts(after), folder)
            code, told, _ = again("check", "--format", "json")
            errors = [t for t in map(json.loads, told.splitlines()) if t["severity"] == "error"]
            if code != 0 or errors:
                raise Broken("a way out leads to an error", f"{line}: {errors[:1]}")
            new = table(again, "--free")[0]
        if new[scene][f"loop-{n}"] != "1":
            raise Broken("a way out does not help", line)
        changed = sorted(s for s in new if s != where and new[s][f"loop-{n}"] != free[s][f"loop-{n}"])
        named = re.findall(r"`([^`]+)`", also or "")
        if named != changed and not (also and also.startswith(f"{len(changed)} scenes more")):
            raise Broken("a way out changes other scenes than it names", f"{line}: {changed}")
    return words


def check_walk(book, run, free, stored, places, dice):
    same, per_bank = book["cost"]
    words = []
    for _ in range(4):
        one, other = dice.choice(book["songs"]), dice.choice(book["songs"])
        a, b = dice.randrange(len(one["parts"])), dice.randrange(len(other["parts"]))
        (start, source), (end, target) = one["parts"][a], other["parts"][b]
        code, out, err = run(
            "walk", "--from", f"{start} of {one['title']}", "--to", f"{end} in {other['title']}", "--format", "json"
        )
        if code != 0:
            raise Broken("`walk` does not find a part", err)
        found = [c for c in json.loads(out)["changes"] if (c["from"], c["scene"]) == (source, target)]
        if not found:
            raise Broken("`walk` leaves a change out", f"{source} {target}: {out}")
        change = found[0]

        def price(x, y):
            return 0 if x == y else same + per_bank * abs(int(x.split(".")[0]) - int(y.split(".")[0]))

        least = min(price(x, y) for x in places[source] for y in places[target])
        here, there = change["from_slot"], change["slot"]
        if here not in places[source] or there not in places[target]:
            raise Broken("`walk` names a slot that holds another scene", f"{change}")
        if change["presses"] != least or price(here, there) != least:
            raise Broken("`walk` does not tell the least presses", f"{change}: {least}")
        loops, contacts, manual, held = [], [], [], 0
        for n, p in enumerate(book["pedals"], 1):
            loop = f"loop-{n}"
            if stored[source][loop] != stored[target][loop]:
                loops.append(f"{p['name']} {'in' if stored[target][loop] == '1' else 'out'}")
            cell = f"by-foot:{p['name']}.speed"
            if cell in free[target] and free[target][cell] not in ("-", free[source][cell]):
                manual.append(f"{p['name']} speed to {free[target][cell]}")
            port = f"expression-{n}"
            held += p["level"] is not None and free[target][loop] == "1" and free[target][port] == "foot"
        contacts = [c for c in stored[source] if c.startswith("remote") and stored[source][c] != stored[target][c]]
        told = (change["loops"], change["contacts"], change["manual"], len(change["held"]))
        if told != (loops, contacts, manual, held):
            raise Broken("`walk` tells another change", f"{source} {target}: {told}, and not {(loops, contacts, manual, held)}")
        words.append("changes from part to part")
    return words


def check(book, run):
    code, out, _ = run("check", "--format", "json")
    errors = {t["code"] for t in map(json.loads, out.splitlines()) if t["severity"] == "error"}
    if errors:
        raise Skip("errors of the book: " + ", ".join(sorted(errors)))
    dice = common.random.Random(book["asks"])
    free, _ = table(run, "--free")
    stored, rows = table(run)
    places = {}
    for row in rows:
        places.setdefault(row["scene"], []).append(row["slot"])
    slots = {scene: " ".join(s for s in found if s) for scene, found in places.items()}
    if any(not s for found in places.values() for s in found):
        raise Skip("a scene in no slot")
    return (
        check_where(book, run, free, stored, slots, dice)
        + check_why(book, run, free, dice)
        + check_walk(book, run, free, stored, places, dice)
    )


if __name__ == "__main__":
    common.main("questions in a player's words", make, texts, check, 50)
