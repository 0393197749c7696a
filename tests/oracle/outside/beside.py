"""What stands in a unit beside the cells, switches inside presets and second rows, against a simulated unit that does what is
printed. Written from what the guide says of `inside`, `switch`, `again` and of the record:

"It moves one thing between two settings"; "Each time the preset is called it starts as the scene says"; "the same switch
pressed again calls [the second row]"; from `diff --help`: what is not listed stays as it is.

Of two books the unit holds the first. The list of `diff`, that of `diff --set`, and that of `diff --from-memory` after
`readback --programmed all` are each done by a hand; some units bring the switches of a preset along when it is stored in
another slot, others do not, and nobody knows which. Then every slot that the second book fills must have the switches and the
second row that its own table says; nothing is asked for that was right. Once all is recorded there is no difference. A table
printed from the first book is read back as what the unit holds: right for its own book, and for the other wrong just where the
two tables differ.
"""

import copy
import csv
import io
import json
import pathlib
import re

import common
import inside
from common import Broken, Skip


def make(dice):
    old = inside.make(dice)
    new = copy.deepcopy(old)
    for scene in new["scenes"]:
        if dice.random() < 0.3:
            scene["switches"] = [s for s in scene["switches"] if dice.random() < 0.5]
        if dice.random() < 0.3:
            things = [t for _, _, t in scene["switches"]]
            free = [s for s in inside.SWITCHES if s not in [n for n, _, _ in scene["switches"]]]
            thing = dice.choice(inside.PEDALS)
            if free and thing not in things:
                scene["switches"].append([dice.choice(free), dice.choice(["toggles", "holds"]), thing])
        if dice.random() < 0.2:
            scene["engaged"] = [p for p in inside.PEDALS if dice.random() < 0.4]
        if scene["again"] and dice.random() < 0.4:
            scene["again"] = None
    if dice.random() < 0.3 and not any(s["again"] for s in new["scenes"]):
        new["scenes"][-1]["again"] = new["scenes"][0]["name"]
    if dice.random() < 0.4:
        dice.shuffle(new["songs"])
    # The last scene comes in, or falls away.
    last = dice.choice([None, old, new])
    if last and len(last["scenes"]) > 2:
        gone = last["scenes"].pop()["name"]
        last["songs"] = [[part for part in song if part[0] != gone] for song in last["songs"]]
        for scene in last["scenes"]:
            scene["again"] = None if scene["again"] == gone else scene["again"]
    return {"books": [old, new], "brings": dice.random() < 0.5}


def texts(book):
    return [text for one in book["books"] for text in inside.texts(one)]


def does(text):
    """`toggles loop-1 1 back 0; remote-2-tip 1 back 0`, or `toggles loop 1 (GLL) 1 and remote 2 tip (larch channel) 1`."""
    word, rest = text.split(" ", 1)
    moved = re.findall(r"(loop.\d+|remote.\d+.(?:tip|ring)|output.\d+)(?: \([^)]*\))? (\S+?)(?=;|$| )", rest)
    return word, frozenset((cell.replace(" ", "-"), value) for cell, value in moved)


def table(run, number):
    code, out, err = run.one(number, "table", "--format", "csv")
    if code:
        raise Broken("no table", err)
    rows = {}
    for row in csv.DictReader(io.StringIO(out)):
        switches = {k[7:]: does(v) for k, v in row.items() if k.startswith("switch-") and v != "nothing"}
        if row["slot"]:
            rows[row["slot"]] = switches
    return rows, out


def done(unit, slots, switches, brings):
    """The unit once a list is worked off: presets stored elsewhere first, then the boxes of the switches."""
    unit, unsure = copy.deepcopy(unit), set()
    for work in slots:
        slot, source = work["slot"], work["from"]
        source = source["slot"] if isinstance(source, dict) else source
        if source and brings:
            unit[slot] = dict(unit[source])
            if source + " again" in unit:
                unit[slot + " again"] = dict(unit[source + " again"])
            else:
                unit.pop(slot + " again", None)
        unit.setdefault(slot, {})
    for slot, says in switches:
        gone = re.fullmatch(r"switch (\S+) does nothing any more", says)
        set_so = re.fullmatch(r"switch (\S+) ((?:toggles|holds) .*)", says)
        if gone:
            unit[slot].pop(gone.group(1), None)
        elif set_so:
            unit[slot][set_so.group(1)] = does(set_so.group(2))
        elif says == "its own switch calls no second row any more":
            del unit[slot + " again"]
        elif "nobody knows" in says:
            unsure.add(slot)
        else:
            raise Broken("words that no hand understands", says)
    return unit, unsure


def right(unit, wants, slots, why):
    for slot in slots:
        if unit.get(slot) != wants[slot]:
            raise Broken(f"the unit is wrong after {why}", f"{slot}: {unit.get(slot)}, wanted {wants[slot]}")
        second = slot + " again"
        # A set may never come to a second row that is new.
        lacks = second in wants and "set" not in why
        if "again" not in slot and second not in unit and lacks or second in unit and second not in wants:
            raise Broken(f"a second row is wrong after {why}", f"{slot}: {sorted(unit)}, wanted {sorted(wants)}")


def data(run, number, *options):
    code, out, err = run.one(number, *options)
    if code not in (0, 1) or not out:
        raise Broken("no list", f"{options}: {code} {err}")
    return code, json.loads(out)


def check(book, run):
    old, new = book["books"]
    for one in (0, 1):
        if run.one(one, "check")[0] or not book["books"][one]["scenes"]:
            raise Skip("errors of a book")
    (was, text), (wants, _) = table(run, 0), table(run, 1)
    words, brings = [], book["brings"]
    # The whole list.
    _, out = data(run, 0, "diff", run.files[1], "--format", "json")
    todo = out["reprogrammed"]
    switches = [(s["slot"], s["says"]) for s in todo.get("switches", [])]
    unit, unsure = done(was, todo["slots"], switches, brings)
    if unsure:
        raise Broken("a book is said not to be known", f"{unsure}")
    right(unit, wants, wants, "the list")
    copied = {w["slot"] for w in todo["slots"] if w["from"]}
    for slot, says in switches:
        if slot not in copied and was.get(slot) == wants[slot] and "second row" not in says:
            raise Broken("what is right is asked for", f"{slot}: {says}")
    words += ["lists"] + ["switches to set"] * bool(switches) + ["with copies"] * bool(copied)
    words += ["second rows that fall away"] * any("second row" in says for _, says in switches)
    # One set.
    _, out = data(run, 0, "diff", run.files[1], "--set", "night", "--format", "json")
    switches = [(step["slot"], says) for step in out["slots"] for says in step.get("switches", [])]
    unit, _ = done(was, out["slots"], switches, brings)
    _, walk = data(run, 1, "walk", "--set", "night", "--format", "json")
    played = {re.sub(" press .*", "", c["slot"]) for s in walk["sets"] for c in s["changes"] if c.get("slot")}
    right(unit, wants, sorted(played), "the list of a set")
    # A record of what was put there.
    record = str(pathlib.Path(run.files[0]).with_name("unit.programmed"))
    pathlib.Path(record).unlink(missing_ok=True)

    def programmed(number):
        code, _, err = run.one(number, "readback", "--programmed", "all", "--record", record, "--date", "day")
        if code:
            raise Broken("nothing is recorded", err)

    programmed(0)
    _, out = data(run, 1, "diff", f"--from-memory={record}", "--format", "json")
    todo = out["reprogrammed"]
    switches = [(s["slot"], s["says"]) for s in todo.get("switches", [])]
    unit, unsure = done(was, todo["slots"], switches, brings)
    if unsure & set(was):
        raise Broken("what is in the record is said not to be known", f"{unsure}")
    right(unit, wants, wants, "the list by the record")
    programmed(1)
    _, out = data(run, 1, "diff", f"--from-memory={record}", "--format", "json")
    if out["reprogrammed"]["slots"] or out["reprogrammed"].get("switches"):
        raise Broken("all is recorded, and something differs", f"{out['reprogrammed']}")
    # A table that was printed is read as the unit.
    printed = pathlib.Path(run.files[0]).with_name("printed.csv")
    printed.write_text(text, encoding="utf-8")
    code, out, err = run.one(0, "readback", str(printed))
    if code or "all that is heard was read" not in out:
        raise Broken("a book's own table is read as something else", out + err)
    code, out, err = run.one(1, "readback", str(printed), "--format", "csv")
    if code not in (0, 1) or err:
        raise Broken("another book's table is not read", err)
    told = {(r["slot"], r["cell"]) for r in csv.DictReader(io.StringIO(out)) if r["cell"].startswith("switch-")}
    same = lambda slot, n: was[slot].get(n) == wants[slot].get(n)
    has = [n for n in map(str, inside.SWITCHES) if f"switch-{n}" in text.splitlines()[0]]
    true = {(slot, f"switch-{n}") for slot in was if slot in wants for n in has if not same(slot, n)}
    if told != true:
        raise Broken("other switches are wrong by a table", f"told {sorted(told)}, true {sorted(true)}")
    return words


if __name__ == "__main__":
    common.main("beside the cells", make, texts, check, 150)
