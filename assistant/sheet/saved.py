"""A conversation kept earlier, opened for reading: by its number among the past ones, or from an exported file."""

from __future__ import annotations

from pathlib import Path
from typing import Callable, Iterable

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.session.events import Event
from assistant.session.log import LogError, read
from assistant.session.store import Store

Replay = Callable[[Case, Iterable[Event]], int]


def open_case(mind: Mind, store: Store, name: str, replay: Replay) -> tuple[Case, str, list[str]]:
    """(the case, what to call it, remarks in plain lines). Nothing is written, no lock is taken. Raises LogError.

    `name` is a number, or a path to an exported log. `replay` folds kept events into a case and says how many it could not follow.
    """
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
    case = Case(mind)
    missed = replay(case, contents.events)
    remarks = list(contents.remarks)
    if missed:
        remarks.append(f"{missed} of the entries of {called} could not be followed with these knowledge files.")
    return case, called, remarks
