"""Trims of outputs: what is stored, and the steps in level that are told, by sums over what the book's lines say.

Pedals load nothing and lose nothing here (no resistance at all behind their outputs, no leads), so that a level is the sum of
the gains in its way and the trim behind them. Trims are worked out in whole steps, with fractions.
"""

import csv
import io
import json
import re
from fractions import Fraction

import common

AMPS = ["larch", "alder"]
LIMIT = 4


def make(dice):
    pedals = [[common.PEDALS[n], dice.randint(-60, 90)] for n in range(dice.randint(1, 4))]
    amps = []
    for n in range(dice.randint(1, 2)):
        low, high = dice.choice([(-60, 60), (-100, 0), (60, -60), (-30, 90)])
        amps.append({"name": AMPS[n], "range": [low, high]} if dice.random() < 0.8 else {"name": AMPS[n], "range": None})
    scenes = []
    for n in range(dice.randint(2, 6)):
        trims = [dice.randint(min(a["range"]), max(a["range"])) if a["range"] else None for a in amps]
        scenes.append({"name": f"s{n}", "on": [dice.random() < 0.5 for _ in pedals], "trims": trims, "out": [dice.random() < 0.85 for _ in amps]})
    order = [dice.randrange(len(scenes)) for _ in range(dice.randint(2, 8))]
    return {"pedals": pedals, "amps": amps, "scenes": scenes, "order": order, "steps": dice.choice([2, 13, 25, 61, 128])}


def tenths(n):
    return f"{'-' if n < 0 else ''}{abs(n) // 10}.{abs(n) % 10}"


def texts(book):
    lines = [
        f"switcher {{ loops {len(book['pedals'])}; outputs {len(book['amps'])}; trims of {book['steps']} steps }}",
        "guitar plank { pickup 0 H, 0 ohm, 0 pF; volume 500 kohm at 100 %; cable 0 m at 0 pF/m }",
        "patch leads 0 cm at 0 pF/m",
        f"limit level step {LIMIT} dB",
    ]
    for n, (name, gain) in enumerate(book["pedals"], 1):
        lines.append(f"pedal {name} {{ loop {n}; input 1 Mohm; output 0 ohm; gain {tenths(gain)} dB measured }}")
    for n, amp in enumerate(book["amps"], 1):
        trim = f"; level trim on output {n} from {tenths(amp['range'][0])} dB to {tenths(amp['range'][1])} dB" if amp["range"] else ""
        lines.append(f"amp {amp['name']} {{ fed by output {n}; input 1 Mohm{trim} }}")
    last = len(book["pedals"])
    lines.append(f"chain front: guitar -> loops 1..{last} -> output 1 -> cable 0 m at 0 pF/m -> larch")
    if len(book["amps"]) > 1:
        lines.append(f"chain side: loop {last} -> output 2 -> cable 0 m at 0 pF/m -> alder")
    for s in book["scenes"]:
        says = [f"engage {n}" for (n, _), on in zip(book["pedals"], s["on"]) if on]
        says += [f"{a['name']}.trim {tenths(t)} dB" for a, t in zip(book["amps"], s["trims"]) if t is not None]
        says += [f"output {n} off" for n, out in enumerate(s["out"], 1) if not out]
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    parts = "; ".join(f"\"p{n}\": {book['scenes'][at]['name']}" for n, at in enumerate(book["order"]))
    return ["\n".join([*lines, f'song "Quay" on plank {{ {parts} }}']) + "\n"]


def step(book, amp, value):
    """The step nearest to a value, halves away from the first end, or None where two are as near."""
    low, high = amp["range"]
    place = Fraction(value - low) / (high - low) * (book["steps"] - 1)
    whole = place.numerator // place.denominator
    if place - whole == Fraction(1, 2):
        return None
    return whole + (place - whole > Fraction(1, 2))


def stored(book, amp, value):
    at = step(book, amp, value)
    return Fraction(amp["range"][0]) + Fraction(amp["range"][1] - amp["range"][0]) * at / (book["steps"] - 1)


def check(book, run):
    if not book["pedals"] or not book["amps"] or len(book["order"]) < 2 or any(o >= len(book["scenes"]) for o in book["order"]):
        raise common.Skip("too small")
    for s in book["scenes"]:
        for amp, trim in zip(book["amps"], s["trims"]):
            if trim is not None and amp["range"] and step(book, amp, trim) is None:
                raise common.Skip("just between two steps")
    code, out, err = run("table", "--format", "csv")
    if code != 0:
        raise common.Broken("a right book is printed", err)
    rows = {r["scene"]: r for r in csv.DictReader(io.StringIO(out))}
    for s in book["scenes"]:
        for n, (amp, trim) in enumerate(zip(book["amps"], s["trims"]), 1):
            if trim is None:
                if f"trim-{n}" in rows[s["name"]]:
                    raise common.Broken("no column without a trim", out)
                continue
            # What is printed, said to the unit, comes to the step that is nearest to what the scene asks for.
            printed = Fraction(rows[s["name"]][f"trim-{n}"]) * 10
            if step(book, amp, printed) != step(book, amp, trim):
                raise common.Broken("the nearest step is stored", f"{s['name']}: {rows[s['name']]}: {trim}")

    def gains(s):
        return sum(gain for (_, gain), on in zip(book["pedals"], s["on"]) if on)

    def trim(s, n):
        amp = book["amps"][n]
        return stored(book, amp, s["trims"][n]) if amp["range"] else Fraction(0)

    _, out, _ = run("walk", "--format", "json")
    changes = json.loads(out)["sets"][0]["changes"]
    counted = 0
    for change, (a, b) in zip(changes[1:], zip(book["order"], book["order"][1:])):
        was, now = book["scenes"][a], book["scenes"][b]
        steps = [gains(now) - gains(was) + trim(now, n) - trim(was, n) for n in range(len(book["amps"])) if was["out"][n] and now["out"][n]]
        steps = steps or [Fraction(gains(now) - gains(was))]
        most = max(abs(x) for x in steps)
        if abs(abs(Fraction(str(change["level_db"])) * 10) - most) > Fraction(51, 100):
            raise common.Broken("the walk tells the largest step", f"{change}: {[float(x) for x in steps]}")
        counted += 1
    words = [f"steps of a walk, {'two amps' if len(book['amps']) > 1 else 'one amp'}"] * counted
    if len(book["amps"]) == 1:
        # Any part of a song may follow any other.
        _, out, _ = run("check", "--format", "json")
        told = set()
        for line in map(json.loads, out.splitlines()):
            found = re.match(r"from `(\w+)` to `(\w+)` the level (jumps up|drops) by ([\d.]+) dB on `plank`", line["message"])
            if line["code"] == "level-step" and found:
                told.add(found.groups())
                # Both directions of a pair are one report.
                back = re.search(r", and (jumps up|drops) by as much on the way back$", line["message"])
                if back:
                    told.add((found[2], found[1], back[1], found[4]))
        played = {book["scenes"][o]["name"]: book["scenes"][o] for o in book["order"]}
        for one in played.values():
            for two in played.values():
                if one is two or not (one["out"][0] and two["out"][0]):
                    continue
                by = (gains(two) - gains(one) + trim(two, 0) - trim(one, 0)) / 10
                says = [t for t in told if t[:2] == (one["name"], two["name"])]
                if abs(abs(by) - LIMIT) < Fraction(1, 50):
                    continue
                if bool(says) != (abs(by) > LIMIT):
                    raise common.Broken("a step above the limit is told, and no other", f"{one['name']} {two['name']}: {float(by)}: {sorted(told)}")
                if says and (abs(Fraction(says[0][3]) - abs(by)) > Fraction(6, 100) or (says[0][2] == "drops") != (by < 0)):
                    raise common.Broken("a step is told as large as it is", f"{says}: {float(by)}")
                words.append("ways above the limit" if says else "ways below the limit")
    return words


if __name__ == "__main__":
    common.main("trims", make, texts, check, 200)
