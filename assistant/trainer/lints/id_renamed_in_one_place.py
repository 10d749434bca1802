"""An id that was renamed where it is described, but not where it is used.

The name used exists nowhere, and exactly one similar name of its kind is described and used by nobody. This complaint
stands in place of the loader's "unknown" one.

Bad:
    parts:
      saddle-cover: {plain: a saddle cover}
    rules:
      kicked-machine-has-a-cover:
        kind: applies
        says: A kicked machine has a saddle cover.
        when: {start-by: kick}
        has: [sadle-covers]
        source: common-practice

Good:
    parts:
      saddle-cover: {plain: a saddle cover}
    rules:
      kicked-machine-has-a-cover:
        kind: applies
        says: A kicked machine has a saddle cover.
        when: {start-by: kick}
        has: [saddle-cover]
        source: common-practice
"""

from __future__ import annotations

import difflib
from typing import Iterator

from assistant.problems import count
from assistant.rulebook.models import Entry
from assistant.trainer.finding import Edit, Finding
from assistant.trainer.uses import Use
from assistant.trainer.view import View

CODE = "id-renamed-in-one-place"
LEVEL = "error"
PARTIAL = True  # asked even when some part of the files cannot be read
_LEAST = 0.6


def check(view: View) -> Iterator[Finding]:
    """One finding for each use of the old name."""
    everywhere = view.uses
    used = {(shelf, use.id) for use in everywhere for shelf in use.shelves}
    lost: dict[tuple[tuple[str, ...], str], list[Use]] = {}
    for use in everywhere:
        if not any(use.id in view.book.kind(shelf) for shelf in use.shelves) and use.kind in ("rules", "checks", "faults", "facts", "access", "limits"):
            lost.setdefault((use.shelves, use.id), []).append(use)
    for (shelves, old), places in lost.items():
        new = _new_name(view, shelves, old, used)
        if new is None:
            continue
        others = f" and in {count(len(places) - 1, 'other place')}" if len(places) > 1 else ""
        for use in places:
            place = view.at(use.kind, use.entry, *use.tail)
            yield Finding(place, f"'{old}' is named here{others}, but {new.file}:{new.line} calls it '{new.id}' now.",
                          f"write {new.id}.", Edit(place[0], place[1], old, new.id, place[2]))


def _new_name(view: View, shelves: tuple[str, ...], old: str, used: set[tuple[str, str]]) -> Entry | None:
    """The one described and unused entry that looks like the old name."""
    free = [entry for shelf in shelves for entry in view.book.kind(shelf).values() if (shelf, entry.id) not in used]
    near = [entry for entry in free if difflib.SequenceMatcher(None, old, entry.id).ratio() >= _LEAST or set(old.split("-")) < set(entry.id.split("-"))]
    return near[0] if len(near) == 1 else None
