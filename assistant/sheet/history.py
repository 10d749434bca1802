"""A conversation gone through again, message by message: what had been asked, what was said, and the ranking after it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Iterable

from assistant.dialogue.fold import fold
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind
from assistant.records import Firing, Known, Ranking
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event


@dataclass(frozen=True)
class Moment:
    """The conversation after one message; the first is before any, with what was given by option."""

    turn: int  # of the message, -1 for the first moment
    at: str
    asked: str
    text: str
    state: State
    facts: tuple[Known, ...]
    known: tuple[Known, ...]
    firings: tuple[Firing, ...]
    ranking: Ranking


def moments(mind: Mind, events: Iterable[Event]) -> list[Moment]:
    """All moments since the last fresh start. Events that these files cannot follow are stepped over."""
    state, asked = State(), ""
    result: list[Moment] = []
    for event in events:
        try:
            after = fold(mind.book, mind.reader, state, event)
        except Exception:  # a log of other files; the chat says so when it goes on with it
            continue
        if event.kind == "said":
            if not result or "fresh" in after.remarks:
                result = [_moment(mind, after if "fresh" in after.remarks else state, -1, event.at, "", "")]
            if "fresh" not in after.remarks:
                result.append(_moment(mind, after, after.turn - 1, event.at, asked, str(event.data.get("text", ""))))
        if event.kind == "asked":
            asked = asked_words(mind.book, after)
        state = after
    return result or [_moment(mind, state, -1, "", "", "")]


def _moment(mind: Mind, state: State, turn: int, at: str, asked: str, text: str) -> Moment:
    facts, derived, firings, _, ranking = mind.weigh_up(state)
    return Moment(turn, at, asked, text, state, tuple(facts), (*facts, *derived), tuple(firings), ranking)


def asked_words(book: Rulebook, state: State) -> str:
    """What stands open, as the person was asked it."""
    pending = state.pending
    if pending is None:
        return ""
    if pending.kind == "question" and pending.id in book.facts:
        return book.facts[pending.id].ask or book.facts[pending.id].plain
    if pending.kind == "check" and pending.id in book.checks:
        return book.checks[pending.id].plain[:1].upper() + book.checks[pending.id].plain[1:] + "."
    if pending.kind == "repair" and pending.id in book.faults:
        return book.faults[pending.id].repair.do
    if pending.kind == "proof" and pending.id in book.faults:
        return f"Proof of the cure: {book.faults[pending.id].proof.do}"
    if pending.kind == "doubt":
        return f"\"{pending.id}\": which was meant?"
    return ""
