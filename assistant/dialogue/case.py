"""One conversation: a mind, a state, and the events that made it. What the chat, `ask`, tests and replay all use."""

from __future__ import annotations

from typing import Callable, Iterable

from assistant.dialogue.fold import fold
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind, Thinking
from assistant.dialogue.turn import Turn, respond
from assistant.records import Answer
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

    def replay(self, events: Iterable[Event]) -> None:
        """Fold kept events in again, without keeping them anew."""
        for event in events:
            self.events.append(event)
            self.state = fold(self.mind.book, self.mind.reader, self.state, event)
