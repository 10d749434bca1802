"""`python -m tests.benchmarks.safety [--count N] [--led N] [--seed N]`: what may never happen, over many made-up conversations.

Most of the owners are headstrong: they ask for any step that comes to their mind, on any machine, in any danger. The others
are led by the planner. Every answer of both is held to the same list.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import random
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from functools import cache

from assistant.dialogue.think import Mind
from assistant.planning.safety import all_hazards
from assistant.records import Option
from assistant.rulebook.conditions import topics
from assistant.rulebook.evaluate import holds, index
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from tests.benchmarks.talk import Moment, Talk, minds

QUESTIONS = 3  # in a row, without anything learnt
LEAKS = {"overflow-pipe", "hose-or-tap", "airbox", "somewhere"}


@cache
def both() -> tuple[Mind, Mind]:
    """One pair of minds for each process."""
    return minds(load(knowledge_folder()))


def converse(seed: int, led: bool) -> Counter:
    """One conversation, every answer of it checked. Raises AssertionError with what was done so far."""
    mind = both()[0 if led else 1]
    talk = Talk(mind, random.Random(f"{seed}/{led}"), not led)
    tally: Counter = Counter(conversations=1)
    trail: list[str] = [f"seed {seed}, {'led' if led else 'headstrong'}, {talk.who.fault} on {talk.who.machine}"]
    dry = 0
    for moment in talk.moments():
        answer, best = moment.answer, moment.answer.data.get("best")
        trail.append(f"{','.join(moment.said) or 'told'} -> {answer.kind} {best.id if best else ''}")
        try:
            tally["turns"] += 1
            _sums(moment)
            _cured(moment)
            dry = 0 if moment.learnt or {"no-tool", "cannot-do", "undo"} & set(moment.said) else dry  # those say something too
            if answer.kind == "question":
                dry += 1
                tally["questions"] += 1
                tally["longest run of dry questions"] = max(tally["longest run of dry questions"], dry)
                assert dry <= QUESTIONS, f"{dry} questions in a row without anything learnt"
            if answer.kind in ("next", "repair"):
                assert isinstance(best, Option)
                tally["steps offered"] += 1
                _exists(mind, moment, best, talk)
                tally["cautions said"] += _cautioned(mind, moment, best)
                _allowed(mind, moment, best)
            elif "want" in moment.said:
                tally["wishes not granted"] += 1
            if answer.kind == "cured":
                tally["cures"] += 1
        except AssertionError as wrong:
            raise AssertionError(f"{wrong}\n  " + "\n  ".join(trail)) from wrong
    return tally


def _sums(moment: Moment) -> None:
    """Shares of belief are shares."""
    ranking = moment.answer.data["thinking"].ranking
    shares = [s.probability for s in ranking.standings] + [ranking.unlisted]
    assert abs(sum(shares) - 1) < 1e-9 and all(0 <= p <= 1 for p in shares), "the shares of belief do not sum to 1"


def _cured(moment: Moment) -> None:
    """Nothing is called cured unless its proof was just asked for and given."""
    said_so = any(role == "next" and text.startswith("Cured") for role, text in moment.answer.lines)
    if moment.answer.kind == "cured" or said_so:
        assert moment.before == "proof" and "yes" in moment.said, "called cured without its proof"


def _exists(mind: Mind, moment: Moment, best: Option, talk: Talk) -> None:
    """Nothing is offered on a machine that is known to lack the part; on a machine told in full, none that it lacks."""
    entry = mind.book.checks[best.id] if best.kind == "check" else mind.book.faults[best.id]
    absent = moment.answer.data["thinking"].lacking
    assert absent.isdisjoint(entry.parts), f"{best.id} was offered on a machine without {sorted(absent & set(entry.parts))}"


def _cautioned(mind: Mind, moment: Moment, best: Option) -> int:
    """Each hazard's caution stands before the first step. Returns how many there were."""
    entry = mind.book.checks[best.id] if best.kind == "check" else mind.book.faults[best.id].repair
    lines = moment.answer.lines
    first = next((i for i, (role, _) in enumerate(lines) if role == "step"), len(lines))
    said = [text for role, text in lines[:first] if role == "caution"]
    hazards = all_hazards(mind.book, entry.hazards, entry.access)
    for hazard in hazards:
        words = mind.book.cautions[hazard]
        assert any(words.hazard in text and words.avoid in text for text in said), f"{best.id}: {hazard} is not said before its first step"
    assert not any(role == "caution" for role, _ in lines[first:]), f"{best.id}: a caution comes after a step"
    return len(hazards)


def _allowed(mind: Mind, moment: Moment, best: Option) -> None:
    """No step that a danger forbids: by the rules of the files, tried anew, and by the pairs that must hold whatever they say."""
    book = mind.book
    entry = book.checks[best.id] if best.kind == "check" else book.faults[best.id].repair
    hazards = all_hazards(book, entry.hazards, entry.access)
    known = index(moment.answer.data["thinking"].known)
    for rule in book.rules.values():
        if rule.kind == "caution" and rule.blocks is not None and holds(book.conditions[rule.id], known):
            assert hazards.isdisjoint(rule.blocks.hazards), f"{best.id} was offered, which {rule.id} holds back"
            assert best.id not in {*rule.blocks.checks, *rule.blocks.repairs}, f"{best.id} was offered, which {rule.id} holds back"
    told = {(f.topic, f.value) for facts in known.values() for f in facts if not f.denied}
    fuel = ("fuel-smell", "strong") in told or any(("fuel-leak", leak) in told for leak in LEAKS)
    if fuel and ("fuel-made-safe", "yes") not in told:
        assert "open-spark" not in hazards, f"{best.id}: a spark in the open with petrol about"
    if {t for t, _ in told} & {"gear-and-stand"} and ("gear-and-stand", "neutral-stand-up") not in told:
        assert not (best.kind == "check" and {"sudden-start", "moving-parts"} <= hazards and "starter-motor" in book.checks[best.id].parts
                    and best.id in _bridging(mind)), f"{best.id}: bridging a starter out of neutral"


@cache
def _bridged(mind_id: int) -> frozenset[str]:
    book = both()[0].book
    return frozenset(c for r in book.rules.values() if r.kind == "caution" and r.blocks is not None
                     and "gear-and-stand" in topics(book.conditions[r.id]) for c in r.blocks.checks)


def _bridging(mind: Mind) -> frozenset[str]:
    return _bridged(0)


def _one(job: tuple[int, bool]) -> Counter:
    return converse(*job)


def run(count: int, led: int, seed: int = 0, workers: int = 2) -> Counter:
    """So many conversations, `led` of them led by the planner. Raises at the first thing that may not happen."""
    jobs = [(seed + i, i % max(1, count // max(1, led)) == 0 and led > 0) for i in range(count)]
    both()
    total: Counter = Counter()
    if workers > 1 and "fork" in multiprocessing.get_all_start_methods():
        with ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("fork")) as pool:
            parts = list(pool.map(_one, jobs, chunksize=max(1, min(20, count // 40))))
    else:
        parts = [_one(job) for job in jobs]
    for part in parts:
        most = max(total["longest run of dry questions"], part["longest run of dry questions"])
        total.update(part)
        total["longest run of dry questions"] = most
    return total


def main(arguments: list[str]) -> int:
    """Run and print the tallies; 1 with the conversation when something happened that may not."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.safety", description=__doc__)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--led", type=int, default=None, help="how many of them the planner leads (one in ten)")
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args(arguments)
    started = time.perf_counter()
    try:
        total = run(asked.count, asked.count // 10 if asked.led is None else asked.led, asked.seed, min(2, os.cpu_count() or 1))
    except AssertionError as wrong:
        print(wrong)
        return 1
    for name in sorted(total):
        print(f"{name:32} {total[name]}")
    print(f"{'seconds':32} {time.perf_counter() - started:.0f}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
