"""Random books, the binary, and what is done with a book that breaks a promise. Knows nothing of tipring but its binary.

An oracle gives `main` three functions: `make(dice)` draws a book as plain lists and dicts, `texts(book)` writes it in the
scene language (one text a file), `check(book, run)` raises `Broken` for a broken promise and `Skip` for a book that
promises nothing, and returns a word to count otherwise.
`TIPRING_BIN` names the binary, `TIPRING_SEED` fixes the seed; the argument is how many books to check.
"""

import collections
import copy
import os
import pathlib
import random
import subprocess
import sys
import tempfile
import threading
import time
from concurrent.futures import ThreadPoolExecutor

BINARY = os.environ.get("TIPRING_BIN", "target/debug/tipring")
SHRINK_SECONDS = 10
KINDS_SHOWN = 12


class Broken(Exception):
    """A promise that does not hold: its kind in a few words, then what was printed and what is true."""

    def __init__(self, kind, detail):
        super().__init__(f"{kind}: {detail}")
        self.kind, self.detail = kind, detail


class Skip(Exception):
    """A book about which nothing is promised; the word says why."""


class Run:
    """The texts of one book as files, and the binary run over them."""

    def __init__(self, texts, folder):
        self.files = []
        for n, text in enumerate(texts):
            path = pathlib.Path(folder) / f"book{n + 1}.scene"
            path.write_text(text, encoding="utf-8")
            self.files.append(str(path))

    def __call__(self, command, *options):
        """The exit code and what was printed, of COMMAND over the files."""
        done = subprocess.run([BINARY, command, *self.files, *options], capture_output=True, text=True, timeout=60)
        if done.returncode not in (0, 1, 2) or "panicked" in done.stderr:
            raise Broken("the tool fell over", f"{command} {options}: {done.stderr}")
        return done.returncode, done.stdout, done.stderr

    def one(self, number, command, *options):
        """The same over one file alone."""
        done = subprocess.run(
            [BINARY, command, self.files[number], *options], capture_output=True, text=True, timeout=60
        )
        return done.returncode, done.stdout, done.stderr


def chain(book, name):
    """A scene and those it derives from, itself first."""
    by = {s["name"]: s for s in book["scenes"]}
    out = []
    while name in by:
        out.append(by[name])
        name = by[name]["from"]
    return out


def judged(check, texts, book):
    with tempfile.TemporaryDirectory() as folder:
        return check(book, Run(texts(book), folder))


def smaller(thing):
    """Every copy of THING with one piece of one of its lists left out, the large pieces first."""
    paths = []

    def walk(at, path):
        if isinstance(at, list):
            paths.extend(path + [n] for n in range(len(at)))
            children = enumerate(at)
        elif isinstance(at, dict):
            children = at.items()
        else:
            return
        for key, child in children:
            walk(child, path + [key])

    walk(thing, [])
    for path in sorted(paths, key=len):
        less = copy.deepcopy(thing)
        at = less
        for key in path[:-1]:
            at = at[key]
        del at[path[-1]]
        yield less


def shrink(check, texts, book, kind):
    """The book with as much left out as can be, while the same kind of promise is broken."""
    until = time.monotonic() + SHRINK_SECONDS
    again = True
    while again:
        again = False
        for less in smaller(book):
            if time.monotonic() > until:
                return book
            try:
                judged(check, texts, less)
            except Broken as broken:
                if broken.kind == kind:
                    book, again = less, True
                    break
            except Exception:  # what is left is no book of this oracle: keep the piece
                continue
    return book


def main(name, make, texts, check, count):
    """Checks COUNT books (or as many as the argument says) and leaves by exit code 1 when a promise is broken."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else count
    seed = os.environ.get("TIPRING_SEED") or str(time.time_ns())
    print(f"{name}: seed {seed}", flush=True)
    counts, failures = collections.Counter(), []
    lock, drawn = threading.Lock(), iter(range(count * 20))

    def work(_):
        while True:
            with lock:
                done = counts["books"] + counts["wrong"]
                number = None if done >= count else next(drawn, None)
            if number is None:
                return
            book = make(random.Random(f"{seed}/{number}"))
            try:
                word = judged(check, texts, book)
                with lock:
                    counts.update(["books", *([word] if isinstance(word, str) else word or [])])
            except Skip as skip:
                with lock:
                    counts[f"passed over, {skip}"] += 1
            except Broken as broken:
                with lock:
                    counts.update(["wrong", f"wrong: {broken.kind}"])
                    failures.append((number, broken.kind, book))

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(work, range(2)))
    for what, how_many in sorted(counts.items()):
        print(f"  {how_many:5}  {what}")
    if counts["books"] + counts["wrong"] < count:
        print(f"{name}: too few books to judge")
        sys.exit(1)
    shown = {}
    for number, kind, book in sorted(failures, key=lambda f: f[0]):
        shown.setdefault(kind, (number, book))
    for kind, (number, book) in list(shown.items())[:KINDS_SHOWN]:
        book = shrink(check, texts, book, kind)
        print(f"\nWRONG in book {number} of seed {seed}")
        print("\n--- and\n".join(texts(book)))
        try:
            judged(check, texts, book)
        except Broken as broken:
            print(f"{broken}")
    sys.exit(1 if failures else 0)


# ---- words and pieces that the oracles share ----

PEDALS = ["ash", "birch", "cedar", "dogwood", "elder", "fir", "gorse", "hazel"]
SCENES = [
    "anvil",
    "bellows",
    "chisel",
    "drill",
    "easel",
    "file",
    "gouge",
    "hammer",
    "jig",
    "knife",
    "lathe",
    "mallet",
]


def atom_text(expression):
    """An expression over atoms, as it is written. Nested lists: the first word is the kind."""
    kind, *rest = expression
    if kind in ("and", "or"):
        return "(" + f" {kind} ".join(atom_text(e) for e in rest) + ")"
    if kind == "not":
        return f"not {atom_text(rest[0])}"
    if kind == "contact":
        jack, side, what = rest
        return f"remote {jack} {side} {what}"
    if kind == "state":
        pedal, control, state = rest
        return f"{pedal}.{control} {state}"
    if kind == "level":
        pedal, level, compared, amount = rest
        return f"{pedal}.{level} {compared} {amount} %"
    if kind == "any":
        return f"any {rest[0]}"
    return rest[0]  # a scene or a pedal


def show_lines(book):
    """The songs of a book part by part, its one set, where it wakes, and which preset may follow which."""
    lines = []
    for n, parts in enumerate(book["songs"]):
        lines.append(f'song "{n}" {{ ' + "; ".join(f"p{i}: {p}" for i, p in enumerate(parts)) + " }")
    lines.append('set "night" { ' + "; ".join(f'"{s}"' for s in book["set"]) + " }")
    if book["wakes"]:
        lines.append(f"slots {{ 1.1 {book['wakes']}; others auto }}")
    if book["ways"]:
        lines.append(f"ways {book['ways']}")
    return lines


def rule_text(rule):
    kind, *rest = rule
    parts = [atom_text(e) for e in rest]
    return {
        "most": lambda: "at most one of " + ", ".join(parts),
        "exactly": lambda: "exactly one of " + ", ".join(parts),
        "never": lambda: "never " + " beside ".join(parts),
        "always": lambda: f"always {parts[0]}",
        "needs": lambda: f"{parts[0]} needs {parts[1]}",
    }[kind]()
