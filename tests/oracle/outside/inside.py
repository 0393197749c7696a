"""Switches inside a preset and second rows, by enumeration. Written from what the guide says of `inside`, `switch`, `again`
and `press`:

"It moves one thing between two settings: a pedal, a loop, an output, a contact, or a control. `toggles`: each press
moves it, there and back. `holds`: it is moved as long as the foot stays. Each time the preset is called it starts as the
scene says." "Every combination is held against the rules." "the same switch pressed again calls [the second row], and
pressed once more it calls the first again." "the walk counts it, and the next part that plays the same scene without it counts
one more".

The rules are held against every combination of switches of every scene, one by one. A simulated unit has nothing but what
the worksheet says: presets by slot and row, and what each switch moves. A player presses what the walk says, and what then
sounds is held against what the book says of each part. In books of few presets every sequence of presses up to the printed
number is tried: the cheapest way to a part's place by the foot's own rules is found by breadth first. Another player does
what the boxes of the player's sheet say, `1, 6 on`, `1 again`, and must hear the same; in a break between songs from where he
stands, and from elsewhere. Under the boxes stands each switch that holds. The tech's sheet lists the same switches as the
worksheet; `why` and `where` tell of a switch what the book says of it.
"""

import collections
import itertools
import json
import random
import re

import common
from common import Broken, Skip, chain

PEDALS = ["gully", "ember", "moss", "tarn"]
CODES = {"gully": "GLL", "ember": "EMB", "moss": "MSS", "tarn": "TRN"}
NAMES = ["bed", "crest", "solo", "hush", "push"]
SWITCHES = [6, 7, 8]


def make(dice):
    scenes = []
    names = NAMES[: dice.randint(2, 5)]
    for n, name in enumerate(names):
        engaged = [p for p in PEDALS if dice.random() < 0.4]
        switches, things = [], dice.sample([*PEDALS, "channel", "output 2", "remote 3 tip"], 3)
        for switch in SWITCHES:
            if dice.random() < 0.45:
                thing = things[switch - 6]
                switches.append([switch, dice.choice(["toggles", "toggles", "holds"]), thing])
        scenes.append(
            {
                "name": name,
                "from": dice.choice(names[:n]) if n and dice.random() < 0.4 else None,
                "engaged": engaged,
                "lead": dice.random() < 0.4,
                "switches": switches,
                "idle": [s for s in SWITCHES if dice.random() < 0.1],
                "again": None,
            }
        )
    for scene in scenes:
        if dice.random() < 0.3:
            taken = {s["again"] for s in scenes} | {s["name"] for s in scenes if s["again"]}
            free = [n for n in names if n != scene["name"] and n not in taken and scene["name"] not in taken]
            scene["again"] = dice.choice(free) if free else None
    atoms = [*PEDALS, "larch.channel lead", "output 2 on"]
    rules = []
    for _ in range(dice.choice([0, 0, 1, 2])):
        kind = dice.choice(["never", "needs", "scene"])
        a, b = dice.sample(atoms, 2)
        rules.append([kind, dice.choice(names) if kind == "scene" else a, b])
    songs = [[[dice.choice(names), dice.random() < 0.5] for _ in range(dice.randint(1, 5))] for _ in range(dice.randint(1, 3))]
    return {
        "scenes": scenes,
        "rules": rules,
        "songs": songs,
        "default": [[dice.choice(SWITCHES), "toggles", dice.choice(PEDALS)]] if dice.random() < 0.2 else [],
        "cost": [dice.randint(1, 2), dice.randint(1, 3)],
        "seed": dice.random(),
    }


def row(book, name):
    """What a scene's preset holds: things by name, on or off."""
    out = {p: False for p in PEDALS}
    for scene in reversed(chain(book, name)):
        for pedal in scene["engaged"]:
            out[pedal] = True
    out["channel"] = chain(book, name)[0]["lead"]
    out["output 2"] = True
    out["remote 3 tip"] = False
    return out


def switches(book, name):
    """What each switch does in a scene: the scene's own word first, then its parents', then the default's."""
    out = {}
    for scene in chain(book, name):
        said = {}
        for switch, does, thing in scene["switches"]:
            said[switch] = (does, thing)
        for switch in scene["idle"]:
            said.setdefault(switch, None)
        for switch, what in said.items():
            out.setdefault(switch, what)
    for switch, does, thing in book["default"]:
        out.setdefault(switch, (does, thing))
    return {s: w for s, w in out.items() if w}


def texts(book):
    lines = [
        "switcher { loops 4; outputs 2; remote jacks 3; banks 1..2, switches 1..4; repress ignored; wakes 1.1",
        f"  presses: same bank {book['cost'][0]}, bank step {book['cost'][1]}",
        "  inside: switches 6..8, toggles 3, holds 3, rows 2 }",
    ]
    lines += [f"pedal {p} {{ code {CODES[p]}; loop {n + 1} }}" for n, p in enumerate(PEDALS)]
    lines += ["amp larch { fed by output 1; control channel on remote 2 tip { clean: open; lead: closed } }"]
    lines += ["amp alder { fed by output 2 }"]
    lines += [f"default {{ switch {s} {d} {t} }}" for s, d, t in book["default"]]
    for scene in book["scenes"]:
        said = [f"engage {p}" for p in scene["engaged"]]
        said.append(f"larch.channel {'lead' if scene['lead'] else 'clean'}")
        told = [s for s, _, _ in scene["switches"]]
        said += [f"switch {s} {d} {'larch.channel' if t == 'channel' else t}" for s, d, t in scene["switches"]]
        said += [f"switch {s} does nothing" for s in scene["idle"] if s not in told]
        said += [f"again {scene['again']}"] if scene["again"] else []
        come = f" from {scene['from']}" if scene["from"] else ""
        lines.append(f"scene {scene['name']}{come} {{ {'; '.join(said)} }}")
    for kind, a, b in book["rules"]:
        lines.append(f"rule never {a} beside {b}" if kind == "never" else f"rule {a} needs {b}")
    for n, song in enumerate(book["songs"]):
        parts = [f'"part {i}": {name}' + "".join(f", press {s}" for s in asked(book, n, i)) for i, (name, _) in enumerate(song)]
        lines.append(f'song "Song {n}" {{ {"; ".join(parts)} }}')
    lines.append('set "night" { ' + "; ".join(f'"Song {n}"' for n in range(len(book["songs"]))) + " }")
    return ["\n".join(lines) + "\n"]


def asked(book, song, part):
    """The switches that a part presses: some of those that toggle, by the book's own numbers."""
    name, some = book["songs"][song][part]
    toggles = [s for s, (does, _) in sorted(switches(book, name).items()) if does == "toggles"]
    return [s for i, s in enumerate(toggles) if some and int(book["seed"] * 7919 * (song + 2) * (part + 3) * (i + 1)) % 2]


def clashes(book):
    """Two switches of one scene that move one thing are refused."""
    for scene in book["scenes"]:
        things = [t for _, t in switches(book, scene["name"]).values()]
        if len(things) != len(set(things)):
            return True
    return False


def holds(state, name, atom, names):
    if atom in names:
        return name == atom
    if atom == "larch.channel lead":
        return state["channel"]
    if atom == "output 2 on":
        return state["output 2"]
    return state[atom]


def broken(book):
    """Every scene and combination of switches that breaks a rule."""
    names = {s["name"] for s in book["scenes"]}
    out = set()
    for scene in book["scenes"]:
        name, does = scene["name"], switches(book, scene["name"])
        for count in range(len(does) + 1):
            for some in itertools.combinations(sorted(does), count):
                state = row(book, name)
                for switch in some:
                    state[does[switch][1]] ^= True
                for n, (kind, a, b) in enumerate(book["rules"]):
                    one, other = holds(state, name, a, names), holds(state, name, b, names)
                    if (one and other) if kind == "never" else (one and not other):
                        out.add((n, name, some))
    return out


class Unit:
    """Has what the worksheet says, and does what a foot asks."""

    def __init__(self, sheet, anew=True):
        self.anew = anew
        self.slots, self.at, self.now, self.down, self.bank = {}, None, {}, set(), 0
        for slot, again, rest in sheet:
            cells, does = {}, {}
            for group in rest.split("; "):
                found = re.match(r"switch (\d+) (toggles|holds) (.*)", group)
                if found:
                    moves = [m.split(" ") for m in found[3].split(" and ")]
                    does[int(found[1])] = (found[2], {m[0]: m[1].rstrip(",") for m in moves}, {m[0]: m[3] for m in moves})
                    continue
                for one in group.split(", "):
                    words = one.split(" ")
                    if len(words) > 1:
                        cells[words[0]] = {"in": "1", "on": "1", "closed": "1", "off": "0", "open": "0"}[words[1]]
            self.slots[slot, bool(again)] = (cells, does)

    def call(self, slot, again):
        self.at, self.down = (slot, again), set()
        self.now = dict(self.slots[self.at][0])

    def press(self, what):
        """A bank slot's switch, or one inside the preset."""
        if isinstance(what, int):
            _, there, back = self.slots[self.at][1][what]
            self.now.update(back if what in self.down else there)
            self.down ^= {what}
        elif (what, False) not in self.slots:
            raise Broken("a press on what is no switch of a preset", what)
        elif self.at and self.at[0] == what:
            if (what, True) in self.slots:
                self.call(what, not self.at[1])
            elif self.anew:
                self.call(what, False)
        else:
            self.call(what, False)

    def sounds(self):
        return {k: v for k, v in self.now.items() if v == "1"}


CELLS = {**{p: CODES[p] for p in PEDALS}, "channel": "2T", "output 2": "O2", "remote 3 tip": "3T"}


def wanted(book, name, pressed):
    state = row(book, name)
    for switch in pressed:
        state[switches(book, name)[switch][1]] ^= True
    return {CELLS[k] for k, v in state.items() if v} | {"O1"}


def read_sheet(text):
    out, lines = [], text.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("programming the unit"))
    for line in lines[start:]:
        found = re.match(r"\[ \] \[ \]  (\d+\.\d+)( again)?\s+(\S+)\s+(.*)", line)
        if found and not line.startswith("[ ] [ ]  copy"):
            out.append([found[1], found[2], found[4]])
        elif out and line.startswith(" ") and line.strip():
            out[-1][2] += " " + line.strip()
    return out


def cheapest(book, unit, place, to):
    """The fewest presses from one place to another: every sequence of a foot's moves, by breadth first in steps of cost.

    Within one row the switches inside are moved, however many: anything else would be heard on the way.
    """
    same, step = book["cost"]
    queue, seen = [(0, 0, place)], {}
    order = itertools.count(1)
    while queue:
        queue.sort(key=lambda entry: (entry[0], entry[1]))
        cost, _, here = queue.pop(0)
        if here in seen:
            continue
        seen[here] = cost
        if here == to:
            return cost
        slot, again, down = here
        # A switch inside moves what is there; the preset's own switch calls the other row; another slot is called afresh.
        for switch, (kind, _, _) in unit.slots[slot, again][1].items():
            if kind == "toggles":
                queue.append((cost + 1, next(order), (slot, again, down ^ frozenset([switch]))))
        if here[:2] == to[:2]:
            continue
        if (slot, True) in unit.slots:
            queue.append((cost + 1, next(order), (slot, not again, frozenset())))
        for other, row_of in unit.slots:
            if other != slot and not row_of:
                banks = abs(int(other.split(".")[0]) - int(slot.split(".")[0]))
                queue.append((cost + same + step * banks, next(order), (other, False, frozenset())))
    return None


def check(book, run):
    if clashes(book):
        code, _, said = run("check")
        if code == 0:
            raise Broken("two switches for one thing pass", said)
        return "refused"
    bad = broken(book)
    code, out, err = run("check", "--format", "json")
    told = set()
    for line in (out + err).splitlines():
        for found in re.finditer(r"`([a-z]+)(?:, ([0-9, and]+) pressed)?` breaks the rule", line):
            told.add((found[1], tuple(int(n) for n in re.findall(r"\d+", found[2] or ""))))
    if bool(bad) != ("rule-broken" in out + err or "rules-clash" in out + err):
        raise Broken("a rule's verdict", f"by hand {sorted(bad)}, told {out}{err}")
    if bad:
        for name in {name for _, name, _ in bad}:
            if f"`{name}" not in out and "scenes break the rule" not in out:
                raise Broken("a scene that breaks a rule is not told", f"{name}: {sorted(bad)}, told {out}")
        for name, some in told:
            if not any((n, s) == (name, some) for _, n, s in bad):
                raise Broken("a combination is told that breaks nothing", f"{name} {some}: {sorted(bad)}")
        return "a rule broken by a press alone" if all(some for _, _, some in bad) else "a rule broken"
    if code != 0 and '"error"' in out:
        raise Broken("an error where nothing is wrong", out + err)
    _, sheet, said = run("sheet", "--program")
    if not sheet:
        raise Broken("no worksheet", said)
    unit = Unit(read_sheet(sheet))
    _, walk, _ = run("walk", "--set", "night", "--format", "json")
    changes = [c for p in json.loads(walk)["sets"] for c in p["changes"]]
    parts = [(n, i) for n, song in enumerate(book["songs"]) for i in range(len(song))]
    if len(parts) != len(changes):
        raise Broken("changes are missing", f"{len(parts)} parts, {len(changes)} changes")
    unit.call("1.1", False)
    place = ("1.1", False, frozenset())
    counted = collections.Counter()
    for (n, i), change in zip(parts, changes):
        name, pressed = book["songs"][n][i][0], asked(book, n, i)
        slot, again, down = re.match(r"(\d+\.\d+)( again)?(?: press ([0-9, and]+))?$", change["slot"]).groups()
        down = frozenset(int(x) for x in re.findall(r"\d+", down or ""))
        if down != frozenset(pressed):
            raise Broken("the walk presses other switches", f"{change['slot']}: the part asks {pressed}")
        to = (slot, bool(again), down)
        presses = played(unit, place, to)
        if unit.at != (slot, bool(again)):
            raise Broken("the switch calls another row", f"{change['slot']}: {unit.at}")
        want = wanted(book, name, pressed)
        if set(unit.sounds()) != want:
            raise Broken("what sounds is not what the book says", f"{change['slot']}: {unit.sounds()}, wanted {want}")
        least = cheapest(book, unit, place, to)
        if change["presses"] != least:
            raise Broken("presses", f"{place} to {to}: told {change['presses']}, by breadth first {least}")
        counted["again"] += bool(again)
        counted["press"] += presses > 0
        place = to
    follow(book, run, sheet, random.Random(book["seed"]))
    bench(run, sheet)
    questions(book, run)
    return "played, with a second row" if counted["again"] else "played, with presses" if counted["press"] else "played"


def follow(book, run, sheet, dice):
    """Players who do what the player's sheet says, box by box, and know nothing else.

    Between songs one stays where he stands, another presses some other slot and maybe a switch in it; and the unit, called to
    the preset in which it stands, calls it anew, or does nothing.
    """
    _, told, _ = run("sheet", "--for", "player", "--set", "night", "--format", "text")
    for stays, anew in itertools.product([True, False], repeat=2):
        unit = Unit(read_sheet(sheet), anew)
        unit.call("1.1", False)
        for bank, song, boxes in re.findall(r"^bank (\d+)  \d+\. Song (\d+)\n=+\n((?:.+\n)+)", told, re.M):
            boxes, *held = re.split(r"^(?=(?:part \d[^\n]* )?switch \d held: )", boxes, maxsplit=1, flags=re.M)
            held_told(book, int(song), " ".join(held).replace("\n", " "), told)
            chips = re.findall(r"(?:\[([^\]]+)\] )?(?:\(([^)]+)\) )?((?:part \d+(?:, )?)+)", boxes.replace("\n", " "))
            full = lambda slot: slot if "." in slot else f"{bank}.{slot}"
            for n, (box, aside, names) in enumerate(chips):
                elsewhere = re.search(r"from elsewhere (.*)", aside)
                if elsewhere and n > 0:
                    raise Broken("inside a song nobody stands elsewhere", f"{aside}: {boxes}")
                others = [s for s, second in unit.slots if not second and s not in (unit.at[0], full(re.split("[ ,]", box or aside)[0]))]
                if n == 0 and not stays and others:
                    unit.call(dice.choice(others), False)
                    does = unit.slots[unit.at][1]
                    for switch in [s for s, (kind, _, _) in does.items() if kind == "toggles" and dice.random() < 0.5]:
                        unit.press(switch)
                    box = elsewhere[1] if elsewhere else box
                elif not box and full(aside.split(" stays")[0]) != unit.at[0]:
                    raise Broken("the sheet says to stay elsewhere", f"{aside}: {boxes}")
                for key in box.split(", ") if box else []:
                    inside = re.fullmatch(r"(\d) (on|off)", key)
                    if inside:
                        if (int(inside[1]) in unit.down) == (inside[2] == "on"):
                            raise Broken("the sheet presses a switch that stands so", f"{box}: {boxes}")
                        unit.press(int(inside[1]))
                    else:
                        unit.press(full(key.removesuffix(" again")))
                        if unit.at[1] != key.endswith(" again"):
                            raise Broken("the sheet presses another row", f"{box}: {boxes}")
                for part in re.findall(r"part (\d+)", names):
                    name, want = book["songs"][int(song)][int(part)][0], asked(book, int(song), int(part))
                    if set(unit.sounds()) != wanted(book, name, want):
                        raise Broken("who follows the player's sheet hears something else", f"Song {song}, part {part}, {told}")


def bench(run, sheet):
    """The tech's sheet and the table list what the worksheet has of switches."""
    typed = [
        (slot, again or "", f"switch {rest.rstrip('; ')}")
        for slot, again, text in read_sheet(sheet)
        for rest in re.split("(?:^|; )switch ", text)[1:]
    ]
    for words in [("sheet", "--for", "tech"), ("sheet",), ("table",)]:
        text = run(*words)[1]
        told = re.findall(r"^(\d+\.\d+)( again)? +\w+: (switch \d+ (?:toggles|holds) .*(?:\n    .*)*)", text, re.M)
        told = [(slot, again, re.sub(r"\s+", " ", what)) for slot, again, what in told]
        if sorted(told) != sorted(typed):
            raise Broken("the switches are listed otherwise", f"{words}: {told}, the worksheet {typed}")


def questions(book, run):
    switch = SWITCHES[int(book["seed"] * 7919) % 3]
    have = sorted(line.split(",")[:2] for line in run("where", f"switch {switch}", "--format", "csv")[1].splitlines()[1:])
    parts = [(f"Song {n}", f"part {i}", name) for n, song in enumerate(book["songs"]) for i, (name, _) in enumerate(song)]
    want = [[song, part] for song, part, name in parts if switch in switches(book, name)]
    if [h for h in have if h[0]] != sorted(want):
        raise Broken("`where` names other parts of a switch", f"switch {switch}: {have}, not {want}")
    name = book["scenes"][0]["name"]
    does = switches(book, name).get(switch, (None,))[0]
    said = run("why", name, f"switch-{switch}")[1]
    if {"toggles": " toggles: ", "holds": " holds: ", None: " does nothing"}[does] not in said:
        raise Broken("`why` tells another thing of a switch", f"{name}: {said}, not {does}")


def held_told(book, song, told, sheet):
    """Each switch that holds stands there with its parts; with none where it is so in the whole song."""
    parts = range(len(book["songs"][song]))
    says = set()
    for names, switch in re.findall(r"((?:part \d+(?:, )?)*) ?switch (\d) held: ", told):
        says |= {(int(part), int(switch)) for part in re.findall(r"\d+", names) or parts}
    true = {
        (part, switch)
        for part in parts
        for switch, (does, _) in switches(book, book["songs"][song][part][0]).items()
        if does == "holds"
    }
    if says != true:
        raise Broken("the switches that hold on the player's sheet", f"{says}, true: {true}, {told}, {sheet}")


def played(unit, place, to):
    """Plays from one place to another as the sheet tells; how many switches inside were pressed."""
    (slot, again, down), (there, second, wanted_down) = place, to
    if slot != there:
        unit.press(there)
        again, down = False, frozenset()
    if second != again:
        unit.press(there)
        down = frozenset()
    for switch in sorted(down ^ wanted_down):
        unit.press(switch)
    return len(down ^ wanted_down)


if __name__ == "__main__":
    common.main("switches inside presets", make, texts, check, 200)
