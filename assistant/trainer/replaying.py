"""`tickover knowledge replay`: all recorded conversations against the files; differences shown, and accepted one by one."""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from typing import Any, Callable, Iterable

from assistant.dialogue.think import Mind
from assistant.problems import Problem, count
from assistant.rulebook.load import load
from assistant.trainer.conversations import OPEN, Conversation, find, read
from assistant.trainer.progress import progress
from assistant.trainer.replay import Difference, Draw, Outcome, replay


def demo_folder() -> Path:
    """Where the checkout keeps its recorded conversations."""
    return Path(__file__).resolve().parents[2] / "transcripts_demo"


def read_all(mind: Mind, places: Iterable[str]) -> tuple[list[Conversation], list[Problem]]:
    """The conversations named, or those of the checkout; and what is wrong with their files."""
    given = [Path(p) for p in places]
    found, problems = [], []
    for path in find(given or [demo_folder()]):
        shown = f"{path.parent.name}/{path.name}" if not given else str(path)
        made, bad = read(mind.book, path, shown)
        found += [made] if made is not None else []
        problems += bad
    return found, sorted(problems)


def replay_command(folder: Path, options: argparse.Namespace) -> int:
    """The command. Exit status 0 without differences, 1 with some or with a file that cannot be read."""
    mind = Mind(load(folder))
    conversations, problems = read_all(mind, options.files)
    if not conversations and not problems:
        print("tickover knowledge replay: no conversation files found", file=sys.stderr)
        return 2
    draw: Draw | None = getattr(options, "draw", None)
    start = time.perf_counter()
    outcomes = [replay(mind, c, draw, options.strict) for c in progress(conversations, "conversations")]
    seconds = time.perf_counter() - start
    if options.json:
        print(json.dumps(as_json(outcomes, problems, seconds), ensure_ascii=False))
    else:
        _print(outcomes, problems, seconds)
    if options.accept:
        return accept_all(mind, outcomes, _ask, draw)
    return 1 if problems or any(o.differences for o in outcomes) else 0


def as_json(outcomes: list[Outcome], problems: list[Problem], seconds: float) -> dict:
    """What came out, for machines."""
    return {"conversations": len(outcomes), "seconds": round(seconds, 3), "problems": [p.as_json() for p in problems],
            "differences": [d.as_json() for o in outcomes for d in o.differences], "unsettled": sum(o.unsettled for o in outcomes)}


def _print(outcomes: list[Outcome], problems: list[Problem], seconds: float) -> None:
    for problem in problems:
        print(problem.text())
    for outcome in outcomes:
        for difference in outcome.differences:
            print(difference.text())
    different = sum(bool(o.differences) for o in outcomes)
    unsettled = sum(o.unsettled for o in outcomes)
    rate = f" ({len(outcomes) / seconds:.0f} a second)" if seconds > 0.5 else ""
    print(f"{count(len(outcomes), 'conversation')}{rate}: {len(outcomes) - different} as expected, {different} different"
          + (f", {count(len(problems), 'complaint')}" if problems else "") + (f", {count(unsettled, 'expectation')} still open" if unsettled else "") + ".")


def _ask(question: str) -> str:
    print(question, end=" ", flush=True)
    return sys.stdin.readline().strip().lower()


def accept_all(mind: Mind, outcomes: list[Outcome], ask: Callable[[str], str], draw: Draw | None = None) -> int:
    """Show each difference and each open expectation, and rewrite those agreed to. Returns 0 when nothing is left open."""
    from assistant.trainer.accept import rewrite

    left = 0
    for outcome in outcomes:
        path = outcome.conversation.path
        assert path is not None
        for difference in [*outcome.differences, *open_ones(mind, outcome, draw)]:
            print(f"\n{difference.text()}\n  expected: {difference.expected}\n  now:      {difference.got}")
            answer = ask("Accept? [y]es, [n]o, [q]uit:")
            if answer.startswith("q"):
                return 1
            if answer.startswith("y"):
                rewrite(path, difference.turn, difference.key, difference.got)
            else:
                left += 1
    return 1 if left else 0


def open_ones(mind: Mind, outcome: Outcome, draw: Draw | None = None) -> list[Difference]:
    """What an open expectation would be filled in with."""
    result = []
    for number, (turn, now) in enumerate(zip(outcome.conversation.turns, outcome.turns)):
        fill: list[tuple[str, Any]] = []
        if turn.next == OPEN and now.next is not None:
            fill.append(("next", now.next))
        if turn.kind == OPEN and now.answer is not None:
            fill.append(("kind", now.answer.kind))
        if turn.ranked == (OPEN,) and now.ranking is not None:
            fill.append(("ranked", [s.fault for s in now.ranking.standings[:1]]))
        if draw is not None and now.answer is not None and now.thinking is not None and any(text == OPEN for _, text in turn.screen):
            fill.append(("screen", {width: draw(mind, now.state, now.thinking, now.answer, width) if text == OPEN else text for width, text in turn.screen}))
        result += [Difference(outcome.conversation.file, turn.line, number, turn.says, key, OPEN, value, f"still open; now: {value}") for key, value in fill]
    return result
