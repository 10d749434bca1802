"""What was typed before, kept between runs. A convenience: no trouble with its file ever stops the chat."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Iterable

from prompt_toolkit.history import FileHistory

MAX_BYTES = 500_000


class TolerantHistory(FileHistory):
    """A history file that may be missing, unreadable, full or foreign; then the history is only of this run."""

    def __init__(self, path: Path) -> None:
        self._path = path
        super().__init__(str(path))
        try:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
            self._trim()
        except OSError:
            pass

    def load_history_strings(self) -> Iterable[str]:
        """The lines typed before, newest first."""
        try:
            return list(super().load_history_strings())
        except (OSError, ValueError):
            return []

    def store_string(self, string: str) -> None:
        """Keep one message; one that is too long, or cannot be written, is not kept."""
        if len(string) > 20_000:
            return
        try:
            super().store_string(string.encode("utf-8", "replace").decode("utf-8"))
        except (OSError, ValueError):
            pass

    def _trim(self) -> None:
        """Keep the newer part of a file that has grown long."""
        if self._path.stat().st_size <= MAX_BYTES:
            return
        data = self._path.read_bytes()[-MAX_BYTES // 2:]
        cut = data.find(b"\n# ")  # each message begins so
        part = self._path.with_suffix(".new")
        part.write_bytes(data[cut:] if cut >= 0 else b"")
        os.replace(part, self._path)
