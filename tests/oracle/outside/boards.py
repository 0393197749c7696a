"""Random boards for what is wired: loops, buffers, amplifiers with effects loops, a panel, supplies, remotes, treadles.

A board is plain lists and dicts; `board_text` writes it. Chains are made so that each place is fed once.
"""

import common

BUFFERS = ["oak", "pine"]
AMPS = ["hall", "club", "barn"]
GUITARS = ["plank", "slab"]


def make_board(dice):
    loops = dice.randint(2, 7)
    split = dice.randint(1, loops - 1) if dice.random() < 0.6 else None
    front = split or loops
    pedals = [
        {
            "name": common.PEDALS[n],
            "loop": n + 1,
            "stereo": dice.random() < 0.15,
            "power": dice.choice(["A", "B", "C", None]),
            "reversing": dice.random() < 0.2,
            "moved": dice.choice([None, "remote", "remote", "port", "midi", "midi", "foot"]),
        }
        for n in range(loops)
        if dice.random() < 0.8
    ]
    for p in [p for p in pedals if p["moved"] == "port"][2:]:
        p["moved"] = None
    for n, p in enumerate([p for p in pedals if p["moved"] == "remote"]):
        p["contact"] = [n // 2 + 1, ["tip", "ring"][n % 2]]
    amps = []
    for n in range(dice.randint(1, 3)):
        fx = dice.choice([None, None, "return", "loops", "buffer"])
        if fx == "loops" and (split is None or any(a["fx"] == "loops" for a in amps)):
            fx = None
        amps.append({"name": AMPS[n], "output": n + 1, "fx": fx, "switched": dice.random() < 0.4})
    buffers = [b for b in BUFFERS if dice.random() < 0.5]
    front_buffers = buffers[:1] if dice.random() < 0.7 else []
    spare = [b for b in buffers if b not in front_buffers]
    for amp in amps:
        if amp["fx"] == "buffer":
            amp["fx"] = spare.pop() if spare else "return"
    order = list(range(1, front + 1))
    if dice.random() < 0.3:
        order.reverse()
    cut = dice.randint(0, len(order)) if front_buffers else 0
    row = order[:cut], order[cut:]
    start = dice.choice(["guitar", GUITARS[0]])
    front_chain = [start, *[f"loop {n}" for n in row[0]], *front_buffers, *[f"loop {n}" for n in row[1]]]
    end = front_chain[-1]
    chains = []
    if len(front_chain) > 1:
        for n, amp in enumerate(amps):
            named = dice.random() < 0.6
            begin = front_chain if n == 0 else [end]
            if end.startswith("loop") or n == 0:
                chains.append(["front" if n == 0 else f"side{n}", [*begin, f"output {amp['output']}", *[amp["name"]] * named]])
    for amp in amps:
        name = amp["name"]
        if amp["fx"] == "loops":
            inner = [f"loop {n}" for n in range(split + 1, loops + 1)]
            chains.append([f"fx-{name}", [f"{name} send", *inner, f"{name} return"]])
        elif amp["fx"] in BUFFERS:
            chains.append([f"fx-{name}", [f"{name} send", amp["fx"], f"{name} return"]])
    dice.shuffle(chains)
    jacks = [*[f"output {a['output']}" for a in amps], *[f"{a['name']} return" for a in amps if a["fx"] and a["fx"] != "return"]]
    jacks += [f"remote {n}" for n in range(1, 9)]
    panel = [["out", n * dice.randint(1, 3) + 20 * n, what] for n, what in enumerate(jacks, 1) if dice.random() < 0.4]
    ins = ["guitar", *[f"{a['name']} send" for a in amps if a["fx"] and a["fx"] != "return"], "expression 1"]
    panel += [["in", n, what] for n, what in enumerate(ins, 1) if dice.random() < 0.5]
    tuner = len(amps) < 3 and any("output 1" in c for _, c in chains) and dice.random() < 0.3
    return {
        "tuner": len(amps) + 1 if tuner else None,
        "awake": dice.choice(["D", None]),
        "loops": loops,
        "split": split,
        "pedals": pedals,
        "amps": amps,
        "buffers": [{"name": b, "power": dice.choice(["D", None])} for b in buffers],
        "chains": chains,
        "panel": panel,
        "patch": dice.choice([None, "30 cm", "25 cm"]),
        "volts": {o: dice.choice(["centre-negative", "centre-positive", None]) for o in "ABCD"},
    }


def board_text(board):
    split = f", split after {board['split']}" if board["split"] and board["split"] < board["loops"] else ""
    awake = f"; power brick.{board['awake']}, 300 mA at 9 V" if board["awake"] else ""
    lines = [
        f"switcher {{ loops {board['loops']}{split}; remote jacks 8; expressions 2 of 128 steps; outputs 3{awake} }}",
        *[f"guitar {g} {{ cable 6 m at 100 pF/m }}" for g in GUITARS[:1]],
        "supply brick { "
        + "; ".join(f"outlet {o} 9 V, 500 mA{', ' + p if p else ''}" for o, p in board["volts"].items())
        + " }",
    ]

    def power(thing):
        turns = ", reversing lead" if thing.get("reversing") else ""
        return [f"power brick.{thing['power']}, 20 mA at 9 V{turns}"] if thing["power"] else []

    ports = 0
    for n, p in enumerate(board["pedals"]):
        says = [f"loop {p['loop']}" + " stereo" * p["stereo"], *power(p)]
        if p["moved"] == "remote":
            says.append(f"control way on remote {p['contact'][0]} {p['contact'][1]} {{ low: open; high: closed }}")
        elif p["moved"] == "port":
            ports += 1
            says.append(f"level way on expression {ports} from 0 % to 100 %")
            lines.append(f"treadle rocker{ports} feeds expression {ports}")
        elif p["moved"] == "midi":
            says.append(f"control way on midi {n + 1} programs from 1 {{ low: program 3; high: program 7 }}")
        elif p["moved"] == "foot":
            says.append("control way by foot { low; high }")
        lines.append(f"pedal {p['name']} {{ {'; '.join(says)} }}")
    for b in board["buffers"]:
        lines.append(f"buffer {b['name']} {{ {'; '.join(power(b))} }}")
    for n, a in enumerate(board["amps"]):
        says = [f"fed by output {a['output']}"] + ["send 1 kohm; return 220 kohm"] * bool(a["fx"])
        if a["switched"]:
            says.append(f"control way on remote {8 - n} {{ a: tip open, ring open; b: tip closed; c: ring closed }}")
        lines.append(f"amp {a['name']} {{ {'; '.join(says)} }}")
    if board["tuner"]:
        lines.append(f"pedal needle {{ tuner; fed by output {board['tuner']} }}")
        front = next(links for _, links in board["chains"] if "output 1" in links)
        last = front[front.index("output 1") - 1]
        if last.startswith("loop"):
            lines.append(f"chain watch: {last} -> output {board['tuner']}")
    for name, links in board["chains"]:
        lines.append(f"chain {name}: {' -> '.join(links)}")
    if board["patch"]:
        lines.append(f"patch leads {board['patch']} at 100 pF/m")
    if board["panel"]:
        lines.append("panel { " + "; ".join(f"{way} {n} {what}" for way, n, what in board["panel"]) + " }")
    return "\n".join(lines) + "\n"
