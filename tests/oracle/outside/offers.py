"""What is offered as a way out, made and read again. Written from language.md alone:

14 "All mistakes at once. One mistake never hides another and never makes up new ones"
Reading it, Pasted text: "one error each, with a fix"
3 "Several `default` blocks are one."

and from what a reader takes for granted: an offer that leads to another error is no offer. So whatever is offered is made,
alone, in the text. A mend of what could not be read: then what it was offered for is gone, and where it was made no new error
of reading or of names stands (a mistake elsewhere that could not be seen before may come to light: it is counted). Any other
offer: then its mistake is gone, no error is new, and of a book that could only be warned of there are fewer warnings. The words
are followed too, by a hand of our own: a setting said in `default`, a line to describe or to allow, a statement taken out or
put in; and no words name a change that is not among the offers. No offer at all may go wrong. The books are those of the
suite, in which a hand slips once or twice or not at all, and random boards with rules, layers, settings and levels.
"""

import collections
import json
import pathlib
import re

import common
from common import Broken, Skip

SUITE = pathlib.Path(__file__).resolve().parents[2] / "suite"
# Errors of what was written there, not of what it means.
READING = {
    *("syntax", "unknown-name", "unknown-song", "state-unknown", "control-unknown", "name-reserved", "contact-unclear"),
    *("duplicate-name", "name-case", "other-kind"),
}


def books():
    for path in sorted(SUITE.glob("*/*.scene")):
        text = path.read_bytes()
        if b"\r" in text or not text.isascii():  # the suite's odd files are odd on purpose
            continue
        prelude, *sections = re.split(r"(?m)^#=== .*\n", text.decode())
        for section in sections:
            yield [line for line in (prelude + section).splitlines() if not line.startswith(("#~", "#|"))]


BOOKS = list(books())


def slip(dice, text):
    words = list(re.finditer(r"[A-Za-z][\w-]*|\d+(\.\d+)?|[{};:,.]|->", text))
    at = dice.choice(words)
    (start, end), word, other = at.span(), at.group(), dice.choice(words).group()
    nth = dice.randrange(len(word))
    new = {
        "left out": "",
        "turned": word[:nth][:-1] + word[nth] + word[:nth][-1:] + word[nth + 1 :],
        "a letter less": word[:nth] + word[nth + 1 :],
        "another": other,
        "one more": f"{word} {other}",
        "capitals": word.upper(),
        "another number": str(int(word) + dice.choice([1, 9, 90])) if word.isdigit() else word + word[-1],
    }
    return text[:start] + new[dice.choice(sorted(new))] + text[end:]


def random_board(dice):
    """Loops, two settings on contacts, a level on a port; scenes that build on each other; rules that some break."""
    pedals = common.PEDALS[: dice.randint(3, 5)]
    lines = [f"switcher {{ loops {len(pedals)}; remote jacks 2; expressions 1 of 128 steps; outputs 1 }}"]
    for nth, pedal in enumerate(pedals, 1):
        has = ""
        if nth == 1:
            has = "; control way on remote 1 { low: tip closed, ring open; high: tip open, ring closed }"
        if nth == 2:
            has = "; level depth on expression 1 from 0 % to 60 %"
        place = dice.choice(["", "", "; always on"])
        lines.append(f"pedal {pedal} {{ loop {nth}{place}{has} }}")
    lines.append("amp combo { fed by output 1; control channel on remote 2 tip { clean: open; lead: closed } }")
    lines.append(dice.choice(["treadle rocker feeds expression 1", ""]))
    one, two = pedals[0], pedals[1]
    settings = [f"{one}.way low", f"{one}.way high", f"{two}.depth {dice.randrange(61)} %", f"{two}.depth 0 %"]
    settings += ["combo.channel clean", "combo.channel lead", f"{two}.depth foot", "close remote 1 tip", "open remote 1 ring"]

    def said(most):
        out = [f"{dice.choice(['engage', 'engage', 'bypass'])} {p}" for p in dice.sample(pedals, dice.randint(0, 2))]
        return "; ".join(out + dice.sample(settings, dice.randint(0, most)))

    lines.append("default { " + "; ".join(s for s in settings[1:6:2] if dice.random() < 0.6) + " }")
    lines += [f"layer {name} {{ {said(1)} }}" for name in ("wide", "thin")]
    scenes = common.SCENES[: dice.randint(2, 6)]
    for nth, scene in enumerate(scenes):
        head = f" from {dice.choice(scenes[:nth])}" if nth and dice.random() < 0.5 else ""
        head += dice.choice(["", "", " with wide", " with wide, thin"])
        lines.append(f"scene {scene}{head}" + dice.choice(["", f" {{ {said(2)} }}", f" {{ {said(2)} }}"]))
    for _ in range(dice.randint(1, 4)):
        atoms = [*pedals, *scenes, f"{one}.way low", "combo.channel lead", f"{two}.depth at least {dice.randrange(61)} %"]
        left, right = dice.sample(atoms, 2)
        lines.append(dice.choice([f"rule {left} needs {right}", f"rule never {left} beside {right}"]))
    lines.append('song "Quay" { ' + "; ".join(scenes) + " }")
    lines.append('set "night" { "Quay" }')
    return [line for line in lines if line]


def make(dice):
    if dice.random() < 0.4:
        return {"lines": random_board(dice)}
    text = "\n".join(dice.choice(BOOKS))
    for _ in range(dice.choice([0, 1, 1, 1, 2])):
        text = slip(dice, text)
    return {"lines": text.split("\n")}


def texts(book):
    return ["\n".join(book["lines"]) + "\n"]


def told(run):
    return [json.loads(line) for line in run("check", "--format", "json")[1].splitlines()]


def number(found, severity):
    return collections.Counter((d["code"], d["message"]) for d in found if d["severity"] == severity)


def changed(text, edits):
    """The bytes after the edits, and where in them the new pieces stand."""
    places, moved = [], 0
    for edit in sorted(edits, key=lambda e: (e["start"], e["end"])):
        new = edit["text"].encode()
        start = edit["start"] + moved
        text = text[:start] + new + text[edit["end"] + moved :]
        places.append((start, start + len(new)))
        moved += len(new) - (edit["end"] - edit["start"])
    return text, places


def mended(d, was, again):
    """A mend of what is written there."""
    now, places = changed(was["text"], d["fix"]["edits"])
    after = again(now)
    count, before = number(after, "error"), was["errors"]
    key = d["code"], d["message"]
    if d["severity"] == "error" and count[key] >= before[key]:
        raise Broken("a mend leaves its mistake where it is", f"{d['message']}: {d['fix']['says']}")
    new = [e for e in after if e["severity"] == "error" and count[e["code"], e["message"]] > before[e["code"], e["message"]]]
    for e in new:
        at = e.get("start", 0), e.get("end", 0)
        # A sign put in is wrong with what stands beside it; a unit or a name is wrong in itself.
        by = 1 if d["code"] == "syntax" else -1
        here = any(at[0] <= end + by and at[1] >= start - by for start, end in places)
        if here and e["code"] in READING:
            raise Broken("a mend leads to another error", f"{d['message']}: {d['fix']['says']}: {e['message']}")
    return ["mends that came true"] + ["of them with a mistake that it uncovers elsewhere"] * bool(new)


def held(d, says, now, was, again):
    """Any other change: its mistake is gone, and nothing is new."""
    after = again(now)
    errors, key = number(after, "error"), (d["code"], d["message"])
    gone = number(after, d["severity"])[key] < was["all"][d["severity"]][key]
    if not gone:
        raise Broken("an offer leaves its mistake where it is", f"{d['code']}: {d['message']}: {says}")
    for new in errors - was["errors"]:
        raise Broken("an offer leads to another error", f"{d['code']}: {d['message']}: {says}: {new}")
    warnings = number(after, "warning").total()
    if d["severity"] == "warning" and not was["errors"] and warnings >= was["all"]["warning"].total():
        raise Broken("an offer leads to another warning", f"{d['code']}: {d['message']}: {says}")


# A change that words name: a command, and what is to be written in backticks.
NAMED = re.compile(r"^(in [^,]*, )?(say|hold|engage|bypass|close|open|take out|leave|describe it with|take this out)\b.*$")
ALLOW = re.compile(r"`(allow [^`]*)`")


def words(d, was, again):
    """The words followed by hand; each that names a change must be among what is offered."""
    counted, place = [], ""
    offered = [o["says"] for o in d.get("offers", [])]
    if "fix" in d:
        return []
    for part in d.get("help", "").split("; or "):
        where = re.match(r"((?:in|or in) (?:`[^`]*`|each of them)(?: or in `[^`]*`)*), ", part)
        if where:
            place, part = where.group(1), part[where.end() :]
        allow = ALLOW.findall(part)
        if allow:
            held(d, part, was["text"] + "".join(f"{line}\n" for line in allow).encode(), was, again)
            counted.append("words to allow it that came true")
            continue
        if not any(part == says for says in offered):
            free = d["code"] in FREE or EXAMPLE.search(part) or d["message"] == OPEN
            if NAMED.match(part) and "`" in part and not free:
                raise Broken("words name a change that is not offered", f"{d['code']}: {d['message']}: {part}")
            continue
        line = re.fullmatch(r"describe it with `([^`]*)`", part)
        say = re.fullmatch(r"say `([^`]*)`", part)
        if line:
            body = " { }" if line.group(1).startswith("song") else ""
            held(d, part, was["text"] + (line.group(1) + body + "\n").encode(), was, again)
            counted.append("words to describe it that came true")
        if say and "in `default`" in place:
            held(d, part, was["text"] + f"default {{ {say.group(1)} }}\n".encode(), was, again)
            counted.append("words for the default that came true")
    return counted


# What must be read off the board, and so can be tried by nobody.
FREE = {"unit-missing", "unit-wrong", "missing-value", "value-out-of-range", "power-unsaid", "jack-unsaid", "polarity-wrong"}
FREE |= {"range-empty", "number-too-long"}
# And forms to fill in.
FREE |= {"engaged-unclear", "contact-unclear", "no-such-slot", "state-unmapped", "helper-unclear", "leg-unclear", "trim-misplaced"}
FREE |= {"tempo-unsaid", "tempo-refused", "guitar-unclear", "message-unclear", "press-unclear"}
# And what is told by an example.
EXAMPLE = re.compile(r"(, as|in the form) `")
# Where a text ends, only its writer knows.
OPEN = "this text has no closing quote"


def check(book, run):
    text = texts(book)[0].encode()
    found = told(run)
    by = {severity: number(found, severity) for severity in ("error", "warning", "hint", "note")}
    was = {"text": text, "errors": by["error"], "all": by}

    def again(now):
        pathlib.Path(run.files[0]).write_bytes(now)
        after = told(run)
        pathlib.Path(run.files[0]).write_bytes(text)
        return after

    counted = []
    for d in found:
        if "fix" in d:
            counted += mended(d, was, again)
        for offer in d.get("offers", []):
            held(d, offer["says"], changed(text, offer["edits"])[0], was, again)
            counted.append("offers that came true")
        counted += words(d, was, again)
    if not counted:
        raise Skip("nothing is offered")
    return counted


if __name__ == "__main__":
    common.main("offers", make, texts, check, 500)
