"""A pedal that a message or a contact engages is a pedal in a loop: the same board told twice, held against each other.

A book is a row of pedals in one chain, scenes that derive from each other, rules, tails and a limit. It is written once with
every pedal in a loop, and once with some of them engaged by a control of their own. What is reported, the levels and the walk
must be the same; the bytes and contacts of the second are worked out here from the scenes alone.
"""

import json
import tempfile

import common
from common import Broken, Skip

LAST = 127


def make(dice):
    pedals = []
    for n, name in enumerate(common.PEDALS[: dice.randint(2, 6)]):
        pedals.append(
            {
                "name": name,
                "how": dice.choice(["loop", "cc", "program", "contact", "foot"]),
                "gain": dice.choice([None, -6, 0, 3, 9, 12]) if dice.random() < 0.9 else None,
                "tail": dice.choice([None, None, 2]),
                "in": dice.randint(0, LAST),
                "out": dice.randint(0, LAST),
                "turned": dice.random() < 0.5,  # the state that is out stands first
                "level": dice.random() < 0.3,
            }
        )
        if pedals[n]["in"] == pedals[n]["out"]:
            pedals[n]["out"] = (pedals[n]["in"] + 1) % 128
    names = [p["name"] for p in pedals]
    scenes = []
    for n, name in enumerate(common.SCENES[: dice.randint(2, 6)]):
        says = [[p, dice.random() < 0.7] for p in dice.sample(names, dice.randint(0, len(names)))]
        scenes.append({"name": name, "from": dice.choice([None, *range(n)]) if n else None, "says": says})
    rules = []
    for _ in range(dice.randint(0, 3)):
        kind = dice.choice(["never", "needs", "most"])
        rules.append([kind, *dice.sample(names, 2)])
    return {
        "pedals": pedals,
        "scenes": scenes,
        "rules": rules,
        "default": [[p, True] for p in names if dice.random() < 0.1],
        "limit": dice.choice([3, 6, 10]),
        "song": [dice.choice(scenes)["name"] for _ in range(dice.randint(2, 6))],
    }


def pedal(p, n, looped):
    facts = ["input 1 Mohm", "output 1 kohm"]
    if p["gain"] is not None:
        facts.append(f"gain {p['gain']} dB stated")
    if p["tail"]:
        facts.append(f"tail {p['tail']} s")
    if p["level"]:
        facts.append(f"level mix on midi {n} cc 7")
    if looped or p["how"] == "loop":
        return f"pedal {p['name']} {{ loop {n}; code Q{n}; {'; '.join(facts)} }}"
    states = {
        "cc": (f"on midi {n} cc 80", f"value {p['in']}", f"value {p['out']}"),
        "program": (f"on midi {n} programs from 0", f"program {p['in']}", f"program {p['out']}"),
        "contact": (f"on remote {n} tip", "closed" if p["turned"] else "open", "open" if p["turned"] else "closed"),
        "foot": ("by foot", None, None),
    }[p["how"]]
    lines = [("gone", states[2]), ("heard", states[1])]
    if not p["turned"]:
        lines.reverse()
    lines = "; ".join(s if to is None else f"{s}: {to}" for s, to in lines)
    facts += [f"control way {states[0]} {{ {lines} }}", "engaged by way heard", "place top"]
    return f"pedal {p['name']} {{ {'; '.join(facts)} }}"


def text(book, looped):
    count = len(book["pedals"])
    lines = [
        f"switcher {{ loops {count}; outputs 1; remote jacks {count}; banks 1..2, switches 1..4; presses: same bank 1, bank step 1 }}",
        "guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }",
        "amp larch { fed by output 1; input 1 Mohm }",
        "patch leads 0 cm at 100 pF/m",
        f"limit level step {book['limit']} dB",
    ]
    lines += [pedal(p, n, looped) for n, p in enumerate(book["pedals"], 1)]
    links = [f"loop {n}" if looped or p["how"] == "loop" else p["name"] for n, p in enumerate(book["pedals"], 1)]
    lines.append("chain front: guitar -> " + " -> ".join(links) + " -> output 1")
    levels = [f"{p['name']}.mix 50 %" for p in book["pedals"] if p["level"]]
    engaged = [f"engage {p}" for p, _ in book["default"]]
    lines.append("default { " + "; ".join(levels + engaged) + " }")
    for s in book["scenes"]:
        built = "" if s["from"] is None else f" from {book['scenes'][s['from']]['name']}"
        says = [("engage " if on else "bypass ") + p for p, on in s["says"]]
        lines.append(f"scene {s['name']}{built} {{ {'; '.join(says)} }}")
    for kind, a, b in book["rules"]:
        lines.append({"never": f"rule never {a} beside {b}", "needs": f"rule {a} needs {b}", "most": f"rule at most one of {a}, {b}"}[kind])
    lines.append('song "Quay" on plank { ' + "; ".join(f"p{n}: {s}" for n, s in enumerate(book["song"])) + " }")
    return "\n".join(lines) + "\n"


def texts(book):
    names = {p["name"] for p in book["pedals"]}
    said = [p for s in book["scenes"] for p, _ in s["says"]] + [n for r in book["rules"] for n in r[1:]]
    if not names >= set(said):
        raise Skip("a name that is no pedal's")
    return [text(book, False)]


def engaged(book, number):
    """Which pedals a scene engages."""
    said, at = {}, number
    while at is not None:
        said = {p: on for p, on in book["scenes"][at]["says"]} | said
        at = book["scenes"][at]["from"]
    return {p for p, on in (dict(map(tuple, book["default"])) | said).items() if on}


def told(run):
    """Every report, without where it stands; by what the way out says too, but for the jack that it names."""
    _, out, _ = run("check", "--format", "json")
    reports = [json.loads(line) for line in out.splitlines()]
    return sorted((r["code"], r["message"]) for r in reports if r["severity"] != "note")


def figures(run):
    _, out, _ = run("signal", "--draft", "--format", "json")
    return json.loads(out)


def walked(run, feet):
    _, out, _ = run("walk", "--draft", "--format", "json")
    pages = json.loads(out)
    rows = []
    for page in pages["sets"]:
        for row in page["changes"]:
            kept = {k: row[k] for k in ("song", "part", "from", "scene", "presses", "level_db", "tails")}
            if not feet:
                kept["feet"] = row["feet"]
            rows.append(kept | {"loops": sorted(row["loops"]), "tails": sorted(row["tails"])})
    return rows


def check(book, run):
    with tempfile.TemporaryDirectory() as folder:
        looped = common.Run([text(book, True)], folder)
        feet = any(p["how"] == "foot" for p in book["pedals"])
        one, two = told(looped), told(run)
        # Only what a foot switches wants a foot.
        about_feet = {"two-feet-at-once", "too-many-feet"}
        one, two = ([r for r in reports if r[0] not in about_feet] for reports in (one, two))
        if one != two:
            raise Broken("reported otherwise than in loops", f"{[r for r in one if r not in two]} became {[r for r in two if r not in one]}")
        if figures(looped) != figures(run):
            raise Broken("another signal than in loops", f"{figures(looped)} became {figures(run)}")
        if walked(looped, feet) != walked(run, feet):
            raise Broken("another walk than in loops", f"{walked(looped, feet)} became {walked(run, feet)}")
    words = sorted({f"reported {code}" for code, _ in two})
    table = json.loads(run("table", "--draft", "--format", "json")[1])
    columns = [c["name"] for c in table["cells"]]
    rows = {r["scene"]: r for r in table["rows"]}
    midi = {p["scene"]: p["messages"] for p in json.loads(run("midi", "--draft", "--format", "json")[1])["presets"]}
    for number, scene in enumerate(book["scenes"]):
        on, row = engaged(book, number), rows[scene["name"]]
        for n, p in enumerate(book["pedals"], 1):
            is_in = p["name"] in on
            cell = {
                "loop": (f"loop-{n}", str(int(is_in))),
                "cc": (f"midi-{n}:{p['name']}.way", str(p["in" if is_in else "out"])),
                "program": (f"midi-{n}:{p['name']}.way", str(p["in" if is_in else "out"])),
                "contact": (f"remote-{n}-tip", str(int(is_in == p["turned"]))),
                "foot": (f"by-foot:{p['name']}.way", "heard" if is_in else "gone"),
            }[p["how"]]
            column = columns.index(cell[0])
            if str(row["values"][column]) != cell[1] or cell[0] in row["free"]:
                raise Broken("a pedal is not stored as the scene has it", f"{scene['name']} {cell}: {row}")
            sent = [m["bytes"] for m in midi[scene["name"]] if m["what"] == f"{p['name']}.way"]
            value = p["in" if is_in else "out"]
            wanted = {"cc": [f"B{n - 1:X} 50 {value:02X}"], "program": [f"C{n - 1:X} {value:02X}"]}.get(p["how"], [])
            if sent != wanted:
                raise Broken("other bytes than the scene wants", f"{scene['name']} {p['name']}: {sent}, not {wanted}")
            words.append(f"cells of a pedal by {p['how']}")
    return words


if __name__ == "__main__":
    common.main("switched by message", make, texts, check, 200)
