"""Tempo that presets give: a band plays every set into pedals that know nothing of tipring. One measures the gaps between the
pulses of its contact, one reads the bytes of a control change (mido), one counts clock bytes, each as `midi` prints them; what
they repeat at is held against the song. Scenes that songs of several tempi share must be told with as many presets as a search
over all ways of dealing the parts to presets needs; what is heard at a wrong tempo, and what is outside a pedal's range, must be
told, and nothing else. On the night that something fails, what the book names for that is played instead of what it names it for:
that night is played too.
"""

import fractions
import itertools
import json

import common
import mido
from common import Broken

Exact = fractions.Fraction
BEATS = {"quarter": Exact(1), "eighth": Exact(1, 2), "dotted-eighth": Exact(3, 4), "half": Exact(2), "triplet-quarter": Exact(2, 3)}
TEMPOS = ["92", "92.5", "120", "140", "61.3", "184"]
LOW, HIGH = 40, 240


def make(dice):
    names = common.PEDALS[: dice.randint(1, 3)]
    scenes = common.SCENES[: dice.randint(1, 5)]
    tempos = dice.sample(TEMPOS, dice.randint(1, 3))
    pedals = {n: [dice.choice(["pulses", "cc", "both", "clock"]), dice.randint(2, 6), dice.random() < 0.5] for n in names}
    # All that follow the clock have one tempo: one of them stands for all.
    for pedal in [p for p in pedals.values() if p[0] == "clock"][1:]:
        pedal[0] = "cc"

    def part():
        beats = [[n, dice.choice(list(BEATS))] for n in names if dice.random() < 0.15]
        taps = [n for n in names if pedals[n][0] == "both" and dice.random() < 0.2]
        return [dice.choice(scenes), beats, taps]

    songs = {}
    for n in range(dice.randint(1, 4)):
        tempo = dice.choice(tempos) if dice.random() < 0.85 else None
        songs[f"tune {n}"] = [tempo, [part() for _ in range(dice.randint(1, 4))]]

    def said(n):
        kind = dice.choice(["", "", "", "", "stays", "bpm"])
        return [n, kind and (f"{dice.choice([50, 92, 120, 155])} bpm" if kind == "bpm" else kind)]

    return {
        "pedals": pedals,
        "scenes": {s: [[n for n in names if dice.random() < 0.7], dice.random() < 0.15, [said(n) for n in names]] for s in scenes},
        "default": [said(n) for n in names] if dice.random() < 0.2 else [],
        "songs": songs,
        # Boxes that may fail, each with the scenes that another stands in for.
        "fails": {
            box: {s: t for s in scenes if dice.random() < 0.5 and (t := dice.choice(scenes)) != s}
            for box in ("fuse", "gauge")
            if dice.random() < 0.5
        },
        "sets": [dice.sample(list(songs), dice.randint(1, len(songs))) for _ in range(dice.randint(0, 2))],
    }


def texts(book):
    count = max(1, len(book["pedals"]))
    clock = "; sends clock" if any(kind == "clock" for kind, *_ in book["pedals"].values()) else ""
    lines = [f"switcher {{ loops {count}; remote jacks {count}; outputs 1{clock} }}", "amp hall { fed by output 1 }"]
    for n, (pedal, (kind, pulses, ranged)) in enumerate(book["pedals"].items(), 1):
        over = f" from {LOW} bpm to {HIGH} bpm"
        by = f"by {pulses} pulses on remote {n} tip{over if ranged else ''}" if kind == "pulses" else f"on midi {n} cc 2{n}{over}"
        by = "by clock" if kind == "clock" else by
        foot = "; place top; tap by foot" if kind == "both" else ""
        lines.append(f"pedal {pedal} {{ loop {n}; tempo {by}{foot} }}")
    lines += [f"pedal {box} {{ always on }}" for box in book["fails"]]
    tempo = lambda said: [f"{p}.tempo {what}" for p, what in said if what and p in book["pedals"]]
    if tempo(book["default"]):
        lines.append(f"default {{ {'; '.join(tempo(book['default']))} }}")
    for scene, (engaged, mute, said) in book["scenes"].items():
        engaged = [p for p in engaged if p in book["pedals"]]
        engage = [f"engage {', '.join(engaged)}"] if engaged else []
        lines.append(f"scene {scene} {{ {'; '.join(engage + tempo(said) + ['mute'] * mute)} }}")
    for title, (bpm, parts) in book["songs"].items():
        lines.append(f'song "{title}"{f" at {bpm} bpm" if bpm else ""} {{')
        for n, (scene, beats, taps) in enumerate(parts):
            notes = [f", beat {p} {value}" for p, value in beats if bpm and book["pedals"].get(p, ["clock"])[0] != "clock"]
            notes += [f", tap {p} quarter" for p in taps if bpm and book["pedals"].get(p, [""])[0] == "both"]
            lines.append(f"  p{n}: {scene}{''.join(notes)}")
        lines.append("}")
    for box, ways in book["fails"].items():
        lines += [f"if {box} fails, {a} becomes {b}" for a, b in ways.items() if a in book["scenes"] and b in book["scenes"]]
    for n, titles in enumerate(book["sets"]):
        lines.append(f'set "{n}" {{ ' + "; ".join(f'"{t}"' for t in titles) + " }")
    return ["\n".join(lines) + "\n"]


def hears(book, scene, pedal):
    return pedal in book["scenes"][scene][0] and not book["scenes"][scene][1]


def says(book, scene, pedal):
    """What a scene itself wants, else the default."""
    own = dict(map(tuple, book["scenes"][scene][2])).get(pedal)
    return own or dict(map(tuple, book["default"])).get(pedal) or None


def wants(book, title, number, pedal):
    """The beats a minute that a part wants of a pedal; None where the song has no tempo."""
    bpm, parts = book["songs"][title]
    beats = dict(map(tuple, reversed(parts[number][1]))).get(pedal, "quarter")
    beats = "quarter" if book["pedals"][pedal][0] == "clock" else beats
    return Exact(bpm) / BEATS[beats] if bpm else None


def takes(book, pedal, tempo):
    kind, _, ranged = book["pedals"][pedal]
    low, high = (10, 999) if kind == "clock" or kind == "pulses" and not ranged else (LOW, HIGH)
    return low <= tempo <= high


def stored(book, pedal, tempo):
    """What a memory can tell apart: a value of the controller, or a spacing to 1/5000 of it."""
    if book["pedals"][pedal][0] in ("pulses", "clock"):
        return round(tempo * 1000) / 1000
    return int((tempo - LOW) * 127 / (HIGH - LOW) + Exact(1, 2))


def same(book, pedal, one, other):
    return stored(book, pedal, one) == stored(book, pedal, other)


def instead(book, scene):
    """What may be played for a scene when something fails, and for that when something else fails too."""
    found, before = {scene}, set()
    while found != before:
        before = set(found)
        found |= {b for ways in book["fails"].values() for a, b in ways.items() if a in before}
    return found


def parts_of(book, scene):
    songs = sorted(book["songs"].items())
    return [(t, n) for t, (_, parts) in songs for n, part in enumerate(parts) if scene in instead(book, part[0])]


def fewest(rows):
    """The fewest presets for rows of wants, by every way of dealing them out."""
    for count in range(1, len(rows) + 1):
        for dealt in itertools.product(range(count), repeat=len(rows)):
            groups = [[r for r, d in zip(rows, dealt) if d == g] for g in range(count)]
            if all(all(r == g[0] for r in g) for g in groups if g):
                return count
    return 0


def judge_clashes(book, found):
    """Presets that each scene needs beyond one; parts outside a range."""
    clashes, beyond = {}, set()
    for scene in book["scenes"]:
        timed = [p for p in book["pedals"] if hears(book, scene, p) and not says(book, scene, p)]
        rows = []
        for title, number in parts_of(book, scene):
            tempi = [wants(book, title, number, p) for p in timed]
            if None in tempi:
                continue
            out = [p for p, t in zip(timed, tempi) if not takes(book, p, t)]
            beyond.update((title, p) for p in out)
            rows.append([None if p in out else stored(book, p, t) for p, t in zip(timed, tempi)])
        # A pedal that takes none of its tempi is told as that.
        kept = [c for c in zip(*rows) if any(v is not None for v in c)]
        rows = [r for r in zip(*kept) if None not in r]
        if rows and len(rows) <= 7 and fewest(rows) > 1:
            clashes[scene] = fewest(rows) - 1
        elif len(set(rows)) > 1:
            clashes[scene] = len(set(rows)) - 1
    told = {}
    for one in found["tempo-clash"]:
        scene = book_line(book, one).split()[1]
        label = one["label"]
        told[scene] = 1 if "one preset more" in label else int(label.split("it takes ")[1].split()[0])
    if told != clashes:
        raise Broken("presets that a scene needs", f"told {told}, true {clashes}")
    told = set()
    for one in found["tempo-refused"]:
        told.add((one["message"].split('"')[1], one["message"].split("`")[1]))
    if told != beyond:
        raise Broken("tempi outside a range", f"told {told}, true {beyond}")
    return clashes, beyond


def book_line(book, one):
    return texts(book)[0].splitlines()[one["line"] - 1].strip()


class Pulsed:
    """A pedal that measures the gaps between the edges of its contact."""

    def __init__(self):
        self.tempo = None

    def press(self, sent):
        times = [Exact(str(sent["every_ms"])) * n for n in range(sent["pulses"])]
        gaps = [b - a for a, b in zip(times, times[1:])]
        self.tempo = 60000 / (sum(gaps) / len(gaps))


class Clocked:
    """A pedal that counts 24 clock bytes a beat (MIDI 1.0 Detailed Specification, timing clock)."""

    def __init__(self, running):
        self.tempo = 60000 / (Exact(str(running["every_ms"])) * 24) if running else None


class Controlled:
    """A pedal that listens to one controller of one channel."""

    def __init__(self, number):
        self.channel, self.controller, self.tempo = number - 1, 20 + number, None

    def hear(self, data):
        parser = mido.Parser()
        parser.feed(bytes.fromhex(data))
        for message in parser:
            if message.type == "control_change" and (message.channel, message.control) == (self.channel, self.controller):
                self.tempo = LOW + Exact(message.value * (HIGH - LOW), 127)


def close(book, pedal, has, wanted):
    """As near as the memory allows: half a value of the controller, a fortieth of a percent of a spacing."""
    slack = wanted / 4000 if book["pedals"][pedal][0] in ("pulses", "clock") else Exact(HIGH - LOW, 254) + Exact(1, 1000)
    return abs(has - wanted) <= slack


def judge_sent(book, run):
    presets = {p["scene"]: p for p in json.loads(run("midi", "--format", "json")[1])["presets"]}
    pulsed = [p for p, (kind, *_) in book["pedals"].items() if kind == "pulses"]
    count = 0
    for scene, preset in presets.items():
        for number, pedal in enumerate(book["pedals"], 1):
            heard, own = hears(book, scene, pedal), says(book, scene, pedal)
            sent = [s for s in preset.get("pulses", []) if s["what"] == f"{pedal}.tempo"]
            if pedal in pulsed:
                box = Pulsed()
                for s in sent:
                    if s["pulses"] != book["pedals"][pedal][1] or s["contact"] != f"remote {number} tip":
                        raise Broken("the wrong pulses", str(s))
                    box.press(s)
            elif book["pedals"][pedal][0] == "clock":
                box = Clocked(preset.get("clock"))
            else:
                box = Controlled(number)
                for message in preset["messages"]:
                    box.hear(message["bytes"])
            tempi = [wants(book, t, n, pedal) for t, n in parts_of(book, scene)]
            tempi = [t for t in tempi if t is not None and takes(book, pedal, t)]
            wanted = None
            if own and own != "stays":
                wanted = Exact(own.split()[0])
            elif heard and not own and tempi:
                wanted = tempi[0]
            # What nobody hears may be stored or not.
            if pedal not in book["scenes"][scene][0]:
                continue
            if (wanted is None) != (box.tempo is None) or wanted is not None and not close(book, pedal, box.tempo, wanted):
                raise Broken("the tempo of a preset", f"{scene} {pedal}: has {box.tempo}, wants {wanted}")
            count += wanted is not None
    return count


def timed(book, scene, pedal):
    """The tempi that songs want of a pedal in a scene that says nothing itself."""
    tempi = [wants(book, t, n, pedal) for t, n in parts_of(book, scene)]
    heard = hears(book, scene, pedal) and not says(book, scene, pedal)
    return [t for t in tempi if heard and t is not None and takes(book, pedal, t)]


def judge_played(book, found):
    """Every set, with a memory for each pedal of the tempo that it has."""
    # Where some scene leaves a pedal as it finds it, what others store while it is bypassed matters, and is sent.
    kept = {
        pedal
        for pedal in book["pedals"]
        for scene, (engaged, *_) in book["scenes"].items()
        if pedal in engaged and (says(book, scene, pedal) == "stays" or not says(book, scene, pedal) and not timed(book, scene, pedal))
    }
    def night(ways):
        astray = {}
        for titles in book["sets"]:
            has = dict.fromkeys(book["pedals"])
            for title in titles:
                for number, (scene, _, taps) in enumerate(book["songs"][title][1]):
                    scene = ways.get(scene, scene)
                    for pedal, (kind, *_) in book["pedals"].items():
                        own, heard, wanted = says(book, scene, pedal), hears(book, scene, pedal), wants(book, title, number, pedal)
                        fits = wanted is not None and takes(book, pedal, wanted)
                        engaged = pedal in book["scenes"][scene][0]
                        if own and own != "stays" and (engaged or pedal in kept):
                            has[pedal] = Exact(own.split()[0])
                        elif timed(book, scene, pedal):
                            has[pedal] = timed(book, scene, pedal)[0]
                        if pedal in taps and kind == "both" and book["songs"][title][0]:
                            has[pedal] = wanted if fits else None
                        if heard and fits and has[pedal] is not None and not same(book, pedal, has[pedal], wanted):
                            astray.setdefault((title, pedal), number)
        return astray

    whole = night({})
    # Of several boxes whose failing brings the same, any may be told.
    broken = {}
    for ways in book["fails"].values():
        for key, number in night(ways).items():
            if key not in whole:
                broken.setdefault(key, set()).add(number)
    told, fails = {}, {}
    for one in found["tempo-stale"]:
        message = one["message"]
        failed = message.startswith("if `")
        message = message.split(" fails, ", 1)[1] if failed else message
        key = (message.split('"')[1], message.split("`")[1])
        (fails if failed else told)[key] = int(book_line(book, one).split(":")[0].removeprefix("p"))
    if told != whole:
        raise Broken("pedals at another tempo", f"told {told}, true {whole}")
    if fails.keys() != broken.keys() or any(fails[key] not in broken[key] for key in fails):
        raise Broken("pedals at another tempo when something fails", f"told {fails}, true {broken}")
    untimed, some = set(), any(bpm for bpm, _ in book["songs"].values())
    for title, (bpm, parts) in book["songs"].items():
        if not bpm and some:
            for scene in sorted({s for part in parts for s in instead(book, part[0])}):
                for pedal in book["pedals"]:
                    if hears(book, scene, pedal) and not says(book, scene, pedal):
                        untimed.add(title)
    told = {one["message"].split('"')[1] for one in found["tempo-unsaid"]}
    if told != untimed:
        raise Broken("songs without a tempo", f"told {told}, true {untimed}")
    return len(whole), len(broken), len(untimed)


def check(book, run):
    _, out, _ = run("check", "--format", "json")
    found = {code: [] for code in ("tempo-clash", "tempo-refused", "tempo-stale", "tempo-unsaid")}
    errors = False
    for one in map(json.loads, out.splitlines()):
        if one["code"] in found:
            found[one["code"]].append(one)
        elif one["severity"] == "error":
            raise Broken("an error in a right book", one["message"])
        errors |= one["severity"] == "error"
    clashes, beyond = judge_clashes(book, found)
    if clashes or beyond:
        return ["scenes that take more presets"] * len(clashes) + ["tempi outside a range"] * len(beyond) + ["books with errors"]
    if errors:
        raise Broken("an error in a right book", out)
    sent = judge_sent(book, run)
    astray, broken, untimed = judge_played(book, found)
    return (
        ["presets that send a tempo"] * sent
        + ["pedals at another tempo"] * astray
        + ["pedals at another tempo when something fails"] * broken
        + ["songs without a tempo"] * untimed
        + ["books judged"]
    )


if __name__ == "__main__":
    common.main("tempo that presets give", make, texts, check, 200)
