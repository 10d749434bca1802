"""An earlier conversation gone through again: on the same files to the same state, on changed files as far as they still fit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Iterable

from assistant.session.events import Event

if TYPE_CHECKING:
    from assistant.dialogue.case import Case
    from assistant.rulebook.book import Rulebook


def replay(case: "Case", events: Iterable[Event]) -> int:
    """Fold kept events in. Returns how many could not be followed; these are stepped over and stay in the log."""
    return case.replay(events)


def remarks(book: "Rulebook", events: Iterable[Event], missed: int) -> list[str]:
    """What the person should know about it, a line each."""
    prints = [e.data.get("knowledge") for e in events if e.kind in ("opened", "resumed")]
    lines = []
    if prints and prints[-1] != book.fingerprint:
        lines.append("The knowledge files have changed since; I went through what you said again with the new ones.")
    if missed:
        lines.append(f"{missed} of the lines in the log could not be followed; they stay in it.")
    return lines
