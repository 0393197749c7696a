"""Tables of presets with switches inside and second rows, taken over: the book that is made prints the same table.

A random book is printed as a table, its board and that table are made a book, and that is printed again: the same cell by cell,
switch by switch, row by row. What the foot does is so held twice, for the scenes of the new book say each switch in words
(`switch 6 toggles ember.voice`), and the table says what it moves (`toggles remote-1-tip 0 back 1; remote-1-ring 1 back 0`).
Then one mistake is put into the table, and the refusal must name its row; nothing may be written. With `--partial` all else
is kept.
"""

import csv
import io
import pathlib
import tempfile

import adopt
import common
from common import Broken

NAMES = ["bed", "crest", "solo", "hush", "push", "sway"]
STATES = {
    "ember.voice": ["round", "sharp"],
    "larch.channel": ["clean", "edge", "lead"],
    "fen.speed": ["slow", "fast"],
    "tarn.side": ["off", "on"],
    "tarn.mode": ["slap", "long", "wide"],
}
PEDALS = ["gully", "ember", "moss", "fen"]
THINGS = [
    *PEDALS,
    "tarn",
    "loop 1",
    "loop 3",
    "output 1",
    "output 2",
    "remote 4 tip",
    "remote 4 ring",
    "remote 3 tip",
    "remote 1 ring",
    "ember.voice",
    "fen.speed",
    "tarn.side",
    *(f"{control} {state}" for control, states in STATES.items() for state in states),
]


def make(dice):
    scenes = []
    count = dice.randint(1, 3)
    names = NAMES[: dice.randint(1, 6)]
    for n, name in enumerate(names):
        said = [f"{dice.choice(['engage', 'engage', 'bypass'])} {p}" for p in PEDALS if dice.random() < 0.6]
        said += [f"{c} {dice.choice(states)}" for c, states in STATES.items() if dice.random() < 0.5]
        said += [f"output {o} {dice.choice(['on', 'off'])}" for o in (1, 2) if dice.random() < 0.2]
        said += [f"{dice.choice(['close', 'open'])} remote 4 {s}" for s in ("tip", "ring") if dice.random() < 0.3]
        switches = [[s, dice.choice(["toggles", "toggles", "holds"]), dice.choice(THINGS)] for s in range(count) if dice.random() < 0.5]
        idle = [s for s in range(count) if dice.random() < 0.1 and s not in [w for w, _, _ in switches]]
        scenes.append({"name": name, "from": dice.choice(names[:n]) if n and dice.random() < 0.4 else None, "said": said, "switches": switches, "idle": idle, "again": None})
    for scene in scenes:
        taken = {s["again"] for s in scenes} | {s["name"] for s in scenes if s["again"]}
        free = [n for n in names if n != scene["name"] and n not in taken and scene["name"] not in taken]
        scene["again"] = dice.choice(free) if free and dice.random() < 0.3 else None
    slots = dice.sample([f"{b}.{s}" for b in (1, 2) for s in (1, 2, 3, 4)], 8)
    firsts = [name for name in names if name not in [s["again"] for s in scenes]]
    # Of a book that says nothing of slots, they are filled in order.
    pins = [[slots.pop(), name] for n, name in enumerate(firsts) if n == 0 or dice.random() < 0.9]
    pins += [[slots.pop(), dice.choice(firsts)] for _ in range(dice.choice([0, 0, 1]))]
    return {
        "scenes": scenes,
        "count": count,
        "most": [dice.choice([3, 3, 1]), dice.choice([3, 3, 1])],
        "always": dice.random() < 0.2,
        "closed": dice.random() < 0.3,
        "letters": dice.random() < 0.3,
        "default": [[0, "toggles", dice.choice(THINGS)]] if dice.random() < 0.25 else [],
        "pins": pins,
        "way": dice.choice(["csv", "csv", "csv", "xlsx"]),
        "mistake": dice.choice(sorted(MISTAKES)),
        "which": dice.random(),
    }


def switch(book, number):
    return "FGH"[number] if book["letters"] else str(6 + number)


def presses(book, said):
    return [f"switch {switch(book, s)} {does} {thing}" for s, does, thing in said]


def board_text(book):
    toggles, holds = book["most"]
    inside = f"switches {switch(book, 0)}..{switch(book, book['count'] - 1)}, toggles {toggles}, holds {holds}, rows 2"
    default = [f"{control} {states[0]}" for control, states in STATES.items()] + presses(book, book["default"])
    return f"""switcher {{ loops 4; outputs 2; remote jacks 4; banks 1..2, switches 1..4; inside: {inside} }}
pedal gully {{ loop 1 }}
pedal ember {{ loop 2; control voice on remote 1 {{ round: tip closed, ring open; sharp: tip open, ring closed }} }}
pedal moss {{ loop 3{"; always on" * book["always"]} }}
pedal fen {{ loop 4; control speed on remote 3 tip{" normally closed" * book["closed"]} {{ slow: open; fast: closed }} }}
pedal tarn {{
  control side on midi 6 cc 80 {{ off: value 0; on: value 127 }}
  engaged by side on
  control mode on midi 6 programs from 1 {{ slap: program 4; long: program 9; wide: program 12 }}
}}
amp larch {{
  fed by output 1
  control channel on remote 2 {{
    clean: tip open, ring open; edge: tip closed, ring open; lead: tip closed, ring closed
  }}
}}
amp alder {{ fed by output 2 }}
default {{ {"; ".join(default)} }}
"""


def show_text(book):
    lines = ['use "board.scene"']
    for scene in book["scenes"]:
        said = scene["said"] + presses(book, scene["switches"])
        said += [f"switch {switch(book, s)} does nothing" for s in scene["idle"]]
        said += [f"again {scene['again']}"] if scene["again"] else []
        come = f" from {scene['from']}" if scene["from"] else ""
        lines.append(f"scene {scene['name']}{come} {{ {'; '.join(said)} }}")
    lines.append("slots { " + "; ".join(f"{slot} {name}" for slot, name in book["pins"]) + " }")
    return "\n".join(lines) + "\n"


def texts(book):
    return [board_text(book), show_text(book)]


def check(book, _):
    with tempfile.TemporaryDirectory() as folder:
        here = pathlib.Path(folder)
        (here / "board.scene").write_text(board_text(book))
        (here / "show.scene").write_text(show_text(book))
        if adopt.run(folder, "check", "show.scene")[0] != 0:
            raise common.Skip("a book with errors")
        kinds = same(book, folder, here)
        return kinds + mistaken(book, folder, here)


def same(book, folder, here):
    for options in [[], ["--free"], ["--fill", "open"]]:
        rig = f"rig.{book['way']}"
        code, _, said = adopt.run(folder, "table", "show.scene", "-o", rig, *options)
        if code != 0:
            raise Broken("no table", said)
        code, _, said = adopt.run(folder, "adopt", rig, "--board", "board.scene", "-o", "new.scene")
        if code != 0:
            raise Broken("a table of our own is refused", f"{options}\n{said}")
        made = (here / "new.scene").read_text()
        for asked in [["--free"], ["--fill", "open"]]:
            one = adopt.run(folder, "table", "show.scene", "--format", "csv", *asked)[1]
            other = adopt.run(folder, "table", "new.scene", "--format", "csv", *asked)[1]
            exact = asked == ["--free"] or options == ["--fill", "open"]
            if exact and one != other:
                raise Broken("another table", f"{options} {asked}\n{one}\n{other}\n{made}\n{said}")
        code, out, said = adopt.run(folder, "check", "new.scene")
        if code != 0 or "layer-returns" in said + out:
            raise Broken("the book made is not clean", said + out + made)
        if adopt.run(folder, "fmt", "--check", "new.scene")[0] != 0:
            raise Broken("not in its canonical look", made)
    pressed = sum("toggles" in line or "holds" in line for line in one.splitlines())
    rows = sum(" again," in line for line in one.splitlines())
    return ["tables", *["with switches"] * bool(pressed), *["with second rows"] * bool(rows), "by way of " + book["way"]]


# ---- one mistake ----


def in_switch(change):
    """Puts CHANGE(text, row, heads) in place of a switch's text; None where that is no mistake."""

    def make_one(rows, heads, which):
        first = next(n for n, head in enumerate(heads) if head.startswith("switch-"))
        places = [(r, c) for r in range(1, len(rows)) for c in range(first, len(heads)) if rows[r][c] != "nothing"]
        if not places:
            return None
        r, c = places[int(which * len(places))]
        text = change(rows[r][c], rows[r], heads)
        # A scene that stands in another slot too is told by its name and both rows.
        twice = [row for row in rows if row[1] == rows[r][1]]
        if text is None or len(twice) > 1:
            return None
        rows[r][c] = text
        return r + 1

    return make_one


def other_way(text, row, heads):
    """There is where the row stands. Of what nobody hears the row may say anything, so only loops and outputs are certain."""
    word, name, there, _, back = text.split(" ")[:5]
    if ";" in text or not name.startswith(("loop", "output")):
        return None
    return f"{word} {name} {back} back {there}"


def two_things(text, row, heads):
    if ";" in text or "loop-" in text:
        return None
    back = int(row[heads.index("loop-1")])
    return text + f"; loop-1 {1 - back} back {back}"


def same_twice(rows, heads, which):
    first = next(n for n, head in enumerate(heads) if head.startswith("switch-"))
    places = [r for r in range(1, len(rows)) if len(heads) > first + 1 and rows[r][first] != "nothing"]
    places = [r for r in places if [row[1] for row in rows].count(rows[r][1]) == 1]
    if not places:
        return None
    r = places[int(which * len(places))]
    rows[r][first + 1] = rows[r][first]
    return r + 1


def blank(rows, heads, which):
    places = [(r, c) for r in range(1, len(rows)) for c in range(len(heads)) if rows[r][c] == "nothing"]
    places = [(r, c) for r, c in places if sum(row[c] == "nothing" for row in rows) > 1]
    if not places:
        return None
    r, c = places[int(which * len(places))]
    rows[r][c] = ""
    return r + 1


def no_first(rows, heads, which):
    places = [r for r in range(1, len(rows)) if rows[r][0].endswith(" again")]
    if not places:
        return None
    r = places[int(which * len(places))]
    first = rows[r][0].removesuffix(" again")
    name = rows[r][1]
    if [row[1] for row in rows].count(name) > 1:
        return None
    at = next(n for n, row in enumerate(rows) if row[0] == first)
    rows[at][0] = ""
    return r + 1


def stands_elsewhere(rows, heads, which):
    places = [r for r in range(1, len(rows)) if rows[r][0].endswith(" again")]
    free = [f"{b}.{s}" for b in (1, 2) for s in (1, 2, 3, 4)]
    free = [slot for slot in free if slot not in [row[0] for row in rows]]
    if not places or not free:
        return None
    r = places[int(which * len(places))]
    if [row[1] for row in rows].count(rows[r][1]) > 1:
        return None
    rows.append([free[0], *rows[r][1:]])
    return r + 1


MISTAKES = {
    "a word that is none": in_switch(lambda text, row, heads: text.replace("toggles", "toggels").replace("holds", "hold")),
    "a column that is none": in_switch(lambda text, row, heads: text.replace(" ", " loop-9 1 back 0; ", 1)),
    "the other way round": in_switch(other_way),
    "there as back": in_switch(lambda text, row, heads: " ".join([*text.split(" ")[:3], "back", text.split(" ")[2]]) if ";" not in text else None),
    "two things": in_switch(two_things),
    "one thing by two switches": same_twice,
    "a blank": blank,
    "a second row without a first": no_first,
    "a second row that stands elsewhere": stands_elsewhere,
}


def mistaken(book, folder, here):
    rows = list(csv.reader(io.StringIO(adopt.run(folder, "table", "show.scene", "--format", "csv", "--free")[1])))
    before = [list(row) for row in rows]
    row = MISTAKES[book["mistake"]](rows, rows[0], book["which"])
    if row is None:
        return []
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    (here / "rig.csv").write_text(out.getvalue())
    code, _, said = adopt.run(folder, "adopt", "rig.csv", "--board", "board.scene", "-o", "none.scene")
    detail = f"{book['mistake']}, row {row}\n{out.getvalue()}\n{said}"
    if code == 0 or (here / "none.scene").exists():
        raise Broken("a mistake is taken over", detail)
    if f": row {row}" not in said:
        raise Broken("the row is not named", detail)
    code, _, said = adopt.run(folder, "adopt", "rig.csv", "--board", "board.scene", "--partial", "-o", "part.scene")
    if not (here / "part.scene").exists():
        raise Broken("the rest is not taken over", f"{detail}\n{said}")
    table = list(csv.reader(io.StringIO(adopt.run(folder, "table", "part.scene", "--format", "csv", "--free", "--draft")[1])))
    loops = [n for n, head in enumerate(rows[0]) if head.startswith(("loop", "output"))]
    kept = {line[1]: [line[n] for n in loops] for line in table}
    if any(kept.get(line[1]) != [line[n] for n in loops] for line in before):
        raise Broken("more is left out", f"{detail}\n{table}\n{(here / 'part.scene').read_text()}")
    return ["mistakes: " + book["mistake"]]


if __name__ == "__main__":
    common.main("adopt_inside", make, texts, check, 100)
