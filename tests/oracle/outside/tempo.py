"""Tempos left over: a band plays every set, with a box for each pedal that keeps the last tempo tapped into it, and with a
clock that only songs with a tempo set. What is heard at another song's tempo must be told, and nothing else; so must a
song that leaves a clock alone.
"""

import json

import common
from common import Broken

NOTES = ["quarter", "eighth", "dotted-eighth"]


def make(dice):
    names = common.PEDALS[: dice.randint(1, 4)]
    scenes = common.SCENES[: dice.randint(1, 5)]
    tempos = dice.sample(["92", "92.5", "120", "140"], dice.randint(1, 3))

    def part():
        taps = [[n, dice.choice(NOTES)] for n in names if dice.random() < 0.25]
        return [dice.choice(scenes), taps]

    songs = {}
    for n in range(dice.randint(1, 5)):
        tempo = dice.choice(tempos) if dice.random() < 0.8 else None
        parts = [part() for _ in range(dice.randint(1, 4))]
        songs[f"tune {n}"] = [tempo, parts]
    sets = [dice.sample(list(songs), dice.randint(1, len(songs))) for _ in range(dice.randint(0, 2))]
    return {
        "pedals": {n: dice.choice(["tap", "tap", "memory", "clock", "none"]) for n in names},
        "scenes": {s: [[n for n in names if dice.random() < 0.6], dice.random() < 0.2] for s in scenes},
        "songs": songs,
        "sets": sets,
    }


def texts(book):
    memory = "; tap by foot; control memory on midi {} programs from 1 {{ one: program 1; two: program 2 }}"
    words = {"tap": "; tap by foot", "memory": memory, "clock": "; tempo by clock", "none": ""}
    lines = [f"switcher {{ loops {max(1, len(book['pedals']))}; outputs 1 }}", "amp hall { fed by output 1 }"]
    for n, (pedal, kind) in enumerate(book["pedals"].items(), 1):
        lines.append(f"pedal {pedal} {{ loop {n}; place top{words[kind].format(n)} }}")
    for s, (engaged, mute) in book["scenes"].items():
        engage = [f"engage {', '.join(engaged)}"] if engaged else []
        sent = [f"{p}.memory one" for p, kind in book["pedals"].items() if kind == "memory" and p in engaged]
        lines.append(f"scene {s} {{ {'; '.join(engage + sent + ['mute'] * mute)} }}")
    for title, (tempo, parts) in book["songs"].items():
        lines.append(f'song "{title}"{f" at {tempo} bpm" if tempo else ""} {{')
        for n, (scene, taps) in enumerate(parts):
            told = "".join(f", tap {p} {value}" for p, value in taps if book["pedals"].get(p) in ("tap", "memory") and tempo)
            lines.append(f"  p{n}: {scene}{told}")
        lines.append("}")
    for n, titles in enumerate(book["sets"]):
        lines.append(f'set "{n}" {{ ' + "; ".join(f'"{t}"' for t in titles) + " }")
    return ["\n".join(lines) + "\n"]


class Box:
    """A pedal that repeats at the last tempo tapped into it."""

    def __init__(self):
        self.tempo = None


def wanted(book):
    stale, heard = {}, lambda scene, pedal: pedal in book["scenes"][scene][0] and not book["scenes"][scene][1]
    for titles in book["sets"]:
        boxes = {p: Box() for p, kind in book["pedals"].items() if kind in ("tap", "memory")}
        for title in titles:
            tempo, parts = book["songs"][title]
            for number, (scene, taps) in enumerate(parts):
                for pedal in boxes:
                    # A program that is sent brings a tempo that nobody knows.
                    if book["pedals"][pedal] == "memory" and pedal in book["scenes"][scene][0]:
                        boxes[pedal].tempo = None
                for pedal, _ in taps:
                    if pedal in boxes and tempo:
                        boxes[pedal].tempo = tempo
                for pedal, box in boxes.items():
                    if tempo and box.tempo not in (None, tempo) and heard(scene, pedal):
                        stale.setdefault((title, pedal), (number, box.tempo))
    unsaid = set()
    clocks = [p for p, kind in book["pedals"].items() if kind == "clock"]
    if any(tempo for tempo, _ in book["songs"].values()):
        for title, (tempo, parts) in book["songs"].items():
            if not tempo and any(heard(scene, p) for scene, _ in parts for p in clocks):
                unsaid.add(title)
    return stale, unsaid


def check(book, run):
    _, out, _ = run("check", "--format", "json")
    stale, unsaid = wanted(book)
    told_stale, told_unsaid = {}, set()
    for found in map(json.loads, out.splitlines()):
        if found["severity"] == "error":
            raise Broken("an error in a right book", found["message"])
        text = texts(book)[0].splitlines()
        if found["code"] == "tempo-stale":
            title, pedal, now, was = said(found["message"])
            if book["songs"][title][0] != now:
                raise Broken("the wrong tempo of the song", found["message"])
            number = int(text[found["line"] - 1].split(":")[0].strip().removeprefix("p"))
            if (title, pedal) in told_stale:
                raise Broken("told twice", found["message"])
            told_stale[title, pedal] = (number, was)
        if found["code"] == "tempo-unsaid":
            told_unsaid.add(found["message"].split('"')[1])
    if told_stale != stale:
        raise Broken("tempos left over", f"told {told_stale}, true {stale}")
    if told_unsaid != unsaid:
        raise Broken("songs without a tempo", f"told {told_unsaid}, true {unsaid}")
    return ["pedals at another tempo"] * len(stale) + ["songs without a clock"] * len(unsaid) + ["books judged"]


def said(message):
    """Title, pedal, the song's tempo, and the tempo that is left."""
    title, rest = message.split('"')[1], message.split("`")
    return title, rest[1], message.split(" is at ")[1].split(" bpm")[0], rest[2].split(" at the ")[1].split(" bpm")[0]


if __name__ == "__main__":
    common.main("tempos left over", make, texts, check, 300)
