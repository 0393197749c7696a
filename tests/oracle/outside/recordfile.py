"""The record of what is in a unit, on a disk that fails: no line is lost, none is half and taken for whole.

From `readback --help`: "a text, a line a fact ... Lines are only ever added." A run that is killed while it writes (the system
kills it at a random byte: setrlimit(2), RLIMIT_FSIZE, SIGXFSZ) leaves the lines that were there, whole lines of its own, and at
most one that is cut short, which the next run tells of and never writes on. A run whose disk is full (the same limit, the signal
passed over: EFBIG) says so, ends with 2, and leaves the record as it was. Runs at the same time (as many as there are below)
lose nothing. Lines are read here by their own words.
"""

import os
import pathlib
import random
import re
import resource
import signal
import subprocess
import sys
import tempfile
import time

BINARY = os.environ.get("TIPRING_BIN", "target/debug/tipring")
SLOTS = [f"1.{n}" for n in range(1, 7)]
BOOK = (
    "switcher { loops 6; outputs 1; banks 1..1, switches 1..6 }\namp hall { fed by output 1 }\n"
    + "".join(f"pedal p{n} {{ loop {n} }}\nscene s{n} {{ engage p{n} }}\n" for n in range(1, 7))
    + "slots { "
    + "; ".join(f"{slot} s{n}" for n, slot in enumerate(SLOTS, 1))
    + " }\n"
)


def line(slot, by):
    """The line that says that a slot was programmed."""
    n = SLOTS.index(slot) + 1
    cells = ", ".join(f"loop-{m} {int(m == n)}" for m in range(1, 7))
    return rf'undated {re.escape(slot)} programmed "s{n}" by "{by}" book "" [0-9a-f]{{12}}: {cells}, output-1 1 end'


def start(folder, record, slots, by, limit=None, passed_over=False):
    def before():
        if limit is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        if passed_over:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    words = [BINARY, "readback", "book.scene", "--programmed", ",".join(slots), "--by", by, "--record", str(record)]
    return subprocess.Popen(
        words, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=before
    )


def wrong(what, detail):
    print(f"WRONG: {what}\n{detail}")
    sys.exit(1)


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = os.environ.get("TIPRING_SEED") or str(time.time_ns())
    print(f"the record on a disk that fails: seed {seed}", flush=True)
    dice = random.Random(seed)
    counts = dict.fromkeys(["whole", "killed", "cut short", "full", "together"], 0)
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "book.scene").write_text(BOOK)
        record = folder / "unit.programmed"
        # What must stand there: lines in this order, then lines in any order among them.
        must, ends = [], []
        for number in range(count):
            by, slots = f"w{number}", sorted(dice.sample(SLOTS, dice.randint(1, len(SLOTS))))
            size = record.stat().st_size if record.exists() else 0
            how = dice.choice(["killed"] * 4 + ["full", "whole", "together"])
            old = record.read_bytes() if record.exists() else b""
            if how == "together":
                writers = [(f"{by}-{n}", sorted(dice.sample(SLOTS, 3))) for n in range(4)]
                runs = [start(folder, record, s, b) for b, s in writers]
                for run in runs:
                    out, err = run.communicate()
                    if run.returncode != 0:
                        wrong("one of several writers failed", err)
                groups = [[line(s, b) for s in some] for b, some in writers]
                must.append(("any order", groups))
                counts["together"] += len(runs)
                continue
            limit = size + dice.randint(0, 140 * len(slots)) if how != "whole" else None
            run = start(folder, record, slots, by, limit, how == "full")
            out, err = run.communicate()
            now = record.read_bytes() if record.exists() else b""
            mine = [line(s, by) for s in slots]
            if not now.startswith(old):
                wrong("what stood there was changed", f"{old!r}\n{now!r}")
            if run.returncode == 0:
                must.append(("in order", mine))
                counts["whole"] += 1
            elif how == "full" and run.returncode == 2:
                if now != old or "cannot write" not in err:
                    wrong("a full disk", f"{err}\n{old!r}\n{now!r}")
                counts["full"] += 1
            elif how == "killed" and run.returncode == -signal.SIGXFSZ:
                must.append(("a beginning of", mine))
                counts["killed"] += 1
                counts["cut short"] += not now.endswith(b"\n") and len(now) > size
            else:
                wrong("an end that nobody expects", f"{how} {run.returncode} {err}")
        judge(record.read_text(), must, folder, record)
    for what, how_many in counts.items():
        print(f"  {how_many:5}  {what}")
    if count >= 30 and not all(counts.values()):
        wrong("some way was never taken", counts)


def judge(text, must, folder, record):
    """Every whole line is one that must be there, in its place."""
    lines = [one for one in text.split("\n") if one and not one.startswith("#")]
    whole = [one for one in lines if one.endswith(" end")]
    at = 0
    for how, want in must:
        if how == "any order":
            found = whole[at : at + sum(map(len, want))]
            for group in want:
                places = [n for n, one in enumerate(found) for w in group if re.fullmatch(w, one)]
                if len(places) != len(group) or places != list(range(places[0], places[0] + len(group))):
                    wrong("a writer's lines are lost or mixed", f"{group}\n{found}")
            at += len(found)
            continue
        for pattern in want:
            if at < len(whole) and re.fullmatch(pattern, whole[at]):
                at += 1
            elif how == "in order":
                wrong("a line is lost", f"{pattern}\n{whole[at - 1 : at + 2]}")
            else:
                break
    if at != len(whole):
        wrong("a line that nobody wrote", whole[at])
    short = [n for n, one in enumerate(text.split("\n"), 1) if one and not one.startswith("#") and not one.endswith(" end")]
    done = subprocess.run(
        [BINARY, "diff", "book.scene", f"--from-memory={record}"], cwd=folder, capture_output=True, text=True
    )
    told = [int(n) for n in re.findall(r"line (\d+) was cut short", done.stderr)]
    if told != short or done.returncode not in (0, 1):
        wrong("lines that were cut short are not told", f"{told} {short} {done.stderr}")


if __name__ == "__main__":
    main()
