"""`slots --best` against every placement, and the book that `--pin` writes. Written from language.md alone:

9 "pinned slots never move; `tipring slots BOOK --pin` writes today's choice into the book"; and what `presses.py` reads of
presses. computations.md, slots: "where should presets live so that a set needs the fewest presses; when may a scene be stored
twice ... the gap always printed".

Read so: every scene that waits for a slot has one; each other free slot is empty or holds any scene that is played; the runs
are the sets, and each song that is in none. Where all placements can be tried, the number said to be the least is the least.
"""

import itertools
import json
import re

import common
import presses
from common import Broken, Skip

MOST = 4_000  # placements tried


def make(dice):
    while True:
        book = presses.make(dice)
        while book["banks"] * book["switches"] > 8:
            book["banks"], book["switches"] = dice.randint(2, 6), dice.randint(1, 3)
        inside = lambda b, s, *_: b < book["banks"] and s < book["switches"] - bool(book["every"])
        book["pins"] = [p for p in book["pins"] if inside(*p)]
        book["wakes"] = book["wakes"] if book["wakes"] and inside(*book["wakes"]) else None
        pinned = {p[2] for p in book["pins"]} | {book["every"]}
        if sum(n not in pinned for n in book["scenes"]) <= len(free(book)):
            return book


def free(book):
    every = [book["switches"] - 1] if book["every"] else []
    taken = {tuple(p[:2]) for p in book["pins"]}
    slots = itertools.product(range(book["banks"]), range(book["switches"]))
    return [s for s in slots if s not in taken and s[1] not in every]


def texts(book):
    text = presses.texts(book)[0]
    return [text.replace("slots { ", "slots { # by hand\n  ").replace("; others auto", "\n  others auto")]


def runs(book):
    sung = {s for songs in book["sets"] for s in songs}
    alone = [[str(n)] for n in range(len(book["songs"])) if str(n) not in sung]
    return [[p for s in songs for p in book["songs"][int(s)]] for songs in book["sets"] + alone]


def cost(book, stored):
    """The fewest presses over all runs; STORED are the slots of each scene."""
    begin = tuple(book["wakes"]) if book["wakes"] else None
    total = 0
    for parts in runs(book):
        reach = {begin: 0}
        for part in parts:
            reach = {
                slot: min(c + presses.price(book, at, slot) for at, c in reach.items()) for slot in stored[part]
            }
        total += min(reach.values())
    return total


def check(book, run):
    errors = [t for t in map(json.loads, run("check", "--format", "json")[1].splitlines()) if t["severity"] == "error"]
    if errors:
        raise Skip("errors of the book: " + errors[0]["code"])
    code, out, err = run("slots", "--best")
    if (code, out) != run("slots", "--best")[:2] or code:
        raise Broken("two runs are not alike", out + err)
    after = int(re.search(r"(\d+) press(?:es)? over all sets", out)[1])
    proved = "proved.\n" in out.split("presses\n\n")[0]
    gap = re.search(r"fewer than (\d+): (\d+) more", out)
    bound = after if proved else int(gap[1])
    if not proved and bound + int(gap[2]) != after:
        raise Broken("bound and gap do not sum", out)
    place = {presses.shown(book, b, s): (b, s) for b in range(book["banks"]) for s in range(book["switches"])}
    pinned = [((b, s), n) for b, s, n in book["pins"]]
    pinned += [((b, book["switches"] - 1), book["every"]) for b in range(book["banks"]) if book["every"]]
    words = ["proved"] if proved else []

    slots = free(book)
    waiting = [n for n in book["scenes"] if n not in {n for _, n in pinned}]
    if (len(book["scenes"]) + 1) ** len(slots) <= MOST:
        least = None
        for chosen in itertools.product([None, *book["scenes"]], repeat=len(slots)):
            if all(w in chosen for w in waiting):
                stored = {n: [] for n in book["scenes"]}
                for slot, name in [*pinned, *zip(slots, chosen)]:
                    if name:
                        stored[name].append(slot)
                presses_now = cost(book, stored)
                least = presses_now if least is None else min(least, presses_now)
        if bound > least or after < least:
            raise Broken("what is proved is not so", f"{bound}..{after} printed, the least is {least}\n{out}")
        words.append("all placements tried")

    for options in [["--bank-a-song"], []]:
        before = open(run.files[0], encoding="utf-8").read()
        told = run("slots", "--best", *options)[1]
        number = int(re.search(r"(\d+) press(?:es)? over all sets", told)[1])
        code, said, err = run("slots", "--best", *options, "--pin")
        if code:
            raise Broken("it does not pin", said + err)
        text = open(run.files[0], encoding="utf-8").read()
        if "# by hand" not in text or [l for l in before.splitlines() if l not in text.splitlines()]:
            raise Broken("more than the slots was rewritten", text)
        rows = [r.split(",") for r in run("slots", "--format", "csv")[1].splitlines()[1:]]
        stored = {n: [place[slot] for slot, name, _ in rows if name == n] for n in book["scenes"]}
        if any(place_of not in stored[name] for place_of, name in pinned) or not all(stored.values()):
            raise Broken("a pinned slot moved, or a scene has none", text)
        walked = [s["totals"]["presses"] for s in json.loads(run("walk", "--format", "json")[1])["sets"]]
        if not sum(walked) == cost(book, stored) == number:
            raise Broken("the pinned book presses otherwise", f"{number} printed, {walked} walked\n{text}\n{told}")
        again = run("slots", "--best", *options)[1]
        if int(re.search(r"(\d+) press(?:es)? over all sets", again)[1]) > number:
            raise Broken("a second look is worse", again)
        with open(run.files[0], "w", encoding="utf-8") as file:
            file.write(before)
    return words


if __name__ == "__main__":
    common.main("presets for the fewest presses", make, texts, check, 200)
