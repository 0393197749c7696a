"""The plug-and-check list, done to the letter on a board of jacks, against a graph library (networkx).

The leads are those of the printed lead list, each step and its test lead what `buildcheck` prints; what is inside the boxes is
known here from the book's own chains. Held at every step: no plug goes into a jack that is taken; a box has its power before
a signal; what is said to be heard has a path from a guitar through the very lead (or the very device) to the amplifier named,
with the loop that is said to be engaged, and bypassed where it says so; the test lead listens where the signal comes out, and
never feeds an amplifier with its own send; what is said not to be heard is not, and would not be with all leads plugged.
"""

import csv
import io
import re

import boards
import common
import networkx
from common import Broken, Skip

SIDES = ["", " left", " right"]


def links(board):
    """The chains, each as its places one by one."""
    for _, places in board["chains"]:
        yield places
        if board["tuner"] and "output 1" in places:
            yield [places[places.index("output 1") - 1], f"output {board['tuner']}"]


def number(place):
    found = re.fullmatch(r"loop (\d+)", place)
    return int(found[1]) if found else None


def inside(board):
    """What the chains join inside the switcher: loop to loop on one side of the split, loop to output."""
    split = board["split"] or board["loops"]
    for places in links(board):
        for a, b in zip(places, places[1:]):
            one, other = number(a), number(b)
            if one and other and (one <= split) == (other <= split):
                yield ("behind", one), ("before", other)
            if one and b.startswith("output"):
                yield ("behind", one), b


def graph(board, leads, plugged, engaged, test):
    """The board as it is plugged: an edge wherever a signal goes on."""
    g = networkx.DiGraph()
    g.add_edges_from(inside(board))
    for n in range(1, board["loops"] + 1):
        for side in SIDES:
            g.add_edge(f"switcher in, loop {n}{side}", ("before", n))
            g.add_edge(("behind", n), f"switcher out, loop {n}{side}")
            if n == engaged:
                g.add_edge(("before", n), f"loop {n} send{side}")
                g.add_edge(f"loop {n} return{side}", ("behind", n))
        if n != engaged:
            g.add_edge(("before", n), ("behind", n))
    for thing in board["pedals"] + board["buffers"]:
        name = thing["name"]
        powers = [l["lead"] for l in leads.values() if l["to"] == [f"{name} power"]]
        if all(p in plugged for p in powers):
            for side in SIDES:
                g.add_edge(f"{name} in{side}", f"{name} out{side}")
    for amp in board["amps"]:
        name = amp["name"]
        g.add_edge(f"{name} in", f"{name} send")
        g.add_edge(f"{name} in", ("sound", name))
        for side in SIDES:
            g.add_edge(f"{name} return{side}", ("sound", name))
    for lead in plugged:
        for to in leads[lead]["to"]:
            g.add_edge(leads[lead]["from"], to)
    if test:
        g.add_edge(*test)
    return g


def goes(g, a, b):
    return a in g and b in g and networkx.has_path(g, a, b)


def texts(board):
    return [boards.board_text(board)]


def wiring(run):
    code, out, err = run("wiring", "--format", "csv")
    if code not in (0, 1) or not out:
        raise Skip("errors of a book")
    return {int(r["lead"]): {"lead": int(r["lead"]), "from": r["from"], "to": r["to"].split(" and "), "kind": r["kind"]} for r in csv.DictReader(io.StringIO(out))}


STEP = re.compile(
    r"\[ \] lead +(\d+) \(([^)]*)\): plug (.*) -> (.*)\n +do: +(.*)\n +listen: (.*)\n +expect: (.*)\n"
)


def check(board, run):
    leads = wiring(run)
    code, out, err = run("buildcheck")
    steps = STEP.findall(out)
    if sorted(int(s[0]) for s in steps) != sorted(leads) or out.count("[ ]") != len(steps):
        raise Broken("not one step a lead", f"{out}\n{leads}")
    guitars = sorted({l["from"] for l in leads.values() if l["from"] in ("guitar", *boards.GUITARS)})
    plugged, test, words, amp_jacks = [], None, [], set()
    for amp in board["amps"]:
        amp_jacks |= {f"{amp['name']} in", *(f"{amp['name']} return{s}" for s in SIDES)}
    whole = set(leads)
    for n, kind, begin, end, do, listen, expect in steps:
        lead = leads[int(n)]
        told = f"lead {n}: {begin} -> {end}; {do}; {listen}; {expect}\n{out}"
        if [lead["from"], lead["to"]] != [begin, end.split(" and ")] or kind.split(",")[0] != lead["kind"]:
            raise Broken("a step's lead is another than that of the lead list", told)
        free = re.match(r"take the test lead out of (.*?) first; ", do)
        if free:
            for jack in free[1].split(" and "):
                if jack not in (test or ()):
                    raise Broken("the test lead is taken out of where it is not", told)
            if set(free[1].split(" and ")) == set(test):
                test = None
            else:
                test = tuple(None if j in free[1].split(" and ") else j for j in test)
        for jack in [begin, *lead["to"]]:
            if test and jack in test:
                raise Broken("a plug goes into a jack that the test lead holds", told)
        for other in plugged:
            if leads[other]["from"] == begin and not begin.startswith("brick.") or set(leads[other]["to"]) & set(lead["to"]):
                raise Broken("a plug goes into a jack that is taken", told)
        plugged.append(int(n))
        powerless = lambda d: any(l["to"] == [f"{d} power"] and l["lead"] not in plugged for l in leads.values())
        devices = [t.split(" ")[0] for t in lead["to"]]
        if not end.endswith("power") and any(powerless(d) for d in devices):
            raise Broken("a lead is tested at a box without its power", told)
        if " MIDI thru" in begin and not any(f"{begin.split(' ')[0]} MIDI in" in leads[p]["to"] for p in plugged):
            raise Broken("a MIDI line goes on from where none arrives", told)
        engaged = re.search(r"loop (\d+) alone", do)
        engaged = int(engaged[1]) if engaged else None
        states = [engaged, None] if "bypass it" in do else [engaged]
        audio = lead["kind"] == "TS" and not re.search(r"remote|panel out \d+$", end) or begin in guitars or "panel" in begin + end and not begin.startswith("remote") and lead["kind"] == "TS"
        through = [(begin, lead["to"][0])]
        if listen != "nothing to hear yet" and re.search(r"remote|foot switch|expression|MIDI", end):
            device = devices[0]
            if end.startswith("expression") or end.startswith("panel"):
                port = [l for l in leads.values() if l["from"].startswith(end.split(" in")[0] + " out") or l["lead"] == int(n)]
                found = [l["to"][0].split(" ")[0] for l in leads.values() if l["to"][0].endswith(" expression") and (l["from"] == end.replace(" in", " out") or end.startswith("panel"))]
                device = found[0] if found else device
            through = [(f"{device} in{s}", f"{device} in{s}") for s in ("", " left")]
        if listen.startswith("nothing to hear"):
            if lead["kind"] == "TS" and not begin.startswith("remote") and "remote" not in end and "foot switch" not in end:
                raise Broken("a signal's lead is not listened to", told)
            words.append("nothing to hear")
            continue
        if listen.startswith("not heard"):
            full = graph(board, leads, whole, engaged, None)
            if any(goes(full, g, a) for g in guitars for a, _ in through):
                raise Broken("said not to be heard, though a chain leads there", told)
            words.append("not heard, as no chain leads there")
            continue
        if listen == "watch needle":
            g = graph(board, leads, plugged, None, None)
            if end != "needle in" or not any(goes(g, guitar, "needle in") for guitar in guitars):
                raise Broken("a tuner is to be watched that sees nothing", told)
            words.append("seen on a tuner")
            continue
        on = re.fullmatch(r"at (\S+)", listen)
        if on:
            test, sound = None, ("sound", on[1])
        else:
            found = re.fullmatch(r"test lead from (.*) to (.*)", listen)
            if not found:
                raise Broken("a place to listen that nobody finds", told)
            test = (found[1], found[2])
            taken = [j for p in plugged for j in [leads[p]["from"]]]
            if test[0] in taken or any(test[1] in leads[p]["to"] for p in plugged):
                raise Broken("the test lead goes where a plug is", told)
            if test[1] == "an amplifier that is not on this list":
                sound = test[1]
                words.append("on an amplifier of somebody else")
            elif test[1] in amp_jacks:
                sound = ("sound", test[1].split(" ")[0])
            else:
                raise Broken("the test lead does not end at an amplifier", told)
            last = lead["to"][0]
            if re.match(r"switcher in|loop \d+ return", last) and not re.match(r"switcher out|output", test[0]):
                raise Broken("the tap is not on the switcher's out", told)
            if re.search(r" in( left| right)?$", test[0]) and not test[0].startswith("panel"):
                raise Broken("the tap is where a signal goes in", told)
        for state in states:
            g = graph(board, leads, plugged, state, test)
            if not any(goes(g, guitar, a) and goes(g, b, sound) for guitar in guitars for a, b in through if state == engaged or goes(g, guitar, test[0] if test else a)):
                if state == engaged:
                    raise Broken("said to be heard, and has no path", told)
            if state != engaged and not any(goes(g, guitar, sound) for guitar in guitars):
                raise Broken("bypassed, it is said to be heard, and has no path", told)
        if test and test[1] in amp_jacks and test[1].endswith(" in"):
            g = graph(board, leads, plugged, engaged, None)
            if goes(g, f"{test[1].split(' ')[0]} send", test[0]):
                raise Broken("an amplifier is fed with what it sends", told)
        words.append("heard at an amplifier that is plugged" if on else "heard by the test lead")
    return words


if __name__ == "__main__":
    common.main("the plug-and-check list", boards.make_board, texts, check, 200)
