"""A conversation kept earlier, opened for reading: by its number among the past ones, or from an exported file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Callable, Iterable

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.problems import count
from assistant.session.events import Event
from assistant.session.log import LogError, read
from assistant.session.store import Store

Replay = Callable[[Case, Iterable[Event]], int]


@dataclass(frozen=True)
class Kept:
    """A log as it was read: what to call it, its events, and what is wrong with it in plain lines."""

    name: str
    events: tuple[Event, ...]
    remarks: tuple[str, ...] = ()


def find(store: Store, name: str) -> Kept:
    """Read a conversation by its number, or from a path to an exported log. Nothing is written, no lock is taken. Raises LogError."""
    path = Path(name)
    try:
        exported = path.is_file()
    except (OSError, ValueError):
        exported = False
    if exported:
        called = path.stem
    else:
        path, called = store.find(name)
    contents = read(path)
    if not contents.events:
        raise LogError(f"{path} holds no conversation." if exported else f"Conversation {called} holds nothing yet.")
    return Kept(called, contents.events, contents.remarks)


def to_case(mind: Mind, kept: Kept, replay: Replay) -> tuple[Case, list[str]]:
    """(the case, remarks in plain lines). `replay` folds events into a case and says how many it could not follow."""
    case = Case(mind)
    missed = replay(case, kept.events)
    remarks = list(kept.remarks)
    if missed:
        remarks.append(f"{count(missed, 'entry', 'entries')} of {kept.name} could not be followed with these knowledge files.")
    return case, remarks
