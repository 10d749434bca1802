"""Facts as a trainer writes them, to a state of a conversation: so that cases are judged by the same way as what is said."""

from __future__ import annotations

from typing import Iterable

from assistant.dialogue.state import Note, State
from assistant.records import Reading, Statement
from assistant.rulebook.book import Rulebook


def state_of(book: Rulebook, facts: Iterable[tuple[str, str | float]], denied: Iterable[tuple[str, str]] = ()) -> State:
    """The state in which somebody has said just these things, in this order, in one turn."""
    notes = [Note(0, _item(book, topic, value)) for topic, value in facts]
    notes += [Note(0, Statement(topic, value, denied=True, words="given")) for topic, value in denied]
    return State(turn=1, notes=tuple(notes))


def _item(book: Rulebook, topic: str, value: str | float) -> Statement | Reading:
    check = book.checks.get(topic)
    if check is None:
        return Statement(topic, value, words="given")
    if isinstance(value, float):
        return Reading(topic, value, check.reading.unit if check.reading else None, words="given")
    return Reading(topic, outcome=value, words="given")
