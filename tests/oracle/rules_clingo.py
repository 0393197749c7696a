"""Judges boards and rules with an answer-set solver (clingo, PyPI, MIT licence).

Reads a JSON list of books from standard input, writes a JSON list of answers: whether all rules can hold,
which pedals can never sound, and which rules the others imply (the later of two that say the same).
"""

import json
import sys

import clingo

BOARD = """
1 { scene(S) : kind(S) } 1.
{ loop(P) } :- pedal(P), not always(P).
sounds(P) :- always(P).
sounds(P) :- loop(P).
{ closed(C) } :- contact(C).
{ on(O) } :- output(O).
% A control of contacts is in a state when each contact stands as the state says.
off_pattern(P,S) :- wired(P,S,C,1), not closed(C).
off_pattern(P,S) :- wired(P,S,C,0), closed(C).
in(P,S) :- patterned(P,S), not off_pattern(P,S).
{ in(P,S) : choice(P,S) } 1 :- pedal(P).
:- sounds(P), control(P), not in(P,_).
1 { step(P,V) : V = 0..N-1 } 1 :- level(P,N).
{ foot(P) } :- level(P,_).
"""


class Book:
    def __init__(self, book):
        self.facts = []
        self.count = 0
        self.book = book
        for s, parent in enumerate(book["parents"]):
            self.facts.append(f"kind({s}).")
            at = s
            while at >= 0:
                self.facts.append(f"under({s},{at}).")
                at = book["parents"][at]
        self.facts.append("kind(none).")
        for c in range(book["contacts"]):
            self.facts.append(f"contact({c}).")
        for o in range(book["outputs"]):
            self.facts.append(f"output({o}).")
        for p, pedal in enumerate(book["pedals"]):
            self.facts.append(f"pedal({p}).")
            if pedal["always"]:
                self.facts.append(f"always({p}).")
            self.control(p, pedal["control"])
        self.rules = [self.rule(*rule) for rule in book["rules"]]

    def control(self, p, control):
        if "states" in control:
            self.facts.append(f"control({p}).")
            for s, pattern in enumerate(control["states"]):
                self.facts.append(f"patterned({p},{s}).")
                for c, closed in zip(control["contacts"], pattern):
                    self.facts.append(f"wired({p},{s},{c},{int(closed)}).")
        elif "choice" in control:
            self.facts.append(f"control({p}).")
            self.facts += [f"choice({p},{s})." for s in range(control["choice"])]
        elif "steps" in control:
            self.facts.append(f"level({p},{control['steps']}).")

    def name(self, *bodies):
        """An atom that is so when one of the bodies is."""
        self.count += 1
        atom = f"f({self.count})"
        self.facts += [f"{atom} :- {body}." for body in bodies]
        return atom

    def expr(self, kind, *what):
        if kind == "scene":
            return f"scene({what[0]})"
        if kind == "any":
            return self.name(f"scene(S), under(S,{what[0]})")
        if kind in ("pedal", "loop", "foot"):
            return f"{ {'pedal': 'sounds', 'loop': 'loop', 'foot': 'foot'}[kind] }({what[0]})"
        if kind in ("contact", "output"):
            atom = f"{'closed' if kind == 'contact' else 'on'}({what[0]})"
            return atom if what[1] else self.name(f"not {atom}")
        if kind == "state":
            return f"in({what[0]},{what[1]})"
        if kind == "level":
            p, sign, value = what
            control = self.book["pedals"][p]["control"]
            now = f"{control['steps']}-1-V" if control["falls"] else "V"
            return self.name(f"step({p},V), {now} {sign} {value}")
        if kind == "not":
            return self.name(f"not {self.expr(*what[0])}")
        parts = [self.expr(*e) for e in what[0]]
        return self.name(", ".join(parts)) if kind == "and" else self.name(*parts)

    def rule(self, kind, parts):
        parts = [self.expr(*e) for e in parts]
        if kind in ("atmost", "exactly"):
            # Equal atoms count twice: each gets a place of its own.
            counted = "; ".join(f"{i} : {atom}" for i, atom in enumerate(parts))
            low = 1 if kind == "exactly" else 0
            return self.name(f"{low} #count {{ {counted} }} 1")
        if kind == "never":
            return self.name(f"not {self.name(', '.join(parts))}")
        if kind == "always":
            return self.name(parts[0])
        return self.name(f"not {parts[0]}", parts[1])

    def answer(self):
        rules = range(len(self.rules))
        queries = [f"{{ ask({i}) }}. :- ask({i}), not {atom}." for i, atom in enumerate(self.rules)]
        denied = [f"{{ deny({i}) }}. :- deny({i}), {atom}." for i, atom in enumerate(self.rules)]
        pedals = range(len(self.book["pedals"]))
        loud = [f"{{ want({p}) }}. :- want({p}), not sounds({p})." for p in pedals]
        control = clingo.Control(["--warn=none"])
        control.add("base", [], BOARD + "\n".join(self.facts + queries + denied + loud))
        control.ground([("base", [])])

        def possible(asked, other=()):
            fun = clingo.Function
            assumed = [(fun("ask", [clingo.Number(r)]), True) for r in asked]
            assumed += [(fun(name, [clingo.Number(n)]), True) for name, n in other]
            return control.solve(assumptions=assumed).satisfiable

        out = {"board": possible([]), "possible": possible(rules), "never": [], "implied": []}
        if out["possible"]:
            for p in pedals:
                if not self.book["pedals"][p]["always"] and not possible(rules, [("want", p)]):
                    out["never"].append(self.book["pedals"][p]["name"])
            left = list(rules)
            for r in reversed(rules):
                others = [o for o in left if o != r]
                if not possible(others, [("deny", r)]):
                    left = others
                    out["implied"].insert(0, r)
        out["never"].sort()
        return out


json.dump([Book(book).answer() for book in json.load(sys.stdin)], sys.stdout)
