"""What is read back from a unit, and the record of what is in it, against a simulated unit. Written from language.md:

4 "Of a bypassed pedal it is free (don't care, `-`)"; 9 "A change of a free cell is never something to do."
and from `readback --help`: "A TABLE is CSV as `table BOOK --format csv` prints it: a line a slot, a column a cell; an empty cell
was not read." "The record is a text, a line a fact ...: which slot, what was put there or read there, by whom, when, and by which
version of the book. Lines are only ever added. `sheet --from-memory` marks each slot by it, `diff --from-memory` starts from it."

A unit with random wrong cells is read, in the words and signs that people use: every wrong cell that is heard is listed, no free
one, what most songs hear first, what was not read apart; done line by line, the list makes the unit right. Then a tour: slots
are programmed as one of several books says, or read in part, and recorded; what is known is kept here by hand. The record says
the same, the sheet marks each slot by it, the list of `diff --from-memory` sets what is not known to be right and nothing else,
and done to the real unit, of which free cells hold anything, it makes the last book's.
Slots, rows and what is free are taken from `table`, which other tests hold.
"""

import json
import pathlib
import random
import re

import common
import reprogram
from common import Broken, Skip

SONGS = ["Marl", "Quay", "Reel", "Lowing"]


# ---- a random tour ----


def make(dice):
    book = reprogram.make(dice)
    tours = [book["old"], book["new"]]
    for _ in range(dice.randint(0, 2)):
        tours.append([dict(s, engage=[e for e in s["engage"] if dice.random() < 0.8]) for s in tours[-1]])
    songs = [[dice.sample(range(9), dice.randint(1, 4)) for _ in range(dice.randint(1, 4))] for _ in tours]
    return {
        "loops": book["loops"],
        "pedals": book["pedals"],
        "display": book["display"],
        "steps": dice.choice([5, 16, 128, 256, 1000]),
        "tours": [{"scenes": t, "songs": s} for t, s in zip(tours, songs)],
        "renamed": dice.random() < 0.3,
        "dice": dice.random(),
    }


def texts(book):
    out = []
    for number, tour in enumerate(book["tours"]):
        text = reprogram.text(book, tour["scenes"]).replace("of 128 steps", f"of {book['steps']} steps")
        head, _, _ = text.partition('song "One"')
        scenes = [s["name"] for s in tour["scenes"]]
        for title, parts in zip(SONGS, tour["songs"]):
            played = [scenes[p % len(scenes)] for p in parts]
            head += f'song "{title}" {{ ' + "; ".join(f"p{n}: {s}" for n, s in enumerate(played)) + " }\n"
        if book["renamed"] and number == len(book["tours"]) - 1:
            head = head.replace(book["pedals"][0][0], "zinnia")
        out.append(head)
    return out


# ---- what is true ----


def wire(cell):
    """What a cell drives: a message goes by its channel, which each pedal has to itself."""
    return cell.partition(":")[0]


def table(run, number):
    """For each slot: the scene, what each cell holds, and which are free."""
    code, out, err = run.one(number, "table", "--format", "json")
    if code != 0:
        raise Skip("errors of a book")
    told, slots = json.loads(out), {}
    for row in told["rows"]:
        if row["slot"] is None:
            continue
        cells = {wire(c["name"]): str(v) for c, v in zip(told["cells"], row["values"])}
        free = {wire(told["cells"][n]["name"]) for n in row["free"]}
        slots[row["slot"]] = {"scene": row["scene"], "cells": cells, "free": free}
    return [c["name"] for c in told["cells"]], slots


def letters(book, name):
    return name[:8] if book["display"] else None


def position(step, steps):
    """A step in %, in tenths, halves up."""
    tenths = (2 * step * 1000 + steps - 1) // (2 * (steps - 1))
    return f"{tenths // 10}" + (f".{tenths % 10}" if tenths % 10 else "")


def any_value(dice, book, cell, now):
    """Anything that the unit can hold in a cell."""
    kind = wire(cell)
    if kind.startswith("expression"):
        return dice.choice([position(dice.randrange(book["steps"]), book["steps"]), "foot", "stays"])
    if kind.startswith("midi"):
        level = dict((f"midi-{n + 1}", w) for n, (_, w) in enumerate(book["pedals"]))[kind] == "cc"
        return dice.choice([position(dice.randrange(128), 128) if level else str(dice.randint(1, 128)), "stays"])
    if now in ("pulse", "stays"):
        return dice.choice(["pulse", "stays"])
    return dice.choice(["0", "1"])


def written(dice, cell, value):
    """A value in a person's words."""
    words = {
        "loop": {"1": ["1", "in", "engaged", "IN"], "0": ["0", "out", "bypassed"]},
        "remote": {"1": ["1", "closed"], "0": ["0", "open", "Open"]},
        "output": {"1": ["1", "on"], "0": ["0", "off"]},
    }.get(cell.split("-")[0], {})
    number = re.fullmatch(r"[\d.]+", value)
    if cell.startswith("expression") and number:
        return dice.choice([value, value + " %", value + "%"])
    return dice.choice(words.get(value, [value]))


def as_csv(dice, names, rows):
    """A table of what was read: slot to name and cells; None was not read."""
    sign, names = dice.choice([",", ";", "\t"]), dice.sample(names, len(names))
    lines = [sign.join(["slot", "scene", *names])]
    for slot, (name, cells) in dice.sample(sorted(rows.items()), len(rows)):
        said = [cells.get(wire(n)) for n in names]
        told = [dice.choice(["", "-"]) if v is None else written(dice, n, v) for n, v in zip(names, said)]
        told = [t.replace(".", ",") if sign == ";" and dice.random() < 0.5 and re.match(r"[\d.]+", t) else t for t in told]
        lines.append(sign.join([slot, name or "", *told]))
    return dice.choice(["", "\ufeff"]) + dice.choice(["\n", "\r\n"]).join(lines) + "\n"


def program(section, units):
    """Does a list to the unit, line by line; what it sets, slot by slot in its order."""
    slot, out = None, {}
    for line in section.splitlines():
        head = re.fullmatch(r"  \[ \] (\S+) `.*?`(?:, (.*))?", line)
        item = re.fullmatch(r"    \[ \] (.*)", line)
        if head:
            slot = head[1]
            out[slot] = {}
            units.setdefault(slot, {})
        elif item:
            copy = re.match(r"store the preset of (\S+) ", item[1])
            if copy:
                units[slot] = dict(units[copy[1]])
                continue
            for pattern, cell in reprogram.WRITES:
                found = re.fullmatch(pattern, item[1])
                if found:
                    name, value = cell(found)
                    units[slot][wire(name)] = out[slot][wire(name)] = value
                    break
            else:
                raise Broken("a line that nobody can follow", line)
    return out


def section(out, title):
    found = re.search(rf"^{title}\n((?:.+\n)*)", out, re.M)
    return found[1] if found else ""


# ---- the promise ----


def check(book, run):
    dice = random.Random(book["dice"])
    tables = [table(run, n) for n in range(len(book["tours"]))]
    if not all(slots for _, slots in tables):
        raise Skip("nothing is stored")
    words = read_back(dice, book, run, *tables[0])
    return words + recorded(dice, book, run, tables)


def heard(row):
    return {c: v for c, v in row["cells"].items() if c not in row["free"]}


def songs(book, number, scene):
    tour = book["tours"][number]
    scenes = [s["name"] for s in tour["scenes"]]
    return sum(any(scenes[p % len(scenes)] == scene for p in parts) for parts in tour["songs"][: len(SONGS)])


def read_back(dice, book, run, names, slots):
    """A unit with wrong cells, read and mended."""
    share, lost = dice.choice([0, 0.02, 0.2, 1]), dice.choice([0, 0, 0.1])
    unit = {}
    for slot, row in slots.items():
        unit[slot] = {
            wire(n): any_value(dice, book, n, row["cells"][wire(n)])
            if wire(n) in row["free"] or dice.random() < share
            else row["cells"][wire(n)]
            for n in names
        }
        unit[slot]["name"] = dice.choice(["kerf", row["scene"]]) if dice.random() < share else row["scene"]
    seen = {
        slot: (cells["name"], {c: v for c, v in cells.items() if c != "name" and dice.random() >= lost})
        for slot, cells in unit.items()
        if dice.random() >= lost
    }
    if not seen:
        raise Skip("nothing was read")
    path = pathlib.Path(run.files[0]).with_name("read.csv")
    path.write_text(as_csv(dice, names, seen), encoding="utf-8", newline="")
    code, out, err = run.one(0, "readback", str(path))
    if code not in (0, 1):
        raise Broken("a table that is one is refused", f"{err}\n{path.read_text()}")
    wanted, unread = {}, {}
    for slot, row in slots.items():
        name, cells = seen.get(slot, (None, {}))
        wrong = {c: v for c, v in heard(row).items() if c in cells and cells[c] != v}
        if name is not None and book["display"] and name != row["scene"]:
            wrong["name"] = letters(book, row["scene"])
        if wrong:
            wanted[slot] = wrong
        missing = {c for c in heard(row) if c not in cells}
        if missing:
            unread[slot] = missing if slot in seen else None
    listed = program(section(out, "To program"), unit)
    report = f"{out}\n{path.read_text()}\nwanted {wanted}"
    if listed != wanted:
        raise Broken("what differs is not what is listed", report)
    count = {slot: songs(book, 0, slots[slot]["scene"]) for slot in wanted}
    if list(listed) != sorted(wanted, key=lambda s: (-count[s], s)):
        raise Broken("what most songs hear does not come first", report)
    for slot, said in re.findall(r"^  \[ \] (\S+) `.*?`, in (no|\d+) songs?$", out, re.M):
        if count[slot] != (0 if said == "no" else int(said)):
            raise Broken("another number of songs", f"{slot}\n{report}")
    told = {}
    for slot, cells in re.findall(r"^  \[ \] (\S+) `.*?`(?:: (.*))?$", section(out, "Not read"), re.M):
        told[slot] = {wire(c) for c in cells.split(", ")} if cells else None
    if told != unread:
        raise Broken("what was not read is not told so", f"{told}; true: {unread}\n{report}")
    if (code == 0) != (not wanted and not unread):
        raise Broken("the exit code", f"{code}\n{report}")
    if out.startswith("all that is heard was read") != (code == 0):
        raise Broken("all is said to be right", report)
    for slot, row in slots.items():
        left = {c: v for c, v in heard(row).items() if unit[slot][c] != v and slot in seen and c in seen[slot][1]}
        if left:
            raise Broken("the list done to the letter leaves a cell wrong", f"{slot} {left}\n{report}")
    return ["units read back", *["with wrong cells"] * bool(wanted), *["read in part"] * bool(unread)]


def recorded(dice, book, run, tables):
    """A tour: slots programmed and read, and what is known of them."""
    folder = pathlib.Path(run.files[0]).parent
    record, read = folder / "tour.programmed", folder / "part.csv"
    real, known, at = {}, {}, 0
    for day in range(dice.randint(2, 6)):
        at = min(at + (dice.random() < 0.4), len(tables) - 1)
        names, slots = tables[at]
        date = f"2026-11-{day + 10}"
        beside = ["--record", str(record), "--date", date, "--by", "Ines"]
        if not known or dice.random() < 0.6:
            some = dice.sample(sorted(slots), dice.randint(1, len(slots)))
            code, out, err = run.one(at, "readback", "--programmed", ",".join(some), *beside)
            for slot in some:
                row = slots[slot]
                known[slot] = heard(row) | {"name": row["scene"]}
                real[slot] = {wire(n): any_value(dice, book, n, row["cells"][wire(n)]) for n in names} | known[slot]
            right = code == 0
        else:
            some = dice.sample(sorted(known), dice.randint(1, len(known)))
            rows = {}
            for slot in some:
                # Somebody turned something at the unit; it is read.
                for n in names:
                    if dice.random() < 0.1:
                        real[slot][wire(n)] = any_value(dice, book, n, real[slot][wire(n)])
                cells = {wire(n): real[slot][wire(n)] for n in names}
                held = {c: v for c, v in cells.items() if dice.random() < 0.8 or known[slot].get(c, v) != v}
                rows[slot] = (real[slot]["name"] if dice.random() < 0.5 else None, held)
                known[slot].update(held)
            read.write_text(as_csv(dice, names, rows), encoding="utf-8", newline="")
            code, out, err = run.one(at, "readback", str(read), "--keep", *beside)
            right = code in (0, 1)
        if not right:
            raise Broken("nothing was recorded", err)
    says(book, record, known, tables)
    names, slots = tables[-1]
    last, memory = len(tables) - 1, f"--from-memory={record}"
    sets = {}
    for slot, row in slots.items():
        target = heard(row) | ({"name": letters(book, row["scene"])} if book["display"] else {})
        holds = dict(known.get(slot, {}))
        holds["name"] = letters(book, holds["name"]) if "name" in holds else None
        sets[slot] = {c: v for c, v in target.items() if holds.get(c) != v}
    code, out, err = run.one(last, "sheet", memory)
    for slot, row in slots.items():
        mark = "never" if slot not in known else "stale" if sets[slot] else "programmed"
        if not re.search(rf"^{re.escape(slot)} +{row['scene']} +{mark}( |$)", out, re.M):
            raise Broken("a slot is marked otherwise", f"{slot} is {mark}\n{out}{err}\n{record.read_text()}")
    code, out, err = run.one(last, "diff", memory, "--no-copies")
    listed = program(section(out, "To reprogram"), {s: dict(c) for s, c in real.items()})
    want = {s: c for s, c in sets.items() if c}
    if listed != want:
        raise Broken("the list is not what is not known to be right", f"{want}\n{out}{err}\n{record.read_text()}")
    code, out, err = run.one(last, "diff", memory)
    program(section(out, "To reprogram"), real)
    for slot, row in slots.items():
        holds = real.get(slot, {})
        wrong = {c: v for c, v in heard(row).items() if holds.get(c) != v}
        shows = holds.get("name")
        if wrong or book["display"] and (shows is None or letters(book, shows) != letters(book, row["scene"])):
            raise Broken("the list done to the unit leaves a slot wrong", f"{slot} {wrong} {shows}\n{out}\n{record.read_text()}")
    if (code == 0) != (not want and set(known) <= set(slots)):
        raise Broken("the exit code of the list", f"{code}\n{out}")
    return ["tours recorded", *["with something to do"] * bool(want)]


def says(book, record, known, tables):
    """The record, read line by line, says what is known."""
    steps, told = book["steps"], {}
    kinds = {f"midi-{n + 1}": w for n, (_, w) in enumerate(book["pedals"])}
    for line in record.read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            continue
        fact = re.fullmatch(
            r'(\S+) (\S+) (programmed|read)(?: "(.*?)")? by "Ines" book "" [0-9a-f]{12}:(.*) end', line
        )
        if not fact:
            raise Broken("a line of the record that is no fact", line)
        cells = told.setdefault(fact[2], {})
        if fact[3] == "programmed":
            cells.clear()
        if fact[4] is not None:
            cells["name"] = fact[4]
        for pair in filter(None, fact[5].split(",")):
            name, value = pair.strip().split(" ", 1)
            step = re.fullmatch(r"step (\d+) of (\d+)", value)
            cell = re.sub(r"^(midi-\d+)-.*", r"\1", name)
            if step:
                value = position(int(step[1]), int(step[2]))
            elif cell.startswith("midi") and kinds[cell] == "program" and value.isdigit():
                value = str(int(value) + 1)
            cells[cell] = value
    if told != known:
        raise Broken("the record says something else than was done", f"{told}\ntrue: {known}\n{record.read_text()}")


if __name__ == "__main__":
    common.main("what is read back and recorded", make, texts, check, 300)
