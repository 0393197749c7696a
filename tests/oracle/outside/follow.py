"""The text follows: after `change` the table is the wanted one, nothing else moves, and fewer statements would not do.

Rows are settled here by walking down the ranks of each scene (own block, layers, parent, default), and fewer statements
are looked for by trying all of them, block by block. The change back must give the first table again.
"""

import csv
import difflib
import io
import itertools
import pathlib
import re

import common
from common import Broken, Skip

PEDALS = common.PEDALS
STEPS = 128
RANGES = [("0 %", "100 %"), ("0 %", "60 %"), ("100 ms", "900 ms"), ("-6 dB", "6 dB"), ("80 %", "20 %")]
MOST_TRIED = 40_000


# ---- books ----


def make(dice):
    jacks, ports, contact = 4, 2, iter([(j, s) for j in range(1, 5) for s in ("tip", "ring")])
    pedals, port = [], 0
    for n in range(dice.randint(1, 4)):
        controls = []
        for c in range(dice.choice([0, 1, 1, 2])):
            kind = dice.choice(["latch", "latch", "pair", "port", "prog", "cc", "foot", "shared", "closed"])
            control = {"name": f"c{c}", "kind": kind}
            if kind in ("latch", "closed"):
                at = next(contact, None)
                if at is None:
                    continue
                control["at"] = [list(at)]
            elif kind == "shared":
                other = next((q for p in pedals for q in p["controls"] if q["kind"] in ("latch", "shared")), None)
                if other is None:
                    continue
                other["kind"] = "shared"
                control["at"] = other["at"]
            elif kind == "pair":
                at = next(contact, None)
                if at is None or at[1] == "ring":
                    at = next(contact, None)
                if at is None:
                    continue
                next(contact, None)
                control["at"] = [[at[0], "tip"], [at[0], "ring"]]
                control["patterns"] = dice.sample(["00", "01", "10", "11"], dice.randint(2, 4))
            elif kind == "port":
                port += 1
                if port > ports:
                    continue
                control["port"], control["range"] = port, dice.choice(RANGES)
            elif kind == "prog":
                control["programs"] = dice.sample(range(1, 30), dice.randint(2, 3))
            elif kind == "cc":
                control["cc"], control["range"] = 10 + c, dice.choice(RANGES)
            controls.append(control)
        pedals.append({"name": PEDALS[n], "loop": n + 1, "controls": controls, "on": dice.random() < 0.1})
    book = {
        "pedals": pedals,
        "jacks": jacks,
        "amps": dice.randint(0, 2),
        "layers": [],
        "scenes": [],
        "default": None,
        "crlf": dice.random() < 0.1,
        "twice": dice.random() < 0.3,
    }
    units = all_units(book)
    if dice.random() < 0.9:
        said = []
        for _, _, stands in controls_of(book):
            if stands and dice.random() < 0.95:
                said.append(dice.choice(stands))
        book["default"] = block(dice, book, said + draw(dice, units, dice.choice([0, 0, 1])))
    for n in range(dice.choice([0, 0, 1, 1, 2])):
        book["layers"].append({"name": f"layer-{n}", "block": block(dice, book, draw(dice, units, dice.randint(1, 2)))})
    for n in range(dice.randint(1, 7)):
        parent = dice.choice(book["scenes"])["name"] if book["scenes"] and dice.random() < 0.65 else None
        mixed = [l["name"] for l in book["layers"] if dice.random() < 0.3]
        said = draw(dice, units, dice.choice([0, 0, 1, 1, 2, 3]))
        book["scenes"].append(
            {"name": common.SCENES[n], "from": parent, "with": mixed, "block": block(dice, book, said)}
        )
    wanted = []
    first = dice.choice(book["scenes"])["name"]
    for _ in range(dice.choice([1, 1, 1, 2, 3, 5])):
        scene = first if dice.random() < 0.5 else dice.choice(book["scenes"])["name"]
        wanted.append([scene, dice.choice(units)])
    if dice.random() < 0.25:
        # One thing for many scenes: what they share may do.
        unit = dice.choice(units)
        wanted = [[s["name"], unit] for s in book["scenes"] if dice.random() < 0.8] or wanted
    book["wanted"] = wanted
    book["by"] = dice.choice(["words", "words", "table"])
    return book


def draw(dice, units, count):
    return [dice.choice(units) for _ in range(count)]


def controls_of(book):
    """Each control with its pedal, and the units that set it."""
    for pedal in book["pedals"]:
        for control in pedal["controls"]:
            yield pedal, control, settings(pedal, control)


def settings(pedal, control):
    who, name = pedal["name"], control["name"]
    kind = control["kind"]
    if kind in ("latch", "shared", "closed"):
        return [["state", who, name, s] for s in ("low", "high")]
    if kind == "pair":
        return [["state", who, name, f"s{n}"] for n in range(len(control["patterns"]))]
    if kind == "prog":
        return [["state", who, name, f"p{n}"] for n in range(len(control["programs"]))]
    if kind == "foot":
        return [["state", who, name, s] for s in ("slow", "fast")]
    return [["level", who, name, amount] for amount in amounts(control["range"])]


def amounts(ends):
    low, unit = ends[0].split()
    high = ends[1].split()[0]
    low, high = float(low), float(high)
    return [f"{low + (high - low) * share:g} {unit}" for share in (0, 0.25, 0.5, 0.75, 1)]


def all_units(book):
    units = []
    for pedal in book["pedals"]:
        units += [["engage", pedal["name"]], ["bypass", pedal["name"]]] * 2
    for pedal, control, stands in controls_of(book):
        units += stands
        if not control["kind"] == "port":
            units.append(["stays", pedal["name"], control["name"]])
        for jack, side in control.get("at", []):
            units += [["open", jack, side], ["close", jack, side]]
        if control["kind"] == "port":
            units += [["port", control["port"], f"{p} %"] for p in (0, 20, 55.5, 100)]
    units += [["open", 4, "ring"], ["close", 4, "ring"]]
    for n in range(1, 3):
        units += [["output", n, "on"], ["output", n, "off"]]
    units.append(["mute"])
    return units


def block(dice, book, units):
    """Statements that do not touch one another's cells, with how they are laid out."""
    kept, touched = [], set()
    for unit in units:
        cells = set(effects(book, unit))
        if cells and not cells & touched:
            kept.append(unit)
            touched |= cells
    dice.shuffle(kept)
    return {
        "units": kept,
        "lines": dice.random() < 0.4,
        "notes": dice.random() < 0.3,
        "join": dice.random() < 0.7,
    }


def unit_text(unit):
    kind, *rest = unit
    if kind in ("engage", "bypass"):
        return f"{kind} {rest[0]}"
    if kind in ("open", "close"):
        return f"{kind} remote {rest[0]} {rest[1]}"
    if kind in ("state", "level"):
        return f"{rest[0]}.{rest[1]} {rest[2]}"
    if kind == "stays":
        return f"{rest[0]}.{rest[1]} stays"
    if kind == "port":
        return f"expression {rest[0]} at {rest[1]}"
    if kind == "output":
        return f"output {rest[0]} {rest[1]}"
    return kind


def block_text(block):
    said = [unit_text(u) for u in block["units"]]
    if block["join"]:
        for word in ("engage", "bypass", "open", "close"):
            mine = [s for s in said if s.startswith(word + " ")]
            if len(mine) > 1:
                at = said.index(mine[0])
                said = [s for s in said if s not in mine]
                said.insert(at, f"{word} " + ", ".join(s[len(word) + 1 :] for s in mine))
    if block["lines"]:
        notes = [f"  # note {n}" if block["notes"] else "" for n in range(len(said))]
        return "{\n" + "".join(f"  {s}{note}\n" for s, note in zip(said, notes)) + "}"
    return "{ " + "; ".join(said) + " }" if said else "{ }"


def texts(book):
    lines = [
        "# a board",
        f"switcher {{ loops 5; remote jacks {book['jacks']}; expressions 2 of {STEPS} steps; outputs 2; "
        "banks 1..4, switches 1..4 }",
    ]
    channel = itertools.count(1)
    for pedal in book["pedals"]:
        facts = [f"loop {pedal['loop']}", "place top"] + ["always on"] * pedal["on"]
        mine = next(channel)
        for control in pedal["controls"]:
            kind, name = control["kind"], control["name"]
            if kind in ("latch", "shared", "closed"):
                jack, side = control["at"][0]
                word = {"latch": "", "shared": " shared", "closed": " normally closed"}[kind]
                facts.append(f"control {name} on remote {jack} {side}{word} {{ low: open; high: closed }}")
            elif kind == "pair":
                words = {"0": "open", "1": "closed"}
                states = [f"s{n}: tip {words[p[0]]}, ring {words[p[1]]}" for n, p in enumerate(control["patterns"])]
                facts.append(f"control {name} on remote {control['at'][0][0]} {{ {'; '.join(states)} }}")
            elif kind == "port":
                low, high = control["range"]
                facts.append(f"level {name} on expression {control['port']} from {low} to {high}")
            elif kind == "prog":
                states = [f"p{n}: program {p}" for n, p in enumerate(control["programs"])]
                facts.append(f"control {name} on midi {mine} programs from 1 {{ {'; '.join(states)} }}")
            elif kind == "cc":
                low, high = control["range"]
                facts.append(f"level {name} on midi {mine} cc {control['cc']} from {low} to {high}")
            else:
                facts.append(f"control {name} by foot {{ slow; fast }}")
        lines.append(f"pedal {pedal['name']} {{ {'; '.join(facts)} }}")
    for n in range(1, book["amps"] + 1):
        lines.append(f"amp amp{'xyz'[n]} {{ fed by output {n} }}")
    if book["default"]:
        lines.append(f"default {block_text(book['default'])}  # what holds")
    for layer in book["layers"]:
        lines.append(f"layer {layer['name']} {block_text(layer['block'])}")
    for n, scene in enumerate(book["scenes"]):
        head = f"scene {scene['name']}" + (f" from {scene['from']}" if scene["from"] else "")
        head += f" with {', '.join(scene['with'])}" if scene["with"] else ""
        body = block_text(scene["block"])
        lines.append(f"# scene {n}")
        lines.append(head if body == "{ }" and n % 2 else f"{head} {body}")
    if book["twice"]:
        name = book["scenes"][0]["name"]
        lines.append(f"slots {{ 1.1 {name}; 1.3 {name}; others auto }}")
    text = "\n".join(lines) + "\n"
    return [text.replace("\n", "\r\n") if book["crlf"] else text]


# ---- what they mean, settled here ----


def pedal_of(book, name):
    return next(p for p in book["pedals"] if p["name"] == name)


def control_of(book, who, name):
    pedal = pedal_of(book, who)
    return pedal, next(c for c in pedal["controls"] if c["name"] == name)


def cell_names(pedal, control, book):
    """The cells of a control."""
    kind = control["kind"]
    if "at" in control:
        return [f"remote-{j}-{s}" for j, s in control["at"]]
    if kind == "port":
        return [f"expression-{control['port']}"]
    if kind == "foot":
        return [f"by-foot:{pedal['name']}.{control['name']}"]
    channel = book["pedals"].index(pedal) + 1
    return [f"midi-{channel}:{pedal['name']}.{control['name']}"]


def position(amount, ends):
    value, low, high = (float(t.split()[0]) for t in (amount, *ends))
    share = (value - low) / (high - low)
    return f"step {int(share * (STEPS - 1) + 0.5)}"


def effects(book, unit):
    """What a unit puts in which cells."""
    kind, *rest = unit
    if kind in ("engage", "bypass"):
        return {f"loop-{pedal_of(book, rest[0])['loop']}": "1" if kind == "engage" else "0"}
    if kind in ("open", "close"):
        return {f"remote-{rest[0]}-{rest[1]}": "1" if kind == "close" else "0"}
    if kind == "port":
        return {f"expression-{rest[0]}": position(rest[1], ("0 %", "100 %"))}
    if kind == "output":
        return {f"output-{rest[0]}": "1" if rest[1] == "on" else "0"}
    if kind == "mute":
        return {"output-1": "0", "output-2": "0"}
    pedal, control = control_of(book, rest[0], rest[1])
    cells = cell_names(pedal, control, book)
    if kind == "stays":
        return {cell: "stays" for cell in cells}
    if kind == "level":
        return {cells[0]: position(rest[2], control["range"])}
    state = rest[2]
    if control["kind"] in ("latch", "shared", "closed"):
        return {cells[0]: "1" if state == "high" else "0"}
    if control["kind"] == "pair":
        return dict(zip(cells, control["patterns"][int(state[1:])]))
    if control["kind"] == "prog":
        return {cells[0]: str(control["programs"][int(state[1:])])}
    return {cells[0]: state}


def users(book):
    out = {}
    for pedal in book["pedals"]:
        for control in pedal["controls"]:
            for cell in cell_names(pedal, control, book):
                out.setdefault(cell, []).append((pedal, control))
    return out


class Book:
    """A book's blocks as sets of units, each with what it puts where."""

    def __init__(self, book):
        self.book = book
        self.users = users(book)
        self.blocks = {}
        if book["default"]:
            self.blocks["default"] = [tuple(u) for u in book["default"]["units"]]
        for layer in book["layers"]:
            self.blocks[layer["name"]] = [tuple(u) for u in layer["block"]["units"]]
        for scene in book["scenes"]:
            self.blocks[scene["name"]] = [tuple(u) for u in scene["block"]["units"]]
        self.scenes = {s["name"]: s for s in book["scenes"]}
        self.known = {}

    def effects(self, unit):
        if unit not in self.known:
            self.known[unit] = effects(self.book, list(unit))
        return self.known[unit]

    def parts(self, unit):
        """What is overridden alone: each output that `mute` turns off is."""
        puts = self.effects(unit)
        return [{c: v} for c, v in puts.items()] if unit[0] == "mute" else [puts]

    def ranks(self, scene):
        """Blocks from the top down; the layers of one scene are one rank."""
        at = self.scenes[scene]
        while True:
            yield [at["name"]]
            yield at["with"]
            if not at["from"]:
                break
            at = self.scenes[at["from"]]
        yield ["default"] if "default" in self.blocks else []

    def settle(self, scene, blocks, only=None):
        """The values that statements settle in a row; None when two of one rank clash. `only` some cells."""
        touched, row = set(), {}
        for rank in self.ranks(scene):
            here = set()
            for name in rank:
                said = [puts for unit in blocks[name] for puts in self.parts(unit)]
                for puts in said:
                    if only is not None and not (puts.keys() & only):
                        continue
                    here |= puts.keys()
                    if not (puts.keys() & touched):
                        for cell, value in puts.items():
                            if row.setdefault(cell, value) != value:
                                return None
            touched |= here
        return row

    def clashes(self, blocks, only):
        """Two statements of one block that differ are an error wherever they are overridden."""
        for name, units in blocks.items():
            row = {}
            for unit in units:
                for cell, value in self.effects(unit).items():
                    if cell in only and row.setdefault(cell, value) != value:
                        return True
        return False

    def value(self, cell, row, sounds):
        """What a cell holds when nothing settles it."""
        if cell in row:
            return row[cell]
        if cell.startswith("loop-"):
            pedal = next((p for p in self.book["pedals"] if f"loop-{p['loop']}" == cell), None)
            return "1" if pedal and pedal["on"] else "0"
        if cell.startswith("output-"):
            return "1" if int(cell[-1]) <= self.book["amps"] else "0"
        if cell not in self.users:
            return "0" if cell.startswith("remote") else "step 0"
        if any(sounds(p) for p, _ in self.users[cell]):
            return None
        if cell.startswith("expression"):
            return "step 0"
        if not cell.startswith("remote"):
            return "stays"
        return "1" if any(c["kind"] == "closed" for _, c in self.users[cell]) else "0"

    def cells(self):
        names = [f"loop-{n}" for n in range(1, 6)]
        names += [f"remote-{j}-{s}" for j in range(1, 5) for s in ("tip", "ring")]
        names += ["expression-1", "expression-2", "output-1", "output-2"]
        return names + sorted(c for c in self.users if c not in names)

    def table(self):
        """All rows; None when something clashes."""
        out = {}
        for scene in self.scenes:
            row = self.settle(scene, self.blocks)
            if row is None:
                return None
            loops = {p["name"]: self.value(f"loop-{p['loop']}", row, None) == "1" for p in self.book["pedals"]}
            out[scene] = {c: self.value(c, row, lambda p: loops[p["name"]]) for c in self.cells()}
        return out

    def free(self, cell, row):
        """Nobody hears it."""
        return cell in self.users and all(row[f"loop-{p['loop']}"] != "1" for p, _ in self.users[cell])

    def left(self, table):
        """Cells that some scene leaves as it finds them while they are heard."""
        return {
            c for row in table.values() for c in row
            if row[c] == "stays" and not self.free(c, row) and not c.startswith("by-foot")
        }

    def idle(self, cell, row, left):
        return self.free(cell, row) and cell not in left

    def unlisted(self, row):
        """A control that is heard stands in none of its states."""
        for pedal in self.book["pedals"]:
            if row[f"loop-{pedal['loop']}"] != "1":
                continue
            for control in pedal["controls"]:
                if control["kind"] in ("latch", "shared", "closed", "pair"):
                    now = [row[c] for c in cell_names(pedal, control, self.book)]
                    fits = [list(effects(self.book, u).values()) for u in settings(pedal, control)]
                    if now not in fits and not all(v == "stays" for v in now):
                        return True
        return False


def shown(value):
    """A value as the table prints it."""
    if value and value.startswith("step "):
        tenths = (2 * int(value[5:]) * 1000 + STEPS - 1) // (2 * (STEPS - 1))
        return f"{tenths / 10:g}"
    return value


# ---- what is asked ----


def words(dice_word, book, scene, unit):
    """A unit as somebody would say it."""
    kind, *rest = unit
    sep = ": " if dice_word else " "
    if kind in ("engage", "bypass"):
        return f"{scene}{sep}{rest[0]} {'in' if kind == 'engage' else 'out'}"
    if kind in ("open", "close"):
        return f"{scene}{sep}remote {rest[0]} {rest[1]} {'closed' if kind == 'close' else 'open'}"
    if kind == "port":
        return f"{scene}{sep}expression-{rest[0]} {rest[1]}"
    if kind == "mute":
        return None
    return f"{scene}{sep}{unit_text(unit)}"


def read_table(out):
    rows = {}
    for record in csv.DictReader(io.StringIO(out)):
        rows[record["scene"]] = {k: v for k, v in record.items() if k not in ("slot", "scene")}
    return rows


def say(rows):
    return {s: {c: v for c, v in r.items()} for s, r in rows.items()}


def check(book, run):
    own = Book(book)
    before = own.table()
    if before is None or own.clashes(own.blocks, set(own.cells())):
        raise Skip("statements clash")
    if any(v is None for row in before.values() for v in row.values()) or any(map(own.unlisted, before.values())):
        raise Skip("something is not settled")
    code, out, err = run("table", "--format", "csv", "--free", "--fill", "open")
    if code != 0:
        raise Skip("the book has errors")
    printed = read_table(out)
    left = own.left(before)
    for scene, row in printed.items():
        for cell, value in row.items():
            want = "-" if own.idle(cell, before[scene], left) else shown(before[scene][cell])
            if value != want:
                raise Broken("the oracle settles otherwise", f"{scene} {cell}: {value}, here {want}")
    # What is wanted.
    wanted, asked = {}, []
    for n, (scene, unit) in enumerate(book["wanted"]):
        said = words(n % 2, book, scene, unit)
        if scene not in own.scenes or said is None:
            continue
        try:
            puts = effects(book, unit)
        except (StopIteration, ValueError):
            continue
        asked.append(said)
        for cell, value in puts.items():
            if wanted.setdefault((scene, cell), value) != value:
                code, out, err = run("change", *asked)
                if code != 1 or "clash" not in err:
                    raise Broken("a clash is not told", f"{asked}: {code} {out} {err}")
                return "refused: what is wanted clashes"
    if not asked:
        raise Skip("nothing is wanted")
    old_table = run("table", "--format", "csv")[1]
    if book["by"] == "table":
        # What stands as it was printed asks for nothing, also where nobody hears it.
        as_printed = read_table(old_table)
        wanted = {(s, c): v for (s, c), v in wanted.items() if as_printed[s][c] != shown(v)}
    goal = {s: dict(row) for s, row in before.items()}
    for (scene, cell), value in wanted.items():
        goal[scene][cell] = value
    goal_left = own.left(goal)
    unsaid = any(
        own.free(c, before[s]) and not own.free(c, goal[s]) and (s, c) not in wanted and c not in own.settle(s, own.blocks)
        for s in goal for c in goal[s]
    )
    file = pathlib.Path(run.files[0])
    first = file.read_bytes()
    if book["by"] == "table":
        rows = list(csv.DictReader(io.StringIO(old_table)))
        for row in rows:
            for (scene, cell), value in wanted.items():
                if row["scene"] == scene:
                    row[cell] = shown(value)
        sheet = file.with_name("wanted.csv")
        with sheet.open("w", newline="") as to:
            writer = csv.DictWriter(to, rows[0].keys())
            writer.writeheader()
            writer.writerows(rows)
        asked = [str(sheet)]
    code, out, err = run("change", *asked)
    if file.read_bytes() != first:
        raise Broken("a look writes", out)
    told = f"{asked}\n{out}{err}"
    if code == 1:
        if unsaid:
            return "refused: not said how it stands"
        if any(map(own.unlisted, goal.values())):
            return "refused: no such state"
        # "No change was found" is no promise that there is none; it is counted.
        if "no change was found" in err:
            return "refused: none was found, and there is one"
        raise Broken("it is refused without need", told)
    if code != 0:
        raise Broken("what is wanted is not understood", told)
    if unsaid or any(map(own.unlisted, goal.values())):
        raise Broken("it is not refused", told)
    code, out, err = run("change", *asked, "--write")
    if code != 0:
        raise Broken("it is shown, and not written", told)
    told += file.read_bytes().decode()
    text = file.read_bytes()
    changed = {
        (s, c) for s in goal for c in goal[s]
        if not own.idle(c, goal[s], goal_left) and shown(goal[s][c]) != shown(before[s][c])
    }
    after = read_table(run("table", "--format", "csv", "--free", "--fill", "open")[1])
    for scene, row in goal.items():
        for cell, value in row.items():
            want = "-" if own.idle(cell, row, goal_left) else shown(value)
            if after.get(scene, {}).get(cell) != want:
                raise Broken(
                    "the table is not the wanted one", f"{scene} {cell}: {after.get(scene, {}).get(cell)}, not {want}; {told}"
                )
    found = re.search(r"(\d+) statements? changes?,.*; (no change touches fewer|.*not proved: (\d+))", out)
    if not changed:
        if text != first or "nothing to do" not in out:
            raise Broken("nothing was to do, and something is done", told)
        return "nothing to do"
    if not found:
        raise Broken("it is not told how many statements change", told)
    touched = int(found[1])
    bound = int(found[3] or touched)
    kept_bytes(first.decode(), text.decode(), touched, told)
    word = least(own, goal, goal_left, touched, bound, told)
    # And back.
    sheet = file.with_name("first.csv")
    sheet.write_text(old_table)
    now = read_table(run("table", "--format", "csv")[1])
    code, out, err = run("change", str(sheet), "--write")
    if code != 0:
        raise Broken("there is no way back", f"{told}\n--- back\n{out}{err}")
    back = read_table(run("table", "--format", "csv", "--free", "--fill", "open")[1])
    # A cell that nobody hears now and that is printed as it was asks for nothing, though somebody heard it before.
    was = read_table(old_table)
    other = [(x, c) for x in printed for c in printed[x] if back.get(x, {}).get(c) != printed[x][c]]
    mute = lambda x, c: after[x][c] == "-" and now[x][c] == was[x][c]
    if back.keys() == printed.keys() and other and all(mute(x, c) for x, c in other):
        return [f"changed by {book['by']}", word, "a way back that a table cannot ask for"]
    if back != printed:
        raise Broken("the way back leads elsewhere", f"{told}\n--- back\n{file.read_text()}")
    return [f"changed by {book['by']}", word, f"touching {min(touched, 6)}{'+' if touched > 5 else ''}"]


def kept_bytes(first, text, touched, told):
    """No comment is lost, no line end is another, and few lines differ: one of a list that is replaced gives two."""
    notes = lambda t: re.findall(r"#[^\r\n]*", t)
    if notes(first) != notes(text):
        raise Broken("a comment is another", told)
    if ("\r\n" in first) != ("\r\n" in text) or text.count("\r\n") not in (0, text.count("\n")):
        raise Broken("line ends are others", told)
    diff = list(difflib.ndiff(first.splitlines(), text.splitlines()))
    gone, come = (sum(line.startswith(sign) for line in diff) for sign in "-+")
    if gone > touched or come > 2 * touched:
        raise Broken("more lines differ than statements were touched", f"{gone} {come} {told}")


# ---- fewer statements ----


def least(own, goal, left, touched, bound, told):
    """Tries every change that touches fewer statements than the tool's."""
    if touched == 1:
        return "least: one"
    before = own.table()
    groups = [
        cells for cells in tied(own)
        # What nobody heard before has to be settled now, whatever it held.
        if any(
            not own.idle(c, goal[s], left) and (before[s][c] != goal[s][c] or own.idle(c, before[s], left))
            for s in goal for c in cells
        )
    ]
    total, exact, short = 0, True, False
    for cells in groups:
        fewest, found, all_tried = fewest_in(own, goal, left, cells, touched - len(groups) + 1)
        total += fewest
        exact = exact and found
        short = short or not all_tried
    if exact and bound > total:
        raise Broken("the bound is too high", f"{total} would do; {told}")
    if exact and total < touched:
        if bound == touched:
            raise Broken("fewer statements would do", f"{total} would do; {told}")
        return "not proved, and not the least"
    if total >= touched:
        return "least: by brute force" if bound == touched else "the least, but not proved by the tool"
    return "too many to try" if short else "least: by brute force in part"


def tied(own):
    """Cells that a control or `mute` ties together."""
    groups = [{c} for c in own.cells()]

    def tie(cells):
        mine = [g for g in groups if g & cells]
        for g in mine:
            groups.remove(g)
        groups.append(set().union(*mine))

    for pedal in own.book["pedals"]:
        for control in pedal["controls"]:
            tie(set(cell_names(pedal, control, own.book)))
    tie({"output-1", "output-2"})
    return groups


def fits(own, blocks, goal, left, cells):
    if own.clashes(blocks, cells):
        return False
    for scene in own.scenes:
        row = own.settle(scene, blocks, cells)
        if row is None:
            return False
        for cell in cells:
            if own.idle(cell, goal[scene], left):
                continue
            sounds = lambda p: goal[scene][f"loop-{p['loop']}"] == "1"
            if own.value(cell, row, sounds) != goal[scene][cell]:
                return False
    return True


def fewest_in(own, goal, left, cells, most):
    """The fewest statements for some cells, up to `most`; whether that many do, and whether all was tried."""
    universe = {}
    for unit in all_units(own.book):
        puts = own.effects(tuple(unit))
        if puts.keys() <= cells and unit[0] != "level" and unit[0] != "port":
            universe.setdefault(tuple(sorted(puts.items())), tuple(unit))
    # Levels: every value that some row wants.
    for cell in cells:
        for value in {goal[s][cell] for s in goal}:
            if value and value.startswith("step"):
                own.known[("to", cell, value)] = {cell: value}
                universe.setdefault(((cell, value),), ("to", cell, value))
    # A statement that agrees with no row would be heard nowhere: it may still hide others, so it is tried too.
    turns = []
    for name, units in own.blocks.items():
        mine = [u for u in units if own.effects(u).keys() & cells]
        rest = [u for u in units if u not in mine]
        new = [u for u in universe.values() if own.effects(u) not in [own.effects(m) for m in mine]]
        options = {1: [], 2: []}
        for out in range(0, min(2, len(mine)) + 1):
            for come in range(0, 3):
                cost = max(out, come)
                if 1 <= cost <= 2:
                    for gone in itertools.combinations(mine, out):
                        for put in itertools.combinations(new, come):
                            options[cost].append([u for u in mine if u not in gone] + list(put) + rest)
        turns.append((name, options))
    tried = 0
    for count in range(1, most + 1):
        for split in splits(count, len(turns)):
            if any(cost > 2 for cost in split):
                return count, False, False
            chosen = [(turns[n][0], turns[n][1][cost]) for n, cost in enumerate(split) if cost]
            size = 1
            for _, options in chosen:
                size *= len(options)
            tried += size
            if tried > MOST_TRIED:
                return count, False, False
            for pick in itertools.product(*(options for _, options in chosen)):
                blocks = dict(own.blocks)
                blocks.update((name, units) for (name, _), units in zip(chosen, pick))
                if fits(own, blocks, goal, left, cells):
                    return count, True, True
    return most, False, True


def splits(count, parts):
    """Every way to share a number among so many."""
    for chosen in itertools.combinations_with_replacement(range(parts), count):
        split = [0] * parts
        for n in chosen:
            split[n] += 1
        yield split


if __name__ == "__main__":
    common.main("follow", make, texts, check, 60)
