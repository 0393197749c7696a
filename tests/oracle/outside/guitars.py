"""Which guitar is heard, and what hands change: a selector and a player of its own, held against what is printed.

A book is a switcher with guitar inputs, or a device that chooses; guitars, scenes that derive from each other and say which
guitar they hear, songs on guitars with parts on others, tunings and capos, and a set. Worked out here from the plain lists:
the guitar that each preset hears, the parts that are played on another one, and what the hands of the player do on the way
through the set. Read from the tool: `table`, `check`, `signal`, `sheet`.
"""

import json
import re

import common
from common import Broken, Skip

GUITARS = ["slab", "arch", "lap", "moss"]
TUNINGS = ["drop D", "open G", "standard"]
TITLES = ["Tin Barn", "Saltworks", "Reel", "Quay Bell", "Marl"]


def make(dice):
    count = dice.randint(2, 4)
    inputs = dice.choice([0, 2, 3])
    guitars = []
    for name in GUITARS[:count]:
        guitars.append([name, dice.randint(1, inputs) if inputs else dice.randint(0, 2)])
    scenes = []
    for n, name in enumerate(common.SCENES[: dice.randint(1, 5)]):
        hears = None if dice.random() < 0.4 else dice.choice(["name", "bare"])
        scenes.append(
            {
                "name": name,
                "from": dice.choice([None, *range(n)]) if n else None,
                "hears": hears and [hears, dice.randrange(count)],
                "mute": dice.random() < 0.15,
            }
        )
    songs = []
    for title in TITLES[: dice.randint(1, 5)]:
        parts = []
        for n in range(dice.randint(1, 4)):
            parts.append(
                {
                    "label": f"p{n + 1}",
                    "scene": dice.randrange(len(scenes)),
                    "on": dice.choice([None, None, dice.randrange(count)]),
                    "tuning": dice.choice([None, None, dice.choice(TUNINGS)]),
                    "capo": dice.choice([None, None, None, dice.randint(0, 3)]),
                }
            )
        songs.append(
            {
                "title": title,
                "on": dice.choice([None, dice.randrange(count), dice.randrange(count)]),
                "tuning": dice.choice([None, dice.choice(TUNINGS)]),
                "capo": dice.choice([None, None, dice.randint(1, 4)]),
                "parts": parts,
            }
        )
    book = {
        "inputs": inputs,
        "guitars": guitars,
        "default": dice.choice([None, dice.randrange(count)]) if inputs else dice.randrange(count),
        "scenes": scenes,
        "songs": songs,
        "set": [dice.randrange(len(songs)) for _ in range(dice.randint(1, 6))],
    }
    # Most players play the guitar that is heard.
    for song in songs if dice.random() < 0.6 else []:
        for part in song["parts"]:
            there = [n for n, (_, at) in enumerate(guitars) if at == place_of(book, part["scene"])]
            part["on"] = dice.choice(there or [None])
        song["on"] = song["parts"][0]["on"]
        for part in song["parts"]:
            if part["on"] == song["on"] and dice.random() < 0.7:
                part["on"] = None
    return book


def wants(book, number, bare):
    name, place = book["guitars"][number]
    if not bare:
        return f"hear {name}"
    return f"hear input {place}" if book["inputs"] else f"chooser.side {'abc'[place]}"


def texts(book):
    lines = []
    if book["inputs"]:
        lines.append(f"switcher {{ loops 1; outputs 1; guitar inputs {book['inputs']}; banks 1..9, switches 1..3 }}")
    else:
        lines.append("switcher { loops 1; outputs 1; remote jacks 1; banks 1..9, switches 1..3 }")
        states = "a: tip open, ring open; b: tip closed, ring open; c: tip open, ring closed"
        lines.append(f"pedal chooser {{ always on; control side on remote 1 {{ {states} }} }}")
    lines.append("amp larch { fed by output 1 }")
    for name, place in book["guitars"]:
        says = f"on guitar input {place}" if book["inputs"] else f"heard when chooser.side {'abc'[place]}"
        lines.append(f"guitar {name} {{ {says}; pickup 2 H, 7 kohm, 100 pF; volume 500 kohm at 100 %; cable 3 m at 100 pF/m }}")
    lines.append("chain front: guitar -> loop 1 -> output 1 -> larch")
    if book["default"] is not None:
        lines.append(f"default {{ {wants(book, book['default'], False)} }}")
    for s in book["scenes"]:
        built = "" if s["from"] is None else f" from {book['scenes'][s['from']]['name']}"
        says = ["mute"] * s["mute"]
        if s["hears"]:
            says.append(wants(book, s["hears"][1], s["hears"][0] == "bare"))
        lines.append(f"scene {s['name']}{built} {{ {'; '.join(says)} }}")
    for song in book["songs"]:
        on = "" if song["on"] is None else f" on {book['guitars'][song['on']][0]}"
        body = [f'tuning "{song["tuning"]}"'] * (song["tuning"] is not None)
        body += [f"capo {song['capo']}"] * (song["capo"] is not None)
        for part in song["parts"]:
            says = f"{part['label']}: {book['scenes'][part['scene']]['name']}"
            if part["on"] is not None:
                says += f", on {book['guitars'][part['on']][0]}"
            if part["tuning"] is not None:
                says += f', tuning "{part["tuning"]}"'
            if part["capo"] is not None:
                says += f", capo {part['capo']}"
            body.append(says)
        lines.append(f'song "{song["title"]}"{on} {{ ' + "; ".join(body) + " }")
    lines.append('set "night" { ' + "; ".join(f'"{book["songs"][n]["title"]}"' for n in book["set"]) + " }")
    lines.append("slots { others auto }")
    return ["\n".join(lines) + "\n"]


def place_of(book, number):
    """Where the selector stands in a scene: the nearest word up the line, else the default's; None where nobody says."""
    at = number
    while at is not None:
        scene = book["scenes"][at]
        if scene["hears"]:
            return book["guitars"][scene["hears"][1]][1]
        at = scene["from"]
    return None if book["default"] is None else book["guitars"][book["default"]][1]


def muted(book, number):
    at = number
    while at is not None:
        if book["scenes"][at]["mute"]:
            return True
        at = book["scenes"][at]["from"]
    return False


def held(song, part):
    """Guitar, tuning and capo of a part: what the song says is of its own guitar."""
    guitar = song["on"] if part["on"] is None else part["on"]
    own = guitar == song["on"]
    tuning = part["tuning"] if part["tuning"] is not None else song["tuning"] if own else None
    capo = part["capo"] if part["capo"] is not None else song["capo"] if own else None
    return guitar, None if tuning == "standard" else tuning, capo or None


class Player:
    """Hands: a guitar in them, and how each one was left."""

    def __init__(self, names):
        self.names, self.guitar, self.strings, self.capos = names, "nothing", {}, {}

    def take(self, guitar, tuning, capo):
        does = []
        if guitar is not None and guitar != self.guitar:
            does.append(f"take {self.names[guitar]}")
        self.guitar = guitar
        if self.strings.get(guitar) != tuning:
            does.append("tune back to standard" if tuning is None else f"tune to {tuning}")
        if self.capos.get(guitar) != capo:
            does.append("capo off" if capo is None else f"capo {capo}")
        self.strings[guitar], self.capos[guitar] = tuning, capo
        return does


def read_sheet(out):
    """Song by song: what stands before it, and what hands change at each of its parts."""
    songs = []
    for line in out.splitlines():
        if re.match(r" ?\d+  \S", line):
            songs.append([[], []])
        elif line.startswith("    ! "):
            songs[-1][0] += line[6:].split(", ")
        elif songs and re.match(r"    \d+\.\d+ ", line):
            does = re.search(r"\[hand\] (.*)", line)
            songs[-1][1].append(does[1].split(", ") if does else [])
        elif line.startswith("if it breaks"):
            break
    return songs


def check(book, run):
    stands = [place_of(book, n) for n in range(len(book["scenes"]))]
    code, out, _ = run("check", "--format", "json")
    told = [json.loads(line) for line in out.splitlines()]
    errors = [t for t in told if t["severity"] == "error"]
    played = [(song, part) for song in book["songs"] for part in song["parts"]]
    unheard = set()
    for song, part in played:
        guitar, place = held(song, part)[0], stands[part["scene"]]
        silent = muted(book, part["scene"])
        if guitar is not None and place is not None and book["guitars"][guitar][1] != place and not silent:
            unheard.add((book["scenes"][part["scene"]]["name"], book["guitars"][guitar][0]))
    spoken = set()
    for t in errors:
        if t["code"] == "guitar-unheard":
            found = re.search(r'is played on `(\w+)`.*, and `(\w+)` hears', t["message"])
            spoken.add((found[2], found[1]))
    if spoken != unheard:
        raise Broken("what is played unheard is told wrongly", f"{sorted(spoken)}, not {sorted(unheard)}")
    unsaid = any(place is None for place in stands)
    if unsaid != any(t["code"] == "guitar-unsettled" for t in errors):
        raise Broken("a scene that says nothing of its guitar", f"{stands}: {told}")
    others = [t for t in errors if t["code"] not in ("guitar-unheard", "guitar-unsettled")]
    if others:
        raise Broken("an error that is none", f"{others}")
    words = ["played unheard"] * len(unheard) + ["nothing said"] * unsaid
    # The tuning of another guitar is nobody's to guess.
    open_ends = sum(
        1
        for song, part in played
        if song["tuning"] is not None and part["on"] not in (None, song["on"]) and part["tuning"] is None
    )
    if not errors and open_ends != sum(t["code"] == "tuning-unsaid" for t in told):
        raise Broken("a tuning that nobody says is told wrongly", f"{open_ends}: {told}")
    draft = ["--draft"] if errors else []
    rows = {r["scene"]: r["values"] for r in json.loads(run("table", *draft, "--format", "json")[1])["rows"]}
    cells = [c["name"] for c in json.loads(run("table", *draft, "--format", "json")[1])["cells"]]
    for scene, place in zip(book["scenes"], stands):
        row = rows[scene["name"]]
        if book["inputs"]:
            now = str(row[cells.index("guitar-input")])
            wanted = "?" if place is None else str(place)
        else:
            now = "".join(str(row[cells.index(f"remote-1-{side}")]) for side in ("tip", "ring"))
            wanted = ["00", "10", "01"][place]
        if now != wanted:
            raise Broken("the selector stands wrongly", f"{scene['name']}: {now}, not {wanted}")
    if errors:
        return words + ["with an error"]
    figures = json.loads(run("signal", "--format", "json")[1])["rows"]
    listed = {(r["scene"], r["guitar"]) for r in figures}
    wanted = {(s["name"], name) for s, place in zip(book["scenes"], stands) for name, at in book["guitars"] if at == place}
    if listed != wanted:
        raise Broken("figures of what is not heard", f"{sorted(listed)}, not {sorted(wanted)}")
    player, hands = Player([name for name, _ in book["guitars"]]), []
    for n in book["set"]:
        song = book["songs"][n]
        does = [player.take(*held(song, part)) for part in song["parts"]]
        hands.append([does[0], [[], *does[1:]]])
    printed = read_sheet(run("sheet", "--set", "night")[1])
    if printed != hands:
        raise Broken("hands do something else", f"{printed}, not {hands}")
    changes = sum(len(d) for _, parts in hands for d in parts)
    return words + ["right"] + ["with a change inside a song"] * bool(changes)


if __name__ == "__main__":
    common.main("guitars and hands", make, texts, check, 200)
