"""Playing many owners at once, on the cores there are, and laying the results out."""

from __future__ import annotations

import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from statistics import median
from typing import Iterable

from assistant.dialogue.think import Mind
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from tests.reach.player import Mouth, Play, play
from tests.reach.table import cells, files, owner

WORKERS = min(2, os.cpu_count() or 1)


@cache
def mind() -> Mind:
    """One mind for all plays of this process and of those forked from it."""
    made = Mind(load(knowledge_folder()))
    made.reader = Mouth()  # type: ignore[assignment]
    assert made.engine and made.planner
    return made


def one_kind_each() -> list[tuple[str, str]]:
    """Every fault on one machine; the kinds take turns, so that each of them is played."""
    return [(fault, entry["on"][i % len(entry["on"])]) for i, (fault, entry) in enumerate(files()["faults"].items())]


def _play(cell: tuple[str, str]) -> Play:
    return play(mind(), owner(*cell))


def plays(wanted: Iterable[tuple[str, str]]) -> list[Play]:
    """The plays of the wanted cells, in their order. Processes are forked, so that they share the compiled rulebook."""
    mind()
    if WORKERS == 1 or "fork" not in multiprocessing.get_all_start_methods():
        return [_play(cell) for cell in wanted]
    with ProcessPoolExecutor(WORKERS, mp_context=multiprocessing.get_context("fork")) as pool:
        return list(pool.map(_play, list(wanted), chunksize=2))


def table(results: list[Play]) -> str:
    """The table of reach: one line for each fault, over the machines it was played on, and a line for what was not reached."""
    by_fault: dict[str, list[Play]] = {}
    for result in results:
        by_fault.setdefault(result.fault, []).append(result)
    lines = [f"{'fault':32} {'machines':>8} {'reached':>8} {'minutes':>8} {'most':>6} {'steps':>6} {'questions':>9} {'asked for proof':>15}"]
    for fault, mine in by_fault.items():
        lines.append(f"{fault:32} {len(mine):8} {sum(r.reached for r in mine):8} {median(r.minutes for r in mine):8.0f} "
                     f"{max(r.minutes for r in mine):6.0f} {median(r.steps for r in mine):6.0f} {median(r.questions for r in mine):9.0f} "
                     f"{sum(bool(r.proofs) for r in mine):15}")
    reached = sum(r.reached for r in results)
    lines.append(f"{reached} of {len(results)} reached; minutes {median(r.minutes for r in results):.0f} (median), "
                 f"questions {median(r.questions for r in results):.0f}, steps {median(r.steps for r in results):.0f}; "
                 f"proof asked for before the workshop in {sum(bool(r.proofs) for r in results)}")
    lines += [missed(r) for r in results if not r.reached]
    return "\n".join(lines)


def missed(result: Play) -> str:
    """One line on a play that did not reach its fault."""
    return (f"not reached: {result.fault} on {result.machine}: ended '{result.end}' after {result.steps} steps, leader {result.leader}; "
            f"last: {' | '.join(result.path[-5:])}")


__all__ = ["cells", "mind", "missed", "one_kind_each", "plays", "table"]
