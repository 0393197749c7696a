"""Settles abstract books with an answer-set solver (clingo, PyPI, MIT licence).

Reads a JSON list of books from standard input, writes a JSON list of answers.
Here is only the way from JSON to facts and from atoms to names; the meaning is in settle.lp.
"""

import json
import pathlib
import sys

import clingo

PROGRAM = (pathlib.Path(__file__).parent / "settle.lp").read_text(encoding="utf-8")


def contact(c):
    return f"contact({c['jack']},{'ring' if c['ring'] else 'tip'})"


def only(tagged):
    """The one tag and content of an enum as serde writes it."""
    if isinstance(tagged, str):
        return tagged, None
    return next(iter(tagged.items()))


def contacts_of(how):
    for jack, sides in how["jacks"]:
        if sides != "Ring":
            yield f"contact({jack},tip)"
        if sides != "Tip":
            yield f"contact({jack},ring)"


def part_facts(d, p, how):
    kind, what = only(how)
    at = f"{d},{p}"
    if kind == "Contacts":
        wires = list(contacts_of(what))
        yield f"rests({at},{int(what['normally_closed'])})."
        for wire in wires:
            yield f"contact_of({at},{wire})."
        for s, (_, pattern) in enumerate(what["states"]):
            yield f"state({at},{s})."
            for wire, closed in zip(wires, pattern):
                if closed is not None:
                    yield f"mentions({at},{s},{wire},{int(closed)})."
    elif kind == "Programs":
        yield f"program_of({at})."
        for s, (_, number) in enumerate(what["states"]):
            yield f"program({at},{s},{number})."
    elif kind == "FootStates":
        yield f"by_foot_of({at})."
    elif kind == "Port":
        yield f"port_of({at},{what['port']},{what['range']['from']},{what['range']['to']})."
    elif kind == "Cc":
        yield f"cc_of({at},{what['range']['from']},{what['range']['to']})."
    else:
        raise ValueError(kind)


def said(say):
    kind, what = only(say)
    if kind in ("Engage", "Bypass"):
        return f"{kind.lower()}({what})"
    if kind in ("EngageLoop", "BypassLoop"):
        return f"{kind[:6].lower()}_loop({what})"
    if kind in ("Close", "Open", "Pulse"):
        return f"{kind.lower()}({contact(what)})"
    if kind == "PortAt":
        return f"port_at({what[0]},{what[1]})"
    if kind == "PortFoot":
        return f"port_foot({what[0]},{what[1].lower()})"
    if kind == "PortStays":
        return f"port_stays({what})"
    if kind == "Output":
        return f"output({what[0]},{int(what[1])})"
    if kind == "Mute":
        return "mute"
    if kind == "Set":
        device, part, to = what
        how, amount = only(to)
        value = "stays" if how == "Stays" else f"{how.lower()}({str(amount).lower()})"
        return f"set({device},{part},{value})"
    raise ValueError(kind)


def facts(book):
    board = book["switcher"]
    for word in ("loops", "jacks", "ports", "steps", "outputs"):
        yield f"{word}({board[word]})."
    for d, device in enumerate(book["devices"]):
        kind, what = only(device["seat"])
        yield f"seat({d}," + {"Loop": f"loop({what})", "AlwaysOn": "always", "Amp": "amp", "Tuner": "tuner"}[kind] + ")."
        if device["always"]:
            yield f"always({d})."
        if kind in ("Amp", "Tuner") and what is not None:
            yield f"feeds({d},{what})."
        for p, part in enumerate(device["parts"]):
            yield from part_facts(d, p, part["how"])
    blocks = [("default", [say for block in book["defaults"] for say in block])]
    blocks += [(f"layer({n})", layer["says"]) for n, layer in enumerate(book["layers"])]
    for n, scene in enumerate(book["scenes"]):
        yield f"scene({n})."
        if scene["from"] is not None:
            yield f"from({n},{scene['from']})."
        for place, layer in enumerate(scene["with"]):
            yield f"with({n},{place},{layer})."
        blocks.append((f"scene({n})", scene["says"]))
    for block, says in blocks:
        for i, say in enumerate(says):
            yield f"says({block},{i},{said(say)})."


def column(book, cell):
    """A key to sort by, and the cell's name."""
    numbers = [a.number for a in cell.arguments if a.type == clingo.SymbolType.Number]
    if cell.name == "loop":
        return (0, numbers[0]), f"loop-{numbers[0]}"
    if cell.name == "contact":
        side = cell.arguments[1].name
        return (1, numbers[0], side == "ring"), f"remote-{numbers[0]}-{side}"
    if cell.name == "port":
        return (2, numbers[0]), f"expression-{numbers[0]}"
    if cell.name == "output":
        return (3, numbers[0]), f"output-{numbers[0]}"
    device = book["devices"][numbers[0]]
    part = device["parts"][numbers[1]]
    name = f"{device['name']}.{part['name']}"
    if cell.name == "message":
        channel = only(part["how"])[1]["channel"]
        return (4, channel, device["name"], numbers[1]), f"midi-{channel}:{name}"
    return (5, device["name"], numbers[1]), f"by-foot:{name}"


def printed(book, cell, value):
    if value.type == clingo.SymbolType.Number:
        return str(value.number)
    if value.name == "step":
        step, steps = (a.number for a in value.arguments)
        tenths = (2 * step * 1000 + steps - 1) // (2 * (steps - 1))
        return f"{tenths // 10}.{tenths % 10}".removesuffix(".0")
    if value.name == "program":
        return str(value.arguments[0].number)
    if value.name == "state":
        device, part = (a.number for a in cell.arguments)
        return only(book["devices"][device]["parts"][part]["how"])[1][value.arguments[0].number]
    return {"unknown": "?", "foot": "foot", "stays": "stays", "pulse": "pulse"}[value.name]


def settle(book):
    control = clingo.Control(["--warn=none"])
    control.add("base", [], PROGRAM + "\n".join(facts(book)))
    control.ground([("base", [])])
    models = []
    control.solve(on_model=lambda m: models.append(m.symbols(shown=True)))
    if len(models) != 1:
        raise RuntimeError(f"{len(models)} answer sets where the definition gives one")
    rows, names, counts = {}, {}, {}
    free = {(a.arguments[0].number, a.arguments[1]) for a in models[0] if a.name == "free"}
    for atom in models[0]:
        if atom.name == "value":
            scene, cell, value = atom.arguments
            key, names[key] = column(book, cell)
            row = rows.setdefault(scene.number, {})
            if key in row:
                raise RuntimeError(f"two values in one cell: {atom}")
            stored = printed(book, cell, value)
            row[key] = (stored, "-" if (scene.number, cell) in free else stored)
        elif atom.name == "complaint":
            code = atom.arguments[0].string
            counts[code] = counts.get(code, 0) + 1
    keys = sorted(names)
    by_name = sorted((scene["name"], n) for n, scene in enumerate(book["scenes"]))
    return {
        "columns": [names[k] for k in keys],
        "rows": [
            {
                "scene": name,
                "stored": [rows[n][k][0] for k in keys],
                "dashed": [rows[n][k][1] for k in keys],
            }
            for name, n in by_name
        ],
        "counts": counts,
    }


if __name__ == "__main__":
    json.dump([settle(book) for book in json.load(sys.stdin)], sys.stdout)
