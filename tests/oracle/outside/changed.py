"""A change of the text in books with switches inside presets, cell by cell. Written from `change --help`: "Nothing else moves",
and from what the guide says of `switch`: "It moves one thing between two settings".

A pedal is wanted in or out, a channel set, an output turned, in one scene. Where the change is made the table is printed anew:
that cell of that scene holds what was wanted, every other cell that matters and every switch of every preset is as it was. Where a
switch of that scene moves that very thing, the change is refused, for the switch would do the opposite; no other refusal names a
switch.
"""

import json
import pathlib
import re

import common
import inside
from common import Broken, Skip

WANTED = {"in": "1", "out": "0", "lead": "1", "clean": "0", "on": "1", "off": "0"}


def make(dice):
    book = inside.make(dice)
    wants = []
    for _ in range(3):
        scene = dice.choice(book["scenes"])["name"]
        thing = dice.choice([*inside.PEDALS, "larch channel", "output 2"])
        value = dice.choice({"larch channel": ["lead", "clean"], "output 2": ["on", "off"]}.get(thing, ["in", "out"]))
        wants.append([scene, thing, value])
    return {"book": book, "wants": wants}


def texts(book):
    return inside.texts(book["book"])


def column(thing):
    named = {"larch channel": "remote-2-tip", "output 2": "output-2"}
    return named.get(thing) or f"loop-{inside.PEDALS.index(thing) + 1}"


def table(run):
    code, out, err = run("table", "--format", "json")
    if code:
        raise Broken("no table after a change", err)
    read = json.loads(out)
    names = [c["name"] for c in read["cells"]]
    rows = {}
    for row in read["rows"]:
        free = {names[n] for n in row["free"]}
        rows[row["slot"], row["scene"]] = (dict(zip(names, row["values"])), free, dict(row.get("switches", [])))
    return rows


def check(book, run):
    own = book["book"]
    if inside.clashes(own) or run("check")[0]:
        raise Skip("errors of a book")
    text, words = pathlib.Path(run.files[0]).read_text(encoding="utf-8"), []
    before = table(run)
    for scene, thing, value in book["wants"]:
        if not any(s["name"] == scene for s in own["scenes"]):
            continue
        pathlib.Path(run.files[0]).write_text(text, encoding="utf-8")
        code, out, err = run("change", f"{scene}: {thing} {value}", "--write")
        moved = [t for _, t in inside.switches(own, scene).values()]
        held = [str(row[0][column(thing)]) for place, row in before.items() if place[1] == scene]
        moves = {"larch channel": "channel"}.get(thing, thing) in moved and held != [WANTED[value]] * len(held)
        if code:
            if pathlib.Path(run.files[0]).read_text(encoding="utf-8") != text:
                raise Broken("refused, and written", err)
            if ("moves this inside the preset" in err) != moves:
                raise Broken("refused for another reason", f"{scene}: {thing} {value}: {err}")
            words.append("refused: a switch moves it" if moves else "refused: " + "".join(re.findall(r"error (\S+)", err)[:1] or ["otherwise"]))
            continue
        if moves:
            raise Broken("the opposite of a switch is not told", f"{scene}: {thing} {value}: {out}")
        after, cell = table(run), column(thing)
        if before.keys() != after.keys():
            raise Broken("other presets", f"{before.keys()} {after.keys()}")
        for place, (was, free, does) in before.items():
            now, idle, brings = after[place]
            if brings != does:
                raise Broken("a switch brings something else", f"{place}: {does}, then {brings}")
            for name, held in now.items():
                if place[1] == scene and name == cell:
                    if str(held) != WANTED[value]:
                        raise Broken("not what was wanted", f"{place} {name}: {held}, {out}")
                elif held != was[name] and name not in free | idle:
                    raise Broken("another cell moved", f"{place} {name}: {was[name]}, then {held}\n{out}")
        words.append("as it was" if pathlib.Path(run.files[0]).read_text(encoding="utf-8") == text else "changed")
    return words


if __name__ == "__main__":
    common.main("changes beside switches", make, texts, check, 150)
