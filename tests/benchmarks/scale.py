"""Time for a decision, with the knowledge as it is and grown to several times its size."""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

import numpy as np

from assistant.planning.choose import Planner
from assistant.rulebook.book import Rulebook
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from tests.benchmarks.grown import grow
from tests.benchmarks.quick import Quick
from tests.benchmarks.simulate import book, world
from tests.benchmarks.world import Noise


def times(made: Rulebook, decisions: int) -> dict[str, float]:
    """Milliseconds of work for a decision along conversations of some length; the same words whatever the size."""
    owners, quick, spent = world(Noise(seed=3)), Quick(made), []
    start = time.process_time()
    planner = Planner(made)
    compiled = time.process_time() - start
    planner.plan(quick.scene({}))
    number = 0
    while len(spent) < decisions:
        owner = owners.owner(number)
        number += 1
        told, passed = dict(owner.story), set()
        for _ in range(8):
            scene = quick.scene(told, passed=frozenset(passed))
            start = time.process_time()
            best = planner.plan(scene).best
            spent.append(time.process_time() - start)
            assert best is not None
            if best.kind not in ("check", "question"):
                break
            if best.id in owner.answers and best.id not in told:
                told[best.id] = (owner.answers[best.id],)
            else:
                passed.add(best.id)
    ms = 1000 * np.array(spent[:decisions])
    return {"decisions": len(ms), "median_ms": float(np.median(ms)), "95th_ms": float(np.quantile(ms, 0.95)), "most_ms": float(ms.max()),
            "faults": len(made.faults), "checks": len(made.checks), "compile_ms": 1000 * compiled}


def scale(sizes: tuple[int, ...], decisions: int) -> dict[str, dict[str, float]]:
    """Each size."""
    result = {}
    before = os.environ.get("TICKOVER_CACHE")
    with tempfile.TemporaryDirectory() as place:
        os.environ["TICKOVER_CACHE"] = ""
        try:
            for size in sizes:
                result[f"x{size}"] = times(book() if size == 1 else load(grow(knowledge_folder(), size, Path(place, str(size)))), decisions)
        finally:
            os.environ.pop("TICKOVER_CACHE")
            if before is not None:
                os.environ["TICKOVER_CACHE"] = before
    return result
