"""Power: random supplies and devices against sums of exact fractions over what the book's lines say.

The book is lists of words; nothing is read back from it but by this file. Currents are kept in microampere, as whole numbers.
"""

import collections
import csv
import io
import json

import common

KINDS = ["centre-negative", "centre-positive", "AC", None]
CODES = {
    "outlet-overdrawn", "outlet-margin", "outlet-peak", "supply-overdrawn", "voltage-wrong", "polarity-wrong", "ac-dc-wrong",
}
WARNINGS = {"outlet-margin", "outlet-peak"}


def amount(micro, dice):
    """A current as somebody would write it."""
    if dice.random() < 0.2:
        return f"{micro / 1e6:.6f} A"
    return f"{micro // 1000}.{micro % 1000:03d} mA" if micro % 1000 else f"{micro // 1000} mA"


def make(dice):
    def current(most):
        return dice.randint(1, most) * 1000 + dice.choice([0, 0, 0, 1, 500, 999])

    outlets = []
    for n in range(dice.randint(1, 4)):
        gives = current(400)
        peak = gives + current(300) - 1000 if dice.random() < 0.4 else None
        outlets.append({"name": "ABCD"[n], "volts": dice.choice([9, 9, 9, 12, 18]), "gives": gives, "peak": peak,
                        "kind": dice.choice(KINDS), "isolated": dice.random() < 0.7})
    devices = []
    for n in range(dice.randint(1, 6)):
        draws = current(150)
        peak = draws + current(200) - 1000 if dice.random() < 0.5 else None
        low = dice.choice([9, 9, 9, 12])
        volts = dice.choice([None, (low, low), (low, 18)])
        battery = (dice.randint(100, 900), current(20)) if dice.random() < 0.3 else None
        on = dice.randrange(len(outlets)) if dice.random() < 0.8 else None
        # Mostly what fits, so that each mistake is met alone too.
        kind = outlets[on]["kind"] if on is not None and dice.random() < 0.7 else dice.choice(KINDS)
        devices.append({"name": common.PEDALS[n], "on": on, "draws": draws, "peak": peak, "volts": volts, "kind": kind,
                        "isolated": dice.random() < 0.1, "reversing": kind != "AC" and dice.random() < 0.1, "battery": battery})
    margin = dice.choice([None, 0, 10, 20])
    total = current(600) if dice.random() < 0.5 else None
    spell = [[amount(v, dice) if v is not None else None for v in (o["gives"], o["peak"])] for o in outlets]
    says = [[amount(v, dice) if v is not None else None for v in (d["draws"], d["peak"])] for d in devices]
    return {"outlets": outlets, "devices": devices, "margin": margin, "total": total, "spell": spell, "says": says}


def texts(book):
    lines = [f"switcher {{ loops {len(book['devices'])} }}", "supply brick {"]
    if book["margin"] is not None:
        lines.append(f"  margin {book['margin']} %")
    if book["total"] is not None:
        lines.append(f"  total {book['total'] / 1000:.3f} mA")
    for o, (gives, peak) in zip(book["outlets"], book["spell"]):
        words = [w for w in (o["kind"], "isolated" if o["isolated"] else "shared") if w]
        lines.append(f"  outlet {o['name']} {o['volts']} V, {gives}{f' peak {peak}' if peak else ''}, {', '.join(words)}")
    lines.append("}")
    for n, (d, (draws, peak)) in enumerate(zip(book["devices"], book["says"]), 1):
        facts = [f"loop {n}"]
        if d["on"] is not None:
            at = "" if d["volts"] is None else f" at {d['volts'][0]} V" + (f" to {d['volts'][1]} V" if d["volts"][0] != d["volts"][1] else "")
            words = [w for w in (d["kind"], "isolated" if d["isolated"] else None, "reversing lead" if d["reversing"] else None) if w]
            outlet = book["outlets"][d["on"]]["name"]
            facts.append(f"power brick.{outlet}, {draws}{f' peak {peak}' if peak else ''}{at}{''.join(f', {w}' for w in words)}")
        if d["battery"]:
            facts.append(f"battery {d['battery'][0]} mAh, {d['battery'][1] / 1000:.3f} mA")
        lines.append(f"pedal {d['name']} {{ {'; '.join(facts)} }}")
    lines += ["scene bed { engage " + ", ".join(d["name"] for d in book["devices"]) + " }", 'song "Quay" { bed }']
    return ["\n".join(lines) + "\n"]


TURNED = {"centre-negative": "centre-positive", "centre-positive": "centre-negative"}


def wanted(book):
    """How often each code must stand, and what each outlet draws, steadily and for a moment."""
    codes, drawn, surge = collections.Counter(), [], []
    margin = 100 - (book["margin"] or 0)
    for n, o in enumerate(book["outlets"]):
        on = [d for d in book["devices"] if d["on"] == n]
        steady = sum(d["draws"] for d in on)
        moment = sum(d["peak"] or d["draws"] for d in on)
        drawn.append(steady)
        surge.append(moment)
        if steady > o["gives"]:
            codes["outlet-overdrawn"] += 1
        elif steady * 100 > o["gives"] * margin:
            codes["outlet-margin"] += 1
        if steady <= o["gives"] and moment > steady and moment > (o["peak"] or o["gives"]):
            codes["outlet-peak"] += 1
        for d in on:
            comes = TURNED.get(o["kind"], o["kind"]) if d["reversing"] else o["kind"]
            if (o["kind"] == "AC") != (d["kind"] == "AC"):
                codes["ac-dc-wrong"] += 1
            elif d["kind"] and comes and d["kind"] != comes:
                codes["polarity-wrong"] += 1
            if d["volts"] and not d["volts"][0] <= o["volts"] <= d["volts"][1]:
                codes["voltage-wrong"] += 1
    if book["total"] is not None:
        if sum(drawn) > book["total"]:
            codes["supply-overdrawn"] += 1
        elif sum(surge) > book["total"]:
            codes["outlet-peak"] += 1
    return codes, drawn


def check(book, run):
    if not book["outlets"] or not book["devices"] or any((d["on"] or 0) >= len(book["outlets"]) for d in book["devices"]):
        raise common.Skip("nothing is wired")
    _, out, _ = run("check", "--format", "json")
    told = collections.Counter(json.loads(line)["code"] for line in out.splitlines())
    codes, drawn = wanted(book)
    # What only may go wrong is told of a book without errors.
    errors = sum(codes[code] for code in CODES - WARNINGS)
    for code in sorted(CODES if not errors else CODES - WARNINGS):
        if told[code] != codes[code]:
            raise common.Broken(f"{code} is told as often as it is so", f"{told[code]}, and it is so {codes[code]} times")
    _, out, _ = run("supply", "--draft", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    if [r["outlet"] for r in rows] != [f"brick.{o['name']}" for o in book["outlets"]]:
        raise common.Broken("the outlets are listed", out)
    for row, micro, o in zip(rows, drawn, book["outlets"]):
        if abs(float(row["drawn_ma"]) * 1000 - micro) > 51 or ("AC" in row["volts"]) != (o["kind"] == "AC"):
            raise common.Broken("a row says what is drawn", f"{row}: {micro} uA")
    _, out, _ = run("supply", "--draft")
    for d in book["devices"]:
        line = next((l for l in out.splitlines() if l.startswith(f"{d['name']}: on a battery")), None)
        if (line is None) != (d["battery"] is None):
            raise common.Broken("a battery is told", out)
        if d["battery"]:
            charge, current = d["battery"]
            tenths = charge * 1000 * 10 // current
            says = f"{tenths // 10}.{tenths % 10} h" if tenths < 100 else f"{tenths // 10} h"
            if says not in line:
                raise common.Broken("a battery lasts as long as it says", f"{line}: {says}")
        if (f"missing: power of {d['name']}" in out) != (d["on"] is None and d["battery"] is None):
            raise common.Broken("missing power is told", out)
    return "with a peak" if codes["outlet-peak"] else "with a mistake" if sum(codes.values()) else "all fits"


if __name__ == "__main__":
    common.main("power", make, texts, check, 200)
