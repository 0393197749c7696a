"""`linecheck` against every choice of presets. Written from language.md and computations.md alone:

1 "Cells are the columns: each loop (bypassed 0, engaged 1), each contact (open 0, closed 1 ...), each expression port (a step,
  or the foot), each output, each message"; 4 "Of a bypassed pedal it is free (don't care, `-`)".
computations.md, line check: "the fewest presets to step through so that every loop, contact and level is seen both ways, and one
failure can be told from another ... information bound ceil(log2(n+1)); brute force".

Read so: a cell is used in a way by a preset that is heard and where its value matters; a preset that lets nothing out uses
outputs alone, and an amp's contacts count where its output is on. A level's ways are the lowest and the highest value stored,
and the foot. A loop or output that nothing hangs on is no matter. What fails is one way of one cell, and it is missed at every
step that uses it. Failures that all presets use alike are one.
"""

import csv
import itertools
import json
import math
import re

import common
from common import Broken, Skip


def make(dice):
    pedals = [
        {"name": n, "voiced": dice.random() < 0.4, "level": False} for n in common.PEDALS[: dice.randint(1, 4)]
    ]
    if dice.random() < 0.6:
        dice.choice(pedals)["level"] = True
    scenes = []
    for name in common.SCENES[: dice.randint(2, 7)]:
        engaged = [p for p in pedals if dice.random() < 0.5]
        scenes.append(
            {
                "name": name,
                "engage": [p["name"] for p in engaged],
                "say": [f"{p['name']}.voice {dice.choice(['dim', 'lit'])}" for p in engaged if p["voiced"]]
                + [f"{p['name']}.depth {dice.choice(['10 %', '40 %', '90 %', 'foot'])}" for p in engaged if p["level"]]
                + [f"hall.channel {dice.choice(['low', 'high'])}"],
                "mute": dice.random() < 0.15,
                "off": dice.random() < 0.2,
            }
        )
    return {"pedals": pedals, "scenes": scenes, "set": [s["name"] for s in scenes if dice.random() < 0.6]}


def texts(book):
    pedals = book["pedals"]
    lines = [
        f"switcher {{ loops {len(pedals)}; remote jacks 3; expressions 1 of 128 steps; outputs 2; banks 1..4, switches 1..2 }}",
        "amp hall { fed by output 1; control channel on remote 1 tip { low: open; high: closed } }",
        "amp barn { fed by output 2 }",
    ]
    for n, p in enumerate(pedals):
        inside = [f"loop {n + 1}"]
        if p["voiced"]:
            jack, side = 2 + n // 2, ["tip", "ring"][n % 2]
            inside.append(f"control voice on remote {jack} {side} {{ dim: open; lit: closed }}")
        if p["level"]:
            inside.append("level depth on expression 1 from 0 % to 100 %")
        lines.append(f"pedal {p['name']} {{ {'; '.join(inside)} }}")
    if any(p["level"] for p in pedals):
        lines.append("treadle board feeds expression 1")
    for s in book["scenes"]:
        says = [f"engage {', '.join(s['engage'])}"] * bool(s["engage"]) + s["say"]
        says += ["mute"] * s["mute"] + ["output 2 off"] * (s["off"] and not s["mute"])
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    lines.append('song "all" { ' + "; ".join(s["name"] for s in book["scenes"]) + " }")
    if book["set"]:
        lines.append('song "some" { ' + "; ".join(book["set"]) + " }")
        lines.append('set "night" { "some" }')
    return ["\n".join(lines) + "\n"]


def used(book, run):
    """What each preset uses: by slot, sets of a cell's name and its value."""
    table = json.loads(run("table", "--format", "json")[1])
    engaged = {p["name"]: n for n, p in enumerate(book["pedals"])}
    out, low, high = {}, {}, {}
    for row in table["rows"]:
        values = {c["name"]: v for c, v in zip(table["cells"], row["values"])}
        free = {table["cells"][n]["name"] for n in row["free"]}
        ways = set()
        for cell in table["cells"]:
            name, value = cell["name"], values[cell["name"]]
            if name.startswith("output"):
                ways.add((name, value))
            elif values["output-1"] or values["output-2"]:
                # Nothing hangs on a contact or port without an owner.
                amp = "hall.channel" in cell["of"]
                heard = cell["of"] and name not in free and (not amp or values["output-1"])
                if heard:
                    ways.add((name, value))
        out[row["slot"]] = (row["scene"], ways)
    return out


def ends(presets):
    """The same, of each level the lowest and the highest value and the foot alone."""
    levels = [v for _, ways in presets.values() for n, v in ways if n.startswith("expression") and v != "foot"]
    keep = {min(levels), max(levels), "foot"} if levels else {"foot"}
    return {
        slot: (scene, {(n, v) for n, v in ways if not n.startswith("expression") or v in keep})
        for slot, (scene, ways) in presets.items()
    }


def read(words):
    """A cell and its value from the words that are printed."""
    if m := re.search(r"(engaged|bypassed) \(loop (\d+)\)|^loop (\d+) (engaged|bypassed)$", words):
        return f"loop-{m[2] or m[3]}", int((m[1] or m[4]) == "engaged")
    if m := re.match(r"output (\d+) (on|off)", words):
        return f"output-{m[1]}", int(m[2] == "on")
    if m := re.search(r"remote (\d+) (tip|ring) (open|closed)", words):
        return f"remote-{m[1]}-{m[2]}", int(m[3] == "closed")
    if m := re.search(r"under the foot \(expression (\d+)\)", words):
        return f"expression-{m[1]}", "foot"
    if m := re.search(r"at ([\d.]+) % \(expression (\d+)\)", words):
        return f"expression-{m[2]}", float(m[1])
    raise Broken("what is printed names no cell", words)


def alike(a, b):
    return a[0] == b[0] and (a[1] == b[1] or "foot" not in (a[1], b[1]) and abs(a[1] - b[1]) < 0.5)


def fewest(items, holders):
    """The fewest presets that hold all ITEMS."""
    presets = sorted({p for i in items for p in holders[i]})
    for k in range(len(presets) + 1):
        for chosen in itertools.combinations(presets, k):
            if all(set(chosen) & holders[i] for i in items):
                return k
    raise Broken("nothing holds it", str(items))


def check(book, run):
    errors = [t for t in map(json.loads, run("check", "--format", "json")[1].splitlines()) if t["severity"] == "error"]
    if errors:
        raise Skip("errors of the book: " + errors[0]["code"])
    whole = used(book, run)
    words = []
    for options in [[], ["--isolate"], ["--set", "night"], ["--set", "night", "--isolate"]]:
        if "--set" in options and not book["set"]:
            continue
        presets = ends({k: v for k, v in whole.items() if "--set" not in options or v[0] in book["set"]})
        ways = sorted({w for _, shown in presets.values() for w in shown}, key=str)
        holders = {w: {slot for slot, (_, shown) in presets.items() if w in shown} for w in ways}
        code, out, err = run("linecheck", *options, "--format", "csv")
        if code:
            raise Broken("it fails", err)
        rows = list(csv.reader(out.splitlines()))[1:]
        steps = [r[2] for r in rows if r[0] == "silent"]
        told = run("linecheck", *options)[1]
        report = f"{options}: steps {steps}\n{told}"
        shown = [read(r[4]) for r in rows if r[0] == "sound"]
        if len(shown) != len(ways) or not all(any(alike(w, s) for s in shown) for w in ways):
            raise Broken("not every way is shown once", f"{ways}\n{report}")
        for row in (r for r in rows if r[0] == "sound"):
            at = steps.index(row[2])
            [way] = [w for w in ways if alike(w, read(row[4]))]
            if [n for n, slot in enumerate(steps) if slot in holders[way]][0] != at:
                raise Broken("a way is shown elsewhere first", f"{row}\n{report}")
        items = {w: holders[w] for w in ways}
        if "--isolate" in options:
            classes = sorted({frozenset(h) for h in holders.values()}, key=sorted)
            items = {c: set(c) for c in classes}
            items.update({(a, b): set(a ^ b) for a, b in itertools.combinations(classes, 2)})
            if len(steps) < math.ceil(math.log2(len(classes) + 1)):
                raise Broken("fewer than the information bound", report)
            patterns = {}
            for row in (r for r in rows if r[0] == "failed"):
                [way] = [w for w in ways if alike(w, read(row[4]))]
                true = " ".join(str(n) for n, slot in enumerate(steps, 1) if slot in holders[way])
                if row[1] != true:
                    raise Broken("a pattern is wrong", f"{way}: {row}, {true}\n{report}")
                patterns.setdefault(row[1], set()).add(frozenset(holders[way]))
            if "" in patterns or any(len(p) > 1 for p in patterns.values()) or len(patterns) != len(classes):
                raise Broken("two failures have one pattern", f"{patterns}\n{report}")
            added = [r for r in rows if r[0] == "alike"]
            words += ["failures that look alike"] * len(added)
            for row in added:
                if "add" not in row[4]:
                    continue
                # The pattern's two first failures, told apart by the scene.
                two = [[w for w in ways if alike(w, read(r[4]))][0] for r in rows if r[0] == "failed" and r[1] == row[1]][:2]
                text = open(run.files[0], encoding="utf-8").read()
                with open(run.files[0], "a", encoding="utf-8") as file:
                    file.write(row[4].split(": ", 1)[1] + "\n")
                scene = [ways_of for _, (name, ways_of) in used(book, run).items() if name.startswith("apart")]
                with open(run.files[0], "w", encoding="utf-8") as file:
                    file.write(text)
                if len(scene) != 1 or len([w for w in two if w in scene[0]]) != 1:
                    raise Broken("the scene to add does not tell them apart", f"{two}\n{scene}\n{row}")
                words.append("scenes to add, tried")
        least = fewest(list(items), items) if items else 0
        proved = "proved." in told
        if len(steps) != least or not proved and steps:
            raise Broken("not the fewest, or not proved", f"the fewest: {least}\n{report}")
        single = {n for n, _ in ways if len({v for m, v in ways if m == n}) == 1}
        lone = {read(r[4])[0] for r in rows if r[0] == "one way"}
        if lone != single:
            raise Broken("what is seen one way alone", f"{single}\n{report}")
        words.append("checks " + " ".join(options))
    return words


if __name__ == "__main__":
    common.main("line checks", make, texts, check, 200)
