"""A scene with switches pressed inside its preset is as if a scene of its own said the same.

A book with switches that toggle or hold, beside all that a preset may hold: the tempo of its song, a helper's loops, the guitar
that is heard, what a treadle moves, a trim, a pedal's insert and legs, a pedal engaged by message, an order of loops, messages
to lamps that make no sound, a night without a pedal. The
same book is written once more without a word of switches: each combination of each scene is a scene of its own, which comes
from that scene and engages, bypasses or sets what the switches move (`explain switch`: "each press moves it, there and back").

Held against each other: what is wrong with either; every cell of every combination (the preset's row with what its switches
bring, against the row of the scene that says so itself); what changes from part to part in `walk`: loops, contacts, hands, feet,
level, jumps, how pedals that come back stand; and all of it once more on a night without one of the pedals. When something
dies, no preset is offered in which a foot would have to stay on a switch.
"""

import itertools
import json
import re

import common
from common import Broken, Skip, chain

PEDALS = ["gully", "ember", "moss", "tarn"]
NAMES = ["bed", "crest", "solo", "hush"]
SWITCHES = [6, 7, 8]
ODD = {"channel": ("larch.channel clean", "larch.channel lead"), "output 2": ("output 2 off", "output 2 on"),
       "remote 3 tip": ("open remote 3 tip", "close remote 3 tip"), "comb.side": ("comb.side dry", "comb.side wet")}


def make(dice):
    chance = lambda share: dice.random() < share
    has = [f for f in ["tempo", "helper", "guitars", "treadle", "trim", "insert", "legs", "orders", "lamps"] if chance(0.5)]
    names = NAMES[: dice.randint(1, 4)]
    scenes = []
    for n, name in enumerate(names):
        things = dice.sample([*PEDALS, *(["tide"] if "tempo" in has else []), "comb", "channel", "output 2", "remote 3 tip"], 3)
        scenes.append(
            {
                "name": name,
                "from": dice.choice(names[:n]) if n and chance(0.5) else None,
                "in": [p for p in [*PEDALS, "comb"] if chance(0.35)],
                "out": [p for p in PEDALS if chance(0.15)],
                "tide": chance(0.6),
                "lead": chance(0.4),
                "mute": chance(0.1),
                "annex": dice.choice([[], ["sway"], ["sway", "fen"]]),
                "hears": dice.choice([1, 2]),
                "moves": dice.choice(["depth", "size", "both", "nothing", None]),
                "trim": dice.choice([-3, 0, 2]),
                "braid": chance(0.6),
                "order": dice.choice([None, None, dice.sample(PEDALS, dice.randint(2, 4)), "as wired"]),
                "look": dice.choice([None, None, "blue", "red", "stays"]),
                "flash": dice.choice([None, None, "hit", "rest", "stays"]),
                "switches": [[s, dice.choice(["toggles", "toggles", "holds"]), t] for s, t in zip(SWITCHES, things) if chance(0.5)],
                "again": chance(0.3),
            }
        )
    atoms = [*PEDALS, "larch.channel lead", "output 2 on", "comb"]
    rules = [[dice.choice(["never", "needs"]), *dice.sample(atoms, 2)] for _ in range(dice.choice([0, 0, 0, 1, 2]))]
    songs = [[] for _ in range(dice.randint(1, 2))]
    for n, scene in enumerate(scenes):
        songs[n % len(songs)] += [[scene["name"], dice.random()] for _ in range(dice.randint(1, 3))]
    for song in songs:
        dice.shuffle(song)
    return {
        "has": has,
        "scenes": scenes,
        "rules": rules,
        "songs": [s for s in songs if s],
        "bpm": [dice.randint(50, 200) for _ in songs],
        "annex": dice.choice(["programs", "cc", "contacts"]),
        "lost": dice.choice([*PEDALS, "comb"]),
    }


def does(book, name):
    """What each switch does in a scene: its own word first, then its parents'."""
    out = {}
    for scene in chain(book, name):
        for switch, word, thing in scene["switches"]:
            out.setdefault(switch, (word, thing))
    return out


def stands(book, name, thing):
    """Whether a thing is on in a scene, by its own statements and those it inherits."""
    own = chain(book, name)
    if thing == "channel":
        return own[0]["lead"]
    if thing == "output 2":
        return not any(s["mute"] for s in own)
    if thing == "remote 3 tip":
        return False
    if thing == "tide":
        return own[0]["tide"]
    for scene in own:
        if thing in scene["in"]:
            return True
        if thing in scene["out"]:
            return False
    return False


def flips(book, name, thing):
    on = not stands(book, name, thing)
    return ODD[thing][on] if thing in ODD else f"{'engage' if on else 'bypass'} {thing}"


def board(book, own):
    has = book["has"]
    lines = ["switcher { loops 7, split after 6; outputs 2; remote jacks 4; expressions 2 of 128 steps; foot inputs 1"]
    lines += ["  guitar inputs 2"] if "guitars" in has else []
    lines += ["  trims of 25 steps"] if "trim" in has else []
    lines += ["  order of loops per preset"] if "orders" in has else []
    lines += ["  messages 40 a preset, on leaving"] if "lamps" in has else []
    lines += ["  banks 1..8, switches 1..5; repress ignored; wakes 1.1; presses: same bank 1, bank step 1"]
    lines += ["  inside: switches 6..8, toggles 3, holds 3, rows 2 }" if own else "}"]
    lines += [f"guitar {g} {{ {f'on guitar input {n}' if 'guitars' in has else ''} }}" for n, g in [(1, "plank"), (2, "arch")]]
    level = {"gully": "; level depth on expression 1 from 0 % to 80 %", "moss": "; level size on expression 2 from 0 % to 100 %"}
    lines += [f"pedal {p} {{ loop {n + 1}; gain {3 * n} dB stated{level.get(p, '')} }}" for n, p in enumerate(PEDALS)]
    lines += ["pedal tide { loop 5; gain 0 dB stated; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }"] if "tempo" in has else []
    braid = {(1, 0): "; send 1 kohm; return 500 kohm", (0, 1): "; leg dry gain 0 dB; leg wet gain -6 dB"}
    braided = braid.get(("insert" in has, "legs" in has and "insert" not in has), "")
    lines += [f"pedal braid {{ loop 6; gain 2 dB stated{braided} }}"]
    lines += ["pedal comb { gain 1 dB stated; control side on midi 4 programs from 1 { wet: program 2; dry: program 1 }; engaged by side wet }"]
    if "helper" in has:
        ways = {"programs": "on midi 3 programs from 1", "cc": "on midi 3 cc 20", "contacts": "on remote 4"}
        lines += [f"helper annex {{ loops 2; {ways[book['annex']]} }}"]
        lines += [f"pedal {p} {{ loop {n} of annex; gain {n} dB stated }}" for n, p in [(1, "sway"), (2, "fen")]]
    if "lamps" in has:
        look = "control look on midi 6 programs from 1 { blue: program 3; red: program 4 }"
        lines += [f"listener lamps {{ {look}; control flash on midi 6 cc 20, on leaving {{ hit: value 9; rest: value 0 }} }}"]
    trim = "; level trim on output 1 from -6 dB to 6 dB" if "trim" in has else ""
    lines += [f"amp larch {{ fed by output 1{trim}; control channel on remote 2 tip {{ clean: open; lead: closed }} }}"]
    lines += ["amp alder { fed by output 2 }", "treadle rocker on foot input 1"]
    annex = "loops 1..2 of annex -> " if "helper" in has else ""
    # The last loop of the switcher stands in the insert, or in the wet leg.
    lines += [f"chain front: guitar -> {annex}loops 1..6 -> comb -> output 1", "chain side: loop 6 -> output 2"]
    if braided:
        legs = ("braid send", "braid return") if "send" in braided else ("braid wet", "braid wet")
        lines += [f"chain inner: {legs[0]} -> loop 7 -> {legs[1]}", "pedal husk { loop 7; gain 4 dB stated }"]
    else:
        lines[0] = lines[0].replace("loops 7, split after 6", "loops 6")
    return lines, bool(braided)


def says(book, scene, braided):
    has, said = book["has"], []
    said += [f"engage {p}" for p in scene["in"]]
    said += [f"bypass {p}" for p in scene["out"] if p not in scene["in"]]
    said += [f"larch.channel {'lead' if scene['lead'] else 'clean'}"]
    said += ["mute"] if scene["mute"] else []
    said += [f"{'engage' if scene['tide'] else 'bypass'} tide"] if "tempo" in has else []
    said += [f"{'engage' if p in scene['annex'] else 'bypass'} {p}" for p in ("sway", "fen")] if "helper" in has else []
    said += [f"hear input {scene['hears']}"] if "guitars" in has else []
    said += [f"larch.trim {scene['trim']} dB"] if "trim" in has else []
    order = scene["order"] if "orders" in has else None
    said += [f"order {order if isinstance(order, str) else ', '.join(order)}"] if order else []
    said += [f"lamps.{c} {scene[c]}" for c in ("look", "flash") if "lamps" in has and scene[c]]
    said += [f"{'engage' if scene['braid'] else 'bypass'} braid"]
    said += ["engage husk"] if braided and scene["braid"] else ["bypass husk"] if braided else []
    levels = {"depth": "rocker moves gully.depth from 20 % to 70 %", "size": "rocker moves moss.size",
              "both": "rocker moves gully.depth from 60 % to 10 %, moss.size from 30 % to 40 %", "nothing": "rocker moves nothing"}
    moves = scene["moves"] if "treadle" in has else None
    if moves:
        said.append(levels[moves])
    # What the treadle gives up of what is inherited is said again.
    said += ["gully.depth 40 %"] if moves not in ("depth", "both") else []
    said += ["moss.size 10 %"] if moves not in ("size", "both") else []
    return said


def asked(book, song, part):
    name, roll = book["songs"][song][part]
    toggles = [s for s, (word, _) in sorted(does(book, name).items()) if word == "toggles"]
    return [s for i, s in enumerate(toggles) if int(roll * 8) >> i & 1]


def own_name(name, switches):
    return "-".join([name, *map(str, switches)])


def texts(book):
    out = []
    for own in (True, False):
        lines, braided = board(book, own)
        for n, scene in enumerate(book["scenes"]):
            said = says(book, scene, braided)
            said += [f"switch {s} {w} {'larch.channel' if t == 'channel' else t}" for s, w, t in scene["switches"]] if own else []
            before = book["scenes"][n - 1]["name"] if n else None
            taken = [s["name"] for s in book["scenes"][: n] if s["again"]]
            if own and n % 2 and scene["again"] and before not in taken:
                said.append(f"again {before}")
            come = f" from {scene['from']}" if scene["from"] else ""
            lines.append(f"scene {scene['name']}{come} {{ {'; '.join(said)} }}")
            if not own:
                for some in pressed(book, scene["name"]):
                    flipped = [flips(book, scene["name"], does(book, scene["name"])[s][1]) for s in some]
                    lines.append(f"scene {own_name(scene['name'], some)} from {scene['name']} {{ {'; '.join(flipped)} }}")
        for kind, a, b in book["rules"]:
            lines.append(f"rule never {a} beside {b}" if kind == "never" else f"rule {a} needs {b}")
        for n, song in enumerate(book["songs"]):
            bpm = f" at {book['bpm'][n]} bpm" if "tempo" in book["has"] else ""
            parts = []
            for i, (name, _) in enumerate(song):
                on = f", on {'plank' if by_name(book, name)['hears'] == 1 else 'arch'}" if "guitars" in book["has"] else ""
                press = "".join(f", press {s}" for s in asked(book, n, i)) if own else ""
                parts.append(f"part-{i}: {name if own else own_name(name, asked(book, n, i))}{press}{on}")
            lines.append(f'song "Song {n}"{bpm} on plank {{ {"; ".join(parts)} }}')
            if not own:
                # Whatever is pressed, the song's tempo is the same.
                rest = [own_name(name, some) for name in sorted({name for name, _ in song}) for some in [(), *pressed(book, name)]]
                rest = [f"rest-{i}: {name}" for i, name in enumerate(rest)]
                lines.append(f'song "Rest {n}"{bpm} {{ {"; ".join(rest)} }}')
        lines.append('set "night" { ' + "; ".join(f'"Song {n}"' for n in range(len(book["songs"]))) + " }")
        lines.append("ways as listed")
        out.append("\n".join(lines) + "\n")
    return out + [f'use "book{n}.scene"\nwithout {book["lost"]}\n' for n in (1, 2)]


def by_name(book, name):
    return next(s for s in book["scenes"] if s["name"] == name)


def pressed(book, name):
    switches = sorted(does(book, name))
    return [some for count in range(1, len(switches) + 1) for some in itertools.combinations(switches, count)]


def errors(run, number):
    code, out, err = run.one(number, "check", "--format", "json")
    found = {d["code"] for d in map(json.loads, filter(None, out.splitlines())) if d.get("severity") == "error"}
    if code == 2 or (code == 1) != bool(found):
        raise Broken("check", f"{code} {out}{err}")
    return found, out


def table(run, number):
    code, out, err = run.one(number, "table", "--format", "json")
    if code:
        raise Broken("no table", err)
    read = json.loads(out)
    names = [c["name"] for c in read["cells"]]
    rows = {}
    for row in read["rows"]:
        free = {names[n] for n in row["free"]}
        rows[row["scene"]] = (dict(zip(names, map(str, row["values"]))), free, dict(row.get("switches", [])))
    return rows


def brings(text):
    """`toggles loop-1 1 back 0; remote-2-tip 1 back 0`: the cells, there and back."""
    _, rest = text.split(" ", 1)
    cells = [re.fullmatch(r"(\S+) (.*) back (.*)", one).groups() for one in rest.split("; ")]
    return {c: there for c, there, _ in cells}, {c: back for c, _, back in cells}


def same_cells(book, run, mine, other, lost):
    one, two = table(run, mine), table(run, other)
    for scene in book["scenes"]:
        name = scene["name"]
        row, _, switches = one[name]
        for some in [(), *pressed(book, name)]:
            held = dict(row)
            for s in some:
                text = switches.get(f"switch-{s}")
                if text is None:
                    if does(book, name)[s][1] != lost:
                        raise Broken("a switch that does nothing", f"{name}: switch {s}, {switches}")
                    continue
                there, back = brings(text)
                if any(row[c] != v for c, v in back.items()):
                    raise Broken("a switch brings back what was not", f"{name}: {text}, {row}")
                held.update(there)
            wanted, free, _ = two[own_name(name, some)]
            wanted = wanted | tempo(two, name, [(), *pressed(book, name)])
            wrong = {c: (held[c], v) for c, v in wanted.items() if c not in free and held[c] != v}
            if wrong:
                raise Broken("cells of a combination", f"{name} {some}, by switches and by a scene of its own: {wrong}")


def tempo(rows, name, all_of_it):
    """A preset has one tempo, sent when it is called: that of the combinations that hear the pedal."""
    cell = "midi-5:tide.tempo"
    sent = {rows[own_name(name, some)][0].get(cell, "stays") for some in all_of_it} - {"stays"}
    return {cell: sent.pop()} if len(sent) == 1 else {}


def walk(run, number, mute):
    code, out, err = run.one(number, "walk", "--set", "night", "--format", "json")
    if code:
        raise Broken("no walk", err)
    # Contacts that nobody hears are free, and chosen otherwise among more scenes.
    told = ["loops", "manual", "held", "jumps", "level_db", "tails"] + ([] if mute else ["turns"])
    return [(c["song"], c["part"], {k: c[k] for k in told}) for s in json.loads(out)["sets"] for c in heard(s["changes"])]


def heard(changes):
    """With how what comes in stands: of pedals that came in before and went out, behind the first part. What nobody heard yet
    stands as the unit woke, and that is not the same preset in both. A press sends nothing to the lamps, and a preset does. Not in books with a mute scene: what comes in there is
    not heard yet."""
    came, before = set(), set()
    for n, c in enumerate(changes):
        turns = [t for t in c["turns"] if t.split()[0] in before]
        moved = [says.rsplit(" ", 1) for says in c["loops"]]
        before |= came & {name for name, how in moved if how == "out"}
        came |= {name for name, how in moved if n and how == "in"}
        yield c | {"turns": sorted(turns)}


def same_walk(run, mine, other, mute):
    for one, two in zip(walk(run, mine, mute), walk(run, other, mute), strict=True):
        # Where the unit wakes is not the same preset in both.
        if one != two and (one[0], one[1]) != ("Song 0", "part-0"):
            raise Broken("a change is told otherwise", f"by switches {one}, by scenes of their own {two}")


def stood_in(book, run, mine):
    """Every way out is one that a part can be played in."""
    code, out, err = run.one(mine, "without", "--format", "json")
    if code:
        raise Broken("no answer to what if it breaks", err)
    ways = [row[way] for part in json.loads(out)["parts"] for row in part["presets"] for way in ("nearest", "in_reach")]
    count = 0
    for way in filter(None, ways):
        name, _, some = way["scene"].partition(", ")
        down = [int(s) for s in re.findall(r"\d+", some)]
        count += bool(down)
        if any(does(book, name)[s][0] == "holds" for s in down):
            raise Broken("a foot would have to stay on a switch for the whole part", f"{way}")
    return "ways out with a switch pressed" if count else "ways out"


def check(book, run):
    for scene in book["scenes"]:
        things = [t for _, t in does(book, scene["name"]).values()]
        if len(things) != len(set(things)):
            raise Skip("two switches for one thing")
    words = []
    for mine, other, lost in [(0, 1, None), (2, 3, book["lost"])]:
        (one, told), (two, also) = errors(run, mine), errors(run, other)
        if one != two:
            raise Broken("another mistake", f"{'tonight ' if lost else ''}by switches {told}, by scenes of their own {also}")
        if one:
            words.append("a mistake in both" + (" tonight" if lost else "") + ": " + ", ".join(sorted(one)))
            continue
        same_cells(book, run, mine, other, lost)
        mute = any(scene["mute"] for scene in book["scenes"])
        same_walk(run, mine, other, mute)
        words += [] if mute else ["how pedals that come back stand is the same"]
        words.append(stood_in(book, run, mine))
        words.append("the same" + (" tonight" if lost else ""))
    return words + [f"with {f}" for f in book["has"]]


if __name__ == "__main__":
    common.main("switches pressed, against scenes of their own", make, texts, check, 200)
