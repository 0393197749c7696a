"""`signal --buffers` by trying every place, the circuit computed here. Written from language.md and computations.md alone:

"guitar solid { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 6 m at 100 pF/m }"
"patch leads 30 cm at 100 pF/m  # each lead between jacks, unless a chain says `cable 1 m at 120 pF/m`"
"panel { in 1 guitar; ... out 1 output 1 ... }"
18 "Volume is a fraction of the track's resistance, not of the knob's turn"; "The -3 dB point is the first crossing above the low
  end, everywhere, in `--buffers` too."
Words of the tech: "what must see the bare guitar", "a pickup's own loss as a parallel resistance".
computations.md, signal: "segments between buffers: source (emf, R, L, C, volume) - lead and patch capacitance - load; complex
arithmetic at each frequency"; buffers: "try each place, keep the smallest set that meets the target for all scenes".

Read so: a place is the arrow of a chain, and a buffer there is what the chain would be with the buffer written there: what
stands behind the arrow's left end (the guitar's lead and the panel's, the panel's at an output) stays before it, a patch lead
joins it where two switcher jacks or boxes meet, and a `cable` that the chain names stays behind it. A bypassed loop joins its
two sides and has no leads; an engaged one has a patch lead each way. The low end is taken at 10 Hz.
"""

import itertools
import math
import re

import numpy

import common
from common import Broken, Skip

GRID = 10 ** numpy.arange(1, 6, 0.0005)
NEAR = 0.004  # figures nearer to the target than this are no matter of yes or no


# ---- a random book ----


def make(dice):
    pedals = [
        {
            "name": common.PEDALS[n],
            "input": dice.choice([100, 150, 300, 500, 1000]),
            "output": dice.choice([1, 1, 10, 47, 100, 150, 220]),
            "gain": dice.choice([0, 3, 6]),
            "bare": n == 0 and dice.random() < 0.3,
        }
        for n in range(dice.randint(1, 4))
    ]
    chain = [["loop", n] for n in range(len(pedals))]
    if dice.random() < 0.3:
        chain.insert(
            dice.randint(0, len(chain)),
            ["box", {"name": "wick", "input": dice.choice([500, 1000]), "output": dice.choice([1, 10, 100])}],
        )
    effects = None
    if dice.random() < 0.3:
        front = dice.randint(1, len(pedals))
        back = [[kind, n] for kind, n in chain if kind == "loop" and n >= front]
        if back:
            chain = [[kind, n] for kind, n in chain if [kind, n] not in back]
            leads = [lead(dice, 3, 9) if dice.random() < 0.6 else None for _ in range(2)]
            effects = {
                "chain": back,
                "send": dice.choice([1, 10, 47, 100]),
                "return": dice.choice([100, 220, 1000]),
                "there": leads[0],
                "back": leads[1],
            }
            for p in pedals[front:]:
                p["bare"] = False
    guitars = [
        {
            "name": n,
            "henry": dice.choice([2.2, 2.5, 3.4, 4.4]),
            "kohm": dice.choice([6.0, 7.5, 8.1]),
            "pf": dice.choice([80, 110, 140]),
            "pot": dice.choice([250, 500, 1000]),
            "loss": dice.choice([None, None, 150, 300, 1000]),
            "at": dice.choice([100, 100, 70, 40]),
            "cable": lead(dice, 3, 9),
        }
        for n in ["plank", "reed"][: dice.choice([1, 1, 2])]
    ]
    scenes = [
        {"name": n, "engage": [p["name"] for p in pedals if dice.random() < 0.5]}
        for n in common.SCENES[: dice.randint(1, 4)]
    ]
    book = {
        "pedals": pedals,
        "chain": chain,
        "effects": effects,
        "guitars": guitars,
        "scenes": scenes,
        "patch": [dice.choice([20, 30, 60]), 100],
        "cable": lead(dice, 3, 15) if dice.random() < 0.8 else None,
        "panel": dice.random() < 0.5,
        "amp": dice.choice([1000, 1000, 470, 220]),
        "target": dice.choice([1500, 2000, 2500, 3000, 3500, 4000, 5000]),
        "buffer": [dice.choice([1000, 1000, 500]), dice.choice([150, 1000, 10000])],
        "played": [
            [g["name"], s["name"]] for g in guitars for s in scenes if len(guitars) == 1 or dice.random() < 0.8
        ],
    }
    if dice.random() < 0.25:  # a weak output and a long lead below a strong resonance: the curve falls and comes back
        for g in guitars:
            g.update(pot=1000, at=100, loss=None, cable=[dice.randint(3, 5), 100])
        for box in [p for p in pedals] + [box for kind, box in chain if kind == "box"]:
            box.update(input=1000, output=dice.choice([80, 100, 150]))
        book.update(cable=[dice.randint(8, 15), 100], amp=1000, target=dice.choice([3000, 3500, 4000]))
    return book


def lead(dice, least, most):
    return [dice.randint(least, most), dice.choice([70, 95, 100, 120, 160])]


# ---- as text ----


def texts(book):
    effects = book["effects"]
    split = f", split after {min(n for _, n in effects['chain'])}" if effects else ""
    lines = [f"switcher {{ loops {max(1, len(book['pedals']))}{split}; outputs 1; banks 1..2, switches 1..4 }}"]
    for g in book["guitars"]:
        loss = f", loss {g['loss']} kohm" if g["loss"] else ""
        lines.append(
            f"guitar {g['name']} {{ pickup {g['henry']} H, {g['kohm']} kohm, {g['pf']} pF{loss}; "
            f"volume {g['pot']} kohm at {g['at']} %; cable {g['cable'][0]} m at {g['cable'][1]} pF/m }}"
        )
    for n, p in enumerate(book["pedals"], 1):
        lines.append(
            f"pedal {p['name']} {{ loop {n};{' sees bare guitar;' if p['bare'] else ''} input {p['input']} kohm; output {p['output']} kohm; gain {p['gain']} dB }}"
        )
    for kind, box in book["chain"]:
        if kind == "box":
            lines.append(
                f"buffer {box['name']} {{ input {box['input']} kohm; output {box['output']} kohm; gain 0 dB }}"
            )
    links = [f"loop {what + 1} -> " if kind == "loop" else f"{what['name']} -> " for kind, what in book["chain"]]
    lines.append("chain front: guitar -> " + "".join(links) + f"output 1 -> {cable_text(book['cable'])}hall")
    jacks = ""
    if effects:
        links = "".join(f"loop {n + 1} -> " for _, n in effects["chain"])
        there, back = cable_text(effects["there"]), cable_text(effects["back"])
        lines.append(f"chain effects: hall send -> {there}{links}{back}hall return")
        jacks = f"; send {effects['send']} kohm; return {effects['return']} kohm"
    lines.append(f"patch leads {book['patch'][0]} cm at {book['patch'][1]} pF/m")
    lines.append(f"amp hall {{ fed by output 1; input {book['amp']} kohm{jacks} }}")
    if book["panel"]:
        lines.append("panel { in 1 guitar; out 1 output 1 }")
    lines += [
        f"scene {s['name']} {{ " + (f"engage {', '.join(s['engage'])}" if s["engage"] else "") + " }"
        for s in book["scenes"]
    ]
    for g in book["guitars"]:
        parts = [s for name, s in book["played"] if name == g["name"]]
        if parts:
            lines.append(
                f'song "{g["name"]}" on {g["name"]} {{ ' + "; ".join(f"p{n}: {s}" for n, s in enumerate(parts)) + " }"
            )
    return ["\n".join(lines) + "\n"]


def cable_text(cable):
    return f"cable {cable[0]} m at {cable[1]} pF/m -> " if cable else ""


# ---- the circuit ----


def segments(book, guitar, engaged, placed):
    """(source, picofarads, kilohms of the load) from the guitar to the last amplifier jack, with buffers at PLACED."""
    patch = book["patch"][0] / 100 * book["patch"][1]
    own = {"name": "a buffer", "input": book["buffer"][0], "output": book["buffer"][1] / 1000}
    out = []
    source, pico = guitar, pf(guitar["cable"]) + (patch if book["panel"] else 0)

    def into(box, more):
        nonlocal source, pico
        out.append((source, pico + more, box["input"]))
        source, pico = box, 0

    def through(stops, lead, arrow):
        """LEAD joins the first stop; ARROW is the place behind it."""
        nonlocal pico
        inside = False  # the switcher, whose jacks meet without a lead
        for place, (kind, what) in enumerate(stops, arrow):
            if not inside or kind == "box":
                pico += lead
                lead = patch
            inside = kind != "box"
            if kind == "box":
                into(what, 0)
            if kind == "loop" and book["pedals"][what]["name"] in engaged:
                into(book["pedals"][what], patch)
                pico += patch
            if kind == "output" and book["panel"]:
                pico += patch
            if place in placed:
                into(own, patch)
                inside = False

    if 0 in placed:
        into(own, 0)
    through([*book["chain"], ["output", None]], patch if 0 in placed else 0, 1)
    pico += pf(book["cable"]) if book["cable"] else patch
    effects = book["effects"]
    into({"input": book["amp"], "output": effects["send"] if effects else 0}, 0)
    if effects:
        first = len(book["chain"]) + 2
        if first in placed:
            into(own, patch)
        through(effects["chain"], pf(effects["there"]) if effects["there"] else patch, first + 1)
        pico += pf(effects["back"]) if effects["back"] else patch
        out.append((source, pico, effects["return"]))
    return out


def pf(cable):
    return cable[0] * cable[1]


def response(source, pico, kohm, hertz):
    """The part of a source's own voltage that reaches the load."""
    w = 2j * math.pi * hertz
    load = 1 / (kohm * 1e3) + w * pico * 1e-12
    if "henry" not in source:
        return 1 / (1 + source["output"] * 1e3 * load)
    track, turned = source["pot"] * 1e3, source["at"] / 100
    wiper = load + 1 / (track * turned)
    upper = track * (1 - turned)
    behind = wiper / (1 + upper * wiper)  # seen from the pickup: the upper part of the track, then the wiper's load
    coil = source["kohm"] * 1e3 + w * source["henry"]
    own = w * source["pf"] * 1e-12 + (1 / (source["loss"] * 1e3) if source["loss"] else 0)
    return 1 / (1 + coil * (own + behind)) / (1 + upper * wiper)


def minus_3db(parts):
    """The first crossing 3.0103 dB below the low end; None when there is none."""

    def level(hertz):
        return 20 * numpy.log10(numpy.abs(numpy.prod([response(*p, hertz) for p in parts], axis=0)))

    levels = level(GRID)
    low = levels[0] - 10 * math.log10(2)
    under = numpy.nonzero(levels < low)[0]
    if not len(under):
        return None
    return float(GRID[under[0]])


# ---- the promise ----


def check(book, run):
    code, out, err = run("check")
    if code != 0:
        raise Skip("errors of the book")
    if not book["played"] or not any(kind == "loop" for kind, _ in book["chain"]):
        raise Skip("nothing is played")
    guitars, engaged = {g["name"]: g for g in book["guitars"]}, {s["name"]: s["engage"] for s in book["scenes"]}
    target, seen = book["target"], {}
    unplayed = set(engaged) - {s for _, s in book["played"]}  # such a scene may sound on any guitar
    rows = book["played"] + [[g, s] for g in guitars for s in sorted(unplayed)]

    def figures(placed):
        """The lowest -3 dB point, how many scenes fall below the target, and whether one is too near to say."""
        if placed not in seen:
            of = {
                (g, tuple(sorted(engaged[s]))): minus_3db(segments(book, guitars[g], engaged[s], placed))
                for g, s in rows
            }
            points = [1e9 if p is None else p for p in of.values()]
            all_points = [of[g, tuple(sorted(engaged[s]))] or 1e9 for g, s in rows]
            # Scenes that sound through the same boxes may be counted once.
            counts = {sum(p < target for p in points), sum(p < target for p in all_points)}
            seen[placed] = (min(points), counts, any(abs(p / target - 1) < NEAR for p in points))
        return seen[placed]

    code, out, err = run(
        "signal",
        "--buffers",
        f"{target} Hz",
        "--buffer-input",
        f"{book['buffer'][0]} kohm",
        "--buffer-output",
        f"{book['buffer'][1]} ohm",
    )
    if code != 0:
        raise Broken("no answer", out + err)

    def called(stops):
        return [f"loop {w + 1} ({book['pedals'][w]['name']})" if kind == "loop" else w["name"] for kind, w in stops]

    front = ["the guitar", *called(book["chain"]), "output 1", "hall"]
    behind = ["hall send", *called(book["effects"]["chain"]), "hall return"] if book["effects"] else []
    names = [f"{a} and {b}" for stops in (front, behind) for a, b in zip(stops, stops[1:])]
    places = len(names)
    bare = [
        n
        for n, (kind, what) in enumerate(book["chain"])
        if kind == "loop"
        and book["pedals"][what]["bare"]
        and any(book["pedals"][what]["name"] in e for e in engaged.values())
    ]
    allowed = [n for n in range(places) if not any(n <= at for at in bare)]
    before = re.search(r"as it stands: (.*)", out)
    printed = re.findall(r"^between (.*?)  +(\S+ Hz|-|none\S*)  +(\d+)\b", out, re.M)
    report = f"printed:\n{out}\ncomputed: as it stands {figures(())[:2]}, " + ", ".join(
        f"{n}: {figures((n,))[:2]}" for n in range(places)
    )

    def agree(words, hertz, below, placed):
        low, count, near = figures(placed)
        found = re.search(r"(\d+) Hz", hertz)
        if (found is None) != (low == 1e9) or found and abs(int(found[1]) / low - 1) > NEAR:
            raise Broken(f"another -3 dB point, {words}", f"{hertz} printed, {low:.0f} Hz computed; {report}")
        if int(below) not in count and not near:
            raise Broken(
                f"another number of scenes below the target, {words}", f"{below} printed, {count} computed; {report}"
            )

    said = re.search(r"(\d+) below the target", before[1])
    agree("as it stands", before[1], said[1], ())
    if not {names[n] for n in allowed} <= {name for name, _, _ in printed} <= set(names):
        raise Broken("other places than the arrows of the chain", report)
    for name, hertz, below in printed:
        n = names.index(name)
        end = len(front) - 2
        where = {0: "behind the guitar", end: "at the output", end + 1: "behind the send"}.get(n, "inside")
        agree(f"with a buffer {where}", hertz, below, (n,))

    sets = [s for size in range(places + 1) for s in itertools.combinations(allowed, size)]
    if any(figures(s)[2] for s in sets):
        raise Skip("a figure too near to the target")
    least = next((len(s) for s in sets if figures(s)[1] == {0}), None)
    needed = re.search(r"^(\d+) needed(.*)$", out, re.M)
    if "no buffer is needed" in out:
        claimed, word = 0, "none needed"
    elif needed:
        claimed, word = int(needed[1]), f"{needed[1]} needed"
        chosen = tuple(sorted(names.index(name) for name in re.findall(r"^  between (.*)$", out, re.M)))
        if not set(chosen) <= set(allowed):
            raise Broken("a buffer is offered before a pedal that must see the bare guitar", report)
        if len(chosen) != claimed:
            raise Broken("not as many places as are needed", report)
        if figures(chosen)[1] != {0}:
            raise Broken("the places named do not meet the target", f"{chosen}: {figures(chosen)}; {report}")
    elif "no set of buffers" in out:
        claimed, word = None, "none can"
    else:
        raise Broken("neither a set nor none", report)
    if claimed != least:
        raise Broken("not the fewest buffers", f"{claimed} printed, {least} true; {report}")
    dips = any(dip(segments(book, guitars[g], engaged[s], ()), target) for g, s in rows)
    return (
        [word]
        + ["a curve dips below and comes back at the target"] * dips
        + ["with an effects loop"] * bool(book["effects"])
        + ["with a panel"] * book["panel"]
        + ["with a pedal that sees the bare guitar"] * bool(bare)
    )


def dip(parts, target):
    """Whether the curve is above the -3 dB line at the target though it has been below before."""
    point = minus_3db(parts)
    if point is None or point >= target:
        return False
    low, there = (abs(numpy.prod([response(*p, f) for p in parts])) for f in (10, target))
    return there > low / math.sqrt(2)


if __name__ == "__main__":
    common.main("buffers", make, texts, check, 100)
