"""An earlier conversation gone through again: on the same files to the same state, on changed files as far as they still fit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Iterable

from assistant.session.events import Event

if TYPE_CHECKING:
    from assistant.dialogue.case import Case
    from assistant.rulebook.book import Rulebook

NOTHING_ASKED = Event("asked", {"what": "nothing", "id": "", "choices": [], "plain": []})


def replay(case: "Case", events: Iterable[Event]) -> int:
    """Fold kept events in. Returns how many could not be followed; these are stepped over and stay in the log."""
    book, missed = case.mind.book, 0
    for event in events:
        if event.kind == "given" and event.data["fact"] not in book.facts:
            missed += 1
            continue
        try:
            case.replay([event if event.kind != "asked" or still_fits(book, event) else NOTHING_ASKED])
        except Exception:
            missed += 1
    return missed


def still_fits(book: "Rulebook", asked: Event) -> bool:
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


def remarks(book: "Rulebook", events: Iterable[Event], missed: int) -> list[str]:
    """What the person should know about it, a line each."""
    prints = [e.data.get("knowledge") for e in events if e.kind in ("opened", "resumed")]
    lines = []
    if prints and prints[-1] != book.fingerprint:
        lines.append("The knowledge files have changed since; I went through what you said again with the new ones.")
    if missed:
        lines.append(f"{missed} of the lines in the log could not be followed; they stay in it.")
    return lines
