"""Pedals that change places along the chain: a scene tells it where two that it engages, before and after, come the other way
round, and where somebody hears it; and tells no other. Loops lie in any order, some behind an amplifier's send.
"""

import itertools
import json

import common
from common import Broken, Skip


def make(dice):
    names = common.PEDALS[: dice.randint(2, 6)]

    def row():
        order = dice.sample(names, len(names))
        cut = dice.choice([len(order), len(order), dice.randint(1, len(order))])
        return [order[:cut], order[cut:]]

    def scenes():
        return {s: [[n for n in names if dice.random() < 0.6], dice.random() < 0.15] for s in common.SCENES[:4]}

    one = scenes()
    other = scenes() if dice.random() < 0.4 else one
    line = row()
    return {"names": names, "rows": [line, row() if dice.random() < 0.8 else line], "scenes": [one, other]}


def text(names, row, scenes):
    front, behind = row
    places = [n for n in front] + [n for n in behind]
    loop = {n: i for i, n in enumerate(places, 1)}
    split = f", split after {len(front)}" if behind else ""
    lines = [f"switcher {{ loops {len(names)}{split}; outputs 1; banks 1..1, switches 1..8 }}", "guitar plank"]
    lines += [f"pedal {n} {{ loop {loop[n]} }}" for n in names]
    lines.append("amp hall { fed by output 1 }")
    lines.append(f"chain front: guitar -> {' -> '.join(f'loop {loop[n]}' for n in front)} -> output 1 -> hall")
    if behind:
        lines.append(f"chain effects: hall send -> {' -> '.join(f'loop {loop[n]}' for n in behind)} -> hall return")
    for s, (engaged, mute) in scenes.items():
        engage = [f"engage {', '.join(engaged)}"] if engaged else []
        lines.append(f"scene {s} {{ {'; '.join(engage + ['mute'] * mute)} }}")
    lines.append('song "Quay" on plank { ' + "; ".join(f"p{n}: {s}" for n, s in enumerate(scenes)) + " }")
    return "\n".join(lines) + "\n"


def texts(book):
    return [text(book["names"], row, scenes) for row, scenes in zip(book["rows"], book["scenes"])]


def line(row):
    """The way of the signal; an amplifier stands before what it sends."""
    return [*row[0], "hall", *row[1]]


def check(book, run):
    code, out, err = run("diff", "--format", "json", "--no-renames")
    if code not in (0, 1) or not out:
        raise Skip("errors of a book")
    told = {}
    for scene in json.loads(out)["heard"]["scenes"]:
        for change in scene["changes"]:
            if change["kind"] == "order":
                told[scene["now"]] = [change["was"].split(", "), change["now"].split(", ")]
    was, now = (line(row) for row in book["rows"])
    wanted, words = {}, []
    for s in book["scenes"][0]:
        (before, silent), (after, quiet) = (scenes[s] for scenes in book["scenes"])
        if silent or quiet:
            words.append("silent scenes")
            continue
        both = [n for n in was if n == "hall" or n in before and n in after]
        turned = {n for a, b in itertools.combinations(both, 2) if now.index(a) > now.index(b) for n in (a, b)}
        words.append("scenes in another order" if turned else "scenes in the old order")
        if turned:
            wanted[s] = [[n for n in was if n in turned], [n for n in now if n in turned]]
    if told != wanted:
        raise Broken("another order is told than is engaged", f"told {told}, wanted {wanted}")
    return words


if __name__ == "__main__":
    common.main("pedals that change places", make, texts, check, 300)
