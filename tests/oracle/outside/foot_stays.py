"""Rules where a foot moves a level or a contact stays, by every value and every way. Written from language.md alone:

5 "the port's position p is computed through `from .. to` (reversed ranges too); on n steps it is stored as round-half-up of
  p*(n-1), and compared rounded"
8 "Where a foot moves a level, or a cell `stays`, a rule is kept when it is kept for every value that can stand there: the
  foot's whole range, and what each way in can leave. If all break it, it is broken (an error); if some do, it is at risk (a
  warning that names the value, or the way). Rules over cells of bypassed devices bind what is stored there, messages and
  levels too, not contacts alone."
4 "a contact is at rest (open; closed where it is `normally closed`)"; "Rules over free cells bind that choice."
6 the ways in, as `momentary.py` reads them.

Read so: power-up leaves a latching contact at rest, a momentary device as it starts; a state that is wanted is reached. Of a
bypassed pedal a level may be stored anywhere in its range: a rule is broken there only when every value breaks it, and what
`table` stores keeps every rule that could be kept. `check` says that it looks for warnings once the errors are mended.
"""

import itertools
import json
import re

import common
from common import Broken, Skip
from momentary import Ways

LAST = 127  # the last of 128 steps


# ---- a random book ----


def make(dice):
    pedals = [
        {"name": common.PEDALS[n], "range": dice.choice([[0, 100], [0, 60], [60, 0], [20, 80], [100, 0]])}
        for n in range(dice.randint(1, 2))
    ]
    amps = [
        {"name": ["hall", "barn"][n], "closed": dice.random() < 0.3, "momentary": dice.random() < 0.25}
        for n in range(dice.randint(1, 2))
    ]
    stays = dice.random() < 0.6
    scenes = []
    for name in common.SCENES[: dice.randint(1, 4)]:
        engaged = [p for p in pedals if dice.random() < 0.7]
        says = [[p["name"], "foot" if dice.random() < 0.5 else amount(dice, p)] for p in engaged]
        for a in amps:
            loose = ["stays", "pulse"] if a["momentary"] else ["stays"]
            says.append([a["name"], dice.choice(loose if stays and dice.random() < 0.5 else ["low", "high"])])
        scenes.append({"name": name, "engage": [p["name"] for p in engaged], "say": says})
    names = [s["name"] for s in scenes]
    songs = [names] + [[dice.choice(names) for _ in range(dice.randint(1, 3))] for _ in range(dice.choice([0, 0, 1]))]
    book = {
        "pedals": pedals,
        "amps": amps,
        "scenes": scenes,
        "songs": songs,
        "set": [str(n) for n in range(len(songs))],
        "rules": [],
        "ways": dice.choice(["", "", "any", "as listed"]),
        "repress": "ignored",
        "wakes": dice.choice([None, dice.choice(names)]),
        "default": [[p["name"], amount(dice, p)] for p in pedals if dice.random() < 0.6],
    }
    # Mostly rules that no scene breaks for certain: warnings are looked for in books without errors.
    for _ in range(dice.randint(1, 3)):
        book["rules"].append(rule(dice, pedals, amps, names))
        try:
            scenes = Scenes(book)
            stands = [(n, [c | st for c in scenes.choices(n) for _, st in scenes.uncertain(n)]) for n in names]
            if dice.random() < 0.8 and any(
                not any(scenes.holds(book["rules"][-1], n, st) for st in all_of) for n, all_of in stands
            ):
                book["rules"].pop()
        except (Skip, KeyError):
            book["rules"].pop()
    return book


def amount(dice, pedal):
    low, high = sorted(pedal["range"])
    return dice.randrange(low, high + 1, 10)


def rule(dice, pedals, amps, names):
    def atom():
        kind = dice.choice(["level", "level", "state", "state", "scene", "pedal", "foot"])
        pedal, amp = dice.choice(pedals), dice.choice(amps)
        if kind == "level":
            return [
                "level",
                pedal["name"],
                "way",
                dice.choice(["at least", "at most", "above", "below"]),
                amount(dice, pedal),
            ]
        if kind == "foot":
            return ["foot", f"{pedal['name']}.way foot"]
        return (
            ["state", amp["name"], "way", dice.choice(["low", "high"])]
            if kind == "state"
            else [kind, dice.choice(names) if kind == "scene" else pedal["name"]]
        )

    def expression():
        shape = dice.choice(["atom", "atom", "not", "and", "or"])
        return atom() if shape == "atom" else ["not", atom()] if shape == "not" else [shape, atom(), atom()]

    kind = dice.choice(["never", "never", "needs", "needs", "most", "exactly", "always"])
    count = {"never": dice.choice([1, 2]), "needs": 2, "most": 2, "exactly": 2, "always": 1}[kind]
    return [kind, *(expression() for _ in range(count))]


# ---- as text ----


def texts(book):
    wakes = "; wakes 1.1" if book["wakes"] else ""
    lines = [
        f"switcher {{ loops 2; remote jacks 1; expressions 2 of 128 steps; outputs 2; banks 1..2, switches 1..4; repress ignored{wakes} }}"
    ]
    for n, p in enumerate(book["pedals"], 1):
        low, high = p["range"]
        lines.append(f"pedal {p['name']} {{ loop {n}; level way on expression {n} from {low} % to {high} % }}")
        lines.append(f"treadle tread-{p['name']} feeds expression {n}")
    for n, a in enumerate(book["amps"], 1):
        plug = f"control way on remote 1 {['tip', 'ring'][n - 1]}"
        latching = f"{' normally closed' if a['closed'] else ''} {{ low: open; high: closed }}"
        says = f"{plug} momentary {{ low; high }} starts low" if a["momentary"] else f"{plug}{latching}"
        lines.append(f"amp {a['name']} {{ fed by output {n}; {says} }}")
    jack = {a["name"]: side for a, side in zip(book["amps"], ["tip", "ring"])}
    lines.append("default { " + "; ".join(f"{p}.way {v} %" for p, v in book["default"]) + " }")
    for s in book["scenes"]:
        says = [f"engage {n}" for n in s["engage"]]
        for d, v in s["say"]:
            percent = " %" if isinstance(v, int) else ""
            says.append(f"pulse remote 1 {jack[d]}" if v == "pulse" else f"{d}.way {v}{percent}")
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    lines += [f'rule "r{n}" {common.rule_text(r)}' for n, r in enumerate(book["rules"])]
    lines += common.show_lines(book)
    return ["\n".join(lines) + "\n"]


# ---- what is true ----


def step(pedal, value):
    """Round half up of the position, in whole numbers."""
    a, b = pedal["range"]
    top, bottom = (value - a) * LAST * (1 if b > a else -1), abs(b - a)
    return (2 * top + bottom) // (2 * bottom)


class Scenes:
    def __init__(self, book):
        self.book = book
        self.pedals = {p["name"]: p for p in book["pedals"]}
        self.say = {s["name"]: dict(map(tuple, book["default"])) | dict(map(tuple, s["say"])) for s in book["scenes"]}
        self.engaged = {s["name"]: s["engage"] for s in book["scenes"]}
        self.ways = Ways(book)
        self.arrivals = {s["name"]: set() for s in book["scenes"]}
        names = [a["name"] for a in book["amps"]]
        rest = tuple("high" if a["closed"] and not a["momentary"] else "low" for a in book["amps"])

        def turned(said, state):
            return {"stays": state, "pulse": "low" if state == "high" else "high"}.get(said, said)

        def after(came, states, place):
            said = self.say[self.ways.scene[place]]
            if not self.ways.sends(came, place):
                return states
            return tuple(turned(said[n], s) for n, s in zip(names, states))

        for came, states, place in self.ways.all_from([rest], after):
            stand = tuple(zip(names, after(came, states, place)))
            self.arrivals[self.ways.scene[place]].add((None if came is None else self.ways.scene[came], stand))

    def uncertain(self, scene):
        """Every way that the scene's cells can stand, as (from where, values of pedals and amps); free levels are left out."""
        moved = [p for p in self.pedals if p in self.engaged[scene] and self.say[scene][p] == "foot"]
        fixed = {p: step(self.pedals[p], self.say[scene][p]) for p in self.engaged[scene] if p not in moved}
        for steps in itertools.product(*(self.marks(p) for p in moved)):
            for came, stand in self.arrivals[scene]:
                yield came, fixed | dict(zip(moved, steps)) | dict(stand)

    def marks(self, pedal):
        """Steps enough to tell every comparison of the rules apart: each amount named, its neighbours, and both ends."""
        named = {step(self.pedals[pedal], amount) for amount in amounts(self.book["rules"], pedal)}
        return sorted({s for n in named for s in (n - 1, n, n + 1) if 0 <= s <= LAST} | {0, LAST})

    def choices(self, scene):
        free = [p for p in self.pedals if p not in self.engaged[scene]]
        return [dict(zip(free, steps)) for steps in itertools.product(*(self.marks(p) for p in free))]

    def holds(self, rule, scene, stand):
        kind, *rest = rule
        truth = [self.truth(e, scene, stand) for e in rest]
        return {
            "never": not all(truth),
            "always": truth[0],
            "needs": not truth[0] or truth[-1],
            "most": sum(truth) <= 1,
            "exactly": sum(truth) == 1,
        }[kind]

    def truth(self, expression, scene, stand):
        kind, *rest = expression
        if kind == "scene":
            return scene == rest[0]
        if kind == "pedal":
            return rest[0] in self.engaged[scene]
        if kind == "state":
            return stand[rest[0]] == rest[2]
        if kind == "foot":
            pedal = rest[0].split(".")[0]
            if pedal not in self.engaged[scene]:
                raise Skip("whether a free level may be stored as the foot's is not said")
            return self.say[scene][pedal] == "foot"
        if kind == "level":
            pedal, _, compared, amount = rest
            here, there = stand[pedal], step(self.pedals[pedal], amount)
            if self.pedals[pedal]["range"][0] > self.pedals[pedal]["range"][1]:
                here, there = -here, -there
            return {
                "at least": here >= there,
                "at most": here <= there,
                "above": here > there,
                "below": here < there,
            }[compared]
        truth = [self.truth(e, scene, stand) for e in rest]
        return not truth[0] if kind == "not" else all(truth) if kind == "and" else any(truth)


def amounts(expression, pedal):
    if isinstance(expression, list):
        if expression[:1] == ["level"]:
            return [expression[4]] if expression[1] == pedal else []
        return [a for e in expression for a in amounts(e, pedal)]
    return []


# ---- the promise ----


def check(book, run):
    scenes = Scenes(book)
    for name, said in scenes.say.items():
        if any(p not in said for p in scenes.engaged[name]):
            raise Skip("a level that nobody chose")
    code, out, _ = run("check", "--format", "json")
    told = [json.loads(line) for line in out.splitlines()]
    errors = {t["code"] for t in told if t["severity"] == "error"} - {"rule-broken", "rules-clash"}
    if errors:
        raise Skip("errors of the book: " + ", ".join(sorted(errors)))
    if any(t["code"] == "not-proved" for t in told):
        raise Skip("said to be not proved")
    words, report = [], "told: " + "; ".join(t["message"] for t in told if t["code"].startswith("rule"))
    spoken, clash = {}, set()  # what is told, by scene and rule; scenes in which rules are said to clash
    for t in told:
        names = re.findall(r"`([^`]+)`", t["message"])
        if t["code"] in ("rule-broken", "rule-at-risk"):
            rules = re.findall(r"\b(r\d+)\b", t["message"])
            for r in rules:
                spoken.setdefault((names[0], r), {})[t["code"]] = t
            if len(rules) > 1 and t["code"] == "rule-broken":
                together(scenes, names[0], [book["rules"][int(r[1:])] for r in rules], t["message"])
        if t["code"] == "rules-clash":
            clash |= {n for n in names if n in scenes.say} or set(scenes.say)
    for name in scenes.say:
        stands, choices = list(scenes.uncertain(name)), scenes.choices(name)
        kept = {}  # for each choice of free levels, how often each rule is kept
        for n, choice in enumerate(choices):
            kept[n] = [sum(scenes.holds(r, name, stand | choice) for _, stand in stands) for r in book["rules"]]
        all_kept = [n for n in kept if all(k == len(stands) for k in kept[n])]
        scene_told = {r: codes for (s, r), codes in spoken.items() if s == name}
        if not stands:
            continue  # no way leads there
        if all_kept and (scene_told or name in clash):
            raise Broken("every rule is kept, or can be, and one is told", f"{name}; {report}")
        for n, r in enumerate(book["rules"]):
            here = scene_told.get(f"r{n}", {})
            always = all(k[n] == 0 for k in kept.values())
            fixed = len(choices) == 1
            risk = fixed and 0 < kept[0][n] < len(stands)
            if always and "rule-broken" not in here and name not in clash:
                raise Broken("a rule that every value breaks is not told as broken", f"r{n} in {name}; {report}")
            if risk and not here and name not in clash and code == 0:
                raise Broken(
                    "a rule that some values break is not told as at risk",
                    f"r{n} in {name}: {sample(scenes, book['rules'][n], name, stands)}; {report}",
                )
            if risk and "rule-broken" in here and "all at once" not in here["rule-broken"]["message"]:
                raise Broken(
                    "a rule that some values keep is told as broken",
                    f"r{n} in {name}: {sample(scenes, book['rules'][n], name, stands)}; {report}",
                )
            if fixed and kept[0][n] == len(stands) and here:
                raise Broken("a rule that every value keeps is told", f"r{n} in {name}; {report}")
            if risk and "rule-at-risk" in here:
                named(scenes, book["rules"][n], name, stands, here["rule-at-risk"]["message"])
                words.append("rules at risk")
            words += ["rules broken"] * always + ["rules kept"] * (not here)
        if not all_kept and not scene_told and name not in clash and code == 0:
            raise Broken("rules that cannot all be kept are not told", f"{name}; {report}")
    if code == 0:
        table = json.loads(run("table", "--format", "json")[1])
        columns = [c["name"] for c in table["cells"]]
        for row in table["rows"]:
            name, free = row["scene"], {}
            for n, p in enumerate(scenes.pedals, 1):
                column = columns.index(f"expression-{n}")
                if (column in row["free"]) != (p not in scenes.engaged[name]):
                    raise Broken("free is not what the language says", str(row))
                if column in row["free"]:
                    free[p] = round(float(row["values"][column]) / 100 * LAST)
            stands = list(scenes.uncertain(name))
            can = [
                c
                for c in scenes.choices(name)
                if all(scenes.holds(r, name, st | c) for r in book["rules"] for _, st in stands)
            ]
            if can and not all(scenes.holds(r, name, st | free) for r in book["rules"] for _, st in stands):
                raise Broken(
                    "a free level is stored that breaks a rule that could be kept",
                    f"{row}; could be {can[0]}; {report}",
                )
    return (
        words
        + ["with a foot"] * any("foot" in said.values() for said in scenes.say.values())
        + ["with what stays"] * any("stays" in said.values() for said in scenes.say.values())
    )


def together(scenes, scene, rules, message):
    """Rules that are said not to be kept at once: one of them is broken however the scene stands."""
    for choice in scenes.choices(scene):
        for came, stand in scenes.uncertain(scene):
            if all(scenes.holds(r, scene, stand | choice) for r in rules):
                raise Broken(
                    "rules that can be kept at once are told as if not", f"{message}: {came}, {stand | choice}"
                )


def sample(scenes, rule, scene, stands):
    """One way to stand that keeps the rule, and one that breaks it."""
    return {scenes.holds(rule, scene, stand): (came, stand) for came, stand in stands}


def named(scenes, rule, scene, stands, message):
    """The value or the way that a warning names breaks the rule."""
    breaking = [(came, stand) for came, stand in stands if not scenes.holds(rule, scene, stand)]
    for pedal, low, high in re.findall(r"holding `([^`]+)` way anywhere from ([\d.]+) % to ([\d.]+) %", message):
        ends = [step(scenes.pedals[pedal], float(v)) for v in (low, high)]
        if any(e not in {st[pedal] for _, st in breaking} for e in ends):
            raise Broken("a value is named that does not break the rule", f"{message}; breaking: {breaking}")
    for came, amp, state in re.findall(
        r"after (`[^`]+`|power-up),(?: which leaves| with) `([^`]+)` way on `([^`]+)`", message
    ):
        came = None if came == "power-up" else came.strip("`")
        if not any(c == came and st[amp] == state for c, st in breaking):
            raise Broken("a way is named that does not break the rule", f"{message}; breaking: {breaking}")


if __name__ == "__main__":
    common.main("rules under foot and stays", make, texts, check, 200)
