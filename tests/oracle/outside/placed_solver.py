"""`slots --best` on the examples against OR-tools CP-SAT, given the time that the tool took, 5 s at most: never worse, and no bound
above what CP-SAT reaches. Reads the books through `walk`, `slots` and their own text; language.md as `placed.py` reads it.

Each example stands as it is, and once more without its `slots`. The argument is how many of these four are taken.
"""

import csv
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import time

from ortools.sat.python import cp_model

from common import BINARY

ROOT = pathlib.Path(__file__).resolve().parents[3]


def run(*words):
    return subprocess.run([BINARY, *map(str, words)], capture_output=True, text=True, check=True).stdout


def solve(book, seconds):
    """The fewest presses that CP-SAT finds, and its bound."""
    text = "".join(f.read_text() for f in sorted(book.glob("*.scene")))
    banks, switches = (int(re.search(p, text)[1]) for p in (r"banks 1\.\.(\d+)", r"switches 1\.\.(\d+)"))
    same, step = map(int, re.search(r"same bank (\d+), bank step (\d+)", text).groups())
    wakes = tuple(int(n) - 1 for n in re.search(r"wakes (\d+)\.(\d+)", text).groups())
    rows = list(csv.reader(run("slots", book, "--format", "csv").splitlines()))[1:]
    pins = {tuple(int(n) - 1 for n in slot.split(".")): name for slot, name, chosen in rows if chosen == "" and slot != "-"}
    names = sorted({name for _, name, _ in rows})
    runs = [[c["scene"] for c in s["changes"]] for s in json.loads(run("walk", book, "--format", "json"))["sets"]]

    model = cp_model.CpModel()
    lies = {}
    for name in names:
        for bank in range(banks):
            pinned = any(b == bank and n == name for (b, _), n in pins.items())
            lies[name, bank] = (model.new_bool_var(""), pinned)
    for bank in range(banks):
        room = switches - sum(b == bank for b, _ in pins)
        model.add(sum(lies[name, bank][0] for name in names) <= room)
    for name in names:
        if name not in pins.values():
            model.add_at_least_one(lies[name, bank][0] for bank in range(banks))
    woken = {name: model.new_bool_var("") for name in names}
    if wakes in pins:
        for name in names:
            model.add(woken[name] == (pins[wakes] == name))
    else:
        model.add_at_most_one(woken.values())
        for name in names:
            model.add(woken[name] <= lies[name, wakes[0]][0])
    price = []
    for parts in runs:
        before, was = None, None
        for part in parts:
            here = [model.new_bool_var("") for _ in range(banks)]
            model.add_exactly_one(here)
            for bank, at in enumerate(here):
                chosen, pinned = lies[part, bank]
                if not pinned:
                    model.add(at <= chosen)
            bank = model.new_int_var(0, banks - 1, "")
            model.add(bank == sum(b * at for b, at in enumerate(here)))
            far = model.new_int_var(0, banks - 1, "")
            pressed = model.new_bool_var("")
            model.add(far >= bank - (wakes[0] if before is None else before))
            model.add(far >= (wakes[0] if before is None else before) - bank)
            model.add(far <= banks * pressed)
            if before is None:
                model.add(pressed >= 1 - woken[part])
            elif part != was:
                model.add(pressed == 1)
            price += [same * pressed, step * far]
            before, was = bank, part
    model.minimize(sum(price))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, 0
    return round(solver.objective_value), round(solver.best_objective_bound)


def main():
    wrong = False
    with tempfile.TemporaryDirectory() as folder:
        books = []
        for name in ["winter", "spring"]:
            bare = pathlib.Path(folder) / name
            shutil.copytree(ROOT / "examples" / name, bare)
            songs = bare / "songs.scene"
            text = re.sub(r"^slots \{.*?^\}\n", "", songs.read_text(), flags=re.S | re.M)
            songs.write_text(re.sub(r"^safe .*\n", "", text, flags=re.M))
            books += [bare, ROOT / "examples" / name]
        for book in books[: int(sys.argv[1])]:
            start = time.monotonic()
            out = run("slots", book, "--best")
            took = time.monotonic() - start
            after = int(re.search(r"(\d+) press(?:es)? over all sets", out)[1])
            gap = re.search(r"fewer than (\d+): ", out)
            bound = int(gap[1]) if gap else after
            theirs, their_bound = solve(book, min(max(took, 1), 5))
            print(f"{book.name}: {after}, none below {bound}, in {took:.1f} s; CP-SAT {theirs}, none below {their_bound}")
            if theirs is not None and (after > theirs or bound > theirs) or after < their_bound:
                print(f"WRONG: {book}")
                wrong = True
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
