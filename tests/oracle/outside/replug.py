"""What a diff says of leads, done line by line to the old board's printed lead list: it must give the new board's.

First comes what is taken out, then plugs that go elsewhere, then other lengths and polarities, new names on labels, new
numbers, and what is put in, all as printed. Beside it: a jack of the panel that held a lead and holds none, or leads back into
the board, and what stands on the stage and is reached past the panel, is told, and nothing else is.
"""

import copy
import csv
import io
import re

import boards
import common
from common import Broken, Skip


def make(dice):
    old = boards.make_board(dice)
    new = copy.deepcopy(old)
    for _ in range(dice.randint(1, 4)):
        change(new, dice)
    return {"old": old, "new": new, "renames": dice.random() < 0.5}


def change(board, dice):
    pedals = board["pedals"]
    what = dice.randint(0, 11)
    if what == 0 and len(pedals) > 1:
        a, b = dice.sample(pedals, 2)
        a["loop"], b["loop"] = b["loop"], a["loop"]
    elif what == 1 and pedals:
        pedals.remove(dice.choice(pedals))
    elif what == 2 and pedals:
        dice.choice(pedals)["name"] = "juniper"
    elif what == 3:
        free = set(range(1, board["loops"] + 1)) - {p["loop"] for p in pedals}
        if free and not any(p["name"] == "holly" for p in pedals):
            pedals.append(
                {"name": "holly", "loop": dice.choice(sorted(free)), "stereo": False, "power": "A", "reversing": False, "moved": None}
            )
    elif what == 4:
        for p in [p for p in pedals if p["moved"] == "remote"]:
            p["contact"] = [7 - p["contact"][0], p["contact"][1]]
    elif what == 5 and pedals:
        p = dice.choice(pedals)
        p["power"] = dice.choice(["A", "B", "C", None])
        p["reversing"] = dice.random() < 0.3
    elif what == 6:
        board["patch"] = dice.choice([None, "30 cm", "25 cm", "2 m"])
    elif what == 7 and board["panel"]:
        board["panel"].remove(dice.choice(board["panel"]))
    elif what == 8 and len(board["panel"]) > 1:
        a, b = dice.sample(board["panel"], 2)
        if a[0] == b[0]:
            a[1], b[1] = b[1], a[1]
    elif what == 9:
        outs = [j for j in board["panel"] if j[2].startswith("remote")]
        if outs:
            jack = dice.choice(outs)
            jack[2] = f"remote {9 - int(jack[2].split(' ')[1])}"
    elif what == 10:
        board["volts"][dice.choice("ABCD")] = dice.choice(["centre-negative", "centre-positive", None])
    elif what == 11 and pedals:
        p = dice.choice(pedals)
        if p["moved"] != "remote":
            p["moved"] = dice.choice([None, "foot", "midi"])


def texts(book):
    return [boards.board_text(book["old"]), boards.board_text(book["new"])]


def wiring(run, number):
    code, out, err = run.one(number, "wiring", "--format", "csv")
    if code not in (0, 1) or not out:
        raise Skip("errors of a book")
    rows = csv.DictReader(io.StringIO(out))
    return {
        int(r["lead"]): {
            "ends": [r["from"], *r["to"].split(" and ")],
            "kind": r["kind"],
            "length": float(r["length_m"]) if r["length_m"] else None,
            "polarity": r["polarity"],
        }
        for r in rows
    }


def metres(text):
    found = re.fullmatch(r"([\d.]+) (cm|m)", text)
    return found and float(found[1]) * (0.01 if found[2] == "cm" else 1)


def follow(section, leads, told):
    leads, words = copy.deepcopy(leads), []
    for line in re.findall(r"^  \[ \] (.*)$", section, re.M):
        out = re.fullmatch(r"lead (\d+): take out, (.*?) from (.*) to (.*)", line)
        put = re.fullmatch(r"lead (\d+): put in, (.*?) from (.*) to (.*)", line)
        moved = re.fullmatch(r"lead (\d+)(?: \(now \d+\))?: from (.*) to (.*)", line)
        label = re.fullmatch(r"lead (\d+)(?: \(now \d+\))?: its label: (.*) → (.*)", line)
        made = re.fullmatch(r"lead (\d+)(?: \(now \d+\))?: (.*) → (.*)", line)
        one = re.fullmatch(r"lead (\d+) is now lead (\d+): print its labels", line)
        many = re.fullmatch(r"leads (\d+) to (\d+) are now (\d+) to (\d+): print their labels", line)
        if out:
            words.append("leads to take out")
            gone = leads.pop(int(out[1]), None)
            if not gone or [out[3], *out[4].split(" and ")] != gone["ends"]:
                raise Broken("a lead is taken out that is not there", f"{line}\n{told}")
        elif put:
            words.append("leads to put in")
            # A pre-existing number that turns is turned by then.
            if int(put[1]) in leads:
                raise Broken("a lead is put in under a number that is taken", f"{line}\n{told}")
            kind, *rest = put[2].split(", ")
            lengths = [metres(r) for r in rest if metres(r) is not None]
            names = [r for r in rest if metres(r) is None]
            leads[int(put[1])] = {
                "ends": [put[3], *put[4].split(" and ")],
                "kind": kind,
                "length": lengths[0] if lengths else None,
                "polarity": names[0] if names else "",
            }
        elif moved or label:
            n, a, b = (moved or label).groups()
            words.append("plugs to move" if moved else "labels to print")
            ends = leads[int(n)]["ends"]
            if a not in ends:
                raise Broken("a plug is to leave a jack where it is not", f"{line}\n{told}")
            ends[ends.index(a)] = b
        elif made:
            n, a, b = made.groups()
            words.append("lengths or polarities")
            length = metres(a) is not None or metres(b) is not None
            leads[int(n)]["length" if length else "polarity"] = (
                None if b == "not stated" and length else metres(b) if length else "" if b == "not stated" else b
            )
        elif one or many:
            words.append("numbers that turn")
            a, b, c = (int(one[1]), int(one[1]), int(one[2])) if one else (int(many[1]), int(many[2]), int(many[3]))
            for n in range(a, b + 1):
                if n not in leads:
                    raise Broken("a number turns that no lead has", f"{line}\n{told}")
                leads[n]["new"] = c + n - a
        elif "forgotten" not in line:
            raise Broken("a line that nobody can follow", line)
        if one or many or put:
            continue
    return leads, words


def turned(section):
    """Numbers turn all at once, before anything is put in."""
    lines = section.splitlines()
    first = next((n for n, l in enumerate(lines) if re.search(r": put in, ", l)), len(lines))
    return "\n".join(lines[:first]), "\n".join(lines[first:])


def check(book, run):
    old, new = wiring(run, 0), wiring(run, 1)
    code, out, err = run("diff", "--for", "tech", *["--no-renames"] * (not book["renames"]))
    if code not in (0, 1):
        raise Broken("no diff of two books without errors", err)
    section = re.search(r"^Leads\n((?:.+\n)*)", out, re.M)
    section = section[1] if section else ""
    told = f"{section}\nold: {old}\nnew: {new}"
    before, behind = turned(section)
    leads, words = follow(before, old, told)
    leads = {lead.pop("new", n): lead for n, lead in leads.items()}
    leads, more = follow(behind, leads, told)
    close = lambda a, b: a == b or None not in (a, b) and abs(a - b) < 1e-9
    for n in sorted(set(leads) | set(new)):
        a, b = leads.get(n), new.get(n)
        if not a or not b or (a["kind"], a["polarity"], a["ends"]) != (b["kind"], b["polarity"], b["ends"]) or not close(a["length"], b["length"]):
            # The ends of one that splits have no order.
            if a and b and a["ends"][0] == b["ends"][0] and sorted(a["ends"]) == sorted(b["ends"]) and a["kind"] == b["kind"]:
                continue
            raise Broken("the lines followed to the letter give other leads", f"lead {n}: {a}, wanted {b}\n{told}")
    if bool(words + more) != (old != new):
        raise Broken("leads differ and nothing is told, or the other way round", told)
    panel = forgotten(book, old, new)
    said = sorted(re.findall(r"\[ \] (.*): nothing leads there any more", section))
    if said != panel:
        raise Broken("jacks of the panel that nothing leads to are told otherwise", f"{panel}\n{told}")
    stage = past(book, old, new)
    said = sorted(re.findall(r"the panel has no jack for (.*?)(?:, which was .*)?: ", section))
    if said != stage:
        raise Broken("what is reached past the panel is told otherwise", f"{stage}\n{told}")
    return sorted(set(words + more)) + ["a jack of the panel forgotten"] * bool(panel or stage) or ["nothing to do"]


def jacks(board):
    return {f"panel {way} {n}" for way, n, _ in board["panel"]}


def forgotten(book, old, new):
    """Jacks of the new panel that held a lead in the old list, and hold none in the new one."""
    held = lambda leads: {e for l in leads.values() for e in l["ends"]}
    return sorted(j for j in jacks(book["new"]) if j in held(old) and j not in held(new))


def past(book, old, new):
    """What stands on the stage and was on the panel, and is not now; or is new there while all of its kind was."""

    def stage(leads):
        amps = tuple(a["name"] for a in book["old"]["amps"])
        names = re.compile(rf"^({'|'.join((*amps, *boards.GUITARS, 'guitar', 'rocker1', 'rocker2'))})( |$)")
        pairs = [(l["ends"][0], e) for l in leads.values() for e in l["ends"][1:]]
        for a, b in pairs + [(b, a) for a, b in pairs]:
            if names.match(a):
                yield re.sub(r" \((tip|ring)\)", "", a), a, b, kind(a)

    def kind(jack):
        return "treadle" if jack.startswith("rocker") else "remote" if "foot switch" in jack else "sound"

    before = {key: b for key, _, b, _ in stage(old)}
    kinds = {}
    for key, _, b, k in stage(old):
        kinds.setdefault(k, []).append(b.startswith("panel"))
    out = []
    for key, a, b, k in stage(new):
        if b.startswith("panel") or not book["new"]["panel"]:
            continue
        if before.get(key, "").startswith("panel") or key not in before and all(kinds.get(k, [False])):
            out.append(a)
    return sorted(out)


if __name__ == "__main__":
    common.main("what a diff says of leads", make, texts, check, 300)
