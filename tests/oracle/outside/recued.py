"""What makes no sound, said otherwise in a new book: a unit that does what `diff` lists sends what the new book sends.

Both books have the same switcher and listeners whose controls are sent as a preset is entered, as it is left, or later. From one
to the other a moment changes, what a state sends, what a scene says, or a listener comes or goes. From the words of the language
("A control is sent as the preset is entered ...", "Nothing is sent where no scene says anything"): the memory of a slot is what is
sent when, read here from the book's own data. The list is done line by line; then every slot of the new book sends what its scene
says, and nothing else. No line may change nothing, no song may be told whose slots all stay as they were, and nothing is to be
done under "Hardware" where moments alone are other.
"""

import copy
import re

import common
from common import Broken, Skip

WHENS = ["", "on leaving", "after 2 s", "after 4 s", "after 0.5 s", "only if changed", "after 2 s, only if changed"]
SLOTS = ["1.1", "1.2", "1.3", "2.1", "2.2", "2.3"]


def listener(dice, n):
    kinds = dice.sample(["programs", "cc", "messages"], dice.randint(1, 3))
    controls = [
        {
            "name": f"c{k}",
            "kind": kind,
            "cc": 20 + k,
            "when": dice.choice(WHENS),
            "states": dice.sample(range(1, 90), dice.randint(1, 3)),
        }
        for k, kind in enumerate(kinds)
    ]
    return {"name": ["lamps", "deck", "fog"][n], "channel": n + 4, "controls": controls}


def make(dice):
    old = {"listeners": [listener(dice, n) for n in range(dice.randint(1, 2))], "scenes": []}
    for name in common.SCENES[: dice.randint(2, 5)]:
        old["scenes"].append({"name": name, "engage": dice.random() < 0.5, "says": says(dice, old["listeners"])})
    new, turned = copy.deepcopy(old), []
    for _ in range(dice.randint(1, 3)):
        what = dice.choice(["moment", "moment", "moment", "bytes", "says", "comes", "goes"])
        some = dice.choice(new["listeners"])
        if what == "comes" and not any(d["name"] == "fog" for d in new["listeners"]):
            new["listeners"].append(listener(dice, 2))
            dice.choice(new["scenes"])["says"] += says(dice, new["listeners"][-1:], 1.0)
        elif what == "goes" and len(new["listeners"]) > 1:
            gone = new["listeners"].pop(dice.randrange(len(new["listeners"])))["name"]
            for scene in new["scenes"]:
                scene["says"] = [s for s in scene["says"] if s[0] != gone]
        elif what == "moment":
            dice.choice(some["controls"])["when"] = dice.choice(WHENS)
        elif what == "bytes":
            one = dice.choice(some["controls"])
            one["states"][dice.randrange(len(one["states"]))] = dice.randint(90, 120)
        elif what == "says":
            dice.choice(new["scenes"])["says"] = says(dice, new["listeners"])
        else:
            continue
        turned.append(what)
    return {
        "old": old,
        "new": new,
        "slots": dice.sample(SLOTS, len(old["scenes"])),
        "songs": [dice.randrange(len(old["scenes"])) for _ in range(dice.randint(1, 3))],
        "moments alone": bool(turned) and set(turned) <= {"moment", "says"},
        "options": dice.choice([[], [], ["--exact"]]),
    }


def says(dice, listeners, chance=0.4):
    controls = [(d, c) for d in listeners for c in d["controls"]]
    return [[d["name"], c["name"], dice.randrange(len(c["states"]))] for d, c in controls if dice.random() < chance]


def sent(kind, number):
    return {
        "programs": f"program {number}",
        "cc": f"value {number}",
        "messages": f"note {number} at 90, cc 99 value {number}",
    }[kind]


def text(book, which):
    half = book[which]
    able = "messages on leaving, after up to 30 s, only if changed"
    lines = [f"switcher {{ loops 1; banks 1..2, switches 1..3; {able} }}", "pedal ash { loop 1 }"]
    for d in half["listeners"]:
        lines.append(f"listener {d['name']} {{")
        for c in d["controls"]:
            how = {"programs": "programs from 1", "cc": f"cc {c['cc']}", "messages": "messages"}[c["kind"]]
            when = f", {c['when']}" if c["when"] else ""
            states = "; ".join(f"s{n}: {sent(c['kind'], number)}" for n, number in enumerate(c["states"]))
            lines.append(f"  control {c['name']} on midi {d['channel']} {how}{when} {{ {states} }}")
        lines.append("}")
    for s in half["scenes"]:
        body = ["engage ash"] * s["engage"] + [f"{d}.{c} s{n}" for d, c, n in s["says"]]
        lines.append(f"scene {s['name']} {{ {'; '.join(body)} }}")
    for n, scene in enumerate(book["songs"]):
        lines.append(f'song "tune {n}" {{ {half["scenes"][scene]["name"]} }}')
    lines.append("slots { " + "; ".join(f"{at} {s['name']}" for at, s in zip(book["slots"], half["scenes"])) + " }")
    return "\n".join(lines) + "\n"


def texts(book):
    return [text(book, "old"), text(book, "new")]


# ---- what is true ----


def wire(d, c):
    """What a preset holds it under: the channel, what is sent, and when."""
    what = {"programs": "program", "cc": f"cc {c['cc']}", "messages": "messages"}[c["kind"]]
    return f"midi {d['channel']} {what} {c['when']}".strip()


def controls(half):
    return {(d["name"], c["name"]): (d, c) for d in half["listeners"] for c in d["controls"]}


def memory(book, which):
    half, out = book[which], {}
    by = controls(half)
    for at, s in zip(book["slots"], half["scenes"]):
        held = {"loop 1": s["engage"]}
        for device, name, state in s["says"]:
            d, c = by[device, name]
            held[wire(d, c)] = c["states"][state]
        out[at] = held
    return out


def follow(book, out, held):
    """Does the list line by line; gives what is held then, and how many things were done."""
    by = {f"{d} {c}": both for (d, c), both in controls(book["new"]).items()}
    section = re.search(r"^To reprogram\n((?:.+\n)*)", out, re.M)
    slot, things, held = None, 0, copy.deepcopy(held)
    for line in (section[1] if section else "").splitlines()[1:]:
        if head := re.fullmatch(r"  \[ \] (\d\.\d) `\w+`(?:, holds `\w+`|, empty)?", line):
            slot = head[1]
        elif gone := re.fullmatch(r"  \[ \] take `(.+)` out of ([\d., ]+): the new board sets no such message", line):
            for at in gone[2].split(", "):
                if gone[1] not in held[at]:
                    raise Broken("a message is taken out of a slot that sends none", line)
                del held[at][gone[1]]
        elif copied := re.fullmatch(r"    \[ \] store the preset of (\d\.\d) \(.*\) here", line):
            held[slot], things = dict(held[copied[1]]), things + 1
        elif loop := re.fullmatch(r"    \[ \] (engage|bypass) loop 1 \(ASH\)", line):
            held[slot]["loop 1"], things = loop[1] == "engage", things + 1
        elif item := re.fullmatch(r"    \[ \] (midi [^:]+): (.+) \((\w+ \w+)\)", line):
            d, c = by[item[3]]
            now = re.sub(r" by (other bytes|the new count)$", "", item[2].split(" → ")[-1])
            if item[1] != wire(d, c):
                raise Broken("a message is told under another moment than the book's", f"{line}; {wire(d, c)}")
            before = held[slot].pop(item[1], None)
            if now != "stays":
                held[slot][item[1]] = c["states"][int(now[1:])] if c["kind"] == "messages" else int(now)
            if held[slot].get(item[1]) == before:
                raise Broken("a line does nothing", f"{line}; it sends {before}")
            things += 1
        else:
            raise Broken("a line that nobody can follow", line)
    return held, things


def check(book, run):
    for number in (0, 1):
        if " error" in "".join(run.one(number, "check")[1:]):
            raise Skip("errors of a book")
    code, out, err = run("diff", "--for", "tech", *book["options"])
    if code not in (0, 1):
        raise Broken("no diff of two right books", err)
    old, new = memory(book, "old"), memory(book, "new")
    held, things = follow(book, out, old)
    report = f"{out}\nold {old}\nnew {new}\nheld {held}"
    if held != new:
        raise Broken("the list followed to the letter leaves a slot wrong", report)
    told = re.search(r"(\d+) things? to do in (\d+) slots?", out)
    if int(told[1] if told else 0) != things:
        raise Broken("as many things as are told are not listed", report)
    touched = re.search(r"^Touched: songs and their slots\n((?:.+\n)*)", out, re.M)
    said = set(re.findall(r'"tune (\d)": ', touched[1])) if touched else set()
    # What the old board left behind is told under its own line, not with the songs.
    kept = {wire(d, c) for d, c in controls(book["new"]).values()} | {"loop 1"}
    cut = lambda cells: {k: v for k, v in cells.items() if k in kept}
    true = {str(n) for n, s in enumerate(book["songs"]) if cut(old[book["slots"][s]]) != new[book["slots"][s]]}
    if said != true:
        raise Broken("songs that are touched", f"{said}, true: {true}\n{report}")
    if book["moments alone"] and re.search(r"^Hardware\n", out, re.M):
        raise Broken("a moment is told as hardware", report)
    return (
        ["things done by the list"] * things
        + ["moments alone"] * book["moments alone"]
        + ["lines of what is taken out"] * out.count("sets no such message")
        + ["nothing to do"] * (not things)
    )


if __name__ == "__main__":
    common.main("listeners said otherwise", make, texts, check, 40)
