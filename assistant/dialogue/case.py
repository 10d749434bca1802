"""One conversation: a mind, a state, and the events that made it. What the chat, `ask`, tests and replay all use."""

from __future__ import annotations

from typing import Callable, Iterable

from assistant.dialogue.fold import fold
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind, Thinking
from assistant.dialogue.turn import Turn, respond
from assistant.records import Answer
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event


class Case:
    """A conversation in progress. `keep` is called with every event before its answer is given back."""

    def __init__(self, mind: Mind, keep: Callable[[Event], None] | None = None, now: Callable[[], str] | None = None) -> None:
        self.mind = mind
        self.state = State()
        self.events: list[Event] = []
        self._keep = keep
        self._now = now
        self.thinking: Thinking | None = None
        self.last: Answer | None = None

    def add(self, event: Event) -> None:
        """Record an event and fold it in."""
        if self._now is not None and not event.at:
            event = Event(event.kind, event.data, self._now())
        if self._keep is not None:
            self._keep(event)
        self.events.append(event)
        self.state = fold(self.mind.book, self.mind.reader, self.state, event)

    def say(self, text: str) -> Answer:
        """One message in, one answer out. The event is kept before the answer is made."""
        self.add(Event("said", {"text": text}))
        self.thinking = self.mind.think(self.state)
        turn: Turn = respond(self.mind, self.state, self.thinking)
        if turn.asked is not None:
            self.add(turn.asked)
        self.last = turn.answer
        return turn.answer

    def hear(self, text: str) -> None:
        """A message that is not answered (several lines told in one go)."""
        self.add(Event("said", {"text": text}))

    def think(self) -> Thinking:
        """What follows from the state as it stands."""
        self.thinking = self.mind.think(self.state)
        return self.thinking

    def replay(self, events: Iterable[Event]) -> int:
        """Fold kept events in again, without keeping them anew. Returns how many could not be followed.

        On the files they were made with, all are followed, to the same state. On other files a fact that is gone is stepped
        over, and what was asked and is gone, or has other answers now, counts as nothing asked.
        """
        book, missed = self.mind.book, 0
        for event in events:
            if event.kind == "given" and event.data["fact"] not in book.facts:
                missed += 1
                continue
            if event.kind == "asked" and not still_fits(book, event):
                event = NOTHING_ASKED
            try:
                state = fold(book, self.mind.reader, self.state, event)
            except Exception:  # a log may say what no files of ours ever asked; the rest of it is worth having
                missed += 1
                continue
            self.events.append(event)
            self.state = state
        return missed


NOTHING_ASKED = Event("asked", {"what": "nothing", "id": "", "choices": [], "plain": []})


def still_fits(book: Rulebook, asked: Event) -> bool:
    """Whether what was asked is still in the files, with the same answers."""
    what, identity = asked.data.get("what"), asked.data.get("id", "")
    choices = asked.data.get("choices", [])
    if what in ("question", "check"):
        return identity in (book.facts if what == "question" else book.checks) and set(choices) <= set(book.values(identity))
    if what in ("repair", "proof"):
        return identity in book.faults
    if what == "doubt":
        topics = [str(c).partition("=")[0] for c in choices]
        return all(t in book.facts or t in book.checks for t in topics)
    return what == "nothing"
