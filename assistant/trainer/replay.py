"""A conversation file gone through against the rulebook: what happened turn by turn, and where it differs from what is expected.

Only what an expectation asks for is worked out. Reading is always done; the rules are run where `fired` or `ranked` is
expected; a step is planned where it is expected, or where a later message may lean on what was asked (see `_planned`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Callable

from assistant.dialogue.fold import fold
from assistant.dialogue.state import State, facts
from assistant.dialogue.think import Mind, Thinking
from assistant.dialogue.turn import respond
from assistant.records import Answer, Firing, Known, Ranking, Reading, Statement
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event
from assistant.trainer.conversations import OPEN, Conversation, Hearing, Turn

Draw = Callable[[Mind, State, Thinking, Answer, int], str]  # an answer as text at a width; given by whoever owns a screen
_SHORT = 14  # words: a longer message is never taken for an answer to a question


@dataclass(frozen=True)
class Difference:
    """One expectation that was not met. `expected` and `got` are as they stand, or would stand, in the file."""

    file: str
    line: int
    turn: int  # from 0
    says: str
    key: str
    expected: Any
    got: Any
    what: str  # in words

    def text(self) -> str:
        """Place, message, and the difference in words."""
        said = self.says if len(self.says) <= 70 else self.says[:67] + "..."
        return f"{self.file}:{self.line}  turn {self.turn + 1}  {self.key}\n  \"{said}\"\n  {self.what}"

    def as_json(self) -> dict[str, Any]:
        """The same for machines."""
        return {name: getattr(self, name) for name in ("file", "line", "turn", "says", "key", "expected", "got", "what")}


@dataclass(frozen=True)
class Happened:
    """What was worked out after one message. `ranking` and `answer` are None where nothing asked for them."""

    state: State
    known: tuple[Known, ...] = ()
    firings: tuple[Firing, ...] | None = None
    ranking: Ranking | None = None
    thinking: Thinking | None = None
    answer: Answer | None = None
    asked: Event | None = None

    @property
    def next(self) -> str | None:
        """What was offered: an id, 'workshop', or 'nothing'. None where no step was planned."""
        if self.answer is None:
            return None
        if self.answer.kind == "workshop":
            return "workshop"
        data = self.asked.data if self.asked is not None else {}
        return str(data["id"]) if data.get("what") in ("question", "check", "repair", "proof") and data.get("id") else "nothing"


@dataclass(frozen=True)
class Outcome:
    """A conversation gone through."""

    conversation: Conversation
    turns: tuple[Happened, ...]
    differences: tuple[Difference, ...]
    unsettled: int = 0  # expectations that are still 'open'


def replay(mind: Mind, conversation: Conversation, draw: Draw | None = None, strict: bool = False, whole: bool = False) -> Outcome:
    """Go through one conversation. `whole` works everything out at every turn; `strict` also counts things heard beyond what is expected."""
    from assistant.trainer.compared import compare  # late: it imports this module's records

    state = State()
    for topic, value in conversation.machine:
        state = fold(mind.book, mind.reader, state, Event("given", {"fact": topic, "value": value}))
    happened: list[Happened] = []
    differences: list[Difference] = []
    for number, turn in enumerate(conversation.turns):
        if turn.answers is not None:
            state = fold(mind.book, mind.reader, state, asked_event(mind.book, turn.answers))
        state = fold(mind.book, mind.reader, state, Event("said", {"text": turn.says}))
        now = _work_out(mind, state, turn, whole or _planned(conversation, number, state))
        if now.asked is not None:
            state = fold(mind.book, mind.reader, state, now.asked)
        happened.append(now)
        differences += compare(mind, conversation, number, now, draw, strict)
    unsettled = sum((t.next == OPEN) + (t.kind == OPEN) + (t.ranked == (OPEN,)) + sum(text == OPEN for _, text in t.screen) for t in conversation.turns)
    return Outcome(conversation, tuple(happened), tuple(differences), unsettled)


def asked_event(book: Rulebook, identity: str) -> Event:
    """The event that records that this was asked or offered last."""
    what = "question" if identity in book.facts else "check" if identity in book.checks else "repair"
    values = book.values(identity)
    return Event("asked", {"what": what, "id": identity, "choices": list(values), "plain": list(values.values())})


def _work_out(mind: Mind, state: State, turn: Turn, planned: bool) -> Happened:
    if planned:
        thinking = mind.think(state)
        made = respond(mind, state, thinking)
        return Happened(state, thinking.known, thinking.firings, thinking.ranking, thinking, made.answer, made.asked)
    if turn.fired or turn.ranked or turn.must_not:
        told, derived, firings, _, ranking = mind.weigh_up(state)
        return Happened(state, (*told, *derived), tuple(firings), ranking)
    if any(isinstance(h.value, str) for h in turn.heard or ()) and any(isinstance(n.item, Reading) for n in state.notes):
        return Happened(state, facts(mind.book, state))
    return Happened(state)


def _planned(conversation: Conversation, number: int, state: State) -> bool:
    """Whether a step must be planned after this turn.

    It must where the turn expects something of the answer. Else only what comes later can tell: the next message may be
    short enough to be an answer, hold a number, or speak to the assistant; and the minutes and open panels that a later
    plan builds on come from what was asked before. A turn that names what it answers leans on nothing.
    """
    turn = conversation.turns[number]
    if _expects_a_step(turn):
        return True
    later = conversation.turns[number + 1:]
    if not later or later[0].answers is not None:
        return False
    return bool(state.heard.doubts or state.repairs) or _may_lean(later[0]) or any(_expects_a_step(t) for t in later)


def _expects_a_step(turn: Turn) -> bool:
    return bool(turn.next or turn.kind or turn.shown or turn.screen)


def _may_lean(turn: Turn) -> bool:
    return len(turn.says.split()) <= _SHORT or any(c.isdigit() for c in turn.says) or bool(turn.meant)


def heard_rows(state: State) -> list[dict[str, Any]]:
    """What the last message was heard to say, as rows of a conversation file."""
    rows: list[dict[str, Any]] = []
    for item in (*state.heard.statements, *state.heard.readings):
        if isinstance(item, Statement):
            row: dict[str, Any] = {"fact": item.fact, "value": item.value, "words": item.words}
            if item.denied:
                row["denied"] = "yes"
            if item.when != "now":
                row["before"] = "yes"
        else:
            row = {"check": item.check, "value": item.outcome if item.value is None else item.value, "words": item.words}
            if item.where:
                row["where"] = item.where
        rows.append(row)
    return rows


__all__ = ["Difference", "Draw", "Happened", "Hearing", "Outcome", "asked_event", "heard_rows", "replay"]
