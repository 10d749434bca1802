"""The small trade of `workshop/`, and conversations about it made without words."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from assistant.dialogue.state import Note, RepairDone, State
from assistant.dialogue.think import Mind
from assistant.records import Ranking, Reading, Statement
from assistant.rulebook.load import load

TOTAL = 200.0  # per 1000: 60 + 40 + 20 + 50 listed, 30 not


@lru_cache(maxsize=1)
def mind() -> Mind:
    """The small trade, read and compiled once."""
    return Mind(load(Path(__file__).parent / "workshop"))


def told(*items: tuple, repairs: tuple[RepairDone, ...] = (), mind_: Mind | None = None) -> State:
    """A state in which each item was one message: (topic, value) or (topic, value, False) for a denial; a number is read."""
    book = (mind_ or mind()).book
    notes = []
    for turn, (topic, value, *denied) in enumerate(items):
        if topic in book.checks:
            number = value if isinstance(value, (int, float)) else None
            unit = book.checks[topic].reading.unit if number is not None else None
            item = Reading(topic, number, unit, None if number is not None else value, words=f"{topic} {value}")
        else:
            item = Statement(topic, value, denied=bool(denied) and not denied[0], words=f"{topic} {value}")
        notes.append(Note(turn, item))
    return State(turn=len(notes), notes=tuple(notes), repairs=repairs)


def ranking(state: State) -> Ranking:
    """Where everything stands."""
    return mind().weigh_up(state)[4]


def supposing(state: State):
    """The ranking with one more answer, as `lifts` wants it."""
    def weigh(topic: str, value: str) -> Ranking:
        item = Reading(topic, outcome=value) if topic in mind().book.checks else Statement(topic, value)
        return mind().weigh_up(state.with_(notes=(*state.notes, Note(state.turn, item))))[4]

    return weigh


def without(state: State):
    """The ranking as if some checks had not been done, as `sureness` wants it."""
    def weigh(checks: frozenset[str]) -> Ranking:
        return mind().weigh_up(state.with_(notes=tuple(n for n in state.notes if n.topic not in checks)))[4]

    return weigh
