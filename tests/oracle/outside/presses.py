"""Presses over whole sets against all slots of each scene. Written from language.md alone:

"presses: same bank 1, bank step 1  # what a change costs the feet"; "banks 1..8, switches 1..5  # 40 presets, shown 1.1 to
8.5; `banks 0..7, switches A..E` shows 0A to 7E"; "wakes 1.1  # the preset after power-up"; "every bank switch 5 silent"
9 "`auto` fills the lowest free slot by first play over the sets, then by name; pinned slots never move"
computations.md, walk: "what does each change in the set cost: presses ..."; slots: "where should presets live so that a set
needs the fewest presses; when may a scene be stored twice"

Read so: a step to another slot costs `same bank`, and `bank step` for each bank between the two; the slot where the player
stands already costs nothing; the first part costs what the way from the preset that wakes costs, or nothing where none is
named. The fewest presses of a set are sought over all of its parts at once, by dynamic programming over every slot of each.
"""

import json
import re

import common
from common import Broken, Skip


def make(dice):
    banks, switches = dice.randint(2, 6), dice.randint(2, 5)
    lettered = dice.random() < 0.3
    names = common.SCENES[: dice.randint(2, 6)]
    slots = [(b, s) for b in range(banks) for s in range(switches)]
    pins = [
        [b, s, dice.choice(names)] for b, s in dice.sample(slots, dice.randint(1, max(1, len(slots) - len(names))))
    ]
    every = dice.choice(names) if dice.random() < 0.3 else None
    if every:
        pins = [p for p in pins if p[1] != switches - 1]
    songs = [[dice.choice(names) for _ in range(dice.randint(1, 5))] for _ in range(dice.randint(1, 5))]
    sets = [
        [str(n) for n in dice.sample(range(len(songs)), dice.randint(1, len(songs)))]
        for _ in range(dice.choice([1, 1, 2]))
    ]
    return {
        "banks": banks,
        "switches": switches,
        "lettered": lettered,
        "scenes": names,
        "pins": pins,
        "every": every,
        "songs": songs,
        "sets": sets,
        "cost": [dice.randint(1, 3), dice.randint(1, 3)],
        "wakes": dice.choice(pins)[:2] if pins and dice.random() < 0.5 else None,
    }


def shown(book, bank, switch):
    return f"{bank}{'ABCDE'[switch]}" if book["lettered"] else f"{bank + 1}.{switch + 1}"


def texts(book):
    banks, last = book["banks"], book["switches"]
    layout = (
        f"banks 0..{banks - 1}, switches A..{'ABCDE'[last - 1]}"
        if book["lettered"]
        else f"banks 1..{banks}, switches 1..{last}"
    )
    wakes = f"; wakes {shown(book, *book['wakes'])}" if book["wakes"] else ""
    same, step = book["cost"]
    lines = [
        f"switcher {{ loops {len(book['scenes'])}; {layout}{wakes}; presses: same bank {same}, bank step {step} }}"
    ]
    lines += [f"scene {name} {{ engage loop {n} }}" for n, name in enumerate(book["scenes"], 1)]
    slots = [f"{shown(book, b, s)} {name}" for b, s, name in book["pins"]]
    if book["every"]:
        slots.append(f"every bank switch {'ABCDE'[last - 1] if book['lettered'] else last} {book['every']}")
    lines.append("slots { " + "; ".join(slots + ["others auto"]) + " }")
    for n, parts in enumerate(book["songs"]):
        lines.append(f'song "{n}" {{ ' + "; ".join(f"p{i}: {p}" for i, p in enumerate(parts)) + " }")
    for n, songs in enumerate(book["sets"]):
        lines.append(f'set "set {n}" {{ ' + "; ".join(f'"{s}"' for s in songs) + " }")
    return ["\n".join(lines) + "\n"]


def price(book, a, b):
    """The presses from slot A to slot B; None is before the first."""
    same, step = book["cost"]
    return 0 if a is None or a == b else same + step * abs(a[0] - b[0])


def check(book, run):
    code, out, _ = run("check", "--format", "json")
    errors = {t["code"] for t in map(json.loads, out.splitlines()) if t["severity"] == "error"}
    if errors:
        raise Skip("errors of the book: " + ", ".join(sorted(errors)))
    place = {shown(book, b, s): (b, s) for b in range(book["banks"]) for s in range(book["switches"])}
    stored = {}
    for row in json.loads(run("table", "--format", "json")[1])["rows"]:
        stored.setdefault(row["scene"], []).append(place[row["slot"]])
    for b, s, name in book["pins"]:
        if (b, s) not in stored.get(name, []):
            raise Broken("a scene does not stand where it is pinned", f"{name}: {(b, s)}, stored {stored}")
    begin = tuple(book["wakes"]) if book["wakes"] else None
    walks = json.loads(run("walk", "--format", "json")[1])["sets"]
    words = []
    for number, songs in enumerate(book["sets"]):
        parts = [p for song in songs for p in book["songs"][int(song)]]
        reach = {begin: 0}
        for part in parts:
            reach = {slot: min(cost + price(book, at, slot) for at, cost in reach.items()) for slot in stored[part]}
        least = min(reach.values())
        walk = walks[number]
        slots = [place[change["slot"]] for change in walk["changes"]]
        report = f"printed: {walk['totals']['presses']} by {[c['slot'] for c in walk['changes']]}; the fewest: {least}; stored: {stored}"
        if [c["scene"] for c in walk["changes"]] != parts or any(s not in stored[p] for s, p in zip(slots, parts)):
            raise Broken("a part is played from a slot that does not hold it", report)
        prices = [price(book, a, b) for a, b in zip([begin, *slots], slots)]
        told = [c["presses"] for c in walk["changes"]]
        if [t if t is not None else 0 for t in told] != prices:
            raise Broken(
                "the presses of a change are not what the book says", f"{told} printed, {prices} counted; {report}"
            )
        if walk["totals"]["presses"] != sum(prices):
            raise Broken("the sum of the presses is wrong", report)
        if sum(prices) < least:
            raise Broken("fewer than can be: the oracle is wrong", report)
        if sum(prices) > least:
            raise Broken("a set takes more presses than it needs", report)
        sheet = run("sheet", "--set", f"set {number}")[1].split("\npresets\n")[0]
        taped = [place[m[1]] for m in re.finditer(r"^    (\S+)\s+p\d+ ", sheet, re.M) if m[1] in place]
        if taped != slots:
            raise Broken("the sheet names other slots than the walk", f"{taped}; {report}\n{sheet}")
        words += ["sets", *["sets of scenes stored twice"] * any(len(stored[p]) > 1 for p in parts)]
    return words


if __name__ == "__main__":
    common.main("presses over whole sets", make, texts, check, 200)
