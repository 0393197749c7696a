"""The order of loops, preset by preset: held against boards that are wired so.

A book is a switcher that stores an order with each preset, pedals in its loops, a chain with buffers and amplifier loops
between stretches of them, and scenes that derive from each other, mix in a layer, engage pedals and say orders. Worked out
here from the plain lists: which loop stands in which place of each preset. Then, without a word of orders: for each scene a
board whose pedals are plugged so by hand; its figures must be those of the scene. The table and the worksheet are read as a
tech reads them, loop for loop; what the tech's sheet draws of each preset must be what is passed there, in that order,
whether the chain names loops, a row of loops or the pedals in them; `where order` names the presets with an order; and two
books are compared by what is passed in them.
"""

import json
import re

import common
from common import Broken

PEDALS = ["ember", "crest", "gully", "marl", "sedge", "tern", "wick", "brine"]
BUFFERS = ["attic", "cellar"]


def value(dice, unit, of):
    return f"{dice.choice(of)} {unit}"


def stretch_of(dice, loops):
    """Loops in the order of the signal, cut into stretches that lie inside the unit."""
    order = list(range(1, loops + 1))
    if dice.random() < 0.4:
        dice.shuffle(order)
    runs, at = [], 0
    while at < len(order):
        n = dice.randint(1, len(order))
        runs.append(order[at : at + n])
        at += n
        if len(runs) == 3:
            runs[-1] += order[at:]
            break
    return runs


def make(dice):
    loops = dice.randint(2, 8)
    pedals = [None if dice.random() < 0.1 else n for n in range(loops)]
    facts = []
    for n in range(loops):
        ohms = value(dice, "kohm", [22, 47, 100, 470, 1000])
        facts.append(f"input {ohms}; output {value(dice, 'kohm', [0.1, 1, 10, 47])}; gain {dice.randint(-6, 12)} dB")
    runs = stretch_of(dice, loops)
    scenes = []
    for n, name in enumerate(common.SCENES[: dice.randint(1, 6)]):
        run = dice.choice(runs)
        named = dice.sample(run, dice.randint(2, len(run))) if len(run) > 1 else []
        order = dice.choice([None, "wired", named or None, named or None])
        scenes.append(
            {
                "name": name,
                "from": dice.choice([None, *range(n)]) if n else None,
                "order": order,
                "bare": dice.random() < 0.3,
                "engaged": [l for l in range(1, loops + 1) if pedals[l - 1] is not None and dice.random() < 0.6],
            }
        )
    long = [run for run in runs if len(run) > 1]
    default = dice.sample(dice.choice(long), 2) if long and dice.random() < 0.25 else None
    layer = dice.sample(dice.choice(long), 2) if long and dice.random() < 0.3 else None
    for s in scenes:
        s["layer"] = layer is not None and dice.random() < 0.3
    return {"links": dice.choice(["loops", "rows", "pedals"]), "loops": loops, "pedals": pedals, "facts": facts, "runs": runs, "scenes": scenes, "default": default, "layer": layer}


def called(book, loop, bare):
    n = book["pedals"][loop - 1]
    return f"loop {loop}" if bare or n is None else PEDALS[n]


def board(book, stand=None):
    """The board; with `stand`, its pedals plugged where an order has them, and no order."""
    ordered = "" if stand else "; order of loops per preset"
    lines = [f"switcher {{ loops {book['loops']}; outputs 1; banks 1..9, switches 1..3{ordered} }}"]
    lines.append("patch leads 0.5 m at 100 pF/m")
    lines.append("guitar plank { pickup 3 H, 8 kohm, 120 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }")
    for place in range(1, book["loops"] + 1):
        n = book["pedals"][(stand[place - 1] if stand else place) - 1]
        if n is not None:
            lines.append(f"pedal {PEDALS[n]} {{ loop {place}; {book['facts'][n]} }}")
    for name in BUFFERS[: len(book["runs"]) - 1]:
        lines.append(f"buffer {name} {{ input 220 kohm; output 3 kohm; gain 0 dB }}")
    lines.append("amp larch { fed by output 1; input 1 Mohm }")
    links = ["guitar"]
    for n, run in enumerate(book["runs"]):
        links += [BUFFERS[n - 1]] * (n > 0) + row(book, run, "loops" if stand else book["links"])
    lines.append("chain front: " + " -> ".join(links) + " -> output 1 -> larch")
    return lines


def row(book, run, way):
    """A stretch of loops as a chain writes it."""
    step = [b - a for a, b in zip(run, run[1:])]
    if way == "rows" and (set(step) == {1} or set(step) == {-1}):
        return [f"loops {run[0]}..{run[-1]}"]
    return [called(book, l, way != "pedals") for l in run]


def texts(book):
    lines = board(book)

    def order(loops, bare):
        return "order as wired" if loops == "wired" else "order " + ", ".join(called(book, l, bare) for l in loops)

    if book["default"]:
        lines.append(f"default {{ {order(book['default'], False)} }}")
    if book["layer"]:
        lines.append(f"layer drowned {{ {order(book['layer'], True)} }}")
    for s in book["scenes"]:
        built = "" if s["from"] is None else f" from {book['scenes'][s['from']]['name']}"
        built += " with drowned" if s["layer"] and book["layer"] else ""
        says = [order(s["order"], s["bare"])] if s["order"] else []
        inside = [called(book, l, False) for l in s["engaged"]]
        outside = [
            called(book, l, False)
            for l in range(1, book["loops"] + 1)
            if l not in s["engaged"] and book["pedals"][l - 1] is not None
        ]
        says += [f"engage {', '.join(inside)}"] * bool(inside) + [f"bypass {', '.join(outside)}"] * bool(outside)
        lines.append(f"scene {s['name']}{built} {{ {'; '.join(says)} }}")
    lines.append('song "Quay" { ' + "; ".join(s["name"] for s in book["scenes"]) + " }")
    lines.append("slots { others auto }")
    return ["\n".join(lines) + "\n"]


def said(book, number):
    """The order that holds in a scene: its own, else its layer's, else that of the scene it comes from, else the default's."""
    at = number
    while at is not None:
        s = book["scenes"][at]
        if s["order"]:
            return s["order"]
        if s["layer"] and book["layer"]:
            return book["layer"]
        at = s["from"]
    return book["default"] or "wired"


def swapped(book, order):
    """Which loop stands in the place of each: those named, in the places that they have among themselves."""
    stand = list(range(1, book["loops"] + 1))
    if order != "wired":
        places = [l for run in book["runs"] for l in run if l in order]
        for place, loop in zip(places, order):
            stand[place - 1] = loop
    return stand


def passed(book, stand, engaged):
    return [stand[l - 1] for run in book["runs"] for l in run if stand[l - 1] in engaged]


def check(book, run):
    code, out, _ = run("check", "--format", "json")
    told = [json.loads(line) for line in out.splitlines()]
    wrong = [t for t in told if t["severity"] == "error"]
    if wrong:
        raise Broken("an error that is none", f"{wrong}")
    words = []
    table = json.loads(run("table", "--format", "json")[1])
    cells = [c["name"] for c in table["cells"]]
    rows = {r["scene"]: str(r["values"][cells.index("loop-order")]) for r in table["rows"]}
    figures = {r["scene"]: r for r in json.loads(run("signal", "--format", "json")[1])["rows"]}
    sheet, tech = run("sheet")[1], run("sheet", "--for", "tech")[1]
    codes = {int(n): code for n, code in re.findall(r"^loop +(\d+)  (\S+) ", sheet, re.M)}
    drawn = [re.sub(r"\s+", " ", found) for found in re.findall(r"^signal chain of \d+: ((?:.+\n)+)", tech, re.M)]
    drawn = {name: way for one in drawn for name, way in (scene.strip().split(" ", 1) for scene in one.split(";"))}
    if "stand in each other's places" not in re.sub(r"\s+", " ", tech):
        raise Broken("the sheet does not say how an order is read", tech)
    orders = {r.split(",")[2] for r in run("where", "order", "--format", "csv")[1].splitlines()[1:]}
    for number, s in enumerate(book["scenes"]):
        stand = swapped(book, said(book, number))
        text = rows[s["name"]]
        # What the tech reads: these loops stand in each other's places, so in this order along the signal.
        named = [] if text == "wired" else [int(n) for n in text.split("-")]
        places = [l for r in book["runs"] for l in r if l in named]
        read = list(range(1, book["loops"] + 1))
        for place, loop in zip(places, named):
            read[place - 1] = loop
        if read != stand:
            raise Broken("the table has another order", f"{s['name']}: {text}, not {stand}")
        if text != "wired" and not re.search(rf"{s['name']} .*{text}", sheet):
            raise Broken("the sheet does not say the order", f"{s['name']}: {text}")
        words.append("wired" if text == "wired" else "in an order of its own")
        way = [codes[l] for l in passed(book, stand, s["engaged"])] + ["out at output 1"]
        if drawn.get(s["name"]) != ", ".join(way):
            raise Broken("the sheet draws another way of the signal", f"{s['name']}: {drawn.get(s['name'])}, not {way}")
        if (s["name"] in orders) != (stand != sorted(stand)):
            raise Broken("`where order` names other presets", f"{s['name']} {stand}: {orders}")
        lines = board(book, stand)
        engaged = [PEDALS[book["pedals"][l - 1]] for l in s["engaged"]]
        lines.append(f"scene {s['name']} {{ " + (f"engage {', '.join(engaged)}" if engaged else "") + " }")
        lines.append(f'song "Quay" {{ {s["name"]} }}')
        with open(run.files[0] + ".wired.scene", "w", encoding="utf-8") as file:
            file.write("\n".join(lines) + "\n")
        own, run.files = run.files, [run.files[0] + ".wired.scene"]
        try:
            other = json.loads(run("signal", "--format", "json")[1])["rows"][0]
        finally:
            run.files = own
        if other != figures[s["name"]]:
            raise Broken("a board that is wired so sounds otherwise", f"{s['name']}: {figures[s['name']]}, not {other}")
    # Each scene against the next: what is passed in another order is told, and nothing else.
    for first, second in zip(range(len(book["scenes"])), range(1, len(book["scenes"]))):
        a, b = book["scenes"][first], book["scenes"][second]
        orders = [swapped(book, said(book, n)) for n in (first, second)]
        both = [l for l in a["engaged"] if l in b["engaged"]]
        turned = passed(book, orders[0], both) != passed(book, orders[1], both)
        files = []
        for s, order in zip((a, b), orders):
            lines = board(book)
            says = [f"engage {called(book, l, False)}" for l in s["engaged"]]
            if any(order[n] != n + 1 for n in range(book["loops"])):
                apart = [l for r in book["runs"] for l in r if order[l - 1] != l]
                for r in book["runs"]:
                    moved = [order[l - 1] for l in r if l in apart]
                    if moved:
                        says.append("order " + ", ".join(f"loop {l}" for l in moved))
            lines.append(f"scene bed {{ {'; '.join(says)} }}")
            lines.append('song "Quay" { bed }')
            files.append(run.files[0] + f".{len(files)}.scene")
            with open(files[-1], "w", encoding="utf-8") as file:
                file.write("\n".join(lines) + "\n")
        own, run.files = run.files, files
        try:
            changed = run("diff")[1]
        finally:
            run.files = own
        heard = "now in the order" in changed or "now before" in changed
        if heard != turned:
            raise Broken("a turned order is told wrongly", f"{a['name']} to {b['name']}, {orders}: {changed}")
        words.append("turned between two" if turned else "not turned")
    return words


if __name__ == "__main__":
    common.main("orders of loops", make, texts, check, 100)
