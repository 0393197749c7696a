"""One truth about the unit's memory: a simulated unit that reads what is printed, and nothing else of the tool.

A tour is a row of books. Each book's worksheet (`sheet --program`) is typed into an empty unit line by line; then the unit is what
`table` and `midi` print, byte by byte, free cells too. Each next book's `diff` is done to the unit line by line; then it is
what the next `table` and `midi` print, wherever they do not call it free, and no line changed nothing. Written from language.md:

1 "a preset is the row that the switcher stores for it in one slot. Cells are the columns: each loop ..., each contact ..., each
  expression port ..., each output, each message"
4 "Of a bypassed pedal it is free (don't care)"; 9 "A change of a free cell is never something to do."
16 "programs before control changes on each channel; a bank select goes straight before its program"
and MIDI 1.0 (MMA 1996): program change Cn pp, control change Bn cc vv, banks by controllers 0 and 32.
From the worksheet itself: "every loop out, every contact open (but 3R closed), every expression at 0 %, nothing sent"; outputs
are not told there, so an empty unit's are not known. From `diff --help`: "--exact: The unit holds OLD to the letter, as after
programming it from empty"; without it, what OLD calls free, and slots that OLD leaves empty, may hold anything.
With `--set` each slot carries the presses to it and how far the set is right: held against the unit after each slot.
"""

import json
import re
import subprocess

import common
from common import Broken, Skip

ANY = "?"
SONGS = ["Marl", "Quay", "Reel"]


# ---- a random tour ----


def make(dice):
    loops, letters = dice.randint(3, 6), dice.random() < 0.5
    banks = dice.randint(2, 4)
    rig = {
        "loops": loops,
        "letters": letters,
        "banks": banks,
        "display": dice.random() < 0.6,
        "steps": dice.choice([5, 16, 128, 256]),
        "presses": dice.random() < 0.7,
        "wakes": dice.random() < 0.5,
    }
    slots = [[b, s] for b in range(1, banks + 1) for s in range(3)]
    pedals = board(dice, loops)
    scenes = [scene(dice, pedals, loops, n) for n in dice.sample(common.SCENES, dice.randint(2, 5))]
    books = [book(dice, pedals, scenes, slots)]
    for _ in range(5):
        if dice.random() < 0.35:
            pedals = board(dice, loops) if dice.random() < 0.3 else turned(dice, pedals)
        fresh = [n for n in common.SCENES if all(n != s["name"] for s in scenes)]
        scenes = [near(dice, s, pedals, s["name"]) for s in scenes if dice.random() < 0.9]
        if not scenes or dice.random() < 0.4:
            name = dice.choice(fresh)
            scenes = scenes + [near(dice, dice.choice(scenes), pedals, name) if scenes else scene(dice, pedals, loops, name)]
        scenes = scenes[:6]
        books.append(book(dice, pedals, scenes, slots))
    how = [[], [], ["--no-copies"], ["--exact"], ["--exact"], ["--exact", "--no-copies"], ["--set", "night"], ["--set", "night", "--exact"]]
    return {"rig": rig, "books": books, "how": [dice.choice(how) for _ in books]}


KINDS = ["none", "contact", "contact", "closed", "pair", "level", "program", "program", "banked", "cc", "momentary"]


def board(dice, loops):
    """Pedals by loop: kind, and the jack or channel that it is on."""
    pedals = [[common.PEDALS[n], dice.choice(KINDS), n + 1] for n in range(dice.randint(2, loops))]
    for once in ("level", "momentary", "closed"):
        for p in [p for p in pedals if p[1] == once][1:]:
            p[1] = "none"
    return pedals


def turned(dice, pedals):
    """The same pedals, with what two of them are moved by swapped, or one without."""
    pedals = json.loads(json.dumps(pedals))
    one, other = dice.choice(pedals), dice.choice(pedals)
    one[1], other[1] = other[1], one[1]
    one[2], other[2] = other[2], one[2]
    if dice.random() < 0.3:
        dice.choice(pedals)[1] = "none"
    return pedals


LEVELS = ["0 %", "50 %", "100 %", "20 %"]


def value(dice, kind):
    stays = ["stays"] if dice.random() < 0.15 else []
    return dice.choice({"level": LEVELS + ["foot"], "cc": LEVELS}.get(kind, ["low", "high"]) + stays)


def scene(dice, pedals, loops, name):
    return {
        "name": name,
        "engage": [n for n, _, _ in pedals if dice.random() < 0.5],
        "plain": [n for n in range(len(pedals) + 1, loops + 1) if dice.random() < 0.3],
        "set": [[n, value(dice, k)] for n, k, _ in pedals if k != "none" and dice.random() < 0.8],
        "off": [o for o in (1, 2) if dice.random() < 0.15],
    }


def near(dice, other, pedals, name):
    kinds = {n: k for n, k, _ in pedals}
    new = json.loads(json.dumps(other)) | {"name": name}
    fits = lambda k, v: v == "stays" or (k in ("level", "cc")) == (v.endswith("%") or v == "foot") and (v != "foot" or k == "level")
    new["set"] = [[n, v] for n, v in new["set"] if kinds.get(n, "none") != "none" and fits(kinds[n], v)]
    new["engage"] = [n for n in new["engage"] if n in kinds]
    new["plain"] = [n for n in new["plain"] if n > len(pedals)]
    for _ in range(dice.choice([0, 0, 1, 1, 2])):
        n, kind, _ = dice.choice(pedals)
        if dice.random() < 0.5:
            new["engage"] = sorted(set(new["engage"]) ^ {n})
        elif kind != "none":
            new["set"] = [s for s in new["set"] if s[0] != n] + [[n, value(dice, kind)]]
    return new


def book(dice, pedals, scenes, slots):
    """Scenes in slots, some in several."""
    names = [s["name"] for s in scenes]
    free = dice.sample(slots, len(slots))
    where = [[free.pop(), n] for n in names]
    if dice.random() < 0.3:
        last = [[b, 2] for b in sorted({b for b, _ in slots})]
        name = dice.choice(names)
        where = [[s, n] for s, n in where if s not in last] + [[s, name] for s in last]
        free = [s for s in free if s not in last] + [s for s in slots if s not in last and all(s != w for w, _ in where) and s not in free]
        where += [[free.pop(), n] for n in names if all(n != m for _, m in where) and free]
    where += [[free.pop(), dice.choice(names)] for _ in range(dice.randint(0, 3)) if free]
    default = [[n, value(dice, k)] for n, k, _ in pedals if k != "none"]
    parts = [[dice.choice(names) for _ in range(dice.randint(1, 3))] for _ in SONGS]
    return {"pedals": pedals, "scenes": scenes, "where": where, "default": [[n, "low" if v == "stays" and dict((p[0], p[1]) for p in pedals)[n] not in ("level", "cc") else "20 %" if v == "stays" else v] for n, v in default], "songs": parts}


def shown(rig, slot):
    return f"{slot[0]}{'ABC'[slot[1]]}" if rig["letters"] else f"{slot[0]}.{slot[1] + 1}"


def texts(tour):
    return [text(tour["rig"], b) for b in tour["books"]]


def text(rig, b):
    switches = "A..C" if rig["letters"] else "1..3"
    lines = [
        f"switcher {{ loops {rig['loops']}; remote jacks 7; expressions 1 of {rig['steps']} steps; outputs 2; banks 1..{rig['banks']}, "
        f"switches {switches}{'; display 8' if rig['display'] else ''}"
        f"{'; presses: same bank 1, bank step 2' if rig['presses'] else ''}"
        f"{'; wakes ' + shown(rig, b['where'][0][0]) if rig['wakes'] else ''} }}",
        "treadle rocker feeds expression 1",
        "amp hall { fed by output 1 }",
        "amp barn { fed by output 2 }",
        "ways as listed",
    ]
    for n, (name, kind, at) in enumerate(b["pedals"]):
        says = {
            "none": "",
            "level": "; level way on expression 1 from 0 % to 100 %",
            "program": f"; control way on midi {at} programs from {at % 2} {{ low: program 3; high: program 7 }}",
            "banked": f"; control way on midi {at} programs from 1 {{ low: program 3; high: program 7 bank 200 }}",
            "cc": f"; level way on midi {at} cc {20 + at % 2} from 0 % to 100 %",
            "momentary": "; control way on remote 7 tip momentary { low; high } starts low",
            "closed": "; control way on remote 7 ring normally closed { low: open; high: closed }",
            "contact": f"; control way on remote {at} tip {{ low: open; high: closed }}",
            "pair": f"; control way on remote {at} {{ low: tip closed, ring open; high: tip open, ring closed }}",
        }[kind]
        lines.append(f"pedal {name} {{ loop {n + 1}{says} }}")
    lines.append("default { " + "; ".join(f"{n}.way {v}" for n, v in b["default"]) + " }")
    for s in b["scenes"]:
        says = [f"engage {n}" for n in s["engage"]] + [f"engage loop {n}" for n in s["plain"]]
        says += [f"{n}.way {v}" for n, v in s["set"]] + [f"output {o} off" for o in s["off"]]
        lines.append(f"scene {s['name']} {{ {'; '.join(says)} }}")
    lines.append("slots { " + "; ".join(f"{shown(rig, w)} {n}" for w, n in b["where"]) + " }")
    for title, parts in zip(SONGS, b["songs"]):
        lines.append(f'song "{title}" {{ ' + "; ".join(f"p{n}: {p}" for n, p in enumerate(parts)) + " }")
    lines.append('set "night" { ' + "; ".join(f'"{t}"' for t in SONGS) + " }")
    return "\n".join(lines) + "\n"


# ---- the unit ----


def sends(bytes_, slot):
    """Takes channel messages into a slot."""
    bank, at = [], 0
    while at < len(bytes_):
        kind, channel = bytes_[at] & 0xF0, (bytes_[at] & 15) + 1
        if kind == 0xB0 and bytes_[at + 1] in (0, 32):
            bank += bytes_[at + 1 : at + 3]
            at += 3
        elif kind == 0xB0:
            slot[f"midi {channel} cc {bytes_[at + 1]}"] = (bytes_[at + 2],)
            at += 3
        elif kind == 0xC0:
            slot[f"midi {channel} program"] = (*bank, bytes_[at + 1])
            bank, at = [], at + 2
        else:
            raise Broken("bytes that are no channel message", str(bytes_))
    if bank:
        raise Broken("a bank is chosen, and no program", str(bytes_))


def tenths(step, steps):
    return (2 * step * 1000 + steps - 1) // (2 * (steps - 1))


def step(percent, steps):
    """The step that is printed so: steps are whole tenths apart."""
    wanted = round(float(percent) * 10)
    return next(s for s in range(steps) if tenths(s, steps) == wanted)


def empty(rig, closed, pulses):
    slot = {f"loop {n}": 0 for n in range(1, rig["loops"] + 1)}
    slot |= {f"{j}{side}": 0 for j in range(1, 8) for side in "TR"} | {c: 1 for c in closed}
    slot |= {c: "stays" for c in pulses}
    return slot | {"X1": 0, "O1": ANY, "O2": ANY, "name": ANY}


WORKSHEET = [
    (r"(\d+[TR]) (closed|open|pulse|stays) ?(?:as it is)?(?: \(.*\))?", lambda m, r: (m[1], {"closed": 1, "open": 0}.get(m[2], m[2]))),
    (r"(X\d) at ([\d.]+) % = step (\d+) of 0\.\.(\d+)", lambda m, r: (m[1], at_step(m, r))),
    (r"(X\d) to the (foot)", lambda m, r: (m[1], m[2])),
    (r"(X\d) (stays) as it is", lambda m, r: (m[1], m[2])),
    (r"(O\d) (on|off)", lambda m, r: (m[1], int(m[2] == "on"))),
]


def at_step(m, rig):
    if int(m[4]) != rig["steps"] - 1 or round(float(m[2]) * 10) != tenths(int(m[3]), rig["steps"]):
        raise Broken("a step that is not the percentage beside it", m[0])
    return int(m[3])


def worksheet(rig, pulses, printed):
    """The unit once the worksheet was typed into it; how many slots were copied, and the songs as the sheet has them."""
    songs = {}
    for title, parts in re.findall(r"^ +\d+  (\w+)(?:  ·.*)?\n((?:    .*\n)+)", printed, re.M):
        songs[title] = re.findall(r"^    (\d+(?:[A-C]|\.\d))  ", parts, re.M)
    labels = {m[1]: f"loop {m[0]}" for m in re.findall(r"^loop +(\d+)  ([A-Z]+)", printed, re.M)}
    labels |= {f"L{n}": f"loop {n}" for n in range(1, rig["loops"] + 1)}
    text = re.sub(r"\n {28}", " ", printed.split("programming the unit from empty")[1])
    told = " ".join(text.split("First box")[0].split())
    closed = re.search(r"every contact open(?: \(but (.*?) closed\))?, every expression at 0 %, nothing sent, no pulse", told)
    if not closed:
        raise Broken("it is not said what an empty preset has", told)
    blank = empty(rig, closed[1].split(" and ") if closed[1] else [], pulses)
    unit, copied = {}, 0
    for line in re.findall(r"^\[ \] \[ \]  (.*)", text, re.M):
        copy = re.fullmatch(r"copy (\S+) to (.*)", line)
        if copy:
            for slot in targets(rig, copy[1], copy[2]):
                if slot in unit:
                    raise Broken("a slot is programmed twice", line)
                unit[slot], copied = dict(unit[copy[1]]), copied + 1
            continue
        slot, name, says = re.fullmatch(r"(\S+) +(\S+) +(.*)", line).groups()
        if slot in unit:
            raise Broken("a slot is programmed twice", line)
        held = unit.setdefault(slot, dict(blank))
        held["name"] = name
        for item in re.split(r"[;,] ", says) if says != "nothing" else []:
            before = dict(held)
            do(rig, labels, item, held)
            if held == before:
                raise Broken("a line of the worksheet sets what an empty preset has", f"{item}: {line}")
    return blank, unit, copied, songs


def do(rig, labels, item, held):
    loop, sent = re.fullmatch(r"(\S+) in", item), re.fullmatch(r"midi (\d+): .* \(([0-9A-F ]+)\)", item)
    if loop:
        held[labels[loop[1]]] = 1
    elif sent:
        bytes_ = [int(b, 16) for b in sent[2].split()]
        if any((b & 15) + 1 != int(sent[1]) for b in bytes_ if b > 127):
            raise Broken("bytes of another channel", item)
        sends(bytes_, held)
    else:
        for pattern, cell in WORKSHEET:
            found = re.fullmatch(pattern, item)
            if found:
                key, what = cell(found, rig)
                held[key] = what
                return
        raise Broken("a line of the worksheet that nobody can follow", item)


def targets(rig, source, where):
    """`all D`, `D of banks 2 to 9`, `1.2, 2.3`."""
    made = lambda bank, switch: f"{bank}{switch}" if rig["letters"] else f"{bank}.{switch}"
    out, at = [], where
    every = re.fullmatch(r"all (?:switches )?(\w+)", where)
    if every:
        return [s for s in (made(b, every[1]) for b in range(1, rig["banks"] + 1)) if s != source]
    for piece in re.split(r", ", at):
        run = re.fullmatch(r"(?:switch )?(\w+) of banks (\d+) to (\d+)", piece)
        out += [made(b, run[1]) for b in range(int(run[2]), int(run[3]) + 1)] if run else [piece]
    return out


# ---- what is printed of it ----


def keys_of(book):
    """By which message each control is sent."""
    key = {"program": "midi {} program", "banked": "midi {} program", "cc": "midi {} cc {}"}
    return {f"midi-{at}:{n}.way": key[k].format(at, 20 + at % 2) for n, k, at in book["pedals"] if k in key}


def table(rig, keys, printed, sent):
    """The memory by `table` and `midi`: for each slot a value a cell, and the cells that are free."""
    told, memory, free = json.loads(printed), {}, {}
    for row in told["rows"]:
        if row["slot"] is None:
            raise Skip("a scene in no slot")
        slot, loose = {}, set()
        for n, cell in enumerate(told["cells"]):
            key, what = cell["name"], row["values"][n]
            if key.startswith("loop-"):
                key = key.replace("-", " ")
            elif key.startswith("remote-"):
                jack = key.split("-")
                key = jack[1] + jack[2][0].upper()
            elif key.startswith("expression-"):
                key, what = "X" + key[11:], what if isinstance(what, str) else step(what, rig["steps"])
            elif key.startswith("output-"):
                key = "O" + key[7:]
            else:
                loose |= {keys[key]} if n in row["free"] else set()
                continue
            slot[key] = what
            loose |= {key} if n in row["free"] else set()
        slot["name"] = row["scene"][: 8 if rig["display"] else 99]
        memory[row["slot"]], free[row["slot"]] = slot, loose
    for preset in json.loads(sent)["presets"]:
        for line in preset["messages"]:
            sends([int(b, 16) for b in line["bytes"].split()], memory[preset["slot"]])
    return memory, free


def diff_value(pedals, rig, control, text, key):
    """What a message line stores: None for nothing."""
    if text == "stays":
        return None
    if " cc " in key:
        return (step(text.removesuffix(" %"), 128),)
    kind, at = pedals[control.split(".")[0]]
    found = re.fullmatch(r"(?:(\d+)/)?(\d+)(?: in bank (\d+))?", text)
    first = at % 2 if kind == "program" else 1
    bank = int(found[1] or found[3] or 1) - 1
    return ((0, bank >> 7, 32, bank & 127) if kind == "banked" else ()) + (int(found[2]) - first,)


WRITES = [
    (r"(engage|bypass) loop (\d+)(?: \(.*\))?", lambda m: (f"loop {m[2]}", int(m[1] == "engage"))),
    (r"(close|open) remote (\d+) (tip|ring)(?: \(.*\))?", lambda m: (m[2] + m[3][0].upper(), int(m[1] == "close"))),
    (r"pulse remote (\d+) (tip|ring)(?: \(.*\))?", lambda m: (m[1] + m[2][0].upper(), "pulse")),
    (r"remote (\d+) (tip|ring): (?:.* → )?(stays)(?: \(.*\))?", lambda m: (m[1] + m[2][0].upper(), m[3])),
    (r"output (\d+) (on|off)", lambda m: (f"O{m[1]}", int(m[2] == "on"))),
    (r"name: (\S+)", lambda m: ("name", m[1])),
]


def follow(rig, book, section, unit, unknown, after_slot):
    """Does the list to the unit, line by line; `unknown` is what a slot holds that is not known."""
    pedals = {n: (k, at) for n, k, at in book["pedals"]}
    slot, things, copies = None, 0, 0
    for line in section.splitlines():
        head = re.fullmatch(r"  \[ \] (\S+) `.*`(?:, holds `.*`|, (empty))?(?: \((\d+) press(?:es)? from (\S+?)(?: by way of (\S+))?\))?", line)
        item = re.fullmatch(r"    \[ \] (.*)", line)
        taken = re.fullmatch(r"  \[ \] take `(.*)` out of (.*?): the new board sets no such message", line)
        mark = re.fullmatch(r"    (right up to song \d+.*|right to the end of the set|song 1, .* is not right yet)", line)
        if taken:
            for at in taken[2].split(", "):
                if taken[1] not in unit.get(at, {}):
                    raise Broken("a message is taken out of a preset that does not send it", f"{line}\n{unit.get(at)}")
                del unit[at][taken[1]]
        elif head:
            slot = head[1]
            if head[2] and slot in unit:
                raise Broken("a slot is told as empty that holds a preset", line)
            unit.setdefault(slot, dict(unknown))
            after_slot(("head", head))
        elif mark:
            after_slot(("mark", mark[1]))
        elif item:
            things += 1
            before, is_copy = dict(unit[slot]), re.match(r"store the preset of (\S+) ", item[1])
            if is_copy:
                if is_copy[1] not in unit:
                    raise Broken("a preset is copied from a slot that holds none", line)
                unit[slot], copies = dict(unit[is_copy[1]]), copies + 1
            else:
                key, what = read(pedals, rig, item[1])
                if what is None:
                    unit[slot].pop(key, None)
                else:
                    unit[slot][key] = what
            if unit[slot] == before:
                raise Broken("a line that changes no byte", f"{slot}: {item[1]}\n{section}")
    return things, copies


def read(pedals, rig, item):
    for pattern, cell in WRITES:
        found = re.fullmatch(pattern, item)
        if found:
            return cell(found)
    found = re.fullmatch(r"expression 1: (?:.* → )?(foot|stays|[\d.]+)(?: %)?(?: \(.*\))?", item)
    if found:
        return "X1", found[1] if found[1].isalpha() else step(found[1], rig["steps"])
    found = re.fullmatch(r"(midi \d+ (?:program|cc \d+)): (?:.* → )?(.*?)(?: by the new count)? \((\S+) (\S+)\)", item)
    if found:
        return found[1], diff_value(pedals, rig, f"{found[3]}.{found[4]}", found[2], found[1])
    raise Broken("a line that nobody can follow", item)


# ---- the promise ----


def printed(run, number):
    code, out, err = run.one(number, "table", "--format", "json")
    if code != 0:
        raise Skip("errors of a book")
    return run.one(number, "sheet", "--program")[1], out, run.one(number, "midi", "--format", "json")[1]


def wrong(unit, memory, free, keys, slots, others=True):
    """What a unit holds otherwise than a table that is not free; nothing else may be sent."""
    out = []
    for slot in slots:
        held, loose, want = unit.get(slot, {}), free[slot], memory[slot]
        out += [f"{slot} {k}: {held.get(k)}, not {v}" for k, v in want.items() if k not in loose and held.get(k) != v and k != "name"]
        # What the new board does not know, and the old one calls free, may be there or not.
        other = [k for k, v in held.items() if k.startswith("midi") and k not in want and k not in loose]
        out += [f"{slot} sends {k}" for k in other if k in keys.values() or others and held[k] != ANY]
    return out


def check(tour, run):
    rig, words = tour["rig"], []
    told = []
    for n, b in enumerate(tour["books"]):
        sheet, rows, sent = printed(run, n)
        keys = keys_of(b)
        memory, free = table(rig, keys, rows, sent)
        blank, unit, copied, songs = worksheet(rig, ["7T"] * any(k == "momentary" for _, k, _ in b["pedals"]), sheet)
        same = {s: {k: v for k, v in u.items()} for s, u in unit.items()}
        if same != memory:
            lines = [f"{s} {k}: unit {same.get(s, {}).get(k)}, table {memory.get(s, {}).get(k)}" for s in set(same) | set(memory) for k in set(same.get(s, {})) | set(memory.get(s, {})) if same.get(s, {}).get(k) != memory.get(s, {}).get(k)]
            raise Broken("the worksheet and the table are two memories", "\n".join(sorted(lines)) + "\n" + sheet.split("programming")[1])
        told.append((memory, free, keys, blank, songs))
        words += ["worksheets"] + ["copied slots"] * copied + ["worksheets with copies"] * bool(copied) + ["free cells"] * sum(map(len, free.values()))
    for n, how in enumerate(tour["how"][1:]):
        words += pair(tour, run, n, how, told)
    return words


def pair(tour, run, n, how, told):
    rig, exact, night = tour["rig"], "--exact" in how, "--set" in how
    (old, loose, was_keys, blank, _), (new, free, keys, _, songs) = told[n], told[n + 1]
    done = subprocess.run(
        [common.BINARY, "diff", run.files[n], run.files[n + 1], *([] if night else ["--for", "tech"]), *how],
        capture_output=True,
        text=True,
        timeout=60,
    )
    if done.returncode not in (0, 1):
        raise Broken("no diff of two books without errors", done.stderr)
    found = re.search(r"^To reprogram(?:, as it is played)?\n((?:.+\n)*)", done.stdout, re.M)
    section = found[1] if found else ""
    # A unit that shows no names has none.
    unit = {s: dict(u) if rig["display"] else u | {"name": ANY} for s, u in old.items()}
    # What nobody hears, and what the old board does not know, may hold anything.
    unknown = {k: ANY for k in [*blank, *keys.values()]} if not exact else dict(blank)
    if not exact:
        for slot, held in unit.items():
            held |= {k: ANY for k in loose[slot]}
            for k in keys.values():
                # A message that the old board never sends.
                if k not in was_keys.values():
                    held[k] = ANY
    slots = new.keys()
    state = {"at": None, "right": None, "marks": 0}
    if night:
        slots = {s for parts in songs.values() for s in parts}
        wakes = shown(rig, tour["books"][n + 1]["where"][0][0]) if rig["wakes"] else None
        state["at"] = wakes
        started = re.search(r"Before the first: (.*?)\. Keep", section)
        if started:
            marked(started[1], unit, new, free, keys, songs, section)
    waiting = []

    def after_slot(event):
        if not night:
            return
        kind, what = event
        if kind == "head":
            waiting.append(what)
            presses(rig, what, state, section)
            state["at"] = what[1]
        else:
            state["marks"] += 1
            marked(what, unit, new, free, keys, songs, section)

    things, copies = follow(rig, tour["books"][n + 1], section, unit, unknown, after_slot)
    bad = wrong(unit, new, free, keys, slots)
    if rig["display"]:
        bad += [f"{s} is called {unit[s].get('name')}" for s in slots if unit.get(s, {}).get("name") != new[s]["name"]]
    if bad:
        raise Broken("done to the letter, the list leaves the unit wrong", "\n".join(bad) + f"\n{' '.join(how)}\n{done.stdout}")
    if night and section and state["marks"] != len(waiting):
        raise Broken("a slot without a mark of how far the set is right", section)
    if copies and "--no-copies" in how:
        raise Broken("copied where no copies are wanted", section)
    return (
        ["pairs", "pairs " + (" ".join(h for h in how if h.startswith("--")) or "by default")]
        + ["lines done"] * things
        + ["presets copied by a diff"] * copies
        + ["marks"] * state["marks"]
        + ["nothing to do"] * (not things)
    )


def presses(rig, head, state, section):
    """From where one stands, by way of what is copied."""
    if not rig["presses"] or state["at"] is None:
        if head[3]:
            raise Broken("presses are counted that nobody stated", head[0])
        return
    cost = lambda a, b: 0 if a == b else 1 + 2 * abs(int(re.match(r"\d+", a)[0]) - int(re.match(r"\d+", b)[0]))
    by = head[5] or head[1]
    if head[4] != state["at"] or int(head[3]) != cost(state["at"], by) + cost(by, head[1]):
        raise Broken("presses that are not those to this slot", f"{head[0]}, standing on {state['at']}\n{section}")


def marked(mark, unit, new, free, keys, songs, section):
    """Every song up to the mark is right, and the next is not. What no device of the new board receives is no matter."""
    order = [songs[t] for t in SONGS]
    right = lambda parts: not wrong(unit, new, free, keys, set(parts), False) and all(unit.get(s, {}).get("name") in (ANY, new[s]["name"]) for s in parts)
    number = re.search(r"right up to song (\d+)", mark)
    claimed = int(number[1]) if number else len(SONGS) if "end" in mark else 0
    true = next((n for n, parts in enumerate(order) if not right(parts)), len(SONGS))
    if claimed != true:
        raise Broken("the set is said to be right so far, and is not", f"{mark}; right are {true} songs\n{section}")


if __name__ == "__main__":
    common.main("one truth about the memory", make, texts, check, 2000)
