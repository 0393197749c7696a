"""What is heard and what is watched: outputs row by row, and which amplifier a mute does not silence, by a graph search.

A book is a board of loops, outputs, amplifiers and tuners with random chains, and scenes that derive from each other and
mute or turn single outputs. What each row holds is worked out here from the scenes alone; who sounds past a mute by a search
over the leads.
"""

import json
import re

import common
from common import Broken, Skip

AMPS = ["larch", "alder", "rowan"]
TUNERS = ["needle", "dial"]


def make(dice):
    loops, outputs = dice.randint(1, 3), dice.randint(1, 4)
    amps = [[name, dice.choice([None, *range(1, outputs + 1)])] for name in AMPS[: dice.randint(1, 3)]]
    tuners = [[name, dice.randint(1, outputs)] for name in TUNERS[: dice.randint(0, 2)]]
    # Each way as places from the loop it leaves on; the first starts at the guitar.
    reached = []
    for output in range(1, outputs + 1):
        if dice.random() < 0.8:
            reached.append([dice.randint(1, loops), ["output", output]])
    ways = list(reached)
    for name, _ in amps:
        if dice.random() < 0.25:
            ways.append([dice.randint(1, loops), ["amp", name]])
    for name, output in tuners:
        if dice.random() < 0.3:
            ways.append([["output", output], ["tuner", name]])
        if dice.random() < 0.25:
            ways.append([["tuner", name], ["amp", dice.choice(amps)[0]]])
    scenes = []
    for n, name in enumerate(common.SCENES[: dice.randint(1, 5)]):
        says = []
        if dice.random() < 0.5:
            says.append("mute")
        for output in dice.sample(range(1, outputs + 1), dice.randint(0, outputs)):
            if dice.random() < 0.5:
                says.append([output, dice.random() < 0.5])
        dice.shuffle(says)
        scenes.append({"name": name, "from": dice.choice([None, *range(n)]) if n else None, "says": says})
    return {"loops": loops, "outputs": outputs, "amps": amps, "tuners": tuners, "ways": ways, "scenes": scenes}


def place(where):
    if isinstance(where, int):
        return f"loop {where}"
    return f"output {where[1]}" if where[0] == "output" else where[1]


def texts(book):
    lines = [f"switcher {{ loops {book['loops']}; outputs {book['outputs']} }}", "guitar plank"]
    for n, name in zip(range(1, book["loops"] + 1), common.PEDALS):
        lines.append(f"pedal {name} {{ loop {n}; code Q{n} }}")
    for name, output in book["amps"]:
        lines.append(f"amp {name}" + ("" if output is None else f" {{ fed by output {output} }}"))
    lines += [f"pedal {name} {{ tuner; fed by output {output} }}" for name, output in book["tuners"]]
    lines.append("chain front: guitar -> " + " -> ".join(f"loop {n}" for n in range(1, book["loops"] + 1)))
    lines += [f"chain way-{n}: {place(a)} -> {place(b)}" for n, (a, b) in enumerate(book["ways"])]
    for s in book["scenes"]:
        built = "" if s["from"] is None else f" from {book['scenes'][s['from']]['name']}"
        says = [x if x == "mute" else f"output {x[0]} {'on' if x[1] else 'off'}" for x in s["says"]]
        lines.append(f"scene {s['name']}{built} {{ {'; '.join(says)} }}")
    lines.append('song "Quay" on plank { ' + "; ".join(s["name"] for s in book["scenes"]) + " }")
    return ["\n".join(lines) + "\n"]


def watched(book, output):
    return any(o == output for _, o in book["tuners"]) and all(o != output for _, o in book["amps"])


def row(book, number):
    """Each output of a scene: its nearest word, a mute being one word for each output that is heard."""
    said, at = {}, number
    while at is not None:
        scene, own = book["scenes"][at], {}
        for x in scene["says"]:
            pairs = (
                [(o, False) for o in range(1, book["outputs"] + 1) if not watched(book, o)] if x == "mute" else [tuple(x)]
            )
            for output, on in pairs:
                if own.setdefault(output, on) != on:
                    raise Skip("one scene says two things of one output")
        said = own | said
        at = scene["from"]
    fed = {o for _, o in book["amps"] + book["tuners"] if o is not None}
    return [said.get(o, o in fed) for o in range(1, book["outputs"] + 1)]


def past(book):
    """The amplifiers that the guitar reaches though everything that is heard is off."""
    edges = [("guitar", "loop 1")] + [(f"loop {n}", f"loop {n + 1}") for n in range(1, book["loops"])]
    edges += [(place(a), place(b)) for a, b in book["ways"]]
    led = {b for _, b in edges}
    edges += [(f"output {o}", name) for name, o in book["amps"] + book["tuners"] if o is not None and name not in led]
    closed = {f"output {o}" for o in range(1, book["outputs"] + 1) if not watched(book, o)}
    seen, left = set(), ["guitar"]
    while left:
        at = left.pop()
        if at in seen or at in closed:
            continue
        seen.add(at)
        left += [b for a, b in edges if a == at]
    return {name for name, _ in book["amps"] if name in seen}


def check(book, run):
    rows = [row(book, n) for n in range(len(book["scenes"]))]
    _, out, _ = run("check", "--format", "json")
    told = [json.loads(line) for line in out.splitlines()]
    codes = {t["code"] for t in told if t["severity"] == "error"}
    words = ["with a mute"] * any("mute" in s["says"] for s in book["scenes"])
    table = json.loads(run("table", "--draft", "--format", "json")[1])
    columns = [c["name"] for c in table["cells"]]
    of = {r["scene"]: r["values"] for r in table["rows"]}
    for scene, expected in zip(book["scenes"], rows):
        printed = [of[scene["name"]][columns.index(f"output-{o}")] for o in range(1, book["outputs"] + 1)]
        if [str(v) for v in printed] != [str(int(on)) for on in expected]:
            raise Broken("an output is not as it was said", f"{scene['name']}: {printed}, not {expected}")
        words += ["rows"]
    if codes & {"loop-fed-twice", "chain-twice", "chains-disagree", "syntax"}:
        raise Skip("leads that cannot be followed")
    heard = [o for o in range(1, book["outputs"] + 1) if not watched(book, o)]
    wanted = set()
    for name in past(book):
        fed = dict(book["amps"])[name]
        for scene, outs in zip(book["scenes"], rows):
            off = not any(outs[o - 1] for o in heard) if heard else "mute" in scene["says"]
            if not outs[fed - 1] if fed else off:
                wanted.add(name)
    spoken = {re.search(r"`([^`]+)`", t["message"])[1] for t in told if t["code"] == "past-mute"}
    if spoken != wanted:
        raise Broken("who sounds past a mute is told wrongly", f"{sorted(spoken)}, not {sorted(wanted)}: {told}")
    tuned = any(watched(book, o) for o in range(1, book["outputs"] + 1))
    return words + ["past a mute"] * len(wanted) + ["with an output that is watched"] * tuned + ["right"] * (not codes)


if __name__ == "__main__":
    common.main("tuners and mutes", make, texts, check, 200)
