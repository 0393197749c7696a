"""What is made of a table stores that table again, and derives its scenes as shortly as can be.

Two kinds of tables: one of a random board with pedals, controls and levels of every kind, printed by the tool and taken
over with its board; and one of bare hardware, written here in the ways people save tables, with switches inside presets and
second rows. Of the second the least number of statements is computed by Edmonds' algorithm as networkx has it (`minimum_spanning_arborescence`).
"""

import csv
import io
import pathlib
import subprocess
import tempfile

import networkx

import common
from common import Broken


def run(folder, *words):
    done = subprocess.run([common.BINARY, *words], cwd=folder, capture_output=True, timeout=120)
    if done.returncode not in (0, 1, 2) or b"panicked" in done.stderr:
        raise Broken("the tool fell over", f"{words}: {done.stderr.decode()}")
    return done.returncode, done.stdout.decode(), done.stderr.decode()


# ---- a board with everything, and scenes on it ----


def make_board(dice):
    jack, port = 0, 0
    pedals = []
    for n in range(dice.randint(1, 6)):
        pedal = {"name": common.PEDALS[n], "loop": n + 1, "controls": []}
        for c in range(dice.choice([0, 1, 1, 2])):
            name = f"c{c}"
            kind = dice.choice(["tip", "both", "pulse", "port", "programs", "banked", "cc", "ccs", "foot", "footlevel"])
            control = {"name": name, "kind": kind}
            if kind in ("tip", "both", "pulse"):
                jack += 1
                control["jack"] = jack
                control["closed"] = kind == "tip" and dice.random() < 0.3
            if kind == "port":
                port += 1
                control["port"] = port
            if kind in ("port", "cc", "footlevel"):
                control["range"] = dice.choice([[0, 100], [0, 60], [100, 0], [20, 80]])
            pedal["controls"].append(control)
        pedal["engaged"] = dice.random() < 0.15 and not any(c["kind"] == "ccs" for c in pedal["controls"])
        pedal["always"] = not pedal["engaged"] and dice.random() < 0.1
        pedals.append(pedal)
    return {
        "loops": len(pedals) + dice.randint(0, 2),
        "jacks": jack + dice.randint(0, 1),
        "ports": port + dice.randint(0, 1),
        "steps": dice.choice([2, 5, 16, 100, 128, 128, 1001]),
        "outputs": dice.randint(1, 2),
        "pedals": pedals,
        "amp": dice.random() < 0.8,
        "defaults": dice.random() < 0.6,
    }


STATES = {
    "tip": ["low", "high"],
    "both": ["one", "two", "three"],
    "pulse": ["dim", "bright"],
    "programs": ["slap", "long"],
    "banked": ["near", "far"],
    "ccs": ["dull", "keen"],
    "foot": ["slow", "fast"],
}


def control_text(pedal, number, c):
    name, kind = c["name"], c["kind"]
    cc = 20 + 10 * pedal["loop"] + number
    channel = pedal["loop"]
    between = "from {} % to {} %".format(*c["range"]) if "range" in c else ""
    return {
        "tip": lambda: f"control {name} on remote {c['jack']} tip{' normally closed' * c['closed']} {{ low: open; high: closed }}",
        "both": lambda: f"control {name} on remote {c['jack']} {{ one: tip closed, ring open; two: tip open, ring closed; three: tip closed, ring closed }}",
        "pulse": lambda: f"control {name} on remote {c['jack']} tip momentary {{ dim; bright }} starts dim",
        "port": lambda: f"level {name} on expression {c['port']} {between}",
        "programs": lambda: f"control {name} on midi {channel} programs from {number} shared {{ slap: program 4; long: program 9 }}",
        "banked": lambda: f"control {name} on midi {channel} programs from 0 shared {{ near: program 4 bank 1; far: program 4 bank 2 }}",
        "cc": lambda: f"level {name} on midi {channel} cc {cc} shared {between}",
        "ccs": lambda: f"control {name} on midi {channel} cc {cc} shared {{ dull: value 3; keen: value 90 }}",
        "foot": lambda: f"control {name} by foot {{ slow; fast }}",
        "footlevel": lambda: f"level {name} by foot {between}",
    }[kind]()


def board_text(board):
    lines = [
        "switcher {",
        f"  loops {board['loops']}",
        f"  outputs {board['outputs']}",
        "  banks 1..6, switches 1..5",
    ]
    if board["jacks"]:
        lines.append(f"  remote jacks {board['jacks']}")
    if board["ports"]:
        lines.append(f"  expressions {board['ports']} of {board['steps']} steps")
    lines.append("}")
    for n in range(board["ports"]):
        lines.append(f"treadle foot-{n} feeds expression {n + 1}")
    settings = []
    for pedal in board["pedals"]:
        lines.append(f"pedal {pedal['name']} {{")
        if pedal["engaged"]:
            lines.append(f"  control use on midi {pedal['loop']} cc 10 shared {{ in: value 127; out: value 0 }}")
            lines.append("  engaged by use in")
        else:
            lines.append(f"  loop {pedal['loop']}")
        if pedal["always"]:
            lines.append("  always on")
        for number, control in enumerate(pedal["controls"]):
            lines.append("  " + control_text(pedal, number, control))
            settings.append((pedal, control))
        lines.append("}")
    if board["amp"]:
        lines.append("amp hall { fed by output 1 }")
    if board["defaults"] and settings:
        said = [f"{p['name']}.{c['name']} {first(c)}" for p, c in settings[::2]]
        lines.append("default { " + "; ".join(said) + " }")
    return "\n".join(lines) + "\n"


def first(control):
    return STATES[control["kind"]][0] if control["kind"] in STATES else f"{control['range'][0]} %"


def value(dice, control):
    if control["kind"] in STATES:
        return dice.choice(STATES[control["kind"]] + ["stays"] * (dice.random() < 0.1))
    low, high = sorted(control["range"])
    foot = ["foot"] if control["kind"] != "cc" else []
    return dice.choice([f"{dice.randint(low, high)} %", f"{low} %", f"{high} %", *foot, "stays"])


def make_scene(dice, board, name):
    said = []
    for pedal in board["pedals"]:
        on = dice.random() < 0.4
        said.append(f"{'engage' if on else 'bypass'} {pedal['name']}")
        # What nobody hears may be said or not.
        for control in pedal["controls"]:
            if on or pedal["always"] or dice.random() < 0.3:
                said.append(f"{pedal['name']}.{control['name']} {value(dice, control)}")
    for n in range(board["outputs"]):
        if dice.random() < 0.2:
            said.append(f"output {n + 1} {dice.choice(['on', 'off'])}")
    return [name, said]


def make(dice):
    if dice.random() < 0.5:
        return make_bare(dice)
    board = make_board(dice)
    scenes = [make_scene(dice, board, name) for name in dice.sample(common.SCENES, dice.randint(1, 9))]
    for scene in scenes[1:]:
        if dice.random() < 0.4:
            scene[1] = list(dice.choice(scenes[: scenes.index(scene)])[1])
    slots = dice.sample([f"{b}.{s}" for b in range(1, 7) for s in range(1, 6)], len(scenes))
    twice = dice.sample([f"{b}.{s}" for b in range(1, 7) for s in range(1, 6) if f"{b}.{s}" not in slots], 2)
    pins = list(zip(slots, [name for name, _ in scenes])) + [(slot, dice.choice(scenes)[0]) for slot in twice]
    if dice.random() < 0.2:
        pins.pop(0)
    song = [dice.choice(scenes)[0] for _ in range(dice.randint(1, 6))]
    return {"board": board, "scenes": scenes, "pins": pins, "song": song, "way": dice.choice(["csv", "csv", "xlsx"])}


def show_text(book):
    lines = ['use "board.scene"']
    lines += [f"scene {name} {{ {'; '.join(said)} }}" for name, said in book["scenes"]]
    lines.append("slots { " + "; ".join(f"{slot} {name}" for slot, name in book["pins"]) + " }")
    lines.append('song "s" { ' + "; ".join(f"p{n}: {name}" for n, name in enumerate(book["song"])) + " }")
    lines.append('set "t" { "s" }')
    return "\n".join(lines) + "\n"


def texts(book):
    if "rows" in book:
        return [bare_text(book)]
    return [board_text(book["board"]), show_text(book)]


def check(book, _):
    with tempfile.TemporaryDirectory() as folder:
        return check_bare(book, folder) if "rows" in book else check_board(book, folder)


def check_board(book, folder):
    here = pathlib.Path(folder)
    (here / "board.scene").write_text(board_text(book["board"]))
    (here / "show.scene").write_text(show_text(book))
    code, _, said = run(folder, "check", "show.scene")
    if code != 0:
        raise common.Skip("a book with errors")
    # What the free cells of a book with songs hold was chosen for its songs; the other ways of printing know of none.
    for options in [[], ["--free"], ["--fill", "open"]]:
        rig = f"rig.{book['way']}"
        code, _, said = run(folder, "table", "show.scene", "-o", rig, *options)
        if code != 0:
            raise Broken("no table", said)
        code, _, said = run(folder, "adopt", rig, "--board", "board.scene", "-o", "new.scene")
        if code != 0:
            raise Broken("a table of our own is refused", f"{options}\n{said}")
        for asked in [["--free"], ["--fill", "open"]]:
            one = run(folder, "table", "show.scene", "--format", "csv", *asked)[1]
            other = run(folder, "table", "new.scene", "--format", "csv", *asked)[1]
            exact = asked == ["--free"] or options == ["--fill", "open"]
            if exact and stored(one, asked) != stored(other, asked):
                text = (here / "new.scene").read_text()
                raise Broken("another table", f"{options} {asked}\n{one}\n{other}\n{text}\n{said}")
        code, out, said = run(folder, "check", "new.scene")
        if code != 0 or "layer-returns" in said + out:
            raise Broken("the book made is not clean", said + out)
        if run(folder, "fmt", "--check", "new.scene")[0] != 0:
            raise Broken("not in its canonical look", (here / "new.scene").read_text())
    return ["tables of a board", "by way of " + book["way"]]


def stored(table, asked):
    """What is stored; what a foot does on the device is stored nowhere."""
    rows = list(csv.reader(io.StringIO(table)))
    keep = [n for n, head in enumerate(rows[0]) if asked == ["--free"] or not head.startswith("by-foot:")]
    return [[row[n] for n in keep] for row in rows]


# ---- bare hardware, in the ways people save tables ----

WAYS = ["own", "semicolons", "tabs", "wide", "words"]


def make_bare(dice):
    loops, jacks, ports, outputs = dice.randint(1, 9), dice.randint(0, 3), dice.randint(0, 2), dice.randint(0, 2)
    heads = [f"loop-{n + 1}" for n in range(loops)]
    heads += [f"remote-{n + 1}-{side}" for n in range(jacks) for side in ("tip", "ring")]
    heads += [f"expression-{n + 1}" for n in range(ports)] + [f"output-{n + 1}" for n in range(outputs)]
    steps = dice.choice([2, 16, 128, 1001])
    rows = []
    for name in dice.sample(common.SCENES, dice.randint(1, 12)):
        row = [cell(dice, head, steps) for head in heads]
        if rows and dice.random() < 0.6:
            row = list(dice.choice(rows)[1])
            for _ in range(dice.randint(0, 2)):
                at = dice.randrange(len(heads))
                row[at] = cell(dice, heads[at], steps)
        rows.append([name, row])
    if dice.random() < 0.4:
        # Sounds that have nothing in common, each with and without one piece.
        heads = [f"loop-{n + 1}" for n in range(dice.randint(10, 16))]
        piece = dice.sample(range(len(heads)), dice.randint(3, 5))
        sounds = [["0" if n in piece else cell(dice, head, steps) for n, head in enumerate(heads)] for _ in range(dice.randint(3, 5))]
        with_piece = [["1" if n in piece else value for n, value in enumerate(sound)] for sound in sounds]
        rows = [[name, row] for name, row in zip(common.SCENES, sounds + with_piece)]
    book = {"heads": heads, "rows": rows, "steps": steps, "way": dice.choice(WAYS), "slots": dice.random() < 0.7}
    first = dice.choice(["6", "7", "F"])
    names = [first, chr(ord(first) + 1)][: dice.choice([0, 1, 2, 2])]
    book["switches"] = [f"switch-{name}" for name in names]
    presses = []
    for _, row in rows:
        if presses and dice.random() < 0.5:
            presses.append([does if does and row[heads.index(does[1])] in "01" else None for does in dice.choice(presses)])
            continue
        free = [head for head, cell in zip(heads, row) if cell in "01" and not head.startswith("expression")]
        things = dice.sample(free, min(len(free), len(names)))
        does = [[dice.choice(["toggles", "toggles", "holds"]), thing] if dice.random() < 0.6 else None for thing in things]
        presses.append(does + [None] * (len(names) - len(does)))
    book["presses"] = presses
    # The rows that are second ones: of the slot of the row before.
    book["seconds"] = [n for n in range(1, len(rows)) if book["slots"] and dice.random() < 0.25]
    book["seconds"] = [n for n in book["seconds"] if n - 1 not in book["seconds"]]
    return book


def places(book):
    out, number = [], 0
    for n in range(len(book["rows"])):
        if n in book["seconds"] and out:
            out.append(out[-1] + " again")
            continue
        out.append(f"{number // 5 + 1}.{number % 5 + 1}")
        number += 1
    return out


def press_text(book, row, does):
    if not does:
        return "nothing"
    back = row[book["heads"].index(does[1])]
    return f"{does[0]} {does[1]} {1 - int(back)} back {back}"


def dialect_press(book, text):
    """A column in which nothing is written but by nobody is left blank; else as people's spreadsheets make it."""
    if book["way"] == "semicolons":
        return "" if text == "nothing" else text
    return text.capitalize() if book["way"] == "words" else text


def cell(dice, head, steps):
    if head.startswith("expression"):
        return dice.choice(["foot", "stays", *[shown(dice.randrange(steps), steps) for _ in range(3)]])
    if head.startswith("remote"):
        return dice.choice(["0", "0", "1", "1", "pulse"])
    return dice.choice(["0", "1"])


def shown(step, steps):
    """A step as a position in tenths of a percent, halves rounded up."""
    tenths = (2 * step * 1000 + steps - 1) // (2 * (steps - 1))
    return f"{tenths // 10}" + (f".{tenths % 10}" if tenths % 10 else "")


def bare_text(book):
    way = book["way"]
    sign = {"semicolons": ";", "tabs": "\t", "wide": "\t"}.get(way, ",")
    heads = [h.replace("-", " ") if way in ("words", "semicolons") else h for h in book["heads"]]
    heads += [h.replace("-", " ") if way == "words" else h for h in book["switches"]]
    out = [sign.join((["slot"] if book["slots"] else []) + ["scene", *heads])]
    for place, (name, row), presses in zip(places(book), book["rows"], book["presses"]):
        cells = [dialect(way, head, cell) for head, cell in zip(book["heads"], row)]
        cells += [dialect_press(book, press_text(book, row, does)) for does in presses]
        slot = [place] if book["slots"] else []
        out.append(sign.join(quoted(cell, sign) for cell in [*slot, name, *cells]))
    return "\n".join(out) + "\n"


def quoted(cell, sign):
    return f'"{cell}"' if sign in cell else cell


def dialect(way, head, cell):
    if head.startswith("expression"):
        return cell.replace(".", ",") if way == "semicolons" else cell
    if way == "words":
        if head.startswith("remote"):
            return {"0": "open", "1": "Closed"}.get(cell, cell)
        return {"0": "no", "1": "YES"}[cell]
    if way == "semicolons":
        return {"0": "", "1": "x"}.get(cell, cell)
    return cell


def check_bare(book, folder):
    here = pathlib.Path(folder)
    text = bare_text(book)
    code = {"wide": "utf-16", "semicolons": "utf-8-sig"}.get(book["way"], "utf-8")
    (here / "rig.csv").write_bytes(text.encode(code))
    code, _, said = run(folder, "adopt", "rig.csv", "--steps", str(book["steps"]), "-o", "new.scene")
    if code != 0:
        raise Broken("a table is refused", said)
    made = (here / "new.scene").read_text()
    table = list(csv.DictReader(io.StringIO(run(folder, "table", "new.scene", "--format", "csv")[1])))
    found = {row["scene"]: [row[head] for head in book["heads"] + book["switches"]] for row in table}
    presses = [[press_text(book, row, does) for does in presses] for (_, row), presses in zip(book["rows"], book["presses"])]
    wanted = {name: row + does for (name, row), does in zip(book["rows"], presses)}
    if found != wanted:
        raise Broken("another table", f"{found}\n{text}\n{made}")
    if book["slots"]:
        pins = [(row["slot"], row["scene"]) for row in table]
        if pins != list(zip(places(book), (name for name, _ in book["rows"]))):
            raise Broken("other slots", f"{pins}\n{made}")
    base, weight = default_of(book, made)
    least = weight + statements(book, base)
    words = said.split()
    before = int(words[words.index("be") + 1].rstrip(":"))
    if before != least:
        raise Broken("not the least", f"{before} printed, {least} by networkx\n{text}\n{made}\n{said}")
    if "no choice of `from` takes fewer\n" not in said:
        raise Broken("the least is not told", said)
    counted = count(made)
    if int(words[words.index("in") + 1]) != counted:
        raise Broken("miscounted", f"{counted}\n{made}\n{said}")
    if counted > before:
        raise Broken("layers that make it longer", f"{made}\n{said}")
    layers = sum(line.startswith("layer ") for line in made.splitlines())
    more = ["with layers"] * bool(layers) + ["second rows"] * bool(book["seconds"])
    pressed = any(does for presses in book["presses"] for does in presses)
    return ["bare tables", f"saved as {book['way']}", *more, *["switches inside presets"] * pressed]


def default_of(book, made):
    """What a scene holds from the start: what nobody says, below what the book's `default` says."""
    base = {head: "0" for head in book["heads"]} | {head: None for head in book["switches"]}
    body = [line for line in flat(made) if line.startswith("default")]
    if not body:
        return base, 0
    said = split_sayings(body[0])
    for kind, what in said:
        if kind == "engage":
            base["loop-" + what.split()[-1]] = "1"
        else:
            words = what.split()
            if words[0] in ("open", "close", "pulse"):
                base["-".join(words[1:])] = {"open": "0", "close": "1", "pulse": "pulse"}[words[0]]
            elif words[0] == "switch":
                base[f"switch-{words[1]}"] = [words[2], "-".join(words[3:])]
            elif words[0] == "output":
                base[f"output-{words[1]}"] = "1" if words[2] == "on" else "0"
            else:
                head = f"expression-{words[1]}"
                step = words[2]
                if step == "at":
                    step = shown(int(float(words[3]) / 100 * (book["steps"] - 1) + 0.5), book["steps"])
                base[head] = step
    return base, 1 + len(said)


def split_sayings(line):
    out = []
    for said in line[line.index("{") + 1 : line.rindex("}")].replace("\n", ";").split(";"):
        said = said.strip()
        if said.startswith(("engage ", "bypass ")):
            out += [(said.split()[0], name.strip()) for name in said.split(" ", 1)[1].split(",")]
        elif said:
            out.append(("says", said))
    return out


def statements(book, base):
    """The least number: a scene is one, `from` is one, each thing that its parent has otherwise is one; all outputs that go
    off go off by one word."""
    heads = book["heads"] + book["switches"]
    outputs = [n for n, head in enumerate(heads) if head.startswith("output")]

    def says(above, row):
        other = [n for n in range(len(heads)) if row[n] != above[n]]
        off = outputs and all(row[n] == "0" for n in outputs)
        muted = [n for n in other if n in outputs] if off else []
        return len(other) - len(muted) + bool(muted)

    graph = networkx.DiGraph()
    start = [base[head] for head in heads]
    rows = [(name, row + presses) for (name, row), presses in zip(book["rows"], book["presses"])]
    for name, row in rows:
        graph.add_edge("", name, weight=says(start, row))
        for other, above in rows:
            if other != name:
                graph.add_edge(other, name, weight=1 + says(above, row))
    tree = networkx.minimum_spanning_arborescence(graph)
    return len(rows) + len(book["seconds"]) + sum(weight for _, _, weight in tree.edges(data="weight"))


def flat(made):
    """The lines of a book without comments, each block on one."""
    text = "\n".join(line.split("#")[0].rstrip() for line in made.splitlines())
    return text.replace("{\n", "{").replace("\n  ", ";").replace("\n}", "}").splitlines()


def count(made):
    """The statements of a book, from its text."""
    total = 0
    for line in flat(made):
        head = line.split("{")[0].split()
        if not head or head[0] not in ("scene", "layer", "default"):
            continue
        total += 1 + ("from" in head)
        if "with" in head:
            total += len("".join(head[head.index("with") + 1 :]).split(","))
        if "{" in line:
            total += len(split_sayings(line))
    return total


if __name__ == "__main__":
    common.main("adopt", make, texts, check, 100)
