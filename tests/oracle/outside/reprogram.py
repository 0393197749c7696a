"""The list of `diff`, "To reprogram", against a simulated unit and an exact search. Written from language.md alone:

1 "a preset is the row that the switcher stores for it in one slot. Cells are the columns: each loop ..., each contact ...,
  each expression port (a step, or the foot), each output, each message"
4 "Of a bypassed pedal it is free (don't care, `-`)"; 9 "A change of a free cell is never something to do."
Example there: "display 8  # letters of a preset's name that the unit can show"
and from `diff --help`: "--exact: The unit holds OLD to the letter, free cells too (as after programming it from empty)".

What the list itself says: "store the preset of X here" is one thing to do, each cell and each name another; "a preset that is
stored elsewhere is read before its slot is overwritten"; "What is not listed stays as it is." A slot said to be empty holds
nothing that is known; with --exact it is what the worksheet calls empty: loops out, contacts open, expression at 0 %, nothing sent. The search tries every order of the slots, each written once, and every slot as what is copied.
"Each cell in each value that was set ... is seen once ... (no fewer presets show them all)" is held over all sets of presets.
Slots and rows are taken from `table`, which other tests hold.
"""

import heapq
import itertools
import json
import re

import common
from common import Broken, Skip

SLOTS = [f"{b}.{s}" for b in (1, 2) for s in (1, 2, 3, 4)]
LEVELS = ["0 %", "50 %", "100 %"]


# ---- two random books ----


def make(dice):
    loops = dice.randint(4, 8)
    kinds = ["none", "contact", "contact", "level", "program", "cc", "momentary"]
    pedals = [[common.PEDALS[n], dice.choice(kinds)] for n in range(dice.randint(2, loops))]
    for once in ("level", "momentary"):
        for p in [p for p in pedals if p[1] == once][1:]:
            p[1] = "none"

    def value(what):
        states = ["low", "high", "stays"] if dice.random() < 0.2 else ["low", "high"]
        return dice.choice({"level": LEVELS + ["foot"], "cc": LEVELS}.get(what, states))

    def scene(name):
        engaged = [p for p in pedals if dice.random() < 0.5]
        return {
            "name": name,
            "engage": [n for n, _ in engaged],
            "plain": [n for n in range(len(pedals) + 1, loops + 1) if dice.random() < 0.3],
            "set": [[n, value(w)] for n, w in pedals if w != "none"],
            "mute": dice.random() < 0.1,
        }

    def near(other, name):
        new = json.loads(json.dumps(other)) | {"name": name}
        for _ in range(dice.choice([0, 1, 1, 2, 3])):
            n, what = dice.choice(pedals)
            if dice.random() < 0.5:
                new["engage"] = sorted(set(new["engage"]) ^ {n})
            else:
                new["set"] = [[m, value(what) if m == n else v] for m, v in new["set"]]
        return new

    names = dice.sample(common.SCENES, 8)
    old = [scene(names[0])]
    for name in names[1 : dice.randint(1, 4)]:
        old.append(near(dice.choice(old), name) if dice.random() < 0.6 else scene(name))
    kept = dice.sample(old, dice.randint(0, len(old)))
    new = [near(s, s["name"]) if dice.random() < 0.5 else s for s in kept]
    for name in names[4 : 4 + dice.randint(0, 3)]:
        new.append(near(dice.choice(old + new), name) if dice.random() < 0.7 else scene(name))
    new = (new or [scene(names[7])])[:5]
    where = dice.sample(SLOTS[: dice.choice([4, 6])], len(old))
    before = dict(zip([s["name"] for s in old], where))
    free = [s for s in SLOTS[:6]]
    behind = []
    for s in new:
        stays = before.get(s["name"])
        slot = stays if stays in free and dice.random() < 0.4 else dice.choice(free)
        free.remove(slot)
        behind.append(slot)
    return {
        "loops": loops,
        "pedals": pedals,
        "display": dice.random() < 0.5,
        "exact": dice.random() < 0.3,
        "old": [s | {"slot": w} for s, w in zip(old, where)],
        "new": [s | {"slot": w} for s, w in zip(new, behind)],
    }


# ---- as text ----


def texts(book):
    return [text(book, book["old"]), text(book, book["new"])]


def text(book, scenes):
    display = "; display 8" if book["display"] else ""
    lines = [
        f"switcher {{ loops {book['loops']}; remote jacks 5; expressions 1 of 128 steps; outputs 1; banks 1..2, switches 1..4{display} }}",
        "treadle rocker feeds expression 1",
        "amp hall { fed by output 1 }",
    ]
    for n, (name, what) in enumerate(book["pedals"]):
        says = {
            "none": "",
            "level": "; level way on expression 1 from 0 % to 100 %",
            "program": f"; control way on midi {n + 1} programs from 1 {{ low: program 3; high: program 7 }}",
            "cc": f"; level way on midi {n + 1} cc 20 from 0 % to 100 %",
            "momentary": "; control way on remote 5 tip momentary { low; high } starts low",
            "contact": f"; control way on remote {n // 2 + 1} {'ring' if n % 2 else 'tip'} {{ low: open; high: closed }}",
        }[what]
        lines.append(f"pedal {name} {{ loop {n + 1}{says} }}")
    for s in scenes:
        says = [f"engage {n}" for n in s["engage"]] + [f"engage loop {n}" for n in s["plain"]]
        says += [f"{n}.way {v}" for n, v in s["set"]] + ["mute"] * s["mute"]
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    lines.append("slots { " + "; ".join(f"{s['slot']} {s['name']}" for s in scenes) + " }")
    lines.append("ways as listed")
    lines.append('song "One" { ' + "; ".join(f"p{n}: {s['name']}" for n, s in enumerate(scenes)) + " }")
    return "\n".join(lines) + "\n"


# ---- what is true ----


def memory(book, run, number, known):
    """What each slot holds: a value a cell, None where it is free and not KNOWN."""
    code, out, err = run.one(number, "table", "--format", "json")
    if code != 0:
        raise Skip("errors of a book")
    table, held = json.loads(out), {}
    for row in table["rows"]:
        cells = {
            c["name"]: None if n in row["free"] and not known else str(row["values"][n])
            for n, c in enumerate(table["cells"])
        }
        if book["display"]:
            cells["name"] = row["scene"][:8]
        held[row["slot"]] = cells
    return held


def blank(book, table):
    """What an empty slot of a unit holds that is known to the letter; outputs and names are not."""
    pulses = any(what == "momentary" for _, what in book["pedals"])
    out = {}
    for cell in next(iter(table.values())):
        kind = cell.split("-")[0]
        if kind in ("loop", "remote", "expression", "midi"):
            out[cell] = "stays" if kind == "midi" or pulses and cell == "remote-5-tip" else "0"
    return out


def to_set(target, cells):
    """The cells of TARGET that CELLS do not hold."""
    return [c for c, v in target.items() if v is not None and cells.get(c) != v]


def fewest(old, new, empty):
    """The fewest things to do, over every list that writes each slot at most once."""
    dirty = [s for s in new if to_set(new[s], old.get(s, empty))]
    queue, best, ticket = [(0, 0, frozenset(), {})], {}, itertools.count(1)
    while queue:
        cost, _, done, written = heapq.heappop(queue)
        if len(done) == len(dirty):
            return cost
        key = (done, tuple(sorted((s, tuple(c.items())) for s, c in written.items())))
        if best.get(key, cost + 1) <= cost:
            continue
        best[key] = cost
        now = old | written
        for slot in dirty:
            if slot in done:
                continue
            for source in {slot} | set(now):
                cells = now.get(source, empty)
                price = (source != slot) + len(to_set(new[slot], cells))
                content = {c: v if v is not None else cells.get(c) for c, v in new[slot].items()}
                heapq.heappush(queue, (cost + price, next(ticket), done | {slot}, written | {slot: content}))
    raise AssertionError("no list")


WRITES = [
    (r"pulse remote (\d+) (tip|ring)( \(.*\))?", lambda m: (f"remote-{m[1]}-{m[2]}", "pulse")),
    (r"remote (\d+) (tip|ring): (?:.* → )?(stays)( \(.*\))?", lambda m: (f"remote-{m[1]}-{m[2]}", m[3])),
    (
        r"midi (\d+) (?:program|cc \d+): (?:.* → )?(stays|[\d.]+)(?: %)? \((\S+) (\S+)\)",
        lambda m: (f"midi-{m[1]}:{m[3]}.{m[4]}", m[2]),
    ),
    (r"(engage|bypass) loop (\d+)( \(.*\))?", lambda m: (f"loop-{m[2]}", "1" if m[1] == "engage" else "0")),
    (
        r"(close|open) remote (\d+) (tip|ring)( \(.*\))?",
        lambda m: (f"remote-{m[2]}-{m[3]}", "1" if m[1] == "close" else "0"),
    ),
    (r"expression (\d+): (?:.* → )?(foot|stays|[\d.]+)(?: %)?( \(.*\))?", lambda m: (f"expression-{m[1]}", m[2])),
    (r"output (\d+) (on|off)", lambda m: (f"output-{m[1]}", "1" if m[2] == "on" else "0")),
    (r"name: (.*)", lambda m: ("name", m[1])),
]


def follow(text, held, empty):
    """Does what the list says, line by line; how many things that were."""
    before, held, things, slot, slots = held, {s: dict(c) for s, c in held.items()}, 0, None, 0
    for line in text.splitlines():
        head = re.fullmatch(r"  \[ \] (\S+) `.*`(?:, holds `.*`|, (empty))?", line)
        item = re.fullmatch(r"    \[ \] (.*)", line)
        if head:
            slot, slots = head[1], slots + 1
            held.setdefault(slot, dict(empty)) if head[2] else None
            if head[2] and slot in before:
                raise Broken("a slot is told as empty that holds a preset", line)
            continue
        if not item:
            continue
        things += 1
        copy = re.match(r"store the preset of (\S+) ", item[1])
        if copy:
            if copy[1] not in held:
                raise Broken("a preset is copied from a slot that holds none", line)
            held[slot] = dict(held[copy[1]])
            continue
        for pattern, cell in WRITES:
            found = re.fullmatch(pattern, item[1])
            if found:
                name, value = cell(found)
                held.setdefault(slot, {})[name] = value
                break
        else:
            raise Broken("a line that nobody can follow", line)
    return held, things, slots


# ---- the promise ----


def check(book, run):
    old, new = memory(book, run, 0, book["exact"]), memory(book, run, 1, False)
    code, out, err = run("diff", "--for", "tech", *["--exact"] * book["exact"])
    if code not in (0, 1):
        raise Broken("no diff of two books without errors", err)
    section = re.search(r"^To reprogram\n((?:.+\n)*)", out, re.M)
    section = section[1] if section else ""
    empty = blank(book, new) if book["exact"] else {}
    held, things, slots = follow(section, old, empty)
    least = fewest(old, new, empty)
    report = f"{section}\nfollowed: {things} things; the fewest: {least}; old: {old}; new: {new}"
    for slot, target in new.items():
        wrong = to_set(target, held.get(slot, {}))
        if wrong:
            raise Broken("the list followed to the letter leaves a slot wrong", f"{slot}: {wrong}; {report}")
    told = re.search(r"(\d+) things? to do in (\d+) slots?", section)
    if told and (int(told[1]), int(told[2])) != (things, slots) or not told and things:
        raise Broken("as many things as are told are not listed", report)
    if things < least:
        raise Broken("fewer than can be: the oracle is wrong", report)
    claimed, bound = re.search(r"no list .* fewer", section), re.search(
        r"(\d+) (?:is|are) needed at any rate", section
    )
    if things and bool(claimed) == bool(bound):
        raise Broken("neither said to be the fewest, nor how many are needed", report)
    if claimed and things != least:
        raise Broken("said to be the fewest, and is not", report)
    if bound and int(bound[1]) > least:
        raise Broken("more are said to be needed than are", report)
    steps = stepped(out, section, new)
    words = (
        ["from an exact memory"] * book["exact"]
        + ["with names"] * book["display"]
        + ["with copies"] * ("store the" in section)
    )
    return (
        words
        + ["said to be the fewest"] * bool(claimed)
        + ["the fewest"] * (things == least)
        + ["a number needed at any rate"] * bool(bound)
        + ["stepped through"] * steps
        + ["nothing to do"] * (not things)
    )


def stepped(out, section, new):
    """What is stepped through afterwards shows each cell in each value that was set; no fewer presets do."""
    told = re.search(r"is seen once: (\d+) changes? in (\d+) presets?( \(no fewer presets show them all\))?", out)
    if not told:
        return False
    wanted = set()
    for line in section.splitlines():
        for pattern, cell in WRITES:
            found = re.fullmatch(pattern, line.removeprefix("    [ ] "))
            if found and cell(found)[0] != "name":
                wanted.add(cell(found))
    shown = {slot: {c for c in wanted if row.get(c[0]) == c[1]} for slot, row in new.items()}
    named = re.findall(r"^  \[ \] (\S+) `", out.split("To step through afterwards")[1], re.M)
    report = f"{told[0]}: {named}; wanted {sorted(wanted)}; {out}"
    if int(told[1]) != len(wanted):
        raise Broken(
            "stepping through tells another number of changes than the list sets", f"{len(wanted)} set; {report}"
        )
    if len(named) != int(told[2]) or set().union(*(shown[slot] for slot in named)) != wanted:
        raise Broken("stepping through does not show all that was set", report)
    sizes = (
        n
        for n in range(len(new) + 1)
        for some in itertools.combinations(shown, n)
        if set().union(*(shown[s] for s in some)) == wanted
    )
    if told[3] and len(named) != next(sizes):
        raise Broken("fewer presets show all that was set", report)
    return True


if __name__ == "__main__":
    common.main("the list of a diff", make, texts, check, 200)
