"""Levels on ports of few steps, as words say them. Written from language.md alone:

5 "`throb.depth 20 %` is the pedal's own value; the port's position p is computed through `from .. to` (reversed ranges too);
  on n steps it is stored as round-half-up of p·(n-1)"
17 "what is shown is what was said, with the rounded position beside it where a person types it in"

So where the words show what was said and the stored step is another place to the ear (more than half a hundredth of the
travel away), they show the stored one too. Rounded in whole fractions, which share nothing with the tool.
"""

import json
import re
from fractions import Fraction

import common
from common import Broken, Skip


def make(dice):
    ports = [
        {"from": a, "to": b, "steps": 0}
        for a, b in (
            dice.choice([(0, 100), (0, 60), (100, 0), (60, 10), (10, 90), (0, 33)]) for _ in range(dice.choice([1, 2]))
        )
    ]
    scenes = []
    for name in common.SCENES[: dice.randint(1, 4)]:
        said = []
        for port in ports:
            own = dice.randint(min(port["from"], port["to"]), max(port["from"], port["to"]))
            said.append(dice.choice([["own", own], ["own", own], ["travel", dice.randint(0, 100)], ["default", 0], ["foot", 0]]))
        scenes.append({"name": name, "said": said})
    return {
        "steps": dice.choice([2, 3, 4, 5, 6, 7, 8, 9, 10, 16, 33, 128]),
        "ports": ports,
        "default": [dice.randint(min(p["from"], p["to"]), max(p["from"], p["to"])) for p in ports],
        "scenes": scenes,
    }


def texts(book):
    count = len(book["ports"])
    lines = [f"switcher {{ loops 2; expressions {count} of {book['steps']} steps; banks 1..2, switches 1..4 }}"]
    for n, port in enumerate(book["ports"]):
        lines.append(f"treadle plank{n} feeds expression {n + 1}")
        lines.append(
            f"pedal {common.PEDALS[n]} {{ loop {n + 1}; level depth on expression {n + 1}"
            f" from {port['from']} % to {port['to']} % }}"
        )
    lines.append("default { " + "; ".join(f"{common.PEDALS[n]}.depth {v} %" for n, v in enumerate(book["default"])) + " }")
    for scene in book["scenes"]:
        says = ["engage " + ", ".join(common.PEDALS[:count])]
        for n, (how, value) in enumerate(scene["said"]):
            if how == "own":
                says.append(f"{common.PEDALS[n]}.depth {value} %")
            elif how == "travel":
                says.append(f"expression {n + 1} at {value} %")
            elif how == "foot":
                says.append(f"{common.PEDALS[n]}.depth foot")
        lines.append(f"scene {scene['name']} {{ {'; '.join(says)} }}")
    lines.append('song "Quay" { ' + "; ".join(s["name"] for s in book["scenes"]) + " }")
    return ["\n".join(lines) + "\n"]


def check(book, run):
    code, out, _ = run("check", "--format", "json")
    if code == 1:
        raise Skip("errors of the book: " + ", ".join(sorted({json.loads(t)["code"] for t in out.splitlines()})))
    words = dict(line.split(": ", 1) for line in run("table", "--format", "words")[1].splitlines())
    seen = []
    for scene in book["scenes"]:
        for n, (how, value) in enumerate(scene["said"]):
            if how == "foot":
                continue
            port, last = book["ports"][n], book["steps"] - 1
            own = book["default"][n] if how == "default" else value
            travel = Fraction(value, 100) if how == "travel" else Fraction(own - port["from"], port["to"] - port["from"])
            stored = Fraction((2 * travel * last + 1) // 2, last)
            shown = re.search(rf"{common.PEDALS[n]} on \(depth ([^)]*)\)", words[scene["name"]])
            if not shown:
                raise Broken("a level that was said is not told", f"{scene}: {words}")
            numbers = [Fraction(x) for x in re.findall(r"-?\d+(?:\.\d+)?", shown[1])]
            said = value if how == "travel" else own
            if numbers[0] != said:
                raise Broken("another level is told than was said", f"{said} %: {shown[0]}")
            apart = abs(stored - travel) > Fraction(1, 200)
            if apart != (len(numbers) == 2):
                raise Broken("words and what is stored part", f"stored {float(stored):.3f} of its travel: {shown[0]}")
            if apart and abs(numbers[1] / 100 - stored) > Fraction(1, 2000):
                raise Broken("another step is told than is stored", f"stored {float(stored):.4f}: {shown[0]}")
            seen.append("levels told with what is stored" if apart else "levels told as they are stored")
    return seen or None


if __name__ == "__main__":
    common.main("few steps", make, texts, check, 300)
