"""Free contacts against OR-tools CP-SAT. Written from language.md alone:

1 "Cells are the columns: ... each contact (open 0, closed 1 ...)"
2 "a contact that nothing uses is open"
3 "A scene's own statements win over ... default"; "replaced whole by a higher rank that touches any of them"
4 "Of a bypassed pedal it is free (don't care, `-`)"; "free contacts are then chosen so that the fewest move over the sets.
  Rules over free cells bind that choice." At rest is what an empty preset has: open.
8 "Rules over cells of bypassed devices bind what is stored there"; "A scene atom means that scene"
computations.md, free cells: "each consecutive pair of parts in each set has weight 1"
"""

import json
import re

from ortools.sat.python import cp_model

import common
from common import Broken, Skip

SIDES = ["tip", "ring"]


# ---- a random book ----


def make(dice):
    """A book with rules and a shared contact, but for one in ten."""
    plain = dice.random() < 0.1
    while True:
        book = drawn(dice, plain)
        if book and (plain or book["rules"]):
            return book


def drawn(dice, plain):
    large = dice.random() < 0.2
    jacks = 4 if large else dice.randint(1, 2)
    contacts = [[j, s] for j in range(1, jacks + 1) for s in SIDES]
    devices, used = [], {}
    for n in range(8 if large else dice.randint(2, 6)):
        amp = n == 0 and dice.random() < 0.5
        name = "hall" if amp else common.PEDALS[n]
        spare = [c for c in contacts if tuple(c) not in used]
        lent = [c for c in contacts if used.get(tuple(c)) == "shared"]
        form = dice.choice(["one", "shared", "shared", "two"])
        if form == "two":
            room = spare + lent if dice.random() < 0.4 else spare
            whole = [j for j in range(1, jacks + 1) if all([j, s] in room for s in SIDES)]
            if not whole:
                continue
            on = [[dice.choice(whole), s] for s in SIDES]
            on[1][0] = on[0][0]
            patterns = dice.sample([[a, b] for a in (0, 1) for b in (0, 1)], dice.choice([2, 2, 3]))
        else:
            pool = (lent * 3 + spare) if form == "shared" else spare
            if not pool:
                continue
            on, patterns = [dice.choice(pool)], dice.choice([[[0], [1]], [[1], [0]]])
        shared = form == "shared" or any(c in lent for c in on) or form == "two" and dice.random() < 0.3
        for c in on:
            used[tuple(c)] = "shared" if shared else "alone"
        devices.append(
            {
                "name": name,
                "amp": amp,
                "shared": shared,
                "on": on,
                "closed": form == "one" and dice.random() < 0.3,
                "states": [[w, p] for w, p in zip(["low", "mid", "high"], patterns)],
            }
        )
    lent = [tuple(c) for d in devices for c in d["on"]]
    if not plain and len(set(lent)) == len(lent):
        return None
    default, set_there = [], {}
    for d in devices:
        state, pattern = dice.choice(d["states"])
        if dice.random() < 0.6 and all(set_there.setdefault(tuple(c), v) == v for c, v in zip(d["on"], pattern)):
            default.append([d["name"], state])
    scenes = []
    for name in common.SCENES[: 12 if large else dice.randint(2, 6)]:
        engaged = [d for d in devices if d["amp"] or dice.random() < 0.45]
        heard = [
            d for d in devices if d not in engaged and dice.random() < 0.1
        ]  # said of a bypassed pedal: still free
        said, there = [], {}
        for d in engaged + heard:
            fits = [s for s in d["states"] if all(there.get(tuple(c), v) == v for c, v in zip(d["on"], s[1]))]
            state, pattern = dice.choice(fits or d["states"])
            there.update({tuple(c): v for c, v in zip(d["on"], pattern)})
            said.append([d["name"], state])
        lone = [c for c in contacts if tuple(c) not in used and dice.random() < 0.1]
        scenes.append(
            {"name": name, "engage": [d["name"] for d in engaged if not d["amp"]], "said": said, "close": lone}
        )
    songs = [[dice.choice(scenes)["name"] for _ in range(dice.randint(1, 4))] for _ in range(dice.randint(1, 4))]
    sets = [dice.sample(range(len(songs)), dice.randint(1, len(songs))) for _ in range(dice.randint(1, 2))]
    book = {
        "jacks": jacks,
        "devices": devices,
        "default": default,
        "scenes": scenes,
        "rules": [],
        "songs": songs,
        "sets": [[str(s) for s in line] for line in sets],
    }
    # Mostly rules that can be kept: a broken one ends the book's questions.
    for _ in range(dice.choice([0, 1, 2, 3, 4] if plain else [1, 2, 3, 4])):
        book["rules"].append(rule(dice, contacts, devices, scenes))
        try:
            if dice.random() < 0.97 and any(solve(Rig(book), [s]) is None for s in scenes):
                book["rules"].pop()
        except Skip:
            break
    return book


def atom(dice, contacts, devices, scenes):
    kind = dice.choice(["contact", "contact", "state", "state", "pedal", "scene"])
    if kind == "contact":
        return ["contact", *dice.choice(contacts), dice.choice(["open", "closed"])]
    if kind == "state" and devices:
        d = dice.choice(devices)
        return ["state", d["name"], "way", dice.choice(d["states"])[0]]
    pedals = [d for d in devices if not d["amp"]]
    if kind == "pedal" and pedals:
        return ["pedal", dice.choice(pedals)["name"]]
    return ["scene", dice.choice(scenes)["name"]]


def rule(dice, *about):
    def expression():
        shape = dice.choice(["atom", "atom", "atom", "not", "and", "or"])
        one = atom(dice, *about)
        return one if shape == "atom" else ["not", one] if shape == "not" else [shape, one, atom(dice, *about)]

    kind = dice.choice(["never", "never", "needs", "needs", "needs", "most", "exactly", "always"])
    count = {"never": dice.choice([1, 2]), "needs": 2, "most": dice.choice([2, 3]), "exactly": 2, "always": 1}[kind]
    return [kind, *(expression() for _ in range(count))]


# ---- as text ----


def texts(book):
    lines = [
        f"switcher {{ loops 8; remote jacks {book['jacks']}; outputs 1; banks 1..4, switches 1..4 }}",
    ]
    for n, d in enumerate(book["devices"]):
        words = "".join([" shared" if d["shared"] else "", " normally closed" if d["closed"] else ""])
        plug = f"remote {d['on'][0][0]}" + ("" if len(d["on"]) == 2 else f" {d['on'][0][1]}")
        states = "; ".join(
            f"{name}: "
            + ", ".join(
                (f"{side} " if len(d["on"]) == 2 else "") + ("closed" if v else "open")
                for (_, side), v in zip(d["on"], pattern)
            )
            for name, pattern in d["states"]
        )
        head = f"amp {d['name']} {{ fed by output 1;" if d["amp"] else f"pedal {d['name']} {{ loop {n + 1};"
        lines.append(f"{head} control way on {plug}{words} {{ {states} }} }}")
    lines.append("default { " + "; ".join(f"{d}.way {s}" for d, s in book["default"]) + " }")
    for s in book["scenes"]:
        says = [f"engage {', '.join(s['engage'])}"] if s["engage"] else []
        says += [f"{d}.way {state}" for d, state in s["said"]]
        says += [f"close remote {j} {side}" for j, side in s["close"]]
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    lines += [f"rule {common.rule_text(r)}" for r in book["rules"]]
    for n, parts in enumerate(book["songs"]):
        lines.append(f'song "{n}" {{ ' + "; ".join(f"p{i}: {p}" for i, p in enumerate(parts)) + " }")
    for n, songs in enumerate(book["sets"]):
        lines.append(f'set "set {n}" {{ ' + "; ".join(f'"{s}"' for s in songs) + " }")
    return ["\n".join(lines) + "\n"]


# ---- what is true ----


class Rig:
    """What each scene settles, what it leaves free, and the truth of a rule there for the contacts given."""

    def __init__(self, book):
        self.book = book
        self.device = {d["name"]: d for d in book["devices"]}
        self.contacts = [(j, s) for j in range(1, book["jacks"] + 1) for s in SIDES]
        self.users = {c: [d for d in book["devices"] if list(c) in d["on"]] for c in self.contacts}
        self.rest = {c: int(any(d["closed"] for d in self.users[c])) for c in self.contacts}

    def pattern(self, device, state):
        found = next(p for name, p in self.device[device]["states"] if name == state)
        return dict(zip(map(tuple, self.device[device]["on"]), found))

    def settled(self, scene):
        """The value of each settled contact; a free one is absent."""
        stored, own = {}, {}
        for device, state in scene["said"]:
            own.update(self.pattern(device, state))
        for device, state in self.book["default"]:
            cells = self.pattern(device, state)
            if not any(c in own for c in cells):  # replaced whole by what touches any of it
                stored.update(cells)
        stored.update(own)
        out = {}
        for c in self.contacts:
            sounding = [d for d in self.users[c] if d["amp"] or d["name"] in scene["engage"]]
            if not self.users[c]:
                out[c] = int(list(c) in scene["close"])
            elif sounding:
                if c not in stored:
                    raise Skip("a control that nobody chose")
                out[c] = stored[c]
        return out

    def truth(self, model, scene, cells, expression):
        """A literal of CP-SAT that is true exactly when EXPRESSION is, in SCENE with CELLS."""
        kind, *rest = expression
        if kind == "scene":
            return model.NewConstant(int(scene["name"] == rest[0]))
        if kind == "pedal":
            return model.NewConstant(int(rest[0] in scene["engage"]))
        if kind == "contact":
            jack, side, what = rest
            return cells[jack, side] if what == "closed" else cells[jack, side].Not()
        if kind == "state":
            device, _, state = rest
            return conjunction(
                model, [cells[c] if v else cells[c].Not() for c, v in self.pattern(device, state).items()]
            )
        parts = [self.truth(model, scene, cells, e) for e in rest]
        if kind == "not":
            return parts[0].Not()
        if kind == "and":
            return conjunction(model, parts)
        return conjunction(model, [p.Not() for p in parts]).Not()

    def bind(self, model, scene, cells):
        for kind, *rest in self.book["rules"]:
            parts = [self.truth(model, scene, cells, e) for e in rest]
            if kind == "never":
                model.AddBoolOr([p.Not() for p in parts])
            elif kind == "always":
                model.AddBoolOr(parts)
            elif kind == "needs":
                model.AddBoolOr([parts[0].Not(), parts[1]])
            elif kind == "most":
                model.Add(sum(parts) <= 1)
            else:
                model.Add(sum(parts) == 1)


def conjunction(model, parts):
    all_of = model.NewBoolVar("")
    model.AddBoolAnd(parts).OnlyEnforceIf(all_of)
    model.AddBoolOr([p.Not() for p in parts]).OnlyEnforceIf(all_of.Not())
    return all_of


def solve(rig, scenes, pairs=(), held=None):
    """The fewest moves over PAIRS of scenes that keep every rule; None when none do. HELD fixes cells."""
    model, cells = cp_model.CpModel(), {}
    for scene in scenes:
        name, settled = scene["name"], rig.settled(scene)
        cells[name] = {
            c: model.NewConstant(settled[c]) if c in settled else model.NewBoolVar("") for c in rig.contacts
        }
        for c, value in (held or {}).get(name, {}).items():
            model.Add(cells[name][c] == value)
        rig.bind(model, scene, cells[name])
    moves = []
    for a, b in pairs:
        for c in rig.contacts:
            moved = model.NewBoolVar("")
            model.Add(moved >= cells[a][c] - cells[b][c])
            model.Add(moved >= cells[b][c] - cells[a][c])
            moves.append(moved)
    model.Minimize(sum(moves))
    solver = cp_model.CpSolver()
    solver.parameters.num_search_workers = 1
    status = solver.Solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    if status != cp_model.OPTIMAL:
        raise Skip("the outside solver did not finish")
    return round(solver.ObjectiveValue())


# ---- the promise ----


def check(book, run):
    rig = Rig(book)
    code, out, _ = run("check", "--format", "json")
    told = [json.loads(line) for line in out.splitlines()]
    errors = {t["code"] for t in told if t["severity"] == "error"}
    about_rules = errors & {"rule-broken", "rules-clash"}
    if errors - about_rules:
        raise Skip("errors of the book: " + ", ".join(sorted(errors - about_rules)))
    if any(t["code"] == "not-proved" for t in told):
        raise Skip("said to be not proved")
    hopeless = [s["name"] for s in book["scenes"] if solve(rig, [s]) is None]
    if hopeless and not about_rules:
        raise Broken("a rule that cannot be kept is not told", f"no choice keeps the rules in {hopeless}: {told}")
    if about_rules:
        if not hopeless:
            raise Broken("a rule that can be kept is told as broken", str(told))
        return "broken rule told"
    pairs = []
    for line in book["sets"]:
        parts = [p for song in line for p in book["songs"][int(song)]]
        pairs += zip(parts, parts[1:])
    least = solve(rig, book["scenes"], pairs)

    code, out, err = run("table", "--format", "json")
    if code != 0:
        raise Broken("no table of a book without errors", out + err)
    chosen = moved(rig, book, pairs, json.loads(out), "chosen")
    code, said, err = run("table", "--why-free")
    sums = re.search(r"all contacts: (\d+) at rest, (\d+) as chosen", said)
    printed = f"printed:\n{said}counted: {chosen} as chosen; CP-SAT proves {least}"
    if not sums:
        raise Broken("no count is printed", printed)
    if int(sums[2]) != chosen:
        raise Broken("the printed count is not what is stored", printed)
    if chosen < least:
        raise Broken("fewer than can be: the oracle is wrong", printed)
    claimed = re.search(r"no choice moves fewer|fewest", said)
    bound = re.search(r"a better choice may save up to (\d+) more", said)
    if bool(claimed) == bool(bound):
        raise Broken("neither said to be the fewest, nor how many fewer there may be", printed)
    if claimed and chosen != least:
        raise Broken("said to be the fewest, and is not", printed)
    if bound and chosen - int(bound[1]) > least:
        raise Broken("a bound that is not true", printed)
    sets = {f"set {n}" for n in range(len(book["sets"]))}
    walked = sum(
        s["totals"]["contacts"] for s in json.loads(run("walk", "--format", "json")[1])["sets"] if s["title"] in sets
    )
    if walked != chosen:
        raise Broken("the walk counts other moves", f"{printed}; the walk: {walked}")
    rest = moved(rig, book, pairs, json.loads(run("table", "--format", "json", "--fill", "open")[1]), "at rest")
    if int(sums[1]) != rest:
        raise Broken("the printed count at rest is not what `--fill open` stores", f"{printed}, {rest} at rest")
    words = ["with rules"] * bool(book["rules"]) + ["with a shared contact"] * any(
        len(u) > 1 for u in rig.users.values()
    )
    words += ["the optimum"] * (chosen == least) + ["said to be the fewest"] * bool(claimed)
    words += ["at rest is not the fewest"] * (rest != least)
    return words


def moved(rig, book, pairs, table, how):
    """How many contacts move over the pairs by the table's rows; each row has to be one that the scene and the rules allow."""
    names = [cell["name"] for cell in table["cells"]]
    at = {c: names.index(f"remote-{c[0]}-{c[1]}") for c in rig.contacts}
    stored = {}
    for scene in book["scenes"]:
        row = next(r for r in table["rows"] if r["scene"] == scene["name"])
        settled = rig.settled(scene)
        stored[scene["name"]] = {c: row["values"][at[c]] for c in rig.contacts}
        free = {c for c in rig.contacts if at[c] in row["free"]}
        if free != set(rig.contacts) - set(settled):
            raise Broken(f"free is not what the language says ({how})", f"{scene['name']}: {row}, settled: {settled}")
        if any(stored[scene["name"]][c] != v for c, v in settled.items()):
            raise Broken(
                f"a settled contact is stored otherwise ({how})", f"{scene['name']}: {row}, settled: {settled}"
            )
        if solve(rig, [scene], held=stored) is None:
            raise Broken(f"what is stored breaks a rule that could be kept ({how})", f"{scene['name']}: {row}")
    return sum(stored[a][c] != stored[b][c] for a, b in pairs for c in rig.contacts)


if __name__ == "__main__":
    common.main("free contacts", make, texts, check, 300)
