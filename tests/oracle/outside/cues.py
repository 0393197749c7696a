"""What is sent to what makes no sound: a simulated unit, wire and receivers play a set from what `midi` prints.

A book has pedals that are always on and take programs, and listeners: each control sends programs, values of a controller, or
listed messages, as a preset is entered, as it is left, or later, some only where they changed. What each scene sends is read
here from the book's own data, never from the tool: a scene's own words over its layers, those over what it derives from, that
over the default; `stays` and silence send nothing. Written from the language's pages:

"A control is sent as the preset is entered, behind what is sent to the pedals. `on leaving`: as it is left, before what the next
preset sends. `after 2 s`: so long after it was entered, and not at all where it is left before. `only if changed`: not where the
same was the last that the control sent." (`explain listener`); programs before all else on each channel, channels in order, a
bank straight before its program.

MIDI 1.0 (MMA 1996): 10 bits a byte at 31,250 baud, 320 microseconds; program change Cn pp, control change Bn cc vv, note on
9n kk vv, note off 8n kk 40, system exclusive F0 .. F7, data up to 7F. A unit that is programmed from the printed lines, press by
press, puts bytes on a wire that carries one after the other; receivers that know nothing of tipring take them apart (mido), each
on its channel. What they got and when is held against the book. A file of the set, read by mido, holds the same messages in order;
a part that says how long it `lasts` is that long there, and is left before what it would send later.
A byte that is spoilt is told with its place, a preset with too many messages is told, and so is a pedal that is set more than
20 ms after the press; no other is. The book without a listener sends what the whole book sends, but for that listener.
"""

import json
import re

import common
import mido
from common import Broken

BYTE = 320  # microseconds
LATE = 20_000
WHENS = ["enter", "enter", "enter", "leave", "later"]


def make(dice):
    pedals = [
        {"name": n, "channel": c, "from": dice.choice([0, 1]), "bank": dice.random() < 0.3}
        for c, n in zip(dice.sample(range(1, 6), 3), common.PEDALS[: dice.randint(0, 3)])
    ]
    listeners = []
    for n, name in enumerate(["lamps", "deck", "fog"][: dice.randint(1, 3)]):
        channel = 10 + n if dice.random() < 0.8 or not pedals else None
        controls = []
        used = set()
        for c in range(dice.randint(1, 4)):
            kind, when = dice.choice(["programs", "cc", "messages", "messages"]), dice.choice(WHENS)
            if channel is None:  # Beside a pedal, on its channel: programs would be the pedal's too.
                kind = "messages"
            moment = [when, dice.choice([100, 500, 2000, 1500]) if when == "later" else 0]
            if kind == "programs" and ("programs", *moment) in used:
                kind = "messages"
            used.add((kind, *moment))
            controls.append(
                {
                    "name": f"c{c}",
                    "kind": kind,
                    "when": moment,
                    "changed": dice.random() < 0.3,
                    "from": dice.choice([0, 1]),
                    "cc": 20 + c,
                    "states": [state(dice, kind, s, when == "leave") for s in range(dice.randint(1, 4))],
                }
            )
        listeners.append({"name": name, "channel": channel, "controls": controls})
    targets = [[p["name"], "memory", 2] for p in pedals]
    targets += [[d["name"], c["name"], len(c["states"])] for d in listeners for c in d["controls"]]

    def says(chance):
        out = []
        for device, control, states in targets:
            if dice.random() < chance:
                pedal = control == "memory"
                out.append([device, control, dice.randrange(states) if pedal or dice.random() < 0.75 else "stays"])
        return out

    layers = [says(0.2)]
    scenes = []
    for n in range(dice.randint(1, 5)):
        parent = dice.randrange(n) if n and dice.random() < 0.6 else None
        scenes.append({"parent": parent, "layer": dice.random() < 0.3, "says": says(0.35)})
    songs = [
        {"bpm": dice.choice([None, 60, 92, 120]), "parts": [dice.randrange(len(scenes)) for _ in range(dice.randint(1, 5))]}
        for _ in range(dice.randint(1, 3))
    ]
    for song in songs:
        song["lasts"] = [dice.choice([None, None, 1, 2, 5]) for _ in song["parts"]]
    return {
        "pedals": pedals,
        "listeners": listeners,
        "default": says(0.15),
        "layers": layers,
        "scenes": scenes,
        "songs": songs,
        "order": dice.sample(range(len(songs)), len(songs)),
        "most": dice.choice([None, None, None, None, 5, 8]),
        "stays": [dice.choice([30, 90, 300, 1200, 2500]) for _ in range(40)],
        "spoil": [dice.random() < 0.3, dice.randrange(1000), dice.choice(["80", "G1", "7", "FF", "123"])],
        "out": dice.randrange(3),
    }


def state(dice, kind, number, leaving):
    if kind == "programs":
        return [["program", number * 9 + dice.randint(1, 8), dice.choice([None, None, dice.randint(1, 300)])]]
    if kind == "cc":
        return [["value", number * 20 + dice.randint(0, 19)]]
    out = []
    for _ in range(dice.choice([1, 1, 1, 2, 3])):
        what = dice.choice(["on", "off", "cc", "sysex"])
        if what == "on":
            out.append(["on", dice.randint(0, 127), dice.randint(1, 127)])
        elif what == "off":
            out.append(["off", dice.randint(0, 127)])
        elif what == "cc":
            out.append(["cc", dice.randint(60, 90), dice.randint(0, 127)])
        else:
            maker = dice.choice([[0x7D], [0, dice.randint(0, 127), dice.randint(0, 127)]])
            length = dice.choice([1, 3, 10, 60, 60]) if dice.random() < 0.4 else dice.randint(0, 6)
            out.append(["sysex", [0xF0, *maker, *(dice.randint(0, 127) for _ in range(length)), 0xF7]])
    if leaving and dice.random() < 0.5:  # What makes the next one late.
        out.append(["sysex", [0xF0, 0x7D, *(dice.randint(0, 127) for _ in range(dice.randint(45, 90))), 0xF7]])
    # Two states that send one thing are a mistake of their own.
    return [*out, ["cc", 100 + number, number]]


def hexed(numbers):
    return " ".join(f"{b:02X}" for b in numbers)


def written(message):
    kind, *rest = message
    return {
        "program": lambda n, bank: f"program {n}" + (f" bank {bank}" if bank else ""),
        "value": lambda v: f"value {v}",
        "on": lambda k, v: f"note {k} at {v}",
        "off": lambda k: f"note {k} off",
        "cc": lambda c, v: f"cc {c} value {v}",
        "sysex": lambda b: f'sysex "{hexed(b)}"',
    }[kind](*rest)


def channel_of(book, listener):
    return listener["channel"] or (book["pedals"][0]["channel"] if book["pedals"] else 9)


def shares(book, listener):
    return listener["channel"] is None and bool(book["pedals"])


def board(book, spoilt=None):
    can = ["on leaving", "after up to 30 s", "only if changed"]
    if book["most"]:
        can.insert(0, f"{book['most']} a preset")
    lines = [f"switcher {{ loops 1; banks 0..3, switches 1..8; messages {', '.join(can)} }}"]
    shared = any(shares(book, d) for d in book["listeners"])
    for n, p in enumerate(book["pedals"]):
        bank = " bank 2" if p["bank"] else ""
        share = " shared" if shared and n == 0 else ""
        lines.append(
            f"pedal {p['name']} {{ always on; control memory on midi {p['channel']} programs from {p['from']}{share} "
            f"{{ s0: program 5; s1: program 9{bank} }} }}"
        )
    several = sum(shares(book, d) for d in book["listeners"])
    for d in book["listeners"]:
        lines.append(f"listener {d['name']} {{")
        for c in d["controls"]:
            share = " shared" if shares(book, d) or (d["channel"] is None and several) else ""
            how = {"programs": f"programs from {c['from']}", "cc": f"cc {c['cc']}", "messages": "messages"}[c["kind"]]
            when = {"enter": "", "leave": ", on leaving", "later": f", after {c['when'][1] / 1000:g} s"}[c["when"][0]]
            states = "; ".join(f"s{n}: {', '.join(map(written, s))}" for n, s in enumerate(c["states"]))
            changed = ", only if changed" if c["changed"] else ""
            lines.append(f"  control {c['name']} on midi {channel_of(book, d)} {how}{share}{when}{changed} {{ {states} }}")
        lines.append("}")
    return lines


def length(song, part):
    """How long a part says that it lasts, in seconds."""
    return song["lasts"][part] if part < len(song["lasts"]) else None


def statements(said):
    return "; ".join(f"{d}.{c} {w if w == 'stays' else f's{w}'}" for d, c, w in said)


def texts(book):
    lines = board(book)
    default = {(d, c): w for d, c, w in [[p["name"], "memory", 0] for p in book["pedals"]] + book["default"]}
    lines.append(f"default {{ {statements([[*k, w] for k, w in default.items()])} }}")
    for n, said in enumerate(book["layers"]):
        lines.append(f"layer l{n} {{ {statements(said)} }}")
    for n, scene in enumerate(book["scenes"]):
        head = f"scene {common.SCENES[n]}"
        head += f" from {common.SCENES[scene['parent']]}" if scene["parent"] is not None else ""
        head += " with l0" if scene["layer"] and book["layers"] else ""
        lines.append(f"{head} {{ {statements(scene['says'])} }}")
    for n, song in enumerate(book["songs"]):
        bpm = f" at {song['bpm']} bpm" if song["bpm"] else ""
        lines.append(f'song "tune {n}"{bpm} {{')
        lasts = [f", lasts 0:{said:02}" if (said := length(song, k)) else "" for k in range(len(song["parts"]))]
        lines += [f"  p{k}: {common.SCENES[s]}{lasts[k]}" for k, s in enumerate(song["parts"])]
        lines.append("}")
    lines.append('set "night" { ' + "; ".join(f'"tune {n}"' for n in book["order"]) + " }")
    name = book["listeners"][book["out"] % len(book["listeners"])]["name"]
    return ["\n".join(lines) + "\n", f'use "book1.scene"\nwithout {name}\n']


# ---- the book, read apart from the tool ----


def held(book, number):
    """What a scene says of each control in the end."""
    out = {(p["name"], "memory"): 0 for p in book["pedals"]}
    out.update({(d, c): w for d, c, w in book["default"]})
    line = []
    at = number
    while at is not None:
        line.append(at)
        at = book["scenes"][at]["parent"]
    for at in reversed(line):
        scene = book["scenes"][at]
        if scene["layer"] and book["layers"]:
            out.update({(d, c): w for d, c, w in book["layers"][0]})
        out.update({(d, c): w for d, c, w in scene["says"]})
    return {k: w for k, w in out.items() if w != "stays"}


def message_bytes(message, channel, first, banked):
    """Its messages, each as bytes."""
    n, (kind, *rest) = channel - 1, message
    if kind == "program":
        number, bank = rest
        lead = [[0xB0 | n, 0, ((bank or 1) - 1) >> 7], [0xB0 | n, 32, ((bank or 1) - 1) & 127]] if banked else []
        return [*lead, [0xC0 | n, number - first]]
    return [
        {
            "value": lambda cc, v: [0xB0 | n, cc, v],
            "on": lambda k, v: [0x90 | n, k, v],
            "off": lambda k: [0x80 | n, k, 0x40],
            "cc": lambda c, v: [0xB0 | n, c, v],
            "sysex": lambda b: b,
        }[kind](*rest)
    ]


def sends(book, number, without=None):
    """All that a scene sends: (when, delay) to a list of (who, heard, only if changed, messages), in the order on the wire."""
    wants, out = held(book, number), []
    for p in book["pedals"]:
        s = wants[p["name"], "memory"]
        message = ["program", [5, 9][s], 2 if s and p["bank"] else None]
        sent = message_bytes(message, p["channel"], p["from"], p["bank"])
        out.append(((0, 0), (False, p["channel"], 0, p["name"], 0), f"{p['name']}.memory", True, False, sent))
    for d in book["listeners"]:
        if d["name"] == without:
            continue
        channel = channel_of(book, d)
        banked = any(m[0] == "program" and m[2] for c in d["controls"] for s in c["states"] for m in s)
        heard = any(p["channel"] == channel for p in book["pedals"])
        for k, c in enumerate(d["controls"]):
            s = wants.get((d["name"], c["name"]))
            if s is None:
                continue
            messages = [["value", c["cc"], m[1]] if m[0] == "value" else m for m in c["states"][s]]
            sent = [one for m in messages for one in message_bytes(m, channel, c["from"], banked)]
            when = ({"enter": 0, "leave": 1, "later": 2}[c["when"][0]], c["when"][1])
            order = (not heard, channel, 0 if c["kind"] == "programs" else 1, d["name"], k)
            out.append((when, order, f"{d['name']}.{c['name']}", heard, c["changed"], sent))
    found = {}
    for when, _, who, heard, changed, sent in sorted(out, key=lambda o: (o[0], o[1])):
        found.setdefault(when, []).append((who, heard, changed, sent))
    return found


def parts(book):
    return [(n, k, s) for n in book["order"] for k, s in enumerate(book["songs"][n]["parts"])]


def played(book):
    """The set with its presses: (milliseconds, scene, milliseconds until the next press)."""
    now, out = 0, []
    for n, (_, _, scene) in enumerate(parts(book)):
        lasts = book["stays"][n % len(book["stays"])]
        if out and out[-1][1] == scene:
            out[-1] = (out[-1][0], scene, out[-1][2] + lasts)
        else:
            out.append((now, scene, lasts))
        now += lasts
    return out


def on_the_wire(moments):
    """Messages by the microsecond at which they are asked for, to those by the microsecond at which the last byte is out."""
    busy, out = 0, []
    for asked, messages in sorted(moments, key=lambda m: m[0]):
        busy = max(busy, asked)
        for message in messages:
            busy += BYTE * len(message)
            out.append((busy, message))
    return out


def play(book, lines):
    """A set over a wire: LINES of a scene are (when, delay) to (who, only if changed, messages)."""
    moments, last, before = [], {}, None

    def press(asked, scene, when):
        for who, changed, messages in lines(scene).get(when, []):
            if not (changed and last.get(who) == messages):
                last[who] = messages
                moments.append((asked, messages))

    for now, scene, lasts in played(book):
        if before is not None:
            press(now * 1000, before, (1, 0))
        press(now * 1000, scene, (0, 0))
        for when in sorted(w for w in lines(scene) if w[0] == 2 and w[1] < lasts):
            press((now + when[1]) * 1000, scene, when)
        before = scene
    return on_the_wire(moments)


def received(wire):
    """What receivers make of it: time, and the message as mido reads it."""
    out = []
    for time, message in wire:
        parser = mido.Parser()
        parser.feed(message)
        got = list(parser)
        if len(got) != 1:
            raise Broken("bytes are no message", f"{hexed(message)}: {got}")
        out.append((time, str(got[0])))
    return out


# ---- what is printed ----


def split(numbers):
    """A line's bytes as messages, by their status bytes."""
    out = []
    for byte in numbers:
        if byte >= 0x80 and byte != 0xF7:
            out.append([])
        out[-1].append(byte)
    return out


def printed(run, number=0):
    code, out, err = run.one(number, "midi", "--format", "json")
    if code:
        raise Broken("midi refuses a right book", err)
    by_scene = {}
    for preset in json.loads(out)["presets"]:
        groups = [((0, 0), preset["messages"]), ((1, 0), preset.get("on_leaving", []))]
        groups += [((2, round(later["after_s"] * 1000)), later["messages"]) for later in preset.get("later", [])]
        found = {}
        for when, lines in groups:
            total = 0
            for line in lines:
                numbers = [int(b, 16) for b in line["bytes"].split()]
                total += len(numbers)
                if abs(line["out_ms"] * 1000 - total * BYTE) > 0.01:
                    raise Broken("the time on the wire", f"{preset['scene']}: {line}, {total} bytes")
                if any(m[0] < 0xF0 and m[0] & 15 != line["channel"] - 1 for m in split(numbers)):
                    raise Broken("a channel", f"{line}")
                found.setdefault(when, []).append((line["what"], line.get("only_if_changed", False), split(numbers)))
        by_scene[preset["scene"]] = found
    return by_scene


def hex_agrees(run, table):
    _, out, _ = run.one(0, "midi", "--format", "hex")
    total, said = sum(len(m) for s in table.values() for l in s.values() for _, _, ms in l for m in ms), 0
    for line in out.splitlines():
        head = re.search(r": (\d+) bytes, ([\d.]+) ms on the wire$", line)
        if head:
            said += int(head[1])
            if abs(int(head[1]) * 0.32 - float(head[2])) > 0.006:
                raise Broken("the time of a list", line)
    if said != total:
        raise Broken("hex and json differ", f"{said} and {total} bytes")


def file_agrees(book, run):
    """The set's file: messages in order, at ticks of the song's tempo."""
    code, _, err = run.one(0, "midi", "-o", run.files[0] + ".mid")
    if code:
        raise Broken("no file of the set", err)
    read = mido.MidiFile(run.files[0] + ".mid")
    got, now = [], 0
    for m in read.tracks[0]:
        now += m.time
        if not m.is_meta:
            got.append((now, str(m.copy(time=0))))
    wanted, now, us, last, before, later = [], 0, 500_000, {}, None, []

    def press(tick, line):
        who, _, changed, messages = line
        if not (changed and last.get(who) == messages):
            last[who] = messages
            wanted.extend((tick, str(mido.Message.from_bytes(m))) for m in messages)

    def due(until):
        for line in sorted((d for d in later if d[0] <= until), key=lambda d: d[0]):
            later.remove(line)
            press(*line)

    for song, part, scene in parts(book):
        due(now)
        if before not in (None, scene):
            # It is left before the rest is sent.
            later.clear()
            for line in sends(book, before).get((1, 0), []):
                press(now, line)
        stays, before = before == scene, scene
        us = round(60e6 / book["songs"][song]["bpm"]) if book["songs"][song]["bpm"] else us
        ticks = lambda ms: int(ms * 1000 * 480 / us + 0.5)
        # Who stays in a preset does not enter it.
        for line in [] if stays else sends(book, scene).get((0, 0), []):
            press(now, line)
        for when in [] if stays else sorted(w for w in sends(book, scene) if w[0] == 2):
            later.extend((now + ticks(when[1]), line) for line in sends(book, scene)[when])
        said = length(book["songs"][song], part)
        if said:
            now += ticks(said * 1000)
        else:
            now = max([now + 4 * 480, *(-(-at // 480) * 480 for at, _ in later)])
    due(now)
    # Whole microseconds in a quarter may move what is sent later by a tick.
    near = len(got) == len(wanted) and all(a[1] == b[1] and abs(a[0] - b[0]) <= 1 for a, b in zip(got, wanted))
    if not near:
        raise Broken("the file of the set", f"{got}\nwanted\n{wanted}")


def told(run, number, code):
    _, out, err = run.one(number, "check", "--format", "json")
    found = [json.loads(line) for line in out.splitlines() if line.startswith("{")]
    return [d for d in found if d["code"] == code], found


def check(book, run):
    scenes = range(len(book["scenes"]))
    name = lambda s: common.SCENES[s]
    words = []
    counts = {s: sum(len(line[3]) for lines in sends(book, s).values() for line in lines) for s in scenes}
    over = {name(s) for s in scenes if book["most"] and counts[s] > book["most"]}
    full, all_told = told(run, 0, "messages-full")
    said = {re.match(r"`(\w+)` sends (\d+)", d["message"]).groups() for d in full}
    if said != {(s, str(counts[common.SCENES.index(s)])) for s in over}:
        raise Broken("presets with too many messages", f"{said}, true: {over}, {counts}")
    other = [d for d in all_told if d["severity"] == "error" and d["code"] != "messages-full"]
    if other:
        raise Broken("a right book has an error", str(other))
    if over:
        return ["books", "too many messages told"][1:]
    # Who is late: the slowest way into each scene, in the order that is played.
    worst, before = {}, None
    for _, _, scene in parts(book):
        size = lambda s, when, heard: sum(len(m) for _, h, _, ms in sends(book, s).get(when, []) if h or not heard for m in ms)
        first = size(before, (1, 0), False) if before not in (None, scene) else 0
        mine = size(scene, (0, 0), True)
        worst[scene] = max(worst.get(scene, 0), BYTE * (first + mine) if mine else 0)
        before = scene
    late = {name(s): f"{us / 1000:.1f}" for s, us in worst.items() if us > LATE}
    said = dict(
        re.search(r"that `(\w+)` sets by message is set ([\d.]+) ms", d["message"]).groups() for d in told(run, 0, "messages-late")[0]
    )
    if said.keys() != late.keys() or any(abs(float(said[s]) - float(late[s])) > 0.11 for s in said):
        raise Broken("who is late", f"{said}, true: {late}")
    words += ["late told"] * bool(late)
    table = printed(run)
    hex_agrees(run, table)
    # Order of one scene, line by line, then the whole set over the wire.
    unit = received(play(book, lambda s: table[name(s)]))
    true = received(play(book, lambda s: {w: [(a, c, m) for a, _, c, m in l] for w, l in sends(book, s).items()}))
    for s in {s for _, _, s in parts(book)}:
        mine = {w: [(a, c, m) for a, _, c, m in l] for w, l in sends(book, s).items()}
        if mine != table[name(s)]:
            raise Broken("what a preset sends", f"{name(s)}: {table[name(s)]}\ntrue: {mine}")
    if unit != true:
        raise Broken("what the receivers got", f"{unit}\ntrue: {true}")
    file_agrees(book, run)
    words += ["messages received"] * len(true)
    # The book without one of them.
    gone = book["listeners"][book["out"] % len(book["listeners"])]["name"]
    less = printed(run, 1)
    for s in {s for _, _, s in parts(book)}:
        mine = {w: [(a, c, m) for a, _, c, m in l] for w, l in sends(book, s, gone).items()}
        if mine != less[name(s)]:
            raise Broken("without a listener", f"{name(s)}: {less[name(s)]}\ntrue: {mine}")
    spoil(book, run, words)
    return words


def spoil(book, run, words):
    """One byte of one text made wrong: its place is told, and no other."""
    yes, which, byte = book["spoil"]
    text = open(run.files[0]).read()
    found = [m for m in re.finditer(r'sysex "([^"]*)"', text)]
    if not yes or not found:
        return
    hit = found[which % len(found)]
    numbers = hit[1].split()
    place = 1 + which % (len(numbers) - 2)
    numbers[place] = byte
    with open(run.files[0], "w") as file:
        file.write(text[: hit.start(1)] + " ".join(numbers) + text[hit.end(1) :])
    errors = [d for d in told(run, 0, "message-unclear")[1] if d["severity"] == "error"]
    if [d["code"] for d in errors] != ["message-unclear"] or f"byte {place + 1}, `{byte}`" not in errors[0]["message"]:
        raise Broken("a wrong byte", f"{place + 1} {byte}: {errors}")
    words.append("wrong byte told")


common.main("cues", make, texts, check, 25)
