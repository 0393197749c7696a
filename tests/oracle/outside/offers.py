"""What is offered as a mend, made and read again. Written from language.md alone:

14 "All mistakes at once. One mistake never hides another and never makes up new ones"
Reading it, Pasted text: "one error each, with a fix"

and from what a reader takes for granted: an offer that leads to another error is no offer. So whatever is offered is made,
alone, in the text; then what it was offered for is gone, and where it was made no new error of reading or of names stands. A
mistake elsewhere that could not be seen before may come to light: it is counted. The books are those of the suite, in which a
hand slips once or twice. One book in fifty may hold an offer that goes wrong: the
other slip may stand beside what it mends.
"""

import collections
import json
import pathlib
import re
import sys

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


def make(dice):
    text = "\n".join(dice.choice(BOOKS))
    for _ in range(dice.choice([1, 1, 2])):
        text = slip(dice, text)
    return {"lines": text.split("\n")}


def texts(book):
    return ["\n".join(book["lines"]) + "\n"]


def errors(said):
    return [d for d in map(json.loads, said.splitlines()) if d["severity"] == "error"]


def check(book, run):
    was = texts(book)[0].encode()
    told = [json.loads(line) for line in run("check", "--format", "json")[1].splitlines()]
    before = collections.Counter((d["code"], d["message"]) for d in told if d["severity"] == "error")
    words = []
    for d in told:
        if not d.get("fix"):
            continue
        now, places, moved = was, [], 0
        for edit in sorted(d["fix"]["edits"], key=lambda e: e["start"]):
            new = edit["text"].encode()
            start = edit["start"] + moved
            now = now[:start] + new + now[edit["end"] + moved :]
            places.append((start, start + len(new)))
            moved += len(new) - (edit["end"] - edit["start"])
        pathlib.Path(run.files[0]).write_bytes(now)
        after = errors(run("check", "--format", "json")[1])
        pathlib.Path(run.files[0]).write_bytes(was)
        count = collections.Counter((e["code"], e["message"]) for e in after)
        if d["severity"] == "error" and count[d["code"], d["message"]] >= before[d["code"], d["message"]]:
            raise Broken("an offer leaves its mistake where it is", f"{d['message']}: {d['fix']['says']}")
        new = [e for e in after if count[e["code"], e["message"]] > before[e["code"], e["message"]]]
        for e in new:
            at = e.get("start", 0), e.get("end", 0)
            # A sign put in is wrong with what stands beside it; a unit or a name is wrong in itself.
            by = 1 if d["code"] == "syntax" else -1
            here = any(at[0] <= end + by and at[1] >= start - by for start, end in places)
            if here and e["code"] in READING:
                raise Broken(
                    "an offer leads to another error",
                    f"{d['message']}: {d['fix']['says']}: {e['code']}: {e['message']}",
                )
        words.append("offers that came true")
        words += ["of them with a mistake that it uncovers elsewhere"] * bool(new)
    if not words:
        raise Skip("nothing is offered")
    return words


def allowing(book, run):
    """The same, an offer that goes wrong being a word to count."""
    try:
        return check(book, run)
    except Broken as broken:
        wrong.append(str(broken))
        return ["offers that went wrong"]


if __name__ == "__main__":
    wrong = []
    try:
        common.main("offers", make, texts, allowing, 500)
    except SystemExit as end:
        count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
        print("\n".join(wrong[:12]))
        sys.exit(end.code or int(len(wrong) > max(2, count / 50)))
