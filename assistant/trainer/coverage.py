"""`tickover knowledge coverage`: what no conversation exercises; *never tried* told apart from *tried and never true*.

A rule is tried when something was said of a topic it waits for; an outcome when its check was done; a phrase when its
value was heard in other words; a fault when a rule that fired weighed it. It is exercised when it fired, was the outcome,
was the phrase heard, or led the ranking.
"""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Iterable

from assistant.dialogue.state import State
from assistant.dialogue.think import Mind
from assistant.problems import count
from assistant.records import Statement
from assistant.rulebook.book import ANOTHER, Rulebook
from assistant.rulebook.load import load
from assistant.trainer.conversations import Conversation
from assistant.trainer.progress import progress
from assistant.trainer.replay import replay
from assistant.trainer.replaying import read_all
from assistant.trainer.told import state_of

KINDS = ("rules", "outcomes", "phrases", "faults")
_SHOWN = 10


@dataclass
class Tally:
    """Of one kind: what was exercised, what was tried and never true, what was never tried; and where each stands."""

    places: dict[str, str]
    hit: set[str] = field(default_factory=set)
    tried: set[str] = field(default_factory=set)

    @property
    def never_true(self) -> list[str]:
        """Tried, and never true."""
        return sorted((self.tried - self.hit) & set(self.places))

    @property
    def never_tried(self) -> list[str]:
        """Never tried at all."""
        return sorted(set(self.places) - self.hit - self.tried)

    @property
    def percent(self) -> float:
        """Exercised, of 100."""
        return 100 * len(self.hit & set(self.places)) / len(self.places) if self.places else 100.0


class Coverage:
    """Gathers over any number of states."""

    def __init__(self, mind: Mind) -> None:
        book = mind.book
        self.mind = mind
        self.tallies = {
            "rules": Tally({r.id: f"{r.file}:{r.line}" for r in book.rules.values()}),
            "outcomes": Tally({f"{c.id}={o}": f"{c.file}:{c.line}" for c in book.checks.values() for o in c.outcomes}),
            "phrases": Tally({_phrase(p.topic, p.value, p.pattern): f"{p.file}:{p.line}" for p in book.phrases if p.value != ANOTHER}),
            "faults": Tally({f.id: f"{f.file}:{f.line}" for f in book.faults.values()}),
        }

    def take(self, conversation: Conversation) -> None:
        """Every turn of a conversation."""
        for now in replay(self.mind, conversation).turns:
            self._heard(now.state)
            self.judge(now.state)

    def judge(self, state: State) -> None:
        """What follows from a state."""
        book, (told, derived, firings, _, ranking) = self.mind.book, self.mind.weigh_up(state)
        rules, outcomes, faults = self.tallies["rules"], self.tallies["outcomes"], self.tallies["faults"]
        rules.hit |= {f.rule for f in firings if not f.denial}
        for topic in {k.topic for k in (*told, *derived)}:
            rules.tried |= set(book.rules_on.get(topic, ()))
            if topic in book.checks:
                outcomes.tried |= {f"{topic}={o}" for o in book.checks[topic].outcomes}
        outcomes.hit |= {f"{k.topic}={k.value}" for k in (*told, *derived) if k.topic in book.checks and not k.denied}
        faults.tried |= {w.fault for w in ranking.weights}
        if ranking.standings and ranking.weights:
            faults.hit.add(ranking.standings[0].fault)

    def _heard(self, state: State) -> None:
        phrases = self.tallies["phrases"]
        for item in (*state.heard.statements, *state.heard.readings):
            topic, value = (item.fact, str(item.value)) if isinstance(item, Statement) else (item.check, str(item.outcome))
            phrases.hit.add(_phrase(topic, value, item.via))
            phrases.tried |= self._of_value.get((topic, value), set())

    @property
    def _of_value(self) -> dict[tuple[str, str], set[str]]:
        if not hasattr(self, "_by_value"):
            self._by_value: dict[tuple[str, str], set[str]] = {}
            for p in self.mind.book.phrases:
                self._by_value.setdefault((p.topic, p.value), set()).add(_phrase(p.topic, p.value, p.pattern))
        return self._by_value


def _phrase(topic: str, value: str, pattern: str) -> str:
    return f"{topic}={value}: {pattern}"


def gather(mind: Mind, conversations: Iterable[Conversation]) -> Coverage:
    """The coverage of these conversations."""
    made = Coverage(mind)
    for conversation in progress(list(conversations), "conversations"):
        made.take(conversation)
    return made


def coverage_command(folder: Path, options: argparse.Namespace) -> int:
    """The command. Exit status 1 when a floor is not held or a file cannot be read, 2 for a floor that makes no sense."""
    floors, trouble = _floors(options.floor)
    if trouble:
        print(f"tickover knowledge coverage: {trouble}", file=sys.stderr)
        return 2
    mind = Mind(load(folder))
    conversations, problems = read_all(mind, options.files)
    for problem in problems:
        print(problem.text(), file=sys.stderr)
    made = gather(mind, conversations)
    if options.cases:
        _cases(made, mind.book, folder)
    if options.json:
        print(json.dumps({kind: {"exercised": sorted(t.hit & set(t.places)), "never_true": t.never_true, "never_tried": t.never_tried,
                                 "percent": round(t.percent, 1)} for kind, t in made.tallies.items()}, ensure_ascii=False))
    else:
        _print(made, len(conversations), getattr(options, "all", False))
    low = [f"{kind} {made.tallies[kind].percent:.1f} % (floor {floor:g} %)" for kind, floor in floors.items() if made.tallies[kind].percent < floor]
    if low:
        print(f"Under the floor: {', '.join(low)}.", file=sys.stderr)
    return 1 if low or problems else 0


def _cases(made: Coverage, book: Rulebook, folder: Path) -> None:
    from assistant.trainer import case_files

    for path in case_files.find(folder):
        for case in case_files.read(book, path, str(path))[0]:
            made.judge(state_of(book, case.facts, case.denied))


def _floors(given: list[str]) -> tuple[dict[str, float], str]:
    floors: dict[str, float] = {}
    for text in given:
        kind, sign, number = text.rpartition("=")
        try:
            value = float(number)
        except ValueError:
            return {}, f"'{text}' is not a floor; write 40, or rules=60"
        if sign and kind not in KINDS:
            return {}, f"'{kind}' has no coverage; use one of: {', '.join(KINDS)}"
        floors.update({kind: value} if sign else dict.fromkeys(KINDS, value))
    return floors, ""


def _print(made: Coverage, conversations: int, whole: bool) -> None:
    print(f"{count(conversations, 'conversation')}:")
    for kind, tally in made.tallies.items():
        print(f"  {kind:9} {len(tally.hit & set(tally.places)):5} of {len(tally.places):5}  {tally.percent:5.1f} %   "
              f"tried and never true: {len(tally.never_true)}, never tried: {len(tally.never_tried)}")
    for kind, tally in made.tallies.items():
        for name, ids in (("tried and never true", tally.never_true), ("never tried", tally.never_tried)):
            if ids:
                shown = ids if whole else ids[:_SHOWN]
                print(f"{kind}, {name}:")
                print("\n".join(f"  {i}  ({tally.places[i]})" for i in shown))
                if len(ids) > len(shown):
                    print(f"  and {len(ids) - len(shown)} more; --all shows them")


__all__ = ["Coverage", "Tally", "coverage_command", "gather"]
