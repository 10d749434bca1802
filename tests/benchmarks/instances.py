"""Small problems: drawn at random, and cut out of real moments of a conversation."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np

from assistant.planning.problem import Fix, Problem, Test
from assistant.planning.search import Search


def drawn(number: int, large: bool = False) -> Problem:
    """A random problem: 3 to 6 faults, 2 to 5 tests of two or three outcomes, up to 4 access states; large: up to 10 faults and 8 tests."""
    rng = random.Random(f"instance/{number}/{large}")
    faults = rng.randint(7, 10) if large else rng.randint(3, 6)
    tests = rng.randint(6, 8) if large else rng.randint(2, 5)
    nodes = rng.randint(0, 4)
    parent = tuple(rng.randint(-1, i - 1) for i in range(nodes))
    toll = np.array([rng.uniform(1, 30 if rng.random() < 0.3 else 10) for _ in range(nodes)])
    masses = np.array([rng.expovariate(1) + 0.02 for _ in range(faults)] + [rng.uniform(0.02, 0.4)])
    place = lambda: rng.randint(-1, nodes - 1)  # noqa: E731
    rows: list[np.ndarray] = []
    start, made = [0], []
    for i in range(tests):
        outcomes = 2 if large or rng.random() < 0.8 else 3
        exact = rng.random() < 0.3
        table = np.array([[rng.expovariate(1) + 0.02 for _ in range(outcomes)] for _ in range(faults + 1)])
        table = table ** (6 if exact else 2.5)
        table = table / table.sum(axis=1, keepdims=True)
        rows += list(table.T)
        start.append(len(rows))
        made.append(Test(f"t{i}", "check", rng.uniform(0.5, 8), place(), 1.0 if large or rng.random() < 0.8 else 0.85))
    fixes, order = [], rng.sample(range(faults), rng.randint(max(2, faults - 3), faults))
    for fault in order:
        lost = rng.choice((0.0, 0.0, 6.0, 20.0, 60.0)) * 0.8
        fixes.append(Fix(f"f{fault}", rng.uniform(2, 20) + lost, place(), -lost, ((fault, 1.0 if large or rng.random() < 0.7 else 0.85),)))
    hand_over = rng.choice((60.0, 120.0, 240.0))
    return Problem(masses / masses.sum(), tuple(made), np.array(start), np.array(rows), tuple(sorted(fixes, key=lambda f: f.id)), parent, toll,
                   hand_over=hand_over, known_hand_over=hand_over * rng.choice((1.0, 0.7)))


def carved(problem: Problem, faults: int = 6, tests: int = 4) -> Problem:
    """The likeliest faults of a real moment with the tests that promise most there; all else that may be wrong is one remainder.

    What a test says of the remainder is the average over what it stands for. Signs that hang together are taken as told apart.
    """
    kept = sorted(np.argsort(-problem.belief[:-1], kind="stable")[:faults].tolist())
    others = [i for i in range(len(problem.belief)) if i not in kept]
    search = Search(problem)
    search.expand([search.root])
    ranked = [a.index for a in search.root.actions or [] if a.kind == "test" and len(problem.tests[a.index].twins) == 0]
    chosen = sorted([t for t in ranked if problem.start[t + 1] - problem.start[t] <= 4][:tests])
    rest = float(problem.belief[others].sum())
    belief = np.append(problem.belief[kept], rest)
    rows, start = [], [0]
    for t in chosen:
        for r in range(int(problem.start[t]), int(problem.start[t + 1])):
            lump = float(problem.likely[r, others] @ problem.belief[others]) / max(rest, 1e-12)
            rows.append(np.append(problem.likely[r, kept], lump))
        start.append(len(rows))
    place = {f: i for i, f in enumerate(kept)}
    fixes = []
    for fix in problem.fixes:
        cures = tuple((place[f], c) for f, c in fix.cures if f in place)
        if cures:
            fixes.append(replace(fix, cures=cures))
    needed: set[int] = set()
    for node in [*(problem.tests[t].node for t in chosen), *(f.node for f in fixes)]:
        needed |= problem.open_with(frozenset(), node)
    nodes = sorted(needed)
    at = {n: i for i, n in enumerate(nodes)} | {-1: -1}
    return Problem(belief / belief.sum(), tuple(replace(problem.tests[t], node=at[problem.tests[t].node]) for t in chosen), np.array(start),
                   np.array(rows).reshape(-1, len(belief)), tuple(replace(f, node=at[f.node]) for f in fixes), tuple(at.get(problem.parent[n], -1) for n in nodes),
                   problem.toll[nodes], frozenset(at[n] for n in problem.opened if n in at), problem.hand_over, problem.known_hand_over)
