"""Inserts, legs and key inputs: the level at 1 kHz against ngspice on decks written here, and what is engaged and heard by
nobody against a graph library (networkx). Written from language.md, computations.md and the pages of the guide alone:

send: "A pedal may have one too: what is plugged between its send and its return stands in its insert, and is heard only while
  the pedal is engaged."
leg: "A leg that nothing is plugged into hears what the device hears; one that only a return is plugged into hears what comes
  there"; "Levels of legs add as they stand to each other where every device on them says `inverts polarity` or `keeps
  polarity`; else as magnitudes"; "a leg without one leaves the figures empty"
key: "it loads what feeds it, and nothing goes on from there"

Read so: a box hears what its input hears, and drives its output through its own resistance. A lead joins any two jacks, also
the two of an engaged loop; two loops on one side of the split meet without one.
"""

import csv
import io
import math
import re
import shutil
import subprocess

import networkx

import common
from common import PEDALS, SCENES, Broken, Skip

SPICE = shutil.which("ngspice")
if not SPICE:
    print("SKIPPED: ngspice is missing; levels are not held against it", flush=True)


# ---- a random book ----


def box(dice, name):
    return {
        "name": name,
        "input": dice.choice([100, 220, 500, 1000]),
        "output": dice.choice([1, 1, 10, 47]),
        "gain": dice.choice([-6, 0, 3, 9, 20]),
        "turns": dice.choice([None, "keeps", "keeps", "inverts"]),
        "send": dice.choice([1, 4.7, 10]),
        "return": dice.choice([100, 220, 1000]),
        "always": False,
        "kind": "plain",
    }


def make(dice):
    names = iter(dice.sample(PEDALS, len(PEDALS)))

    def some(most, depth):
        out = []
        for _ in range(dice.randint(1, most)):
            name = next(names, None)
            if name is None:
                break
            one = box(dice, name)
            one["always"] = depth > 0 and dice.random() < 0.3
            draw = dice.random()
            if depth < 2 and draw < 0.3:
                one["kind"], one["inside"] = "host", some(2, depth + 1)
            elif depth < 2 and draw < 0.65:
                one["kind"] = "mixer"
                one["legs"] = [
                    {
                        "name": leg,
                        "level": dice.choice([-12, -6, 0, 0, 3, None] if n == 1 and dice.random() < 0.3 else [-12, -6, -3, 0, 3]),
                        "by": dice.random() < 0.2,
                        "inverts": dice.random() < 0.25,
                        "inside": some(2, depth + 1) if n and dice.random() < 0.85 else [],
                    }
                    for n, leg in enumerate(["dry", "wet", "third"][: dice.choice([2, 2, 3])])
                ]
            out.append(one)
        return out

    line = some(3, 0)
    pool = None
    if dice.random() < 0.4:
        pool = box(dice, "pool")
        pool["always"], pool["kind"] = True, "pool"
        pool["legs"] = [
            {"name": leg, "level": dice.choice([-6, -3, 0]), "by": False, "inverts": dice.random() < 0.3, "inside": inside}
            for leg, inside in [("plain", []), ("rough", some(2, 2) or None)]
            if inside is not None
        ]
    all_boxes = list(boxes(line)) + (list(boxes(pool["legs"][1]["inside"])) if pool and len(pool["legs"]) > 1 else [])
    free = [b["name"] for b in all_boxes if not b["always"]]
    return {
        "line": line,
        "pool": pool if pool and len(pool["legs"]) > 1 else None,
        "key": dice.choice([None, None, 47, 220]),
        "patch": [dice.choice([20, 30, 60]), dice.choice([100, 400, 1500])],
        "guitar": [dice.choice([2.2, 2.5, 4.4]), dice.choice([6.0, 7.5]), dice.choice([250, 500]), dice.randint(3, 9)],
        "amp": dice.choice([220, 1000]),
        "scenes": [
            {"name": s, "engage": [n for n in free if dice.random() < 0.65], "mix": [dice.choice([-20, -10, -3, 0]) for _ in range(3)]}
            for s in SCENES[: dice.randint(2, 5)]
        ],
    }


def boxes(stages):
    for b in stages:
        yield b
        yield from boxes(b.get("inside", []))
        for leg in b.get("legs", []):
            yield from boxes(leg["inside"])


def every(book):
    out = list(boxes(book["line"]))
    return out + ([book["pool"], *boxes(book["pool"]["legs"][1]["inside"])] if book["pool"] else [])


# ---- as text ----


def numbers(book):
    """The loop of each box that has one: those of the line first, then the rest."""
    front = [b["name"] for b in book["line"]]
    rest = [b["name"] for b in every(book) if b["name"] not in front and not b["always"]]
    return {name: n for n, name in enumerate(front + rest, 1)}, len(front)


def texts(book):
    loops, front = numbers(book)
    count = max(len(loops), front + 1)
    lines = [
        f"switcher {{ loops {count + 1}, split after {front}; outputs 1; banks 1..2, switches 1..5 }}",
        "guitar plank {{ pickup {} H, {} kohm, 110 pF; volume {} kohm at 100 %; cable {} m at 100 pF/m }}".format(*book["guitar"]),
        f"patch leads {book['patch'][0]} cm at {book['patch'][1]} pF/m",
        f"amp hall {{ fed by output 1; input {book['amp']} kohm }}",
    ]
    cc = 20
    defaults = []
    for channel, b in enumerate(every(book), 1):
        facts = [f"loop {loops[b['name']]}" if b["name"] in loops else "always on"]
        facts += [f"input {b['input']} kohm", f"output {b['output']} kohm", f"gain {b['gain']} dB"]
        facts += [f"send {b['send']} kohm", f"return {b['return']} kohm"] if b["kind"] != "plain" else []
        facts += [f"{b['turns']} polarity"] if b["turns"] else []
        for leg in b.get("legs", []):
            level = "" if leg["level"] is None else f" gain {leg['level']} dB"
            if leg["by"]:
                level = f" by fade-{leg['name']}"
                facts.append(f"level fade-{leg['name']} on midi {channel} cc {cc} from -40 dB to 0 dB")
                defaults.append(f"{b['name']}.fade-{leg['name']} -40 dB")
                cc += 1
            facts.append(f"leg {leg['name']}{level}{', inverts polarity' if leg['inverts'] else ''}")
        lines.append(f"pedal {b['name']} {{ {'; '.join(facts)} }}")
    link = lambda b: f"loop {loops[b['name']]}" if b["name"] in loops else b["name"]
    front_links = ["guitar", *(link(b) for b in book["line"])]
    if book["key"]:
        lines.append(f"pedal thrift {{ loop {count + 1}; key input {book['key']} kohm }}")
        lines.append(f"chain listen: {front_links[-1]} -> thrift key")
        lines.append(f"chain gate: hall send -> loop {count + 1} -> hall return")
        lines = [l.replace(f"input {book['amp']} kohm }}", f"input {book['amp']} kohm; send 1 kohm; return 1 Mohm }}") if l.startswith("amp") else l for l in lines]
    if book["pool"]:
        lines.append("chain front: " + " -> ".join([*front_links, "pool plain"]))
        inside = [link(b) for b in book["pool"]["legs"][1]["inside"]]
        lines.append("chain side: " + " -> ".join([front_links[-1], *inside, "pool rough"]))
        lines.append("chain out: pool -> output 1 -> hall")
    else:
        lines.append("chain front: " + " -> ".join([*front_links, "output 1", "hall"]))
    for b in every(book):
        if b["kind"] == "host":
            lines.append(f"chain in-{b['name']}: " + " -> ".join([f"{b['name']} send", *map(link, b["inside"]), f"{b['name']} return"]))
        for leg in b.get("legs", []) if b["kind"] == "mixer" else []:
            if leg["inside"]:
                own = f"{b['name']} {leg['name']}"
                lines.append(f"chain {b['name']}-{leg['name']}: " + " -> ".join([f"{own} send", *map(link, leg["inside"]), f"{own} return"]))
    if defaults:
        lines.append("default { " + "; ".join(defaults) + " }")
    for s in book["scenes"]:
        says = [f"engage {', '.join(s['engage'])}"] if s["engage"] else []
        says += [f"{n} {s['mix'][i % 3]} dB" for i, n in enumerate(d.rsplit(" ", 2)[0] for d in defaults)]
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    lines.append('song "Quay" on plank { ' + "; ".join(s["name"] for s in book["scenes"]) + " }")
    return ["\n".join(lines) + "\n"]


# ---- one scene as a circuit ----


class Deck:
    """Elements of one scene. A place is a node, and the group whose scale its voltage is multiplied by."""

    def __init__(self, prefix, book, scene):
        self.prefix, self.book, self.scene = prefix, book, scene
        self.lines, self.count, self.groups = [], 0, {0: None}
        self.unsaid, self.magnitudes = set(), set()
        self.patch = book["patch"][0] / 100 * book["patch"][1] * 1e-12
        self.loops, self.front = numbers(book)
        self.fades = [f"{b['name']} {leg['name']}" for b in every(book) for leg in b.get("legs", []) if leg["by"]]

    def node(self):
        self.count += 1
        return f"{self.prefix}n{self.count}"

    def add(self, kind, text):
        self.count += 1
        self.lines.append(f"{kind}{self.prefix}x{self.count} {text}")

    def lead(self, at):
        self.add("C", f"{at[0]} 0 {self.patch:.15e}")

    def load(self, at, kohm):
        self.add("R", f"{at[0]} 0 {kohm * 1e3:.15e}")

    def driven(self, parts, kohm, group):
        """A node behind a resistance, driven by the sum of (node, factor)."""
        foot = "0"
        for n, (node, factor) in enumerate(parts):
            top = self.node()
            self.add("E", f"{top} {foot} {node} 0 {factor:.15e}")
            foot = top
        out = self.node()
        self.add("R", f"{foot} {out} {kohm * 1e3:.15e}")
        return out, group

    def engaged(self, b):
        return b["always"] or b["name"] in self.scene["engage"]

    def factor(self, b):
        return 10 ** (b["gain"] / 20) * (-1 if b["turns"] == "inverts" else 1)

    def level(self, b, leg):
        if leg["by"]:
            wanted = self.scene["mix"][self.fades.index(f"{b['name']} {leg['name']}") % 3]
            step = int((wanted + 40) / 40 * 127 + 0.5)
            return -40 + 40 * step / 127
        if leg["level"] is None:
            self.unsaid.add(f"level in dB of leg {leg['name']} of {b['name']}")
            return 0
        return leg["level"]

    def through(self, stages, at, came=None):
        """The line of boxes from AT on; CAME is the loop it comes from. Gives the place, and whether all that was passed says how
        it turns."""
        known, last = True, came
        for b in stages:
            loop = self.loops.get(b["name"])
            if not (last and loop and (last <= self.front) == (loop <= self.front)):
                self.lead(at)
            last = loop
            if not self.engaged(b):
                continue
            if loop:
                self.lead(at)
            self.load(at, b["input"])
            known = known and b["turns"] is not None
            if b["kind"] == "plain":
                at = self.driven([(at[0], self.factor(b))], b["output"], at[1])
            elif b["kind"] == "host":
                sent = self.driven([(at[0], 1)], b["send"], at[1])
                sent, inner = self.through(b["inside"], sent)
                known = known and inner
                self.lead(sent)
                self.load(sent, b["return"])
                at = self.driven([(sent[0], self.factor(b))], b["output"], sent[1])
            else:
                legs = []
                for leg in b["legs"]:
                    if not leg["inside"]:
                        legs.append((at, True, leg))
                        continue
                    sent = self.driven([(at[0], 1)], b["send"], at[1])
                    sent, inner = self.through(leg["inside"], sent)
                    self.lead(sent)
                    self.load(sent, b["return"])
                    legs.append((sent, inner, leg))
                at, sure = self.sum(b, legs)
                known = known and sure
            if loop:
                self.lead(at)
        return at, known

    def sum(self, b, legs):
        sure = all(inner for _, inner, _ in legs)
        parts = [(at, 10 ** (self.level(b, leg) / 20), -1 if leg["inverts"] else 1) for at, _, leg in legs]
        if sure:
            return self.driven([(at[0], k * turned * self.factor(b)) for at, k, turned in parts], b["output"], legs[0][0][1]), True
        self.magnitudes.add(b["name"])
        group = len(self.groups)
        self.groups[group] = [(at, k) for at, k, _ in parts]
        fresh = self.node()
        self.add("V", f"{fresh} 0 dc 0 ac 1")
        return self.driven([(fresh, self.factor(b))], b["output"], group), False

    def whole(self):
        henry, kohm, pot, metre = self.book["guitar"]
        source, coil, out = self.node(), self.node(), self.node()
        self.add("V", f"{source} 0 dc 0 ac 1")
        self.add("R", f"{source} {coil} {kohm * 1e3:.15e}")
        self.add("L", f"{coil} {out} {henry:.15e}")
        self.add("C", f"{out} 0 {110e-12:.15e}")
        self.add("R", f"{out} 0 {pot * 1e3:.15e}")
        self.add("C", f"{out} 0 {metre * 100e-12:.15e}")
        # The guitar's lead is the first of the line.
        at, _ = self.through(self.book["line"], (out, 0), came=1)
        end = self.book["line"][-1]
        if self.book["key"]:
            self.lead(at)
            self.load(at, self.book["key"])
        pool = self.book["pool"]
        if pool:
            self.lead(at)
            self.load(at, pool["return"])
            side, inner = self.through(pool["legs"][1]["inside"], at, self.loops[end["name"]])
            self.lead(side)
            self.load(side, pool["return"])
            at, _ = self.sum(pool, [(at, True, pool["legs"][0]), (side, inner, pool["legs"][1])])
            self.lead(at)
        self.lead(at)
        self.load(at, self.book["amp"])
        if self.book["key"]:
            at = self.driven([(at[0], 1)], 1, at[1])
            # Two leads round the gate's loop, which is bypassed.
            self.lead(at)
            self.lead(at)
            self.load(at, 1000)
        return at

    def probes(self, end):
        """All nodes whose size is asked for."""
        return {end[0]} | {at[0] for parts in self.groups.values() if parts for at, _ in parts}

    def size(self, end, size):
        """How large it is at END, of what the nodes are in size."""
        scale = {0: 1.0}
        for group, parts in self.groups.items():
            if parts:
                scale[group] = sum(size[at[0]] * scale[at[1]] * k for at, k in parts)
        return size[end[0]] * scale[end[1]]


def simulated(decks):
    wanted = sorted(set().union(*(deck.probes(end) for deck, end in decks)))
    text = "* sums\n" + "\n".join(line for deck, _ in decks for line in deck.lines)
    text += "\n.control\nset numdgt=12\nac lin 1 1000 1000\n" + "".join(f"let z{n} = mag(v({node}))\nprint z{n}\n" for n, node in enumerate(wanted))
    done = subprocess.run([SPICE, "-b", "/dev/stdin"], input=text + "quit\n.endc\n.end\n", capture_output=True, text=True, timeout=60)
    found = dict(re.findall(r"^z(\d+) = (\S+)", done.stdout, re.M))
    if len(found) != len(wanted):
        raise RuntimeError(done.stdout + done.stderr + text)
    return {node: float(found[str(n)]) for n, node in enumerate(wanted)}


# ---- who is heard ----


def unheard(book, scene):
    """The boxes that the scene engages and that lie on no way from the guitar to the amplifier."""
    g = networkx.DiGraph()
    on = lambda b: b["always"] or b["name"] in scene["engage"]

    def line(stages, here):
        for b in stages:
            g.add_edge(here, (b["name"], "in"))
            here = (b["name"], "out")
            if not on(b) or b["kind"] == "plain":
                g.add_edge((b["name"], "in"), here)
            inserts = [b["inside"]] if b["kind"] == "host" else [leg["inside"] for leg in b.get("legs", [])]
            for n, inside in enumerate(inserts):
                sent, back = (b["name"], "sent", n), (b["name"], "back", n)
                if b["kind"] == "mixer" and not inside:
                    if on(b):
                        g.add_edge((b["name"], "in"), here)
                    continue
                g.add_edge(line(inside, sent), back)
                if on(b):
                    g.add_edge((b["name"], "in"), sent)
                    g.add_edge(back, here)
        return here

    end = line(book["line"], "guitar")
    if book["pool"]:
        for leg in book["pool"]["legs"]:
            g.add_edge(line(leg["inside"], end), "pool")
        end = "pool"
    g.add_edge(end, "amp")

    def passed(b):
        return all(networkx.has_path(g, a, z) for a, z in [("guitar", (b["name"], "in")), ((b["name"], "out"), "amp")])

    return {b["name"] for b in every(book) if not b["always"] and b["name"] in scene["engage"] and not passed(b)}


# ---- the promise ----


def check(book, run):
    if not book["line"]:
        raise Skip("nothing stands in the line")
    if any(len(b["legs"]) < 2 for b in every(book) if "legs" in b):
        raise Skip("a mixer of one leg")
    code, out, err = run("check")
    if code != 0:
        raise Broken("a book without mistakes is refused", out + err)
    told = {}
    for name, scene, more in re.findall(r"`([\w-]+)` is engaged in `([\w-]+)`(?: and (\d+) more)?, and nobody hears it", out + err):
        told[name] = (scene, 1 + int(more or 0))
    true = {}
    for s in sorted(book["scenes"], key=lambda s: s["name"]):
        for name in unheard(book, s):
            scene, count = true.get(name, (s["name"], 0))
            true[name] = (scene, count + 1)
    if told != true:
        raise Broken("others are heard by nobody", f"{told} told, {true} by the graph\n{out}{err}")
    words = ["somebody is heard by nobody"] if true else []
    code, out, err = run("signal", "--format", "csv")
    if code != 0:
        raise Broken("no figures", out + err)
    rows = {row["scene"]: row for row in csv.DictReader(io.StringIO(out))}
    decks = []
    for n, s in enumerate(book["scenes"]):
        deck = Deck(f"q{n}", book, s)
        decks.append((deck, deck.whole()))
    size = simulated(decks) if SPICE else {}
    for deck, end in decks:
        row = rows[deck.scene["name"]]
        lacks = set(filter(None, row["missing"].split("; ")))
        if lacks != deck.unsaid:
            raise Broken("something else is missing", f"{row} but {deck.unsaid}")
        heard = deck.size(end, size) if SPICE else 1
        if not lacks and not row["level_1khz_db"] and heard < 1e-9:
            words.append("legs that cancel")
            continue
        added = set(filter(None, (row.get("added_as_magnitudes") or "").split("; ")))
        if not lacks and added != deck.magnitudes:
            raise Broken("other legs are added as magnitudes", f"{row} but {deck.magnitudes}")
        if lacks:
            words.append("a level that nobody gave")
            if row["level_1khz_db"]:
                raise Broken("a figure without all values", f"{row}")
            continue
        words.append("a sum of magnitudes" if added else "a level")
        if not row["level_1khz_db"]:
            raise Broken("no figure, and nothing is missing", f"{row}")
        if SPICE and abs(float(row["level_1khz_db"]) - 20 * math.log10(heard)) > 1e-4:
            raise Broken("another level", f"{row}, ngspice {20 * math.log10(heard)}\n" + "\n".join(deck.lines))
    return words


if __name__ == "__main__":
    common.main("sums", make, texts, check, 60)
