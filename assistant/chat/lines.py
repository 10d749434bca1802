"""The chat without a screen: lines in, answers out, no control codes. For pipes, files and plain terminals."""

from __future__ import annotations

import shutil
import sys
from typing import BinaryIO, TextIO

from assistant.chat.keys import CANCELLED
from assistant.chat.picture import Row
from assistant.chat.screen import View, remark_rows, to_text
from assistant.chat.sitting import MAX_CHARACTERS, Sitting

_LIMIT = MAX_CHARACTERS * 4 + 4  # bytes of the longest message that is read
INTERRUPTED = 130
DUMB = ("dumb", "unknown")


class Lines:
    """Reads a message per line, prints each answer. With a person at a plain terminal (`ask`), it shows where to type."""

    def __init__(self, source: BinaryIO | None = None, out: TextIO | None = None, ask: bool = False) -> None:
        self._source = source if source is not None else sys.stdin.buffer
        self._out = out if out is not None else sys.stdout
        self._ask = ask

    def view(self) -> View:
        """The width given by COLUMNS or the terminal, else 80."""
        return View(shutil.get_terminal_size((80, 24)).columns, self._out.encoding or "ascii")

    def run(self, sitting: Sitting) -> int:
        """The whole conversation. Returns the exit status."""
        status = 0
        self._show(sitting.begin())
        cancelled = told = False
        while not sitting.failed:
            try:
                if cancelled and not told:
                    self._out.write("\n")
                    self._show(remark_rows([CANCELLED], self.view()))
                told = cancelled
                text = self._read()
                if text is None:
                    break
                cancelled = told = False
                rows, leaving = (sitting.too_long(text), False) if isinstance(text, int) else sitting.hear(text)
                self._show(rows)
                if leaving:
                    break
            except KeyboardInterrupt:
                if not self._ask:
                    status = INTERRUPTED
                if cancelled or not self._ask:
                    break
                cancelled = True
        self._show(sitting.end())
        return status or int(sitting.failed)

    def _read(self) -> str | int | None:
        """One line; None at the end. Of a line that is far too long nothing is held but its length in bytes."""
        if self._ask:
            self._out.write("> ")
            self._out.flush()
        data = self._source.readline(_LIMIT)
        if not data:
            return None
        if len(data) < _LIMIT or data.endswith(b"\n"):
            return data.decode("utf-8", "replace").rstrip("\r\n")
        length, rest = len(data), data
        while len(rest) == _LIMIT and not rest.endswith(b"\n"):
            rest = self._source.readline(_LIMIT)
            length += len(rest.rstrip(b"\r\n"))
        return length

    def _show(self, rows: list[Row]) -> None:
        if rows:
            self._out.write(to_text(rows) + "\n\n")
            self._out.flush()
