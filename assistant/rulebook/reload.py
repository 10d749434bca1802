"""Whether the knowledge folder changed, and what it holds now. The chat asks at every message."""

from __future__ import annotations

import os
from pathlib import Path

from assistant.problems import KnowledgeError, Problem
from assistant.rulebook.book import Rulebook
from assistant.rulebook.load import examine
from assistant.rulebook.rates import applied

Stamp = dict[str, tuple[int, int, int]]


class Watcher:
    """Watches one folder by the dates and sizes of its files; reads it only when one of them changed."""

    def __init__(self, folder: Path, book: Rulebook | None = None) -> None:
        """`book` is what is in force now: files that were saved without a change of content are no news."""
        self.folder = folder
        self._stamp = _stamp(folder)
        self._fingerprint = book.fingerprint if book is not None else ""

    def holds(self, book: Rulebook) -> None:
        """`book` is in force: the same content saved again is no news."""
        self._fingerprint = book.fingerprint

    def poll(self) -> None | Rulebook | list[Problem]:
        """None when nothing changed; the new rulebook; or the complaints that keep it from being used.

        Each change is told once. After complaints the old rulebook stays in force until the files change again.
        """
        stamp = _stamp(self.folder)
        if stamp == self._stamp:
            return None
        book, problems = examine(self.folder)
        self._stamp = stamp  # now that they are read: a look that was broken off is repeated
        errors = [p for p in problems if p.level == "error"]
        if errors:
            return errors
        try:
            applied(book)
        except KnowledgeError as error:
            return error.problems
        if book.fingerprint == self._fingerprint:
            return None
        self._fingerprint = book.fingerprint
        book.warnings = sorted(p for p in problems if p.level == "warning")
        return book


def _stamp(folder: Path) -> Stamp:
    """Every file that is read, with its date, size and number. A folder that is gone has none."""
    result: Stamp = {}
    for here, folders, files in os.walk(folder):
        folders[:] = [name for name in folders if not name.startswith(".")]
        for name in files:
            if name.endswith(".yaml") and not name.endswith(".cases.yaml") and not name.startswith("."):
                path = os.path.join(here, name)
                try:
                    state = os.stat(path)
                except OSError:
                    continue
                result[path] = (state.st_mtime_ns, state.st_size, state.st_ino)
    return result
