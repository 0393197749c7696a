"""What a treadle on an input of the switcher moves, scene by scene, at every place of the foot. Written from the language alone:

  `rocker moves hazel.way from 20 % to 70 %, gully.way` gives levels to a treadle, each from its value with the heel down to its
  value with the toe down, backwards too; left out, the level's whole range.
  A statement is live when no statement of a higher rank touches any of its cells: own over layers, layers over the parent, the
  parent over the default. What a treadle moves touches the level and the treadle, so that a treadle that is given something new
  gives up all that a lower rank gave it, and a level that a higher rank holds is taken from it, that level alone.
  One driver a level, and one start a treadle: two different values of one rank are a mistake. A level of an engaged pedal that nothing settles is one.
  Levels are stored as round-half-up of p*(n-1), printed in % with one decimal, halves up.
  A rule is held against every place of the foot: kept by all, by some (at risk), by none (broken).
  Pedals that share a port never sound together, and each that sounds is spoken of.

The foot's places are enumerated with fractions: wherever a level passes from one step to the next, and between those.
"""

import json
import re
from fractions import Fraction

import common
from common import Broken, Skip

RANGES = [(0, 100), (0, 80), (80, 0), (20, 90), (100, 10)]


# ---- a random book ----


def make(dice):
    steps = dice.choice([128, 128, 64, 17, 1000])
    pedals, port = [], 0
    for n in range(dice.randint(2, 4)):
        on = dice.choice(["port", "port", "cc", "shared"])
        if on == "cc":
            place = ["cc", 20 + n]
        elif on == "shared" and any(p["place"][0] == "shared" for p in pedals) and dice.random() < 0.7:
            place = next(p["place"] for p in pedals if p["place"][0] == "shared")
        else:
            port += 1
            place = [on, port]
        pedals.append({"name": common.PEDALS[n], "range": dice.choice(RANGES), "place": place})
    treadles = ["rocker", "sweep"][: dice.randint(1, 2)]

    def says(most):
        out = []
        for _ in range(dice.randint(0, most)):
            kind = dice.choice(["set", "moves", "moves", "moves", "nothing"])
            if kind == "set":
                pedal = dice.choice(pedals)
                out.append(["set", pedal["name"], amount(dice, pedal)])
            elif kind == "nothing":
                out.append(["nothing", dice.choice(treadles)])
            else:
                targets = []
                for pedal in dice.sample(pedals, dice.randint(1, len(pedals))):
                    heel, toe = amount(dice, pedal), amount(dice, pedal)
                    ends = [heel, toe] if heel != toe and dice.random() < 0.8 else []
                    targets.append([pedal["name"], ends])
                out.append(["moves", dice.choice(treadles), dice.choice(["", "", "heel", "toe"]), targets])
        return out

    layers = [{"name": n, "says": says(1)} for n in ["deep", "wide"][: dice.choice([0, 0, 1, 2])]]
    scenes = []
    for name in common.SCENES[: dice.randint(2, 4)]:
        scenes.append(
            {
                "name": name,
                "from": dice.choice(scenes)["name"] if scenes and dice.random() < 0.5 else "",
                "with": [la["name"] for la in layers if dice.random() < 0.4],
                "engage": [[p["name"], dice.random() < 0.7] for p in pedals if dice.random() < 0.7],
                "says": says(2),
            }
        )
    book = {
        "steps": steps,
        "pedals": pedals,
        "treadles": treadles,
        "targets": dice.choice([0, 0, 0, 1, 2]),
        "default": [["set", p["name"], amount(dice, p)] for p in pedals if dice.random() < 0.8],
        "layers": layers,
        "scenes": scenes,
        "parts": [dice.choice(scenes)["name"] for _ in range(dice.randint(2, 5))],
        "rules": [rule(dice, pedals, scenes) for _ in range(dice.choice([0, 1, 2]))],
    }
    if dice.random() < 0.1:
        book["default"] = says(2)
    mend(dice, book)
    # What is stored for a rule where nobody hears it is another matter.
    engaged = {s["name"]: Rows(book).row(s["name"]).engaged for s in scenes}
    book["rules"] = [r for r in book["rules"] if all(p in engaged[r[0]] for p, _, _ in r[2])]
    return book


def mend(dice, book):
    """Most books say what is not said, and say nothing twice: what is mistaken is told before what is not."""
    if dice.random() < 0.12:
        return
    for block in [*book["layers"], *book["scenes"]]:
        tidy(block["says"])
    for scene in book["scenes"]:
        for _ in range(8):
            row = Rows(book).row(scene["name"])
            missing = [p for p in row.engaged if row.value(p) is None]
            silent = [p for p, q in row.pairs() if q]
            if silent:
                scene["engage"] = [e for e in scene["engage"] if e[0] != silent[0]] + [[silent[0], False]]
            elif missing or row.unspoken():
                pedal = next(p for p in book["pedals"] if p["name"] == (missing + row.unspoken())[0])
                scene["says"].append(["set", pedal["name"], amount(dice, pedal)])
                tidy(scene["says"], last=True)
            else:
                break


def tidy(says, last=False):
    """No level twice, and no treadle that moves nothing and something, in one block."""
    seen, treadles = set(), {}
    for say in reversed(says) if last else says:
        if say[0] == "moves":
            say[3] = [t for t in say[3] if t[0] not in seen and treadles.get(say[1]) != "nothing"]
            say[2] = treadles.get(say[1], say[2])
            seen |= {t[0] for t in say[3]}
            if say[3]:
                treadles[say[1]] = say[2]
        elif say[0] == "nothing":
            if treadles.get(say[1], "nothing") != "nothing":
                say[0] = "gone"
            else:
                treadles[say[1]] = "nothing"
        elif say[1] in seen:
            say[0] = "gone"
        else:
            seen.add(say[1])
    says[:] = [s for s in says if s[0] != "gone" and not (s[0] == "moves" and not s[3])]


def amount(dice, pedal):
    low, high = sorted(pedal["range"])
    return dice.randrange(low, high + 1, 5)


def rule(dice, pedals, scenes):
    def atom():
        pedal = dice.choice(pedals)
        return [pedal["name"], dice.choice(["at least", "at most", "above", "below"]), amount(dice, pedal)]

    return [dice.choice(scenes)["name"], dice.choice(["and", "or"]), [atom() for _ in range(dice.choice([1, 1, 2]))]]


# ---- as text ----


def texts(book):
    ports = max([p["place"][1] for p in book["pedals"] if p["place"][0] != "cc"], default=0)
    each = f", {book['targets']} targets each" if book["targets"] else ""
    lines = [
        f"switcher {{ loops {len(book['pedals'])}; expressions {ports} of {book['steps']} steps; foot inputs 2{each} }}"
    ]
    for n, p in enumerate(book["pedals"], 1):
        (kind, at), (low, high) = p["place"], p["range"]
        jack = f"midi 5 cc {at}" if kind == "cc" else f"expression {at}{' shared' if kind == 'shared' else ''}"
        shared = " shared" if kind == "cc" else ""
        lines.append(f"pedal {p['name']} {{ loop {n}; level way on {jack}{shared} from {low} % to {high} % }}")
    for n, t in enumerate(book["treadles"], 1):
        lines.append(f"treadle {t} on foot input {n}")
    lines.append("default { " + "; ".join(said(s) for s in book["default"]) + " }")
    for la in book["layers"]:
        lines.append(f"layer {la['name']} {{ {'; '.join(said(s) for s in la['says'])} }}")
    for s in book["scenes"]:
        head = f"scene {s['name']}"
        head += f" from {s['from']}" if s["from"] else ""
        head += f" with {', '.join(s['with'])}" if s["with"] else ""
        body = [f"{'engage' if on else 'bypass'} {p}" for p, on in s["engage"]] + [said(x) for x in s["says"]]
        lines.append(f"{head} {{ {'; '.join(body)} }}")
    for n, (scene, word, atoms) in enumerate(book["rules"]):
        both = f" {word} ".join(f"{p}.way {compared} {v} %" for p, compared, v in atoms)
        lines.append(f'rule "r{n}" {scene} needs {both}')
    lines.append('song "Quay" { ' + "; ".join(f"p{n}: {p}" for n, p in enumerate(book["parts"])) + " }")
    return ["\n".join(lines) + "\n"]


def said(say):
    if say[0] == "set":
        return f"{say[1]}.way {say[2]} %"
    if say[0] == "nothing":
        return f"{say[1]} moves nothing"
    start = f" from {say[2]}" if say[2] else ""
    targets = [f"{p}.way from {ends[0]} % to {ends[1]} %" if ends else f"{p}.way" for p, ends in say[3]]
    return f"{say[1]}{start} moves {', '.join(targets)}"


# ---- what is true ----


def step(value, ends, steps):
    low, high = ends
    return int(Fraction(value - low, high - low) * (steps - 1) + Fraction(1, 2))


class Rows:
    def __init__(self, book):
        self.book = book
        self.pedals = {p["name"]: p for p in book["pedals"]}
        self.scenes = {s["name"]: s for s in book["scenes"]}
        self.layers = {la["name"]: la["says"] for la in book["layers"]}
        self.known = {}

    def steps(self, pedal):
        return 128 if self.pedals[pedal]["place"][0] == "cc" else self.book["steps"]

    def cell(self, pedal):
        return tuple(self.pedals[pedal]["place"])

    def units(self, says):
        """Statements in pieces: the cells that each touches with what it puts there, and the pedal that it speaks of."""
        for say in says:
            if say[0] == "set":
                value = ("step", step(say[2], self.pedals[say[1]]["range"], self.steps(say[1])))
                yield {self.cell(say[1]): value}, say[1], (say[2],)
            elif say[0] == "nothing":
                yield {("treadle", say[1]): False}, None, ()
            else:
                for pedal, ends in say[3]:
                    whole = self.pedals[pedal]["range"]
                    ends = tuple(ends or whole)
                    heel, toe = (step(v, whole, self.steps(pedal)) for v in ends)
                    value = ("moved", say[1], say[2], heel, toe)
                    yield {self.cell(pedal): value, ("treadle", say[1]): say[2] or "anywhere"}, pedal, ends

    def row(self, name):
        ranks, engaged, at = [], {}, name
        while at:
            scene = self.scenes[at]
            ranks.append([scene["says"]])
            ranks.append([self.layers[la] for la in scene["with"]])
            for pedal, on in scene["engage"]:
                engaged.setdefault(pedal, on)
            at = scene["from"]
        ranks.append([self.book["default"]])
        touched, cells, clash = set(), {}, False
        for rank in ranks:
            here = set()
            for says in rank:
                for puts, pedal, ends in self.units(says):
                    here |= set(puts)
                    if touched & set(puts):
                        continue
                    for cell, value in puts.items():
                        cells.setdefault(cell, []).append((value, pedal, ends))
            touched |= here
        clash = any(len({v for v, _, _ in claims}) > 1 for claims in cells.values())
        return Row(self, name, [p for p in self.pedals if engaged.get(p)], cells, clash)

    def block_clash(self, says):
        cells = {}
        for puts, _, _ in self.units(says):
            for cell, value in puts.items():
                cells.setdefault(cell, set()).add(value)
        return any(len(v) > 1 for v in cells.values())


class Row:
    def __init__(self, rows, name, engaged, cells, clash):
        self.rows, self.name, self.engaged, self.cells, self.clash = rows, name, engaged, cells, clash

    def claims(self, pedal):
        return self.cells.get(self.rows.cell(pedal), [])

    def value(self, pedal):
        claims = self.claims(pedal)
        return claims[0][0] if claims else None

    def ends(self, pedal):
        """What was said of it, in its own words, where it speaks of this pedal."""
        said = {tuple(ends) for _, of, ends in self.claims(pedal) if of == pedal}
        if len(said) > 1:
            raise Skip("stored alike, and said otherwise")
        return next(iter(said), None)

    def pairs(self):
        """Engaged pedals, and another one that sounds on the same port."""
        for p in self.engaged:
            yield p, next((q for q in self.engaged if q < p and self.rows.cell(p) == self.rows.cell(q)), None)

    def unspoken(self):
        """Engaged pedals on a shared port of which only another one was spoken."""
        return [p for p in self.engaged if self.claims(p) and all(of != p for _, of, _ in self.claims(p))]

    def places(self):
        """Every place of each treadle that matters: all steps of all levels it moves, and between them."""
        marks = {t: {Fraction(0), Fraction(1)} for t in self.rows.book["treadles"]}
        for pedal in self.engaged:
            value = self.value(pedal)
            if value and value[0] == "moved":
                _, treadle, _, heel, toe = value
                for s in range(min(heel, toe) + 1, max(heel, toe) + 1):
                    marks[treadle].add(Fraction(2 * s - 1 - 2 * heel, 2 * (toe - heel)))
        out = {}
        for treadle, places in marks.items():
            places = sorted(places)
            out[treadle] = sorted(places + [(a + b) / 2 for a, b in zip(places, places[1:])])
        return out

    def at(self, pedal, foot):
        value = self.value(pedal)
        if value[0] == "step":
            return value[1]
        _, treadle, _, heel, toe = value
        exact = heel + foot[treadle] * (toe - heel) + Fraction(1, 2)
        return exact.numerator // exact.denominator

    def holds(self, atom, foot):
        pedal, compared, amount = atom
        ends = self.rows.pedals[pedal]["range"]
        here, there = self.at(pedal, foot), step(amount, ends, self.rows.steps(pedal))
        if ends[0] > ends[1]:
            here, there = -here, -there
        return {
            "at least": here >= there,
            "at most": here <= there,
            "above": here > there,
            "below": here < there,
        }[compared]

    def verdict(self, word, atoms):
        """Whether a rule is kept by all places, by some, by none."""
        places = self.places()
        both = all if word == "and" else any
        used = {self.value(p)[1] for p, _, _ in atoms if self.value(p)[0] == "moved"}
        feet = [{}]
        for treadle in sorted(used):
            feet = [{**foot, treadle: place} for foot in feet for place in places[treadle]]
        kept = [both(self.holds(a, foot) for a in atoms) for foot in feet]
        return "kept" if all(kept) else "at risk" if any(kept) else "broken"


# ---- what is printed ----


def position(n, steps):
    tenths = (2 * n * 1000 + steps - 1) // (2 * (steps - 1))
    return f"{tenths // 10}" + (f".{tenths % 10}" if tenths % 10 else "")


def shown(value, steps, inputs):
    if value[0] == "step":
        return position(value[1], steps)
    _, treadle, _, heel, toe = value
    return f"foot {inputs[treadle]} {position(heel, steps)}..{position(toe, steps)}"


def check(book, run):
    rows = Rows(book)
    code, out, err = run("check", "--format", "json")
    told = [json.loads(line) for line in out.splitlines()]
    codes = {}
    for t in told:
        codes.setdefault(t["code"], []).append(t["message"])
    blocks = [book["default"], *(la["says"] for la in book["layers"]), *(s["says"] for s in book["scenes"])]
    doubles = any(say[0] == "moves" and len({t[0] for t in say[3]}) < len(say[3]) for b in blocks for say in b)
    empties = any(
        step(ends[0], rows.pedals[p]["range"], rows.steps(p)) == step(ends[1], rows.pedals[p]["range"], rows.steps(p))
        for b in blocks
        for say in b
        if say[0] == "moves"
        for p, ends in say[3]
        if ends
    )
    all_rows = {s["name"]: rows.row(s["name"]) for s in book["scenes"]}
    if doubles or empties:
        want = {"said-twice"} if doubles else {"range-empty"}
        if not want & set(codes):
            raise Broken("a range that is none, or a level twice, is not told", err)
        return "told: no range, or twice"
    clash = any(rows.block_clash(b) for b in blocks) or any(r.clash for r in all_rows.values())
    clashes = {"statements-disagree", "layers-disagree"} & set(codes)
    if clash != bool(clashes):
        raise Broken("one driver a level", f"{clash}, and told: {codes}")
    if clash:
        return "told: two drivers"
    words = []
    for name, row in all_rows.items():
        mine = lambda code: [m for m in codes.get(code, []) if f"`{name}`" in m]
        unsettled = {p for p in row.engaged if row.value(p) is None}
        for p in row.engaged:
            messages = [m for m in mine("level-unsettled") if f"`{p}`" in m or f"`{p}.way`" in m]
            if (p in unsettled) != bool(messages) and not (p in unsettled and codes.get("level-unsettled")):
                raise Broken("a level that nothing settles", f"{name} {p}: {codes}")
        both = any(q for _, q in row.pairs())
        silent = not both and bool(row.unspoken())
        if (both or silent) != bool(mine("port-shared")):
            raise Broken("two pedals on one port", f"{name}, both {both}, unspoken {silent}: {codes}")
        moved = {}
        for p in row.engaged:
            value = row.value(p)
            if value and value[0] == "moved":
                moved.setdefault(value[1], set()).add(rows.cell(p))
        too_many = book["targets"] and any(len(cells) > book["targets"] for cells in moved.values())
        if bool(too_many) != bool(mine("too-many-targets")):
            raise Broken("more targets than the unit can", f"{name} {moved}: {codes}")
        words += ["unsettled"] * bool(unsettled) + ["ports shared"] * (both or silent) + ["too many"] * bool(too_many)
    known = all(row.value(p) is not None for row in all_rows.values() for p in row.engaged)
    if known:
        for n, (scene, word, atoms) in enumerate(book["rules"]):
            row = all_rows[scene]
            if any(p not in row.engaged for p, _, _ in atoms):
                continue
            verdict = row.verdict(word, atoms)
            mine = lambda code: [m for m in codes.get(code, []) if f"`{scene}`" in m and f"r{n}" in m]
            broken, risk = mine("rule-broken"), mine("rule-at-risk")
            alone = len(book["rules"]) == 1
            if (verdict == "broken") != bool(broken) and (alone or verdict == "broken") and not codes.get("rules-clash"):
                raise Broken("a rule over the whole travel", f"r{n} {verdict}: {codes}")
            if code == 0 and (verdict == "at risk") != bool(risk):
                raise Broken("a rule over the whole travel", f"r{n} {verdict}: {codes}")
            words.append(f"rules {verdict}")
    if code != 0:
        return words + ["with mistakes"]
    inputs = {t: n for n, t in enumerate(book["treadles"], 1)}
    table(rows, all_rows, inputs, run)
    words += changes(book, rows, all_rows, codes)
    return words + ["without mistakes"]


def table(rows, all_rows, inputs, run):
    printed = json.loads(run("table", "--format", "json")[1])
    columns = {c["name"]: n for n, c in enumerate(printed["cells"])}
    for line in printed["rows"]:
        row = all_rows[line["scene"]]
        for pedal in rows.pedals:
            kind, at = rows.cell(pedal)
            column = columns[f"midi-5:{pedal}.way" if kind == "cc" else f"expression-{at}"]
            sounding = [p for p in row.engaged if rows.cell(p) == (kind, at)]
            if (column in line["free"]) != (not sounding):
                raise Broken("what is free", f"{line} {pedal}")
            if not sounding:
                continue
            value, is_ = row.value(pedal), line["values"][column]
            want = shown(value, rows.steps(pedal), inputs)
            is_ = is_ if isinstance(is_, str) else f"{is_:g}"
            if is_ != want:
                raise Broken("a cell of the table", f"{line['scene']} {pedal}: {is_}, and it is {want}")
    sent = json.loads(run("midi", "--format", "json")[1])
    for line in sent["presets"]:
        row = all_rows[line["scene"]]
        is_ = {(b["what"], b["cc"], b["treadle"], b["heel"], b["toe"]) for b in line.get("by_foot", [])}
        want = set()
        for p in row.engaged:
            value = row.value(p)
            if rows.cell(p)[0] == "cc" and value[0] == "moved":
                want.add((f"{p}.way", rows.cell(p)[1], value[1], value[3], value[4]))
        if is_ != want:
            raise Broken("what a treadle sends", f"{line}: {want}")


def changes(book, rows, all_rows, codes):
    """What jumps when a foot takes a level or gives it back, at both ends of its way; feet that are wanted at once."""
    words, jumps, held = [], codes.get("level-jump-on-takeover", []), codes.get("two-feet-at-once", [])
    for name in set(book["parts"]):
        treadles = {v[1] for p in all_rows[name].engaged if (v := all_rows[name].value(p))[0] == "moved"}
        if (len(treadles) > 1) != any(m.startswith(f"`{name}` wants") for m in codes.get("too-many-feet", [])):
            raise Broken("treadles of one part", f"{name} {treadles}: {codes}")
    for a, b in zip(book["parts"], book["parts"][1:]):
        if a == b:
            continue
        before, after = all_rows[a], all_rows[b]
        through = set()
        for p in [p for p in after.engaged if p in before.engaged]:
            was, now = before.value(p), after.value(p)
            of = [m for m in jumps if f"`{p}` way" in m and (m.startswith(f"`{b}` gives") or m.startswith(f"`{b}` "))]
            if was[0] == now[0] == "moved" and was[1] == now[1] and not now[2]:
                through.add(now[1])
            want = jump(before, after, p, was, now)
            found = [m for m in of if want and all(w in m for w in want)]
            if want and not found:
                raise Broken("a jump is not told", f"{a} to {b}, {p}: {want}; told {jumps}")
            words += ["jumps"] * bool(want)
        want = bool(through)
        if want != any(m.startswith(f"from `{a}` to `{b}`") for m in held):
            raise Broken("feet that are wanted at once", f"{a} to {b}: {through}; told {held}")
    # No jump is told that is none.
    for message in jumps:
        b, p = re.match(r"`([^`]+)` .*?`([^`]+)` way", message).groups()
        befores = [x for x, y in zip(book["parts"], book["parts"][1:]) if y == b != x]
        wants = [jump(all_rows[x], all_rows[b], p, all_rows[x].value(p), all_rows[b].value(p))
                 for x in befores if p in all_rows[x].engaged and p in all_rows[b].engaged]
        if not any(w and all(part in message for part in w) for w in wants):
            raise Broken("a jump is told that is none", f"{message}; {wants}")
    return words


def jump(before, after, pedal, was, now):
    """The words that the message of a jump must hold; None where nothing jumps."""
    percent = lambda row, n: f"{row.ends(pedal)[n]} %"
    if was[0] == "step" and now[0] == "moved":
        if now[2]:
            end = now[3] if now[2] == "heel" else now[4]
            return None if end == was[1] else [f"from {percent(before, 0)} it jumps to "]
        ends = [f"to {percent(after, n)} with the {e} down" for n, e in enumerate(["heel", "toe"]) if now[3 + n] != was[1]]
        return [f"from {percent(before, 0)} it jumps {', '.join(ends)}"]
    if was[0] == "moved" and now[0] == "step":
        ends = [f"from {percent(before, n)} with the {e} down" for n, e in enumerate(["heel", "toe"]) if was[3 + n] != now[1]]
        return [f"it jumps to {percent(after, 0)} {', '.join(ends)}"]
    if was[0] == now[0] == "moved" and not now[2]:
        if was[1] != now[1]:
            return [f"from wherever `{was[1]}` stands to wherever `{now[1]}` stands"]
        ends = [("heel", was[3], now[3], 0), ("toe", was[4], now[4], 1)]
        parts = [f"with the {e} down from {percent(before, n)} to {percent(after, n)}" for e, x, y, n in ends if x != y]
        return parts or None
    return None


if __name__ == "__main__":
    common.main("treadles", make, texts, check, 150)
